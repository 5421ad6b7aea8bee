package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// half is the half of v, the odd nanometer dropped toward minus infinity, so that a width
// made of halves is never a nanometer more than there is.
func half(v length.Length) length.Length { return v >> 1 }

// widths finds the widest plumb frame the opening takes. Sides are lines through their
// lean: the hinge side runs from 0 at the floor to lean at the header, the strike side lies
// the taped width from it at floor, middle and header and straight between. All bends are
// at those three heights, so the least and the most over every height are among them, and
// the height itself cancels: at the middle the hinge side is at half its lean.
func (l *layout) widths() {
	r := &l.r
	if r.WidthBottom == nil || r.WidthMiddle == nil || r.WidthTop == nil || r.LeanHinge == nil {
		return
	}
	b, m, t, lean := *r.WidthBottom, *r.WidthMiddle, *r.WidthTop, *r.LeanHinge
	bottom, middle, top := b, m+half(lean), t+lean
	tightest := min(bottom, middle, top) - max(0, lean)
	l.plumb = l.name("plumb_width", derive.By("plumb_least", byGeometry, tightest,
		reading("width_bottom", b), reading("width_middle", m), reading("width_top", t), reading("lean_hinge", lean)))
	l.hingeWander = lean.Abs()
	l.strikeWander = max(bottom, middle, top) - min(bottom, middle, top)

	implied := l.name("lean_strike_implied", derive.Sum(byGeometry,
		reading("width_bottom", b), minusReading("width_top", t), minusReading("lean_hinge", lean)))
	if r.LeanStrike != nil {
		if apart := (*r.LeanStrike - implied.Length).Abs(); apart > l.ru.LeanCheck {
			l.find(measuredStop("lean_disagrees", "lean_strike").
				Len("value", r.LeanStrike.Abs()).Term("way", leanWay(*r.LeanStrike)).
				Len("implied", implied.Length.Abs()).Term("implied_way", leanWay(implied.Length)).Len("apart", apart))
		}
	}
	// A middle width off the straight line between bottom and top means that a side is
	// bowed, and the tape does not say which. The rule takes the hinge side as straight;
	// were the bow in the hinge side, the strike side would be the straight one.
	line := half(bottom + top)
	otherWay := min(bottom, top) - max(0, lean, line-m)
	if less := tightest - otherWay; less > l.ru.TakeAgreement {
		l.find(finding.New("side_bowed", finding.Warn).On(stageMeasured).At("width_middle").
			Len("plumb", tightest).Len("other", otherWay))
	}
}

func leanWay(v length.Length) string {
	if v < 0 {
		return "top_leans_out"
	}
	return "top_leans_in"
}

// insideWidth is the clear width from jamb to jamb, and the frame width what the frame measures
// outside.
func (l *layout) insideWidth() {
	u := &l.u
	n := length.Length(u.Panels)
	switch u.Kind {
	case Door:
		if u.SlabWidth > 0 {
			l.inside = l.name("inside_width", derive.Sum(byPractice, unitSize("slab_width", u.SlabWidth),
				rule("hinge_gap", l.ru.HingeGap), rule("strike_gap", l.ru.StrikeGap)))
		}
	case Pair:
		if u.SlabWidth > 0 {
			l.inside = l.name("inside_width", derive.Sum(byPractice, l.pairTerms()...))
		}
	case CasedOpening:
		l.casedInside()
	case Pocket:
		if u.SlabWidth > 0 && u.Lap > 0 {
			l.inside = l.name("inside_width", derive.Sum(bySheet, unitSize("slab_width", u.SlabWidth), minusUnit("lap", u.Lap)))
		}
	case Bifold:
		if u.SlabWidth > 0 && n > 0 && u.WidthAllowance > 0 {
			l.inside = l.name("inside_width", derive.Sum(bySheet, unitSize("slab_widths", n*u.SlabWidth), unitSize("width_allowance", u.WidthAllowance)))
		}
	case Bypass:
		if u.SlabWidth > 0 && n > 0 && u.Lap > 0 {
			l.inside = l.name("inside_width", derive.Sum(bySheet, unitSize("slab_widths", n*u.SlabWidth), minusUnit("laps", (n-1)*u.Lap)))
		}
	}
	switch {
	case u.Kind == Pocket:
		if u.FrameWidth > 0 {
			l.frame = l.name("frame_width", derive.Sum(bySheet, unitSize("frame_width_sheet", u.FrameWidth)))
		}
	case l.inside != nil && l.jambsKnown():
		l.frame = l.name("frame_width", derive.Sum(byPractice, computed("inside_width", l.inside),
			unitSize("jamb_thickness", u.JambThickness), unitSize("jamb_thickness", u.JambThickness)))
	}
}

// jambsKnown reports whether the jambs' thickness is known: where there are none, zero is.
func (l *layout) jambsKnown() bool { return l.u.JambThickness > 0 || l.u.boardReturned() }

func (l *layout) casedInside() {
	u := &l.u
	switch {
	case u.ClearWidth > 0:
		l.inside = l.name("inside_width", derive.Sum(byPractice, unitSize("clear_width_wanted", u.ClearWidth)))
	case l.plumb != nil && l.jambsKnown():
		l.inside = l.name("inside_width", derive.Sum(byPractice, computed("plumb_width", l.plumb),
			minusRule("shim_least", l.ru.ShimLeast), minusRule("shim_least", l.ru.ShimLeast),
			minusUnit("jamb_thickness", u.JambThickness), minusUnit("jamb_thickness", u.JambThickness)))
	}
}

// shims splits the space round the frame evenly and says whether it hangs. The even split
// is the frame's place unless the hinge side is plumb and the space small: then all of it
// may go on the strike side, and a note says so when the casing there still finds the stud. What
// that costs the hinge side's casing, where a wall is near, the note says too.
func (l *layout) shims() {
	if l.plumb == nil || l.frame == nil {
		return
	}
	if l.u.boardReturned() {
		l.boardReturns()
		return
	}
	total := l.name("shim_total", derive.Sum(byPractice, computed("plumb_width", l.plumb), minusComputed("frame_width", l.frame)))
	even := half(total.Length)
	l.shimHinge = l.name("shim_hinge", derive.By("half_of", byPractice, even, computed("shim_total", total)))
	l.shimStrike = l.name("shim_strike", derive.Sum(byPractice, computed("shim_total", total), minusComputed("shim_hinge", l.shimHinge)))
	l.name("shim_hinge_most", derive.Sum(byGeometry, computed("shim_hinge", l.shimHinge),
		derive.Plus("hinge_wander", l.hingeWander, derive.Computed)))
	l.name("shim_strike_most", derive.Sum(byGeometry, computed("shim_strike", l.shimStrike),
		derive.Plus("strike_wander", l.strikeWander, derive.Computed)))

	f := func(code string, s finding.Severity) finding.Finding {
		return finding.New(code, s).On(stageTrimmed).At("shim_total").Len("shim", total.Length)
	}
	switch s := total.Length; {
	case s < 0:
		l.find(f("frame_too_wide", finding.Stop).Len("over", -s).Len("frame", l.frame.Length).Len("plumb", l.plumb.Length))
	case s < l.ru.ShimLeast:
		l.find(f("shim_tight", finding.Stop).Len("least", l.ru.ShimLeast).Len("plumb", l.plumb.Length))
	case s > l.ru.ShimMost:
		l.find(f("shim_fur", finding.Warn).Len("most", l.ru.ShimMost))
	case s > l.ru.ShimGood:
		l.find(f("shim_wide", finding.Note).Len("good", l.ru.ShimGood))
	case s <= l.ru.ShimOneSide && l.u.hinged() && l.u.Kind != Pair && l.hingeWander <= l.ru.PlumbTolerance && l.bearsOneSided(s):
		if face, space, need := l.tightCasing(); face != "" {
			l.find(f("shim_one_side_rips", finding.Note).Len("lean", l.hingeWander).
				Term("face", "face_"+string(face)).Len("space", space).Len("need", need))
		} else {
			l.find(f("shim_one_side", finding.Note).Len("lean", l.hingeWander))
		}
	}
}

// boardReturns compares an opening with no jambs with what its slabs ask for.
func (l *layout) boardReturns() {
	spare := l.name("slab_spare", derive.Sum(bySheet, computed("plumb_width", l.plumb), minusComputed("inside_width", l.inside)))
	switch s := spare.Length; {
	case s < 0:
		l.find(finding.New("frame_too_wide", finding.Stop).On(stageTrimmed).At("slab_spare").
			Len("over", -s).Len("frame", l.inside.Length).Len("plumb", l.plumb.Length))
	case s > l.ru.ShimLeast:
		l.find(finding.New("slabs_fall_short", finding.Warn).On(stageTrimmed).At("slab_spare").Len("spare", s))
	}
}

// bearsOneSided reports whether casing still finds the stud on the strike side with all of
// the shim space there.
func (l *layout) bearsOneSided(shim length.Length) bool {
	for _, c := range [...]*Casing{l.casingA, l.casingB} {
		if c != nil && l.ru.Reveal+c.Width-l.u.JambThickness-shim-l.strikeWander < l.ru.NailBearingWarn {
			return false
		}
	}
	return true
}

// tightCasing is the face whose hinge-side casing falls the most short of its space with the hinge
// leg tight on the stud, and both lengths from the jamb's face; no face where none does.
func (l *layout) tightCasing() (face Face, space, need length.Length) {
	for _, f := range [...]struct {
		face Face
		c    *Casing
		read *length.Length
	}{{FaceA, l.casingA, l.r.SpaceAHinge}, {FaceB, l.casingB, l.r.SpaceBHinge}} {
		if f.c == nil || f.read == nil {
			continue
		}
		has, wants := *f.read+l.u.JambThickness, l.ru.Reveal+f.c.Width
		switch f.c.Style {
		case ButtHead:
			wants += f.c.Overhang
		case CornerBlocks:
			wants += half(f.c.Block - f.c.Width)
		}
		if wants-has > max(length.DeadBand, need-space) {
			face, space, need = f.face, has, wants
		}
	}
	return face, space, need
}
