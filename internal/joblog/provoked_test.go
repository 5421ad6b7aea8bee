package joblog_test

import (
	"slices"
	"testing"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
	"longpoint/internal/walk"
	"longpoint/internal/words/wordtest"
)

const nobody = "01900000-0000-7000-8000-00000000dead"

// provoking are the sites of TestEveryFindingOfTheLogIsProvoked: each entry makes its finding
// come up on a site of its own.
type provoking map[string]func(s *site) []finding.Finding

// told is what comes of a command, refused or not.
func told(s *site, by joblog.Actor, c joblog.Command) []finding.Finding {
	return s.give(by, c).Findings
}

// raw gives a command as it is, with nothing put right.
func raw(s *site, c joblog.Command) []finding.Finding {
	c.At = s.now
	if c.ID == "" {
		c.ID, c.Version = s.id(), max(c.Version, joblog.CommandVersion)
	}
	if c.JobID == "" {
		c.JobID = jobID
	}
	return joblog.Decide(s.state.Scope(nil, c), c, lead, s.now, s.now).Findings
}

// cutTo is a piece of the item cut so much longer than it should be.
func (s *site) cutTo(name string, off length.Length) joblog.Command {
	s.t.Helper()
	for _, c := range s.view().Cuts {
		if c.Piece == name {
			return joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: []joblog.CutPiece{
				{Piece: name, Computed: c.Value.Length, AsCut: c.Value.Length + off}}}}
		}
	}
	s.t.Fatalf("no piece %s", name)
	return joblog.Command{}
}

// passing is a lead's pass of a finding that stands.
func (s *site) passing(code string) joblog.Command {
	s.t.Helper()
	for _, v := range s.view().Stages {
		for i, f := range v.Findings {
			if f.Code == code {
				return joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: v.Keys[i], Reason: "A plinth covers it."}}
			}
		}
	}
	s.t.Fatalf("%s does not stand", code)
	return joblog.Command{}
}

// cutShort has the door's pieces cut and one of them 3/32 short.
func (s *site) cutShort() {
	s.takeAll()
	s.tick(stage.Measured)
	s.cut(stage.Trimmed)
	s.do(installer, s.cutTo("leg_strike", -in(0, 3, 32)))
}

// looks are what the rules would look at before the homeowner comes.
func (s *site) looks() []finding.Finding {
	var out []finding.Finding
	for _, l := range joblog.PreWalk(s.state, nil, nil, joblog.Reader{Style: style, Now: s.now}) {
		out = append(out, finding.Finding{Code: l.Code, Severity: finding.Note, Sentence: l.Sentence, Remedy: l.Remedy, Basis: l.Basis})
	}
	return out
}

func (s *site) set(change func(*joblog.Spec)) {
	sp := chainSpec()
	change(&sp)
	s.do(lead, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: "Closet door", Spec: sp}})
}

// TestEveryFindingOfTheLogIsProvoked brings each finding of the log, the walkthroughs and the
// sticks about by the commands people give, and holds its severity, stage, subject and sentence.
func TestEveryFindingOfTheLogIsProvoked(t *testing.T) {
	t.Parallel()
	provoke := map[string]wordtest.Provoke{}
	for _, part := range []provoking{commandFindings(), pieceFindings(), workFindings(), walkFindings(), stickFindings()} {
		for code, f := range part {
			provoke[code] = func() []finding.Finding { return f(newSite(t)) }
		}
	}
	// Sentences of the log and places are no findings; the words of what a joint needs are held
	// beside it; a lead's turning down is the store's, held by storetest.
	wordtest.Provoked(t, "testdata/findings.txt", []string{"log", "walk", "stock"}, provoke, "log_", "place_", "need_by_", "lead_turned_down")
}

func commandFindings() provoking {
	note := joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "x"}}
	rules := func(set houserules.Set) joblog.Command {
		return joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: set}}
	}
	removal := joblog.Command{Kind: joblog.RemoveItemKind, RemoveItem: &joblog.RemoveItem{Reason: "Walled up."}}
	return provoking{
		"command_too_new": func(s *site) []finding.Finding {
			return raw(s, joblog.Command{Version: 99, ItemID: s.item, Kind: note.Kind, Note: note.Note})
		},
		"command_id_bad": func(s *site) []finding.Finding { c := note; c.ID = "7"; return told(s, installer, c) },
		"command_incomplete": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.NoteKind})
		},
		"text_bad": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: " "}})
		},
		"choice_bad":  func(s *site) []finding.Finding { return told(s, installer, s.tickCommand("varnished")) },
		"lead_only":   func(s *site) []finding.Finding { return told(s, installer, rules(nil)) },
		"not_on_crew": func(s *site) []finding.Finding { return told(s, joblog.Actor{PersonID: nobody, Role: "plumber"}, note) },
		"already_there": func(s *site) []finding.Finding {
			return raw(s, joblog.Command{Kind: joblog.AddRoomKind, RoomID: s.room, AddRoom: &joblog.AddRoom{Name: "Bedroom", Level: finish.Ground}})
		},
		"item_removed": func(s *site) []finding.Finding {
			s.do(lead, removal)
			return told(s, installer, s.tickCommand(stage.Measured))
		},
		"not_removed": func(s *site) []finding.Finding {
			return told(s, lead, joblog.Command{Kind: joblog.RestoreItemKind, RestoreItem: &joblog.RestoreItem{}})
		},
		"job_gone": func(s *site) []finding.Finding { s.state = joblog.NewState(); return told(s, installer, note) },
		"room_gone": func(s *site) []finding.Finding {
			return raw(s, joblog.Command{Kind: joblog.AddItemKind, RoomID: nobody, ItemID: s.id(), AddItem: &joblog.AddItem{Name: "Door", Spec: chainSpec()}})
		},
		"item_gone":    func(s *site) []finding.Finding { c := note; c.ItemID = nobody; return told(s, installer, c) },
		"rule_unknown": func(s *site) []finding.Finding { return told(s, lead, rules(houserules.Set{"taste": 1})) },
		"rule_out_of_range": func(s *site) []finding.Finding {
			return told(s, lead, rules(houserules.Set{"reveal": int64(length.Foot)}))
		},
		"reading_unknown": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: "mood", Value: length.Inch}})
		},
		"reading_missing": func(s *site) []finding.Finding { return told(s, installer, s.tickCommand(stage.Measured)) },
		"takes_disagree": func(s *site) []finding.Finding {
			s.takeAll()
			s.take("width_top", in(30, 1, 8))
			return s.view().Findings
		},
		"take_gone": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "width_top", TakeID: nobody}})
		},
		"walls_not_laid_out": func(s *site) []finding.Finding {
			s.item = s.id()
			s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.item, AddItem: &joblog.AddItem{Name: "Base", Spec: baseSpec()}})
			return s.view().Findings
		},
		"reading_missing_wall": func(s *site) []finding.Finding { return onWalls(s).view().Findings },
		"takes_disagree_wall": func(s *site) []finding.Finding {
			s = onWalls(s)
			s.wall(2, in(120, 0, 0))
			s.wall(2, in(120, 1, 4))
			return s.view().Findings
		},
		"run_wall_gone":      afterAWall([]int{1, 2}, 0, 2),
		"run_walls_gone":     afterAWall([]int{2}, 0, 2),
		"corner_choice_gone": afterAWall(nil, 2, 2),
		"feature_on_no_wall": func(s *site) []finding.Finding {
			return raw(s, joblog.Command{Kind: joblog.SetWallsKind, RoomID: s.room, SetWalls: &joblog.SetWalls{
				Walls: trim.Room{Walls: make([]trim.Wall, 4)}, Features: []trim.Feature{{Wall: 9, Kind: trim.OpeningFeature, Width: length.Foot}}}})
		},
		"reading_of_room": func(s *site) []finding.Finding {
			s = onWalls(s)
			return told(s, installer, joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: "wall_1_length", Value: length.Foot}})
		},
		"photo_impossible": func(s *site) []finding.Finding { c := s.photo(""); c.AddPhoto.Bytes = 0; return told(s, installer, c) },
		"photo_too_many": func(s *site) []finding.Finding {
			for range 200 {
				s.do(installer, s.photo(""))
			}
			return told(s, installer, s.photo(""))
		},
		"nothing_to_withdraw": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: nobody, Reason: "A slip."}})
		},
	}
}

func baseSpec() joblog.Spec {
	return joblog.Spec{Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint},
		Run: &joblog.RunSpec{Profile: trim.Profile{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16)}}}
}

// onWalls gives the site a room of four walls and a base to look at.
func onWalls(s *site) *site {
	s.onRoom(joblog.Command{Kind: joblog.SetWallsKind, SetWalls: &joblog.SetWalls{Walls: trim.Room{Walls: make([]trim.Wall, 4)}}})
	s.item = s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.item, AddItem: &joblog.AddItem{Name: "Base", Spec: baseSpec()}})
	return s
}

// afterAWall is what is said of a run along those walls, its corner after one of them mitered,
// once a wall is out.
func afterAWall(along []int, corner, out int) func(s *site) []finding.Finding {
	return func(s *site) []finding.Finding {
		s.layWalls([]string{"a", "b", "c", "d"}, false, nil)
		var choices []trim.CornerChoice
		if corner > 0 {
			choices = []trim.CornerChoice{{After: corner, Inside: trim.InsideMiter}}
		}
		s.item = s.run("Rail", along, choices)
		s.layWalls([]string{"a", "c", "d"}, false, slices.DeleteFunc([]int{1, 2, 3, 4}, func(n int) bool { return n == out }))
		return s.view().Findings
	}
}

func pieceFindings() provoking {
	gap := func(narrow, wide length.Length) func(s *site) []finding.Finding {
		return func(s *site) []finding.Finding {
			s.do(installer, joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "hinge", Narrow: narrow, Wide: wide}})
			return s.view().Findings
		}
	}
	no := func(check string) func(s *site) []finding.Finding {
		return func(s *site) []finding.Finding {
			s.do(installer, joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{Check: check}})
			return s.view().Findings
		}
	}
	return provoking{
		"piece_unknown": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: []joblog.CutPiece{{Piece: "crown", Computed: 1, AsCut: 1}}}})
		},
		"as_cut_impossible": func(s *site) []finding.Finding {
			s.takeAll()
			return told(s, installer, s.cutTo("slab", -100*length.Inch))
		},
		"piece_to_cut": func(s *site) []finding.Finding {
			s.takeAll()
			s.tick(stage.Measured)
			return told(s, installer, s.tickCommand(stage.Trimmed))
		},
		"piece_short": func(s *site) []finding.Finding { s.cutShort(); return s.view().Findings },
		"piece_long": func(s *site) []finding.Finding {
			s.takeAll()
			s.do(installer, s.cutTo("leg_strike", in(0, 3, 32)))
			return s.view().Findings
		},
		"piece_stale": func(s *site) []finding.Finding {
			s.takeAll()
			s.do(installer, s.cutTo("leg_hinge", 0))
			take := s.take("height_hinge", in(80, 1, 4)).Entries[0].Command.ID
			s.do(installer, joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: "height_hinge", TakeID: take}})
			return s.view().Findings
		},
		"line_not_read":   func(s *site) []finding.Finding { return s.view().Findings },
		"line_off_target": gap(in(0, 1, 8), in(0, 1, 4)),
		"line_uneven":     gap(in(0, 1, 16), in(0, 3, 16)),
		"gap_read_impossible": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: "head", Narrow: in(0, 1, 4), Wide: in(0, 1, 8)}})
		},
		"check_open":              func(s *site) []finding.Finding { return s.view().Findings },
		"check_stop_off_no":       no("stop_off"),
		"check_plumb_no":          no("plumb"),
		"check_closes_on_stop_no": no("closes_on_stop"),
		"check_no_see_through_no": no("no_see_through"),
		"check_runs_free_no": func(s *site) []finding.Finding {
			s.set(func(sp *joblog.Spec) { sp.Unit, sp.CasingA, sp.CasingB = trim.CommonUnit(trim.Bypass), nil, nil })
			return no("runs_free")(s)
		},
	}
}

func workFindings() provoking {
	reopened := func(st stage.Stage, why string, then func(*site), wanted stage.Stage) func(s *site) []finding.Finding {
		return func(s *site) []finding.Finding {
			p := painted(s.t)
			p.reopen(st, why)
			then(p)
			return told(p, installer, p.tickCommand(wanted))
		}
	}
	nothing := func(*site) {}
	bead := func(s *site) string {
		return s.product(finish.Product{Kind: finish.CaulkProduct, Name: "Quick bead"}, 60, finish.CaulkCure)
	}
	return provoking{
		"not_done_yet": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.ReopenStageKind, ReopenStage: &joblog.ReopenStage{Stage: stage.Hung, Reason: "It sags."}})
		},
		"earlier_stage_open": func(s *site) []finding.Finding { return told(s, installer, s.tickCommand(stage.Hung)) },
		"stage_not_passed": func(s *site) []finding.Finding {
			s.set(func(sp *joblog.Spec) { sp.Unit.Grade = trim.Stain })
			return told(s, installer, s.tickCommand(stage.Caulked))
		},
		"already_done": func(s *site) []finding.Finding {
			s.takeAll()
			s.tick(stage.Measured)
			return told(s, installer, s.tickCommand(stage.Measured))
		},
		"stop_gone": func(s *site) []finding.Finding {
			return told(s, lead, joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: "piece_short", Reason: "It is covered."}})
		},
		"already_passed": func(s *site) []finding.Finding {
			s.cutShort()
			pass := s.passing("piece_short")
			s.do(lead, pass)
			return told(s, lead, pass)
		},
		"cannot_be_passed": func(s *site) []finding.Finding { return told(s, lead, s.passing("line_not_read")) },
		"no_such_holes":    func(s *site) []finding.Finding { return told(s, installer, s.treat(finish.Finish15, finish.Filler)) },
		"nothing_filled": func(s *site) []finding.Finding {
			return told(s, installer, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish15}})
		},
		"coat_before_filled": func(s *site) []finding.Finding {
			s.drive(finish.Finish16, in(2, 1, 2), 12, finish.Stud)
			return told(s, installer, coat(joblog.Used{}))
		},
		"coated_too_soon": func(s *site) []finding.Finding { // the painter's phone delivers first
			p := painted(s.t)
			c := caulked(in(0, 1, 16), joblog.Used{})
			p.now = p.now.Add(-5 * time.Hour)
			p.do(installer, c)
			p.now = p.now.Add(5 * time.Hour)
			return p.view().Findings
		},
		"too_many_products": func(s *site) []finding.Finding {
			paint := finish.Product{Kind: finish.PaintProduct, Name: "Eggshell"}
			for range 200 {
				s.product(paint, 60, finish.Recoat)
			}
			return told(s, installer, joblog.Command{Kind: joblog.SetProductKind, SetProduct: &joblog.SetProduct{ProductID: s.id(), Product: paint}})
		},
		"product_gone":       func(s *site) []finding.Finding { return told(s, installer, coat(joblog.Used{ProductID: nobody})) },
		"product_wrong_kind": func(s *site) []finding.Finding { return told(s, installer, coat(joblog.Used{ProductID: bead(s)})) },
		"product_not_used": func(s *site) []finding.Finding {
			c := caulked(in(0, 1, 8), joblog.Used{ProductID: bead(s)})
			c.LogGap.Gap.Closing, c.LogGap.Gap.Passes = finish.LeftUnclosed, 0
			return told(s, installer, c)
		},
		"coats_missing": func(s *site) []finding.Finding { return s.view().Findings },
		"fill_again":    reopened(stage.Filled, "A nail hole shows.", nothing, stage.Filled),
		"caulk_again":   reopened(stage.Caulked, "The bead cracked.", nothing, stage.Caulked),
		"coat_again": reopened(stage.Caulked, "The bead cracked.", func(s *site) {
			s.caulk()
			s.tick(stage.Caulked)
		}, stage.Painted),
	}
}

func walkFindings() provoking {
	remark := func(s *site, about walk.About, text string) string {
		s.t.Helper()
		s.openWalk()
		return s.do(homeowner, s.said(about, text)).Entries[0].Command.ID
	}
	open := func(expires time.Duration) joblog.Command {
		return joblog.Command{Kind: joblog.OpenWalkKind, WalkID: walkID, OpenWalk: &joblog.OpenWalk{GuestID: homeowner.PersonID, ExpiresAt: day.Add(expires)}}
	}
	agreed := func(s *site) (*site, string) { // a dent in a finished door, agreed to
		p := painted(s.t)
		id := remark(p, walk.NailHole, "")
		p.do(lead, move(id, walk.Agree, ""))
		return p, id
	}
	return provoking{
		"walk_gone":      func(s *site) []finding.Finding { return told(s, homeowner, s.said(walk.Dent, "")) },
		"homeowner_only": func(s *site) []finding.Finding { s.openWalk(); return told(s, lead, s.sign("")) },
		"walk_over": func(s *site) []finding.Finding {
			s.openWalk()
			s.now = s.now.Add(8 * 24 * time.Hour)
			return told(s, homeowner, s.said(walk.Dent, ""))
		},
		"walk_sealed": func(s *site) []finding.Finding {
			s.openWalk()
			s.item = ""
			s.do(homeowner, s.sign(""))
			return told(s, lead, s.said(walk.Dent, ""))
		},
		"walk_ends_before_it_begins": func(s *site) []finding.Finding { return told(s, lead, open(-time.Hour)) },
		"walk_lasts_longer":          func(s *site) []finding.Finding { s.openWalk(); return told(s, lead, s.extending(6*24*time.Hour)) },
		"room_not_walked": func(s *site) []finding.Finding {
			s.openWalk(nobody)
			return told(s, homeowner, s.said(walk.Dent, ""))
		},
		"remark_gone":        func(s *site) []finding.Finding { s.openWalk(); return told(s, lead, move(nobody, walk.Agree, "")) },
		"remark_needs_words": func(s *site) []finding.Finding { s.openWalk(); return told(s, homeowner, s.said(walk.Other, " ")) },
		"remark_moved_on": func(s *site) []finding.Finding {
			return told(s, homeowner, move(remark(s, walk.Dent, ""), walk.Agree, ""))
		},
		"remark_needs_stage": func(s *site) []finding.Finding {
			return told(s, lead, move(remark(s, walk.Other, "The knob is loose."), walk.Agree, ""))
		},
		"fix_before_stage": func(s *site) []finding.Finding {
			p, id := agreed(s)
			return told(p, installer, move(id, walk.Fix, ""))
		},
		"fixed_without_photo": func(s *site) []finding.Finding {
			p, id := agreed(s)
			p.refill()
			return told(p, installer, move(id, walk.Fix, ""))
		},
		"photo_not_here": func(s *site) []finding.Finding {
			s.openWalk()
			return told(s, homeowner, showing(s.said(walk.Dent, ""), nobody))
		},
		"signed_already": func(s *site) []finding.Finding {
			s.openWalk()
			s.item = ""
			s.do(homeowner, s.sign(s.room))
			return told(s, homeowner, s.sign(s.room))
		},
		"sign_list_changed": func(s *site) []finding.Finding {
			remark(s, walk.Dent, "")
			s.item = ""
			return told(s, homeowner, s.sign(""))
		},
		"signature_missing": func(s *site) []finding.Finding {
			s.openWalk()
			s.item = ""
			c := s.sign("")
			c.SignOff.Strokes = ""
			return told(s, homeowner, c)
		},
		"look_not_finished": func(s *site) []finding.Finding { return s.looks() },
		"look_room_not_finished": func(s *site) []finding.Finding {
			s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: s.id(), AddItem: &joblog.AddItem{Name: "Bath door", Spec: chainSpec()}})
			return s.looks()
		},
		"look_passed": func(s *site) []finding.Finding {
			s.cutShort()
			s.do(lead, s.passing("piece_short"))
			return s.looks()
		},
		"look_wide_gap": func(s *site) []finding.Finding {
			s.do(installer, caulked(in(0, 3, 16), joblog.Used{}))
			return s.looks()
		},
		"look_mdf_corners": func(s *site) []finding.Finding {
			p := painted(s.t)
			p.set(func(sp *joblog.Spec) {
				sp.CasingA.Style, sp.CasingA.Overhang, sp.CasingA.Material = trim.Mitered, 0, "mdf"
			})
			return p.looks()
		},
		"look_upper_joints": func(s *site) []finding.Finding {
			p := painted(s.t)
			p.set(func(sp *joblog.Spec) { sp.CasingA.Style, sp.CasingA.Overhang = trim.Mitered, 0 })
			p.state.Rooms[p.room].Level = finish.Upper
			return p.looks()
		},
		"look_no_top_bead": func(s *site) []finding.Finding {
			p := painted(s.t)
			p.set(func(sp *joblog.Spec) { sp.SeenFromAbove = true })
			return p.looks()
		},
	}
}

func stickFindings() provoking {
	stick := func(l length.Length, offcut string) joblog.Command {
		return joblog.Command{Kind: joblog.TakeStickKind, TakeStick: &joblog.TakeStick{Stock: casingStock, Length: l, OffcutID: offcut}}
	}
	onRack := func(s *site) string {
		return s.giveJob(installer, joblog.Command{Kind: joblog.ReturnOffcutKind, ReturnOffcut: &joblog.ReturnOffcut{Stock: casingStock, Length: 4 * length.Foot}}).Entries[0].Command.ID
	}
	job := func(s *site, c joblog.Command) []finding.Finding { return s.giveJob(installer, c).Findings }
	return provoking{
		"stick_gone": func(s *site) []finding.Finding {
			return job(s, joblog.Command{Kind: joblog.MiscutKind, Miscut: &joblog.Miscut{StickID: nobody, Length: length.Foot, Reason: "It split."}})
		},
		"offcut_gone":      func(s *site) []finding.Finding { return job(s, stick(length.Foot, nobody)) },
		"offcut_other":     func(s *site) []finding.Finding { return job(s, stick(length.Foot, onRack(s))) },
		"stick_impossible": func(s *site) []finding.Finding { return job(s, stick(0, "")) },
	}
}
