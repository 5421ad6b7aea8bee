package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

const (
	byWidth  = "clear_width_rule"
	byHinges = "hinge_table"
)

// leastSlab is the shortest slab worth hanging; under it a height was misread.
const leastSlab = 20 * length.Inch

// woodFireGap is the most gap at head, jambs and meeting edges of a wood fire door
// (NFPA 80 as quoted by trade pages: wood doors at most 1/8 in).
const woodFireGap = length.Eighth

// Clear heights of a doorway (ADA 2010 404.2.3 as quoted by a trade page: 80 in, 78 in at
// the stop; the required exit door's 78 in is from memory of IRC R311.2).
const (
	accessibleHeight = 80 * length.Inch
	exitHeight       = 78 * length.Inch
)

// A doorway on an accessible route that is deeper than 24 in wants 36 in clear (ADA 2010
// 404.2.3 as quoted by a trade page).
const (
	deepDoorway    = 24 * length.Inch
	deepClearWidth = 36 * length.Inch
)

// slabs is how many slabs the unit has.
func (u *Unit) slabs() int64 {
	switch u.Kind {
	case Pair:
		return 2
	case Bifold, Bypass:
		return max(1, u.Panels)
	}
	return 1
}

// floorInSwing is the highest finished floor under the slab or in its swing above the
// datum, never below it. Flooring still to come on the face it swings to, beyond the
// opening's own, raises it; where the face is not said, either face may be the one.
// The terms are for subtraction and empty when there is nothing to clear.
func (l *layout) floorInSwing() (length.Length, []derive.Term) {
	extra := length.Length(0)
	if l.u.hinged() || l.u.Kind == Bifold {
		onA, onB := length.Length(0), length.Length(0)
		if l.casingA != nil {
			onA = l.casingA.FloorToCome
		}
		if l.casingB != nil {
			onB = l.casingB.FloorToCome
		}
		switch l.u.SwingsTo {
		case FaceA:
			extra = onA
		case FaceB:
			extra = onB
		default:
			extra = max(onA, onB)
		}
	}
	if l.r.FloorHighest == nil {
		if extra <= 0 {
			return 0, nil
		}
		v := l.name("floor_in_swing", derive.Sum(byPractice, unitSize("casing_floor_to_come", extra)))
		return v.Length, []derive.Term{minusComputed("floor_in_swing", v)}
	}
	highest := *l.r.FloorHighest
	if extra == 0 {
		return highest, []derive.Term{minusReading("floor_highest", highest)}
	}
	v := l.name("floor_in_swing", derive.By("not_below_datum", byPractice, max(0, highest+extra),
		reading("floor_highest", highest), unitSize("casing_floor_to_come", extra)))
	return v.Length, []derive.Term{minusComputed("floor_in_swing", v)}
}

// slab finds the slab's height, what to cut off it, the gap left under it, and the hinges
// and stop of a hinged one.
func (l *layout) slab() {
	if l.u.hinged() {
		l.stopLine()
	}
	if l.underside == nil {
		return
	}
	topGap := rule("top_gap", l.ru.TopGap)
	if l.u.sliding() {
		if l.u.TrackAllowance == 0 {
			return
		}
		topGap = unitSize("track_allowance", l.u.TrackAllowance)
	}
	swing, swingTerms := l.floorInSwing()
	terms := append([]derive.Term{
		computed("head_top", l.headTop), minusUnit("head_thickness", l.headThickness),
		derive.Minus(topGap.Name, topGap.Length, topGap.Origin), minusRule("bottom_gap", l.ru.BottomGap),
	}, swingTerms...)
	height := l.name("slab_height", derive.Sum(byPractice, terms...))
	if height.Length < leastSlab {
		l.find(finding.New("slab_no_room", finding.Stop).On(stageMeasured).At("slab_height").
			Len("height", height.Length).Len("least", leastSlab))
		return
	}
	finished, gap := *height, derive.Sum(byPractice, rule("bottom_gap", l.ru.BottomGap))
	if l.u.SlabHeight > 0 {
		trim := l.name("slab_trim", derive.Sum(byPractice, unitSize("slab_height_supplied", l.u.SlabHeight), minusComputed("slab_height", height)))
		if trim.Length < 0 {
			finished = derive.Sum(byPractice, unitSize("slab_height_supplied", l.u.SlabHeight))
			gap = derive.Sum(byPractice, rule("bottom_gap", l.ru.BottomGap), minusComputed("slab_trim", trim))
		}
		l.checkTrim(trim.Length)
	}
	below := l.name("bottom_gap_actual", gap)
	if finished.Length < leastSlab {
		return
	}
	slab := Cut{Piece: "slab", Profile: "slab", Value: finished, Rounding: length.Down, Ends: squareEnds(), Quantity: int(l.u.slabs())}
	if l.u.hinged() {
		hinges := l.hinges(&finished)
		slab.Marks = hinges
		l.markHinges(hinges)
	}
	l.cut(stageTrimmed, slab)
	if l.u.Kind == Pair && l.u.Astragal > 0 {
		l.cut(stageTrimmed, Cut{Piece: "astragal", Profile: "astragal", Value: finished, Rounding: length.Down, Ends: squareEnds()})
	}
	l.underSlab(below, swing)
}

// checkTrim says what the trim asks of the slab. A fire label's limit is a safety stop and
// no maker's sheet widens it; a sheet may narrow it.
func (l *layout) checkTrim(trim length.Length) {
	u, ru := &l.u, &l.ru
	if trim < 0 {
		l.find(finding.New("slab_short", finding.Warn).On(stageTrimmed).At("slab_trim").
			Len("short", -trim).Len("gap", ru.BottomGap-trim))
		return
	}
	if u.FireRated() {
		l.find(fireTrim(u, ru, trim, "slab_trim")...)
		return
	}
	limit, code := ru.SolidTrimLimit, "trim_over_limit"
	if u.Core == Hollow || u.Core == "" {
		limit, code = ru.HollowTrimLimit, "trim_hollow"
	}
	if u.MakerTrimMost > 0 {
		limit, code = u.MakerTrimMost, "trim_over_sheet"
	}
	if trim > limit {
		l.find(finding.New(code, finding.Stop).On(stageTrimmed).At("slab_trim").
			Len("trim", trim).Len("limit", limit).Len("over", trim-limit))
	}
}

func fireTrim(u *Unit, ru *houserules.Rules, trim length.Length, about string) []finding.Finding {
	limit := ru.FireTrimLimit
	if u.MakerTrimMost > 0 {
		limit = min(limit, u.MakerTrimMost)
	}
	if !u.FireRated() || trim <= limit {
		return nil
	}
	return []finding.Finding{finding.New("fire_trim", finding.Stop).AsSafety().On(stageTrimmed).At(about).
		Len("trim", trim).Len("limit", limit).Len("over", trim-limit)}
}

func fireBottom(u *Unit, ru *houserules.Rules, clearance length.Length, about string) []finding.Finding {
	if !u.FireRated() || clearance <= ru.FireBottomMost {
		return nil
	}
	return []finding.Finding{finding.New("fire_bottom", finding.Stop).AsSafety().On(stageTrimmed).At(about).
		Len("clearance", clearance).Len("limit", ru.FireBottomMost)}
}

// SlabAsCut judges a labeled slab as the saw left it: what came off it and the most
// clearance that leaves under it. The label knows no tolerance of the saw, so neither does
// this; a slab without a label says nothing. Zero for what is not known.
func SlabAsCut(u Unit, ru houserules.Rules, trim, clearance length.Length) []finding.Finding {
	return append(fireTrim(&u, &ru, trim, "slab"), fireBottom(&u, &ru, clearance, "slab")...)
}

// underSlab finds the clearance at both ends of the closed slab's bottom and what it means
// for a fire label and for return air. The slab's bottom is square, so over a floor out of
// level the low side has the most.
func (l *layout) underSlab(gap *derive.Value, swing length.Length) {
	at := func(name, floor string, f *derive.Value) *derive.Value {
		return l.name(name, derive.Sum(byPractice, computed("bottom_gap_actual", gap),
			derive.Plus("floor_in_swing", swing, derive.Computed), minusComputed(floor, f)))
	}
	hinge := at("bottom_clearance_hinge", "floor_hinge", l.floorHinge)
	strike := at("bottom_clearance_strike", "floor_strike", l.floorStrike)
	most := max(hinge.Length, strike.Length)
	l.find(fireBottom(&l.u, &l.ru, most, "bottom_gap_actual")...)
	l.returnAir(hinge.Length, strike.Length)
}

// returnAir is the free area under the closed slab: the mean of its two end clearances,
// which is exact over a straight floor, times the slab's width.
func (l *layout) returnAir(hinge, strike length.Length) {
	if l.u.SlabWidth == 0 || !l.u.hinged() {
		return
	}
	air := ReturnAir{Gap: half(hinge + strike), Width: length.Length(l.u.slabs()) * l.u.SlabWidth}
	air.SquareInches = UndercutArea(air.Gap, air.Width)
	l.out.ReturnAir = &air
	if l.u.ReturnAir <= 0 || air.SquareInches >= float64(l.u.ReturnAir) {
		return
	}
	need := nearest(float64(l.u.ReturnAir) * float64(length.Inch) * float64(length.Inch) / float64(air.Width))
	f := finding.New("return_air_short", finding.Warn).On(stageTrimmed).At("bottom_gap_actual")
	if l.u.FireRated() && need > l.ru.FireBottomMost {
		f = finding.New("return_air_fire", finding.Stop).AsSafety().On(stageTrimmed).At("bottom_gap_actual").
			Len("limit", l.ru.FireBottomMost)
	}
	l.find(f.Dec("area", air.SquareInches, 1).Num("wanted", l.u.ReturnAir).Len("gap", need))
}

// UndercutArea is the free area in square inches of a gap under a slab of that width;
// zero when either is not positive.
func UndercutArea(gap, width length.Length) float64 {
	if gap <= 0 || width <= 0 {
		return 0
	}
	return gap.Inches() * width.Inches()
}

// stopLine is where the stop's edge goes, from the hinge-side edge of the jamb: the slab's
// thickness and the play between closed slab and stop.
func (l *layout) stopLine() {
	if l.u.SlabThickness > 0 {
		line := l.name("stop_line", derive.Sum(byPractice, unitSize("slab_thickness", l.u.SlabThickness), rule("stop_clearance", l.ru.StopClearance)))
		for i := range l.out.Cuts {
			switch c := &l.out.Cuts[i]; c.Piece {
			case "leg_hinge", "leg_strike", "head":
				c.Marks = append(c.Marks, Mark{Name: "stop_line", From: "hinge_edge", Value: *line})
			}
		}
	}
	if !l.u.FireRated() {
		return
	}
	if l.u.FireLabel == "" {
		l.find(finding.New("fire_label_missing", finding.Stop).AsSafety().On(stageTrimmed).At("fire_label"))
	}
	for _, g := range [...]struct {
		name string
		v    length.Length
	}{{"hinge_gap", l.ru.HingeGap}, {"strike_gap", l.ru.StrikeGap}, {"top_gap", l.ru.TopGap}, {"meeting_gap", l.meetingGap()}} {
		if g.name == "meeting_gap" && l.u.Kind != Pair {
			continue
		}
		if g.v > woodFireGap {
			l.find(finding.New("fire_gap", finding.Stop).AsSafety().On(stageHung).At(g.name).
				Term("gap_name", g.name).Len("gap", g.v).Len("limit", woodFireGap))
		}
	}
}

// HingeCount is how many hinges a slab of that height takes: two to 60 in, three to 90 in,
// then one more for every 30 in or part of it. Zero for no height.
func HingeCount(height length.Length) int {
	if height <= 0 {
		return 0
	}
	each := 30 * length.Inch
	return max(2, int((height-1)/each)+1)
}

// hinges marks the top of each hinge leaf from the slab's top: the first a set distance
// down, the last with its bottom a set distance up, the rest evenly between.
func (l *layout) hinges(slab *derive.Value) []Mark {
	ru := &l.ru
	n := HingeCount(slab.Length)
	first := derive.Sum(byPractice, rule("hinge_down", ru.HingeDown))
	last := derive.Sum(byPractice, computed("slab_finished", slab), minusRule("hinge_up", ru.HingeUp), minusRule("hinge_height", ru.HingeHeight))
	if last.Length-first.Length < length.Length(n-1)*ru.HingeHeight {
		l.find(finding.New("hinges_do_not_fit", finding.Warn).On(stageHung).At("hinge_1").Num("count", int64(n)).Len("height", slab.Length))
		return nil
	}
	marks := make([]Mark, 0, n)
	for i := range n {
		v := first
		switch {
		case i == n-1:
			v = last
		case i > 0:
			span := last.Length - first.Length
			v = derive.By("evenly_between", byHinges, first.Length+(span*length.Length(i)+length.Length(n-1)/2)/length.Length(n-1),
				computed("hinge_first", &first), computed("hinge_last", &last))
		}
		name := hingeNames[i]
		l.name(name, v)
		marks = append(marks, Mark{Name: name, From: "top", Value: v})
	}
	if want := tableHinge(l.u.SlabThickness, l.u.SlabWidth); want > ru.HingeHeight {
		l.find(finding.New("hinge_small", finding.Note).On(stageHung).At("hinge_1").Len("height", ru.HingeHeight).Len("table", want))
	}
	return marks
}

// hingeNames covers the highest slab a unit may have: 20 ft takes 8 hinges.
var hingeNames = [...]string{"hinge_1", "hinge_2", "hinge_3", "hinge_4", "hinge_5", "hinge_6", "hinge_7", "hinge_8"}

// tableHinge is the hinge height a maker's table gives for a slab; zero beyond the table.
func tableHinge(thickness, width length.Length) length.Length {
	in := length.Inch
	switch {
	case width <= 0 || thickness <= 0:
		return 0
	case thickness <= 11*length.Eighth && width <= 32*in:
		return 7 * length.Half
	case thickness <= 11*length.Eighth && width <= 36*in:
		return 4 * in
	case thickness > 11*length.Eighth && thickness <= 7*length.Quarter && width <= 36*in:
		return 9 * length.Half
	case thickness > 11*length.Eighth && thickness <= 7*length.Quarter && width <= 48*in:
		return 5 * in
	}
	return 0
}

// markHinges carries the slab's hinge marks over to the leg or legs it hangs on, from the
// leg's top: the leg runs past the head, and the slab hangs a gap under it.
func (l *layout) markHinges(hinges []Mark) {
	for i := range l.out.Cuts {
		c := &l.out.Cuts[i]
		if c.Piece != "leg_hinge" && !(c.Piece == "leg_strike" && l.u.Kind == Pair) {
			continue
		}
		for _, m := range hinges {
			v := m.Value
			c.Marks = append(c.Marks, Mark{Name: m.Name, From: "top", Value: derive.Sum(byPractice,
				unitSize("head_thickness", l.headThickness), rule("top_gap", l.ru.TopGap), computed("hinge_on_slab", &v))})
		}
	}
}

// passage finds the clear width of the way through and holds it against the least an exit
// or an accessible route needs.
func (l *layout) passage() {
	u := &l.u
	if u.Exit && u.hasSlab() && !u.hinged() {
		l.find(finding.New("exit_not_hinged", finding.Stop).AsSafety().On(stageTrimmed).At("kind").Term("kind", string(u.Kind)))
	}
	if l.inside == nil {
		return
	}
	clear := l.clearWidth()
	if clear == nil || !u.Exit && !u.Accessible {
		return
	}
	least := l.ru.ClearWidthLeast
	if u.Accessible && l.r.WallBuildUp != nil && *l.r.WallBuildUp > deepDoorway {
		least = max(least, deepClearWidth)
	}
	if clear.Length < least {
		code := "clear_width"
		if !u.hasSlab() {
			code = "clear_width_no_door"
		}
		l.find(finding.New(code, finding.Stop).AsSafety().On(stageTrimmed).At("clear_width").
			Len("clear", clear.Length).Len("least", least))
	}
	if l.underside == nil {
		return
	}
	opening, stop := exitHeight, l.underside.Length-u.StopThickness
	if u.Accessible {
		opening = accessibleHeight
	}
	if u.StopThickness == 0 { // no stop hangs lower than the head
		if l.underside.Length < opening {
			l.find(finding.New("clear_height_no_stop", finding.Warn).On(stageTrimmed).At("head_underside").
				Len("head", l.underside.Length).Len("opening", opening))
		}
		return
	}
	if l.underside.Length < opening || stop < exitHeight {
		l.find(finding.New("clear_height", finding.Warn).On(stageTrimmed).At("head_underside").
			Len("head", l.underside.Length).Len("stop", stop).Len("opening", opening).Len("least", exitHeight))
	}
}

// clearWidth is the way through with the door as far open as it is reckoned. A hinged slab
// stands open 90 degrees, its thickness in the way, and the stop stands in on the other
// side; nil where that cannot be said.
func (l *layout) clearWidth() *derive.Value {
	u := &l.u
	inside := computed("inside_width", l.inside)
	n := length.Length(u.Panels)
	switch u.Kind {
	case Door:
		if u.SlabThickness == 0 || u.StopThickness == 0 && (u.Exit || u.Accessible) {
			return nil
		}
		return l.name("clear_width", derive.Sum(byWidth, inside, minusUnit("slab_thickness", u.SlabThickness), minusUnit("stop_thickness", u.StopThickness)))
	case Pair:
		return l.pairClear()
	case CasedOpening, Pocket:
		return l.name("clear_width", derive.Sum(byWidth, inside))
	case Bifold:
		if u.SlabThickness > 0 {
			return l.name("clear_width", derive.Sum(byWidth, inside, minusUnit("slabs_folded", n*u.SlabThickness)))
		}
	case Bypass:
		if n == 2 {
			return l.name("clear_width", derive.Sum(byWidth, inside, minusUnit("slab_width", u.SlabWidth)))
		}
	}
	return nil
}
