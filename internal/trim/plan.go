package trim

import (
	"math"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// Point is a place on the plan, nanometers: x to the right, y down the page, so a room
// walked facing its walls from left to right goes round clockwise on paper as it does seen
// from above.
type Point struct {
	X length.Length `json:"x"`
	Y length.Length `json:"y"`
}

// Plan is the room to scale. Positions are worked in float64 and rounded once: within 1 nm
// of exact arithmetic for 40 walls of 100 ft (measured against 200-bit arithmetic in
// TestPlanPrecision).
type Plan struct {
	Walked       []Point       `json:"walked" doc:"Left end of each wall as read, then where the walk ends"`
	Corners      []Point       `json:"corners" doc:"Left end of each wall with the closing error shared out by wall length, for drawing"`
	Perimeter    derive.Value  `json:"perimeter"`
	ErrorX       length.Length `json:"error_x" doc:"Where the walk ends less where it began"`
	ErrorY       length.Length `json:"error_y"`
	ClosingError derive.Value  `json:"closing_error"`
	Allowed      derive.Value  `json:"allowed" doc:"Closing error the house rules allow"`
	Ratio        int64         `json:"ratio" doc:"Closing error as 1 : ratio of the perimeter; zero when it closes exactly or the walk is open"`
	Closes       bool          `json:"closes" doc:"Within what is allowed; always true of an open walk"`
	Area         int64         `json:"area" doc:"Square millimeters inside the walls, of the drawn corners; zero for an open walk"`
	Column       bool          `json:"column,omitempty" doc:"The walk goes round something that stands in a room"`
}

// How far the gauge's corners may be from adding up before it is said (common practice: a
// gauge reads to half a degree), and from where it must be one corner read wrong.
const (
	cornersWarn = 2 * Degree
	cornersStop = 20 * Degree
	// Walls nearer than this that do not share a corner touch or cross.
	wallsTouch = float64(length.Millimeter)
)

// PlanRoom lays the room out. It returns nil with findings when a wall or corner is missing
// or impossible; a room that does not close still has a plan, with a stop.
func PlanRoom(r Room, rules houserules.Rules) (*Plan, []finding.Finding) {
	fs := CheckRoom(r)
	if finding.HasStop(fs) {
		return nil, fs
	}
	p := &Plan{Closes: true}
	heads := r.headings()
	xs, ys := walk(r.Walls, heads)
	n := len(r.Walls)
	for i := range xs {
		p.Walked = append(p.Walked, Point{nearest(xs[i]), nearest(ys[i])})
	}
	terms := make([]derive.Term, 0, n)
	for _, w := range r.Walls {
		terms = append(terms, derive.Plus("wall", w.Length, derive.Reading))
	}
	p.Perimeter = derive.Sum("plan_geometry", terms...)
	if r.Open {
		p.Corners = p.Walked
		return p, append(fs, crossings(p.Corners, false)...)
	}
	p.close(xs[n], ys[n], rules)
	total := r.turned()
	p.Column = total < 0
	fs = append(fs, p.closingFindings(total, n, rules)...)
	return p, append(fs, crossings(p.Corners, true)...)
}

// walk returns the left end of every wall and the end of the walk, nanometers unrounded.
func walk(walls []Wall, heads []Angle) (xs, ys []float64) {
	xs, ys = make([]float64, len(walls)+1), make([]float64, len(walls)+1)
	for i, w := range walls {
		sin, cos := heads[i].sinCos()
		xs[i+1] = xs[i] + float64(w.Length)*cos
		ys[i+1] = ys[i] + float64(w.Length)*sin
	}
	return xs, ys
}

func nearest(f float64) length.Length { return length.Length(math.Round(f)) }

// close works out the closing error and shares it among the walls by length (the
// surveyor's compass rule), which gives the same corners wherever the walk starts.
func (p *Plan) close(ex, ey float64, rules houserules.Rules) {
	n := len(p.Walked) - 1
	p.ErrorX, p.ErrorY = nearest(ex), nearest(ey)
	e := math.Hypot(ex, ey)
	per := p.Perimeter.Length
	p.ClosingError = derive.By("root_of_squares", "plan_geometry", nearest(e),
		derive.Plus("error_across", p.ErrorX, derive.Geometry), derive.Plus("error_along", p.ErrorY, derive.Geometry))
	share := rules.RoomCloseShare
	allowance := length.Length(0)
	if share > 0 {
		allowance = per / length.Length(share)
	}
	p.Allowed = derive.Sum("common_practice", derive.Plus("room_close", rules.RoomClose, derive.Rule),
		derive.Plus("share_of_perimeter", allowance, derive.Rule))
	p.Closes = p.ClosingError.Length <= p.Allowed.Length
	if p.ClosingError.Length > 0 {
		p.Ratio = int64(math.Round(float64(per) / e))
	}
	p.Corners = make([]Point, n)
	var gone length.Length
	for i := range n {
		f := float64(gone) / float64(per)
		p.Corners[i] = Point{p.Walked[i].X - nearest(ex*f), p.Walked[i].Y - nearest(ey*f)}
		gone += p.Perimeter.Terms[i].Length
	}
	p.Area = int64(math.Round(math.Abs(shoelace(p.Corners)) / float64(length.Millimeter) / float64(length.Millimeter)))
}

// shoelace is the signed area in square nanometers, positive for clockwise on paper.
func shoelace(ps []Point) float64 {
	var twice float64
	for i := 1; i+1 < len(ps); i++ {
		ax, ay := float64(ps[i].X-ps[0].X), float64(ps[i].Y-ps[0].Y)
		bx, by := float64(ps[i+1].X-ps[0].X), float64(ps[i+1].Y-ps[0].Y)
		twice += ax*by - ay*bx
	}
	return twice / 2
}

func (p *Plan) closingFindings(total Angle, n int, rules houserules.Rules) []finding.Finding {
	var fs []finding.Finding
	want := fullTurn
	if p.Column {
		want = -fullTurn
	}
	if off := total - want; off > cornersWarn || off < -cornersWarn {
		s := finding.Warn
		if off > cornersStop || off < -cornersStop {
			s = finding.Stop
		}
		inside := Angle(n)*straight - total
		fs = append(fs, finding.New("room_corners_sum", s).On("measured").At("corners").
			Dec("sum", inside.Degrees(), 1).Dec("want", (Angle(n)*straight-want).Degrees(), 0).
			Dec("off", math.Abs(off.Degrees()), 1))
	}
	if !p.Closes {
		fs = append(fs, finding.New("room_does_not_close", finding.Stop).On("measured").At("walls").
			Len("error", p.ClosingError.Length).Len("allowed", p.Allowed.Length).
			Num("ratio", p.Ratio).Len("perimeter", p.Perimeter.Length))
	}
	return fs
}

// crossings finds the first two walls that touch or cross without sharing a corner: an
// inside corner taken for an outside one, most often.
func crossings(ps []Point, closed bool) []finding.Finding {
	n := len(ps)
	edges := n
	if !closed {
		edges--
	}
	for i := 0; i < edges; i++ {
		for j := i + 2; j < edges; j++ {
			if closed && i == 0 && j == edges-1 {
				continue
			}
			if segmentsMeet(ps[i], ps[i+1], ps[j], ps[(j+1)%n]) {
				return []finding.Finding{finding.New("room_walls_cross", finding.Stop).On("measured").At("walls").
					Num("wall", int64(i+1)).Num("other", int64(j+1))}
			}
		}
	}
	return nil
}

// segmentsMeet reports whether two walls cross or come nearer than wallsTouch. Walls that
// stand apart on either axis are told at once, which is nearly all of them.
func segmentsMeet(a, b, c, d Point) bool {
	const touch = length.Length(wallsTouch)
	if max(a.X, b.X)+touch < min(c.X, d.X) || max(c.X, d.X)+touch < min(a.X, b.X) ||
		max(a.Y, b.Y)+touch < min(c.Y, d.Y) || max(c.Y, d.Y)+touch < min(a.Y, b.Y) {
		return false
	}
	s1, s2 := side(a, b, c), side(a, b, d)
	s3, s4 := side(c, d, a), side(c, d, b)
	if (s1 < 0) != (s2 < 0) && (s3 < 0) != (s4 < 0) && s1 != 0 && s2 != 0 && s3 != 0 && s4 != 0 {
		return true
	}
	return near(c, a, b) || near(d, a, b) || near(a, c, d) || near(b, c, d)
}

// side is twice the area of the triangle a b p, signed by the side of a b that p is on.
func side(a, b, p Point) float64 {
	return float64(b.X-a.X)*float64(p.Y-a.Y) - float64(b.Y-a.Y)*float64(p.X-a.X)
}

// near reports whether p is nearer than wallsTouch to the wall a b.
func near(p, a, b Point) bool {
	ux, uy := float64(b.X-a.X), float64(b.Y-a.Y)
	px, py := float64(p.X-a.X), float64(p.Y-a.Y)
	long := ux*ux + uy*uy
	if long == 0 {
		return math.Hypot(px, py) < wallsTouch
	}
	f := max(0, min(1, (px*ux+py*uy)/long))
	return math.Hypot(px-f*ux, py-f*uy) < wallsTouch
}
