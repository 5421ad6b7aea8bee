package trim

import (
	"math/bits"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// layout works one opening out. A value that is nil could not be worked out, because a
// reading or a size it needs is missing or cannot be.
type layout struct {
	u                Unit
	r                Readings
	ru               houserules.Rules
	casingA, casingB *Casing
	out              OpeningCuts

	plumb, inside, frame      *derive.Value
	shimHinge, shimStrike     *derive.Value // least space, where the opening is tightest
	floorHinge, floorStrike   *derive.Value // finished floor from the datum, zero or less
	headerHinge, headerStrike *derive.Value // from the datum
	headTop, underside        *derive.Value // from the datum
	hingeWander, strikeWander length.Length // how far a side strays from plumb
	cornerHinge, cornerStrike Angle         // true corners at the head
	footHinge, footStrike     Angle         // windows: corners at the sill
	headThickness             length.Length // of the head jamb; the legs' where not said
}

// Opening works out every cut of one opening with its derivation, and every finding about
// its unit, its readings, its casing and its cuts. It takes any input: what cannot be is
// left out of the arithmetic and named in a finding, what is missing leaves out the cuts
// that need it. Lengths are nanometers. Heights are measured from the datum, the high side
// of the finished floor at the opening.
func Opening(in OpeningInput) OpeningCuts {
	l := layout{u: in.Unit, r: in.Readings, ru: in.Rules,
		cornerHinge: square, cornerStrike: square, footHinge: square, footStrike: square}
	l.out = OpeningCuts{Cuts: make([]Cut, 0, 16), Values: make([]Named, 0, 48), Findings: make([]finding.Finding, 0, 8)}
	l.work(in)
	nameSides(&l.u, l.out.Findings)
	return l.out
}

func (l *layout) work(in OpeningInput) {
	if !knownKind(l.u.Kind) {
		l.find(CheckUnit(l.u)...)
		return
	}
	if key, ok := impossibleRule(&l.ru); !ok {
		l.find(finding.New("rule_impossible", finding.Stop).On(stageMeasured).At(key).Term("rule", key))
		return
	}
	l.find(checkUnit(&l.u)...)
	l.checkReadings()
	l.casingA, l.casingB = l.checkedCasing(FaceA, in.CasingA), l.checkedCasing(FaceB, in.CasingB)
	l.headThickness = l.u.HeadThickness
	if l.headThickness == 0 {
		l.headThickness = l.u.JambThickness
	}
	if l.u.Kind == Window {
		l.window()
		return
	}
	l.widths()
	l.insideWidth()
	l.shims()
	l.heights()
	l.squareness()
	l.frameCuts()
	l.wallEdge()
	if l.u.hasSlab() {
		l.slab()
	}
	l.passage()
	l.caseDoorway()
}

func (l *layout) find(fs ...finding.Finding) { l.out.Findings = append(l.out.Findings, fs...) }

// name records a value and returns it.
func (l *layout) name(name string, v derive.Value) *derive.Value {
	l.out.Values = append(l.out.Values, Named{Name: name, Value: v})
	return &v
}

// cut records a piece, or says that nothing would be left of it.
func (l *layout) cut(stage string, c Cut) {
	if c.Quantity == 0 {
		c.Quantity = 1
	}
	if c.Value.Length <= 0 || c.Width != nil && c.Width.Length <= 0 || c.WidthFar != nil && c.WidthFar.Length <= 0 {
		l.find(finding.New("nothing_left", finding.Stop).On(stage).At(c.Piece).Term("piece", c.Piece).Len("value", c.Value.Length))
		return
	}
	l.out.Cuts = append(l.out.Cuts, c)
}

// impossibleRule returns the first rule that no house can have, so that arithmetic on the
// rest cannot overflow; houserules.Resolve never makes one.
func impossibleRule(r *houserules.Rules) (string, bool) {
	const most = 100 * length.Inch
	for _, x := range [...]struct {
		key string
		v   length.Length
	}{
		{"hinge_gap", r.HingeGap}, {"strike_gap", r.StrikeGap}, {"top_gap", r.TopGap}, {"bottom_gap", r.BottomGap},
		{"top_allowance", r.TopAllowance}, {"reveal", r.Reveal}, {"stop_clearance", r.StopClearance},
		{"shim_least", r.ShimLeast}, {"shim_good", r.ShimGood}, {"shim_most", r.ShimMost}, {"shim_one_side", r.ShimOneSide},
		{"plumb_tolerance", r.PlumbTolerance}, {"lean_check", r.LeanCheck}, {"take_agreement", r.TakeAgreement},
		{"jamb_wall_tolerance", r.JambWallTolerance}, {"square_tolerance", r.SquareTolerance},
		{"hinge_down", r.HingeDown}, {"hinge_up", r.HingeUp}, {"hinge_height", r.HingeHeight},
		{"hollow_trim_limit", r.HollowTrimLimit}, {"solid_trim_limit", r.SolidTrimLimit}, {"fire_trim_limit", r.FireTrimLimit},
		{"fire_bottom_most", r.FireBottomMost}, {"clear_width_least", r.ClearWidthLeast},
		{"nail_bearing_warn", r.NailBearingWarn}, {"nail_bearing_stop", r.NailBearingStop},
	} {
		if x.v < 0 || x.v > most {
			return x.key, false
		}
	}
	return "", true
}

// checkReadings says what is missing, impossible or odd, and drops what is impossible or
// does not belong to this kind of unit.
func (l *layout) checkReadings() {
	specs := ReadingSpecs(l.u)
	given := l.r
	l.r = Readings{}
	for _, sp := range specs {
		v := given.Get(sp.Name)
		switch {
		case v == nil && sp.Required:
			l.find(finding.New("reading_missing", finding.Stop).AsWanted().On(stageMeasured).At(sp.Name).Term("reading", sp.Name))
		case v != nil:
			l.r.Set(sp.Name, *v)
		}
	}
	kept := l.r
	for _, sp := range specs {
		v := kept.Get(sp.Name)
		if v == nil {
			continue
		}
		fs := checkAgainst(l.u, &kept, sp, *v)
		if finding.HasStop(fs) {
			l.r.drop(sp.Name)
		}
		l.find(fs...)
	}
}

// checkedCasing returns the casing of a face, nil when there is none or it cannot be.
func (l *layout) checkedCasing(face Face, c *Casing) *Casing {
	if c == nil {
		return nil
	}
	fs := CheckCasing(*c)
	for _, f := range fs {
		l.find(f.At("casing_" + string(face) + "." + f.About))
	}
	if finding.HasStop(fs) {
		return nil
	}
	return c
}

func reading(name string, v length.Length) derive.Term { return derive.Plus(name, v, derive.Reading) }
func minusReading(name string, v length.Length) derive.Term {
	return derive.Minus(name, v, derive.Reading)
}
func unitSize(name string, v length.Length) derive.Term { return derive.Plus(name, v, derive.Unit) }
func minusUnit(name string, v length.Length) derive.Term {
	return derive.Minus(name, v, derive.Unit)
}
func rule(name string, v length.Length) derive.Term      { return derive.Plus(name, v, derive.Rule) }
func minusRule(name string, v length.Length) derive.Term { return derive.Minus(name, v, derive.Rule) }
func computed(name string, v *derive.Value) derive.Term {
	return derive.Plus(name, v.Length, derive.Computed)
}
func minusComputed(name string, v *derive.Value) derive.Term {
	return derive.Minus(name, v.Length, derive.Computed)
}

const (
	byPractice = "common_practice"
	byGeometry = "plane_geometry"
	bySheet    = "makers_sheet"
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

// insideWidth is the clear width from jamb to jamb, and frameWidth what the frame measures
// outside.
func (l *layout) insideWidth() {
	u := &l.u
	n := length.Length(u.Panels)
	switch u.Kind {
	case Door:
		if u.SlabWidth > 0 {
			l.inside = l.name("inside", derive.Sum(byPractice, unitSize("slab_width", u.SlabWidth),
				rule("hinge_gap", l.ru.HingeGap), rule("strike_gap", l.ru.StrikeGap)))
		}
	case Pair:
		if u.SlabWidth > 0 {
			l.inside = l.name("inside", derive.Sum(byPractice, l.pairTerms()...))
		}
	case CasedOpening:
		l.casedInside()
	case Pocket:
		if u.SlabWidth > 0 && u.Lap > 0 {
			l.inside = l.name("inside", derive.Sum(bySheet, unitSize("slab_width", u.SlabWidth), minusUnit("lap", u.Lap)))
		}
	case Bifold:
		if u.SlabWidth > 0 && n > 0 && u.WidthAllowance > 0 {
			l.inside = l.name("inside", derive.Sum(bySheet, unitSize("slab_widths", n*u.SlabWidth), unitSize("width_allowance", u.WidthAllowance)))
		}
	case Bypass:
		if u.SlabWidth > 0 && n > 0 && u.Lap > 0 {
			l.inside = l.name("inside", derive.Sum(bySheet, unitSize("slab_widths", n*u.SlabWidth), minusUnit("laps", (n-1)*u.Lap)))
		}
	}
	switch {
	case u.Kind == Pocket:
		if u.FrameWidth > 0 {
			l.frame = l.name("frame_width", derive.Sum(bySheet, unitSize("frame_width_sheet", u.FrameWidth)))
		}
	case l.inside != nil && l.jambsKnown():
		l.frame = l.name("frame_width", derive.Sum(byPractice, computed("inside", l.inside),
			unitSize("jamb_thickness", u.JambThickness), unitSize("jamb_thickness", u.JambThickness)))
	}
}

// jambsKnown reports whether the jambs' thickness is known. Closets with bifold or bypass
// doors may have board returns and no jambs: there zero is a thickness.
func (l *layout) jambsKnown() bool {
	return l.u.JambThickness > 0 || l.u.Kind == Bifold || l.u.Kind == Bypass
}

func (l *layout) casedInside() {
	u := &l.u
	switch {
	case u.ClearWidth > 0:
		l.inside = l.name("inside", derive.Sum(byPractice, unitSize("clear_width_wanted", u.ClearWidth)))
	case l.plumb != nil && l.jambsKnown():
		l.inside = l.name("inside", derive.Sum(byPractice, computed("plumb_width", l.plumb),
			minusRule("shim_least", l.ru.ShimLeast), minusRule("shim_least", l.ru.ShimLeast),
			minusUnit("jamb_thickness", u.JambThickness), minusUnit("jamb_thickness", u.JambThickness)))
	}
}

// shims splits the space round the frame evenly and says whether it hangs. The even split
// is the frame's place unless the hinge side is plumb and the space small: then all of it
// may go on the strike side, and a note says so when the casing there still finds the stud.
func (l *layout) shims() {
	if l.plumb == nil || l.frame == nil {
		return
	}
	if l.u.JambThickness == 0 {
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
		l.find(f("shim_one_side", finding.Note).Len("lean", l.hingeWander))
	}
}

// boardReturns compares an opening with no jambs with what its slabs ask for.
func (l *layout) boardReturns() {
	spare := l.name("slab_spare", derive.Sum(bySheet, computed("plumb_width", l.plumb), minusComputed("inside", l.inside)))
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

// heights places floor, header and head above the datum.
func (l *layout) heights() {
	r, ru := &l.r, &l.ru
	toCome := length.Length(0)
	if r.FloorToCome != nil {
		toCome = *r.FloorToCome
	}
	finished := func(value, name string, h *length.Length) *derive.Value {
		if h == nil {
			return nil
		}
		terms := []derive.Term{reading(name, *h)}
		if r.FloorToCome != nil {
			terms = append(terms, minusReading("floor_to_come", toCome))
		}
		return l.name(value, derive.Sum(byPractice, terms...))
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
	if l.u.JambThickness == 0 && l.u.sliding() {
		allowance = 0 // board returns: the header is the finished head
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
		terms := []derive.Term{computed("inside", l.inside)}
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
			strip("extension_head", derive.Sum(byPractice, computed("inside", l.inside),
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
