package joblog_test

import (
	"slices"
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/trim"
)

// TestCautionsOfTheUnit: a label makes a fire door whatever the core is called, and a fire
// door on the way out is both.
func TestCautionsOfTheUnit(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name       string
		set        func(*trim.Unit)
		fire, exit bool
	}{
		{"neither", func(*trim.Unit) {}, false, false},
		{"fire-rated core", func(u *trim.Unit) { u.Core = trim.FireRated }, true, false},
		{"solid core with a label", func(u *trim.Unit) { u.FireLabel = "20 min" }, true, false},
		{"exit", func(u *trim.Unit) { u.Exit = true }, false, true},
		{"accessible", func(u *trim.Unit) { u.Accessible = true }, false, true},
		{"fire-rated exit", func(u *trim.Unit) { u.Core, u.FireLabel, u.Exit = trim.FireRated, "90 min", true }, true, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.set(func(sp *joblog.Spec) { tt.set(&sp.Unit) })
			said, terms := s.view().Cautions, joblog.Words("en").Terms
			for key, want := range map[string]bool{"caution_fire_door": tt.fire, "caution_exit_door": tt.exit} {
				if got := slices.Contains(said, terms[key]); terms[key] == "" || got != want {
					t.Errorf("%s is said: %v, want %v", key, got, want)
				}
			}
		})
	}
}
