package drawing

import (
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// casingLayout is where the casing of a face lies on the elevation.
type casingLayout struct {
	style          trim.CasingStyle
	width          [2]int // hinge, strike; ripped where the space asks for it
	head           int    // width of the head piece
	inner          [2]int // the reveal line, x of g
	line           int    // the reveal line at the head, y of g
	overhang, over int    // of a butt head; of a block past the casing
	block, plinth  int
}

// pieceNames are the casing's cuts by face, so that looking one up makes no string.
var pieceNames = [2]struct{ leg, block [2]string }{
	{[2]string{"casing_a_leg_hinge", "casing_a_leg_strike"}, [2]string{"casing_a_block_hinge", "casing_a_block_strike"}},
	{[2]string{"casing_b_leg_hinge", "casing_b_leg_strike"}, [2]string{"casing_b_block_hinge", "casing_b_block_strike"}},
}

func (e *elevation) casingLayout() (casingLayout, bool) {
	c := e.s.casing()
	if c == nil {
		return casingLayout{}, false
	}
	g := &e.g
	size := func(l length.Length, most length.Length) int { return tenths(l, 0, most) }
	full := max(inch/2, size(c.Width, 14*length.Inch))
	l := casingLayout{style: c.Style, head: full, width: [2]int{full, full}, plinth: size(c.PlinthHeight, 24*length.Inch)}
	names := &pieceNames[0]
	if e.s.Face == trim.FaceB {
		names = &pieceNames[1]
	}
	for side, name := range names.leg {
		if cut := e.s.cut(name); cut != nil && cut.Width != nil {
			l.width[side] = max(1, min(full, size(cut.Width.Length, 14*length.Inch)))
		}
	}
	// The reveal is shown by a line on the jamb's edge, never past its middle.
	reveal := min(8*size(e.s.Rules.Reveal, length.Inch), g.jamb*2/5)
	l.inner = [2]int{g.inside[0] - reveal, g.inside[1] + reveal}
	l.line = g.headUnder + reveal
	switch c.Style {
	case trim.ButtHead:
		l.overhang = size(c.Overhang, 6*length.Inch)
	case trim.CornerBlocks:
		l.block = max(full, size(c.Block, 16*length.Inch))
		l.over = (l.block - full) / 2
	}
	return l, true
}

// casingReach is the most a face's trim can stand past the opening.
func (s *Scene) casingReach() int {
	c := s.casing()
	if c == nil {
		return 0
	}
	size := func(l length.Length, most length.Length) int { return tenths(l, 0, most) }
	full := max(inch/2, size(c.Width, 14*length.Inch))
	past := full + size(c.Overhang, 6*length.Inch) + size(s.Unit.Horn, 12*length.Inch)
	if c.Style == trim.CornerBlocks {
		past = max(past, size(c.Block, 16*length.Inch))
	}
	return past
}

// casing outlines the face's casing on its reveal line, over what it will cover.
func (e *elevation) casing() {
	l, ok := e.casingLayout()
	if !ok {
		return
	}
	line := e.y(l.line)
	head := line - l.head
	in := [2]int{e.x(l.inner[0]), e.x(l.inner[1])}
	out := [2]int{in[0] - l.width[0], in[1] + l.width[1]}
	foot := [2]int{e.y(e.g.floor[0]), e.y(e.g.floor[1])}
	switch l.style {
	case trim.Mitered:
		e.line("casing", Point{out[0], foot[0]}, Point{out[0], head}, Point{out[1], head}, Point{out[1], foot[1]})
		e.line("casing", Point{in[0], foot[0]}, Point{in[0], line}, Point{in[1], line}, Point{in[1], foot[1]})
		e.line("casing", Point{in[0], line}, Point{out[0], head})
		e.line("casing", Point{in[1], line}, Point{out[1], head})
	case trim.CornerBlocks:
		for side, to := range [2]int{-1, 1} {
			e.leg(out[side], in[side], foot[side], line-l.over, l.plinth)
			near, far := in[side]-to*l.over, out[side]+to*l.over
			e.outline("casing", near, head-l.over, far, line+l.over)
		}
		e.line("casing", Point{in[0] + l.over, head}, Point{in[1] - l.over, head})
		e.line("casing", Point{in[0] + l.over, line}, Point{in[1] - l.over, line})
	default:
		e.leg(out[0], in[0], foot[0], line, 0)
		e.leg(out[1], in[1], foot[1], line, 0)
		e.outline("casing", out[0]-l.overhang, head, out[1]+l.overhang, line)
	}
}

// leg outlines a casing leg from floor to top, on its plinth if it has one.
func (e *elevation) leg(outer, inner, foot, top, plinth int) {
	e.line("casing", Point{outer, foot}, Point{outer, top}, Point{inner, top}, Point{inner, foot})
	if plinth > 0 && foot-plinth > top {
		e.line("casing", Point{outer, foot - plinth}, Point{inner, foot - plinth})
	}
}
