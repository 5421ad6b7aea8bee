package httpapi_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) {
	os.Exit(testdb.LeakFree(m))
}

const passphrase = "seven dusty sawhorses"

var passphraseHash = sync.OnceValues(func() (string, error) {
	h, err := account.NewHasher(1)
	if err != nil {
		return "", err
	}
	return h.Hash(context.Background(), passphrase)
})

// description is the API's own description, loaded and checked by another library.
var description = sync.OnceValues(func() (*openapi3.T, error) {
	b, err := httpapi.OpenAPI()
	if err != nil {
		return nil, err
	}
	return openapi3.NewLoader().LoadFromData(b)
})

// crew is one company with a lead and an installer.
type crew struct {
	company         account.Company
	lead, installer account.Person
}

// bundle is a running service with two companies that know nothing of each other.
type bundle struct {
	t         testing.TB
	base      string
	app       *app.App
	ours      crew
	strangers crew
	log       *lockedBuffer
	db        *testdb.DB
}

type option func(*app.Config)

func setup(t testing.TB, opts ...option) *bundle {
	t.Helper()
	ctx := context.Background()
	db := testdb.New(t)
	pg, err := postgres.Open(ctx, db.AppURL, postgres.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	b := &bundle{t: t, log: &lockedBuffer{}, db: db}
	b.ours = addCrew(t, pg, "Plumb & Level", "")
	b.strangers = addCrew(t, pg, "Other House Trim", "far.")
	pg.Close()
	cfg := app.Config{Addr: "127.0.0.1:0", DatabaseURL: db.AppURL, Tune: numbered{t}.tune, Grace: 20 * time.Second, Guesses: 3, Photos: app.PhotoConfig{Dir: t.TempDir()},
		Logger: slog.New(slog.NewJSONHandler(b.log, &slog.HandlerOptions{Level: slog.LevelDebug}))}
	for _, o := range opts {
		o(&cfg)
	}
	b.app, err = app.Run(ctx, cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.app.Close(); err != nil {
			t.Errorf("closing the service: %v", err)
		}
	})
	b.base = "http://" + b.app.Addr().String()
	return b
}

func addCrew(t testing.TB, pg *postgres.Store, name, sign string) crew {
	t.Helper()
	ctx := context.Background()
	hash, err := passphraseHash()
	if err != nil {
		t.Fatal(err)
	}
	c := crew{company: account.Company{ID: newID(), Name: name}}
	if err := pg.CreateCompany(ctx, c.company); err != nil {
		t.Fatal(err)
	}
	person := func(name string, role joblog.Role) account.Person {
		p := account.Person{ID: newID(), CompanyID: c.company.ID, Name: name, SignIn: sign + strings.ToLower(name), Role: role,
			Language: "en", Unit: length.Inches}
		if err := pg.AddPerson(ctx, p, hash); err != nil {
			t.Fatal(err)
		}
		return p
	}
	c.lead, c.installer = person("Ines", joblog.Lead), person("Bo", joblog.Installer)
	return c
}

func newID() string { return uuid.Must(uuid.NewV7()).String() }

// client is one person's browser.
type client struct {
	t    testing.TB
	base string
	http *http.Client
}

func (b *bundle) client() *client {
	jar, err := cookiejar.New(nil)
	if err != nil {
		b.t.Fatal(err)
	}
	transport := &http.Transport{}
	b.t.Cleanup(transport.CloseIdleConnections)
	return &client{t: b.t, base: b.base, http: &http.Client{Jar: jar, Transport: transport, Timeout: 30 * time.Second}}
}

func (b *bundle) as(p account.Person) *client {
	b.t.Helper()
	c := b.client()
	c.post("/api/v1/session", map[string]string{"sign_in": p.SignIn, "passphrase": passphrase}).want(http.StatusOK)
	return c
}

type answer struct {
	t      testing.TB
	what   string
	status int
	header http.Header
	body   []byte
}

func (c *client) do(method, path string, body io.Reader, header http.Header) answer {
	c.t.Helper()
	r, err := http.NewRequest(method, c.base+path, body)
	if err != nil {
		c.t.Fatal(err)
	}
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	for k, v := range header {
		r.Header[k] = v
	}
	if host := header.Get("Host"); host != "" { // one person's cookies, whatever the host is called
		for _, cookie := range c.http.Jar.Cookies(r.URL) {
			r.AddCookie(cookie)
		}
		r.Host = host
	}
	got, err := c.http.Do(r)
	if err != nil {
		c.t.Fatalf("%s %s: %v", method, path, err)
	}
	c.http.Jar.SetCookies(r.URL, got.Cookies())
	defer func() { _ = got.Body.Close() }()
	b, err := io.ReadAll(got.Body)
	if err != nil {
		c.t.Fatalf("%s %s: reading the answer: %v", method, path, err)
	}
	a := answer{t: c.t, what: method + " " + path, status: got.StatusCode, header: got.Header, body: b}
	a.fitsDescription(method, path)
	return a
}

func (c *client) get(path string) answer {
	c.t.Helper()
	return c.do(http.MethodGet, path, nil, nil)
}

func (c *client) post(path string, body any) answer {
	c.t.Helper()
	return c.do(http.MethodPost, path, encode(c.t, body), nil)
}

func (c *client) put(path string, body any) answer {
	c.t.Helper()
	return c.do(http.MethodPut, path, encode(c.t, body), nil)
}

func encode(t testing.TB, v any) io.Reader {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(b)
}

func (a answer) want(status int) answer {
	a.t.Helper()
	if a.status != status {
		a.t.Fatalf("%s: got %d %s, want %d", a.what, a.status, a.body, status)
	}
	return a
}

func (a answer) into(dst any) {
	a.t.Helper()
	if err := json.Unmarshal(a.body, dst); err != nil {
		a.t.Fatalf("%s: %v in %s", a.what, err, a.body)
	}
}

// refused checks that the answer is problem details with that code, and returns the sentence.
func (a answer) refused(status int, code string) httpapi.Problem {
	a.t.Helper()
	a.want(status)
	if got := a.header.Get("Content-Type"); got != "application/problem+json" {
		a.t.Errorf("%s: content type: got %q, want application/problem+json", a.what, got)
	}
	var p httpapi.Problem
	a.into(&p)
	if p.Status != status || string(p.Code) != code || p.Type != "about:blank" || p.Title != http.StatusText(status) {
		a.t.Errorf("%s: problem: got %+v, want status %d, code %s, type about:blank, title %s", a.what, p, status, code, http.StatusText(status))
	}
	if !strings.HasSuffix(p.Detail, ".") || len(p.Detail) < 12 {
		a.t.Errorf("%s: detail: got %q, want a sentence", a.what, p.Detail)
	}
	return p
}

// fitsDescription holds every JSON answer against the schema the description gives it.
func (a answer) fitsDescription(method, path string) {
	a.t.Helper()
	doc, err := description()
	if err != nil {
		a.t.Fatalf("loading the description: %v", err)
	}
	path, _, _ = strings.Cut(path, "?")
	kind := a.header.Get("Content-Type")
	if method == http.MethodHead || kind != "application/json" && kind != "application/problem+json" {
		return
	}
	schema := doc.Components.Schemas["Problem"]
	if kind == "application/json" {
		op := operationAt(doc, method, path)
		if op == nil {
			return
		}
		response := op.Responses.Status(a.status)
		if response == nil {
			a.t.Errorf("%s: status %d is not in the description", a.what, a.status)
			return
		}
		schema = response.Value.Content.Get(kind).Schema
	}
	var v any
	a.into(&v)
	if err := schema.Value.VisitJSON(v, openapi3.EnableJSONSchema2020(), openapi3.MultiErrors()); err != nil {
		a.t.Errorf("%s: the answer does not fit its description: %v\n%.2000s", a.what, err, a.body)
	}
}

func operationAt(doc *openapi3.T, method, path string) *openapi3.Operation {
	steps := strings.Split(path, "/")
	for template, item := range doc.Paths.Map() {
		parts := strings.Split(template, "/")
		fits := len(parts) == len(steps)
		for i := 0; fits && i < len(parts); i++ {
			fits = parts[i] == steps[i] || strings.HasPrefix(parts[i], "{")
		}
		if fits {
			return item.GetOperation(method)
		}
	}
	return nil
}

// lockedBuffer is a log that several goroutines write.
type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}
