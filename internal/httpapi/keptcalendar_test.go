package httpapi

import (
	"context"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/forecast"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// leadsStore is a lead's, who reads two jobs and has work in the first. It counts what is loaded.
type leadsStore struct {
	Store
	seq    int64
	rules  houserules.Set
	loaded map[string]int
}

func (s *leadsStore) CalendarOf(context.Context, string) (account.Person, string, error) {
	return account.Person{ID: "ines", CompanyID: "ours", Role: joblog.Lead, Language: "en", Unit: length.Inches}, "America/Denver", nil
}

func (s *leadsStore) HouseRules(context.Context, account.Viewer) (houserules.Set, error) {
	return s.rules, nil
}

func (s *leadsStore) Jobs(_ context.Context, v account.Viewer) ([]JobLine, error) {
	jobs := []JobLine{{ID: "theirs", Seq: s.seq}}
	if v.Role.Leads() {
		jobs = append(jobs, JobLine{ID: "another's", Seq: 1})
	}
	return jobs, nil
}

func (s *leadsStore) Marks(context.Context, account.Viewer) ([]forecast.Mark, error) { return nil, nil }

func (s *leadsStore) Job(_ context.Context, _ account.Viewer, job string) (*joblog.State, houserules.Set, error) {
	s.loaded[job]++
	st := joblog.NewState()
	st.Job = &joblog.Job{ID: job}
	return st, s.rules, nil
}

// A calendar program that asks again and again has nothing worked out anew that did not move, and
// a lead's does not load every job there is.
func TestACalendarIsMadeWhenSomethingMoved(t *testing.T) {
	t.Parallel()
	store := &leadsStore{seq: 1, loaded: map[string]int{}}
	now := time.Date(2026, 3, 2, 15, 1, 0, 0, time.UTC)
	s := New(Config{Store: store, Sessions: detached(), Clock: func() time.Time { return now }})
	made := 0
	for _, step := range []struct {
		what string
		do   func()
		anew bool
	}{
		{"at first", func() {}, true},
		{"again", func() {}, false},
		{"an entry later", func() { store.seq++ }, true},
		{"the company's rules are others", func() { store.rules = houserules.Set{"recoat": 300} }, true},
		{"minutes later", func() { now = now.Add(10 * time.Minute) }, false},
		{"the next quarter of an hour", func() { now = now.Add(10 * time.Minute) }, true},
	} {
		step.do()
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, prefix+"/calendar/a-link.ics", nil))
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != contentICS || w.Body.Len() == 0 {
			t.Fatalf("%s: got %d %s %q, want a calendar", step.what, w.Code, w.Header().Get("Content-Type"), w.Body)
		}
		if step.anew {
			made++
		}
		if store.loaded["theirs"] != made {
			t.Errorf("%s: the job was loaded %d times in all, want %d", step.what, store.loaded["theirs"], made)
		}
	}
	if n := store.loaded["another's"]; n != 0 {
		t.Errorf("a job in which the lead has nothing to do was loaded %d times", n)
	}
}
