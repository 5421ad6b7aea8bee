package trim

import (
	"math"

	"longpoint/internal/finding"
	"longpoint/internal/length"
)

const square = 90 * Degree

// cornerNoted is how far off square a corner may be before it is worth saying: a quarter
// of a degree, the finest a miter saw's scale is set to by eye (common practice).
const cornerNoted = Degree / 4

// quad is the opening as four corners in nanometers, x from the hinge foot toward the
// strike side, y up.
type quad struct {
	footHinge, footStrike, headHinge, headStrike [2]float64
}

// corners builds the opening from widths, heights, floor and the hinge side's lean (taken
// as plumb where it is not read); false where a width or height is missing or cannot be.
func corners(r *Readings) (quad, bool) {
	for _, v := range [...]*length.Length{r.WidthBottom, r.WidthTop} {
		if v == nil || *v < narrowestWindow || *v > widestOpening {
			return quad{}, false
		}
	}
	for _, v := range [...]*length.Length{r.HeightHinge, r.HeightStrike} {
		if v == nil || *v < narrowestWindow || *v > highestOpening {
			return quad{}, false
		}
	}
	var lean, up float64
	if r.LeanHinge != nil && r.LeanHinge.Abs() <= steepestLean {
		lean = float64(*r.LeanHinge)
	}
	if r.FloorStrikeUp != nil && r.FloorStrikeUp.Abs() <= steepestFloor {
		up = float64(*r.FloorStrikeUp)
	}
	b, t := float64(*r.WidthBottom), float64(*r.WidthTop)
	return quad{
		footHinge:  [2]float64{0, 0},
		footStrike: [2]float64{b, up},
		headHinge:  [2]float64{lean, float64(*r.HeightHinge)},
		headStrike: [2]float64{lean + t, up + float64(*r.HeightStrike)},
	}, true
}

func dist(a, b [2]float64) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }

func (q *quad) rise() float64      { return dist(q.footHinge, q.headStrike) }
func (q *quad) fall() float64      { return dist(q.headHinge, q.footStrike) }
func (q *quad) hingeLen() float64  { return dist(q.footHinge, q.headHinge) }
func (q *quad) strikeLen() float64 { return dist(q.footStrike, q.headStrike) }
func (q *quad) topLen() float64    { return dist(q.headHinge, q.headStrike) }

// lean moves the head sideways until the diagonals differ as taped. With feet at (0, 0) and
// (b, u) and head corners at (a, p) and (a+t, s):
//
//	rise² − fall² = (a+t)² + s² − (a−b)² − (p−u)² = 2a(t+b) + t² − b² + s² − (p−u)²
//
// which is linear in a. Only the difference of the diagonals is used, so a tape hooked the
// same 1/16 in wrong on both does not open or close the corners; for a parallelogram a is
// the square offset (d1² − d2²) / 4w.
func (q *quad) lean(rise, fall float64) {
	b, u := q.footStrike[0], q.footStrike[1]
	t := q.headStrike[0] - q.headHinge[0]
	p, s := q.headHinge[1], q.headStrike[1]
	a := ((rise-fall)*(rise+fall) - (t-b)*(t+b) - (s-p+u)*(s+p-u)) / (2 * (t + b))
	q.headHinge[0], q.headStrike[0] = a, a+t
}

// angle is the corner at b between a and c.
func angle(a, b, c [2]float64) Angle {
	ux, uy := a[0]-b[0], a[1]-b[1]
	vx, vy := c[0]-b[0], c[1]-b[1]
	rad := math.Abs(math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy))
	return Angle(math.Round(rad * float64(straight) / math.Pi))
}

// findCorners settles the true corner the casing turns at each end of the head (and of the
// sill at a window): by angle gauge, else from the diagonals with the widths and heights,
// else square. Diagonals are of the opening; a frame set plumb in it may stand truer, which
// the finding says.
func (l *layout) findCorners() {
	q, ok := corners(&l.r)
	taped := ok && l.r.DiagonalRise != nil && l.r.DiagonalFall != nil
	if taped {
		q.lean(float64(*l.r.DiagonalRise), float64(*l.r.DiagonalFall))
	}
	settle := func(name string, gauge *Angle, a, b, c [2]float64) Angle {
		v, from := square, "taken_square"
		switch {
		case gauge != nil:
			v, from = *gauge, "angle_gauge"
		case taped:
			v, from = angle(a, b, c), "diagonals"
			if v < Angle(leastHeadCorner) || v > Angle(mostHeadCorner) {
				l.find(finding.New("diagonals_impossible", finding.Stop).On(stageMeasured).At("diagonal_rise").
					Term("corner", name).Dec("value", v.Degrees(), 1))
				v, from = square, "taken_square"
			} else if v > square+cornerNoted || v < square-cornerNoted {
				l.find(finding.New("corner_from_diagonals", finding.Warn).On(stageCased).At(name).
					Term("corner", name).Dec("value", v.Degrees(), 2))
			}
		}
		l.out.Corners = append(l.out.Corners, TrueCorner{Name: name, Angle: v, From: from})
		return v
	}
	l.cornerHinge = settle("corner_hinge", l.r.CornerHinge, q.footHinge, q.headHinge, q.headStrike)
	l.cornerStrike = settle("corner_strike", l.r.CornerStrike, q.headHinge, q.headStrike, q.footStrike)
	if l.u.Kind == Window && l.u.Surround == PictureFrame {
		l.footHinge = settle("corner_foot_hinge", l.r.CornerFootHinge, q.headHinge, q.footHinge, q.footStrike)
		l.footStrike = settle("corner_foot_strike", l.r.CornerFootStrike, q.footHinge, q.footStrike, q.headStrike)
	}
}

// miterAt is the saw's angle from square for a corner: 90° − c/2.
func miterAt(corner Angle) float64 { return (straight - corner).Degrees() / 2 }

// across is how far along a piece a miter at that corner runs over a width: v / tan(c/2),
// exactly v at a square corner.
func across(v length.Length, corner Angle) length.Length {
	if corner == square {
		return v
	}
	return nearest(float64(v) / corner.halfTan())
}
