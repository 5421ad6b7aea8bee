package joblog_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// walled is a door whose wall is that thick, with 3/4 casing on both faces and 1 1/4 hand
// nails at the studs, which no wall lets reach far enough.
func walled(t *testing.T, buildUp length.Length, layers map[string]length.Length) *site {
	t.Helper()
	s := newSite(t)
	s.take("wall_build_up", buildUp)
	for name, v := range layers {
		s.take(name, v)
	}
	s.drive(finish.HandFinish, in(1, 1, 4), 24, finish.Stud)
	return s
}

// TestNailsGoThroughTheWallAsItIs: casing + wall layers + 3/4 in the stud. Layers that were not
// read are told from an ordinary wall alone: a 2x4 or 2x6 (3 1/2 and 5 1/2, PS 20) with one
// board of 1/2 or 5/8 a face (common practice).
func TestNailsGoThroughTheWallAsItIs(t *testing.T) {
	t.Parallel()
	type read = map[string]length.Length
	for _, tt := range []struct {
		name    string
		buildUp length.Length
		layers  read
		need    length.Length // zero where it is not known
		asks    string
	}{
		{"2x4, 1/2 boards", in(4, 1, 2), nil, in(2, 0, 0), ""},
		{"2x4, 1/2 boards, painted", in(4, 9, 16), nil, in(2, 1, 32), ""},
		{"2x4, 1/2 and 5/8: the thicker", in(4, 5, 8), nil, in(2, 1, 8), ""},
		{"2x4, 5/8 boards", in(4, 3, 4), nil, in(2, 1, 8), ""},
		{"2x6, 1/2 boards", in(6, 1, 2), nil, in(2, 0, 0), ""},
		{"2x6, 5/8 boards", in(6, 3, 4), nil, in(2, 1, 8), ""},
		{"a hair under a 2x4 with 1/2 boards", in(4, 7, 16) - 1, nil, 0, "layers_a"},
		{"a hair over a 2x4 with 5/8 boards", in(4, 13, 16) + 2, nil, 0, "layers_a"},
		// What used to be taken for a deeper stud with less on it.
		{"2x4, two 1/2 boards a face", in(5, 1, 2), nil, 0, "layers_a"},
		{"2x4, two 5/8 boards a face", in(6, 0, 0), nil, 0, "layers_a"},
		{"2x3, 1/2 boards", in(3, 1, 2), nil, 0, "layers_a"},
		{"the same, read", in(5, 1, 2), read{"layers_a": in(1, 0, 0), "layers_b": in(1, 0, 0)}, in(2, 1, 2), ""},
		{"the same, read", in(6, 0, 0), read{"layers_a": in(1, 1, 4), "layers_b": in(1, 1, 4)}, in(2, 3, 4), ""},
		{"the same, read", in(3, 1, 2), read{"layers_a": in(0, 1, 2), "layers_b": in(0, 1, 2)}, in(2, 0, 0), ""},
		// What is read wins, the thicker face decides, and the other follows from it where it can.
		{"an ordinary wall that is none", in(4, 1, 2), read{"layers_a": in(1, 0, 0), "layers_b": in(1, 0, 0)}, in(2, 1, 2), ""},
		{"unequal faces", in(5, 0, 0), read{"layers_a": in(0, 1, 2), "layers_b": in(1, 0, 0)}, in(2, 1, 2), ""},
		{"unequal faces, one read", in(5, 0, 0), read{"layers_a": in(1, 0, 0)}, in(2, 1, 2), ""},
		{"one read, the other then no single board", in(5, 1, 2), read{"layers_a": in(1, 0, 0)}, 0, "layers_b"},
		{"one read, a 2x3 with two boards", in(4, 1, 2), read{"layers_b": in(1, 0, 0)}, 0, "layers_a"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			s := walled(t, tt.buildUp, tt.layers)
			short, asked := s.found("nail_short"), s.found("bite_unchecked")
			switch {
			case tt.need > 0 && (short == nil || args(short)["need"] != tt.need || asked != nil):
				t.Errorf("want a need of %s:%s", tt.need.Exact("in"), words(s.view().Findings))
			case tt.need == 0 && (asked == nil || asked.Severity != finding.Warn || short != nil):
				t.Errorf("want it unchecked:%s", words(s.view().Findings))
			case tt.need == 0 && asked.Args[len(asked.Args)-1].Term != tt.asks:
				t.Errorf("it asks %q, want %s", asked.Remedy, tt.asks)
			}
		})
	}
}

// TestTheCasingOfTheFaceCounts: thick casing over thin layers and thin casing over thick ones
// are each judged as they are, the one that asks more of the nail decides.
func TestTheCasingOfTheFaceCounts(t *testing.T) {
	t.Parallel()
	s := walled(t, in(5, 0, 0), map[string]length.Length{"layers_a": in(0, 1, 2), "layers_b": in(1, 0, 0)})
	s.set(func(sp *joblog.Spec) { sp.CasingA.Thickness, sp.CasingB.Thickness = in(1, 0, 0), in(0, 5, 8) })
	if f := s.found("nail_short"); f == nil || args(f)["need"] != in(2, 3, 8) { // 5/8 + 1 + 3/4
		t.Errorf("want a need of 2 3/8:%s", words(s.view().Findings))
	}
	s.set(func(sp *joblog.Spec) { sp.CasingB = nil })
	if f := s.found("nail_short"); f == nil || args(f)["need"] != in(2, 0, 0) { // 3/4 + 1/2 + 3/4
		t.Errorf("cased on A alone, want a need of 2:%s", words(s.view().Findings))
	}
}

// TestWhatIsAskedForCanBeEntered: what a nail's bite wants can be given on that very item, a
// window too, and it does not keep it from being measured.
func TestWhatIsAskedForCanBeEntered(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.set(func(sp *joblog.Spec) {
		sp.Unit, sp.CasingB = trim.CommonUnit(trim.Window), nil
		sp.CasingA.Style, sp.CasingA.Overhang = trim.Mitered, 0
	})
	for _, r := range s.view().Readings {
		if r.Name == "layers_a" && r.Required || r.Name == "layers_b" {
			t.Errorf("a window's %s, required: %v", r.Name, r.Required)
		}
	}
	s.drive(finish.Finish16, in(1, 1, 2), 24, finish.Stud)
	f := s.found("bite_unchecked")
	if f == nil || f.Severity != finding.Warn || f.Stage != string(stage.Nailed) {
		t.Fatalf("%+v, want a warning that the bite is unchecked", f)
	}
	asked := f.Args[len(f.Args)-1].Term
	s.refused(installer, joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: asked, Value: in(4, 0, 0) + 1}}, "reading_impossible")
	s.take(asked, in(0, 5, 8))
	if f := s.found("nail_short"); f == nil || s.found("bite_unchecked") != nil {
		t.Errorf("a 1 1/2 nail through 3/4 and 5/8:%s", words(s.view().Findings))
	}
}
