// Package bigjob is an invented job as large as the rule book is held to, for benchmarks: by
// default 200 openings in 60 rooms, each room with base, shoe and crown round its walls.
package bigjob

import (
	"fmt"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// The size the views' times are stated for.
const (
	Openings = 200
	Rooms    = 60
)

// Now is a moment after the job's last entry.
var Now = time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)

// Log is the job's log. The rules are asked for each entry, and one they refuse is an error.
func Log(openings, rooms int) ([]joblog.Entry, error) {
	b := &builder{state: joblog.NewState(), at: Now.Add(-20 * 24 * time.Hour)}
	b.job = b.id()
	b.give(joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Sixty rooms", Unit: length.Inches}})
	var room string
	next := 0
	for r := range rooms {
		room = b.id()
		b.give(joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: fmt.Sprintf("Room %d", r+1), Level: finish.Ground}})
		b.walls(room)
		for ; next < (r+1)*openings/rooms; next++ {
			b.opening(room, next)
		}
	}
	return b.log, b.err
}

type builder struct {
	state *joblog.State
	log   []joblog.Entry
	at    time.Time
	job   string
	ids   int
	err   error
}

func (b *builder) id() string {
	b.ids++
	return fmt.Sprintf("018f0000-0000-7000-9000-%012d", b.ids)
}

func (b *builder) give(c joblog.Command) {
	if b.err != nil {
		return
	}
	b.at = b.at.Add(time.Minute)
	c.ID, c.Version, c.JobID, c.At = b.id(), joblog.CommandVersion, b.job, b.at
	by := joblog.Actor{PersonID: "018f0000-0000-7000-9000-ffffffffffff", Role: joblog.Lead}
	d := joblog.Decide(b.state.Scope(nil, c), c, by, b.at, b.at)
	if d.Refused {
		b.err = fmt.Errorf("entry %d, %s: %s", len(b.log)+1, c.Kind, joblog.Words("").Render(d.Findings[0], length.Style{}).Sentence)
		return
	}
	for _, e := range d.Entries {
		e.Seq = b.state.Seq + 1
		b.state.Apply(e)
		b.log = append(b.log, e)
	}
}

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

// walls lays out an L of six walls with a door and a window, reads it, and runs base, shoe
// and crown round it.
func (b *builder) walls(room string) {
	b.give(joblog.Command{Kind: joblog.SetWallsKind, RoomID: room, SetWalls: &joblog.SetWalls{
		Walls: trim.Room{Walls: []trim.Wall{{}, {}, {Turn: trim.Outside}, {}, {}, {}}},
		Features: []trim.Feature{
			{Wall: 1, Kind: trim.OpeningFeature, Offset: in(48, 0, 0), Width: in(36, 0, 0), CasingLeft: in(2, 3, 4), CasingRight: in(2, 3, 4), CasingThickness: in(0, 3, 4), Main: true},
			{Wall: 5, Kind: trim.WindowFeature, Offset: in(24, 0, 0), Width: in(36, 0, 0), Bottom: in(30, 0, 0), Top: in(78, 0, 0)}}}})
	read := func(name string, v length.Length) {
		b.give(joblog.Command{Kind: joblog.TakeReadingKind, RoomID: room, TakeReading: &joblog.TakeReading{Reading: name, Value: v, Tool: "laser"}})
	}
	for i, feet := range []int64{12, 7, 4, 3, 8, 10} {
		read(fmt.Sprintf("wall_%d_length", i+1), length.Length(feet)*length.Foot)
		read(fmt.Sprintf("wall_%d_stud", i+1), in(8, 1, 4))
	}
	for i, p := range []trim.Profile{
		{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16), StockLength: in(96, 0, 0)},
		{Kind: trim.Shoe, Height: in(0, 3, 4), Thickness: in(0, 1, 2), StandsOff: in(0, 9, 16), StockLength: in(96, 0, 0)},
		{Kind: trim.CrownRun, Height: in(3, 5, 8), Thickness: in(0, 9, 16), Spring: 38 * trim.Degree, StockLength: in(96, 0, 0)},
	} {
		id := b.id()
		b.give(joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: id, AddItem: &joblog.AddItem{Name: fmt.Sprintf("Run %d", i+1), Spec: joblog.Spec{
			Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint}, Run: &joblog.RunSpec{Profile: p, WallLayers: in(0, 1, 2)}}}})
		b.tick(id, stage.Measured)
	}
}

// opening hangs a door, further along the more of the stages it has passed: a third is
// measured, a third cut, a third hung.
func (b *builder) opening(room string, n int) {
	id := b.id()
	u := trim.UnitForDoor(in(30, 0, 0), in(80, 0, 0), in(1, 3, 8))
	u.Core, u.LegLength = trim.Hollow, in(81, 1, 2)
	casing := trim.Casing{Style: trim.ButtHead, Material: "wood", Width: in(2, 3, 4), Thickness: in(0, 3, 4), Overhang: in(1, 0, 0)}
	if n%2 == 1 {
		casing = trim.Casing{Style: trim.Mitered, Material: "mdf", Width: in(2, 1, 4), Thickness: in(0, 9, 16)}
	}
	b.give(joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: id, AddItem: &joblog.AddItem{Name: fmt.Sprintf("Door %d", n+1),
		Spec: joblog.Spec{Unit: u, CasingA: &casing, CasingB: &casing}}})
	for _, r := range []struct {
		name string
		v    length.Length
	}{{"width_bottom", in(32, 1, 8)}, {"width_middle", in(32, 0, 0)}, {"width_top", in(31, 15, 16)}, {"height_hinge", in(82, 0, 0)}, {"height_strike", in(82, 1, 8)},
		{"floor_strike_up", in(0, 1, 8)}, {"lean_hinge", in(0, 1, 16)}, {"wall_build_up", in(4, 9, 16)}, {"diagonal_rise", in(88, 0, 0)}, {"diagonal_fall", in(88, 1, 16)}} {
		b.give(joblog.Command{Kind: joblog.TakeReadingKind, ItemID: id, TakeReading: &joblog.TakeReading{Reading: r.name, Value: r.v, Tool: "tape"}})
	}
	b.tick(id, stage.Measured)
	if n%3 == 0 {
		return
	}
	b.cut(id, stage.Trimmed)
	b.tick(id, stage.Trimmed)
	if n%3 == 1 {
		return
	}
	v := b.view(id)
	for _, l := range v.Lines {
		if l.Stage == stage.Hung {
			b.give(joblog.Command{Kind: joblog.ReadGapKind, ItemID: id, ReadGap: &joblog.ReadGap{Line: l.Line, Narrow: l.Target, Wide: l.Target}})
		}
	}
	for _, c := range v.Checks {
		b.give(joblog.Command{Kind: joblog.AnswerCheckKind, ItemID: id, AnswerCheck: &joblog.AnswerCheck{Check: c.Check, Yes: true}})
	}
	b.tick(id, stage.Hung)
	b.cut(id, stage.Cased)
}

func (b *builder) tick(item string, s stage.Stage) {
	b.give(joblog.Command{Kind: joblog.TickStageKind, ItemID: item, TickStage: &joblog.TickStage{Stage: s}})
}

func (b *builder) view(item string) joblog.ItemView {
	if b.err != nil {
		return joblog.ItemView{}
	}
	return joblog.ViewItem(b.state.Scope(nil, joblog.Command{ItemID: item}), joblog.Reader{Now: b.at})
}

func (b *builder) cut(item string, s stage.Stage) {
	var ps []joblog.CutPiece
	for _, c := range b.view(item).Cuts {
		if c.Stage == s {
			ps = append(ps, joblog.CutPiece{Piece: c.Piece, Computed: c.Value.Length, AsCut: c.Value.Length})
		}
	}
	b.give(joblog.Command{Kind: joblog.CutPiecesKind, ItemID: item, CutPieces: &joblog.CutPieces{Pieces: ps}})
}
