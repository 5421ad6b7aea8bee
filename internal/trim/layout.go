package trim

import (
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
	c.Stage = stage
	if c.Quantity == 0 {
		c.Quantity = 1
	}
	for _, v := range [...]*derive.Value{&c.Value, c.Width, c.WidthFar} {
		if v != nil && v.Length <= 0 {
			l.find(finding.New("nothing_left", finding.Stop).On(stage).At(c.Piece).Term("piece", c.Piece).Len("value", v.Length))
			return
		}
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
