package app

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	"google.golang.org/protobuf/proto"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"

	"github.com/google/uuid"
)

const watchedPassphrase = "seven dusty sawhorses"

// watchedService is a service with somebody who signs in, sends a command and looks at a job.
func watchedService(t *testing.T, set func(*Config)) (a *App, work func()) {
	t.Helper()
	ctx := context.Background()
	db := testdb.New(t)
	pg, err := postgres.Open(ctx, db.AppURL, postgres.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	hash, err := hasher(t).Hash(ctx, watchedPassphrase)
	if err != nil {
		t.Fatal(err)
	}
	company := account.Company{ID: uuid.Must(uuid.NewV7()).String(), Name: "Vesperlark & Co"}
	if err := pg.CreateCompany(ctx, company); err != nil {
		t.Fatal(err)
	}
	if err := pg.AddPerson(ctx, account.Person{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: company.ID, Name: "Ines Quennell", SignIn: "ines", Role: joblog.Lead,
		Language: "en", Unit: length.Inches}, hash); err != nil {
		t.Fatal(err)
	}
	pg.Close()
	cfg := Config{Addr: "127.0.0.1:0", DatabaseURL: db.AppURL}
	set(&cfg)
	a, err = Run(ctx, cfg)
	if err != nil {
		t.Fatal(err)
	}
	return a, func() {
		t.Helper()
		job := uuid.Must(uuid.NewV7()).String()
		var cookie string
		ask := func(method, path string, body any) {
			t.Helper()
			b, err := json.Marshal(body)
			if err != nil {
				t.Fatal(err)
			}
			r, err := http.NewRequest(method, "http://"+a.Addr().String()+path, bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Content-Type", "application/json")
			r.Header.Set("Cookie", cookie)
			answer, err := http.DefaultClient.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = answer.Body.Close() }()
			_, _ = io.Copy(io.Discard, answer.Body)
			if answer.StatusCode != http.StatusOK {
				t.Fatalf("%s %s: %s", method, path, answer.Status)
			}
			for _, c := range answer.Cookies() {
				cookie = c.Name + "=" + c.Value
			}
		}
		ask(http.MethodPost, "/api/v1/session", map[string]string{"sign_in": "ines", "passphrase": watchedPassphrase})
		ask(http.MethodPost, "/api/v1/jobs/"+job+"/commands", map[string]any{"sent_at": time.Now(), "commands": []any{joblog.Command{
			ID: uuid.Must(uuid.NewV7()).String(), Version: joblog.CommandVersion, Kind: joblog.CreateJobKind, JobID: job, At: time.Now(),
			CreateJob: &joblog.CreateJob{Name: "Quillfeather Lane", Unit: length.Inches}}}})
		ask(http.MethodGet, "/api/v1/jobs/"+job, nil)
		http.DefaultClient.CloseIdleConnections()
	}
}

// freeAddress was free a moment ago.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := listen(context.Background(), "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	return l.Addr().String()
}

// Every number the dashboard asks for is there, once the setting is, and says what happened.
func TestMetricsAreOneSettingAway(t *testing.T) {
	t.Parallel()
	at := freeAddress(t)
	a, work := watchedService(t, func(c *Config) { c.MetricsAddr = at })
	defer func() {
		if err := a.Close(); err != nil {
			t.Error(err)
		}
	}()
	work()
	answer, err := http.Get("http://" + at + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(answer.Body)
	_ = answer.Body.Close()
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	for _, want := range []string{
		`longpoint_requests_total{method="POST",route="/api/v1/session",status="200"} 1`,
		`longpoint_requests_total{method="GET",route="/api/v1/jobs/{job}",status="200"} 1`,
		`longpoint_commands_total{kind="create_job",outcome="applied"} 1`,
		`longpoint_streams 0`,
	} {
		if !strings.Contains(text, want+"\n") {
			t.Errorf("metrics: want the line %s", want)
		}
	}
	for _, never := range []string{"Ines", "Quennell", "Quillfeather", watchedPassphrase} {
		if strings.Contains(text, never) {
			t.Errorf("metrics hold %q", never)
		}
	}
	dashboard, err := os.ReadFile("../../deploy/dashboards/longpoint.json")
	if err != nil {
		t.Fatal(err)
	}
	var board struct {
		Panels []struct {
			Title   string
			Targets []struct{ Expr string }
		}
	}
	if err := json.Unmarshal(dashboard, &board); err != nil || len(board.Panels) < 6 {
		t.Fatalf("the dashboard: %d panels, %v", len(board.Panels), err)
	}
	name := regexp.MustCompile(`\b(longpoint|go|process)_[a-z_]+`)
	for _, p := range board.Panels {
		for _, target := range p.Targets {
			for _, n := range name.FindAllString(target.Expr, -1) {
				if !strings.Contains(text, "\n"+n+"{") && !strings.Contains(text, "\n"+n+" ") {
					t.Errorf("panel %s asks for %s, which the service does not show", p.Title, n)
				}
			}
		}
	}
}

func TestNothingIsShownUnlessItIsAskedFor(t *testing.T) {
	t.Parallel()
	a, work := watchedService(t, func(*Config) {})
	work()
	if a.watch != nil {
		t.Error("an observer without a setting: want none")
	}
	answer, err := http.Get("http://" + a.Addr().String() + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	http.DefaultClient.CloseIdleConnections()
	if answer.StatusCode != http.StatusNotFound {
		t.Errorf("/metrics at the service's own address: got %s, want 404", answer.Status)
	}
	if err := a.Close(); err != nil {
		t.Error(err)
	}
}

// Traces reach a collector that speaks OTLP over HTTP: a span of the request, with its number, and below it one of each
// round trip to the database, with statements and no values. It sets the environment, so it runs alone.
func TestTracesReachACollector(t *testing.T) {
	var (
		mu  sync.Mutex
		got collector.ExportTraceServiceRequest
		raw []byte
	)
	there := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		b, _ := io.ReadAll(r.Body)
		var one collector.ExportTraceServiceRequest
		if err := proto.Unmarshal(b, &one); err != nil || r.URL.Path != "/v1/traces" {
			w.WriteHeader(http.StatusBadRequest)
			return
		}
		mu.Lock()
		defer mu.Unlock()
		raw = append(raw, b...)
		got.ResourceSpans = append(got.ResourceSpans, one.ResourceSpans...)
		w.Header().Set("Content-Type", "application/x-protobuf")
	}))
	defer there.Close()
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", there.URL)
	t.Setenv("OTEL_EXPORTER_OTLP_COMPRESSION", "none")
	a, work := watchedService(t, func(c *Config) { c.Traces = true })
	work()
	if err := a.Close(); err != nil { // sends what waits
		t.Error(err)
	}
	mu.Lock()
	defer mu.Unlock()
	names := map[string]int{}
	children, numbered, statements := 0, 0, 0
	for _, rs := range got.ResourceSpans {
		for _, ss := range rs.ScopeSpans {
			for _, s := range ss.Spans {
				names[s.Name]++
				if len(s.ParentSpanId) > 0 {
					children++
				}
				for _, at := range s.Attributes {
					if at.Key == "longpoint.request" && len(at.Value.GetStringValue()) > 20 {
						numbered++
					}
				}
				for _, e := range s.Events {
					for _, at := range e.Attributes {
						if at.Key == "db.query.text" && strings.Contains(at.Value.GetStringValue(), "insert into entries") {
							statements++
						}
					}
				}
			}
		}
	}
	for _, want := range []string{"POST /api/v1/session", "POST /api/v1/jobs/{job}/commands", "GET /api/v1/jobs/{job}"} {
		if names[want] != 1 {
			t.Errorf("spans %v: want one %s", names, want)
		}
	}
	if children == 0 || numbered < 3 || statements != 1 {
		t.Errorf("got %d spans below others, %d with a request's number, %d statements that log an entry; want some, three and one", children, numbered, statements)
	}
	for _, never := range []string{"Ines", "Quennell", "Quillfeather", watchedPassphrase, "$argon2id$"} {
		if bytes.Contains(raw, []byte(never)) {
			t.Errorf("traces hold %q", never)
		}
	}
}

// A place that cannot be had is told in a sentence.
func TestMetricsAtATakenPort(t *testing.T) {
	t.Parallel()
	l, err := listen(context.Background(), "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	_, err = Run(context.Background(), Config{Addr: "127.0.0.1:0", DatabaseURL: testdb.New(t).AppURL, MetricsAddr: l.Addr().String()})
	if err == nil || !strings.Contains(err.Error(), "LONGPOINT_METRICS_ADDR") {
		t.Errorf("got %v, want it to name LONGPOINT_METRICS_ADDR", err)
	}
}
