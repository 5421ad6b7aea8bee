package drawing

import (
	"strconv"
	"strings"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Bands and steps of the cuts' sheet, in pixels of a phone.
const (
	columnStep = 21 // between two upright pieces
	rowStep    = 40 // between two lying pieces: a value and its line
	cutsEdge   = 10
	leastStick = 3 // a piece is never drawn thinner
)

// cutsSheet lays pieces out about the opening they belong to.
type cutsSheet struct {
	sheet
	count    [plinth + 1]int
	foot     int // y of the datum
	half     [2]int
	row      [2]int // y of the next row above, below
	tallest  int
	floor    [2]int
	slabFoot int
	lastRow  [4]int    // left, right, outer and inner edge of the last lying piece
	legX     [2][2]int // middle of the casing leg by face and side
	midX     int
}

// Cuts draws the pieces to cut where they belong, pulled apart, each with its length as a
// dimension, its end's miter and its marks. Everything on it is to scale. It takes any
// scene; with no cuts it is an empty sheet.
func Cuts(s Scene) Drawing {
	b := cutsSheet{sheet: newSheet(&s, 4+4*len(s.Cuts.Cuts), 10+10*len(s.Cuts.Cuts))}
	b.floor, b.slabFoot = s.floors()
	b.layOut()
	for i := range s.Cuts.Cuts {
		c, mark := s.piece(i)
		b.put(c, mark)
	}
	return b.done(s.cutsTitle())
}

// floors are the finished floor below the datum at both sides, and the slab's foot over it.
func (s *Scene) floors() (sides [2]int, slabFoot int) {
	var gap, swing length.Length
	for i := range s.Cuts.Values {
		v := &s.Cuts.Values[i]
		switch v.Name {
		case "floor_hinge":
			sides[0] = tenths(v.Value.Length, -6*length.Inch, 0)
		case "floor_strike":
			sides[1] = tenths(v.Value.Length, -6*length.Inch, 0)
		case "bottom_gap_actual":
			gap = v.Value.Length
		case "floor_in_swing":
			swing = v.Value.Length
		}
	}
	if swing == 0 && s.Values.FloorHighest != nil {
		swing = *s.Values.FloorHighest
	}
	return sides, tenths(gap, 0, 6*length.Foot) + tenths(swing, 0, 6*length.Inch)
}

// layOut finds the scale at which every piece finds its place on a phone.
func (b *cutsSheet) layOut() {
	s := b.s
	var wides [plinth + 1]int
	lying, blocks, ends := 0, 0, 16
	for i := range s.Cuts.Cuts {
		c := &s.Cuts.Cuts[i]
		z, long := zoneOf(c.Piece), tenths(c.Value.Length, 0, mostDrawn)
		b.count[z]++
		switch z {
		case above, below:
			lying = max(lying, long)
			if endMiter(c, 0) > 0 || endMiter(c, 1) > 0 {
				ends = 68 // the angles stand beside the ends
			}
		case blockAbove, blockBelow:
			blocks, ends = max(blocks, 2*long), 68
		case middle:
			wides[z] = s.faceWidth(c)
			b.tallest = max(b.tallest, long+b.slabFoot)
		case plinth:
			b.tallest = max(b.tallest, long)
		default:
			wides[z] += s.faceWidth(c)
			b.tallest = max(b.tallest, long+b.floor[0]+b.floor[1])
		}
	}
	slabs := 0
	if b.count[middle] > 0 {
		slabs = max(1, wides[middle])
	}
	columns := max(b.count[hingeSide], b.count[strikeSide])
	rows, rowsBelow := b.count[above], b.count[below]
	if b.count[blockBelow] > 0 && rowsBelow == 0 {
		rowsBelow = 1
	}
	beside := max(wides[hingeSide], wides[strikeSide])
	across := phoneWide - 2*cutsEdge - 2*columns*columnStep - 24
	px := func(units, pixels int) int { return (units + pixels - 1) / max(1, pixels) }
	tall := phoneTall - (rows+rowsBelow)*(rowStep+8) - 40
	b.px = max(1, px(slabs+2*beside, across), px(b.tallest, tall), px(lying+blocks, phoneWide-2*ends))
	if slabs == 0 {
		slabs = max(b.at(across)-2*beside, b.at(60))
		slabs = min(slabs, b.at(150))
	}
	b.width = b.at(phoneWide)
	b.midX = b.width / 2
	b.half = [2]int{slabs/2 + b.at(12), slabs/2 + b.at(12)}
	thick := 0
	for i := range s.Cuts.Cuts {
		if c := &s.Cuts.Cuts[i]; zoneOf(c.Piece) == above {
			wide := max(s.faceWidth(c), b.at(leastStick))
			thick += wide + b.rowAfter(wide)
		}
	}
	top := b.at(14) + thick
	b.foot = top + b.tallest + b.at(4)
	b.row = [2]int{top - b.at(16), b.foot - min(b.floor[0], b.floor[1]) + b.at(28)}
	b.height = b.row[1] + b.at(12)
	for i := range s.Cuts.Cuts {
		if c := &s.Cuts.Cuts[i]; zoneOf(c.Piece) == below {
			wide := max(s.faceWidth(c), b.at(leastStick))
			b.height += wide + b.rowAfter(wide)
		}
	}
	b.count = [plinth + 1]int{}
}

// rowAfter is the way from a lying piece to the next: one too thin to carry its own line
// needs room for that too.
func (b *cutsSheet) rowAfter(wide int) int {
	if wide < b.at(8) {
		return b.at(rowStep + 14)
	}
	return b.at(rowStep)
}

func (b *cutsSheet) put(c *trim.Cut, mark PieceMark) {
	z, s := zoneOf(c.Piece), b.s
	long, wide := tenths(c.Value.Length, 0, mostDrawn), max(s.faceWidth(c), b.at(leastStick))
	d := Shape{Key: c.Piece, Text: mark.Text, Name: mark.Label, State: mark.State}
	if c.Quantity > 1 {
		d.Text = strconv.Itoa(c.Quantity) + " × " + d.Text
	}
	n := b.count[z]
	b.count[z]++
	switch z {
	case middle:
		b.slab(c, d, long, max(1, s.faceWidth(c)))
	case above, below:
		b.lying(c, d, z, long, wide)
	case hingeSide, strikeSide:
		b.upright(c, d, z, n, long, wide)
	case blockAbove, blockBelow, plinth:
		b.small(c, d, z, long, wide)
	}
}

func (b *cutsSheet) slab(c *trim.Cut, d Shape, long, wide int) {
	x0, foot := b.midX-wide/2, b.foot-b.slabFoot
	b.box("slab", d.Name, x0, foot-long, x0+wide, foot)
	for i := range c.Marks {
		if down := tenths(c.Marks[i].Value.Length, 0, mostDrawn); c.Marks[i].From == "top" && down < long {
			b.line("mark", Point{x0, foot - long + down}, Point{x0 + min(b.at(12), wide), foot - long + down})
		}
	}
	x := x0 + wide/2
	d.Along = 30
	b.dim(d, Point{x, foot}, Point{x, foot - long}, 0)
}

// upright stands a leg in its column, the next one farther out, the values of neighboring
// columns at different heights.
func (b *cutsSheet) upright(c *trim.Cut, d Shape, z zone, n, long, wide int) {
	side, out := 0, -1
	if z == strikeSide {
		side, out = 1, 1
	}
	inner := b.midX + out*b.half[side]
	outer := inner + out*wide
	b.half[side] += wide + b.at(columnStep)
	foot := b.foot - b.floor[side] - b.s.plinthOf(c.Piece)
	top := foot - long
	innerTop := top
	miter := endMiter(c, 1)
	if miter > 0 {
		innerTop = min(foot, top+int(float64(wide)*tan(miter)))
	}
	innerFoot := foot
	if m := endMiter(c, 0); m > 0 {
		innerFoot = max(innerTop, foot-int(float64(wide)*tan(m)))
	}
	b.polygon(roleOf(c.Profile), d.Name, Point{inner, innerFoot}, Point{inner, innerTop}, Point{outer, top}, Point{outer, foot})
	for i := range c.Marks {
		m := &c.Marks[i]
		at := tenths(m.Value.Length, 0, mostDrawn)
		if at >= long || m.From != "top" && m.From != "foot" {
			continue
		}
		y := top + at
		if m.From == "foot" {
			continue // cut off below the foot: it is no longer on the piece
		}
		b.line("mark", Point{inner - out*b.at(3), y}, Point{outer + out*b.at(3), y})
	}
	d.Along = 62 - 16*n
	if side == 1 {
		d.Along = 54 - 16*n
	}
	d.Along = max(8, d.Along)
	x := (inner + outer) / 2
	if wide < b.at(8) {
		x = outer + out*b.at(8) // too thin to carry its own line
	}
	b.dim(d, Point{x, foot}, Point{x, top}, 0)
	if face := faceOf(c.Piece); face != "" {
		b.legX[faceIndex(face)][side] = (inner + outer) / 2
		b.label(face, (inner+outer)/2, b.foot-b.floor[side]+b.at(12), "middle")
	}
}

// lying puts a head or a sill in its row, with its end miters and set-back marks.
func (b *cutsSheet) lying(c *trim.Cut, d Shape, z zone, long, wide int) {
	l, r := b.midX-long/2, b.midX-long/2+long
	var y0, y1, line int // outer and inner edge, dimension line
	if z == above {
		y1 = b.row[0]
		y0 = y1 - wide
		b.row[0] = y0 - b.rowAfter(wide)
	} else {
		y1 = b.row[1]
		y0 = y1 + wide
		b.row[1] = y0 + b.rowAfter(wide)
	}
	line = (y0 + y1) / 2
	if wide < b.at(8) {
		line = y0 - b.at(17) // too thin to carry its own line
		if z == below {
			line = y0 + b.at(17)
		}
	}
	b.lastRow = [4]int{l, r, y0, y1}
	ml, mr := endMiter(c, 0), endMiter(c, 1)
	swapped := b.swapped(c.Piece)
	if swapped {
		ml, mr = mr, ml
	}
	il := l + min(long/2, int(float64(wide)*tan(ml)))
	ir := r - min(long/2, int(float64(wide)*tan(mr)))
	b.polygon(roleOf(c.Profile), d.Name, Point{l, y0}, Point{r, y0}, Point{ir, y1}, Point{il, y1})
	for i := range c.Marks {
		b.setBack(&c.Marks[i], swapped, l, r, y0, y1)
	}
	b.dim(d, Point{l, line}, Point{r, line}, 0)
	mid := (y0 + y1) / 2
	words := [2]string{faceOf(c.Piece), ""}
	if ml > 0 {
		words[0] = strings.TrimPrefix(words[0]+" "+b.miterMark(ml, c.Piece, Point{il, y0}, Point{il, y1}, Point{l, y0}), " ")
	}
	if mr > 0 {
		words[1] = b.miterMark(mr, c.Piece, Point{ir, y0}, Point{ir, y1}, Point{r, y0})
	}
	if words[0] != "" && ml > 0 {
		b.label(words[0], l-b.at(8), mid, "end")
	} else if words[0] != "" {
		b.label(words[0], b.at(4), mid, "start")
	}
	if words[1] != "" {
		b.label(words[1], r+b.at(8), mid, "start")
	}
}

// swapped reports whether a lying piece's left end, as its own face is seen, is the strike
// side's. The sheet is laid out with the hinge side on the left.
func (b *cutsSheet) swapped(piece string) bool {
	return (b.s.Unit.HingeOn == "right") != (faceOf(piece) == "B")
}

func (b *cutsSheet) setBack(m *trim.Mark, swapped bool, l, r, y0, y1 int) {
	at := tenths(m.Value.Length, 0, mostDrawn)
	if at > r-l {
		return
	}
	left, right := m.From == "left" || m.From == "each_end", m.From == "right" || m.From == "each_end"
	if swapped && m.From != "each_end" {
		left, right = right, left
	}
	if left {
		b.line("mark", Point{l + at, min(y0, y1) - b.at(3)}, Point{l + at, max(y0, y1) + b.at(3)})
	}
	if right {
		b.line("mark", Point{r - at, min(y0, y1) - b.at(3)}, Point{r - at, max(y0, y1) + b.at(3)})
	}
}

// small puts a block at the end of the head laid before it, or a plinth under its leg.
func (b *cutsSheet) small(c *trim.Cut, d Shape, z zone, long, wide int) {
	side, out := 0, -1
	if strings.HasSuffix(c.Piece, "_strike") {
		side, out = 1, 1
	}
	role := roleOf(c.Profile)
	if z == plinth {
		x, y := b.legX[faceIndex(faceOf(c.Piece))][side], b.foot-b.floor[side]
		b.box(role, d.Name, x-wide/2, y-long, x+wide/2, y)
		b.dim(d, Point{x, y}, Point{x, y - long}, 0)
		return
	}
	x := b.lastRow[side] + out*b.at(10)
	mid := (b.lastRow[2] + b.lastRow[3]) / 2
	if b.lastRow == [4]int{} {
		x, mid = b.midX+out*b.at(60), b.at(24)
	}
	b.box(role, d.Name, x, mid-long/2, x+out*wide, mid+long/2)
	b.dim(d, Point{x, mid}, Point{x + out*wide, mid}, 0)
}

// miterMark shows the saw's angle at a piece's end, between square and the cut, and returns
// its value, which stands beside the end.
func (b *cutsSheet) miterMark(degrees float64, piece string, square, corner, cut Point) string {
	text := degreesText(degrees)
	b.angle(Shape{Name: b.s.term(trim.TermFor(b.s.Unit, piece)) + ", " + b.s.term("miter") + " " + text}, square, corner, cut)
	return text
}

func (s *Scene) cutsTitle() string {
	out := s.Name
	if out == "" {
		out = s.term(string(s.Unit.Kind))
	}
	open := 0
	for i := range s.Cuts.Cuts {
		if _, m := s.piece(i); m.State == "computed" || m.State == "stale" {
			open++
		}
	}
	return out + ", " + s.term("drawn_cuts_of") + ". " + s.term("drawn_pieces") + ": " + strconv.Itoa(len(s.Cuts.Cuts)) +
		", " + s.term("drawn_to_cut") + ": " + strconv.Itoa(open) + "."
}
