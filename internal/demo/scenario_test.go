package demo

import (
	"fmt"
	"testing"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// TestScenario plays the house and checks that each opening stands where its story says.
func TestScenario(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	n := 0
	id := func() string { n++; return fmt.Sprintf("018f0000-0000-7000-8000-%012d", n) }
	people := map[string]string{}
	for _, p := range Crew() {
		people[p.SignIn] = id()
	}
	steps := Scenario(now, people, id)
	state := joblog.NewState()
	refused := map[string]int{}
	for _, st := range steps {
		if st.At.After(now) {
			t.Fatalf("step at %v is after now", st.At)
		}
		role := joblog.Installer
		if st.By == "ruth" {
			role = joblog.Lead
		}
		d := joblog.Decide(state.Scope(nil, st.Command), st.Command, joblog.Actor{PersonID: people[st.By], Role: role}, st.At, st.At)
		for _, f := range d.Findings {
			if d.Refused {
				refused[f.Code]++
			}
		}
		for _, e := range d.Entries {
			e.Seq = state.Seq + 1
			state.Apply(e)
		}
	}
	if len(refused) != 1 || refused["caulk_in_large_hole"] != 1 {
		t.Errorf("refused %v, want only the caulk in the 16-gauge holes", refused)
	}
	want := map[string]struct {
		next stage.Stage
		held bool
	}{
		"Back hall door": {"", false}, "Garage door": {stage.Trimmed, true}, "Kitchen opening": {stage.Nailed, false},
		"Pantry door": {stage.Hung, true}, "Garden window": {stage.Measured, false}, "Attic stair door": {stage.Filled, false},
		"Linen closet door": {stage.Measured, false}, "North bedroom door": {stage.Trimmed, true}, "Closet pair": {stage.Measured, true},
		"Mudroom base": {stage.Caulked, false}, "Mudroom shoe": {stage.Trimmed, false}, "Dining room base": {stage.Nailed, false},
		"Dining room crown": {stage.Trimmed, false}, "Landing base": {stage.Measured, false}, "North bedroom base": {stage.Measured, true},
	}
	board := joblog.ViewJob(state, nil, joblog.Reader{Style: length.Style{Unit: length.Inches}, Now: now})
	if len(board.Rooms) != 4 {
		t.Errorf("%d rooms, want 4", len(board.Rooms))
	}
	for _, room := range board.Rooms {
		for _, p := range room.Items {
			t.Logf("%-20s %-8s held %-5v %s", p.Name, p.Next, p.Held, p.Sentence)
			if w := want[p.Name]; p.Next != w.next || p.Held != w.held {
				t.Errorf("%s is at %q held %v, want %q held %v", p.Name, p.Next, p.Held, w.next, w.held)
			}
			delete(want, p.Name)
		}
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
}
