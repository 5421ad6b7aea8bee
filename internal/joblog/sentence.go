package joblog

import (
	"strings"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// EntryView is one log entry as a person reads it.
type EntryView struct {
	_        [0]func() // not to be compared: the function that does is weight on the phone
	Seq      int64     `json:"seq"`
	Kind     Kind      `json:"kind"`
	ItemID   string    `json:"item_id,omitempty" format:"uuid"`
	RoomID   string    `json:"room_id,omitempty" format:"uuid"`
	PersonID string    `json:"person_id" format:"uuid"`
	DidAt    time.Time `json:"did_at"`
	LoggedAt time.Time `json:"logged_at"`
	Device   string    `json:"device,omitempty"`
	Sentence string    `json:"sentence"`
	CanTake  bool      `json:"can_withdraw,omitempty" doc:"It logged something that may be taken back"`
	Command  string    `json:"command_id" format:"uuid"`
	Skew     int64     `json:"clock_skew,omitempty" doc:"Seconds that the device's clock was ahead, negative when behind, where it was a minute or more"`
}

// skewShown is how far a device's clock is off before it is said. Phones that set their
// clocks by the network are within a second or two; less than this may be the time a
// command was on its way.
const skewShown = time.Minute

// clockSkew is how far the device's clock was ahead: did_at is corrected for it, and the
// command keeps what the device read.
func (e Entry) clockSkew() time.Duration {
	off := e.Command.At.Sub(e.DidAt).Round(time.Second)
	if off.Abs() < skewShown {
		return 0
	}
	return off
}

// ViewEntry puts an entry in words.
func ViewEntry(e Entry, r Reader) EntryView {
	w := writer{catalog: r.words(), style: r.Style}
	c := e.Command
	v := EntryView{Seq: e.Seq, Kind: c.Kind, ItemID: c.ItemID, RoomID: c.RoomID, PersonID: e.PersonID, DidAt: e.DidAt,
		LoggedAt: e.LoggedAt, Device: c.Device, Sentence: w.entry(c), Command: c.ID,
		Skew: int64(e.clockSkew() / time.Second)}
	switch c.Kind {
	case TakeReadingKind, LogFastenersKind, TreatHolesKind, SandKind, LogGapKind, LogCoatKind, PassStopKind, SawPartKind, TakeStickKind, ReturnOffcutKind, AddPhotoKind:
		v.CanTake = true
	case CutPiecesKind:
		v.CanTake = c.CutPieces != nil && c.CutPieces.StickID != ""
	}
	return v
}

// say fills the catalog's sentence for one kind of entry.
func (w writer) say(code string, f finding.Finding) string {
	f.Code = code
	return w.catalog.Render(f, w.style).Sentence
}

func (w writer) entry(c Command) string {
	var f finding.Finding
	code := "log_" + string(c.Kind)
	switch {
	case c.CreateJob != nil:
		f = f.Text("name", c.CreateJob.Name)
	case c.AddRoom != nil:
		f = f.Text("name", c.AddRoom.Name)
	case c.AddItem != nil:
		f = f.Text("name", c.AddItem.Name).Term("kind", c.AddItem.kindTerm())
	case c.SetItem != nil:
		f = f.Text("name", c.SetItem.Name)
	case c.Assign != nil && c.Assign.PersonID == "":
		code += "_back"
	case c.SetRules != nil:
		f = f.Num("count", int64(len(c.SetRules.Set)))
	case c.SetWalls != nil:
		f = f.Num("count", int64(len(c.SetWalls.Walls.Walls)))
	case c.TakeReading != nil && strings.HasPrefix(c.TakeReading.Reading, "wall_") && c.TakeReading.Reading != "wall_build_up":
		code, f = "log_take_wall", w.wallTake(*c.TakeReading)
	case c.TakeReading != nil:
		b := c.TakeReading
		if f = f.Term("reading", b.Reading); trim.IsAngle(b.Reading) {
			f = f.Text("value", degrees(trim.Angle(b.Value).Degrees()))
		} else {
			f = f.Len("value", b.Value)
		}
		if c.TakeReading.Tool != "" {
			code, f = code+"_tool", f.Term("tool", "tool_"+c.TakeReading.Tool)
		}
	case c.ChooseTake != nil:
		f = f.Term("reading", c.ChooseTake.Reading)
	case c.CutPieces != nil:
		return w.pieces(c.CutPieces.Pieces)
	case c.ReadGap != nil:
		f = f.Term("line", "line_"+c.ReadGap.Line).Len("narrow", c.ReadGap.Narrow).Len("wide", c.ReadGap.Wide)
	case c.AnswerCheck != nil:
		f = f.Term("check", "check_"+c.AnswerCheck.Check).Term("answer", yesNo(c.AnswerCheck.Yes))
	case c.LogFasteners != nil:
		f = f.Text("what", w.fastener(c.LogFasteners.Fastener))
	case c.TreatHoles != nil:
		f = f.Term("holes", "holes_"+string(c.TreatHoles.Kind)).Term("with", "with_"+string(c.TreatHoles.With))
	case c.Sand != nil:
		f = f.Term("holes", "holes_"+string(c.Sand.Kind))
	case c.LogGap != nil:
		f = f.Text("what", w.wallGap(c.LogGap.Gap))
	case c.LogCoat != nil && c.LogCoat.Product != "":
		code, f = code+"_product", f.Text("product", c.LogCoat.Product)
	case c.Withdraw != nil:
		f = f.Text("reason", c.Withdraw.Reason)
	case c.TickStage != nil:
		f = f.Term("stage", "stage_"+string(c.TickStage.Stage))
	case c.ReopenStage != nil:
		f = f.Term("stage", "stage_"+string(c.ReopenStage.Stage)).Text("reason", c.ReopenStage.Reason)
	case c.PassStop != nil:
		f = f.Text("reason", c.PassStop.Reason)
	case c.RemoveItem != nil:
		f = f.Text("reason", c.RemoveItem.Reason)
	case c.TakeStick != nil:
		if f = f.Text("what", w.stock(c.TakeStick.Stock)).Len("value", c.TakeStick.Length); c.TakeStick.OffcutID != "" {
			code += "_rack"
		}
	case c.ReturnOffcut != nil:
		b := c.ReturnOffcut
		if f = f.Text("what", w.stock(b.Stock)).Len("value", b.Length); b.Place != "" {
			code, f = code+"_place", f.Text("place", b.Place)
		}
	case c.Miscut != nil:
		f = f.Len("value", c.Miscut.Length).Text("reason", c.Miscut.Reason)
	case c.SawPart != nil:
		b := c.SawPart
		f = f.Term("piece", b.Piece).Num("part", int64(b.Part)).Num("parts", int64(b.Parts)).Len("value", b.AsCut)
	case c.SetProduct != nil:
		if c.SetProduct.Gone {
			code += "_gone"
		}
		f = f.Text("name", c.SetProduct.Name).Term("kind", "product_"+string(c.SetProduct.Kind))
	case c.SetClimate != nil && c.SetClimate.Climate == nil:
		code += "_back"
	case c.SetClimate != nil:
		f = w.climate(f, *c.SetClimate.Climate)
	case c.Note != nil:
		f = f.Text("note", c.Note.Text)
	case c.CloseWalk != nil:
		f = f.Text("reason", c.CloseWalk.Reason)
	case c.SayRemark != nil:
		f = f.Text("what", w.remarkWords(*c.SayRemark))
	case c.MoveRemark != nil:
		code, f = moveSentence(*c.MoveRemark)
	case c.SignOff != nil:
		if f = f.Text("name", c.SignOff.Name).Num("open", int64(len(c.SignOff.Open))); c.RoomID == "" {
			code += "_whole"
		}
	case c.AddPhoto != nil && c.AddPhoto.Caption != "":
		code, f = code+"_caption", f.Text("caption", c.AddPhoto.Caption)
	}
	return w.say(code, f)
}

// pieces lists pieces as cut; the tape's own number is given where it is not the wanted one.
func (w writer) pieces(ps []CutPiece) string {
	parts := make([]string, len(ps))
	for i, p := range ps {
		f := finding.Finding{}.Term("piece", p.Piece).Len("value", p.Computed).Len("as_cut", p.AsCut)
		code := "log_piece_on_line"
		if p.AsCut.Round(length.ThirtySecond) != p.Computed.Round(length.ThirtySecond) {
			code = "log_piece_off_line"
		}
		parts[i] = w.say(code, f)
	}
	return strings.Join(parts, " ")
}

// wallTake says a reading of a wall: its name is wall_3_length, wall_3_angle, wall_3_stretch_2.
func (w writer) wallTake(t TakeReading) finding.Finding {
	number, what, _ := strings.Cut(strings.TrimPrefix(t.Reading, "wall_"), "_")
	f := finding.Finding{}.Text("wall", number)
	switch {
	case what == string(trim.ReadAngle):
		f = f.Text("value", degrees(trim.Angle(t.Value).Degrees()))
	default:
		f = f.Len("value", t.Value)
	}
	if strings.HasPrefix(what, "stretch") {
		what = string(trim.ReadTaped)
	}
	return f.Term("reading", "read_"+what)
}

// climate says both seasons' air as it was entered.
func (w writer) climate(f finding.Finding, c finish.Climate) finding.Finding {
	return c.Damp.Put(c.Dry.Put(f, "dry"), "damp")
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// RefusedView is a command the rules refused, kept for its author.
type RefusedView struct {
	Command  Command           `json:"command"`
	Sentence string            `json:"sentence" doc:"What was tried"`
	Findings []finding.Finding `json:"findings"`
	At       time.Time         `json:"at"`
}

// ViewRefused puts a refused command and the reasons in words.
func ViewRefused(c Command, fs []finding.Finding, at time.Time, r Reader) RefusedView {
	w := writer{catalog: r.words(), style: r.Style}
	return RefusedView{Command: c, Sentence: w.entry(c), Findings: w.catalog.RenderAll(fs, r.Style), At: at}
}

// RenderOutcome puts an outcome's findings in words.
func RenderOutcome(o Outcome, r Reader) Outcome {
	o.Findings = r.words().RenderAll(o.Findings, r.Style)
	return o
}
