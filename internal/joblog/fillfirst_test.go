package joblog_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// TestFillerGoesBeforeCaulk: a bead over open 16-gauge holes is taken with a warning, which
// stands until they are filled. Brads' holes may wait, and an edge left open is no bead.
func TestFillerGoesBeforeCaulk(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	told := func(what string, fs []finding.Finding, want bool) {
		t.Helper()
		got := false
		for _, f := range fs {
			got = got || f.Code == "fill_before_caulk" && f.Severity == finding.Warn && f.Stage == string(stage.Caulked)
		}
		if got != want {
			t.Errorf("%s: warned %v, want %v:%s", what, got, want, words(fs))
		}
	}
	bead := caulked(in(0, 1, 16), joblog.Used{})
	s.drive(finish.Brad18, in(1, 1, 4), 24, finish.JambEdge)
	told("over brads' holes", s.do(installer, bead).Findings, false)
	s.drive(finish.Finish16, in(2, 1, 2), 24, finish.Stud)
	told("bead logged before the nails", s.view().Findings, true)
	told("another bead", s.do(installer, bead).Findings, true)
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	told("filled", s.view().Findings, false)
	told("a bead after that", s.do(installer, bead).Findings, false)

	s = newSite(t)
	s.drive(finish.Finish16, in(2, 1, 2), 24, finish.Stud)
	left := joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: length.Sixteenth, Closing: finish.LeftUnclosed}}}
	told("an edge left open", s.do(installer, left).Findings, false)
	told("and seen", s.view().Findings, false)
}
