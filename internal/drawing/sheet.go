package drawing

// A drawing is laid out for a phone 390 px wide, of which the picture takes 362, and for
// 612 px of height where it can be had. There one value is about 50 by 30 px. Larger
// screens and paper only give it more room.
const (
	phoneWide = 362
	phoneTall = 612
)

// sheet collects shapes. Coordinates are given with the hinge side on the left; a flipped
// sheet mirrors them, and with them the side a dimension line stands on.
type sheet struct {
	s      *Scene
	flip   bool
	px     int // tenths of a millimeter to a phone's pixel
	width  int
	height int
	shapes []Shape
	points []Point // shared by the shapes, to spare an allocation each
}

func newSheet(s *Scene, shapes, points int) sheet {
	return sheet{s: s, flip: s.flipped(), px: 1, shapes: make([]Shape, 0, shapes), points: make([]Point, 0, points)}
}

// at is n pixels of a phone.
func (b *sheet) at(n int) int { return n * b.px }

func (b *sheet) keep(pts []Point) []Point {
	start := len(b.points)
	b.points = append(b.points, pts...)
	kept := b.points[start:len(b.points):len(b.points)]
	for i := range kept {
		if b.flip {
			kept[i][0] = b.width - kept[i][0]
		}
	}
	return kept
}

func (b *sheet) polygon(role, name string, pts ...Point) {
	b.shapes = append(b.shapes, Shape{Kind: "polygon", Role: role, Name: name, Points: b.keep(pts)})
}

func (b *sheet) line(role string, pts ...Point) {
	b.shapes = append(b.shapes, Shape{Kind: "polyline", Role: role, Points: b.keep(pts)})
}

func (b *sheet) box(role, name string, x0, y0, x1, y1 int) {
	b.polygon(role, name, Point{x0, y0}, Point{x1, y0}, Point{x1, y1}, Point{x0, y1})
}

func (b *sheet) outline(role string, x0, y0, x1, y1 int) {
	b.line(role, Point{x0, y0}, Point{x1, y0}, Point{x1, y1}, Point{x0, y1}, Point{x0, y0})
}

func (b *sheet) label(text string, x, y int, anchor string) {
	if b.flip {
		switch anchor {
		case "start":
			anchor = "end"
		case "end":
			anchor = "start"
		}
	}
	b.shapes = append(b.shapes, Shape{Kind: "label", Role: "label", Text: text, Anchor: anchor, Points: b.keep([]Point{{x, y}})})
}

// dim adds a dimension; d carries its key, text, name and state.
func (b *sheet) dim(d Shape, from, to Point, offset int) {
	d.Kind, d.Role, d.Points, d.Offset = "dim", "dim", b.keep([]Point{from, to}), offset
	if b.flip {
		d.Offset = -offset
	}
	b.shapes = append(b.shapes, d)
}

// angle draws the angle at corner between two arms.
func (b *sheet) angle(d Shape, arm, corner, other Point) {
	d.Kind, d.Role, d.Points = "angle", "dim", b.keep([]Point{arm, corner, other})
	b.shapes = append(b.shapes, d)
}

func (b *sheet) done(title string) Drawing {
	return Drawing{Title: title, Width: b.width, Height: b.height, Shapes: b.shapes}
}
