package trim

import (
	"math/bits"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// heights places floor, header and head above the datum.
func (l *layout) heights() {
	r, ru := &l.r, &l.ru
	var toCome []derive.Term
	if r.FloorToCome != nil {
		toCome = []derive.Term{minusReading("floor_to_come", *r.FloorToCome)}
	} else if ru.FloorToCome > 0 {
		toCome = []derive.Term{minusRule("floor_to_come", ru.FloorToCome)} // what the room's floor is built up by
	}
	finished := func(value, name string, h *length.Length) *derive.Value {
		if h == nil {
			return nil
		}
		return l.name(value, derive.Sum(byPractice, append([]derive.Term{reading(name, *h)}, toCome...)...))
	}
	hinge := finished("finished_height_hinge", "height_hinge", r.HeightHinge)
	strike := finished("finished_height_strike", "height_strike", r.HeightStrike)
	if r.FloorStrikeUp == nil {
		return
	}
	// The datum is the high side: the other side lies below it, at zero or less. Flooring
	// still to come lies on both sides alike and leaves their difference.
	var atHinge, atStrike []derive.Term
	if up := *r.FloorStrikeUp; up > 0 {
		atHinge = []derive.Term{minusReading("floor_strike_up", up)}
	} else if up < 0 {
		atStrike = []derive.Term{reading("floor_strike_up", up)}
	}
	l.floorHinge = l.name("floor_hinge", derive.Sum(byPractice, atHinge...))
	l.floorStrike = l.name("floor_strike", derive.Sum(byPractice, atStrike...))
	if hinge == nil || strike == nil {
		return
	}
	l.headerHinge = l.name("header_hinge", derive.Sum(byPractice, computed("floor_hinge", l.floorHinge), computed("finished_height_hinge", hinge)))
	l.headerStrike = l.name("header_strike", derive.Sum(byPractice, computed("floor_strike", l.floorStrike), computed("finished_height_strike", strike)))

	allowance := ru.TopAllowance
	if l.u.boardReturned() {
		allowance = 0 // the header is the finished head
	}
	under := min(l.headerHinge.Length, l.headerStrike.Length) - allowance
	top := under
	terms := []derive.Term{computed("header_hinge", l.headerHinge), computed("header_strike", l.headerStrike), minusRule("top_allowance", allowance)}
	if l.u.LegLength > 0 {
		// Supplied legs stand on the floor; the low side reaches least high.
		reach := l.u.LegLength + min(l.floorHinge.Length, l.floorStrike.Length)
		top = min(top, reach)
		terms = append(terms, derive.Plus("leg_reach", reach, derive.Unit))
		if reach < under {
			l.find(finding.New("legs_set_head", finding.Note).On(stageTrimmed).At("head_top").
				Len("legs", l.u.LegLength).Len("space", min(l.headerHinge.Length, l.headerStrike.Length)-top))
		}
	}
	l.headTop = l.name("head_top", derive.By("head_top_least", byPractice, top, terms...))
	if l.jambsKnown() {
		l.underside = l.name("head_underside", derive.Sum(byPractice, computed("head_top", l.headTop), minusUnit("head_thickness", l.headThickness)))
		l.name("floor_to_head_hinge", derive.Sum(byPractice, computed("head_underside", l.underside), minusComputed("floor_hinge", l.floorHinge)))
		l.name("floor_to_head_strike", derive.Sum(byPractice, computed("head_underside", l.underside), minusComputed("floor_strike", l.floorStrike)))
	}
}

// frameCuts cuts the legs and the head. The legs run past the head to its top, so the head
// lies between them, let into each by its housing. They drop into an opening: they round
// down.
func (l *layout) frameCuts() {
	if !l.jambsKnown() || l.u.JambThickness == 0 {
		return
	}
	u := &l.u
	if l.headTop != nil {
		if u.Kind != Pocket {
			l.cut(stageTrimmed, l.leg("leg_hinge", "floor_hinge", l.floorHinge))
		}
		l.cut(stageTrimmed, l.leg("leg_strike", "floor_strike", l.floorStrike))
	}
	if u.Kind == Pocket {
		l.splitJambs()
		return
	}
	if l.inside != nil {
		terms := []derive.Term{computed("inside_width", l.inside)}
		if u.HeadHousing > 0 {
			terms = append(terms, unitSize("head_housing", u.HeadHousing), unitSize("head_housing", u.HeadHousing))
		}
		l.cut(stageTrimmed, Cut{Piece: "head", Profile: "jamb", Value: derive.Sum(byPractice, terms...),
			Rounding: length.Down, Ends: squareEnds()})
	}
}

func (l *layout) leg(piece, floor string, at *derive.Value) Cut {
	c := Cut{Piece: piece, Profile: "jamb", Rounding: length.Down, Ends: squareEnds(),
		Value: derive.Sum(byPractice, computed("head_top", l.headTop), minusComputed(floor, at))}
	if l.u.LegLength > 0 {
		c.Marks = append(c.Marks, Mark{Name: "leg_trim", From: "foot", Value: derive.Sum(byPractice,
			unitSize("leg_length", l.u.LegLength), derive.Minus(piece, c.Value.Length, derive.Computed))})
	}
	return c
}

func squareEnds() []End { return []End{{Joint: "square"}, {Joint: "square"}} }

// wallEdge compares the jamb with the wall. A jamb short of the wall gets strips on the
// edge of that rip; a jamb that stands proud is a note.
func (l *layout) wallEdge() {
	u := &l.u
	if l.r.WallBuildUp == nil || u.JambWidth == 0 || u.JambThickness == 0 {
		return
	}
	short := l.name("jamb_to_wall", derive.Sum(byPractice, reading("wall_build_up", *l.r.WallBuildUp), minusUnit("jamb_width", u.JambWidth)))
	switch {
	case short.Length > l.ru.JambWallTolerance:
		l.find(finding.New("jamb_short", finding.Warn).On(stageCased).At("jamb_to_wall").Len("short", short.Length))
		strip := func(piece string, v derive.Value) {
			rip := *short
			l.cut(stageCased, Cut{Piece: piece, Profile: "extension", Value: v, Rounding: length.Down, Width: &rip, Ends: squareEnds()})
		}
		if l.underside != nil {
			strip("extension_leg_hinge", derive.Sum(byPractice, computed("head_underside", l.underside), minusComputed("floor_hinge", l.floorHinge)))
			strip("extension_leg_strike", derive.Sum(byPractice, computed("head_underside", l.underside), minusComputed("floor_strike", l.floorStrike)))
		}
		if l.inside != nil {
			strip("extension_head", derive.Sum(byPractice, computed("inside_width", l.inside),
				unitSize("jamb_thickness", u.JambThickness), unitSize("jamb_thickness", u.JambThickness)))
		}
	case short.Length < -l.ru.JambWallTolerance:
		l.find(finding.New("jamb_proud", finding.Note).On(stageCased).At("jamb_to_wall").Len("proud", -short.Length))
	}
}

// squareness says how far the header's corners lie to one side of the floor's. With hinge
// foot (0, 0), strike foot (w, 0) and the header moved by s, d1² = (w+s)² + h² and
// d2² = (w−s)² + h², so s = (d1² − d2²) / 4w: positive when the header lies toward the
// strike side. The width is the mean of bottom and top. The product is taken in 128 bits.
func (l *layout) squareness() {
	r := &l.r
	if r.DiagonalRise == nil || r.DiagonalFall == nil || r.WidthBottom == nil || r.WidthTop == nil {
		return
	}
	d1, d2 := *r.DiagonalRise, *r.DiagonalFall
	apart := (d1 - d2).Abs()
	hi, lo := bits.Mul64(uint64(apart), uint64(d1+d2))
	by := uint64(2 * (*r.WidthBottom + *r.WidthTop))
	lo, carry := bits.Add64(lo, by/2, 0) // to the nearest nanometer
	q, _ := bits.Div64(hi+carry, lo, by)
	offset := length.Length(q)
	if d1 < d2 {
		offset = -offset
	}
	l.name("square_offset", derive.By("square_offset_by", byGeometry, offset,
		reading("diagonal_rise", d1), reading("diagonal_fall", d2), reading("width_bottom", *r.WidthBottom), reading("width_top", *r.WidthTop)))
	if apart > l.ru.SquareTolerance {
		l.find(finding.New("out_of_square", finding.Warn).On(stageMeasured).At("diagonal_rise").
			Len("apart", apart).Len("offset", offset.Abs()).Len("tolerance", l.ru.SquareTolerance))
	}
}
