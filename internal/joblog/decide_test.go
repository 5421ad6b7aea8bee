package joblog_test

import (
	"strings"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// TestMalformedCommands sends what no app of ours would send.
func TestMalformedCommands(t *testing.T) {
	t.Parallel()
	note := func(text string) joblog.Command {
		return joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: text}}
	}
	for name, tc := range map[string]struct {
		c    joblog.Command
		want string
	}{
		"id that is no UUID":       {joblog.Command{ID: "7", Kind: joblog.NoteKind, Note: &joblog.Note{Text: "x"}}, "command_id_bad"},
		"no body":                  {joblog.Command{Kind: joblog.NoteKind}, "command_incomplete"},
		"another kind's body":      {joblog.Command{Kind: joblog.NoteKind, Sand: &joblog.Sand{Kind: finish.Brad18}}, "command_incomplete"},
		"two bodies":               {joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "x"}, Sand: &joblog.Sand{}}, "command_incomplete"},
		"unknown kind":             {joblog.Command{Kind: "paint_it_black", Note: &joblog.Note{Text: "x"}}, "command_incomplete"},
		"blank note":               {note(" \n "), "text_bad"},
		"note of 1001 runes":       {note(strings.Repeat("é", 1001)), "text_bad"},
		"text that runs backward":  {note("gap \u202e 8/1"), "text_bad"},
		"zero-width text":          {note("gap\u200b"), "text_bad"},
		"broken UTF-8":             {note("gap \xff"), "text_bad"},
		"control character":        {note("gap\x00"), "text_bad"},
		"unknown reading":          {joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: "mood", Value: length.Inch}}, "reading_unknown"},
		"unknown tool":             {joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: "width_top", Value: in(30, 0, 0), Tool: "eye"}}, "choice_bad"},
		"unknown piece":            {joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: []joblog.CutPiece{{Piece: "crown", Computed: 1, AsCut: 1}}}}, "piece_unknown"},
		"unknown line":             {joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "floor"}}, "choice_bad"},
		"gap wider first":          {joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "head", Narrow: in(0, 1, 4), Wide: in(0, 1, 8)}}, "gap_read_impossible"},
		"unknown stage":            {joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: "varnished"}}, "choice_bad"},
		"unknown check":            {joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{Check: "runs_free"}}, "choice_bad"},
		"holes no nail left":       {joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: finish.Finish15, With: finish.Filler}}, "no_such_holes"},
		"nothing to sand":          {joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish15}}, "nothing_filled"},
		"nothing to take back":     {joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: jobID, Reason: "slip"}}, "nothing_to_withdraw"},
		"a take that is not there": {joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "width_top", TakeID: jobID}}, "take_gone"},
		"a nail no one makes": {joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{
			Fastener: finish.Fastener{Kind: finish.Brad18, Length: in(6, 0, 0), Count: 4, Where: finish.Stud}}}, "nail_not_made"},
		"an item that is not there": {joblog.Command{Kind: joblog.NoteKind, ItemID: jobID, Note: &joblog.Note{Text: "x"}}, "item_gone"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			newSite(t).refused(installer, tc.c, tc.want)
		})
	}
}

// TestImpossibleReadings are refused at the door with a sentence; an odd one is only noted.
func TestImpossibleReadings(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		reading string
		value   length.Length
		refused bool
	}{
		"width of 3 in":             {"width_bottom", in(3, 0, 0), true},
		"height of 30 ft":           {"height_hinge", 30 * length.Foot, true},
		"negative width":            {"width_bottom", -in(30, 0, 0), true},
		"lean of 31 in":             {"lean_hinge", in(31, 0, 0), true},
		"width of 34 for a 28":      {"width_bottom", in(34, 0, 0), false},
		"the most a length can be":  {"width_top", 1<<63 - 1, true},
		"the least a length can be": {"floor_strike_up", -1 << 63, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d := newSite(t).give(installer, joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: tc.reading, Value: tc.value}})
			if d.Refused != tc.refused {
				t.Errorf("refused is %v, want %v: %s", d.Refused, tc.refused, words(d.Findings))
			}
			if len(d.Findings) == 0 {
				t.Error("nothing was said about it")
			}
		})
	}
}

// TestWhoMayDoWhat checks that planning is the lead's and that a stranger may do nothing.
func TestWhoMayDoWhat(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for _, c := range []joblog.Command{
		{Kind: joblog.AddRoomKind, RoomID: jobID, AddRoom: &joblog.AddRoom{Name: "Den", Level: finish.Ground}},
		{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Closet", Spec: chainSpec()}},
		{Kind: joblog.AssignKind, Assign: &joblog.Assign{PersonID: installer.PersonID}},
		{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"reveal": int64(in(0, 1, 4))}}},
	} {
		s.refused(installer, c, "lead_only")
		s.refused(joblog.Actor{PersonID: jobID, Role: "passer-by"}, c, "not_on_crew")
		s.do(lead, c)
	}
}

// TestHouseRulesReachTheCuts changes the reveal on the item and sees its origin and effect.
func TestHouseRulesReachTheCuts(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.do(lead, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"reveal": int64(in(0, 1, 4))}}})
	v := s.view()
	for _, c := range v.Cuts {
		if want := in(36, 1, 4); c.Piece == "casing_a_head" && c.Value.Length != want {
			t.Errorf("head casing %s, want %s: two reveals of 1/4 in place of 1/8", c.Tape.Text, want.Print(style))
		}
	}
	for _, e := range v.Rules {
		if e.Key == "reveal" && (e.Origin != houserules.Item || e.Value != int64(in(0, 1, 4))) {
			t.Errorf("reveal is %+v, want 1/4 from the item", e)
		}
	}
	s.refused(lead, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"reveal": int64(in(9, 0, 0))}}}, "rule_out_of_range")
	s.refused(lead, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"mood": 1}}}, "rule_unknown")
}

// TestStainGrade passes seven stages, fills with putty after the first coat, and never caulks.
func TestStainGrade(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	sp := chainSpec()
	sp.Unit.Grade = trim.Stain
	s.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Oak door", Spec: sp}})
	if n := len(s.view().Stages); n != 7 {
		t.Errorf("%d stages, want 7: stain grade skips caulked", n)
	}
	s.drive(finish.Finish16, in(2, 1, 2), 10, finish.Stud)
	s.refused(installer, s.treat(finish.Finish16, finish.Filler), "filler_under_stain")
	s.refused(installer, s.treat(finish.Finish16, finish.Caulk), "caulk_under_stain")
	s.refused(installer, s.treat(finish.Finish16, finish.Putty), "putty_too_soon")
	s.do(installer, joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{Product: "oil"}})
	s.do(installer, s.treat(finish.Finish16, finish.Putty))
}

// TestSealantByLevel asks more of a bead upstairs than in the basement (common practice).
func TestSealantByLevel(t *testing.T) {
	t.Parallel()
	for level, ok := range map[joblog.Level]bool{finish.Basement: true, finish.Ground: true, finish.Upper: false} {
		t.Run(string(level), func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			room := s.id()
			item := s.id()
			s.do(lead, joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "There", Level: level}})
			s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: item, AddItem: &joblog.AddItem{Name: "Door", Spec: chainSpec()}})
			s.item = item
			d := s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge,
				Width: in(0, 1, 16), Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Class: finish.Class25}}}})
			if got := len(d.Findings) == 0; got != ok {
				t.Errorf("class 25 on the %s: said %s", level, words(d.Findings))
			}
			if held := s.status(stage.Caulked) == stage.Held; held == ok {
				t.Errorf("caulked held is %v on the %s", held, level)
			}
		})
	}
}

// TestWithdrawKeepsTheLog takes back a wrong nail and finds it gone from the item only.
func TestWithdrawKeepsTheLog(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	s.drive(finish.Finish16, in(1, 0, 0), 10, finish.Stud) // too short to reach the stud
	s.wantStatus(stage.Nailed, stage.Held)
	id := s.log[len(s.log)-1].Command.ID
	before := len(s.log)
	s.do(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: id, Reason: "Pulled them."}})
	s.wantStatus(stage.Nailed, stage.Open)
	if len(s.log) != before+1 || s.log[before-1].Command.ID != id {
		t.Error("the log lost the entry that was taken back")
	}
}

// TestDeviceClock stamps with the time given and stores both.
func TestDeviceClock(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	c := joblog.Command{ID: s.id(), Version: 1, Kind: joblog.NoteKind, JobID: jobID, ItemID: s.item, At: day.Add(-time.Hour), Note: &joblog.Note{Text: "from the basement"}}
	did, now := day.Add(-50*time.Minute), day
	d := joblog.Decide(s.state.Scope(nil, c), c, installer, did, now)
	if d.Refused || !d.Entries[0].DidAt.Equal(did) || !d.Entries[0].LoggedAt.Equal(now) || !d.Entries[0].Command.At.Equal(c.At) {
		t.Errorf("entry %+v, want did %v, logged %v, device %v", d.Entries, did, now, c.At)
	}
}

// TestEveryCodeHasWords reads the sources for the codes this package gives and looks each
// one up, so that nobody is ever shown a code.
func TestEveryCodeHasWords(t *testing.T) {
	t.Parallel()
	catalog := joblog.Words("en")
	for _, code := range codesInSource(t) {
		w, ok := catalog.Findings[code]
		if !ok || w.Sentence == "" {
			t.Errorf("no words for %q", code)
		}
		if !strings.HasPrefix(code, "log_") && (w.Remedy == "" || w.Basis == "") {
			t.Errorf("%q has no remedy or no basis", code)
		}
	}
}

// wholeSentence reports words that still hold a brace or an underscore: an argument or a
// term that nobody gave.
func wholeSentence(f finding.Finding) bool {
	return f.Sentence != "" && !strings.ContainsAny(f.Sentence+f.Remedy, "{}_")
}

// TestPiecesBelongToTheStageTheyAreCutFor holds the stool, the apron and a wall's extension
// strips to the casing: none of them keeps the frame from being ticked trimmed.
func TestPiecesBelongToTheStageTheyAreCutFor(t *testing.T) {
	t.Parallel()
	stages := func(s *site) map[string]stage.Stage {
		out := map[string]stage.Stage{}
		for _, c := range s.view().Cuts {
			out[c.Piece] = c.Stage
		}
		return out
	}
	window := newSite(t)
	sp := chainSpec()
	sp.Unit = trim.CommonUnit(trim.Window)
	sp.Unit.Surround, sp.Unit.Horn, sp.CasingB = trim.StoolApron, in(1, 0, 0), nil
	window.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Window", Spec: sp}})
	for name, v := range map[string]length.Length{"width_top": in(36, 0, 0), "width_bottom": in(36, 0, 0), "height_hinge": in(48, 0, 0), "height_strike": in(48, 0, 0)} {
		window.take(name, v)
	}
	thick := newSite(t)
	thick.takeAll()
	d := thick.take("wall_build_up", in(4, 13, 16))
	thick.do(installer, joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "wall_build_up", TakeID: d.Entries[0].Command.ID}})
	for _, tc := range []struct {
		site  *site
		piece string
		want  stage.Stage
	}{
		{window, "stool", stage.Cased}, {window, "apron", stage.Cased}, {thick, "extension_leg_hinge", stage.Cased},
		{thick, "leg_hinge", stage.Trimmed}, {thick, "slab", stage.Trimmed}, {thick, "casing_a_head", stage.Cased},
	} {
		if got := stages(tc.site)[tc.piece]; got != tc.want {
			t.Errorf("%s is cut for %q, want %q; pieces %v", tc.piece, got, tc.want, stages(tc.site))
		}
	}
	// A window's frame is set: it has nothing to trim, and its pieces are held to cased.
	window.tick(stage.Measured)
	window.refused(installer, window.tickCommand(stage.Trimmed), "stage_not_passed")
	window.gaps(in(0, 1, 8), "casing_a")
	for _, f := range window.give(installer, window.tickCommand(stage.Cased)).Findings {
		if f.Code != "piece_to_cut" {
			t.Errorf("a window with nothing cut: %s", f.Code)
		}
	}
	cuts := window.view().Cuts
	for i, c := range cuts {
		window.refused(installer, window.tickCommand(stage.Cased), "piece_to_cut")
		window.do(installer, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: []joblog.CutPiece{{Piece: c.Piece, Computed: c.Value.Length, AsCut: c.Value.Length}}}})
		if i == 0 && len(cuts) != 5 {
			t.Fatalf("%d pieces round a window on a stool, want head, two legs, stool and apron", len(cuts))
		}
	}
	window.tick(stage.Cased)
}
