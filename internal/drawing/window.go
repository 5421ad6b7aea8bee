package drawing

import (
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// window draws a set window from inside: its jambs, its trim, and what stands below.
func (e *elevation) window() {
	g, s := &e.g, e.s
	e.neighbors()
	l, r := e.x(0), e.x(g.reach())
	in := [2]int{e.x(g.inside[0]), e.x(g.inside[1])}
	top, under, foot := e.y(g.headTop), e.y(g.headUnder), e.y(0)
	e.polygon("jamb", s.term(trim.TermFor(s.Unit, "side_hinge")), Point{l, foot}, Point{l, top},
		Point{e.x(g.left[2]), e.y(g.header[0])}, Point{e.x(g.left[0]), foot})
	e.polygon("jamb", s.term(trim.TermFor(s.Unit, "side_strike")), Point{r, foot}, Point{r, top},
		Point{e.x(g.right[2]), e.y(g.header[1])}, Point{e.x(g.right[0]), foot})
	e.polygon("head", s.term("head"), Point{l, top}, Point{r, top}, Point{e.x(g.right[2]), e.y(g.header[1])}, Point{e.x(g.left[2]), e.y(g.header[0])})
	// The sash is not ours: a light line shows where the glass is.
	inset := min(2*inch, (in[1]-in[0])/8, (foot-under)/8)
	e.outline("stop", in[0]+inset, under+inset, in[1]-inset, foot-inset)

	if s.Unit.Surround == trim.StoolApron {
		e.stool()
	} else {
		e.box("jamb", s.term("drawn_sill"), l, foot, r, foot+g.jamb)
	}
	e.windowCasing()
}

// stool draws the stool with its horns and the apron under it.
func (e *elevation) stool() {
	c := e.s.casing()
	width := 2 * inch
	if c != nil {
		width = max(inch/2, tenths(c.Width, 0, 14*length.Inch))
	}
	horn := tenths(e.s.Unit.Horn, 0, 12*length.Inch)
	reveal := min(8*tenths(e.s.Rules.Reveal, 0, length.Inch), e.g.jamb*2/5)
	out := [2]int{e.x(e.g.inside[0]) - reveal - width, e.x(e.g.inside[1]) + reveal + width}
	foot, thick := e.y(0), inch
	e.box("casing", e.s.term("stool"), max(0, out[0]-horn), foot, min(e.width, out[1]+horn), foot+thick)
	e.box("casing", e.s.term("apron"), max(0, out[0]), foot+thick, min(e.width, out[1]), foot+thick+width)
}

// windowCasing outlines the casing: over the legs and, of a picture frame, under them.
func (e *elevation) windowCasing() {
	l, ok := e.casingLayout()
	if !ok {
		return
	}
	e.casing()
	if e.s.Unit.Surround == trim.StoolApron {
		return
	}
	foot := e.y(0)
	reveal := e.g.inside[0] - l.inner[0]
	line := foot + reveal
	in := [2]int{e.x(l.inner[0]), e.x(l.inner[1])}
	out := [2]int{in[0] - l.width[0], in[1] + l.width[1]}
	switch l.style {
	case trim.Mitered:
		e.line("casing", Point{out[0], foot}, Point{out[0], line + l.head}, Point{out[1], line + l.head}, Point{out[1], foot})
		e.line("casing", Point{in[0], foot}, Point{in[0], line}, Point{in[1], line}, Point{in[1], foot})
		e.line("casing", Point{in[0], line}, Point{out[0], line + l.head})
		e.line("casing", Point{in[1], line}, Point{out[1], line + l.head})
	case trim.CornerBlocks:
		for side, to := range [2]int{-1, 1} {
			e.outline("casing", in[side]-to*l.over, line-l.over, out[side]+to*l.over, line+l.head+l.over)
		}
		e.line("casing", Point{in[0] + l.over, line}, Point{in[1] - l.over, line})
		e.line("casing", Point{in[0] + l.over, line + l.head}, Point{in[1] - l.over, line + l.head})
	default:
		e.outline("casing", out[0]-l.overhang, line, out[1]+l.overhang, line+l.head)
	}
}

// depth stands beside the window's corner it is read at; it is read into the paper.
func (e *elevation) depth(d Shape) {
	g := &e.g
	from, to := e.x(g.left[0])-e.at(20), e.at(3)
	if d.Key == "depth_top_strike" || d.Key == "depth_bottom_strike" {
		from, to = e.x(g.right[0])+e.at(20), e.width-e.at(3)
	}
	off := min(e.at(26), g.header[0]/4)
	row := e.y(off)
	if d.Key == "depth_top_hinge" || d.Key == "depth_top_strike" {
		row = e.y(g.header[0] - off)
	}
	e.dim(d, Point{from, row}, Point{to, row}, 0)
}
