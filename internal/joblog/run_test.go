package joblog_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// newRoomSite is a site with a square room of four walls, a door on the first, and base
// and shoe to run round it.
func newRoomSite(t *testing.T) (s *site, base, shoe string) {
	s = newSite(t)
	walls := joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{ID: "n"}, {ID: "e"}, {ID: "s"}, {ID: "w"}}},
		Features: []trim.Feature{{Wall: 1, Kind: trim.OpeningFeature, Offset: in(40, 0, 0), Width: in(30, 0, 0),
			CasingLeft: in(2, 3, 4), CasingRight: in(2, 3, 4), CasingThickness: in(0, 3, 4), Main: true}}}
	s.onRoom(joblog.Command{Kind: joblog.SetWallsKind, SetWalls: &walls})
	run := func(name string, p trim.Profile) string {
		id := s.id()
		s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: id, AddItem: &joblog.AddItem{Name: name, Spec: joblog.Spec{
			Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint}, Run: &joblog.RunSpec{Profile: p, WallLayers: in(0, 1, 2)}}}})
		return id
	}
	base = run("Base", trim.Profile{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16), StockLength: in(192, 0, 0)})
	shoe = run("Shoe", trim.Profile{Kind: trim.Shoe, Height: in(0, 3, 4), Thickness: in(0, 1, 2), StandsOff: in(0, 9, 16), StockLength: in(192, 0, 0)})
	s.item = base
	return s, base, shoe
}

// onRoom gives a command about the room itself.
func (s *site) onRoom(c joblog.Command) joblog.Decision {
	s.t.Helper()
	item := s.item
	s.item = ""
	defer func() { s.item = item }()
	c.RoomID = s.room
	return s.do(installer, c)
}

func (s *site) wall(n int, l length.Length) joblog.Decision {
	s.t.Helper()
	return s.onRoom(joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: fmt.Sprintf("wall_%d_length", n), Value: l}})
}

// TestRunFromWallsToPaint reads the walls once for two runs and takes the base through its
// six stages.
func TestRunFromWallsToPaint(t *testing.T) {
	t.Parallel()
	s, _, shoe := newRoomSite(t)
	if n := len(s.view().Stages); n != 6 {
		t.Fatalf("%d stages, want 6: a run is neither hung nor cased", n)
	}
	s.refused(installer, s.tickCommand(stage.Measured), "reading_missing_wall")
	for i, l := range []length.Length{in(144, 0, 0), in(120, 0, 0), in(144, 0, 0), in(120, 0, 0)} {
		s.wall(i+1, l)
	}
	s.tick(stage.Measured)
	// Wall 1 is 144 with a 30 in opening at 40 and 2 3/4 of casing either side, so 37 1/4 is
	// left of it and 71 1/4 right of it (common practice: base runs between casings).
	got := map[string]string{}
	for _, c := range s.view().Cuts {
		got[c.Piece] = c.Tape.Text
	}
	if len(got) != 5 {
		t.Fatalf("pieces %v, want five: two on the door's wall and one on each other", got)
	}
	s.cut(stage.Trimmed)
	s.tick(stage.Trimmed)
	s.drive(finish.Finish16, in(2, 0, 0), 40, finish.Stud)
	s.tick(stage.Nailed)
	s.refused(installer, s.treat(finish.Finish16, finish.Caulk), "caulk_in_large_hole")
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	s.now = s.now.Add(3 * time.Hour)
	s.do(installer, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish16}})
	s.tick(stage.Filled)
	s.item = shoe
	s.wantStatus(stage.Measured, stage.Ready)
}

// TestWallReadAgainMakesRunStale reads a wall again after the base was cut.
func TestWallReadAgainMakesRunStale(t *testing.T) {
	t.Parallel()
	s, _, _ := newRoomSite(t)
	for i, l := range []length.Length{in(144, 0, 0), in(120, 0, 0), in(144, 0, 0), in(120, 0, 0)} {
		s.wall(i+1, l)
	}
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	s.tick(stage.Trimmed)
	d := s.wall(2, in(120, 3, 8))
	s.wantStatus(stage.Measured, stage.Held)
	if n := len(s.state.Touched(d.Entries[0])); n != 3 {
		t.Errorf("a wall's reading reaches %d items of the room, want all 3", n)
	}
	s.onRoom(joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "wall_2_length", TakeID: d.Entries[0].Command.ID}})
	s.wantStatus(stage.Trimmed, stage.Held)
	stale := 0
	for _, c := range s.view().Cuts {
		if c.State == joblog.PieceStale {
			stale++
		}
	}
	if stale == 0 {
		t.Error("no piece is stale after wall 2 grew by 3/8")
	}
	again := joblog.NewState()
	for _, e := range s.log {
		again.Apply(e)
	}
	want, _ := json.Marshal(s.state)
	if got, _ := json.Marshal(again); string(got) != string(want) {
		t.Errorf("the log replays to another job:\n got %s\nwant %s", got, want)
	}
}

// TestBadWalls refuses layouts and readings no room has.
func TestBadWalls(t *testing.T) {
	t.Parallel()
	s, _, _ := newRoomSite(t)
	room := func(c joblog.Command, code string) {
		t.Helper()
		item := s.item
		s.item = ""
		c.RoomID = s.room
		s.refused(installer, c, code)
		s.item = item
	}
	room(joblog.Command{Kind: joblog.SetWallsKind, SetWalls: &joblog.SetWalls{Walls: trim.Room{Walls: make([]trim.Wall, 201)}}}, "room_walls_many")
	room(joblog.Command{Kind: joblog.SetWallsKind, SetWalls: &joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{}, {}, {}}},
		Features: []trim.Feature{{Wall: 9, Kind: trim.Box, Width: in(2, 0, 0)}}}}, "feature_on_no_wall")
	take := func(name string, v length.Length) joblog.Command {
		return joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: name, Value: v}}
	}
	room(take("wall_9_length", in(100, 0, 0)), "run_reading_unknown")
	room(take("wall_1_length", -in(100, 0, 0)), "run_reading_impossible")
	room(take("wall_1_angle", 400_000), "wall_angle_impossible")
	s.refused(installer, take("wall_1_length", in(100, 0, 0)), "reading_of_room")
	s.do(installer, take("wall_1_stretch_1", in(37, 1, 4)))
}

// TestShoeIsNailedIntoTheBase: what stands behind the shoe is in a nail's way to the stud
// (1/2 shoe, 9/16 base, 1/2 board and 3/4 in the stud: 2 5/16), and the base holds it as well.
func TestShoeIsNailedIntoTheBase(t *testing.T) {
	t.Parallel()
	s, base, shoe := newRoomSite(t)
	s.item = shoe
	if f := s.refused(installer, s.tickCommand(stage.Nailed), "fasteners_not_logged"); !f.Wanted {
		t.Errorf("%+v is not marked as still to be entered", f)
	}
	s.drive(finish.Brad18, in(1, 3, 4), 40, finish.Stud)
	f := s.found("kind_too_short") // 18 gauge ends at 2
	if f == nil || args(f)["need"] != in(2, 5, 16) {
		t.Fatalf("a 1 3/4 brad at the stud: %+v, want a need of 2 5/16", f)
	}
	s.do(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: f.About, Reason: "They went into the base."}})
	s.drive(finish.Brad18, in(0, 3, 4), 1, finish.Corner)
	if f := s.found("place_not_nailed"); f == nil || f.About != string(finish.Base) {
		t.Errorf("the place still to nail is %+v, want the base", f)
	}
	s.drive(finish.Brad18, in(1, 1, 4), 40, finish.Base)
	for _, v := range s.view().Stages {
		if v.Stage == stage.Nailed && len(v.Findings) > 0 {
			t.Errorf("1 1/4 brads into the base:%s", words(v.Findings))
		}
	}
	if got, want := s.view().Fasteners[1].Text, "40 × 18-gauge brads 1 1/4, base"; got != want {
		t.Errorf("it reads %q, want %q", got, want)
	}
	s.item = base
	into := joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{Fastener: finish.Fastener{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 4, Where: finish.Base}}}
	s.refused(installer, into, "choice_bad")
}
