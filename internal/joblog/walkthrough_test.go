package joblog_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/walk"
)

const walkID = "018f0000-0000-7000-8000-00000000dddd"

var (
	homeowner = joblog.Actor{PersonID: "018f0000-0000-7000-8000-00000000eeee", Role: joblog.Guest}
	neighbor  = joblog.Actor{PersonID: "018f0000-0000-7000-8000-00000000ffff", Role: joblog.Guest}
)

const photo = "018f0000-0000-7000-8000-000000009999"

// openWalk opens a walkthrough of the whole job for a week.
func (s *site) openWalk(rooms ...string) {
	s.t.Helper()
	s.do(lead, joblog.Command{Kind: joblog.OpenWalkKind, WalkID: walkID, OpenWalk: &joblog.OpenWalk{Rooms: rooms, GuestID: homeowner.PersonID, ExpiresAt: s.now.Add(7 * 24 * time.Hour)}})
}

func (s *site) said(about walk.About, text string) joblog.Command {
	return joblog.Command{Kind: joblog.SayRemarkKind, WalkID: walkID, RoomID: s.room, SayRemark: &joblog.SayRemark{About: about, Text: text}}
}

func move(remark string, act walk.Act, text string) joblog.Command {
	return joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: walkID, MoveRemark: &joblog.MoveRemark{RemarkID: remark, Act: act, Text: text}}
}

func (s *site) sign(room string, open ...string) joblog.Command {
	return joblog.Command{Kind: joblog.SignOffKind, WalkID: walkID, RoomID: room, SignOff: &joblog.SignOff{Name: "Ada Brandt", Strokes: "M10 10 L200 80 L90 120", Open: open}}
}

func (s *site) remark(id string) joblog.RemarkView {
	s.t.Helper()
	return s.remarkFor(joblog.Guest, id)
}

func (s *site) remarkFor(role joblog.Role, id string) joblog.RemarkView {
	s.t.Helper()
	v := joblog.ViewWalk(s.state, walkID, role, nil, joblog.Reader{Style: style, Now: s.now})
	for _, room := range v.Rooms {
		for _, r := range room.Remarks {
			if r.ID == id {
				return r
			}
		}
	}
	s.t.Fatalf("the walk has no remark %s", id)
	return joblog.RemarkView{}
}

// painted takes the door to the end of its pole.
func painted(t *testing.T) *site {
	s := newSite(t)
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	s.tick(stage.Trimmed)
	s.gaps(in(0, 1, 8), "hinge", "head", "strike")
	for _, c := range s.view().Checks {
		s.do(installer, joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{Check: c.Check, Yes: true}})
	}
	s.tick(stage.Hung)
	s.cut(stage.Cased)
	s.gaps(in(0, 1, 8), "casing_a", "casing_b")
	s.tick(stage.Cased)
	s.drive(finish.Brad18, in(1, 1, 4), 24, finish.JambEdge)
	s.drive(finish.Finish16, in(2, 1, 2), 24, finish.Stud)
	s.tick(stage.Nailed)
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	s.do(installer, s.treat(finish.Brad18, finish.Filler))
	s.now = s.now.Add(2 * time.Hour)
	for _, k := range []finish.Kind{finish.Finish16, finish.Brad18} {
		s.do(installer, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: k}})
	}
	s.tick(stage.Filled)
	s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 1, 16),
		Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Class: finish.Class25}}}})
	s.tick(stage.Caulked)
	for range 2 {
		s.now = s.now.Add(4 * time.Hour)
		s.do(installer, joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{}})
	}
	s.now = s.now.Add(4 * time.Hour)
	s.tick(stage.Painted)
	return s
}

// TestWalkthrough plays three people through two remarks to the signature: one declined and
// let be, one fixed, still there, fixed again and accepted.
func TestWalkthrough(t *testing.T) {
	t.Parallel()
	s := painted(t)
	s.refused(installer, joblog.Command{Kind: joblog.OpenWalkKind, WalkID: walkID, OpenWalk: &joblog.OpenWalk{GuestID: homeowner.PersonID, ExpiresAt: s.now.Add(time.Hour)}}, "lead_only")
	s.openWalk()
	hole := s.do(homeowner, s.said(walk.NailHole, "by the light switch")).Entries[0].Command.ID
	view := s.do(homeowner, s.said(walk.Other, "I wanted glass in it.")).Entries[0].Command.ID
	s.refused(homeowner, s.said(walk.Other, "  "), "remark_needs_words")
	s.refused(installer, s.said(walk.NailHole, ""), "lead_only")

	// The homeowner does not decide what is work, nor the crew what is accepted.
	s.refused(homeowner, move(hole, walk.Agree, ""), "remark_moved_on")
	s.refused(installer, move(hole, walk.Fix, ""), "remark_moved_on")
	s.refused(lead, move(view, walk.Decline, ""), "remark_needs_words")
	s.do(lead, move(view, walk.Decline, "The slab is as ordered."))
	agree := move(hole, walk.Agree, "")
	agree.MoveRemark.Day, agree.MoveRemark.PersonID = "2026-03-12", installer.PersonID
	s.do(lead, agree)
	s.wantStatus(stage.Filled, stage.Redone)
	s.wantStatus(stage.Painted, stage.Redone)
	if got := s.view().Remarks; len(got) != 2 || got[0].State != walk.Agreed || got[0].Day != "2026-03-12" || got[0].PersonID != installer.PersonID || got[1].State != walk.Declined {
		t.Errorf("the installer's item carries %+v, want the hole agreed for 2026-03-12 and the glass declined", got)
	}

	proof := s.photo("")
	s.do(installer, proof)
	photo := proof.AddPhoto.PhotoID
	fix := move(hole, walk.Fix, "")
	fix.MoveRemark.Photos = []string{photo}
	s.refused(installer, fix, "fix_before_stage")
	s.refill()
	s.do(installer, fix)
	if got := s.remark(hole); got.State != walk.Fixed || len(got.Acts) != 2 || len(got.Moves) != 2 || got.Moves[1].Photos[0] != photo || got.Moves[1].PersonID != "" {
		t.Errorf("the homeowner sees %+v, want it fixed with a photo, two answers open, and not by whom", got)
	}
	s.do(homeowner, move(hole, walk.StillThere, "I can still feel it."))
	s.wantStatus(stage.Filled, stage.Redone)
	if got, want := s.state.Items[s.item].Stages[stage.Filled].Reason, "I can still feel it."; got != want {
		t.Errorf("filled reopened for %q, want %q", got, want)
	}
	s.refill()
	s.do(installer, fix)
	s.do(homeowner, move(hole, walk.Accept, ""))
	s.refused(homeowner, move(hole, walk.StillThere, ""), "remark_moved_on")

	// What is signed is what was seen.
	s.refused(homeowner, s.sign(s.room), "sign_list_changed")
	s.do(homeowner, move(view, walk.Accept, ""))
	s.refused(homeowner, s.sign(s.room, view), "sign_list_changed")
	bare := s.sign(s.room)
	bare.SignOff.Strokes = "M10 10"
	s.refused(homeowner, bare, "signature_missing")
	s.refused(lead, s.sign(s.room), "homeowner_only")
	s.do(homeowner, s.sign(s.room))
	s.refused(homeowner, s.sign(s.room), "signed_already")
	whole := s.do(homeowner, s.sign("")).Entries[0]
	s.refused(homeowner, s.said(walk.Dent, ""), "walk_sealed")
	v := joblog.ViewWalk(s.state, walkID, joblog.Guest, nil, joblog.Reader{Style: style, Now: s.now})
	if v.State != joblog.WalkSealed || v.SealSeq != s.state.Seq || v.Signed == nil || v.Signed.Name != whole.Command.SignOff.Name {
		t.Errorf("the walk reads %s, sealed at %d, signed %+v; want sealed at %d by Ada Brandt", v.State, v.SealSeq, v.Signed, s.state.Seq)
	}
}

// refill does the filled stage and what rests on it again.
func (s *site) refill() {
	s.t.Helper()
	s.do(installer, s.treat(finish.Finish16, finish.Filler))
	s.now = s.now.Add(2 * time.Hour)
	s.do(installer, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish16}})
	s.tick(stage.Filled)
}

// TestWalkIsOneHomeowners keeps strangers, other guests and late comers out.
func TestWalkIsOneHomeowners(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	other := s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddRoomKind, RoomID: other, AddRoom: &joblog.AddRoom{Name: "Attic", Level: finish.Upper}})
	s.refused(homeowner, s.said(walk.Dent, ""), "walk_gone")
	late := joblog.Command{Kind: joblog.OpenWalkKind, WalkID: walkID, OpenWalk: &joblog.OpenWalk{GuestID: homeowner.PersonID, ExpiresAt: s.now}}
	s.refused(lead, late, "walk_ends_before_it_begins")
	s.openWalk(s.room)
	s.refused(neighbor, s.said(walk.Dent, ""), "walk_gone")
	s.refused(homeowner, s.tickCommand(stage.Measured), "not_on_crew")
	s.refused(homeowner, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "hello"}}, "not_on_crew")
	far := s.said(walk.Dent, "")
	far.RoomID, s.item = other, ""
	s.refused(homeowner, far, "room_not_walked")
	v := joblog.ViewWalk(s.state, walkID, joblog.Guest, nil, joblog.Reader{Style: style, Now: s.now})
	if len(v.Rooms) != 1 || v.Rooms[0].ID != s.room {
		t.Errorf("the walk shows %d rooms, want the one it was opened for", len(v.Rooms))
	}
	room := s.said(walk.Paint, "the wall behind the door")
	id := s.do(homeowner, room).Entries[0].Command.ID
	s.now = s.now.Add(8 * 24 * time.Hour)
	s.refused(homeowner, s.said(walk.Dent, ""), "walk_over")
	if got := s.remark(id); len(got.Acts) != 0 {
		t.Errorf("after its day the link offers %v, want nothing", got.Acts)
	}
	if got := s.remarkFor(joblog.Lead, id); len(got.Acts) != 3 {
		t.Errorf("the lead is offered %v, want to ask, agree or decline", got.Acts)
	}
	s.do(lead, move(id, walk.Agree, "")) // of a room, without an item: there is no stage to reopen
	s.do(installer, move(id, walk.Fix, ""))
	s.do(lead, joblog.Command{Kind: joblog.CloseWalkKind, WalkID: walkID, CloseWalk: &joblog.CloseWalk{Reason: "They moved."}})
	s.refused(lead, joblog.Command{Kind: joblog.CloseWalkKind, WalkID: walkID, CloseWalk: &joblog.CloseWalk{Reason: "Again."}}, "walk_over")
}

// extending moves the walk's day to so long from now.
func (s *site) extending(by time.Duration) joblog.Command {
	return joblog.Command{Kind: joblog.ExtendWalkKind, WalkID: walkID, ExtendWalk: &joblog.ExtendWalk{ExpiresAt: s.now.Add(by)}}
}

// TestAWalkGoesOn moves a walk's day on after it is over: everything is the homeowner's to do again.
func TestAWalkGoesOn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const tenDays = 10 * 24 * time.Hour
	s.refused(lead, s.extending(tenDays), "walk_gone")
	s.openWalk()
	id := s.do(homeowner, s.said(walk.Dent, "")).Entries[0].Command.ID
	s.now = s.now.Add(8 * 24 * time.Hour)
	s.refused(homeowner, s.said(walk.Dent, ""), "walk_over")
	for _, by := range []joblog.Actor{homeowner, installer} {
		s.refused(by, s.extending(tenDays), "lead_only")
	}
	s.refused(lead, s.extending(0), "walk_ends_before_it_begins")
	until := s.now.Add(tenDays)
	s.do(lead, s.extending(tenDays))
	v := joblog.ViewWalk(s.state, walkID, joblog.Guest, nil, joblog.Reader{Style: style, Now: s.now})
	if v.State != joblog.WalkGoing || !v.ExpiresAt.Equal(until) || len(s.remark(id).Acts) == 0 {
		t.Errorf("the walk is %s until %s, want it going on until %s with something to do", v.State, v.ExpiresAt, until)
	}
	s.do(homeowner, s.said(walk.Paint, ""))
	photo := s.photo("")
	photo.WalkID = walkID
	s.do(homeowner, photo)

	// Never earlier, also where a log holds it: two phones without a signal moved it.
	s.refused(lead, s.extending(9*24*time.Hour), "walk_lasts_longer")
	early := s.extending(time.Hour)
	s.state.Apply(joblog.Entry{Seq: s.state.Seq + 1, Command: early, PersonID: lead.PersonID, Role: lead.Role})
	if got := s.state.Walks[walkID].ExpiresAt; !got.Equal(until) {
		t.Errorf("after an earlier day the walk ends %s, want %s still", got, until)
	}
	s.item = ""
	s.do(homeowner, s.sign("", s.state.Walks[walkID].OpenIn("")...))
	s.refused(lead, s.extending(2*tenDays), "walk_sealed")
}

// TestAClosedWalkStaysClosed: what a lead ended is opened anew, not moved on.
func TestAClosedWalkStaysClosed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.openWalk()
	s.do(lead, joblog.Command{Kind: joblog.CloseWalkKind, WalkID: walkID, CloseWalk: &joblog.CloseWalk{Reason: "They moved."}})
	s.refused(lead, s.extending(30*24*time.Hour), "walk_over")
}

// TestMalformedWalkCommands refuses what no screen would send.
func TestMalformedWalkCommands(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.openWalk()
	id := s.do(homeowner, s.said(walk.Dent, "")).Entries[0].Command.ID
	with := func(change func(*joblog.Command)) joblog.Command {
		c := s.said(walk.Dent, "")
		change(&c)
		return c
	}
	day := move(id, walk.Agree, "")
	day.MoveRemark.Day = "2026-13-01"
	stageOff := move(id, walk.Agree, "")
	stageOff.MoveRemark.Stage = "varnished"
	for name, c := range map[string]struct {
		command joblog.Command
		code    string
	}{
		"without its walk":       {with(func(c *joblog.Command) { c.WalkID = "" }), "command_incomplete"},
		"a walk that is no id":   {with(func(c *joblog.Command) { c.WalkID = "x" }), "command_id_bad"},
		"an unknown trouble":     {with(func(c *joblog.Command) { c.SayRemark.About = "ghosts" }), "choice_bad"},
		"a spot off the drawing": {with(func(c *joblog.Command) { c.SayRemark.Spot = &joblog.Spot{X: 1001} }), "choice_bad"},
		"a photo that is no id":  {with(func(c *joblog.Command) { c.SayRemark.Photos = []string{"x"} }), "choice_bad"},
		"thirteen photos":        {with(func(c *joblog.Command) { c.SayRemark.Photos = strings.Split(strings.Repeat(photo+" ", 12)+photo, " ") }), "choice_bad"},
		"hidden characters":      {with(func(c *joblog.Command) { c.SayRemark.Text = "a\u202eb" }), "text_bad"},
		"a day of no month":      {day, "choice_bad"},
		"a stage of no pole":     {stageOff, "choice_bad"},
		"an act of nobody":       {move(id, "shrug", ""), "choice_bad"},
		"a remark of no walk":    {move(photo, walk.Agree, ""), "remark_gone"},
	} {
		if d := s.give(lead, c.command); !d.Refused || d.Findings[0].Code != c.code {
			t.Errorf("%s: refused %v for %s, want %s", name, d.Refused, words(d.Findings), c.code)
		}
	}
	d := joblog.Decide(s.state.Scope(nil, joblog.Command{WalkID: walkID, RoomID: s.room}), joblog.Command{ID: s.id(), Version: 1, Kind: joblog.MoveRemarkKind,
		JobID: jobID, WalkID: walkID, RoomID: s.room, At: s.now, MoveRemark: &joblog.MoveRemark{RemarkID: id, Act: walk.Agree}}, lead, s.now, s.now)
	if !d.Refused || d.Findings[0].Code != "command_incomplete" {
		t.Errorf("an item's remark agreed to without its item: %s, want command_incomplete", words(d.Findings))
	}
}

// TestPreWalk has the rules name what a homeowner would see first.
func TestPreWalk(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	mdf := chainSpec()
	mdf.CasingA.Style, mdf.CasingA.Overhang, mdf.CasingA.Material, mdf.SeenFromAbove = "mitered", 0, "mdf", true
	mdf.CasingB = nil
	up := s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddRoomKind, RoomID: up, AddRoom: &joblog.AddRoom{Name: "Landing", Level: finish.Upper}})
	s.item = s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: up, ItemID: s.item, AddItem: &joblog.AddItem{Name: "Linen closet", Spec: mdf}})
	s.do(installer, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: in(0, 3, 16),
		Closing: finish.Caulked, Passes: 2, Sealant: &finish.Sealant{Class: finish.Class50}}}})
	// Nothing is looked for at joints that are not there yet.
	for _, l := range joblog.PreWalk(s.state, []string{up}, nil, joblog.Reader{Style: style, Now: s.now}) {
		if l.Code == "look_mdf_corners" || l.Code == "look_upper_joints" {
			t.Errorf("%s before the casing is up", l.Code)
		}
	}
	s.state.Items[s.item].Stages = map[stage.Stage]joblog.StageMark{stage.Cased: {}}
	got := map[string]string{}
	for _, l := range joblog.PreWalk(s.state, []string{up}, nil, joblog.Reader{Style: style, Now: s.now}) {
		if l.ItemID != s.item {
			t.Errorf("looks at %s, which is not in the room", l.ItemName)
		}
		if strings.ContainsAny(l.Sentence+l.Remedy, "{}_") || l.Basis == "" {
			t.Errorf("%s reads %q %q %q", l.Code, l.Sentence, l.Remedy, l.Basis)
		}
		got[l.Code] = l.Sentence
	}
	for _, want := range []string{"look_not_finished", "look_wide_gap", "look_mdf_corners", "look_upper_joints", "look_no_top_bead"} {
		if _, ok := got[want]; !ok {
			t.Errorf("%s is missing; the rules would look at %v", want, got)
		}
	}
	if want := "A gap of 3/16 was closed here."; got["look_wide_gap"] != want {
		t.Errorf("the gap reads %q, want %q", got["look_wide_gap"], want)
	}
	// The house says from which width on a gap is looked at.
	wide := houserules.Set{"caulk_two_pass": int64(length.Quarter)}
	for _, l := range joblog.PreWalk(s.state, []string{up}, wide, joblog.Reader{Style: style, Now: s.now}) {
		if l.Code == "look_wide_gap" {
			t.Errorf("a gap of 3/16 is looked at where the house closes 1/4 in one pass")
		}
	}
	// Two unfinished items are one line of the room's.
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: up, ItemID: s.id(), AddItem: &joblog.AddItem{Name: "Bath door", Spec: chainSpec()}})
	lines := 0
	for _, l := range joblog.PreWalk(s.state, []string{up}, nil, joblog.Reader{Style: style, Now: s.now}) {
		switch l.Code {
		case "look_not_finished":
			t.Errorf("%s has a line of its own", l.ItemName)
		case "look_room_not_finished":
			lines++
			if want := "2 of 2 here are not finished."; l.Sentence != want || l.ItemID != "" {
				t.Errorf("the room reads %q of item %q, want %q of none", l.Sentence, l.ItemID, want)
			}
		}
	}
	if lines != 1 {
		t.Errorf("%d lines say that the room is not finished, want 1", lines)
	}
	if left := joblog.PreWalk(painted(t).state, nil, nil, joblog.Reader{Style: style, Now: s.now}); len(left) != 0 {
		t.Errorf("nothing is wrong with a finished door on the ground floor, and yet: %+v", left)
	}
}

// TestWalkModel has three people do whatever they like: the item carries what the walk holds, work
// comes from a lead alone, nothing is lost, and the log replays to the same job.
func TestWalkModel(t *testing.T) {
	t.Parallel()
	people := []joblog.Actor{homeowner, neighbor, lead, installer}
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		s.openWalk()
		var said []string
		for range rapid.IntRange(1, 40).Draw(rt, "commands") {
			by := rapid.SampledFrom(people).Draw(rt, "by")
			before, _ := json.Marshal(s.state)
			var c joblog.Command
			switch at := rapid.IntRange(0, 9).Draw(rt, "what"); {
			case at < 3 || len(said) == 0:
				c = s.said(rapid.SampledFrom(walk.Abouts()).Draw(rt, "about"), rapid.SampledFrom([]string{"", "here"}).Draw(rt, "text"))
			case at < 9:
				c = move(rapid.SampledFrom(said).Draw(rt, "remark"), rapid.SampledFrom(walk.Acts()).Draw(rt, "act"), rapid.SampledFrom([]string{"", "words"}).Draw(rt, "words"))
			default:
				c = s.sign(rapid.SampledFrom([]string{"", s.room}).Draw(rt, "room"), s.state.Walks[walkID].OpenIn("")...)
			}
			d := s.give(by, c)
			if d.Refused {
				if after, _ := json.Marshal(s.state); string(after) != string(before) {
					rt.Fatalf("refused %s changed the job", c.Kind)
				}
				continue
			}
			if by == neighbor {
				rt.Fatalf("another's guest gave %s", c.Kind)
			}
			if c.Kind == joblog.SayRemarkKind {
				said = append(said, d.Entries[0].Command.ID)
			}
		}
		w := s.state.Walks[walkID]
		if len(w.Remarks) != len(said) {
			rt.Fatalf("%d remarks were said and %d are kept", len(said), len(w.Remarks))
		}
		carried := map[string]walk.State{}
		for _, r := range s.state.Items[s.item].Remarks {
			carried[r.ID] = r.State
		}
		for _, r := range w.Remarks {
			if carried[r.CommandID] != r.State {
				rt.Fatalf("the walk has %s, its item %s", r.State, carried[r.CommandID])
			}
			byLead := false
			for _, m := range r.Moves {
				byLead = byLead || m.Act == walk.Agree && m.Role == joblog.Lead
			}
			if (r.State == walk.Agreed || r.State == walk.Fixed || r.State == walk.Accepted) && !byLead {
				rt.Fatalf("%s without a lead's word", r.State)
			}
			for _, side := range []joblog.Role{joblog.Guest, joblog.Lead, joblog.Installer} {
				if v := s.remarkFor(side, r.CommandID); v.StateLabel == "" || strings.ContainsAny(v.Sentence+v.StateLabel, "{}_") {
					rt.Fatalf("reads %q, %q", v.Sentence, v.StateLabel)
				}
			}
		}
		again := joblog.NewState()
		for _, e := range s.log {
			again.Apply(e)
			if v := joblog.ViewEntry(e, joblog.Reader{Style: style}); strings.ContainsAny(v.Sentence, "{}_") || v.Sentence == "" {
				rt.Fatalf("entry %s reads %q", v.Kind, v.Sentence)
			}
		}
		want, _ := json.Marshal(s.state)
		if got, _ := json.Marshal(again); string(got) != string(want) {
			rt.Fatalf("the log replays to another job")
		}
	})
}
