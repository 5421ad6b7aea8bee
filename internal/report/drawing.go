package report

import (
	"math"

	"codeberg.org/go-pdf/fpdf"

	"longpoint/internal/drawing"
	"longpoint/internal/joblog"
)

// The drawing on paper is the phone's own display list: pencil on white. Roles set the line;
// nothing is told by gray alone.
type stroke struct {
	wide float64 // mm
	gray int
	dash []float64
	fill int // gray, or none
}

const none = -1

func strokeOf(role string) stroke {
	switch role {
	case "slab":
		return stroke{0.5, 0, nil, 255}
	case "jamb", "head", "casing":
		return stroke{0.3, 0, nil, 255}
	case "stud", "header":
		return stroke{0.25, 110, nil, 244}
	case "wall":
		return stroke{0.3, 60, nil, 236}
	case "floor":
		return stroke{0.6, 0, nil, none}
	case "stop":
		return stroke{0.15, 90, []float64{1, 0.8}, none}
	case "plumb", "level", "closing":
		return stroke{0.15, 110, []float64{2, 1}, none}
	case "gap":
		return stroke{0.1, 150, nil, none}
	case "hatch":
		return stroke{0.1, 120, nil, none}
	case "mark":
		return stroke{0.5, 0, nil, none}
	}
	return stroke{0.25, 40, nil, none}
}

const (
	drawnText = 7.5 // pt
	drawnHigh = 2.9 // mm a line of it takes
)

// sheet is where a drawing stands on a page, and its scale.
type sheet struct {
	*Page
	x, y, scale float64
}

func (s sheet) at(p drawing.Point) (x, y float64) {
	return s.x + float64(p[0])*s.scale, s.y + float64(p[1])*s.scale
}

// Drawing draws a display list into a box, in its own proportions, and says how tall it came.
// A spot in thousandths of it is marked where one is given.
func (p *Page) Drawing(d drawing.Drawing, x, y, wide, tall float64, spot *joblog.Spot) float64 {
	if d.Width <= 0 || d.Height <= 0 {
		return 0
	}
	s := sheet{p, x, y, min(wide/float64(d.Width), tall/float64(d.Height))}
	s.x += (wide - float64(d.Width)*s.scale) / 2
	for _, kind := range []string{"polygon", "polyline", "angle", "dim", "label", "spot"} {
		for i := range d.Shapes {
			if d.Shapes[i].Kind == kind {
				s.shape(&d.Shapes[i])
			}
		}
	}
	p.pdf.SetDashPattern(nil, 0)
	p.pdf.SetDrawColor(0, 0, 0)
	high := float64(d.Height) * s.scale
	if spot != nil {
		p.target(s.x+float64(d.Width)*s.scale*float64(spot.X)/1000, y+high*float64(spot.Y)/1000)
	}
	return high
}

// target is the mark of a place: a ring and a cross, white about it so that it is seen on a photo.
func (p *Page) target(x, y float64) {
	for _, l := range []struct {
		wide float64
		gray int
	}{{1.4, 255}, {0.6, 0}} {
		p.pdf.SetLineWidth(l.wide)
		p.pdf.SetDrawColor(l.gray, l.gray, l.gray)
		p.pdf.Circle(x, y, 2.6, "D")
		for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			p.pdf.Line(x+1.4*d[0], y+1.4*d[1], x+3.8*d[0], y+3.8*d[1])
		}
	}
	p.pdf.SetDrawColor(0, 0, 0)
}

func (s sheet) shape(h *drawing.Shape) {
	switch h.Kind {
	case "polygon", "polyline":
		s.outline(h)
	case "dim":
		s.dim(h)
	case "angle":
		s.angle(h)
	case "label":
		if len(h.Points) > 0 {
			x, y := s.at(h.Points[0])
			s.words(h.Text, x, y, h.Anchor)
		}
	case "spot":
		s.place(h)
	}
}

func (s sheet) outline(h *drawing.Shape) {
	k := strokeOf(h.Role)
	s.pdf.SetLineWidth(k.wide)
	s.pdf.SetDrawColor(k.gray, k.gray, k.gray)
	s.pdf.SetDashPattern(k.dash, 0)
	if h.Kind == "polygon" {
		points := make([]fpdf.PointType, len(h.Points))
		for i, p := range h.Points {
			points[i].X, points[i].Y = s.at(p)
		}
		style := "D"
		if k.fill != none {
			s.pdf.SetFillColor(k.fill, k.fill, k.fill)
			style = "DF"
		}
		s.pdf.Polygon(points, style)
		return
	}
	for i := 1; i < len(h.Points); i++ {
		x0, y0 := s.at(h.Points[i-1])
		x1, y1 := s.at(h.Points[i])
		s.pdf.Line(x0, y0, x1, y1)
	}
}

// dim is a carpenter's dimension: a thin line, a slash at each end, the value breaking it. A
// reading nobody took is dashed and has no number.
func (s sheet) dim(h *drawing.Shape) {
	if len(h.Points) < 2 || h.Optional && h.Text == "" {
		return
	}
	fx, fy := s.at(h.Points[0])
	tx, ty := s.at(h.Points[1])
	long := math.Hypot(tx-fx, ty-fy)
	if long == 0 {
		return
	}
	dx, dy := (tx-fx)/long, (ty-fy)/long
	off := float64(h.Offset) * s.scale
	ax, ay, bx, by := fx+dy*off, fy-dx*off, tx+dy*off, ty-dx*off
	s.pdf.SetDashPattern(nil, 0)
	s.pdf.SetLineWidth(0.12)
	s.pdf.SetDrawColor(130, 130, 130)
	if math.Abs(off) > 1.5 {
		s.pdf.Line(fx, fy, ax, ay)
		s.pdf.Line(tx, ty, bx, by)
	}
	s.pdf.SetDrawColor(0, 0, 0)
	s.pdf.SetLineWidth(0.18)
	if h.State == "missing" || h.State == "next" {
		s.pdf.SetDashPattern([]float64{1, 0.8}, 0)
	}
	if long < 4 { // too short for its own line: it is seen from outside
		s.pdf.Line(ax-dx*3, ay-dy*3, bx+dx*3, by+dy*3)
	} else {
		s.pdf.Line(ax, ay, bx, by)
	}
	s.pdf.SetDashPattern(nil, 0)
	s.pdf.SetLineWidth(0.4)
	for _, e := range [][2]float64{{ax, ay}, {bx, by}} {
		s.pdf.Line(e[0]-(dx+dy)*0.8, e[1]-(dy-dx)*0.8, e[0]+(dx+dy)*0.8, e[1]+(dy-dx)*0.8)
	}
	along := 50
	if h.Along > 0 {
		along = h.Along
	}
	k := float64(along) / 100
	s.words(h.Text, ax+(bx-ax)*k, ay+(by-ay)*k, "middle")
}

func (s sheet) angle(h *drawing.Shape) {
	if len(h.Points) < 3 {
		return
	}
	ax, ay := s.at(h.Points[0])
	cx, cy := s.at(h.Points[1])
	bx, by := s.at(h.Points[2])
	from, to := math.Atan2(ay-cy, ax-cx), math.Atan2(by-cy, bx-cx)
	turn := math.Mod(to-from+3*math.Pi, 2*math.Pi) - math.Pi
	const far = 5.0
	s.pdf.SetDashPattern(nil, 0)
	s.pdf.SetLineWidth(0.18)
	s.pdf.SetDrawColor(0, 0, 0)
	const steps = 12
	for i := range steps {
		a, b := from+turn*float64(i)/steps, from+turn*float64(i+1)/steps
		s.pdf.Line(cx+far*math.Cos(a), cy+far*math.Sin(a), cx+far*math.Cos(b), cy+far*math.Sin(b))
	}
	// The value stands under the arc, clear of the stick.
	mid := from + turn/2
	s.words(h.Text, cx+(far+5)*math.Cos(mid), max(cy+(far+3)*math.Sin(mid), max(ay, by)+2), "middle")
}

// words writes on a strip of white, so that no line runs through a number.
func (s sheet) words(text string, x, y float64, anchor string) {
	if text == "" {
		return
	}
	s.pdf.SetFont(family, "B", drawnText)
	w := s.pdf.GetStringWidth(text) + 1
	switch anchor {
	case "start":
	case "end":
		x -= w
	default:
		x -= w / 2
	}
	s.pdf.SetFillColor(255, 255, 255)
	s.pdf.SetXY(x, y-drawnHigh/2)
	s.pdf.CellFormat(w, drawnHigh, text, "", 0, "C", true, 0, "")
}

// place is one item on a plan: its name at its place.
func (s sheet) place(h *drawing.Shape) {
	if len(h.Points) == 0 {
		return
	}
	x, y := s.at(h.Points[0])
	name := h.Text
	if name == "" {
		name = h.Name
	}
	s.pdf.SetFillColor(0, 0, 0)
	s.pdf.Circle(x, y, 0.8, "F")
	s.words(name, x, y+3, "middle")
}
