package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// leastRip is the narrowest casing worth setting: under it there is no profile left and
// nothing to nail (common practice).
const leastRip = length.Half

// boxSide is one side of what a face's casing goes round: the terms from the head's
// underside down to where the leg stands, and the corner at the head.
type boxSide struct {
	side   Side
	down   []derive.Term
	corner Angle
	foot   Angle         // corner at the sill, for a picture frame
	space  *derive.Value // from the jamb's face to the next wall or corner; nil when nothing is near
	nails  *derive.Value // widest shim space behind the jamb; nil where there is no stud to reckon
}

// casingBox is what a face's casing goes round.
type casingBox struct {
	face  Face
	top   *derive.Value // inside width at the head
	sill  *derive.Value // inside width at the sill, for a picture frame
	sides [2]boxSide    // hinge, strike
}

// legFit is what a side's space leaves of the casing there.
type legFit struct {
	width  length.Length
	ear    length.Length // of a butt head past the leg
	block  length.Length // width of the corner block
	ripped bool
}

// caseDoorway cuts the casing of both faces. Each face has its own profile, neighbors and
// flooring still to come.
func (l *layout) caseDoorway() {
	if l.casingA == nil && l.casingB == nil {
		return
	}
	l.findCorners()
	if l.inside != nil {
		l.name("reveal_to_reveal", derive.Sum(byPractice, computed("inside_width", l.inside),
			rule("reveal", l.ru.Reveal), rule("reveal", l.ru.Reveal)))
	}
	for _, f := range [...]struct {
		face          Face
		c             *Casing
		hinge, strike *length.Length
	}{{FaceA, l.casingA, l.r.SpaceAHinge, l.r.SpaceAStrike}, {FaceB, l.casingB, l.r.SpaceBHinge, l.r.SpaceBStrike}} {
		if f.c == nil {
			continue
		}
		box := casingBox{face: f.face, top: l.inside}
		box.sides[0] = boxSide{side: Hinge, corner: l.cornerHinge, space: l.spaceAtJamb(f.face, Hinge, f.hinge),
			down: l.downTo("floor_hinge", l.floorHinge, f.c), nails: l.shimAt("shim_hinge_most")}
		box.sides[1] = boxSide{side: Strike, corner: l.cornerStrike, space: l.spaceAtJamb(f.face, Strike, f.strike),
			down: l.downTo("floor_strike", l.floorStrike, f.c), nails: l.shimAt("shim_strike_most")}
		if l.u.Kind == Pocket {
			box.sides[0].nails = nil
			l.find(finding.New("pocket_nails", finding.Note).On(stageNailed).At("casing_"+string(f.face)).Term("face", "face_"+string(f.face)))
		}
		l.caseFace(f.c, &box)
		l.headBearing(f.face, f.c)
	}
}

// spaceAtJamb is the space the casing of one side has. The reading is taken before the jamb
// stands, from the edge of the rough opening; the casing is set from the jamb's face, which
// stands into the opening by the jamb and the shim space behind it, so it gains both. The
// least shim space is taken, where the wall comes nearest (common practice).
func (l *layout) spaceAtJamb(face Face, side Side, read *length.Length) *derive.Value {
	if read == nil {
		return nil
	}
	name := string(face) + "_" + string(side)
	terms := []derive.Term{reading("space_"+name, *read)}
	if l.shimHinge != nil && l.shimStrike != nil {
		shim := min(l.shimHinge.Length, l.shimStrike.Length) // half an odd nanometer goes to neither side
		terms = append(terms, derive.Plus("shim_"+string(side), shim, derive.Computed))
	}
	terms = append(terms, unitSize("jamb_thickness", l.u.JambThickness))
	return l.name("casing_space_"+name, derive.Sum(byPractice, terms...))
}

// downTo is the way from the head's underside to the finished floor of one face, less what
// is still to come there; nil while a height is missing.
func (l *layout) downTo(floor string, at *derive.Value, c *Casing) []derive.Term {
	if l.underside == nil {
		return nil
	}
	terms := []derive.Term{computed("head_underside", l.underside), minusComputed(floor, at)}
	if c.FloorToCome != 0 {
		terms = append(terms, minusUnit("casing_floor_to_come", c.FloorToCome))
	}
	return terms
}

func (l *layout) shimAt(name string) *derive.Value {
	for i := range l.out.Values {
		if l.out.Values[i].Name == name {
			return &l.out.Values[i].Value
		}
	}
	return nil
}

// caseFace cuts one face's casing in its style and says what fits at either side; cut is false
// where nothing could be.
func (l *layout) caseFace(c *Casing, box *casingBox) (fit [2]legFit, cut bool) {
	for i := range box.sides {
		var ok bool
		if fit[i], ok = l.fitSide(c, box.face, &box.sides[i]); !ok {
			return fit, false
		}
		l.bearing(c, box.face, &box.sides[i], fit[i].width)
	}
	if c.Style == CornerBlocks && c.Block < c.Width {
		return fit, false
	}
	if box.top != nil {
		l.caseHead(c, box, "head", box.top, fit, box.sides[0].corner, box.sides[1].corner)
	}
	if box.sill != nil {
		l.caseHead(c, box, "foot", box.sill, fit, box.sides[0].foot, box.sides[1].foot)
	}
	for i := range box.sides {
		if box.sides[i].down != nil {
			l.caseLeg(c, box, i, fit[i])
		}
	}
	if c.Style == CornerBlocks {
		l.blocks(c, box, fit)
	}
	return fit, true
}

// fitSide rips the casing of a side to the space there, counted from the jamb's face. A butt
// head keeps its ear while half the casing's width is left beside it; then the ear goes
// before more of the casing does.
func (l *layout) fitSide(c *Casing, face Face, s *boxSide) (legFit, bool) {
	fit := legFit{width: c.Width, block: c.Block}
	if c.Style == ButtHead {
		fit.ear = c.Overhang
	}
	if s.space == nil {
		return fit, true
	}
	room := s.space.Length - l.ru.Reveal
	reading := "space_" + string(face) + "_" + string(s.side)
	said := func(code string, sev finding.Severity) finding.Finding {
		return finding.New(code, sev).On(stageCased).At(reading).Term("reading", reading).Len("space", s.space.Length)
	}
	switch c.Style {
	case CornerBlocks:
		over := half(c.Block - c.Width)
		fit.width = min(c.Width, room)
		if most := room + over; most < fit.block {
			fit.block = most
			l.find(said("block_ripped", finding.Note).Len("width", most))
		}
	default:
		if keep := room - fit.ear; 2*keep >= c.Width {
			fit.width = min(c.Width, keep)
		} else {
			fit.width = min(c.Width, room)
			fit.ear = max(0, room-fit.width)
			if c.Overhang > 0 && c.Style == ButtHead {
				l.find(said("ear_cut", finding.Note).Len("ear", fit.ear))
			}
		}
	}
	if fit.width < leastRip {
		l.find(said("casing_no_room", finding.Stop).Len("width", max(0, fit.width)).Len("least", leastRip))
		return fit, false
	}
	if c.Width-fit.width <= length.DeadBand {
		fit.width = c.Width // less than a pencil line: nobody rips that
	} else {
		fit.ripped = true
		sev := finding.Note
		if 2*fit.width < c.Width {
			sev = finding.Warn
		}
		l.find(said("casing_ripped", sev).Len("width", fit.width).Len("full", c.Width))
	}
	return fit, true
}

// caseHead cuts a head (or a picture frame's foot) casing. Ends are listed left, right as
// that face is seen.
func (l *layout) caseHead(c *Casing, box *casingBox, name string, inside *derive.Value, fit [2]legFit, cornerHinge, cornerStrike Angle) {
	r := l.ru.Reveal
	first := computed("inside_width", inside)
	if l.u.Kind == Window {
		first = reading("width_top", inside.Length)
		if name == "foot" {
			first = reading("width_bottom", inside.Length)
		}
	}
	cut := Cut{Piece: "casing_" + string(box.face) + "_" + name, Profile: "casing", Rounding: length.Nearest, Ends: squareEnds()}
	terms := append(make([]derive.Term, 0, 7), first)
	corner := [2]Angle{cornerHinge, cornerStrike}
	switch c.Style {
	case ButtHead:
		terms = append(terms, rule("reveal", r), rule("reveal", r))
		for i := range fit {
			terms = append(terms, widthTerm(c, fit[i]), unitSize("overhang", fit[i].ear))
		}
		cut.Marks = l.setBack(box.face, c, fit)
	case Mitered:
		for i := range fit {
			terms = append(terms, acrossRule("reveal", r, corner[i]), acrossWidth(c, fit[i], corner[i]))
		}
		h, s := End{Joint: "miter", Miter: miterAt(corner[0])}, End{Joint: "miter", Miter: miterAt(corner[1])}
		if l.hingeOnLeft(box.face) {
			cut.Ends = []End{h, s}
		} else {
			cut.Ends = []End{s, h}
		}
		for i := range fit {
			if fit[i].ripped {
				l.find(finding.New("miter_clipped", finding.Note).On(stageCased).At(cut.Piece).
					Term("side", "side_"+string(box.sides[i].side)).Term("piece", cut.Piece).Len("width", fit[i].width))
			}
		}
	case CornerBlocks:
		terms = append(terms, rule("reveal", r), rule("reveal", r), unitSize("casing_width", c.Width), minusUnit("block", c.Block))
	}
	cut.Value = derive.Sum(byPractice, terms...)
	l.cut(stageCased, cut)
}

// setBack marks the head where a leg's inner edge meets it.
func (l *layout) setBack(face Face, c *Casing, fit [2]legFit) []Mark {
	return l.bothEnds(face, fit, func(from string, f legFit) Mark {
		return Mark{Name: "set_back", From: from, Value: derive.Sum(byPractice, widthTerm(c, f), unitSize("overhang", f.ear))}
	})
}

// bothEnds makes a mark from each end, or from either end where the neighbors leave the sides
// unlike.
func (l *layout) bothEnds(face Face, fit [2]legFit, mark func(from string, f legFit) Mark) []Mark {
	if fit[0] == fit[1] {
		return []Mark{mark("each_end", fit[0])}
	}
	left, right := fit[0], fit[1]
	if !l.hingeOnLeft(face) {
		left, right = right, left
	}
	return []Mark{mark("left", left), mark("right", right)}
}

// caseLeg cuts one leg, in one piece. It must meet the reveal line at the head, so it
// rounds to nearest.
func (l *layout) caseLeg(c *Casing, box *casingBox, i int, fit legFit) {
	s, r := &box.sides[i], l.ru.Reveal
	cut := Cut{Piece: "casing_" + string(box.face) + "_leg_" + string(s.side), Profile: "casing", Rounding: length.Nearest, Ends: squareEnds()}
	terms := append(make([]derive.Term, 0, len(s.down)+5), s.down...)
	frame := box.sill != nil
	switch c.Style {
	case ButtHead:
		terms = append(terms, rule("reveal", r))
		if frame {
			terms = append(terms, rule("reveal", r))
		}
	case Mitered:
		terms = append(terms, acrossRule("reveal", r, s.corner), acrossWidth(c, fit, s.corner))
		cut.Ends[1] = End{Joint: "miter", Miter: miterAt(s.corner)}
		if frame {
			terms = append(terms, acrossRule("reveal", r, s.foot), acrossWidth(c, fit, s.foot))
			cut.Ends[0] = End{Joint: "miter", Miter: miterAt(s.foot)}
		}
	case CornerBlocks:
		over := half(c.Block - c.Width)
		terms = append(terms, rule("reveal", r), minusUnit("block_overlap", over))
		switch {
		case frame:
			terms = append(terms, rule("reveal", r), minusUnit("block_overlap", over))
		case c.PlinthHeight > 0 && l.u.Kind != Window:
			terms = append(terms, minusUnit("plinth_height", c.PlinthHeight))
		}
	}
	if fit.ripped {
		w := derive.By("ripped_to_space", byPractice, fit.width, computed("space", s.space),
			minusRule("reveal", r), minusUnit("overhang", fit.ear))
		cut.Width = &w
	}
	cut.Value = derive.Sum(byPractice, terms...)
	l.cut(stageCased, cut)
}

// blocks cuts the corner blocks and plinths. A block is centered on leg and head, so it
// stands past each by half of what it is wider.
func (l *layout) blocks(c *Casing, box *casingBox, fit [2]legFit) {
	rows := [...]string{"block_", "block_foot_"}
	for row, name := range rows {
		if row == 1 && box.sill == nil {
			break
		}
		for i := range box.sides {
			cut := Cut{Piece: "casing_" + string(box.face) + "_" + name + string(box.sides[i].side), Profile: "block",
				Value: derive.Sum(byPractice, unitSize("block", c.Block)), Rounding: length.Nearest, Ends: squareEnds()}
			if fit[i].block < c.Block {
				w := derive.By("ripped_to_space", byPractice, fit[i].block, computed("space", box.sides[i].space),
					minusRule("reveal", l.ru.Reveal), unitSize("block_overlap", half(c.Block-c.Width)))
				cut.Width = &w
			}
			l.cut(stageCased, cut)
		}
	}
	if c.PlinthHeight == 0 || l.u.Kind == Window {
		return
	}
	for i := range box.sides {
		l.cut(stageCased, Cut{Piece: "casing_" + string(box.face) + "_plinth_" + string(box.sides[i].side), Profile: "plinth",
			Value: derive.Sum(byPractice, unitSize("plinth_height", c.PlinthHeight)), Rounding: length.Nearest, Ends: squareEnds()})
	}
}

// bearing holds how far the casing laps onto the stud against the least a nail needs. The
// shim space is taken where the side strays furthest from the frame: that is where the
// nails miss first.
func (l *layout) bearing(c *Casing, face Face, s *boxSide, width length.Length) {
	if s.nails == nil || l.u.JambThickness == 0 {
		return
	}
	ru := &l.ru
	most := "shim_" + string(s.side) + "_most"
	name := "bearing_" + string(face) + "_" + string(s.side)
	v := l.name(name, derive.Sum(byPractice, rule("reveal", ru.Reveal), unitSize("casing_width", width),
		minusUnit("jamb_thickness", l.u.JambThickness), derive.Minus(most, s.nails.Length, derive.Computed)))
	f := func(code string, sev finding.Severity, least length.Length) {
		l.find(finding.New(code, sev).On(stageNailed).At(name).Term("side", "side_"+string(s.side)).
			Term("face", "face_"+string(face)).Len("bearing", v.Length).Len("least", least))
	}
	switch {
	case v.Length < ru.NailBearingStop:
		f("bearing_miss", finding.Stop, ru.NailBearingStop)
	case v.Length < ru.NailBearingWarn:
		f("bearing_thin", finding.Warn, ru.NailBearingWarn)
	}
}

// headBearing does the same for the head casing and the header. It only warns: the head
// may be nailed to the studs at its ends.
func (l *layout) headBearing(face Face, c *Casing) {
	if l.headTop == nil || l.u.JambThickness == 0 || c.Style == "" {
		return
	}
	header, headerName := l.headerHinge, "header_hinge"
	if l.headerStrike.Length > header.Length {
		header, headerName = l.headerStrike, "header_strike"
	}
	name := "bearing_" + string(face) + "_head"
	v := l.name(name, derive.Sum(byPractice, rule("reveal", l.ru.Reveal), unitSize("casing_width", c.Width),
		minusUnit("head_thickness", l.headThickness), computed("head_top", l.headTop), minusComputed(headerName, header)))
	if v.Length < l.ru.NailBearingWarn {
		l.find(finding.New("bearing_head", finding.Warn).On(stageNailed).At(name).
			Term("face", "face_"+string(face)).Len("bearing", v.Length).Len("least", l.ru.NailBearingWarn))
	}
}

// hingeOnLeft reports whether the hinge side is on the left as that face is seen. A unit
// that does not say counts the hinge side as the left from face A.
func (l *layout) hingeOnLeft(face Face) bool { return (l.u.HingeOn != "right") == (face == FaceA) }

func widthTerm(c *Casing, f legFit) derive.Term {
	if f.ripped {
		return unitSize("casing_ripped", f.width)
	}
	return unitSize("casing_width", c.Width)
}

// acrossWidth is how far a miter runs along a piece over the leg's width. Where the leg is
// ripped the head keeps its miter and is clipped plumb at the leg's edge.
func acrossWidth(c *Casing, f legFit, corner Angle) derive.Term {
	t := widthTerm(c, f)
	if corner != square {
		t.Name, t.Length, t.Origin = "miter_over_casing", across(t.Length, corner), derive.Geometry
	}
	return t
}

func acrossRule(name string, v length.Length, corner Angle) derive.Term {
	if corner == square {
		return rule(name, v)
	}
	return derive.Plus("reveal_at_corner", across(v, corner), derive.Geometry)
}
