package trim

import (
	"strconv"

	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// The stages a finding of this package may hold.
const (
	stageMeasured = "measured"
	stageTrimmed  = "trimmed"
	stageHung     = "hung"
	stageCased    = "cased"
	stageNailed   = "nailed"
)

// Rough framing to expect beyond the nominal slab: 2 in wide (common practice, and the
// installation sheets of two door makers); 2 in high, between the 2-1/4 and 2-1/2 in of
// those sheets and the 1-1/2 in many framers leave over a subfloor.
const (
	roughWider  = 2 * length.Inch
	roughHigher = 2 * length.Inch
)

func knownKind(k Kind) bool {
	switch k {
	case Door, CasedOpening, Pair, Pocket, Bifold, Bypass, Window:
		return true
	}
	return false
}

// UnitForDoor is a common prehung interior door for a slab of that nominal width, height
// and thickness: hollow core, paint grade, 5/8 in jambs 4-9/16 in wide for a 2x4 wall with
// 1/2 in board both faces, 3/8 in stop, hinged left, swinging to face A. Every field may be
// changed. Lengths are nanometers (common practice).
func UnitForDoor(width, height, thickness length.Length) Unit {
	return Unit{
		Kind:          Door,
		SlabWidth:     width,
		SlabHeight:    height,
		SlabThickness: thickness,
		Core:          Hollow,
		Grade:         Paint,
		JambThickness: 5 * length.Eighth,
		JambWidth:     4*length.Inch + 9*length.Sixteenth,
		HeadThickness: 5 * length.Eighth,
		HingeOn:       "left",
		SwingsTo:      FaceA,
		StopThickness: 3 * length.Eighth,
	}
}

// FireRated reports whether the label's limits bind this unit.
func (u *Unit) FireRated() bool { return u.Core == FireRated || u.FireLabel != "" }

// hinged reports whether slabs hang on hinges in this unit's jambs.
func (u *Unit) hinged() bool { return u.Kind == Door || u.Kind == Pair }

// sliding reports whether the slabs hang from a track.
func (u *Unit) sliding() bool { return u.Kind == Pocket || u.Kind == Bifold || u.Kind == Bypass }

// boardReturned reports whether the wall board itself returns into the opening: closets with
// bifold or bypass doors often have no jambs.
func (u *Unit) boardReturned() bool {
	return u.JambThickness == 0 && (u.Kind == Bifold || u.Kind == Bypass)
}

func (u *Unit) hasSlab() bool { return u.hinged() || u.sliding() }

// expectedWidth is the rough width to expect for a unit; false where there is none.
func expectedWidth(u Unit) (length.Length, bool) {
	w := u.SlabWidth
	if !plausible(w, 6*length.Inch, 10*length.Foot) {
		return 0, false
	}
	switch u.Kind {
	case Door:
		return w + roughWider, true
	case Pair:
		return 2*w + roughWider, true
	case Pocket:
		if plausible(u.FrameWidth, narrowestDoorway, widestOpening) {
			return u.FrameWidth, true
		}
	}
	return 0, false
}

// expectedHeight is the height to expect from the finished floor; false where there is none.
func expectedHeight(u Unit) (length.Length, bool) {
	if u.hinged() && plausible(u.SlabHeight, lowestDoorway, highestOpening) {
		return u.SlabHeight + roughHigher, true
	}
	return 0, false
}

func plausible(v, least, most length.Length) bool { return v >= least && v <= most }

// dimension is one length of a unit or a casing with what it can be.
type dimension struct {
	name        string
	at          *length.Length
	least, most length.Length
	wanted      bool // the rules need it: zero is a gap in the specification
}

func (u *Unit) dimensions() [24]dimension {
	slab := u.hasSlab()
	track := u.sliding()
	frame := u.Kind == Door || u.Kind == Pair || u.Kind == CasedOpening || u.Kind == Pocket
	passage := u.Exit || u.Accessible
	in := length.Inch
	return [24]dimension{
		{"slab_width", &u.SlabWidth, 6 * in, 10 * length.Foot, slab},
		{"slab_height", &u.SlabHeight, 20 * in, highestOpening, slab},
		{"slab_thickness", &u.SlabThickness, length.Half, 4 * in, u.hinged() || u.Kind == Pocket},
		{"jamb_thickness", &u.JambThickness, length.Quarter, 4 * in, frame || u.Kind == Window && u.ExtensionJambs},
		{"jamb_width", &u.JambWidth, length.Inch, 30 * in, frame},
		{"head_thickness", &u.HeadThickness, length.Quarter, 6 * in, false},
		{"leg_length", &u.LegLength, lowestDoorway, highestOpening, false},
		{"stop_thickness", &u.StopThickness, length.Eighth, 2 * in, passage && u.Kind == Door},
		{"maker_trim_most", &u.MakerTrimMost, 0, 12 * in, false},
		{"head_housing", &u.HeadHousing, 0, max(0, min(u.JambThickness-1, 4*in)), false},
		{"meeting_gap", &u.MeetingGap, 0, in, false},
		{"astragal", &u.Astragal, 0, 3 * in, false},
		{"astragal_lap", &u.AstragalLap, 0, 3 * in, false},
		{"width_allowance", &u.WidthAllowance, 0, 6 * in, u.Kind == Bifold},
		{"lap", &u.Lap, 0, max(0, min(u.SlabWidth/2, 24*in)), u.Kind == Bypass || u.Kind == Pocket},
		{"track_allowance", &u.TrackAllowance, 0, 8 * in, track},
		{"frame_width", &u.FrameWidth, narrowestDoorway, widestOpening, u.Kind == Pocket},
		{"slot_width", &u.SlotWidth, length.Half, 6 * in, false},
		{"clear_width", &u.ClearWidth, 6 * in, widestOpening, false},
		{"horn", &u.Horn, 0, 12 * in, false},
		{"stool_nosing", &u.StoolNosing, 0, 6 * in, false},
	}
}

// CheckUnit says what in a unit's specification cannot be and what is still wanted.
// A wanted size is a stop that only says something is to be entered.
func CheckUnit(u Unit) []finding.Finding { return checkUnit(&u) }

// checkUnit is CheckUnit that also clears what cannot be, so that nothing is computed
// from it.
func checkUnit(u *Unit) []finding.Finding {
	if !knownKind(u.Kind) {
		return []finding.Finding{finding.New("kind_unknown", finding.Stop).On(stageMeasured).At("kind").Text("kind", clip(string(u.Kind)))}
	}
	var out []finding.Finding
	dims := u.dimensions()
	for _, d := range &dims {
		if d.at == nil {
			continue
		}
		switch {
		case *d.at != 0 && !plausible(*d.at, d.least, d.most):
			out = append(out, finding.New("unit_impossible", finding.Stop).On(stageMeasured).At(d.name).
				Term("size", d.name).Len("value", *d.at).Len("least", d.least).Len("most", d.most))
			*d.at = 0
		case *d.at == 0 && d.wanted:
			out = append(out, finding.New("unit_missing", finding.Stop).AsWanted().On(stageMeasured).At(d.name).Term("size", d.name))
		}
	}
	out = append(out, checkUnitWords(u)...)
	if u.hinged() && u.JambWidth > 0 && u.SlabThickness >= u.JambWidth {
		out = append(out, finding.New("slab_thicker_than_jamb", finding.Stop).On(stageMeasured).At("slab_thickness").
			Len("slab", u.SlabThickness).Len("jamb", u.JambWidth))
	}
	return out
}

// checkUnitWords checks the choices and counts of a unit.
func checkUnitWords(u *Unit) []finding.Finding {
	var out []finding.Finding
	wrong := func(field, text string) {
		out = append(out, finding.New("choice_unknown", finding.Stop).On(stageMeasured).At(field).
			Term("size", field).Text("value", clip(text)))
	}
	missing := func(field string) {
		out = append(out, finding.New("unit_missing", finding.Stop).AsWanted().On(stageMeasured).At(field).Term("size", field))
	}
	switch u.Core {
	case Hollow, Solid, StileAndRail, FireRated:
	case "":
		if u.hinged() {
			missing("core")
		}
	default:
		wrong("core", string(u.Core))
	}
	if u.Grade != Paint && u.Grade != Stain && u.Grade != "" {
		wrong("grade", string(u.Grade))
	}
	if u.HingeOn != "left" && u.HingeOn != "right" && u.HingeOn != "" {
		wrong("hinge_on", u.HingeOn)
	}
	if u.SwingsTo != FaceA && u.SwingsTo != FaceB && u.SwingsTo != "" {
		wrong("swings_to", string(u.SwingsTo))
	}
	if u.Kind == Window && u.Surround != PictureFrame && u.Surround != StoolApron {
		if u.Surround == "" {
			missing("surround")
		} else {
			wrong("surround", string(u.Surround))
		}
	}
	if u.Kind == Bifold || u.Kind == Bypass {
		switch {
		case u.Panels == 0:
			missing("panels")
		case u.Panels < 2 || u.Panels > 8 || u.Kind == Bifold && u.Panels%2 != 0:
			wrong("panels", strconv.FormatInt(u.Panels, 10))
			u.Panels = 0
		}
	}
	if u.ReturnAir < 0 || u.ReturnAir > 1000 {
		wrong("return_air", strconv.FormatInt(u.ReturnAir, 10))
		u.ReturnAir = 0
	}
	return out
}

// CheckCasing says what in a casing's specification cannot be.
func CheckCasing(c Casing) []finding.Finding {
	var out []finding.Finding
	in := length.Inch
	dims := [...]dimension{
		{"casing_width", &c.Width, length.Half, 14 * in, true},
		{"casing_thickness", &c.Thickness, length.Eighth, 3 * in, true},
		{"overhang", &c.Overhang, 0, 6 * in, false},
		{"block", &c.Block, c.Width, 16 * in, c.Style == CornerBlocks},
		{"plinth_height", &c.PlinthHeight, 0, 24 * in, false},
		{"casing_floor_to_come", &c.FloorToCome, -thickestFloor, thickestFloor, false},
	}
	for _, d := range dims {
		switch {
		case *d.at == 0 && d.wanted:
			out = append(out, finding.New("unit_missing", finding.Stop).AsWanted().On(stageMeasured).At(d.name).Term("size", d.name))
		case *d.at != 0 && !plausible(*d.at, d.least, d.most):
			out = append(out, finding.New("unit_impossible", finding.Stop).On(stageMeasured).At(d.name).
				Term("size", d.name).Len("value", *d.at).Len("least", d.least).Len("most", d.most))
		}
	}
	switch c.Style {
	case ButtHead, Mitered, CornerBlocks:
	default:
		out = append(out, finding.New("choice_unknown", finding.Stop).On(stageMeasured).At("casing_style").
			Term("size", "casing_style").Text("value", clip(string(c.Style))))
	}
	if c.Material != "" && c.Material != "wood" && c.Material != "mdf" {
		out = append(out, finding.New("choice_unknown", finding.Stop).On(stageMeasured).At("casing_material").
			Term("size", "casing_material").Text("value", clip(c.Material)))
	}
	return out
}

// clip keeps a stranger's text from filling the sentence it stands in.
func clip(s string) string {
	const most = 40
	if len(s) <= most {
		return s
	}
	n := 0
	for i := range s {
		if i > most {
			break
		}
		n = i
	}
	return s[:n] + "…"
}

// CommonUnit is what a common interior opening of a kind is made of when nothing else was
// said: the door of UnitForDoor at 30 × 80 × 1 3/8, and the same frame and slab as far as
// other kinds have them. What only a maker's sheet can say is left open. Lengths are
// nanometers; every field may be changed (common practice).
func CommonUnit(k Kind) Unit {
	in := length.Inch
	u := UnitForDoor(30*in, 80*in, in+3*length.Eighth)
	u.Kind = k
	jambs := Unit{Kind: k, Grade: u.Grade, JambThickness: u.JambThickness, JambWidth: u.JambWidth, HeadThickness: u.HeadThickness}
	switch k {
	case Pair:
		u.SlabWidth = 24 * in
	case CasedOpening:
		return jambs
	case Pocket:
		u.HingeOn, u.SwingsTo, u.StopThickness = "", "", 0
	case Bifold, Bypass: // often in a board return: no jambs until somebody says so
		u = Unit{Kind: k, Grade: u.Grade, SlabWidth: u.SlabWidth, SlabHeight: u.SlabHeight, SlabThickness: u.SlabThickness, Core: u.Core, Panels: 2}
		if k == Bifold {
			u.SlabWidth = 24 * in
		}
	case Window:
		return Unit{Kind: k, Grade: u.Grade, SlabWidth: 36 * in, SlabHeight: 48 * in, Surround: PictureFrame}
	}
	return u
}

// CommonCasing is 2-1/4 by 9/16 mitered wood casing (common practice).
func CommonCasing() Casing {
	return Casing{Style: Mitered, Material: "wood", Width: 9 * length.Quarter, Thickness: 9 * length.Sixteenth}
}

// CommonProfile is the stock most crews carry of a kind, in sticks of 16 ft; what is sold differs
// by yard (common practice).
func CommonProfile(k RunKind) Profile {
	const in = length.Inch
	p := Profile{Kind: k, StockLength: 16 * length.Foot}
	switch k {
	case Base:
		p.Height, p.Thickness = 5*in+length.Quarter, 9*length.Sixteenth
	case Shoe:
		p.Height, p.Thickness, p.StandsOff = 3*length.Quarter, length.Half, 9*length.Sixteenth
	case ChairRail:
		p.Height, p.Thickness, p.Mount = 2*in+length.Half, 11*length.Sixteenth, 32*in
	case CrownRun:
		p.Height, p.Thickness, p.Spring = 3*in+5*length.Eighth, 5*length.Eighth, 38*Degree
	}
	return p
}
