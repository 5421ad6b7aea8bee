package model

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// act is one thing the phone's owner does: mostly the work that is next, in the middle of it
// a slip, and now and then what cannot be.
func (p *phone) act() {
	if p.local.Job == nil {
		p.stray()
		return
	}
	items := sortedKeys(p.local.Items)
	if len(items) == 0 {
		return
	}
	if p.local.Items[p.focus] == nil || p.rng.IntN(25) == 0 {
		p.focus = p.pick(items)
	}
	item := p.focus
	if p.rng.IntN(12) == 0 {
		item = p.pick(items)
	}
	switch roll := p.rng.IntN(100); {
	case p.who.Role.Leads() && roll < 30:
		p.plan(item)
	case roll < 79:
		p.work(item)
	case roll < 82:
		p.saw(item)
	case roll < 83:
		p.photograph(item)
	case roll < 86:
		p.walkthrough(item)
	case roll < 96:
		p.slip(item)
	default:
		p.wrong(item)
	}
}

func (p *phone) pick(from []string) string { return from[p.rng.IntN(len(from))] }

func (p *phone) on(item string, c joblog.Command) {
	c.ItemID = item
	p.do(c)
}

func (p *phone) view(item string) joblog.ItemView {
	return joblog.ViewItem(p.local.Scope(p.w.rules, joblog.Command{ItemID: item}), joblog.Reader{Now: p.w.clock.now()})
}

// work does what is next on an item.
func (p *phone) work(item string) {
	v := p.view(item)
	var at *joblog.StageView
	for i := range v.Stages {
		if v.Stages[i].Status != stage.Done {
			at = &v.Stages[i]
			break
		}
	}
	if at == nil {
		p.on(item, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "Done here."}})
		return
	}
	did := false
	switch at.Stage {
	case stage.Measured:
		did = p.measure(item, v)
	case stage.Trimmed, stage.Cased:
		did = p.cut(item, v, at.Stage) || p.readGaps(item, v, at.Stage)
	case stage.Hung:
		did = p.readGaps(item, v, at.Stage) || p.answer(item, v)
	case stage.Nailed:
		did = p.nail(item, v, at)
	case stage.Filled:
		did = p.fill(item, v)
	case stage.Caulked:
		did = p.caulk(item, v)
	case stage.Painted:
		if at.Findings != nil && slices.ContainsFunc(at.Findings, func(f finding.Finding) bool { return f.ClearsAt != nil }) && p.rng.IntN(6) > 0 {
			p.focus = ""
			return
		}
		if int64(len(v.Coats)) < v.CoatsNeed {
			p.on(item, joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{Product: "satin enamel"}})
			did = true
		}
	}
	if !did || p.rng.IntN(4) == 0 {
		p.tick(item, at.Stage)
	}
}

func (p *phone) tick(item string, st stage.Stage) {
	p.on(item, joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: st}})
}

// usual is what a reading of this house is, before anybody's slip.
func usual(v joblog.ItemView, reading string) length.Length {
	wide := v.Spec.Unit.SlabWidth
	if wide == 0 {
		wide = 28 * length.Inch
	}
	switch {
	case strings.HasPrefix(reading, "wall_") && strings.HasSuffix(reading, "_length"):
		return length.Length([]int64{12, 7, 4, 3, 8, 10}[int(reading[5]-'1')%6]) * length.Foot
	case strings.HasPrefix(reading, "wall_") && strings.HasSuffix(reading, "_angle"):
		return length.Length(90 * trim.Degree)
	case strings.HasPrefix(reading, "wall_") && strings.HasSuffix(reading, "_stud"):
		return length.In(8, 1, 4)
	case reading == "wall_build_up":
		return length.In(4, 9, 16)
	case strings.HasPrefix(reading, "width_"):
		return wide + 2*length.Inch
	case reading == "height_hinge":
		return length.In(80, 3, 8)
	case reading == "height_strike":
		return length.In(80, 1, 2)
	case reading == "floor_strike_up":
		return -length.Eighth
	case strings.HasPrefix(reading, "diagonal_"):
		return 86 * length.Inch
	case strings.HasPrefix(reading, "space_"):
		return 6 * length.Inch
	case strings.HasPrefix(reading, "corner_"):
		return length.Length(90 * trim.Degree)
	}
	return 0
}

func (p *phone) takeReading(item string, v joblog.ItemView, r joblog.ReadingView, off length.Length) {
	c := joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: r.Name, Value: usual(v, r.Name) + off,
		Tool: []string{"tape", "laser", ""}[p.rng.IntN(3)]}}
	if r.OfRoom {
		c.RoomID = v.RoomID
		p.do(c)
		return
	}
	p.on(item, c)
}

func (p *phone) measure(item string, v joblog.ItemView) bool {
	for _, r := range v.Readings {
		switch {
		case r.State == joblog.ReadingDisagree && len(r.Takes) > 0:
			c := joblog.Command{Kind: joblog.ChooseTakeKind, ChooseTake: &joblog.ChooseTake{Reading: r.Name, TakeID: r.Takes[p.rng.IntN(len(r.Takes))].CommandID}}
			if r.OfRoom {
				c.RoomID = v.RoomID
				p.do(c)
			} else {
				p.on(item, c)
			}
			return true
		case r.State == joblog.ReadingMissing && r.Required:
			var off length.Length
			if p.rng.IntN(8) == 0 {
				off = length.Length(p.rng.IntN(7)-3) * length.Sixteenth
			}
			p.takeReading(item, v, r, off)
			return true
		}
	}
	return false
}

func (p *phone) cut(item string, v joblog.ItemView, st stage.Stage) bool {
	var ps []joblog.CutPiece
	for _, c := range v.Cuts {
		if c.Stage != st || c.State == joblog.PieceCutOK {
			continue
		}
		as := c.Value.Length
		if p.rng.IntN(12) == 0 {
			as += length.Length(p.rng.IntN(7)-3) * length.ThirtySecond
		}
		ps = append(ps, joblog.CutPiece{Piece: c.Piece, Computed: c.Value.Length, AsCut: as})
	}
	if len(ps) == 0 {
		return false
	}
	p.on(item, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: ps[:min(len(ps), 40)]}})
	return true
}

func (p *phone) readGaps(item string, v joblog.ItemView, st stage.Stage) bool {
	for _, l := range v.Lines {
		if l.Stage == st && (l.Read == nil || l.Read.Wide != l.Target) {
			wide := l.Target
			if p.rng.IntN(8) == 0 {
				wide += length.Eighth
			}
			p.on(item, joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: l.Line, Narrow: l.Target, Wide: wide}})
			return true
		}
	}
	return false
}

func (p *phone) answer(item string, v joblog.ItemView) bool {
	for _, c := range v.Checks {
		if c.Answer == nil || !c.Answer.Yes {
			p.on(item, joblog.Command{Kind: joblog.AnswerCheckKind, AnswerCheck: &joblog.AnswerCheck{Check: c.Check, Yes: p.rng.IntN(10) > 0}})
			return true
		}
	}
	return false
}

func (p *phone) drive(item string, k finish.Kind, l length.Length, where finish.Where) {
	p.on(item, joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{
		Fastener: finish.Fastener{Kind: k, Length: l, Count: 24, Where: where}}})
}

func (p *phone) nail(item string, v joblog.ItemView, at *joblog.StageView) bool {
	for _, f := range at.Findings {
		switch {
		case f.About == string(finish.JambEdge), f.Code == "fasteners_not_logged" && v.Spec.Run == nil:
			p.drive(item, finish.Brad18, length.In(1, 1, 4), finish.JambEdge)
			return true
		case f.About == string(finish.Stud), f.Code == "fasteners_not_logged":
			p.drive(item, finish.Finish15, length.In(2, 1, 2), finish.Stud)
			return true
		}
	}
	return false
}

func (p *phone) fill(item string, v joblog.ItemView) bool {
	for _, h := range v.Holes {
		if h.Treated == nil {
			for _, o := range h.Options {
				if o.Allowed {
					p.on(item, joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: h.Kind, With: o.With}})
					return true
				}
			}
		} else if h.Treated.With == finish.Filler && h.Treated.SandedAt == nil {
			if h.SandAt != nil && h.SandAt.After(p.w.clock.now()) && p.rng.IntN(6) > 0 {
				p.focus = "" // something else while it dries
				return true
			}
			p.on(item, joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: h.Kind}})
			return true
		}
	}
	return false
}

func (p *phone) caulk(item string, v joblog.ItemView) bool {
	if len(v.WallGaps) > 1 {
		return false
	}
	edge := finish.SideEdge
	if v.Spec.Run != nil {
		edge = finish.TopEdge
	}
	p.on(item, joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: edge, Width: length.Sixteenth,
		Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Product: "Painter's 50", Class: finish.Class50}}}})
	return true
}

// slip is what people do besides: read again, take back, go back, write something down.
func (p *phone) slip(item string) {
	v := p.view(item)
	stages := stage.All()
	switch p.rng.IntN(8) {
	case 0, 1:
		if len(v.Readings) > 0 {
			p.takeReading(item, v, v.Readings[p.rng.IntN(len(v.Readings))], length.Length(p.rng.IntN(9)-4)*length.Sixteenth)
		}
	case 2:
		p.tick(item, stages[p.rng.IntN(len(stages))])
	case 3:
		p.on(item, joblog.Command{Kind: joblog.ReopenStageKind, ReopenStage: &joblog.ReopenStage{Stage: stages[p.rng.IntN(len(stages))], Reason: "Tile went in."}})
	case 4:
		p.takeBack(item, v)
	case 5:
		p.on(item, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "Wavy wall; <watch> the \"plaster\" & the ½\u00a0in lip – ¿sí?"}})
	case 6:
		kinds := []finish.Kind{finish.Brad18, finish.Finish15, finish.HandFinish}
		p.on(item, joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: kinds[p.rng.IntN(3)],
			With: finish.TreatmentKinds()[p.rng.IntN(len(finish.TreatmentKinds()))]}})
	case 7:
		p.drive(item, finish.Kinds()[p.rng.IntN(len(finish.Kinds()))], length.Length(2+p.rng.IntN(10))*length.Quarter, finish.Places()[p.rng.IntN(len(finish.Places()))])
	}
}

func (p *phone) takeBack(item string, v joblog.ItemView) {
	var ids []string
	it := p.local.Items[item]
	for _, x := range it.Takes {
		ids = append(ids, x.CommandID)
	}
	for _, x := range it.Fasteners {
		ids = append(ids, x.CommandID)
	}
	for _, x := range it.Coats {
		ids = append(ids, x.CommandID)
	}
	for _, x := range it.Passes {
		ids = append(ids, x.CommandID)
	}
	if len(ids) == 0 || p.rng.IntN(5) == 0 {
		ids = []string{p.w.newID(p.rng)}
	}
	_ = v
	p.on(item, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: p.pick(ids), Reason: "Misread."}})
}

// plan is a lead's work.
func (p *phone) plan(item string) {
	rooms := sortedKeys(p.local.Rooms)
	room := p.pick(rooms)
	who := ""
	if p.rng.IntN(5) > 0 {
		who = p.w.phones[2+p.rng.IntN(5)].who.ID
	}
	switch p.rng.IntN(20) {
	case 0:
		if len(rooms) < 12 {
			p.do(joblog.Command{Kind: joblog.AddRoomKind, RoomID: p.w.newID(p.rng), AddRoom: &joblog.AddRoom{Name: fmt.Sprintf("Room of %s", p.who.Name), Level: finish.Ground}})
		}
	case 1:
		if len(p.local.Items) < 40 {
			p.focus = p.w.newID(p.rng)
			spec := doorSpec(p.rng)
			if p.rng.IntN(5) == 0 {
				spec = runSpec()
			}
			p.do(joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: p.focus, AddItem: &joblog.AddItem{Name: "Another", Spec: spec}})
		}
	case 2, 3:
		p.do(joblog.Command{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: who}})
	case 4, 5:
		p.on(item, joblog.Command{Kind: joblog.AssignKind, Assign: &joblog.Assign{PersonID: who}})
	case 6:
		if it := p.local.Items[item]; it.Run == nil {
			p.on(item, joblog.Command{Kind: joblog.SetItemKind, SetItem: &joblog.SetItem{Name: it.Name, Spec: doorSpec(p.rng)}})
		}
	case 7:
		c := joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"reveal": int64(length.Eighth) + int64(p.rng.IntN(4))*int64(length.Sixteenth)}}}
		switch p.rng.IntN(3) {
		case 0:
			c.ItemID = item
		case 1:
			c.RoomID = room
		}
		p.do(c)
	case 8:
		p.do(joblog.Command{Kind: joblog.SetWallsKind, RoomID: room, SetWalls: layout()})
	case 9:
		p.remove(item, "remove_item")
	case 10, 11:
		p.remove(p.pick(sortedKeys(p.local.Items)), "restore_item")
	case 12, 13:
		p.sheets(room)
	case 14, 15, 16:
		p.walkthrough(item)
	default:
		v := p.view(item)
		for _, st := range v.Stages {
			for i, f := range st.Findings {
				if f.Severity == "stop" && !f.Wanted && f.PassedBy == "" && f.ClearsAt == nil {
					p.on(item, joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: st.Keys[i], Reason: "Seen on site."}})
					return
				}
			}
		}
		p.work(item)
	}
}

// remove takes an item off the job or puts it back. Somebody is often at work on it.
func (p *phone) remove(item, kind string) {
	c := joblog.Command{ID: p.w.newID(p.rng)}
	raw, err := json.Marshal(map[string]any{"id": c.ID, "v": joblog.CommandVersion, "kind": kind, "job_id": p.w.job, "item_id": item,
		"at": p.now(), "device": p.who.Name + "'s phone", kind: map[string]any{"reason": "Not wanted after all."}})
	if err == nil {
		err = json.Unmarshal(raw, &c)
	}
	if err != nil {
		p.fatal("writing %s: %v", kind, err)
		return
	}
	p.put(c, raw, false)
}

// stray is what one does whose phone has no job yet: they work from what somebody told them.
func (p *phone) stray() {
	p.do(joblog.Command{Kind: joblog.NoteKind, ItemID: p.w.newID(p.rng), Note: &joblog.Note{Text: "Anybody there?"}})
}

// wrong is what the rules must refuse and keep, and what the service cannot keep at all.
func (p *phone) wrong(item string) {
	reading := func(name string, v length.Length) joblog.Command {
		return joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: name, Value: v}}
	}
	c := joblog.Command{ID: p.w.newID(p.rng), Version: joblog.CommandVersion, JobID: p.w.job, ItemID: item, At: p.now(), Kind: joblog.NoteKind}
	switch p.rng.IntN(13) {
	case 0:
		p.on(item, reading("width_sideways", 30*length.Inch))
	case 1:
		p.on(item, reading("width_top", 3*length.Inch))
	case 2:
		p.tick(item, stage.Painted)
	case 3:
		p.tick(p.w.newID(p.rng), stage.Measured)
	case 4:
		p.on(item, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "up\u202edown"}})
	case 5:
		p.on(item, joblog.Command{Kind: joblog.NoteKind})
	case 6:
		p.on(item, joblog.Command{Kind: joblog.PassStopKind, PassStop: &joblog.PassStop{Key: "nothing", Reason: "Because."}})
	case 7:
		p.do(joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Again", Unit: length.Inches}})
	case 8:
		p.on(item, joblog.Command{Kind: joblog.CutPiecesKind, CutPieces: &joblog.CutPieces{Pieces: []joblog.CutPiece{{Piece: "slab", Computed: length.Inch}}}})
	case 9: // an app of tomorrow
		c.Version = 99
		raw, _ := json.Marshal(map[string]any{"id": c.ID, "v": 99, "kind": "hang_in_orbit", "job_id": c.JobID, "item_id": item, "at": c.At, "hang_in_orbit": map[string]any{"g": 0}})
		p.put(c, raw, false)
	case 10: // an app with a mistake in it
		raw, _ := json.Marshal(map[string]any{"id": c.ID, "v": 1, "kind": "take_reading", "job_id": c.JobID, "item_id": item, "at": c.At,
			"take_reading": map[string]any{"reading": "width_top", "value": map[string]any{}}})
		p.put(c, raw, false)
	case 11: // for a job that it was not sent to
		c.JobID, c.Note = p.w.newID(p.rng), &joblog.Note{Text: "Elsewhere."}
		p.put(c, nil, true)
	case 12: // without an id that a column could hold
		c.ID, c.Note = strings.ToUpper(c.ID), &joblog.Note{Text: "Loud."}
		p.put(c, nil, true)
	}
}
