package joblog_test

import (
	"testing"

	"longpoint/internal/drawing"
	"longpoint/internal/stage"
)

func drawn(t *testing.T, d drawing.Drawing, key string) drawing.Shape {
	t.Helper()
	for _, s := range d.Shapes {
		if s.Key == key {
			return s
		}
	}
	t.Fatalf("nothing is drawn for %s", key)
	return drawing.Shape{}
}

// TestViewIsDrawn follows one opening from no reading to cut pieces and looks at its
// drawings at each step.
func TestViewIsDrawn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	if got := drawn(t, s.view().Drawing, "width_bottom").State; got != "next" {
		t.Errorf("the first reading is %q before any is taken, want next", got)
	}
	s.take("width_bottom", in(30, 0, 0))
	s.take("width_bottom", in(30, 1, 2))
	got := drawn(t, s.view().Drawing, "width_bottom")
	if got.State != "disagree" || got.Text != "30 1/2" {
		t.Errorf("takes 1/2 apart are drawn %q %q, want disagree and the latest, 30 1/2", got.State, got.Text)
	}

	s = newSite(t)
	s.takeAll()
	v := s.view()
	for _, r := range v.Readings {
		if r.State != "taken" {
			continue
		}
		if got := drawn(t, v.Drawing, r.Name); got.State != "taken" || got.Text != r.Tape.Text && "-"+got.Text != r.Tape.Text {
			t.Errorf("%s is drawn %q %q, want taken, %s", r.Name, got.State, got.Text, r.Tape.Text)
		}
	}
	for _, c := range v.Cuts {
		if got := drawn(t, v.CutDrawing, c.Piece); got.Text != c.Tape.Text || got.State != "computed" {
			t.Errorf("%s is drawn %q %q, want computed, %s", c.Piece, got.State, got.Text, c.Tape.Text)
		}
		if got := drawn(t, c.Drawing, c.Piece); got.Text != c.Tape.Text {
			t.Errorf("%s reads %q on its own sheet, want %s", c.Piece, got.Text, c.Tape.Text)
		}
	}

	s.cut(stage.Trimmed)
	if got := drawn(t, s.view().CutDrawing, "slab").State; got != "taken" {
		t.Errorf("a slab cut right is drawn %q, want taken", got)
	}
	s.take("height_hinge", in(80, 5, 16))
	s.take("height_strike", in(80, 7, 16))
	if got := drawn(t, s.view().CutDrawing, "leg_hinge").State; got != "stale" {
		t.Errorf("a leg cut to readings that changed is drawn %q, want stale", got)
	}
}
