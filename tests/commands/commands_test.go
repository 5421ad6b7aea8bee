// Package commands holds what released apps have sent. A phone that was away for a year
// still delivers its work, so each recording here is accepted for good and means what it
// meant: nothing in this folder is ever edited, only added to.
package commands

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) { os.Exit(testdb.Main(m)) }

var update = flag.Bool("update", false, "write what new recordings mean; one that is there is never written over")

// recording is a job's log as a service of its time answered it.
type recording struct {
	Entries []recorded `json:"entries"`
}

type recorded struct {
	Seq      int64           `json:"seq"`
	Command  json.RawMessage `json:"command"`
	PersonID string          `json:"person_id"`
	Role     joblog.Role     `json:"role"`
	DidAt    time.Time       `json:"did_at"`
	LoggedAt time.Time       `json:"logged_at"`
}

// TestOldCommandsAreAccepted replays every recording against today's service: each command
// is accepted with the number it had, is kept as it was sent, and the job comes out the same.
func TestOldCommandsAreAccepted(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("v*/*.log.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("recordings: got %v (%v), want at least one", files, err)
	}
	for _, file := range files {
		t.Run(file, func(t *testing.T) {
			t.Parallel()
			replay(t, file)
		})
	}
}

func replay(t *testing.T, file string) {
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var rec recording
	if err := json.Unmarshal(text, &rec); err != nil {
		t.Fatal(err)
	}
	var now atomic.Pointer[time.Time]
	now.Store(&rec.Entries[0].LoggedAt)
	store, err := postgres.Open(t.Context(), testdb.New(t).AppURL, postgres.Options{MaxConns: 2, Clock: func() time.Time { return *now.Load() }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	viewers := people(t, store, rec)

	var job string
	for _, e := range rec.Entries {
		var c joblog.Command
		if err := json.Unmarshal(e.Command, &c); err != nil {
			t.Fatalf("entry %d cannot be read any more: %v", e.Seq, err)
		}
		job = c.JobID
		now.Store(&e.LoggedAt)
		// The device's clock, as wrong as it was.
		sentAt := e.LoggedAt.Add(c.At.Sub(e.DidAt))
		out, err := store.Submit(t.Context(), viewers[e.PersonID], c, sentAt)
		if err != nil {
			t.Fatalf("entry %d, %s: %v", e.Seq, c.Kind, err)
		}
		if !out.Applied || out.LastSeq != e.Seq {
			t.Fatalf("entry %d, %s: got applied %t with number %d and %+v, want it accepted as it was", e.Seq, c.Kind, out.Applied, out.LastSeq, out.Findings)
		}
	}

	state := joblog.NewState()
	lead := viewers[rec.Entries[0].PersonID]
	for after := int64(0); after < int64(len(rec.Entries)); {
		page, _, err := store.Entries(t.Context(), lead, job, after, "", postgres.MostEntries)
		if err != nil || len(page) == 0 {
			t.Fatalf("the log after %d: %d entries, %v", after, len(page), err)
		}
		for _, e := range page {
			if want := rec.Entries[e.Seq-1]; !same(t, e.Command, want.Command) || !e.DidAt.Equal(want.DidAt) {
				t.Errorf("entry %d is not kept as it was sent:\n got %+v at %s\nwant %s at %s", e.Seq, e.Command, e.DidAt, want.Command, want.DidAt)
			}
			state.Apply(e)
		}
		after = page[len(page)-1].Seq
	}
	compare(t, strings.TrimSuffix(file, ".log.json")+".means.json", meaning(state, *now.Load()))
}

// people puts everyone of the recording into a company, with the ids they had.
func people(t *testing.T, store *postgres.Store, rec recording) map[string]account.Viewer {
	t.Helper()
	company := account.Company{ID: uuid.Must(uuid.NewV7()).String(), Name: "A crew of then"}
	if err := store.CreateCompany(t.Context(), company); err != nil {
		t.Fatal(err)
	}
	hasher, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	hash, err := hasher.Hash(t.Context(), "nobody signs in here")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]account.Viewer{}
	add := func(id string, role joblog.Role) {
		if _, known := out[id]; known || id == "" {
			return
		}
		p := account.Person{ID: id, CompanyID: company.ID, Name: "One of them", Role: role, Language: "en", Unit: length.Inches}
		var err error
		if role == joblog.Guest {
			err = store.AddGuest(t.Context(), out[rec.Entries[0].PersonID], p)
		} else {
			p.SignIn = "one-" + id
			err = store.AddPerson(t.Context(), p, hash)
		}
		if err != nil {
			t.Fatal(err)
		}
		out[id] = p.Viewer()
	}
	for _, e := range rec.Entries {
		add(e.PersonID, e.Role)
	}
	for _, e := range rec.Entries {
		var c joblog.Command
		if json.Unmarshal(e.Command, &c) == nil && c.Assign != nil {
			add(c.Assign.PersonID, joblog.Installer) // given work, and has done nothing yet
		}
	}
	return out
}

// same reports whether a command says what was sent, all of it and no more.
func same(t *testing.T, got joblog.Command, sent json.RawMessage) bool {
	t.Helper()
	text, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	var a, b any
	if err := json.Unmarshal(text, &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(sent, &b); err != nil {
		t.Fatal(err)
	}
	return reflect.DeepEqual(a, b)
}

// itemMeaning is what the log comes to for one item, without words and drawings, which may
// get better, and without cut lengths, which a corrected rule may change.
type itemMeaning struct {
	Name     string                   `json:"name"`
	Given    string                   `json:"assigned_to,omitempty"`
	Readings map[string]length.Length `json:"readings,omitempty"`
	Takes    map[string]int           `json:"takes,omitempty"`
	Cut      map[string]length.Length `json:"cut,omitempty"`
	Done     []string                 `json:"done,omitempty"`
	Nails    int                      `json:"nails"`
	Holes    int                      `json:"holes"`
	Gaps     int                      `json:"gaps"`
	Coats    int                      `json:"coats"`
}

func meaning(state *joblog.State, now time.Time) []itemMeaning {
	var out []itemMeaning
	for _, room := range joblog.ViewJob(state, nil, joblog.Reader{Now: now}).Rooms {
		for _, pole := range room.Items {
			v := joblog.ViewItem(state.Scope(nil, joblog.Command{ItemID: pole.ID}), joblog.Reader{Now: now})
			m := itemMeaning{Name: v.Name, Given: v.AssignedTo, Readings: map[string]length.Length{}, Takes: map[string]int{}, Cut: map[string]length.Length{},
				Nails: len(v.Fasteners), Holes: len(v.Holes), Gaps: len(v.WallGaps), Coats: len(v.Coats)}
			for _, r := range v.Readings {
				if r.Value != nil {
					m.Readings[r.Name] = *r.Value
				}
				if len(r.Takes) > 0 {
					m.Takes[r.Name] = len(r.Takes)
				}
			}
			for _, c := range v.Cuts {
				if c.Record != nil {
					m.Cut[c.Piece] = c.Record.AsCut
				}
			}
			for _, s := range v.Stages {
				if s.Done != nil {
					m.Done = append(m.Done, string(s.Stage))
				}
			}
			out = append(out, m)
		}
	}
	return out
}

func compare(t *testing.T, file string, got []itemMeaning) {
	t.Helper()
	text, err := json.MarshalIndent(got, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(file); *update && os.IsNotExist(err) {
		if err := os.WriteFile(file, append(text, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	golden, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var want []itemMeaning
	if err := json.Unmarshal(golden, &want); err != nil {
		t.Fatal(err)
	}
	var again []itemMeaning // as the file would hold it: empty lists and maps left out
	if err := json.Unmarshal(text, &again); err != nil {
		t.Fatal(err)
	}
	if len(again) != len(want) {
		t.Fatalf("items: got %d, want %d", len(again), len(want))
	}
	for i := range want {
		if !reflect.DeepEqual(again[i], want[i]) {
			t.Errorf("%s came to something else:\n got %+v\nwant %+v", want[i].Name, again[i], want[i])
		}
	}
}

// TestRecordingsCoverTheirDay holds each recording whole, and every kind of command there is in at least one: a kind that is
// added is recorded before it is released (DEVELOPERS.md, a release).
func TestRecordingsCoverTheirDay(t *testing.T) {
	t.Parallel()
	seen := map[joblog.Kind]bool{}
	files, _ := filepath.Glob("v*/*.log.json")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var rec recording
		if err := json.Unmarshal(text, &rec); err != nil {
			t.Fatal(err)
		}
		for i, e := range rec.Entries {
			var c joblog.Command
			if err := json.Unmarshal(e.Command, &c); err != nil {
				t.Fatal(err)
			}
			seen[c.Kind] = true
			if e.Seq != int64(i+1) {
				t.Fatalf("%s: entry %d stands at %d, want a whole log", file, e.Seq, i+1)
			}
		}
	}
	field, ok := reflect.TypeFor[joblog.Command]().FieldByName("Kind")
	if !ok {
		t.Fatal("a command has no kind")
	}
	for _, name := range strings.Split(field.Tag.Get("enum"), ",") {
		if !seen[joblog.Kind(name)] {
			t.Errorf("in no recording: %s", name)
		}
	}
}
