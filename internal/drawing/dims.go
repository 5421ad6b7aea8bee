package drawing

import (
	"math"
	"strings"

	"longpoint/internal/trim"
)

// readings adds a dimension for every reading, in the order a person walks them. A reading
// the cuts can do without is a short stub at its place while nobody took it.
func (e *elevation) readings() {
	s := e.s
	for i := range s.Readings {
		r := &s.Readings[i]
		d := Shape{Key: r.Spec.Name, Text: r.Text, Name: r.Label, State: r.State}
		missing := r.State == "missing"
		switch {
		case missing:
			d.Text = e.shortName(r)
			d.Name = heard(d.Text, r.Label)
			d.Optional = !r.Spec.Required
			if i == e.next {
				d.State = "next"
			}
		case r.Spec.Signed:
			d.Name = e.directed(r)
		}
		e.place(d, missing)
	}
}

// heard is the name of a dimension whose short text is not part of its label: the text comes
// first, so that a person who speaks what they see is understood (WCAG 2.2, 2.5.3).
func heard(text, label string) string {
	if strings.Contains(label, text) {
		return label
	}
	return text + ": " + label
}

// directed adds the way a signed reading goes to its name.
func (e *elevation) directed(r *ReadingMark) string {
	v := e.s.Values.Get(r.Spec.Name)
	switch {
	case v == nil || *v == 0:
		return r.Label
	case *v > 0:
		return r.Label + ", " + e.s.term(trim.TermFor(e.s.Unit, r.Spec.Positive))
	}
	return r.Label + ", " + e.s.term(trim.TermFor(e.s.Unit, r.Spec.Negative))
}

// shortName is what stands on the dashes of a missing reading: its name, shortened where
// its place says the rest.
func (e *elevation) shortName(r *ReadingMark) string {
	key := ""
	switch r.Spec.Name {
	case "lean_hinge", "lean_strike":
		key = "drawn_lean"
	case "diagonal_rise", "diagonal_fall":
		key = "drawn_diagonal"
	case "floor_strike_up":
		key = "drawn_floor_slope"
	case "layers_a":
		key = "drawn_layers_a"
	case "layers_b":
		key = "drawn_layers_b"
	case "floor_to_come":
		key = "drawn_floor_to_come"
	case "floor_highest":
		key = "drawn_floor_highest"
	case "space_a_hinge", "space_a_strike":
		key = "drawn_space_a"
	case "space_b_hinge", "space_b_strike":
		key = "drawn_space_b"
	case "corner_hinge", "corner_strike", "corner_foot_hinge", "corner_foot_strike":
		key = "drawn_corner"
	case "depth_top_hinge", "depth_top_strike", "depth_bottom_hinge", "depth_bottom_strike":
		key = "drawn_depth"
	default:
		return r.Label
	}
	return e.s.term(key)
}

func (e *elevation) place(d Shape, missing bool) {
	g := &e.g
	sill := g.floor[0]
	tall := max(g.header[0], g.header[1])
	near := min(e.at(32), tall/6)
	switch d.Key {
	case "width_bottom":
		e.across(d, max(sill, g.floor[1])+near)
	case "width_middle":
		e.across(d, tall/2)
	case "width_top":
		if e.s.Values.CornerHinge != nil || e.s.Values.CornerStrike != nil {
			near = min(e.at(78), tall/4) // the angles stand in the corners
		}
		e.across(d, min(g.header[0], g.header[1])-near)
	case "height_hinge":
		e.dim(d, Point{e.x(g.left[0]), e.y(g.floor[0] - g.toCome)}, Point{e.x(g.left[2]), e.y(g.header[0])}, e.at(46))
	case "height_strike":
		e.dim(d, Point{e.x(g.right[0]), e.y(g.floor[1] - g.toCome)}, Point{e.x(g.right[2]), e.y(g.header[1])}, -e.at(46))
	case "floor_strike_up":
		e.slope(d, missing)
	case "lean_hinge":
		e.lean(d, g.left, -1, g.header[0], missing)
	case "lean_strike":
		e.lean(d, g.right, 1, g.header[1], missing)
	case "diagonal_rise":
		e.diagonal(d, Point{e.x(g.left[0]), e.y(g.floor[0] - g.toCome)}, Point{e.x(g.right[2]), e.y(g.header[1])}, missing)
	case "diagonal_fall":
		e.diagonal(d, Point{e.x(g.left[2]), e.y(g.header[0])}, Point{e.x(g.right[0]), e.y(g.floor[1] - g.toCome)}, missing)
	case "wall_build_up":
		w := e.detail()
		e.dim(d, Point{w.left, w.top}, Point{w.right, w.top}, e.at(16))
	case "layers_a", "layers_b":
		e.layers(d, missing)
	case "floor_to_come", "floor_highest":
		e.onFloor(d, missing)
	case "space_a_hinge", "space_a_strike", "space_b_hinge", "space_b_strike":
		e.space(d, missing)
	case "corner_hinge", "corner_strike", "corner_foot_hinge", "corner_foot_strike":
		e.corner(d, missing)
	case "depth_top_hinge", "depth_top_strike", "depth_bottom_hinge", "depth_bottom_strike":
		e.depth(d)
	default:
		e.foot(d)
	}
}

// foot is the place of what has none of its own, under everything.
func (e *elevation) foot(d Shape) {
	y := e.height - e.at(8)
	e.dim(d, Point{e.width/2 - e.at(60), y}, Point{e.width/2 + e.at(60), y}, 0)
}

// across measures from side to side at a height.
func (e *elevation) across(d Shape, y int) {
	e.dim(d, Point{e.x(e.g.leftAt(y)), e.y(y)}, Point{e.x(e.g.rightAt(y)), e.y(y)}, 0)
}

// slope stands beside the low side, between the level line and the floor.
func (e *elevation) slope(d Shape, missing bool) {
	g := &e.g
	if missing {
		y := e.y(0) + g.toCome + e.at(28)
		e.dim(d, Point{e.x(g.left[0]) + e.at(10), y}, Point{e.x(g.right[0]) - e.at(10), y}, 0)
		return
	}
	low, x, offset := g.floor[1], e.x(g.right[0]), e.at(76)
	if g.floor[0] < g.floor[1] {
		low, x, offset = g.floor[0], e.x(g.left[0]), -e.at(76)
	}
	e.dim(d, Point{x, e.datum}, Point{x, max(e.y(low), e.datum+1)}, offset)
}

// lean stands over the header, from the plumb line to where the side's top lies. Its line
// runs outward, so that its value stands clear of the header.
func (e *elevation) lean(d Shape, edge [3]int, out, header int, missing bool) {
	foot, top := e.x(edge[0]), e.x(edge[2])
	if missing {
		e.dim(d, Point{foot, e.at(leanRow)}, Point{foot + out*e.at(64), e.at(leanRow)}, 0)
		return
	}
	up := out * (e.y(header) - e.at(leanRow))
	if out < 0 {
		from := max(foot, top)
		e.dim(d, Point{from, e.y(header)}, Point{min(foot, top, from-1), e.y(header)}, up)
		return
	}
	from := min(foot, top)
	e.dim(d, Point{from, e.y(header)}, Point{max(foot, top, from+1), e.y(header)}, up)
}

// diagonal runs corner to corner with its value past the middle, where the other diagonal
// and the width cross it; missing, it is a piece of the line there.
func (e *elevation) diagonal(d Shape, from, to Point, missing bool) {
	if !missing {
		d.Along = 70
		e.dim(d, from, to, 0)
		return
	}
	on := func(percent int) Point {
		return Point{from[0] + (to[0]-from[0])*percent/100, from[1] + (to[1]-from[1])*percent/100}
	}
	e.dim(d, on(56), on(86), 0)
}

// onFloor stands in the section: the highest floor on the face the slab swings to, the
// floor to come on the other.
func (e *elevation) onFloor(d Shape, missing bool) {
	w := e.detail()
	right := w.swingRight
	if d.Key == "floor_to_come" {
		right = !right
	}
	if missing {
		from, to := e.beside(&w, right)
		y := w.floor - e.at(15)
		e.dim(d, Point{from, y}, Point{to, y}, 0)
		return
	}
	x := w.left / 2
	if right {
		x = e.width - x
	}
	if d.Key == "floor_to_come" {
		e.dim(d, Point{x, w.stands}, Point{x, min(w.floor, w.stands-1)}, 0)
		return
	}
	e.dim(d, Point{x, w.floor}, Point{x, w.floor - max(1, w.swing)}, 0)
}

// layers stand in the section beside the wall's own face, over what the floor says there; a
// window has no section.
func (e *elevation) layers(d Shape, missing bool) {
	if e.s.Unit.Kind == trim.Window {
		e.foot(d)
		return
	}
	w := e.detail()
	a, b := w.layers(&e.s.Values)
	right := d.Key == "layers_b"
	y := w.top + e.at(14)
	switch {
	case missing:
		from, to := e.beside(&w, right)
		e.dim(d, Point{from, y}, Point{to, y}, 0)
	case right:
		e.dim(d, Point{w.right - max(1, b), y}, Point{w.right, y}, 0)
	default:
		e.dim(d, Point{w.left, y}, Point{w.left + max(1, a), y}, 0)
	}
}

// beside is the room for a name on one side of the section's wall.
func (e *elevation) beside(w *detail, right bool) (from, to int) {
	from, to = e.at(4), w.left-e.at(6)
	if right {
		from, to = w.right+e.at(6), e.width-e.at(4)
	}
	if to-from < e.at(30) { // a wall this thick leaves no room beside it
		from, to = from-e.at(15), from+e.at(15)
	}
	return from, to
}

// space runs from the jamb to the next wall beside the opening; where that lies off the
// sheet the line runs to its edge. The face looked at stands over the other.
func (e *elevation) space(d Shape, missing bool) {
	g := &e.g
	strike := d.Key == "space_a_strike" || d.Key == "space_b_strike"
	// Under the name of a height still missing, which takes the middle of its line.
	tall := max(g.header[0], g.header[1])
	down := max(tall*72/100, tall/2+e.at(78))
	if (d.Key[6] == 'b') != (e.s.Face == trim.FaceB) {
		down += max(e.at(24), min(e.at(50), tall-down-e.at(12)))
	}
	y := e.y(tall) + down
	if e.s.Unit.Kind == trim.Window {
		y = e.at(headerTop + 4) // its depths stand below
	}
	from, edge, to := e.x(g.inside[0]), e.x(min(g.left[0], g.left[1], g.left[2])), e.at(3)
	if strike {
		from, edge, to = e.x(g.inside[1]), e.x(max(g.right[0], g.right[1], g.right[2])), e.width-e.at(3)
	}
	if missing {
		d.Along = 50
		e.dim(d, Point{edge, y}, Point{to, y}, 0)
		return
	}
	if v := e.s.Values.Get(d.Key); v != nil {
		if at := tenths(*v, 0, mostDrawn); strike {
			to = min(to, max(from+at, from+1))
		} else {
			to = max(to, min(from-at, from-1))
		}
	}
	d.Along = 62
	e.dim(d, Point{from, y}, Point{to, y}, 0)
}

// neighbors are the next walls of the face looked at, where they stand on the sheet.
func (e *elevation) neighbors() {
	r, g := &e.s.Values, &e.g
	hinge, strike := r.SpaceAHinge, r.SpaceAStrike
	if e.s.Face == trim.FaceB {
		hinge, strike = r.SpaceBHinge, r.SpaceBStrike
	}
	top, foot := e.at(headerTop), e.y(min(g.floor[0], g.floor[1]))
	if hinge != nil {
		if x := e.x(g.inside[0]) - tenths(*hinge, 0, mostDrawn); x > e.at(3) {
			e.box("wall", e.s.term("drawn_next_wall"), 0, top, x, foot)
		}
	}
	if strike != nil {
		if x := e.x(g.inside[1]) + tenths(*strike, 0, mostDrawn); x < e.width-e.at(3) {
			e.box("wall", e.s.term("drawn_next_wall"), x, top, e.width, foot)
		}
	}
}

// corner is the angle at a corner of the frame; missing, a stub at it.
func (e *elevation) corner(d Shape, missing bool) {
	g := &e.g
	x, out := e.x(g.inside[0]), 1
	edge := e.x(g.left[2])
	if d.Key == "corner_strike" || d.Key == "corner_foot_strike" {
		x, out = e.x(g.inside[1]), -1
		edge = e.x(g.right[2])
	}
	y, up := e.y(g.headUnder), 1
	row := e.at(headerTop + 18)
	if e.s.Unit.Kind == trim.Window {
		row = e.at(headerTop) // clear of the casing
	}
	if d.Key == "corner_foot_hinge" || d.Key == "corner_foot_strike" {
		y, up = e.y(g.floor[0]), -1
		row = y + e.at(40)
	}
	if missing {
		wide := min(e.at(78), (e.x(g.right[2])-e.x(g.left[2]))/2-e.at(3))
		e.dim(d, Point{edge + out*e.at(2), row}, Point{edge + out*max(e.at(6), wide), row}, 0)
		return
	}
	degrees := 90.0
	if v := e.s.Values.Get(d.Key); v != nil {
		degrees = max(30, min(trim.Angle(*v).Degrees(), 150))
	}
	arm := e.at(40)
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	e.angle(d, Point{x + out*arm, y}, Point{x, y}, Point{x + out*int(float64(arm)*cos), y + up*int(float64(arm)*sin)})
}
