package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// window cuts the trim of a set window: casing on four sides, or legs on a stool with an
// apron under it, and the extension jambs that bring the unit out to the wall. Widths and
// heights are inside the unit's jambs; the stool's top is at the height the heights start
// from. Only face A is trimmed.
func (l *layout) window() {
	r, u := &l.r, &l.u
	l.squareness()
	l.findCorners()
	var top, sill *derive.Value
	if r.WidthTop != nil {
		v := derive.Sum(byPractice, reading("width_top", *r.WidthTop))
		top = &v
	}
	if r.WidthBottom != nil {
		v := derive.Sum(byPractice, reading("width_bottom", *r.WidthBottom))
		sill = &v
	}
	l.extensions()
	c := l.casingA
	if c == nil || u.Surround != PictureFrame && u.Surround != StoolApron {
		return
	}
	box := casingBox{face: FaceA, top: top}
	if u.Surround == PictureFrame {
		box.sill = sill
	}
	down := func(name string, h *length.Length) []derive.Term {
		if h == nil || u.Surround == PictureFrame && sill == nil {
			return nil
		}
		return []derive.Term{reading(name, *h)}
	}
	box.sides[0] = boxSide{side: Hinge, corner: l.cornerHinge, foot: l.footHinge, space: taken("space_a_hinge", r.SpaceAHinge), down: down("height_hinge", r.HeightHinge)}
	box.sides[1] = boxSide{side: Strike, corner: l.cornerStrike, foot: l.footStrike, space: taken("space_a_strike", r.SpaceAStrike), down: down("height_strike", r.HeightStrike)}
	before := len(l.out.Cuts)
	fit, cut := l.caseFace(c, &box)
	if u.Surround == StoolApron && sill != nil && cut && len(l.out.Cuts) > before {
		l.stool(c, sill.Length, fit)
	}
}

// taken is a reading as a value of itself: round a window the jamb already stands, and the
// space is taped from its face.
func taken(name string, v *length.Length) *derive.Value {
	if v == nil {
		return nil
	}
	sum := derive.Sum(byPractice, reading(name, *v))
	return &sum
}

// stool cuts the stool and the apron. The stool runs past the casing by a horn at each end
// and is notched back to the jamb; the apron ends under the casing's outer edges. Both go by the
// legs as ripped.
func (l *layout) stool(c *Casing, inside length.Length, fit [2]legFit) {
	u, r := &l.u, l.ru.Reveal
	apron := []derive.Term{reading("width_bottom", inside), rule("reveal", r), rule("reveal", r),
		widthTerm(c, fit[0]), widthTerm(c, fit[1])}
	stool := append(append(make([]derive.Term, 0, 7), apron...), unitSize("horn", u.Horn), unitSize("horn", u.Horn))
	notch := func(from string, f legFit) Mark {
		return Mark{Name: "notch", From: from, Value: derive.Sum(byPractice, rule("reveal", r), widthTerm(c, f), unitSize("horn", u.Horn))}
	}
	cut := Cut{Piece: "stool", Profile: "stool", Value: derive.Sum(byPractice, stool...), Rounding: length.Nearest, Ends: squareEnds(),
		Marks: l.bothEnds(FaceA, fit, notch)}
	if a, b := l.r.DepthBottomHinge, l.r.DepthBottomStrike; a != nil && b != nil {
		name, depth := "depth_bottom_hinge", *a
		if *b > depth {
			name, depth = "depth_bottom_strike", *b
		}
		w := derive.Sum(byPractice, reading(name, depth), unitSize("casing_thickness", c.Thickness), unitSize("stool_nosing", u.StoolNosing))
		cut.Width = &w
	}
	l.cut(stageCased, cut)
	l.cut(stageCased, Cut{Piece: "apron", Profile: "apron", Value: derive.Sum(byPractice, apron...), Rounding: length.Nearest, Ends: squareEnds()})
	for i, s := range [...]struct {
		name string
		v    *length.Length
	}{{"space_a_hinge", l.r.SpaceAHinge}, {"space_a_strike", l.r.SpaceAStrike}} {
		if need := r + fit[i].width + u.Horn; s.v != nil && *s.v < need {
			l.find(finding.New("stool_meets_wall", finding.Warn).On(stageCased).At("stool").Term("reading", s.name).
				Len("space", *s.v).Len("need", need))
		}
	}
}

// extensions rips the jambs that bring the unit's plane out to the wall's. Legs run the
// full inside height, the head (and a picture frame's sill) caps them. Where the two ends
// of a piece differ by more than the tolerance the rip tapers; else it is ripped parallel
// to the deeper end and eased to suit.
func (l *layout) extensions() {
	r, u := &l.r, &l.u
	type corner struct {
		name string
		v    *length.Length
	}
	topH, topS := corner{"depth_top_hinge", r.DepthTopHinge}, corner{"depth_top_strike", r.DepthTopStrike}
	botH, botS := corner{"depth_bottom_hinge", r.DepthBottomHinge}, corner{"depth_bottom_strike", r.DepthBottomStrike}
	deepest, shallowest := length.Length(0), length.Length(0)
	for _, c := range [...]corner{topH, topS, botH, botS} {
		if c.v != nil {
			deepest, shallowest = max(deepest, *c.v), min(shallowest, *c.v)
			if *c.v < -l.ru.JambWallTolerance {
				l.find(finding.New("unit_proud", finding.Warn).On(stageCased).At(c.name).Term("reading", c.name).Len("proud", -*c.v))
			}
		}
	}
	if deepest <= l.ru.JambWallTolerance || shallowest < -l.ru.JambWallTolerance || u.JambThickness == 0 {
		if deepest > l.ru.JambWallTolerance && u.JambThickness == 0 && !u.ExtensionJambs {
			l.find(finding.New("extension_thickness", finding.Warn).On(stageCased).At("jamb_thickness").Len("depth", deepest))
		}
		return
	}
	rip := func(piece string, terms []derive.Term, near, far corner) {
		if near.v == nil || far.v == nil {
			return
		}
		cut := Cut{Piece: piece, Profile: "extension", Value: derive.Sum(byPractice, terms...), Rounding: length.Down, Ends: squareEnds()}
		a, b := derive.Sum(byPractice, reading(near.name, *near.v)), derive.Sum(byPractice, reading(far.name, *far.v))
		switch {
		case (a.Length - b.Length).Abs() > l.ru.JambWallTolerance:
			// A corner already flush leaves a rip that runs out; a hair is kept to plane.
			if a.Length <= 0 || b.Length <= 0 {
				l.find(finding.New("rip_runs_out", finding.Warn).On(stageCased).At(piece).Term("piece", piece))
				return
			}
			cut.Width, cut.WidthFar = &a, &b
			l.find(finding.New("rip_tapers", finding.Note).On(stageCased).At(piece).Term("piece", piece).Len("near", a.Length).Len("far", b.Length))
		case b.Length > a.Length:
			cut.Width = &b
		default:
			cut.Width = &a
		}
		if cut.Width.Length <= l.ru.JambWallTolerance && cut.WidthFar == nil {
			return
		}
		l.cut(stageCased, cut)
	}
	capTerms := func(name string, v length.Length) []derive.Term {
		return []derive.Term{reading(name, v), unitSize("jamb_thickness", u.JambThickness), unitSize("jamb_thickness", u.JambThickness)}
	}
	if r.HeightHinge != nil {
		rip("extension_leg_hinge", []derive.Term{reading("height_hinge", *r.HeightHinge)}, botH, topH)
	}
	if r.HeightStrike != nil {
		rip("extension_leg_strike", []derive.Term{reading("height_strike", *r.HeightStrike)}, botS, topS)
	}
	left, right := topH, topS
	leftB, rightB := botH, botS
	if !l.hingeOnLeft(FaceA) {
		left, right, leftB, rightB = topS, topH, botS, botH
	}
	if r.WidthTop != nil {
		rip("extension_head", capTerms("width_top", *r.WidthTop), left, right)
	}
	if u.Surround == PictureFrame && r.WidthBottom != nil {
		rip("extension_sill", capTerms("width_bottom", *r.WidthBottom), leftB, rightB)
	}
}
