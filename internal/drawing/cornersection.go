package drawing

import (
	"math"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// A corner's section takes so much of a phone.
const (
	cornerArm   = 150 // of each piece
	cornerStock = 40  // its thickness, about
	cornerWall  = 14
)

// Corner draws the corner after a wall as a section seen from above, the room below: the
// two walls, the two pieces and how they meet, true in every proportion. It is an empty
// sheet where the run has no joint.
func Corner(s RoomScene, after int) Drawing {
	if s.Run != nil {
		for i := range s.Run.Corners {
			if c := &s.Run.Corners[i]; c.After == after {
				return cornerSection(&s, c)
			}
		}
	}
	return Drawing{Title: s.Name, Shapes: []Shape{}}
}

func cornerSection(s *RoomScene, c *trim.Corner) Drawing {
	depth := max(1, tenths(s.Profile.Depth(), 0, 12*length.Inch))
	behind := float64(tenths(s.Profile.StandsOff, 0, 4*length.Inch))
	p := &plan{sheet: sheet{s: &s.Scene, px: max(1, depth/cornerStock)}, rs: s}
	p.thick, p.deep, p.width = float64(depth), float64(p.at(cornerWall)), p.at(phoneWide)
	arm, h := float64(p.at(cornerArm)), c.Angle.Degrees()/2*math.Pi/180
	sin, cos := math.Sincos(h)
	// Facing the corner: the left wall comes up to it, the right one goes away from it.
	low, high := 0.0, 0.0
	for _, y := range [...]float64{arm*cos - p.deep*sin, -p.deep / sin, behind/sin + arm*cos, behind/sin + arm*cos + p.thick*sin, (1.5*p.thick + behind) / sin} {
		low, high = min(low, y), max(high, y)
	}
	top := float64(p.at(30))
	apex := vec{float64(p.width) / 2, top - low}
	p.walls = cornerWalls(apex, arm, sin, cos, c.Angle)
	p.section(behind)
	// The backs' lines meet where the walls' would, stood off.
	backs := vec{apex[0], apex[1] + behind/sin}
	p.walls = cornerWalls(backs, arm, sin, cos, c.Angle)
	end := sawEnd(c)
	p.cornerPieces(c, &end)
	p.height = int(top-low+high) + p.at(8)
	p.cornerWords(c)
	return p.done(p.s.cornerName(c))
}

// cornerWalls are the two walls by their faces, the corner at apex.
func cornerWalls(apex vec, arm, sin, cos float64, c trim.Angle) []wallLine {
	return []wallLine{
		{from: vec{apex[0] - arm*sin, apex[1] + arm*cos}, to: apex, dir: vec{sin, -cos}, long: arm, angle: c},
		{from: apex, to: vec{apex[0] + arm*sin, apex[1] + arm*cos}, dir: vec{sin, cos}, long: arm, angle: c},
	}
}

// section draws the walls and what is behind the stock.
func (p *plan) section(behind float64) {
	l, r := &p.walls[0], &p.walls[1]
	a := l.dir[0]*r.dir[0] + l.dir[1]*r.dir[1]
	meet := func(out float64) Point {
		k := out / max(0.1, 1+a)
		return Point{int(math.Round(l.to[0] + k*(l.dir[1]+r.dir[1]))), int(math.Round(l.to[1] - k*(l.dir[0]+r.dir[0])))}
	}
	p.polygon("wall", p.s.term("wall"), l.at(0, 0), meet(0), r.at(r.long, 0), r.at(r.long, p.deep), meet(p.deep), l.at(0, p.deep))
	if behind > 0 {
		p.polygon("jamb", p.s.term("drawn_behind"), l.at(0, 0), meet(0), r.at(r.long, 0), r.at(r.long, -behind), meet(-behind), l.at(0, -behind))
	}
}

// sawEnd is the mitered or coped end as the saw is set for it.
func sawEnd(c *trim.Corner) trim.End {
	return trim.End{Miter: c.Saw.Miter.Want, Bevel: c.Saw.Bevel.Want}
}

// cornerPieces draws both pieces, the angle of the end that is not square, and what the
// joint takes off or adds.
func (p *plan) cornerPieces(c *trim.Corner, end *trim.End) {
	second := 0
	if c.Right == trim.Cope || c.Right == trim.ButtSecond {
		second = 1
	}
	for side, j := range [2]trim.Joint{c.Left, c.Right} {
		if j == "" {
			continue
		}
		w := &p.walls[side]
		off, beyond := p.jointDrawn(j, c.Angle, end)
		at := func(x, out float64) Point { // x from the corner, away from it
			if side == 0 {
				return w.at(w.long-x, out)
			}
			return w.at(x, out)
		}
		back, face := off, off-beyond
		pts := []Point{at(w.long, 0), at(back, 0)}
		if j == trim.Cope {
			for _, k := range copeCurve {
				pts = append(pts, at(back+(face-back)*k[0]-k[1]*p.thick, -p.thick*k[0]))
			}
		}
		pts = append(pts, at(face, -p.thick), at(w.long, -p.thick))
		p.polygon("casing", p.s.term([2]string{"left", "right"}[side])+": "+p.s.term(string(j)), pts...)
		if c.Left != "" && c.Right != "" {
			mark := "1"
			if side == second {
				mark = "2"
			}
			if c.Left != trim.MiterInside && c.Left != trim.MiterOutside && c.Left != trim.Straight {
				l := at(w.long*0.62, -p.thick/2)
				p.label(mark, l[0], l[1], "middle")
			}
		}
		if side != second && !(c.Left == "" || c.Right == "") {
			continue
		}
		p.cornerAngle(j, end, at)
		p.cornerOff(c, j, at, back, face)
	}
	w := &p.walls[0]
	p.dim(Shape{Text: p.s.print(p.rs.Profile.Depth()), Name: p.s.term("drawn_thick"), State: "computed"},
		w.at(w.long*0.14, 0), w.at(w.long*0.14, -p.thick), 0)
}

// cornerAngle is the saw's angle at the end, from square; of a cope the miter it starts from.
func (p *plan) cornerAngle(j trim.Joint, end *trim.End, at func(x, out float64) Point) {
	switch j {
	case trim.Cope, trim.MiterInside, trim.MiterOutside, trim.ButtSecond, trim.Return:
	default:
		return
	}
	if end.Miter == 0 {
		return
	}
	off, beyond := p.jointDrawn(j, p.walls[0].angle, end)
	if j == trim.Cope {
		off, beyond = 0, -p.thick/tan(p.walls[0].angle.Degrees()/2)
		p.line("stop", at(off, 0), at(off-beyond, -p.thick))
	}
	text := degreesText(end.Miter)
	p.angle(Shape{Text: text, Name: p.s.term("miter") + " " + text}, at(off, -p.thick), at(off, 0), at(off-beyond, -p.thick))
}

// cornerOff dimensions what the joint takes off the back, or the face is longer or shorter.
func (p *plan) cornerOff(c *trim.Corner, j trim.Joint, at func(x, out float64) Point, back, face float64) {
	for i := range c.Allowances {
		a := &c.Allowances[i]
		d := Shape{Text: p.s.print(a.Value.Length.Abs()), Name: p.s.term(a.Name), State: "computed"}
		switch {
		case a.Name == "first_piece_in_corner":
			p.dim(d, at(0, 0), at(back, 0), 0)
			p.shapes[len(p.shapes)-1].Points = p.keep([]Point{at(0, p.deep), at(back, p.deep)})
		case (a.Name == "face_shorter" || a.Name == "face_longer") && j != trim.ButtSecond:
			from := back
			if j == trim.Cope {
				from, face = 0, p.thick/tan(c.Angle.Degrees()/2)
			}
			p.dim(d, at(from, -p.thick*1.3), at(face, -p.thick*1.3), 0)
		}
	}
}

// cornerWords say each piece and its joint under the section.
func (p *plan) cornerWords(c *trim.Corner) {
	for side, j := range [2]trim.Joint{c.Left, c.Right} {
		if j == "" {
			continue
		}
		p.height += p.at(24)
		p.label(p.s.term([2]string{"left", "right"}[side])+": "+p.s.term(string(j)), p.width/2, p.height-p.at(6), "middle")
	}
	p.height += p.at(10)
}
