package httpapi

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// brokenStore fails in the way it is told to.
type brokenStore struct {
	Store
	ping func() error
	find func() error
}

func (b brokenStore) Ping(context.Context) error { return b.ping() }

func (b brokenStore) FindSignIn(context.Context, string) (account.Person, string, error) {
	return account.Person{}, "", b.find()
}

func TestWhatGoesWrongOnOurSide(t *testing.T) {
	t.Parallel()
	const cause = "relation people does not exist at 10.0.0.7"
	for name, c := range map[string]struct {
		find   func() error
		status int
		code   fault.Code
		logged string
	}{
		"a panic":          {func() error { panic(cause) }, 500, fault.Internal, cause},
		"an unknown error": {func() error { return errors.New(cause) }, 500, fault.Internal, cause},
		"a fault of ours":  {func() error { return fault.Because(fault.Internal, "", errors.New(cause)) }, 500, fault.Internal, cause},
		"no database":      {func() error { return fault.Because(fault.Unavailable, "Try again soon.", errors.New(cause)) }, 503, fault.Unavailable, cause},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var log bytes.Buffer
			hasher, err := account.NewHasher(1)
			if err != nil {
				t.Fatal(err)
			}
			s := New(Config{Store: brokenStore{find: c.find}, Sessions: detached(), Hasher: hasher, Logger: slog.New(slog.NewJSONHandler(&log, nil))})
			r := httptest.NewRequest(http.MethodPost, prefix+"/session", strings.NewReader(`{"sign_in":"ines","passphrase":"x"}`))
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			var p Problem
			if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != c.status || p.Code != c.code || w.Header().Get("Content-Type") != problemType {
				t.Errorf("got %d %s %s (%v), want %d problem details with code %s", w.Code, w.Header().Get("Content-Type"), w.Body, err, c.status, c.code)
			}
			if strings.Contains(w.Body.String(), "10.0.0.7") {
				t.Errorf("the answer shows the cause: %s", w.Body)
			}
			if c.status == 503 && w.Header().Get("Retry-After") == "" {
				t.Error("503 without Retry-After")
			}
			if !strings.Contains(log.String(), c.logged) || !strings.Contains(log.String(), w.Header().Get("X-Request-Id")) {
				t.Errorf("log: got %s, want the cause under the request's number", &log)
			}
			// What failed was no guess: the person may try again at once.
			for range 10 {
				w := httptest.NewRecorder()
				s.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodPost, prefix+"/session", strings.NewReader(`{"sign_in":"ines","passphrase":"x"}`)))
				if w.Code == http.StatusTooManyRequests && name != "a panic" {
					t.Fatalf("throttled for our failures: %s", w.Body)
				}
			}
		})
	}
}

func TestReadiness(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		err    error
		status int
	}{"answers": {nil, 200}, "does not": {fault.New(fault.Unavailable, "No."), 503}} {
		s := New(Config{Store: brokenStore{ping: func() error { return c.err }}, Sessions: detached()})
		for path, want := range map[string]int{"/readyz": c.status, "/healthz": 200} {
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
			if w.Code != want {
				t.Errorf("database %s: %s: got %d, want %d", name, path, w.Code, want)
			}
		}
	}
}

func TestEveryFaultHasItsStatus(t *testing.T) {
	t.Parallel()
	for code, want := range map[fault.Code]int{fault.Invalid: 422, fault.Unauthorized: 401, fault.Forbidden: 403, fault.NotFound: 404,
		fault.Conflict: 409, fault.TooLarge: 413, fault.RateLimited: 429, fault.Unavailable: 503, fault.Internal: 500, "new": 500} {
		if got := problemOf(fault.New(code, "A sentence.")).Status; got != want {
			t.Errorf("%s: got %d, want %d", code, got, want)
		}
	}
}

func TestReadCommandSalvagesTheId(t *testing.T) {
	t.Parallel()
	const id = "018f0000-0000-7000-8000-000000000001"
	for name, c := range map[string]struct {
		raw  string
		want joblog.Command
	}{
		"a body of the wrong type": {`{"id":"` + id + `","v":1,"kind":"note","job_id":"j","note":7}`, joblog.Command{ID: id, Version: 1, Kind: "note", JobID: "j"}},
		"a length that is none":    {`{"id":"` + id + `","v":1,"kind":"take_reading","job_id":"j","take_reading":{"value":"30 5/7"}}`, joblog.Command{ID: id, Version: 1, Kind: "take_reading", JobID: "j"}},
		"no object":                {`[1]`, joblog.Command{Version: 1}},
	} {
		got := readCommand([]byte(c.raw), "j")
		got.JobID = strings.TrimSpace(got.JobID)
		if got.ID != c.want.ID || got.Kind != c.want.Kind || got.Version != c.want.Version || got.Note != nil || got.TakeReading != nil {
			t.Errorf("%s: got %+v, want %+v", name, got, c.want)
		}
	}
}

// takingStore is one homeowner's, and notes how each command came.
type takingStore struct {
	Store
	sentAt *time.Time
}

func (takingStore) FindKey(context.Context, string) (account.Link, error) {
	return account.Link{JobID: takenJob}, nil
}

func (takingStore) Guest(context.Context, account.Link) (account.Person, error) {
	return account.Person{Language: "en", Unit: length.Inches}, nil
}

func (s takingStore) Submit(_ context.Context, _ account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error) {
	*s.sentAt = sentAt
	return joblog.Outcome{CommandID: c.ID, Applied: true, LastSeq: 9}, nil
}

const takenJob = "018f0000-0000-7000-8000-0000000000aa"

// A homeowner's batch that takes long to arrive was not sent by a clock that is off, and its
// answer says what time it is.
func TestAHomeownersBatchIsTakenByTheClock(t *testing.T) {
	t.Parallel()
	began := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)
	const slow = 90 * time.Second
	now := began
	var sentAt time.Time
	s := New(Config{Store: takingStore{sentAt: &sentAt}, Sessions: detached(), Clock: func() time.Time { return now }})
	body := `{"sent_at":"` + began.Format(time.RFC3339) + `","commands":[{"id":"018f0000-0000-7000-8000-000000000001","v":1,"kind":"note","job_id":"` + takenJob + `"}]}`
	r := httptest.NewRequest(http.MethodPost, prefix+"/walk/commands", readAs{strings.NewReader(body), func() { now = began.Add(slow) }})
	r.Header.Set("Authorization", "Bearer x")
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	var out CommandOutcomes
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil || len(out.Outcomes) != 1 || out.Seq != 9 {
		t.Fatalf("got %d %s (%v), want the outcome", w.Code, w.Body, err)
	}
	if want := began.Add(slow); !sentAt.Equal(want) || !out.ServerTime.Equal(want) {
		t.Errorf("sent at %s, server time %s: want both %s, the arrival taken off", sentAt, out.ServerTime, want)
	}
}

// readAs does something as it is read.
type readAs struct {
	io.Reader
	do func()
}

func (r readAs) Read(p []byte) (int, error) {
	r.do()
	return r.Reader.Read(p)
}
