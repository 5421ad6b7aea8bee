package drawing

import (
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// pieceTall is the least a stick's face takes of a phone, so that its ends can be read.
const pieceTall = 30

// Piece draws one piece lying on the saw: the left end or the foot at the left, its length
// over it, its marks under it, its end angles true. Along its length it is to scale; a
// narrow face is drawn wider than it is. A piece the scene has no cut for is an empty sheet.
func Piece(s Scene, piece string) Drawing {
	for i := range s.Cuts.Cuts {
		if s.Cuts.Cuts[i].Piece == piece {
			return stick(&s, i, &sheet{})
		}
	}
	return Drawing{Title: s.term(piece), Shapes: []Shape{}}
}

// Pieces is Piece for every cut of the scene, in the order of its cuts.
func Pieces(s Scene) []Drawing {
	shapes, points := 0, 0
	for i := range s.Cuts.Cuts {
		n := len(s.Cuts.Cuts[i].Marks)
		shapes += 5 + 3*n
		points += 13 + 6*n
	}
	shared := sheet{shapes: make([]Shape, 0, shapes), points: make([]Point, 0, points)}
	out := make([]Drawing, len(s.Cuts.Cuts))
	for i := range out {
		out[i] = stick(&s, i, &shared)
	}
	return out
}

// stick draws the cut of that number, its shapes after those the shared sheet holds.
func stick(s *Scene, i int, shared *sheet) Drawing {
	c, mark := s.piece(i)
	first := len(shared.shapes)
	// It lies on the saw the same way whichever face it is for: never flipped.
	b := pieceSheet{sheet: sheet{s: s, px: 1, shapes: shared.shapes, points: shared.points}}
	b.draw(c, mark)
	shared.shapes, shared.points = b.shapes, b.points
	title := mark.Label + ": " + mark.Text
	if mark.Rip != "" {
		title += ", " + mark.Rip
	}
	for _, saw := range mark.Saw {
		title += ", " + saw
	}
	d := b.done(title)
	d.Shapes = d.Shapes[first:len(d.Shapes):len(d.Shapes)]
	return d
}

type pieceSheet struct {
	sheet
	rows int // marks laid out so far
}

// stock is how wide the piece lies on the saw table, tenths of a millimeter.
func (s *Scene) stock(c *trim.Cut) int {
	switch {
	case c.Width != nil:
		wide := c.Width.Length
		if c.WidthFar != nil {
			wide = max(wide, c.WidthFar.Length)
		}
		return max(1, tenths(wide, 0, 30*length.Inch))
	case c.Profile == "jamb":
		return max(1, tenths(s.Unit.JambWidth, 0, 30*length.Inch))
	}
	return s.faceWidth(c)
}

func (b *pieceSheet) draw(c *trim.Cut, mark PieceMark) {
	s := b.s
	long, wide := max(1, tenths(c.Value.Length, 0, mostDrawn)), s.stock(c)
	const edge = 16
	b.px = max(1, (long+phoneWide-2*edge-1)/(phoneWide-2*edge))
	b.width = b.at(phoneWide)
	face := min(max(wide, b.at(pieceTall)), b.at(180))
	l := (b.width - long) / 2
	r := l + long
	top := b.at(48)
	foot := top + face

	far := face // the width at the right of a piece that tapers
	if c.WidthFar != nil && c.Width != nil {
		near := tenths(c.Width.Length, 0, 30*length.Inch)
		other := tenths(c.WidthFar.Length, 0, 30*length.Inch)
		if near >= other {
			far = face * other / max(1, near)
		} else {
			far, face = face, face*near/max(1, other)
		}
	}
	ml, mr := endMiter(c, 0), endMiter(c, 1)
	il, ir := l+min(long/2, int(float64(face)*tan(ml))), r-min(long/2, int(float64(far)*tan(mr)))
	b.polygon(roleOf(c.Profile), mark.Label, Point{l, top}, Point{r, top}, Point{ir, top + far}, Point{il, top + face})
	foot = max(foot, top+face, top+far)

	d := Shape{Key: c.Piece, Text: mark.Text, Name: mark.Label, State: mark.State}
	b.dim(d, Point{l, top}, Point{r, top}, b.at(26))
	// The angle lies at the long point, so that its value falls under the stick.
	rows := foot
	if ml > 0 {
		b.angle(Shape{Text: degreesText(ml), Name: s.term("miter") + " " + degreesText(ml)}, Point{l, top + face}, Point{l, top}, Point{il, top + face})
	}
	if mr > 0 {
		b.angle(Shape{Text: degreesText(mr), Name: s.term("miter") + " " + degreesText(mr)}, Point{r, top + far}, Point{r, top}, Point{ir, top + far})
	}
	if ml > 0 || mr > 0 {
		rows += b.at(34)
	}
	for i := range c.Marks {
		b.mark(&c.Marks[i], l, r, top, foot, wide, rows)
	}
	b.height = rows + b.at(22+b.rows*34)
	if upright(c.Piece) {
		b.label(s.term("drawn_foot"), b.at(4), b.height-b.at(6), "start")
		b.label(s.term("drawn_top"), b.width-b.at(4), b.height-b.at(6), "end")
		b.height += b.at(8)
	}
}

// upright reports whether a piece has a foot and a top rather than a left and a right.
func upright(piece string) bool {
	switch zoneOf(piece) {
	case above, below, blockAbove, blockBelow:
		return false
	}
	return true
}

// mark draws one mark and its distance from where it is measured.
func (b *pieceSheet) mark(m *trim.Mark, l, r, top, foot, wide, rows int) {
	at := tenths(m.Value.Length, -mostDrawn, mostDrawn)
	text, name := b.s.print(m.Value.Length), b.s.term(m.Name)
	d := Shape{Text: text, Name: name, State: "computed"}
	over := b.at(5)
	if m.From == "hinge_edge" {
		// Along the piece, at its true share of the stock's width.
		y := top + (foot-top)*max(0, min(at, wide))/max(1, wide)
		b.line("stop", Point{l, y}, Point{r, y})
		x := l + (r-l)*34/100
		b.dim(d, Point{x, top}, Point{x, y}, 0)
		return
	}
	if at < 0 || at > r-l {
		return
	}
	row := func() int { b.rows++; return rows + b.at(20+(b.rows-1)*34) }
	fromLeft := m.From == "left" || m.From == "foot" || m.From == "each_end"
	if m.From == "foot" && m.Name == "leg_trim" {
		return // cut off before the piece is this long; its card says how much
	}
	y := row()
	if fromLeft {
		b.line("mark", Point{l + at, top - over}, Point{l + at, foot + over})
		b.dim(d, Point{l, y}, Point{l + at, y}, 0)
	}
	if !fromLeft || m.From == "each_end" {
		b.line("mark", Point{r - at, top - over}, Point{r - at, foot + over})
		b.dim(d, Point{r, y}, Point{r - at, y}, 0)
	}
}
