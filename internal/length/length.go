// Package length holds every length in Longpoint as a whole number of nanometers,
// so that inches and millimeters are both exact and nothing ever rounds in storage.
//
// It reads what a crew writes ([Parse]), prints what a tape shows ([Length.Print],
// [Length.Tape]) and travels as JSON.
package length

import "math"

// Length is a distance in nanometers. It may be negative (a difference, a lean).
// The type reaches ±9.2 million km, so sums of lengths a crew can type never overflow.
type Length int64

// Exact units. An inch is 25.4 mm by definition (international yard and pound agreement, 1959).
const (
	Nanometer    Length = 1
	Micrometer   Length = 1_000
	Millimeter   Length = 1_000_000
	Inch         Length = 25_400_000
	Foot         Length = 12 * Inch
	SixtyFourth  Length = Inch / 64
	ThirtySecond Length = Inch / 32
	Sixteenth    Length = Inch / 16
	Eighth       Length = Inch / 8
	Quarter      Length = Inch / 4
	Half         Length = Inch / 2
)

const (
	centimeter = 10 * Millimeter
	meter      = 1000 * Millimeter
)

// Longest is the longest length [Parse] accepts: 100 ft, exactly 30 480 mm.
// Nothing in a house's trim is longer, and a slip of the unit usually lands beyond it.
const Longest = 100 * Foot

// Unit is what a bare number means when read, and what a length is printed in.
// Any value other than Millimeters is taken as Inches.
type Unit string

// The two units a job can be in.
const (
	Inches      Unit = "in"
	Millimeters Unit = "mm"
)

// In is whole and num/den inches, for constants and tests: In(79, 5, 8) is 79 5/8 in.
// The fraction takes the sign of a negative whole: In(-1, 1, 2) is -1 1/2 in.
// den should divide 25 400 000 (the tape's powers of two to 64 do); otherwise the
// fraction is cut off at the nanometer below. A den of 0 means no fraction. It never panics.
func In(whole, num, den int64) Length {
	l := Length(whole) * Inch
	if den == 0 {
		return l
	}
	part := Length(num) * Inch / Length(den)
	if whole < 0 {
		return l - part.Abs()
	}
	return l + part
}

// FromInches is the nanometer nearest to f inches, halves away from zero. It is the way
// back from trigonometry. NaN, an infinity or more than a million inches either way is
// refused with a [ParseError].
func FromInches(f float64) (Length, error) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return 0, &ParseError{
			Code: CodeNotALength,
			says: "length_no_number",
		}
	}
	if math.Abs(f) > 1e6 {
		return 0, &ParseError{
			Code: CodeTooLong,
			says: "length_beyond_reckoning",
		}
	}
	// 1e6 in is 2.54e13 nm, under 2^53, so the conversion to an integer is exact.
	return Length(math.Round(f * float64(Inch))), nil
}

// Inches is the length in inches, for trigonometry only. Never store or compare it.
func (l Length) Inches() float64 { return float64(l) / float64(Inch) }

// Millimeters is the length in millimeters, for trigonometry and drawing only.
func (l Length) Millimeters() float64 { return float64(l) / float64(Millimeter) }

// Abs is the length without its sign. The most negative int64 has no positive twin and
// becomes the largest.
func (l Length) Abs() Length {
	if l == math.MinInt64 {
		return math.MaxInt64
	}
	if l < 0 {
		return -l
	}
	return l
}

// Floor is the largest multiple of step not above l, toward minus infinity for negatives.
// A step of zero or less leaves l as it is.
func (l Length) Floor(step Length) Length {
	if step <= 0 {
		return l
	}
	rem := l % step
	if rem < 0 {
		rem += step
	}
	return l - rem
}

// Ceil is the smallest multiple of step not below l, toward plus infinity for negatives.
// A step of zero or less leaves l as it is.
func (l Length) Ceil(step Length) Length {
	floor := l.Floor(step)
	if floor == l {
		return l
	}
	return floor + step
}

// Round is the multiple of step nearest to l; halfway goes away from zero.
// A step of zero or less leaves l as it is.
func (l Length) Round(step Length) Length {
	if step <= 0 {
		return l
	}
	rem := l % step // has the sign of l
	switch {
	case rem >= step-rem:
		return l - rem + step
	case -rem >= step+rem:
		return l - rem - step
	}
	return l - rem
}

// Min is the shortest of the lengths given.
func Min(a Length, rest ...Length) Length {
	for _, l := range rest {
		a = min(a, l)
	}
	return a
}

// Max is the longest of the lengths given.
func Max(a Length, rest ...Length) Length {
	for _, l := range rest {
		a = max(a, l)
	}
	return a
}
