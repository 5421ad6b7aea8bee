package httpapi_test

import (
	"bytes"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
)

func TestRefusals(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	nobody := b.client()
	raw := func(c *client, method, path, body string, header http.Header) answer {
		return c.do(method, path, strings.NewReader(body), header)
	}
	many := make([]joblog.Command, 201)
	for i := range many {
		many[i] = h.take("width_top", "30")
	}
	for name, c := range map[string]struct {
		got    answer
		status int
		code   string
		says   string
	}{
		"not JSON":            {raw(nobody, http.MethodPost, "/api/v1/session", `{"sign_in":`, nil), 400, "invalid", "not JSON"},
		"no body":             {nobody.do(http.MethodPost, "/api/v1/session", nil, nil), 400, "invalid", "missing"},
		"commands not JSON":   {raw(h.lead, http.MethodPost, h.path("/commands"), `{"sent_at":"2026-01-01T00:00:00Z","commands":[{]}`, nil), 400, "invalid", "not JSON"},
		"not signed in":       {nobody.get("/api/v1/jobs"), 401, "unauthorized", "Sign in"},
		"no such address":     {nobody.get("/api/v1/nowhere"), 404, "not_found", "nothing at this address"},
		"no such file":        {nobody.get("/wp-login.php"), 404, "not_found", "nothing at this address"},
		"no such job":         {h.lead.get("/api/v1/jobs/" + newID()), 404, "not_found", "no such job"},
		"no such opening":     {h.lead.get(h.path("/items/" + newID())), 404, "not_found", "no such"},
		"no such log":         {h.lead.get(h.path("/items/" + newID() + "/entries")), 404, "not_found", "no such"},
		"wrong method":        {nobody.do(http.MethodPut, "/api/v1/session", strings.NewReader("{}"), nil), 405, "invalid", "cannot be done"},
		"too much":            {raw(nobody, http.MethodPost, "/api/v1/session", `{"sign_in":"`+strings.Repeat("a", 9<<10)+`"}`, nil), 413, "too_large", "more than"},
		"too many commands":   {raw(h.lead, http.MethodPost, h.path("/commands"), string(encoded(t, h.batch(many...))), nil), 422, "invalid", "commands"},
		"no commands":         {raw(h.lead, http.MethodPost, h.path("/commands"), `{"sent_at":"2026-01-01T00:00:00Z","commands":[]}`, nil), 422, "invalid", "commands"},
		"no time":             {raw(h.lead, http.MethodPost, h.path("/commands"), `{"commands":[{}]}`, nil), 422, "invalid", "sent_at"},
		"not the media type":  {raw(nobody, http.MethodPost, "/api/v1/session", `a=b`, http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}), 415, "invalid", "application/json"},
		"id is no UUID":       {h.lead.get("/api/v1/jobs/7"), 422, "invalid", "path.job"},
		"limit out of range":  {h.lead.get(h.path("/entries?limit=5000")), 422, "invalid", "query.limit"},
		"limit is no number":  {h.lead.get(h.path("/entries?limit=many")), 422, "invalid", "query.limit"},
		"unit is not one":     {h.lead.get(h.path("?unit=cubits")), 422, "invalid", "query.unit"},
		"a field too many":    {raw(nobody, http.MethodPost, "/api/v1/session", `{"sign_in":"a","passphrase":"b","admin":true}`, nil), 422, "invalid", "admin"},
		"impossible opening":  {raw(nobody, http.MethodPost, "/api/v1/cut/door", `{"unit":{"kind":"door"},"readings":{"width_top":"3"}}`, nil), 422, "invalid", ""},
		"misspelled reading":  {raw(nobody, http.MethodPost, "/api/v1/cut/door", `{"unit":{"kind":"door"},"readings":{"width_botom":"30"}}`, nil), 422, "invalid", "width_botom"},
		"opening is not JSON": {raw(nobody, http.MethodPost, "/api/v1/cut/door", `width 30`, nil), 400, "invalid", "not JSON"},
		"a door of 5/7":       {raw(nobody, http.MethodPost, "/api/v1/cut/door", `{"unit":{"kind":"door"},"readings":{"width_top":"30 5/7"}}`, nil), 422, "invalid", "5/7"},
		"another site":        {raw(h.lead, http.MethodPost, h.path("/commands"), `{}`, http.Header{"Sec-Fetch-Site": {"cross-site"}}), 403, "forbidden", "another site"},
		"another origin":      {raw(h.lead, http.MethodDelete, "/api/v1/session", ``, http.Header{"Origin": {"http://elsewhere.example"}}), 403, "forbidden", "another site"},
	} {
		p := c.got.refused(c.status, c.code)
		if !strings.Contains(p.Detail, c.says) {
			t.Errorf("%s: detail: got %q, want it to say %q", name, p.Detail, c.says)
		}
	}
	if got := nobody.do(http.MethodPut, "/api/v1/session", strings.NewReader("{}"), nil).header.Get("Allow"); got != "GET, HEAD, POST, DELETE" {
		t.Errorf("Allow at the session: got %q, want GET, HEAD, POST, DELETE", got)
	}
	h.lead.get("/api/v1/session").want(http.StatusOK) // the foreign sign-out was not taken
}

func encoded(t testing.TB, v any) []byte {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Whatever way a passphrase is sent, no answer and no log line has it.
func TestNoPassphraseComesBack(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 100 })
	const secret = "opensesame-correct-horse"
	c := b.client()
	for _, body := range []string{
		`{"sign_in":"ines","passphrase":"` + secret + `"}`,
		`{"sign_in":["` + secret + `"],"passphrase":{"x":"` + secret + `"}}`,
		`{"sign_in":"","passphrase":"` + secret + `"}`,
		`{"sign_in":"` + secret + " " + secret + `","passphrase":"x"}`,
		`{"passphrase":"` + secret + `"}`,
		`{"passphrase":"` + secret,
		`"` + secret + `"`,
		secret,
		`{"sign_in":"ines","passphrase":"` + strings.Repeat(secret, 60) + `"}`,
		`{"sign_in":"ines","passphrase":"` + strings.Repeat(secret, 600) + `"}`,
	} {
		a := c.do(http.MethodPost, "/api/v1/session", strings.NewReader(body), nil)
		if a.status < 400 {
			t.Errorf("%.60s: got %d, want a refusal", body, a.status)
		}
		if bytes.Contains(a.body, []byte(secret)) {
			t.Errorf("%.60s: the answer repeats it: %s", body, a.body)
		}
	}
	if log := b.log.String(); strings.Contains(log, secret) || !strings.Contains(log, `"route":"/api/v1/session"`) {
		t.Errorf("log: want requests to the session and no passphrase, got %.600s", log)
	}
}

func TestWrongGuessesAreThrottled(t *testing.T) {
	t.Parallel()
	b := setup(t) // three guesses a minute
	c := b.client()
	guess := func(name, pass string) answer {
		return c.post("/api/v1/session", map[string]string{"sign_in": name, "passphrase": pass})
	}
	for range 5 { // no guesses: they are right
		guess("ines", passphrase).want(http.StatusOK)
	}
	for range 3 {
		guess("ines", "wrong wrong wrong").refused(http.StatusUnauthorized, "unauthorized")
	}
	a := guess("Ines", passphrase)
	a.refused(http.StatusTooManyRequests, "rate_limited")
	if got := a.header.Get("Retry-After"); got != "60" {
		t.Errorf("Retry-After: got %q, want 60", got)
	}
	guess("bo", passphrase).want(http.StatusOK) // another name from the same router
	unknown := guess("nobody-here", "wrong wrong wrong").refused(http.StatusUnauthorized, "unauthorized")
	known := guess("bo", "wrong wrong wrong").refused(http.StatusUnauthorized, "unauthorized")
	if unknown.Detail != known.Detail {
		t.Errorf("a name that is not there: got %q, want the same as for a wrong passphrase, %q", unknown.Detail, known.Detail)
	}
}

func TestTheCookie(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.TrustProxy = true })
	sign := func(scheme string) (*client, *http.Cookie) {
		c := b.client()
		a := c.do(http.MethodPost, "/api/v1/session", encode(t, map[string]string{"sign_in": "ines", "passphrase": passphrase}),
			http.Header{"X-Forwarded-Proto": {scheme}, "X-Forwarded-For": {"192.0.2.7"}}).want(http.StatusOK)
		cookies := (&http.Response{Header: a.header}).Cookies()
		if len(cookies) != 1 {
			t.Fatalf("cookies: got %v, want one", cookies)
		}
		return c, cookies[0]
	}
	c, cookie := sign("http")
	if !cookie.HttpOnly || cookie.SameSite != http.SameSiteLaxMode || cookie.Secure || cookie.Path != "/" {
		t.Errorf("cookie over plain HTTP: got %+v, want HttpOnly, SameSite=Lax, not Secure, path /", cookie)
	}
	// The prefix makes browsers hold the cookie to what it says of itself (RFC 6265bis, 4.1.3.2).
	if _, overTLS := sign("https"); !overTLS.Secure || !strings.HasPrefix(overTLS.Name, "__Host-") || overTLS.Path != "/" || overTLS.Domain != "" ||
		!overTLS.HttpOnly || overTLS.SameSite != http.SameSiteLaxMode {
		t.Errorf("cookie over TLS: got %+v, want it __Host-, Secure, HttpOnly, SameSite=Lax, path / and no domain", overTLS)
	}
	c.do(http.MethodDelete, "/api/v1/session", nil, nil).want(http.StatusNoContent)
	// The token itself is worth nothing any more, whoever kept it.
	stale := b.client().do(http.MethodGet, "/api/v1/session", nil, http.Header{"Cookie": {cookie.Name + "=" + cookie.Value}})
	stale.refused(http.StatusUnauthorized, "unauthorized")
	b.client().do(http.MethodDelete, "/api/v1/session", nil, nil).want(http.StatusNoContent)
}

// Every route that names a job answers a stranger as if the job were not there.
func TestStrangersSeeNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	const marker = "Quillfeather"
	h := buildHouse(b, b.ours, marker+" Lane")
	h.lead.send(h, h.take("width_bottom", "3")) // refused, and kept for Ines alone
	link := openWalk(b, h, nil)
	shot := h.lead.take(h, camera(64, 48))
	h.lead.part(shot, 0, 10).want(http.StatusNoContent)
	walkAsAStranger(t, b, h, link, shot, marker, false)
	var raw struct{ Seq int64 }
	h.lead.get(h.path("/log")).want(http.StatusOK).into(&raw)
	if raw.Seq != 6 { // the house, a photo, and the walk opened
		t.Errorf("log number after the stranger: got %d, want 6 still", raw.Seq)
	}
	if got := h.lead.offset(shot); got != 10 {
		t.Errorf("the photo after the stranger: at %d, want 10 still", got)
	}
	// An installer with nothing to do there is a stranger too.
	other := newID()
	h.lead.post("/api/v1/jobs/"+other+"/commands", map[string]any{"sent_at": time.Now(), "commands": []joblog.Command{{ID: newID(), Version: 1,
		Kind: joblog.CreateJobKind, JobID: other, At: time.Now(), CreateJob: &joblog.CreateJob{Name: "Unassigned", Unit: "in"}}}}).want(http.StatusOK)
	b.as(b.ours.installer).get("/api/v1/jobs/"+other).refused(http.StatusNotFound, "not_found")
}

// walkAsAStranger knocks at every route that names a job, as the lead of another company.
func walkAsAStranger(t testing.TB, b *bundle, h house, link httpapi.WalkLink, shot shot, marker string, again bool) {
	t.Helper()
	stranger := b.as(b.strangers.lead)
	doc, err := description()
	if err != nil {
		t.Fatal(err)
	}
	oneDoor := []byte("room,mark,width,height\nHall,D2,30,80\n")
	// What a route that takes a body must be sent, so that it is the stranger who is refused.
	bodies := map[string]any{
		"walks":    map[string]any{"guest_name": "Nobody", "language": "en", "address": walkAddress},
		"link":     map[string]any{"address": walkAddress},
		"contacts": map[string]any{"language": "en"},
		"plan":     map[string]any{},
		"list":     map[string]any{"lines": []any{}},
		"copy":     httpapi.RoomCopy{TogetherParams: asked(newID()), Name: "Hall two"},
		"preview":  httpapi.ScheduleSheet{Sheet: oneDoor},
		"schedule": httpapi.ScheduleImport{TogetherParams: asked(newID()), ScheduleSheet: httpapi.ScheduleSheet{Sheet: oneDoor}},
	}
	var routes []string // those that send come last: what they leave is the stranger's own to see
	for template, item := range doc.Paths.Map() {
		if !strings.Contains(template, "{job}") {
			continue
		}
		path := strings.NewReplacer("{job}", h.job, "{item}", h.item, "{walk}", link.WalkID, "{photo}", shot.id, "{room}", h.room, "{template}", newID()).Replace(template)
		for method := range item.Operations() {
			routes = append(routes, method+" "+path)
		}
	}
	slices.Sort(routes)
	for _, route := range routes {
		method, path, _ := strings.Cut(route, " ")
		var a answer
		body, named := bodies[path[strings.LastIndexByte(path, '/')+1:]]
		if strings.Contains(path, "/templates/") {
			body, named = httpapi.TemplateUse{TogetherParams: asked(newID())}, true
		}
		switch {
		case named:
			a = stranger.do(method, path, encode(t, body), nil)
			a.refused(http.StatusNotFound, "not_found")
		case method == http.MethodHead:
			a = stranger.do(method, path, nil, nil).want(http.StatusNotFound)
		case method == http.MethodPatch:
			a = stranger.do(method, path, bytes.NewReader(shot.data[10:]), partHeader(10))
			a.refused(http.StatusNotFound, "not_found")
		case method == http.MethodPost:
			// A command is always answered: refused, as for a job that does not exist.
			a = stranger.post(path+"?view="+h.item, h.batch(h.take("width_top", "30")))
			var out httpapi.CommandOutcomes
			a.want(http.StatusOK).into(&out)
			if out.Outcomes[0].Applied || out.Outcomes[0].Findings[0].Code != "job_gone" || out.Seq != 0 || out.View != nil {
				t.Errorf("%s: got %s, want it refused as job_gone, and nothing more", a.what, a.body)
			}
		case again && strings.HasSuffix(path, "/refused"):
			a = stranger.get(path).want(http.StatusOK) // what they sent themselves the time before
		default:
			a = stranger.do(method, path, nil, nil)
			a.refused(http.StatusNotFound, "not_found")
		}
		for _, secret := range []string{marker, "Sill Street", "Hall", b.ours.lead.ID, b.ours.company.ID} {
			if bytes.Contains(a.body, []byte(secret)) {
				t.Errorf("%s: the answer holds %q: %s", a.what, secret, a.body)
			}
		}
	}
	if len(routes) < 8 {
		t.Errorf("routes that name a job: got %q, want at least 8", routes)
	}
}

// The walk again while both companies are at work through the same few connections: what one was told of is never told
// to the other, and nobody's own work is refused.
func TestStrangersSeeNothingUnderLoad(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.DatabaseURL += "&pool_max_conns=3" })
	const ours, theirs = "Quillfeather", "Marrowstone"
	h := buildHouse(b, b.ours, ours+" Lane")
	far := buildHouse(b, b.strangers, theirs+" Court")
	link := openWalk(b, h, nil)
	shot := h.lead.take(h, camera(64, 48))
	h.lead.part(shot, 0, 10).want(http.StatusNoContent)
	stop := make(chan struct{})
	var crews sync.WaitGroup
	var turns atomic.Int64
	end := sync.OnceFunc(func() { close(stop); crews.Wait() })
	defer end() // also when the walk ends the test
	for _, one := range []struct {
		who         account.Person
		at          house
		name, never string
	}{
		{b.ours.lead, h, ours, theirs}, {b.ours.installer, h, ours, theirs},
		{b.strangers.lead, far, theirs, ours}, {b.strangers.installer, far, theirs, ours},
	} {
		c := b.as(one.who)
		crews.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				if out := c.send(one.at, one.at.take("width_top", "30")); !out.Outcomes[0].Applied {
					t.Errorf("a reading of one's own: %+v", out.Outcomes[0])
				}
				for _, path := range []string{one.at.path(""), one.at.path("/log"), "/api/v1/jobs", "/api/v1/people"} {
					if a := c.get(path).want(http.StatusOK); bytes.Contains(a.body, []byte(one.never)) || path == one.at.path("") && !bytes.Contains(a.body, []byte(one.name)) {
						t.Errorf("%s: want %s and never %s", a.what, one.name, one.never)
					}
				}
				turns.Add(1)
			}
		})
	}
	for round := range 5 {
		walkAsAStranger(t, b, h, link, shot, ours, round > 0)
	}
	end()
	if turns.Load() < 8 {
		t.Errorf("the crews took %d turns meanwhile, want them at work", turns.Load())
	}
}

func TestHeaders(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for path, cache := range map[string]string{"/healthz": "no-store", "/readyz": "no-store", "/api/v1/openapi.json": "no-cache", "/nope": "no-store"} {
		a := b.client().get(path)
		for header, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin", "Cache-Control": cache,
		} {
			if got := a.header.Get(header); got != want {
				t.Errorf("%s: %s: got %q, want %q", path, header, got, want)
			}
		}
		csp := a.header.Get("Content-Security-Policy")
		for _, want := range []string{"script-src 'self' 'wasm-unsafe-eval';", "style-src 'self';", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s: policy: got %q, want %q in it", path, csp, want)
			}
		}
		if strings.Contains(csp, "unsafe-inline") {
			t.Errorf("%s: policy allows inline: %q", path, csp)
		}
	}
	b.client().do(http.MethodHead, "/api/v1/jobs", nil, nil).want(http.StatusUnauthorized)
}
