package joblog_test

import (
	"strings"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
)

func (s *site) wait() { s.now = s.now.Add(5 * time.Hour) }

func (s *site) fill() {
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	s.wait()
	s.do(installer, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish16}})
}

func (s *site) caulk() {
	s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 1, 16),
		Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Class: finish.Class25}}}})
	s.wait()
}

func (s *site) coat() {
	s.do(installer, joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{}})
	s.wait()
}

func (s *site) reopen(st stage.Stage, why string) {
	s.do(installer, joblog.Command{Kind: joblog.ReopenStageKind, ReopenStage: &joblog.ReopenStage{Stage: st, Reason: why}})
}

// TestANailHoleThatShowsIsFilledAgain: ticking the reopened stage asks for a fill made since,
// and what was filled anew asks for a coat over it. Neither asks for the bead again.
func TestANailHoleThatShowsIsFilledAgain(t *testing.T) {
	t.Parallel()
	s := painted(t)
	s.wait()
	s.reopen(stage.Filled, "A nail hole shows.")
	for _, st := range []stage.Stage{stage.Filled, stage.Caulked, stage.Painted} {
		s.wantStatus(st, stage.Redone)
	}
	f := s.refused(installer, s.tickCommand(stage.Filled), "fill_again")
	if said := joblog.Words("en").Render(f, style).Sentence; !strings.HasSuffix(said, "A nail hole shows.") {
		t.Errorf("it says %q, without why it was reopened", said)
	}
	if n := s.view().Next; n == nil || n.Stage != stage.Filled || !strings.Contains(n.Sentence, "A nail hole shows.") {
		t.Errorf("next is %+v, want filling and why", n)
	}
	s.fill()
	s.tick(stage.Filled)
	s.tick(stage.Caulked)
	s.refused(installer, s.tickCommand(stage.Painted), "coat_again")
	s.coat()
	s.tick(stage.Painted)
	if n := s.view().Next; n != nil {
		t.Errorf("next is %+v, want nothing left", n)
	}
}

func TestABeadThatCrackedIsCaulkedAgain(t *testing.T) {
	t.Parallel()
	s := painted(t)
	s.reopen(stage.Caulked, "The bead cracked.")
	s.refused(installer, s.tickCommand(stage.Caulked), "caulk_again")
	s.caulk()
	s.tick(stage.Caulked)
	s.refused(installer, s.tickCommand(stage.Painted), "coat_again")
	s.coat()
	s.tick(stage.Painted)
}

func TestPaintThatRanIsPaintedAgain(t *testing.T) {
	t.Parallel()
	s := painted(t)
	s.reopen(stage.Painted, "The paint ran.")
	s.refused(installer, s.tickCommand(stage.Painted), "coat_again")
	s.coat()
	s.tick(stage.Painted)
}

// TestAFillFromBeforeDoesNotMend: what was done before the reopening and arrives after it is not
// the work that was asked for.
func TestAFillFromBeforeDoesNotMend(t *testing.T) {
	t.Parallel()
	s := painted(t)
	before := s.now
	s.wait()
	s.reopen(stage.Filled, "A nail hole shows.")
	now := s.now
	s.now = before.Add(time.Minute)
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	s.now = now.Add(time.Hour)
	s.do(installer, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish16}})
	s.refused(installer, s.tickCommand(stage.Filled), "fill_again")
}

// TestReopeningWhatItRestsOnAsksForNoNewPaint where nothing was filled or caulked anew, and a
// stage reopened for itself stays so when one before it is reopened too.
func TestReopeningWhatItRestsOnAsksForNoNewPaint(t *testing.T) {
	t.Parallel()
	s := painted(t)
	s.reopen(stage.Nailed, "To look behind it.")
	for _, st := range []stage.Stage{stage.Nailed, stage.Filled, stage.Caulked, stage.Painted} {
		s.tick(st)
	}
	s.reopen(stage.Painted, "The paint ran.")
	s.reopen(stage.Nailed, "To look behind it.")
	for _, st := range []stage.Stage{stage.Nailed, stage.Filled, stage.Caulked} {
		s.tick(st)
	}
	s.refused(installer, s.tickCommand(stage.Painted), "coat_again")
}
