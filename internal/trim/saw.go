package trim

import (
	"math"

	"longpoint/internal/length"
)

// Saw is what one miter saw can do: where it clicks and how far it reaches. An empty list
// of detents means it has none.
type Saw struct {
	Miters    []Angle `json:"miters,omitempty" maxItems:"40" doc:"Miter detents to one side, thousandths of a degree from square"`
	Bevels    []Angle `json:"bevels,omitempty" maxItems:"40" doc:"Bevel stops to one side, thousandths of a degree from upright"`
	MiterMost Angle   `json:"miter_most" doc:"Furthest the table swings, thousandths of a degree"`
	BevelMost Angle   `json:"bevel_most" doc:"Furthest the blade leans, thousandths of a degree"`
}

// DefaultSaw is a common compound miter saw (common practice; the saw's plate decides):
// detents for frames of 12, 8, 6 and 4 sides and for 38° crown.
func DefaultSaw() Saw {
	return Saw{
		Miters:    []Angle{0, 15 * Degree, 22_500, 30 * Degree, 31_620, 45 * Degree},
		Bevels:    []Angle{0, 33_860, 45 * Degree},
		MiterMost: 50 * Degree,
		BevelMost: 45 * Degree,
	}
}

// Setting is one angle on the saw against its nearest detent. Degrees.
type Setting struct {
	Want    float64        `json:"want"`
	Detent  *float64       `json:"detent,omitempty" doc:"Nearest detent; absent when the saw has none"`
	Off     float64        `json:"off" doc:"Detent less want"`
	Opens   *length.Length `json:"opens,omitempty" doc:"Gap at the open edge of the joint when what is angled there is cut at the detent, nanometers"`
	InReach bool           `json:"in_reach"`
}

// SawSetting is both angles of one cut.
type SawSetting struct {
	Miter Setting `json:"miter"`
	Bevel Setting `json:"bevel"`
}

// Set finds the nearest detents for a cut. The miter runs across the piece's width as it
// lies on the table, the bevel through its thickness. Angles are degrees from square, 0 to
// under 90; anything else is refused with an [AngleError].
func (s Saw) Set(miter, bevel float64, width, thickness length.Length) (SawSetting, error) {
	for _, a := range []struct {
		name string
		v    float64
	}{{"miter", miter}, {"bevel", bevel}} {
		if !within(a.v, 0, 89) {
			return SawSetting{}, &AngleError{a.name, a.v, 0, 89}
		}
	}
	return SawSetting{
		Miter: detent(s.Miters, s.MiterMost, miter, width, bevel),
		Bevel: detent(s.Bevels, s.BevelMost, bevel, thickness, 0),
	}, nil
}

// detent compares one angle. Two faces cut too steep or too flat by e meet at one edge and
// stand apart at the other by twice the face's length times the sine of e: the face of a
// piece of width w cut at a is w / cos a long. A blade leaning by b turns its cut by only
// e × cos b when the table swings by e.
func detent(detents []Angle, most Angle, want float64, width length.Length, leaning float64) Setting {
	out := Setting{Want: want, InReach: want <= most.Degrees()}
	best := math.Inf(1)
	for _, d := range detents {
		if d < 0 || d > most || d >= 90*Degree {
			continue
		}
		if off := d.Degrees() - want; math.Abs(off) < math.Abs(best) {
			best = off
			at := d.Degrees()
			out.Detent = &at
		}
	}
	if out.Detent == nil {
		return out
	}
	out.Off = best
	if width <= 0 || width > length.Longest {
		return out
	}
	const rad = math.Pi / 180
	gap := times(width, 2*math.Abs(math.Sin(best*rad))*math.Cos(leaning*rad)/math.Cos(*out.Detent*rad))
	out.Opens = &gap
	return out
}

// openBy keeps that share of what the detents open.
func (s *SawSetting) openBy(share float64) {
	for _, x := range [...]*Setting{&s.Miter, &s.Bevel} {
		if x.Opens != nil {
			gap := times(*x.Opens, share)
			x.Opens = &gap
		}
	}
}

// opensOf is the share of what two pieces off by the same angle open that a joint at a corner of
// that turn does. One square against the other's face is off alone. A coped end is off alone too,
// and what the miter marks on its face stands off the plane that halves the corner; square to
// the other's face that is 2 × sin δ/2 of it.
func opensOf(j Joint, turn Angle) float64 {
	switch j {
	case ButtSecond, ButtCasing:
		return 0.5
	case Cope:
		return math.Sin(turn.Degrees() / 2 * math.Pi / 180)
	}
	return 1
}
