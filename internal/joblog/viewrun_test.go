package joblog_test

import (
	"strings"
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// TestRunIsDrawn follows a run from bare walls to cut pieces: the plan asks for the walls,
// then shows what is worked out beside what is taped, and every piece and corner.
func TestRunIsDrawn(t *testing.T) {
	t.Parallel()
	s, _, _ := newRoomSite(t)
	if got := drawn(t, s.view().Drawing, "wall_1_length"); got.State != "next" || got.Text != "wall 1" {
		t.Errorf("the first wall is drawn %q %q, want next, wall 1", got.State, got.Text)
	}
	for i, l := range []length.Length{in(144, 0, 0), in(120, 0, 0), in(144, 0, 0), in(120, 0, 0)} {
		s.wall(i+1, l)
	}
	v := s.view()
	if got := drawn(t, v.Drawing, "wall_3_stretch_1"); got.State != "computed" || got.Text != "144" {
		t.Errorf("the back wall is drawn %q %q, want worked out, 144", got.State, got.Text)
	}
	s.take("wall_3_stretch_1", in(143, 13, 16))
	v = s.view()
	if got := drawn(t, v.Drawing, "wall_3_stretch_1"); got.State != "disagree" || got.Text != "143 13/16" {
		t.Errorf("taped 3/16 short it is drawn %q %q, want disagree, 143 13/16", got.State, got.Text)
	}
	if len(v.Run.Pieces) != 5 || len(v.Run.Corners) != 4 {
		t.Fatalf("%d pieces and %d corners, want 5 and 4", len(v.Run.Pieces), len(v.Run.Corners))
	}
	for _, p := range v.Run.Pieces {
		if p.Wall == 3 && (p.Taped != "143 13/16" || p.Worked != "144" || p.Apart != "3/16" || p.Reading != "wall_3_stretch_1") {
			t.Errorf("the back wall's piece is %+v", p)
		}
	}
	for _, c := range v.Run.Corners {
		if got := drawn(t, v.CutDrawing, c.Key); got.Name == "" || len(c.Drawing.Shapes) == 0 {
			t.Errorf("corner %d is drawn %+v, its section of %d shapes", c.After, got, len(c.Drawing.Shapes))
		}
	}
	for _, c := range v.Cuts {
		if got := drawn(t, v.CutDrawing, c.Piece); got.Text != c.Tape.Text || got.State != "computed" {
			t.Errorf("%s is drawn %q %q, want computed, %s", c.Piece, got.State, got.Text, c.Tape.Text)
		}
		if !strings.HasPrefix(c.Label, "wall ") || strings.Contains(c.Label, "_") {
			t.Errorf("a piece is called %q", c.Label)
		}
	}
	d := s.take("wall_3_stretch_1", in(144, 0, 0))
	s.do(installer, joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "wall_3_stretch_1", TakeID: d.Entries[0].Command.ID}})
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	if got := drawn(t, s.view().CutDrawing, "wall_3_piece_1").State; got != "taken" {
		t.Errorf("a piece cut right is drawn %q, want taken", got)
	}
}

// TestRoomHasItsPlan: the board's room has its walls drawn, its items on them, and says how
// far the walk fails to close.
func TestRoomHasItsPlan(t *testing.T) {
	t.Parallel()
	s, base, _ := newRoomSite(t)
	room := func() *joblog.RoomPlanView {
		for _, r := range joblog.ViewJob(s.state, nil, joblog.Reader{Now: s.now}).Rooms {
			if r.ID == s.room {
				return r.Plan
			}
		}
		t.Fatal("no such room")
		return nil
	}
	if p := room(); p == nil || p.Known || p.Closes || drawn(t, p.Drawing, base).Kind != "spot" {
		t.Fatalf("before any wall is read the plan is %+v", p)
	}
	for i, l := range []length.Length{in(144, 0, 0), in(120, 0, 0), in(144, 0, 0), in(110, 0, 0)} {
		s.wall(i+1, l)
	}
	p := room()
	if p.Closes || !p.Known || p.OpenBy != "10" || p.Perimeter != "518" || len(p.Findings) == 0 || p.Findings[0].Code != "room_does_not_close" {
		t.Errorf("10 in short the plan says %+v", p)
	}
	for _, r := range p.Readings {
		if !r.OfRoom {
			t.Errorf("%s is not the room's", r.Name)
		}
	}
	s.wall(4, in(120, 0, 0))
	if p := room(); p.Known || p.Readings[12].State != joblog.ReadingDisagree {
		t.Errorf("with takes 10 in apart the plan says known %v", p.Known)
	}
}
