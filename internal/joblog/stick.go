package joblog

import (
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Stock is what a stick is of: two sticks are alike when every field is. Lengths are nanometers.
type Stock struct {
	Kind        string        `json:"kind" enum:"casing,jamb,stool,apron,extension,astragal,base,shoe,chair_rail,crown" doc:"What the stock is made into"`
	Name        string        `json:"name,omitempty" maxLength:"60" doc:"The crew's name for the profile"`
	Material    string        `json:"material,omitempty" enum:"wood,mdf"`
	Width       length.Length `json:"width,omitempty" doc:"Across the face; 0 where it was not said"`
	Thickness   length.Length `json:"thickness,omitempty"`
	Grade       trim.Grade    `json:"grade,omitempty" enum:"paint,stain"`
	Prefinished bool          `json:"prefinished,omitempty"`
}

// TakeStick takes a stick to the saw: from the rack when OffcutID names an offcut there, else a
// whole one. The stick's id is the command's.
type TakeStick struct {
	Stock    Stock         `json:"stock"`
	Length   length.Length `json:"length" doc:"Nanometers"`
	OffcutID string        `json:"offcut_id,omitempty" format:"uuid" doc:"The offcut on the rack it is"`
}

// ReturnOffcut puts what is left on the rack. The offcut's id is the command's.
type ReturnOffcut struct {
	Stock   Stock         `json:"stock"`
	Length  length.Length `json:"length" doc:"What the tape says is good of it, nanometers"`
	Place   string        `json:"place,omitempty" maxLength:"60" doc:"Where it lies"`
	StickID string        `json:"stick_id,omitempty" format:"uuid" doc:"The stick on the saw it is left of, which is then done"`
}

// Miscut records length lost on a stick: a piece cut wrong, a split, a knot.
type Miscut struct {
	StickID string        `json:"stick_id" format:"uuid"`
	Length  length.Length `json:"length" doc:"How much of the stick is lost, nanometers"`
	Reason  string        `json:"reason" minLength:"1" maxLength:"400"`
}

// SawPart records one part of a piece that is joined of several by scarfs. Where Computed says
// what the whole was to be, the piece itself is logged with the last of its parts: its as-cut
// length is that of the parts less the overlaps. Without Computed only the part is.
type SawPart struct {
	StickID string        `json:"stick_id,omitempty" format:"uuid" doc:"The stick on the saw it came from"`
	Piece   string        `json:"piece" maxLength:"60"`
	Part    int           `json:"part" minimum:"1" maximum:"20" doc:"Counted from the left"`
	Parts   int           `json:"parts" minimum:"2" maximum:"20"`
	AsCut   length.Length `json:"as_cut" doc:"Nanometers"`

	Computed length.Length   `json:"computed,omitempty" doc:"What the whole piece was to be when the part was cut; with it the last part logs the piece"`
	Joints   []length.Length `json:"joints,omitempty" maxItems:"19" doc:"Where the scarfs are centered, from the piece's left end, so that a later plan keeps them"`
}

// Stick is a stick on the saw; its id is the id of the command that took it.
type Stick struct {
	Stamp
	TakeStick
	Lost length.Length `json:"lost,omitempty" doc:"Length lost to miscuts, nanometers"`
	Cuts int           `json:"cuts,omitempty" doc:"How many of the lost lengths were cut off"`
}

// Offcut is a piece of stock on the rack; its id is the id of the command that put it there.
type Offcut struct {
	Stamp
	ReturnOffcut
}

// Sawn is what one cut took of a stick. It stays when the piece is cut again from another.
type Sawn struct {
	Stamp
	SawPart
}

// PartsSawn lists what is cut of a piece that is joined of parts, as long as the piece is still
// to be that long: for each part of the split the last cut counts. Nil where nothing is.
func (it *Item) PartsSawn(piece string, computed length.Length) []Sawn {
	var out []Sawn
	for i := len(it.Sawn) - 1; i >= 0; i-- {
		s := &it.Sawn[i]
		if s.Piece != piece || s.Parts == 0 || s.Computed != computed || len(out) > 0 && s.Parts != out[0].Parts {
			continue
		}
		known := false
		for k := range out {
			known = known || out[k].Part == s.Part
		}
		if !known {
			out = append(out, *s)
		}
	}
	return out
}

// joinParts logs a piece whose last part has just been cut.
func (it *Item) joinParts(last SawPart, takes []string, stamp Stamp, ruleBook string) {
	if last.Computed <= 0 || it.Run == nil {
		return
	}
	parts := it.PartsSawn(last.Piece, last.Computed)
	if len(parts) < last.Parts {
		return
	}
	whole := -length.Length(last.Parts-1) * trim.ScarfOverlap(it.Run.Profile, it.Run.Corners)
	for i := range parts {
		whole += parts[i].AsCut
	}
	it.cutPieces([]CutPiece{{Piece: last.Piece, Computed: last.Computed, AsCut: whole}}, takes, stamp, ruleBook)
}

// applySticks folds an entry about the job's sticks and rack. Lists are made anew, so that a
// view made before keeps its own.
func (j *Job) applySticks(e Entry) {
	c := e.Command
	stamp := Stamp{CommandID: c.ID, Seq: e.Seq, PersonID: e.PersonID, At: e.DidAt}
	switch {
	case c.TakeStick != nil:
		j.Sticks = append(append([]Stick(nil), j.Sticks...), Stick{Stamp: stamp, TakeStick: *c.TakeStick})
		j.leaveRack(c.TakeStick.OffcutID)
	case c.ReturnOffcut != nil:
		j.Rack = append(append([]Offcut(nil), j.Rack...), Offcut{stamp, *c.ReturnOffcut})
		j.leaveSaw(c.ReturnOffcut.StickID)
	case c.Miscut != nil:
		if at := j.stickAt(c.Miscut.StickID); at >= 0 {
			j.Sticks = append([]Stick(nil), j.Sticks...)
			j.Sticks[at].Lost += c.Miscut.Length
			j.Sticks[at].Cuts++
		}
	case c.Withdraw != nil:
		j.leaveRack(c.Withdraw.CommandID)
		j.leaveSaw(c.Withdraw.CommandID)
	}
}

func (j *Job) leaveRack(id string) {
	if at := j.offcutAt(id); at >= 0 {
		j.Rack = append(append([]Offcut(nil), j.Rack[:at]...), j.Rack[at+1:]...)
	}
}

func (j *Job) leaveSaw(id string) {
	if at := j.stickAt(id); at >= 0 {
		j.Sticks = append(append([]Stick(nil), j.Sticks[:at]...), j.Sticks[at+1:]...)
	}
}

func (j *Job) stickAt(id string) int {
	for i := range j.Sticks {
		if j.Sticks[i].CommandID == id {
			return i
		}
	}
	return -1
}

func (j *Job) offcutAt(id string) int {
	for i := range j.Rack {
		if j.Rack[i].CommandID == id {
			return i
		}
	}
	return -1
}

// ofJob reports whether the command is about the job's own sticks and rack.
func (c Command) ofJob() bool {
	return c.ItemID == "" && c.RoomID == "" && (c.TakeStick != nil || c.ReturnOffcut != nil || c.Miscut != nil || c.Withdraw != nil)
}

// ChangesJob reports whether the command changes the job itself, and not only what is in it.
func (c Command) ChangesJob() bool {
	return c.CreateJob != nil || c.SetProduct != nil || c.ofJob() ||
		c.ItemID == "" && c.RoomID == "" && (c.SetRules != nil || c.SetClimate != nil)
}

// stickInPlace checks that what a command about sticks names is there.
func stickInPlace(j *Job, c Command) string {
	switch {
	case c.ItemID != "" || c.RoomID != "":
		return "command_incomplete"
	case c.TakeStick != nil && c.TakeStick.OffcutID != "" && j.offcutAt(c.TakeStick.OffcutID) < 0:
		return "offcut_gone"
	case c.Miscut != nil && j.stickAt(c.Miscut.StickID) < 0:
		return "stick_gone"
	case c.Withdraw != nil && j.stickAt(c.Withdraw.CommandID) < 0 && j.offcutAt(c.Withdraw.CommandID) < 0:
		return "nothing_to_withdraw"
	}
	return ""
}

// checkSticks refuses a stick, offcut or loss that has no length a tape could have read. A
// stick that is no longer on the saw may still give an offcut: it was there when it was cut.
func checkSticks(j *Job, c Command) []finding.Finding {
	bad := func(l length.Length) []finding.Finding {
		return []finding.Finding{finding.New("stick_impossible", finding.Stop).Len("value", l)}
	}
	possible := func(s Stock, l length.Length) bool {
		return l > 0 && l <= length.Longest && s.Width >= 0 && s.Width <= 4*length.Foot && s.Thickness >= 0 && s.Thickness <= length.Foot
	}
	switch {
	case c.TakeStick != nil:
		if !possible(c.TakeStick.Stock, c.TakeStick.Length) {
			return bad(c.TakeStick.Length)
		}
		if at := j.offcutAt(c.TakeStick.OffcutID); at >= 0 && (j.Rack[at].Stock != c.TakeStick.Stock || j.Rack[at].Length != c.TakeStick.Length) {
			return refuse("offcut_other")
		}
	case c.ReturnOffcut != nil:
		if !possible(c.ReturnOffcut.Stock, c.ReturnOffcut.Length) {
			return bad(c.ReturnOffcut.Length)
		}
		if at := j.stickAt(c.ReturnOffcut.StickID); at >= 0 && (c.ReturnOffcut.Length > j.Sticks[at].Length || j.Sticks[at].Stock != c.ReturnOffcut.Stock) {
			return refuse("offcut_other")
		}
	case c.Miscut != nil:
		at := j.stickAt(c.Miscut.StickID)
		if l := c.Miscut.Length; l <= 0 || l > j.Sticks[at].Length {
			return bad(l)
		}
	}
	return nil
}

// stockTerm names stock in the log: what it is made into and the crew's name for it.
func (w writer) stock(s Stock) string {
	text := w.term(s.Kind)
	if s.Width > 0 {
		text += " " + w.print(s.Width)
		if s.Thickness > 0 {
			text += " × " + w.print(s.Thickness)
		}
	}
	if s.Name != "" {
		text += ", " + s.Name
	}
	return text
}
