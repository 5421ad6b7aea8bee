package joblog

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// isUUID reports whether s is a UUID in its lower- or upper-case text form.
func isUUID(s string) bool {
	if len(s) != 36 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		switch i {
		case 8, 13, 18, 23:
			if c != '-' {
				return false
			}
		default:
			if !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F') {
				return false
			}
		}
	}
	return true
}

// namesUUIDs reports whether every other id the command names is a UUID or left out.
func (c Command) namesUUIDs() bool {
	ids := [3]string{c.RoomID, c.ItemID}
	switch {
	case c.CutPieces != nil:
		ids[2] = c.CutPieces.StickID
	case c.SawPart != nil:
		ids[2] = c.SawPart.StickID
	case c.TakeStick != nil:
		ids[2] = c.TakeStick.OffcutID
	case c.ReturnOffcut != nil:
		ids[2] = c.ReturnOffcut.StickID
	case c.Miscut != nil:
		ids[2] = c.Miscut.StickID
	}
	for _, id := range ids {
		if id != "" && !isUUID(id) {
			return false
		}
	}
	return true
}

// badText names the first text field that is blank where it must not be, too long, not
// UTF-8, or holds control or direction-changing characters that would make the log lie.
func (c Command) badText() (string, bool) {
	type field struct {
		name, text string
		most       int
		must       bool
	}
	fields := []field{{"device", c.Device, 80, false}}
	add := func(name, text string, most int, must bool) {
		fields = append(fields, field{name, text, most, must})
	}
	switch {
	case c.CreateJob != nil:
		add("name", c.CreateJob.Name, 120, true)
		add("address", c.CreateJob.Address, 200, false)
	case c.AddRoom != nil:
		add("name", c.AddRoom.Name, 80, true)
	case c.AddItem != nil:
		add("name", c.AddItem.Name, 80, true)
		addSpec(add, c.AddItem.Spec)
	case c.SetItem != nil:
		add("name", c.SetItem.Name, 80, true)
		addSpec(add, c.SetItem.Spec)
	case c.TakeReading != nil:
		add("reading", c.TakeReading.Reading, 40, true)
	case c.LogCoat != nil:
		add("product", c.LogCoat.Product, 80, false)
	case c.Withdraw != nil:
		add("reason", c.Withdraw.Reason, 400, true)
	case c.ReopenStage != nil:
		add("reason", c.ReopenStage.Reason, 400, true)
	case c.PassStop != nil:
		add("reason", c.PassStop.Reason, 400, true)
	case c.RemoveItem != nil:
		add("reason", c.RemoveItem.Reason, 400, true)
	case c.TakeStick != nil:
		add("profile", c.TakeStick.Stock.Name, 60, false)
	case c.ReturnOffcut != nil:
		add("profile", c.ReturnOffcut.Stock.Name, 60, false)
		add("place", c.ReturnOffcut.Place, 60, false)
	case c.Miscut != nil:
		add("reason", c.Miscut.Reason, 400, true)
	case c.SetProduct != nil:
		add("name", c.SetProduct.Name, 80, true)
	case c.Note != nil:
		add("note", c.Note.Text, 1000, true)
	case c.CloseWalk != nil:
		add("reason", c.CloseWalk.Reason, 400, true)
	case c.SayRemark != nil:
		add("note", c.SayRemark.Text, 1000, false)
	case c.MoveRemark != nil:
		add("note", c.MoveRemark.Text, 1000, false)
	case c.SignOff != nil:
		add("name", c.SignOff.Name, 120, true)
		add("signature", c.SignOff.Strokes, 8000, false)
	case c.AddPhoto != nil:
		add("caption", c.AddPhoto.Caption, mostCaption, false)
	}
	for _, f := range fields {
		if f.must && strings.TrimSpace(f.text) == "" || utf8.RuneCountInString(f.text) > f.most || !cleanText(f.text) {
			return f.name, true
		}
	}
	return "", false
}

func addSpec(add func(name, text string, most int, must bool), sp Spec) {
	add("fire_label", sp.Unit.FireLabel, 60, false)
	if sp.CasingA != nil {
		add("profile", sp.CasingA.Profile, 60, false)
	}
	if sp.CasingB != nil {
		add("profile", sp.CasingB.Profile, 60, false)
	}
}

// cleanText refuses broken UTF-8, control characters other than a line break, and the
// invisible format characters that reverse or hide text.
func cleanText(s string) bool {
	if !utf8.ValidString(s) {
		return false
	}
	for _, r := range s {
		if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			return false
		}
	}
	return true
}

// badChoice names the first field whose value is not one the rule book knows.
func (c Command) badChoice() (field, value string, bad bool) {
	check := func(f, v string, choices ...string) {
		if bad {
			return
		}
		for _, x := range choices {
			if v == x {
				return
			}
		}
		field, value, bad = f, v, true
	}
	switch {
	case c.CreateJob != nil:
		check("field_unit", string(c.CreateJob.Unit), string(length.Inches), string(length.Millimeters))
	case c.AddRoom != nil:
		check("field_level", string(c.AddRoom.Level), string(finish.Basement), string(finish.Ground), string(finish.Upper))
	case c.TakeReading != nil:
		check("field_tool", c.TakeReading.Tool, "", "tape", "laser", "gauge")
	case c.TakeStick != nil:
		check("field_stock", c.TakeStick.Stock.Kind, stockKinds...)
	case c.ReturnOffcut != nil:
		check("field_stock", c.ReturnOffcut.Stock.Kind, stockKinds...)
	case c.SawPart != nil && (c.SawPart.Parts < 2 || c.SawPart.Parts > 20 || c.SawPart.Part < 1 || c.SawPart.Part > c.SawPart.Parts):
		check("field_part", "")
	case c.ReadGap != nil:
		check("field_line", c.ReadGap.Line, lines...)
	case c.TickStage != nil && !stage.Valid(c.TickStage.Stage):
		check("field_stage", string(c.TickStage.Stage))
	case c.ReopenStage != nil && !stage.Valid(c.ReopenStage.Stage):
		check("field_stage", string(c.ReopenStage.Stage))
	case c.SetProduct != nil && !isUUID(c.SetProduct.ProductID):
		check("product", c.SetProduct.ProductID)
	case c.Assign != nil && c.Assign.PersonID != "" && !isUUID(c.Assign.PersonID):
		check("field_person", c.Assign.PersonID)
	default:
		c.badWalkChoice(check)
	}
	return field, value, bad
}

// stockKinds is what a stick may be made into.
var stockKinds = []string{"casing", "jamb", "stool", "apron", "extension", "astragal", "base", "shoe", "chair_rail", "crown"}

// lines are the lines along which a gap or reveal is read, in the order they are read.
var lines = []string{"hinge", "head", "strike", "casing_a", "casing_b"}
