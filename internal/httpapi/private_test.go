package httpapi_test

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/internal/joblog"
)

// Everything a person may write or is known by goes through the doors, right and wrong, and none of it is found in
// the log, which is kept at its most talkative.
func TestTheLogKnowsNobody(t *testing.T) {
	t.Parallel()
	b := setup(t)
	const (
		jobName = "Vesperlark House"
		note    = "the Quennell boy let us in"
		guess   = "wrong but telling words"
		guest   = "Philomena Ashdown"
		bearer  = "c2VjcmV0LXRva2VuLW9mLWEtaG9tZW93bmVyLXh4eHg"
	)
	h := buildHouse(b, b.ours, jobName)
	h.lead.send(h, joblog.Command{Kind: joblog.NoteKind, ItemID: h.item, Note: &joblog.Note{Text: note}})
	link := openWalk(b, h, map[string]any{"guest_name": guest, "passphrase": "plaster and patience"})
	secret := secretOf(t, link)
	ada, _ := enter(b, secret, "plaster and patience")
	ada.page()
	enter(b, secret, guess)
	nobody := b.client()
	nobody.post("/api/v1/session", map[string]string{"sign_in": b.ours.lead.SignIn, "passphrase": guess})
	nobody.do(http.MethodGet, "/api/v1/walk", nil, http.Header{"Authorization": {"Bearer " + bearer}})
	nobody.do(http.MethodPost, "/api/v1/session", strings.NewReader(`{"sign_in":"`+guest+`","passphrase":{"`+guess+`":1}}`), nil)
	// What the database itself refuses, with its own words about it.
	h.lead.send(h, joblog.Command{Kind: joblog.NoteKind, ItemID: h.item, Note: &joblog.Note{Text: note + "\x00"}})
	h.lead.do(http.MethodGet, h.path("/log?after="+strings.ReplaceAll(note, " ", "+")), nil, nil)
	h.lead.do(http.MethodGet, "/"+strings.ReplaceAll(guest, " ", "%20"), nil, nil)
	// Mistakes of ours: a column is gone while people work.
	if _, err := b.db.Owner.Exec(context.Background(), `alter table takes rename column reading to was_reading`); err != nil {
		t.Fatal(err)
	}
	one := *h.lead
	body := encoded(t, h.batch(h.take("width_top", "30 1/16")))
	r, err := http.NewRequest(http.MethodPost, b.base+h.path("/commands"), bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	got, err := one.http.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	_ = got.Body.Close()
	if got.StatusCode < http.StatusInternalServerError && !strings.Contains(b.log.String(), "internal error") {
		t.Errorf("with a column gone: got %d and nothing in the log, want a mistake of ours", got.StatusCode)
	}

	cookies := h.lead.http.Jar.Cookies(r.URL)
	if len(cookies) == 0 {
		t.Fatal("no cookie to look for")
	}
	text := b.log.String()
	for _, never := range []string{jobName, "12 Sill Street", note, "Quennell", guess, guest, "Philomena", bearer, secret, ada.key, passphrase, "plaster and patience",
		b.ours.lead.SignIn + `"`, b.ours.lead.Name, b.ours.company.Name, cookies[0].Value, "30 1/16", "$argon2id$"} {
		if strings.Contains(text, never) {
			t.Errorf("the log holds %q", never)
		}
	}
	wantDocumentedFields(t, text)
}

// wantDocumentedFields holds the fields of the log against their table.
func wantDocumentedFields(t *testing.T, text string) {
	t.Helper()
	doc, err := os.ReadFile("../../deploy/README.md")
	if err != nil {
		t.Fatal(err)
	}
	var seen []string
	for line := range strings.Lines(text) {
		var fields map[string]any
		if err := json.Unmarshal([]byte(line), &fields); err != nil {
			t.Fatalf("a line that is no JSON: %q", line)
		}
		for name := range fields {
			if !slices.Contains(seen, name) {
				seen = append(seen, name)
			}
		}
	}
	_, table, _ := strings.Cut(string(doc), "| in the log |")
	table, _, _ = strings.Cut(table, "\n\n")
	for _, name := range seen {
		if !strings.Contains(table, "`"+name+"`") {
			t.Errorf("the log has a field %s, which deploy/README.md does not explain", name)
		}
	}
	if len(seen) < 8 {
		t.Errorf("fields: got %q, want those of a request and of a mistake", seen)
	}
}

// Whose request a statement is can be seen on the database's side while it waits for a lock.
func TestARequestsNumberReachesSQL(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	ctx := context.Background()
	tx, err := b.db.Owner.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(ctx, `select from jobs where job_id = $1 for update`, h.job); err != nil {
		t.Fatal(err)
	}
	done := make(chan answer, 1)
	go func() { done <- h.lead.post(h.path("/commands"), h.batch(h.take("width_top", "30"))) }()
	var named string
	limit := time.After(30 * time.Second)
	for named == "" {
		select {
		case <-limit:
			t.Error("no session waits for the job's row under a request's number")
			named = "none"
		default:
			err := b.db.Owner.QueryRow(ctx, `select coalesce(max(application_name), '') from pg_stat_activity
				where datname = current_database() and wait_event_type = 'Lock' and application_name like 'longpoint %'`).Scan(&named)
			if err != nil {
				t.Error(err)
				named = "none"
			}
		}
	}
	if err := tx.Rollback(ctx); err != nil {
		t.Error(err)
	}
	a := (<-done).want(http.StatusOK)
	if want := "longpoint " + a.header.Get("X-Request-Id"); named != want {
		t.Errorf("application_name: got %q, want %q", named, want)
	}
	if !strings.Contains(b.log.String(), `"id":"`+a.header.Get("X-Request-Id")+`"`) {
		t.Error("the log does not hold the number of the request")
	}
	// It is the transaction's, not the connection's.
	var left int
	if err := b.db.Owner.QueryRow(ctx, `select count(*) from pg_stat_activity where datname = current_database() and state = 'idle' and application_name like 'longpoint %'`).Scan(&left); err != nil || left != 0 {
		t.Errorf("idle connections that carry a request's number: got %d (%v), want none", left, err)
	}
}
