package trim

import (
	"math"

	"longpoint/internal/length"
)

// Angle is an angle in thousandths of a degree, so that what a gauge reads is kept exactly.
type Angle int64

// Degree is one degree.
const Degree Angle = 1000

// The corners the rule book takes: the angle between two walls on the room's side. Outside
// them a corner is no longer a joint but a slit or a fin (common practice).
const (
	LeastCorner = 30 * Degree
	MostCorner  = 330 * Degree
	straight    = 180 * Degree
	fullTurn    = 360 * Degree
)

// Degrees is the angle in degrees, for trigonometry and printing.
func (a Angle) Degrees() float64 { return float64(a) / float64(Degree) }

func (a Angle) radians() float64 { return float64(a) * (math.Pi / float64(straight)) }

// normal brings a into [0°, 360°).
func (a Angle) normal() Angle {
	a %= fullTurn
	if a < 0 {
		a += fullTurn
	}
	return a
}

// apart is how far two headings differ, 0° to 180°.
func (a Angle) apart(b Angle) Angle {
	d := (a - b).normal()
	return min(d, fullTurn-d)
}

// sinCos is exact at the quarter turns, so that a square room closes to the nanometer. It
// works from the first half quadrant, where an error of the angle in radians is least.
func (a Angle) sinCos() (sin, cos float64) {
	a = a.normal()
	quarter, rest := a/(90*Degree), a%(90*Degree)
	if rest > 45*Degree {
		cos, sin = math.Sincos((90*Degree - rest).radians())
	} else {
		sin, cos = math.Sincos(rest.radians())
	}
	switch quarter {
	case 1:
		return cos, -sin
	case 2:
		return -sin, -cos
	case 3:
		return -cos, sin
	}
	return sin, cos
}

// tan is the tangent; its callers keep away from ±90°.
func (a Angle) tan() float64 {
	sin, cos := a.sinCos()
	return sin / cos
}

// halfTan is the tangent of half the angle, which need not be a whole thousandth.
func (a Angle) halfTan() float64 { return math.Tan(a.radians() / 2) }

// turn is how far a walker turns at a corner c: 90° at a square corner, inside or outside.
func (a Angle) turn() Angle {
	if a > straight {
		return a - straight
	}
	return straight - a
}

// times is l × f to the nearest nanometer. Its callers have checked l against
// length.Longest and the angle behind f against LeastCorner and MostCorner, so the product
// stays under 2^53 nm and float64 carries it to better than a nanometer.
func times(l length.Length, f float64) length.Length {
	return length.Length(math.Round(float64(l) * f))
}
