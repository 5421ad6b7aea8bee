package joblog_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// day is the morning every test begins on; time moves only when a test moves it.
var day = time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

// site drives commands through the rules as a store does, against one job's state.
type site struct {
	t     *testing.T
	state *joblog.State
	now   time.Time
	n     int
	item  string
	room  string
	log   []joblog.Entry
}

func (s *site) id() string {
	s.n++
	return fmt.Sprintf("018f0000-0000-7000-8000-%012d", s.n)
}

var (
	lead      = joblog.Actor{PersonID: "018f0000-0000-7000-8000-00000000aaaa", Role: joblog.Lead}
	installer = joblog.Actor{PersonID: "018f0000-0000-7000-8000-00000000bbbb", Role: joblog.Installer}
)

const jobID = "018f0000-0000-7000-8000-00000000cccc"

// give sends a command and applies what comes of it.
func (s *site) give(by joblog.Actor, c joblog.Command) joblog.Decision {
	s.t.Helper()
	if c.ID == "" {
		c.ID = s.id()
	}
	c.Version, c.JobID, c.At, c.Device = joblog.CommandVersion, jobID, s.now, "test phone"
	if c.ItemID == "" && !ofJob(c.Kind) {
		c.ItemID = s.item
	}
	d := joblog.Decide(s.state.Scope(nil, c), c, by, s.now, s.now)
	for _, e := range d.Entries {
		e.Seq = s.state.Seq + 1
		s.state.Apply(e)
		s.log = append(s.log, e)
	}
	return d
}

// ofJob reports whether commands of this kind are about no item.
func ofJob(k joblog.Kind) bool {
	switch k {
	case joblog.CreateJobKind, joblog.AddRoomKind, joblog.SetProductKind, joblog.SetClimateKind:
		return true
	}
	return false
}

// do gives a command that must be let through.
func (s *site) do(by joblog.Actor, c joblog.Command) joblog.Decision {
	s.t.Helper()
	d := s.give(by, c)
	if d.Refused {
		s.t.Fatalf("%s was refused: %s", c.Kind, words(d.Findings))
	}
	return d
}

// refused gives a command that must be refused for the reason named by code.
func (s *site) refused(by joblog.Actor, c joblog.Command, code string) finding.Finding {
	s.t.Helper()
	d := s.give(by, c)
	if !d.Refused {
		s.t.Fatalf("%s was let through, want it refused for %s", c.Kind, code)
	}
	for _, f := range d.Findings {
		if f.Code == code {
			return f
		}
	}
	s.t.Fatalf("%s was refused for %s, want %s", c.Kind, words(d.Findings), code)
	return finding.Finding{}
}

func words(fs []finding.Finding) string {
	out := ""
	for _, f := range joblog.Words("en").RenderAll(fs, style) {
		out += "\n  " + f.Code + ": " + f.Sentence
	}
	return out
}

var style = length.Style{Unit: length.Inches, Step: length.ThirtySecond, Rounding: length.Nearest}

// newSite opens a job with one room and the door of the worked chain: slab 28 × 80 ×
// 1 3/4, gaps 1/8, jamb and head 5/8, square-stock casing 2 3/4 with 1 in overhang.
func newSite(t *testing.T) *site {
	s := &site{t: t, state: joblog.NewState(), now: day}
	s.do(lead, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Test house", Unit: length.Inches}})
	s.room, s.item = s.id(), s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddRoomKind, RoomID: s.room, AddRoom: &joblog.AddRoom{Name: "Bedroom", Level: finish.Ground}})
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.item, AddItem: &joblog.AddItem{Name: "Closet door", Spec: chainSpec()}})
	return s
}

func chainSpec() joblog.Spec {
	casing := trim.Casing{Style: trim.ButtHead, Profile: "square stock", Material: "wood", Width: in(2, 3, 4), Thickness: in(0, 3, 4), Overhang: in(1, 0, 0)}
	other := casing
	return joblog.Spec{Unit: trim.Unit{Kind: trim.Door, SlabWidth: in(28, 0, 0), SlabHeight: in(80, 0, 0), SlabThickness: in(1, 3, 4),
		Core: trim.Solid, Grade: trim.Paint, JambThickness: in(0, 5, 8), JambWidth: in(4, 9, 16), HeadThickness: in(0, 5, 8),
		LegLength: in(81, 0, 0), HingeOn: "left", SwingsTo: trim.FaceA, StopThickness: in(0, 3, 8)},
		CasingA: &casing, CasingB: &other}
}

// chainReadings are the readings of the worked chain (common practice).
func chainReadings() map[string]length.Length {
	return map[string]length.Length{
		"width_bottom": in(30, 0, 0), "width_middle": in(30, 0, 0), "width_top": in(30, 0, 0),
		"height_hinge": in(80, 3, 8), "height_strike": in(80, 1, 2), "floor_strike_up": -in(0, 1, 8),
		"lean_hinge": 0, "wall_build_up": in(4, 9, 16),
	}
}

func (s *site) take(name string, v length.Length) joblog.Decision {
	s.t.Helper()
	return s.do(installer, joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: name, Value: v, Tool: "tape"}})
}

func (s *site) takeAll() {
	s.t.Helper()
	for name, v := range chainReadings() {
		s.take(name, v)
	}
}

func (s *site) view() joblog.ItemView {
	return joblog.ViewItem(s.state.Scope(nil, joblog.Command{ItemID: s.item}), joblog.Reader{Style: style, Now: s.now})
}

func (s *site) status(st stage.Stage) stage.Status {
	for _, v := range s.view().Stages {
		if v.Stage == st {
			return v.Status
		}
	}
	return ""
}

func (s *site) wantStatus(st stage.Stage, want stage.Status) {
	s.t.Helper()
	if got := s.status(st); got != want {
		s.t.Errorf("%s is %s, want %s; findings:%s", st, got, want, words(s.view().Findings))
	}
}

func (s *site) tick(st stage.Stage) {
	s.t.Helper()
	s.do(installer, joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: st}})
	s.wantStatus(st, stage.Done)
}

func (s *site) cut(st stage.Stage) {
	s.t.Helper()
	var ps []joblog.CutPiece
	for _, c := range s.view().Cuts {
		if c.Stage == st {
			ps = append(ps, joblog.CutPiece{Piece: c.Piece, Computed: c.Value.Length, AsCut: c.Value.Length})
		}
	}
	s.do(installer, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: ps}})
}

func (s *site) gaps(target length.Length, names ...string) {
	s.t.Helper()
	for _, l := range names {
		s.do(installer, joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: l, Narrow: target, Wide: target}})
	}
}

func (s *site) drive(k finish.Kind, l length.Length, n int64, where finish.Where) {
	s.t.Helper()
	s.do(installer, joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{Fastener: finish.Fastener{Kind: k, Length: l, Count: n, Where: where}}})
}

func (s *site) treat(k finish.Kind, with finish.Treatment) joblog.Command {
	return joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: k, With: with}}
}

func (s *site) tickCommand(st stage.Stage) joblog.Command {
	return joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: st}}
}

// TestFromTapeToPaint takes the worked chain's door through all eight stages, held where
// the rules must hold it.
func TestFromTapeToPaint(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.wantStatus(stage.Measured, stage.Open)
	s.refused(installer, s.tickCommand(stage.Measured), "reading_missing")
	s.takeAll()
	s.wantStatus(stage.Measured, stage.Ready)
	s.tick(stage.Measured)

	want := map[string]length.Length{
		"leg_hinge": in(80, 1, 8), "leg_strike": in(80, 1, 4), "slab": in(79, 1, 8),
		"casing_a_head": in(36, 0, 0), "casing_a_leg_hinge": in(79, 5, 8),
	}
	for _, c := range s.view().Cuts {
		if w, ok := want[c.Piece]; ok && c.Value.Length != w {
			t.Errorf("%s: %s, want %s (worked chain, common practice)", c.Piece, c.Value.Length.Print(style), w.Print(style))
		}
		delete(want, c.Piece)
	}
	if len(want) != 0 {
		t.Errorf("no cut for %v", want)
	}

	s.refused(installer, s.tickCommand(stage.Hung), "earlier_stage_open")
	s.refused(installer, s.tickCommand(stage.Trimmed), "piece_to_cut")
	s.cut(stage.Trimmed)
	s.tick(stage.Trimmed)

	s.gaps(in(0, 1, 8), "hinge", "head")
	s.do(installer, joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "strike", Narrow: in(0, 1, 8), Wide: in(0, 1, 4)}})
	s.wantStatus(stage.Hung, stage.Held)
	s.gaps(in(0, 1, 8), "strike")
	for _, c := range s.view().Checks {
		s.do(installer, joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{Check: c.Check, Yes: true}})
	}
	s.tick(stage.Hung)

	s.cut(stage.Cased)
	s.gaps(in(0, 1, 8), "casing_a", "casing_b")
	s.tick(stage.Cased)

	s.drive(finish.Brad18, in(1, 1, 4), 24, finish.JambEdge)
	s.refused(installer, s.tickCommand(stage.Nailed), "place_not_nailed")
	s.drive(finish.Finish16, in(2, 1, 2), 24, finish.Stud)
	s.tick(stage.Nailed)

	f := s.refused(installer, s.treat(finish.Finish16, finish.Caulk), "caulk_in_large_hole")
	if got, want := joblog.Words("en").Render(f, style).Sentence, "16-gauge holes can't be caulked: it shrinks and dimples."; got != want {
		t.Errorf("sentence %q, want %q", got, want)
	}
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	s.do(installer, s.treat(finish.Brad18, finish.Caulk))
	sand := joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish16}}
	wet := s.refused(installer, sand, "filler_not_dry")
	if wet.ClearsAt == nil || !wet.ClearsAt.Equal(day.Add(2*time.Hour)) {
		t.Errorf("filler dry at %v, want two hours on", wet.ClearsAt)
	}
	s.refused(installer, s.tickCommand(stage.Filled), "filler_not_sanded")
	s.now = s.now.Add(2 * time.Hour)
	s.do(installer, sand)
	s.tick(stage.Filled)

	s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 1, 16),
		Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Class: finish.Class25}}}})
	s.tick(stage.Caulked)

	coat := joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{}}
	s.refused(installer, coat, "caulk_wet")
	s.now = s.now.Add(4 * time.Hour)
	s.do(installer, coat)
	s.refused(installer, s.tickCommand(stage.Painted), "coats_missing")
	s.now = s.now.Add(4 * time.Hour)
	s.do(installer, coat)
	s.now = s.now.Add(4 * time.Hour)
	s.tick(stage.Painted)
	if n := s.view().Next; n != nil {
		t.Errorf("next is %+v, want nothing left", n)
	}
}

// TestNewerTakeMakesCutsStale cuts to one reading and then takes another.
func TestNewerTakeMakesCutsStale(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	s.tick(stage.Trimmed)
	first := s.take("height_hinge", in(80, 1, 4)) // 1/8 lower than before: the takes disagree
	s.wantStatus(stage.Measured, stage.Held)
	s.do(installer, joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "height_hinge", TakeID: first.Entries[0].Command.ID}})
	s.wantStatus(stage.Measured, stage.Done)
	s.wantStatus(stage.Trimmed, stage.Held)
	for _, c := range s.view().Cuts {
		if c.Piece == "leg_hinge" && c.State != joblog.PieceStale {
			t.Errorf("hinge leg is %s, want stale", c.State)
		}
	}
	s.refused(installer, s.tickCommand(stage.Hung), "earlier_stage_open")
	s.cut(stage.Trimmed)
	s.wantStatus(stage.Trimmed, stage.Done)
}

// TestPassingAStop lets a lead, and only a lead, pass a piece cut short, for that shortness only.
func TestPassingAStop(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	short := func(off length.Length) {
		s.do(installer, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: []joblog.CutPiece{
			{Piece: "leg_strike", Computed: in(80, 1, 4), AsCut: in(80, 1, 4) - off}}}})
	}
	short(in(0, 3, 32))
	s.wantStatus(stage.Trimmed, stage.Held)
	key := ""
	for _, v := range s.view().Stages {
		if v.Stage == stage.Trimmed {
			key = v.Keys[0]
		}
	}
	pass := joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: key, Reason: "Plinth covers it."}}
	s.refused(installer, pass, "lead_only")
	s.do(lead, pass)
	s.wantStatus(stage.Trimmed, stage.Ready)
	short(in(0, 5, 32))
	s.wantStatus(stage.Trimmed, stage.Held)
}

// TestReopen makes later stages work to do again and keeps the reason.
func TestReopen(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	s.tick(stage.Trimmed)
	reopen := joblog.Command{Kind: joblog.ReopenStageKind, ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "Tile went in."}}
	s.do(installer, reopen)
	s.wantStatus(stage.Measured, stage.Redone)
	s.wantStatus(stage.Trimmed, stage.Redone)
	s.refused(installer, reopen, "not_done_yet")
	s.tick(stage.Measured)
	s.tick(stage.Trimmed)
}

// TestStateIsItsLog replays the log into a fresh state and compares the views.
func TestStateIsItsLog(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	again := joblog.NewState()
	for _, e := range s.log {
		again.Apply(e)
	}
	want, _ := json.Marshal(s.view())
	got, _ := json.Marshal(joblog.ViewItem(again.Scope(nil, joblog.Command{ItemID: s.item}), joblog.Reader{Style: style, Now: s.now}))
	if string(got) != string(want) {
		t.Errorf("the replayed item reads differently:\n got %s\nwant %s", got, want)
	}
}
