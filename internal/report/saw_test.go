package report_test

import (
	"bytes"
	"context"
	"os"
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/demo"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/report"
	"longpoint/internal/yard"
)

// The sheet of the invented house, in both languages, is a PDF that says the same when it is
// made again. LONGPOINT_REPORT_FOLDER keeps it to be looked at.
func TestSawSheet(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	newID := func() string { return uuid.Must(uuid.NewV7()).String() }
	ids := map[string]string{}
	roles := map[string]joblog.Role{}
	for _, p := range demo.Crew() {
		ids[p.SignIn], roles[p.SignIn] = newID(), p.Role
	}
	st := joblog.NewState()
	for _, step := range demo.Scenario(now, ids, newID) {
		for _, e := range joblog.Decide(st.Scope(nil, step.Command), step.Command, joblog.Actor{PersonID: ids[step.By], Role: roles[step.By]}, step.At, step.At).Entries {
			e.Seq = st.Seq + 1
			st.Apply(e)
		}
	}
	ctx, stop := context.WithTimeout(context.Background(), 4*time.Second)
	defer stop()
	plan, err := yard.Make(ctx, yard.Making{State: st, Yard: demo.Yard(), Ask: yard.Ask{Nest: true}, Now: now, NewID: newID, Clock: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range []string{"en", "es"} {
		v := yard.Look(plan, st, nil, joblog.Reader{Language: lang, Style: length.Style{Unit: length.Inches}, Now: now})
		words := yard.Words(lang)
		made, err := report.Saw(v, st.Job.Name, words.Term("printed")+" 2026-03-04 12:00 UTC", words, lang, now)
		if err != nil {
			t.Fatal(err)
		}
		again, err := report.Saw(v, st.Job.Name, words.Term("printed")+" 2026-03-04 12:00 UTC", words, lang, now)
		if err != nil || !bytes.Equal(made, again) {
			t.Errorf("%s: made twice it differs (%v)", lang, err)
		}
		if !bytes.HasPrefix(made, []byte("%PDF-")) || len(made) < 10_000 {
			t.Errorf("%s: got %d bytes beginning %.8q, want a PDF with its font", lang, len(made), made)
		}
		if dir := os.Getenv("LONGPOINT_REPORT_FOLDER"); dir != "" {
			if err := os.WriteFile(dir+"/saw-"+lang+".pdf", made, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
