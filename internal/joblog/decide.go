package joblog

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// RuleBook is the version of the rules. It is stored with every entry and every cut, so
// that a number can be traced to the rules that made it.
const RuleBook = "1.0.0"

// Actor is who gives a command.
type Actor struct {
	PersonID string
	Role     Role
}

// Decision is what the rules make of a command. A refused command makes no entries; its
// findings say why and it is kept for its author all the same.
type Decision struct {
	Refused  bool
	Entries  []Entry // Seq and LoggedAt are the store's to fill in
	Findings []finding.Finding
}

// Outcome is what came of a command, as its author is told. Repeating a command returns
// the same outcome again.
type Outcome struct {
	CommandID string            `json:"command_id" format:"uuid"`
	Applied   bool              `json:"applied" doc:"False when the rules refused it; it is kept with its findings"`
	FirstSeq  int64             `json:"first_seq,omitempty"`
	LastSeq   int64             `json:"last_seq,omitempty"`
	Repeated  bool              `json:"repeated,omitempty" doc:"The command had been decided before"`
	Findings  []finding.Finding `json:"findings,omitempty"`
}

// Decide says what a command does to the scope it is about. It changes nothing. didAt is
// when the person did it, corrected for their clock and never after now.
func Decide(s Scope, c Command, by Actor, didAt, now time.Time) Decision {
	fs := decide(s, c, by, didAt, now)
	if finding.HasStop(fs) {
		return Decision{Refused: true, Findings: fs}
	}
	e := Entry{Command: c, PersonID: by.PersonID, Role: by.Role, DidAt: didAt.UTC(), LoggedAt: now.UTC(), RuleBook: RuleBook}
	return Decision{Entries: []Entry{e}, Findings: fs}
}

func decide(s Scope, c Command, by Actor, didAt, now time.Time) []finding.Finding {
	if f, bad := wellFormed(c); bad {
		return []finding.Finding{f}
	}
	if f, bad := allowed(s, c, by); bad {
		return []finding.Finding{f}
	}
	if f, bad := inPlace(s, c); bad {
		return []finding.Finding{f}
	}
	switch c.Kind {
	case AddItemKind:
		return checkSpec(c.AddItem.Spec)
	case SetItemKind:
		return checkSpec(c.SetItem.Spec)
	case SetRulesKind:
		return checkRules(c.SetRules.Set)
	case SetWallsKind:
		return checkWalls(*c.SetWalls)
	case TakeReadingKind:
		return checkTake(s, *c.TakeReading)
	case ChooseTakeKind:
		return checkChoice(s, *c.ChooseTake)
	case CutPiecesKind:
		return checkCutPieces(s, c.CutPieces.Pieces, now)
	case SawPartKind:
		b := c.SawPart
		return checkSawPart(s, *b, now)
	case TakeStickKind, ReturnOffcutKind, MiscutKind:
		return checkSticks(s.Job, c)
	case ReadGapKind:
		return checkGapRead(s, *c.ReadGap)
	case AnswerCheckKind:
		return checkAnswer(s.Item, *c.AnswerCheck)
	case LogFastenersKind:
		return checkFastenerEntry(s, *c.LogFasteners)
	case TreatHolesKind:
		return checkTreatmentEntry(s, *c.TreatHoles, c.ID, didAt)
	case SandKind:
		return checkSand(s, *c.Sand, c.ID, didAt)
	case LogGapKind:
		return checkWallGap(s, *c.LogGap)
	case LogCoatKind:
		return checkCoat(s, *c.LogCoat, c.ID, didAt)
	case WithdrawKind:
		if c.ofJob() {
			return nil // seen by inPlace
		}
		if id := c.Withdraw.CommandID; s.Item != nil && !s.Item.logged(id) || s.Item == nil && !s.layout().logged(id) && locatePhoto(s.Room.Photos, id) < 0 {
			return refuse("nothing_to_withdraw")
		}
	case TickStageKind:
		return checkTick(s, c.TickStage.Stage, now)
	case ReopenStageKind:
		if m, done := s.Item.Stages[c.ReopenStage.Stage]; !done || m.Redone {
			return []finding.Finding{finding.New("not_done_yet", finding.Stop).Term("stage", string(c.ReopenStage.Stage))}
		}
	case PassStopKind:
		return checkPass(s, *c.PassStop, by, now)
	case OpenWalkKind, ExtendWalkKind, CloseWalkKind, SayRemarkKind, MoveRemarkKind, SignOffKind:
		return decideWalk(s, c, by, now)
	case AddPhotoKind:
		if bad := checkWalkPhoto(s, c, by, now); bad != nil {
			return bad
		}
		return checkPhoto(s, *c.AddPhoto)
	case SetProductKind:
		return checkProduct(s, *c.SetProduct)
	case SetClimateKind:
		return checkClimate(*c.SetClimate)
	}
	return nil
}

func refuse(code string) []finding.Finding {
	return []finding.Finding{finding.New(code, finding.Stop)}
}

// wellFormed checks that a command has its id, its job and exactly the body of its kind.
// Field ranges that a schema can state are checked again here, for the phone has no door.
func wellFormed(c Command) (finding.Finding, bool) {
	if c.Version < 1 || c.Version > CommandVersion {
		return finding.New("command_too_new", finding.Stop), true
	}
	if !isUUID(c.ID) || !isUUID(c.JobID) || (c.WalkID != "" && !isUUID(c.WalkID)) || !c.namesUUIDs() {
		return finding.New("command_id_bad", finding.Stop), true
	}
	if n, own := c.bodies(); n != 1 || !own || c.At.IsZero() {
		return finding.New("command_incomplete", finding.Stop), true
	}
	if name, bad := c.badText(); bad {
		return finding.New("text_bad", finding.Stop).Term("field", name), true
	}
	if field, value, bad := c.badChoice(); bad {
		return finding.New("choice_bad", finding.Stop).Term("field", field).Text("value", value), true
	}
	return finding.Finding{}, false
}

// leadOnly are the kinds only a lead may give.
func leadOnly(k Kind) bool {
	switch k {
	case CreateJobKind, AddRoomKind, AddItemKind, SetItemKind, AssignKind, SetRulesKind, SetClimateKind, PassStopKind, RemoveItemKind, RestoreItemKind:
		return true
	}
	return false
}

func allowed(s Scope, c Command, by Actor) (finding.Finding, bool) {
	if aboutWalk(c.Kind) {
		return allowedOnWalk(c.Kind, by.Role)
	}
	if onOwnWalk(c, by.Role) {
		return finding.Finding{}, false // whose walk it is, checkWalkPhoto sees
	}
	switch by.Role {
	case Owner, Lead:
		return finding.Finding{}, false
	case Installer:
		if leadOnly(c.Kind) {
			return finding.New("lead_only", finding.Stop), true
		}
		return finding.Finding{}, false
	}
	return finding.New("not_on_crew", finding.Stop), true
}

// inPlace checks that what the command is about is there, or is not there yet.
func inPlace(s Scope, c Command) (finding.Finding, bool) {
	stop := func(code string) (finding.Finding, bool) { return finding.New(code, finding.Stop), true }
	if c.Kind == CreateJobKind {
		if s.Job != nil {
			return stop("already_there")
		}
		return finding.Finding{}, false
	}
	if s.Job == nil {
		return stop("job_gone")
	}
	if aboutWalk(c.Kind) {
		return walkInPlace(s, c)
	}
	if c.ofJob() || c.TakeStick != nil || c.ReturnOffcut != nil || c.Miscut != nil {
		if code := stickInPlace(s.Job, c); code != "" {
			return finding.New(code, finding.Stop), true
		}
		return finding.Finding{}, false
	}
	if f, bad := removedStop(s.Item, c.Kind); bad {
		return f, true
	}
	switch c.Kind {
	case AddRoomKind:
		if c.RoomID == "" {
			return stop("command_incomplete")
		}
		if s.Room != nil {
			return stop("already_there")
		}
	case AddItemKind:
		if c.ItemID == "" {
			return stop("command_incomplete")
		}
		if s.Room == nil {
			return stop("room_gone")
		}
		if s.Item != nil {
			return stop("already_there")
		}
	case AssignKind:
		if s.Item == nil && s.Room == nil || c.ItemID != "" && s.Item == nil {
			return stop("item_gone")
		}
	case SetProductKind:
		if c.ItemID != "" || c.RoomID != "" {
			return stop("command_incomplete")
		}
	case SetClimateKind:
		if c.ItemID != "" {
			return stop("command_incomplete")
		}
		if c.RoomID != "" && s.Room == nil {
			return stop("room_gone")
		}
	case SetRulesKind:
		if c.ItemID != "" && s.Item == nil || c.RoomID != "" && s.Room == nil {
			return stop("item_gone")
		}
	case SetWallsKind:
		if s.Item != nil || c.ItemID != "" {
			return stop("command_incomplete")
		}
		if s.Room == nil {
			return stop("room_gone")
		}
	case TakeReadingKind, ChooseTakeKind, WithdrawKind:
		if c.ItemID == "" && s.Room != nil && s.Room.Layout != nil {
			return finding.Finding{}, false
		}
		if c.Kind == WithdrawKind && c.ItemID == "" && s.Room != nil && len(s.Room.Photos) > 0 {
			return finding.Finding{}, false
		}
		if s.Item == nil {
			return stop("item_gone")
		}
	case AddPhotoKind:
		if s.Item == nil && (c.ItemID != "" || s.Room == nil) {
			return stop("item_gone")
		}
	default:
		if s.Item == nil {
			return stop("item_gone")
		}
	}
	return finding.Finding{}, false
}

// checkSpec judges what is to be built. Sizes that are not known yet may be added later.
func checkSpec(sp Spec) []finding.Finding {
	if sp.Unit.Kind == trim.WallRun {
		return checkRunSpec(sp)
	}
	all := trim.CheckUnit(sp.Unit)
	for _, c := range []*trim.Casing{sp.CasingA, sp.CasingB} {
		if c != nil {
			all = append(all, trim.CheckCasing(*c)...)
			all = append(all, checkWood(c.Species, c.Grain)...)
		}
	}
	var out []finding.Finding
	for i := range all {
		if !all[i].Wanted {
			out = append(out, all[i])
		}
	}
	return out
}

func checkRules(set houserules.Set) []finding.Finding {
	_, bad := houserules.Resolve(houserules.Layer{Origin: houserules.Item, Set: set})
	var out []finding.Finding
	for _, r := range bad {
		f := finding.New("rule_unknown", finding.Stop).Term("rule", r.Key)
		if r.Known {
			f = finding.New("rule_out_of_range", finding.Stop).Term("rule", r.Key)
			if sp, _ := houserules.Find(r.Key); sp.Kind == houserules.Length {
				f = f.Len("least", length.Length(r.Min)).Len("most", length.Length(r.Max))
			} else {
				f = f.Num("least", r.Min).Num("most", r.Max)
			}
		}
		out = append(out, f)
	}
	return out
}

func checkTake(s Scope, t TakeReading) []finding.Finding {
	if s.Item == nil || s.Item.IsRun() {
		return checkRunTake(s, t)
	}
	known := false
	for _, sp := range trim.ReadingSpecs(s.Item.Unit) {
		known = known || sp.Name == t.Reading
	}
	if !known {
		return []finding.Finding{finding.New("reading_unknown", finding.Stop).Text("reading", t.Reading)}
	}
	rules := s.Rules()
	current := currentReadings(s.Item.readings(rules))
	if current.FloorToCome == nil {
		current.FloorToCome = &rules.FloorToCome
	}
	var out []finding.Finding
	for _, f := range trim.CheckReading(s.Item.Unit, current, t.Reading, t.Value) {
		out = append(out, f.On(string(stage.Measured)).At(t.Reading))
	}
	return out
}

func checkChoice(s Scope, c ChooseTake) []finding.Finding {
	takes := s.layout().Takes
	if s.Item != nil {
		takes = s.Item.Takes
	}
	for _, t := range takes {
		if t.CommandID == c.TakeID && t.Reading == c.Reading {
			return nil
		}
	}
	return refuse("take_gone")
}

// checkCutPieces refuses a piece that this item does not have and a length no tape could
// have read. A piece cut to an old number is kept: that it is stale is seen in the view.
func checkCutPieces(s Scope, pieces []CutPiece, now time.Time) []finding.Finding {
	a := assess(s, now)
	for _, p := range pieces {
		if _, ok := a.cut(p.Piece); !ok {
			return []finding.Finding{finding.New("piece_unknown", finding.Stop).Term("piece", p.Piece)}
		}
		if p.AsCut <= 0 || p.AsCut > length.Longest || p.Computed <= 0 || p.Computed > length.Longest {
			return []finding.Finding{finding.New("as_cut_impossible", finding.Stop).Term("piece", p.Piece).Len("value", p.AsCut)}
		}
	}
	return nil
}

func checkSawPart(s Scope, b SawPart, now time.Time) []finding.Finding {
	if b.Computed < 0 || b.Computed > length.Longest || b.Computed == 0 && len(b.Joints) > 0 || len(b.Joints) > 0 && len(b.Joints) != b.Parts-1 {
		return []finding.Finding{finding.New("as_cut_impossible", finding.Stop).Term("piece", b.Piece).Len("value", b.Computed)}
	}
	from := length.Length(0)
	for _, j := range b.Joints {
		if j <= from || j >= b.Computed {
			return []finding.Finding{finding.New("as_cut_impossible", finding.Stop).Term("piece", b.Piece).Len("value", j)}
		}
		from = j
	}
	return checkCutPieces(s, []CutPiece{{Piece: b.Piece, Computed: b.AsCut, AsCut: b.AsCut}}, now)
}

func checkAnswer(it *Item, a AnswerCheck) []finding.Finding {
	for _, name := range it.checksFor() {
		if name == a.Check {
			return nil
		}
	}
	return []finding.Finding{finding.New("choice_bad", finding.Stop).Term("field", "field_check").Text("value", a.Check)}
}

func checkGapRead(s Scope, g ReadGap) []finding.Finding {
	if _, _, has := assess(s, time.Time{}).gapTarget(g.Line); !has {
		return []finding.Finding{finding.New("choice_bad", finding.Stop).Term("field", "field_line").Text("value", g.Line)}
	}
	if g.Narrow < 0 || g.Wide < g.Narrow || g.Wide > 2*length.Inch {
		return refuse("gap_read_impossible")
	}
	return nil
}

// checkTick refuses a stage the item does not pass, and one while an earlier one is not done
// or a stop stands against it.
func checkTick(s Scope, st stage.Stage, now time.Time) []finding.Finding {
	a := assess(s, now)
	if !a.passes(st) {
		return []finding.Finding{finding.New("stage_not_passed", finding.Stop).Term("stage", string(st))}
	}
	var out []finding.Finding
	for _, x := range a.list {
		if x == st {
			break
		}
		if a.status(x) != stage.Done {
			out = append(out, finding.New("earlier_stage_open", finding.Stop).AsWanted().On(string(st)).Term("stage", string(st)).Term("earlier", string(x)))
			break
		}
	}
	if a.status(st) == stage.Done {
		return []finding.Finding{finding.New("already_done", finding.Stop).On(string(st)).Term("stage", string(st))}
	}
	return append(out, a.on(st)...)
}

// checkPass lets a lead pass one standing stop. What is only not entered yet cannot be
// passed: there is nothing to judge.
func checkPass(s Scope, p PassStop, by Actor, now time.Time) []finding.Finding {
	for _, f := range assess(s, now).findings {
		if f.Key() != p.Key || f.Severity != finding.Stop {
			continue
		}
		switch {
		case f.PassedBy != "":
			return refuse("already_passed")
		case f.Wanted || f.ClearsAt != nil:
			return refuse("cannot_be_passed")
		}
		return nil
	}
	return refuse("stop_gone")
}

// bodies counts a command's bodies and reports whether the one its kind names is among them.
func (c *Command) bodies() (n int, own bool) {
	for _, b := range [...]struct {
		kind  Kind
		given bool
	}{
		{CreateJobKind, c.CreateJob != nil},
		{AddRoomKind, c.AddRoom != nil},
		{AddItemKind, c.AddItem != nil},
		{SetItemKind, c.SetItem != nil},
		{AssignKind, c.Assign != nil},
		{SetRulesKind, c.SetRules != nil},
		{SetWallsKind, c.SetWalls != nil},
		{TakeReadingKind, c.TakeReading != nil},
		{ChooseTakeKind, c.ChooseTake != nil},
		{CutPiecesKind, c.CutPieces != nil},
		{ReadGapKind, c.ReadGap != nil},
		{AnswerCheckKind, c.AnswerCheck != nil},
		{LogFastenersKind, c.LogFasteners != nil},
		{TreatHolesKind, c.TreatHoles != nil},
		{SandKind, c.Sand != nil},
		{LogGapKind, c.LogGap != nil},
		{LogCoatKind, c.LogCoat != nil},
		{WithdrawKind, c.Withdraw != nil},
		{AddPhotoKind, c.AddPhoto != nil},
		{TickStageKind, c.TickStage != nil},
		{ReopenStageKind, c.ReopenStage != nil},
		{PassStopKind, c.PassStop != nil},
		{NoteKind, c.Note != nil},
		{RemoveItemKind, c.RemoveItem != nil},
		{RestoreItemKind, c.RestoreItem != nil},
		{OpenWalkKind, c.OpenWalk != nil},
		{ExtendWalkKind, c.ExtendWalk != nil},
		{CloseWalkKind, c.CloseWalk != nil},
		{SayRemarkKind, c.SayRemark != nil},
		{MoveRemarkKind, c.MoveRemark != nil},
		{SignOffKind, c.SignOff != nil},
		{TakeStickKind, c.TakeStick != nil},
		{ReturnOffcutKind, c.ReturnOffcut != nil},
		{MiscutKind, c.Miscut != nil},
		{SawPartKind, c.SawPart != nil},
		{SetProductKind, c.SetProduct != nil},
		{SetClimateKind, c.SetClimate != nil},
	} {
		if b.given {
			n++
			own = own || b.kind == c.Kind
		}
	}
	return n, own
}
