package joblog_test

import (
	"encoding/json"
	"strings"
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

var casingStock = joblog.Stock{Kind: "casing", Width: length.In(2, 3, 4), Thickness: length.In(0, 11, 16), Name: "Square"}

// giveJob gives a command that is about the job and no item of it.
func (s *site) giveJob(by joblog.Actor, c joblog.Command) joblog.Decision {
	c.ID, c.Version, c.JobID, c.At, c.Device = s.id(), joblog.CommandVersion, jobID, s.now, "test phone"
	d := joblog.Decide(s.state.Scope(nil, c), c, by, s.now, s.now)
	for _, e := range d.Entries {
		e.Seq = s.state.Seq + 1
		s.state.Apply(e)
		s.log = append(s.log, e)
	}
	return d
}

// A stick goes to the saw, gives a piece, loses a length, and what is left lies on the rack,
// from where it is taken again: once.
func TestAStickFromYardToRackAndBack(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	give := func(c joblog.Command) (string, joblog.Decision) {
		d := s.giveJob(installer, c)
		if d.Refused {
			return "", d
		}
		return d.Entries[0].Command.ID, d
	}
	stick, _ := give(joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casingStock, Length: 14 * length.Foot}})
	if len(s.state.Job.Sticks) != 1 || s.state.Job.Sticks[0].CommandID != stick {
		t.Fatalf("sticks on the saw: got %+v, want the one taken", s.state.Job.Sticks)
	}
	cut := s.view().Cuts[0]
	for _, c := range s.view().Cuts {
		if c.Profile == "casing" {
			cut = c
			break
		}
	}
	d := s.give(installer, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{StickID: stick,
		Pieces: []joblog.CutPiece{{Piece: cut.Piece, Computed: cut.Value.Length, AsCut: cut.Value.Length}}}})
	it := s.state.Items[s.item]
	if len(it.Sawn) != 1 || it.Sawn[0].StickID != stick || it.Sawn[0].AsCut != cut.Value.Length || len(it.Pieces) != 1 {
		t.Fatalf("sawn: got %+v and %d pieces, want the piece off that stick", it.Sawn, len(it.Pieces))
	}
	give(joblog.Command{Kind: joblog.MiscutKind, Miscut: &joblog.Miscut{StickID: stick, Length: 30 * length.Inch, Reason: "Cut on the wrong side of the line"}})
	if st := s.state.Job.Sticks[0]; st.Lost != 30*length.Inch || st.Cuts != 1 {
		t.Errorf("lost: got %+v, want 30 in by one cut", st)
	}
	offcut, _ := give(joblog.Command{Kind: joblog.ReturnOffcutKind, ReturnOffcut: &joblog.ReturnOffcut{Stock: casingStock, Length: 4 * length.Foot, Place: "garage wall", StickID: stick}})
	if len(s.state.Job.Sticks) != 0 || len(s.state.Job.Rack) != 1 {
		t.Fatalf("after putting back: got %d on the saw and %d on the rack, want 0 and 1", len(s.state.Job.Sticks), len(s.state.Job.Rack))
	}
	take := joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casingStock, Length: 5 * length.Foot, OffcutID: offcut}}
	if _, d := give(take); !d.Refused || d.Findings[0].Code != "offcut_other" {
		t.Errorf("an offcut longer than it is: got %+v, want offcut_other", d.Findings)
	}
	take.TakeStick.Length = 4 * length.Foot
	if _, d := give(take); d.Refused {
		t.Errorf("taking the offcut: %+v", d.Findings)
	}
	if _, d := give(take); !d.Refused || d.Findings[0].Code != "offcut_gone" {
		t.Errorf("taking it twice: got %+v, want offcut_gone", d.Findings)
	}
	// A slip at the saw is taken back: the piece is to be cut again, the log keeps both.
	s.give(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: d.Entries[0].Command.ID, Reason: "Ticked the wrong piece"}})
	if it := s.state.Items[s.item]; len(it.Sawn) != 0 || len(it.Pieces) != 0 {
		t.Errorf("taken back: got %d sawn, %d pieces, want none", len(it.Sawn), len(it.Pieces))
	}
	again := joblog.NewState()
	for _, e := range s.log {
		again.Apply(e)
		if v := joblog.ViewEntry(e, joblog.Reader{Style: style}); strings.ContainsAny(v.Sentence, "{}_") || v.Sentence == "" {
			t.Errorf("%s reads %q", v.Kind, v.Sentence)
		}
	}
	want, _ := json.Marshal(s.state)
	if got, _ := json.Marshal(again); string(got) != string(want) {
		t.Errorf("the log replays to another job:\n got %s\nwant %s", got, want)
	}
}

func TestStickCommandsRefuse(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	none := "01900000-0000-7000-8000-00000000dead"
	for name, c := range map[string]struct {
		c    joblog.Command
		code string
	}{
		"no length":     {joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casingStock}}, "stick_impossible"},
		"too long":      {joblog.Command{Kind: joblog.ReturnOffcutKind, ReturnOffcut: &joblog.ReturnOffcut{Stock: casingStock, Length: 2 * length.Longest}}, "stick_impossible"},
		"odd stock":     {joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: joblog.Stock{Kind: "slab"}, Length: length.Foot}}, "choice_bad"},
		"not on rack":   {joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casingStock, Length: length.Foot, OffcutID: none}}, "offcut_gone"},
		"no such stick": {joblog.Command{Kind: joblog.MiscutKind, Miscut: &joblog.Miscut{StickID: none, Length: length.Foot, Reason: "split"}}, "stick_gone"},
		"no reason":     {joblog.Command{Kind: joblog.MiscutKind, Miscut: &joblog.Miscut{StickID: none, Length: length.Foot}}, "text_bad"},
		"bad id":        {joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casingStock, Length: length.Foot, OffcutID: "x"}}, "command_id_bad"},
		"nothing there": {joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: none, Reason: "no"}}, "nothing_to_withdraw"},
	} {
		if d := s.giveJob(installer, c.c); !d.Refused || d.Findings[0].Code != c.code {
			t.Errorf("%s: got %+v, want %s", name, d.Findings, c.code)
		}
	}
	for name, p := range map[string]joblog.SawPart{"part zero": {Piece: "leg_hinge", Part: 0, Parts: 2, AsCut: length.Foot}, "one part": {Piece: "leg_hinge", Part: 1, Parts: 1, AsCut: length.Foot}} {
		if d := s.give(installer, joblog.Command{Kind: joblog.SawPartKind, SawPart: &p}); !d.Refused || d.Findings[0].Code != "choice_bad" {
			t.Errorf("%s: got %+v, want choice_bad", name, d.Findings)
		}
	}
}

// What is cut, too short or stale is told apart for the one who buys for it.
func TestCuttingOfTellsWhatIsStillToCut(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	scope := s.state.Scope(nil, joblog.Command{ItemID: s.item})
	if c := joblog.CuttingOf(scope, s.now); c.Measured || len(c.Pieces) == 0 {
		t.Fatalf("before the tick: got measured %v, %d pieces; want false and some", c.Measured, len(c.Pieces))
	}
	s.give(installer, s.tickCommand(stage.Measured))
	c := joblog.CuttingOf(s.state.Scope(nil, joblog.Command{ItemID: s.item}), s.now)
	if !c.Measured {
		t.Error("after the tick: got not measured")
	}
	for _, p := range c.Pieces {
		if p.State != joblog.PieceToCut || p.Record != nil || p.Held != nil {
			t.Errorf("%s: got %s, %v, held by %+v; want to cut, no record, free", p.Piece, p.State, p.Record, p.Held)
		}
	}
	if all := s.state.JobItems(nil); len(all) != len(s.state.Items) {
		t.Errorf("items: got %d, want %d", len(all), len(s.state.Items))
	}
}

// A run joined by a scarf is cut when its last part is: the as-cut length is the parts' less their
// overlap, whichever part comes last, and without one of them the piece is to be cut again.
func TestTheLastPartOfAScarfedPieceLogsThePiece(t *testing.T) {
	t.Parallel()
	s, base, shoe := newRoomSite(t)
	for i, l := range []length.Length{in(144, 0, 0), in(120, 0, 0), in(144, 0, 0), in(120, 0, 0)} {
		s.wall(i+1, l)
	}
	var whole trim.Cut
	for _, c := range joblog.CuttingOf(s.state.Scope(nil, joblog.Command{ItemID: s.item}), s.now).Pieces {
		if c.Piece == "wall_3_piece_1" {
			whole = c.Cut
		}
	}
	// Common practice, trade arithmetic: 9/16 in stock scarfed at 30° overlaps 9/16 × tan 30° = 0.3248 in.
	p := s.state.Items[s.item].Run.Profile
	lap := trim.ScarfOverlap(p, trim.Corners{})
	if d := lap - 8_248_891; d.Abs() > 10 {
		t.Fatalf("overlap: got %d nm, want 8 248 891", lap)
	}
	joint := 60 * length.Inch
	parts := []length.Length{joint + lap/2, whole.Value.Length - joint + lap/2}
	saw := func(n int, asCut length.Length) string {
		t.Helper()
		d := s.give(installer, joblog.Command{Kind: joblog.SawPartKind, SawPart: &joblog.SawPart{Piece: whole.Piece, Part: n, Parts: 2, AsCut: asCut,
			Computed: whole.Value.Length, Joints: []length.Length{joint}}})
		if d.Refused {
			t.Fatalf("part %d: %+v", n, d.Findings)
		}
		return d.Entries[0].Command.ID
	}
	record := func() *joblog.PieceCut {
		for i, c := range s.state.Items[s.item].Pieces {
			if c.Piece == whole.Piece {
				return &s.state.Items[s.item].Pieces[i]
			}
		}
		return nil
	}
	saw(2, parts[1])
	if record() != nil {
		t.Error("one part of two: the piece is logged")
	}
	first := saw(1, parts[0]-length.Sixteenth)
	switch r := record(); {
	case r == nil:
		t.Fatal("both parts: the piece is not logged")
	case r.AsCut != whole.Value.Length-length.Sixteenth || r.Computed != whole.Value.Length || len(r.Takes) == 0:
		t.Errorf("the whole: got %v of %v from %d takes, want a sixteenth under it", r.AsCut, r.Computed, len(r.Takes))
	}
	s.give(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: first, Reason: "Ticked by mistake"}})
	if record() != nil || len(s.state.Items[s.item].PartsSawn(whole.Piece, whole.Value.Length)) != 1 {
		t.Error("a part taken back: the piece still counts as cut, or the other part as gone")
	}
	saw(1, parts[0])
	second := s.state.Items[s.item].PartsSawn(whole.Piece, whole.Value.Length)
	for _, p := range second {
		if p.Part == 2 {
			s.give(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: p.CommandID, Reason: "Split"}})
		}
	}
	if record() != nil {
		t.Error("the part cut first taken back: the piece still counts as cut")
	}
	saw(2, parts[1])
	if r := record(); r == nil || r.AsCut != whole.Value.Length {
		t.Errorf("cut anew: got %+v, want the whole to the nanometer", r)
	}
	// What older programs sent, without the whole, means what it meant: the part alone.
	s.item = shoe
	for n := 1; n <= 2; n++ {
		if d := s.give(installer, joblog.Command{Kind: joblog.SawPartKind, SawPart: &joblog.SawPart{Piece: whole.Piece, Part: n, Parts: 2, AsCut: length.Foot}}); d.Refused {
			t.Errorf("part %d without its whole: %+v", n, d.Findings)
		}
	}
	if it := s.state.Items[shoe]; len(it.Pieces) != 0 || len(it.Sawn) != 2 {
		t.Errorf("parts without their whole: got %d pieces, %d parts; want none and two", len(it.Pieces), len(it.Sawn))
	}
	s.item = base
	for name, p := range map[string]joblog.SawPart{
		"a joint past the end":  {Piece: whole.Piece, Part: 1, Parts: 2, AsCut: length.Foot, Computed: length.Foot, Joints: []length.Length{2 * length.Foot}},
		"joints without parts":  {Piece: whole.Piece, Part: 1, Parts: 3, AsCut: length.Foot, Computed: 9 * length.Foot, Joints: []length.Length{length.Foot}},
		"joints out of order":   {Piece: whole.Piece, Part: 1, Parts: 3, AsCut: length.Foot, Computed: 9 * length.Foot, Joints: []length.Length{4 * length.Foot, length.Foot}},
		"no whole":              {Piece: whole.Piece, Part: 1, Parts: 2, AsCut: length.Foot, Joints: []length.Length{length.Foot}},
		"a whole past any tape": {Piece: whole.Piece, Part: 1, Parts: 2, AsCut: length.Foot, Computed: 2 * length.Longest},
	} {
		if d := s.give(installer, joblog.Command{Kind: joblog.SawPartKind, SawPart: &p}); !d.Refused || d.Findings[0].Code != "as_cut_impossible" {
			t.Errorf("%s: got %+v, want as_cut_impossible", name, d.Findings)
		}
	}
}
