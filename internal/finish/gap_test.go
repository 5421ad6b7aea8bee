package finish_test

import (
	"testing"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"

	"pgregory.net/rapid"
)

func TestCheckGap(t *testing.T) {
	t.Parallel()
	paint := finish.GapContext{Grade: trim.Paint, Rules: houserules.Defaults()}
	above, every, stain := paint, paint, paint
	above.SeenFromAbove = true
	every.Visibility = finish.AllEdges
	stain.Grade = trim.Stain
	caulk := func(w length.Length, backer bool, passes int) finish.Gap {
		return finish.Gap{Edge: finish.SideEdge, Width: w, Closing: finish.Caulked, Backer: backer, Passes: passes}
	}
	open := func(e finish.Edge, w length.Length) finish.Gap {
		return finish.Gap{Edge: e, Width: w, Closing: finish.LeftUnclosed}
	}
	scribe := func(w length.Length) finish.Gap {
		return finish.Gap{Edge: finish.SideEdge, Width: w, Closing: finish.Scribed}
	}
	// All common practice: caulk to 1/4, two passes over 1/8, backer or scribe to 1/2, then refit.
	for _, tt := range []struct {
		name string
		g    finish.Gap
		c    finish.GapContext
		want string
	}{
		{"1/8, one pass", caulk(in(0, 1, 8), false, 1), paint, ""},
		{"over 1/8, one pass", caulk(in(0, 1, 8)+1, false, 1), paint, "stop:gap_needs_passes"},
		{"over 1/8, two passes", caulk(in(0, 1, 8)+1, false, 2), paint, ""},
		{"caulked in no pass", caulk(in(0, 1, 16), false, 0), paint, "stop:gap_needs_passes"},
		{"1/4, two passes", caulk(in(0, 1, 4), false, 2), paint, ""},
		{"over 1/4, no backer", caulk(in(0, 1, 4)+1, false, 2), paint, "stop:gap_needs_backer"},
		{"over 1/4, backer", caulk(in(0, 1, 4)+1, true, 2), paint, ""},
		{"over 1/4, backer, one pass", caulk(in(0, 3, 8), true, 1), paint, "stop:gap_needs_passes"},
		{"3/8, nothing right", caulk(in(0, 3, 8), false, 1), paint, "stop:gap_needs_backer stop:gap_needs_passes"},
		{"3/8, scribed", scribe(in(0, 3, 8)), paint, ""},
		{"1/2, backer", caulk(in(0, 1, 2), true, 2), paint, ""},
		{"over 1/2, backer", caulk(in(0, 1, 2)+1, true, 2), paint, "stop:gap_refit"},
		{"over 1/2, scribed", scribe(in(0, 1, 2) + 1), paint, "stop:gap_refit"},
		{"shadow line open", open(finish.Between, 0), paint, "stop:shadow_line_open"},
		{"shadow line caulked", finish.Gap{Edge: finish.Between, Closing: finish.Caulked, Passes: 1}, paint, ""},
		{"side open, optional", open(finish.SideEdge, in(0, 1, 8)), paint, ""},
		{"side open, 3/8", open(finish.SideEdge, in(0, 3, 8)), paint, "warn:gap_wants_scribe"},
		{"top open, not seen", open(finish.TopEdge, in(0, 1, 8)), paint, ""},
		{"top open, seen from above", open(finish.TopEdge, 0), above, "stop:top_bead_missing"},
		{"side open, seen from above", open(finish.SideEdge, 0), above, ""},
		{"side open, every edge", open(finish.SideEdge, 0), every, "stop:bead_missing"},
		{"stain, caulked", caulk(in(0, 1, 16), false, 1), stain, "stop:gap_caulked_under_stain"},
		{"stain, shadow line caulked", finish.Gap{Edge: finish.Between, Closing: finish.Caulked, Passes: 1}, stain, "stop:gap_caulked_under_stain"},
		{"stain, open", open(finish.SideEdge, in(0, 1, 16)), stain, "note:gap_open_under_stain"},
		{"stain, shadow line open", open(finish.Between, 0), stain, ""},
		{"stain, 3/8 open", open(finish.SideEdge, in(0, 3, 8)), stain, "warn:gap_wants_scribe"},
		{"stain, scribed", scribe(in(0, 3, 8)), stain, ""},
		{"stain, over 1/2", scribe(in(0, 5, 8)), stain, "stop:gap_refit"},
		{"negative", caulk(-1, false, 1), paint, "stop:gap_size_bad"},
		{"over 100 ft", caulk(length.Longest+1, false, 1), paint, "stop:gap_size_bad"},
		{"passes", caulk(in(0, 1, 8), false, 10), paint, "stop:gap_passes_bad"},
		{"edge", open("ceiling", 0), paint, "stop:entry_unknown"},
		{"closing", finish.Gap{Edge: finish.TopEdge, Closing: "tape"}, paint, "stop:entry_unknown"},
		{"grade", open(finish.TopEdge, 0), finish.GapContext{Rules: houserules.Defaults()}, "stop:entry_unknown"},
		{"visibility", open(finish.TopEdge, 0), finish.GapContext{Grade: trim.Paint, Visibility: "x", Rules: houserules.Defaults()}, "stop:entry_unknown"},
	} {
		if got := codes(finish.CheckGap(tt.g, tt.c)); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestCheckGaps(t *testing.T) {
	t.Parallel()
	side := []finish.Gap{{Edge: finish.SideEdge, Closing: finish.Caulked, Passes: 1}}
	top := append(side, finish.Gap{Edge: finish.TopEdge, Closing: finish.Caulked, Passes: 1})
	for _, tt := range []struct {
		name  string
		gaps  []finish.Gap
		grade trim.Grade
		above bool
		want  string
	}{
		{"nothing", nil, trim.Paint, false, "stop:gaps_not_logged"},
		{"side", side, trim.Paint, false, ""},
		{"seen from above", side, trim.Paint, true, "stop:top_bead_not_logged"},
		{"seen from above, top logged", top, trim.Paint, true, ""},
		{"stain", nil, trim.Stain, true, ""},
	} {
		c := finish.GapContext{Grade: tt.grade, SeenFromAbove: tt.above, Rules: houserules.Defaults()}
		if got := codes(finish.CheckGaps(tt.gaps, c)); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// A wider gap never wants less: not fewer passes, not less backer, not less caulk.
func TestWiderGapNeverWantsLess(t *testing.T) {
	t.Parallel()
	r := houserules.Defaults()
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Int64Range(0, int64(in(0, 3, 4)))
		a, b := length.Length(w.Draw(t, "a")), length.Length(w.Draw(t, "b"))
		if a > b {
			a, b = b, a
		}
		p, q := finish.PlanGap(a, trim.Paint, r), finish.PlanGap(b, trim.Paint, r)
		if q.Passes < p.Passes || p.Backer && !q.Backer || p.Scribe && !q.Scribe || p.Refit && !q.Refit {
			t.Fatalf("%s wants %+v but wider %s wants %+v", a.Exact("in"), p, b.Exact("in"), q)
		}
		if q.Refit {
			return
		}
		use := func(width length.Length) float64 {
			g := finish.Gap{Edge: finish.SideEdge, Width: width, Run: 8 * length.Foot, Closing: finish.Caulked}
			s, fs := finish.Cartridges(finish.BeadsOf(g, trim.Paint, r), finish.CartridgeFluidOunces, r)
			if len(fs) > 0 {
				t.Fatalf("%s: %s", width.Exact("in"), codes(fs))
			}
			return s.CubicInches
		}
		if use(b) < use(a) {
			t.Fatalf("%s takes %.4f in³ but wider %s takes %.4f", a.Exact("in"), use(a), b.Exact("in"), use(b))
		}
	})
}
