package length

import "strconv"

// DeadBand is how far a length may stand off a mark of the tape and still print as that mark
// with no heavy or light: 1/256 in, about 0.1 mm, less than the width of a pencil line (common
// practice). It is never more than a quarter of the step. The band comes before the rounding
// direction, so a cut that trigonometry leaves a hair under 79 5/8 still prints 79 5/8 when
// it rounds down.
const DeadBand = Inch / 256

// Rounding is the direction in which a printed length goes to a mark of the tape.
// Any value other than Down or Up is taken as Nearest.
type Rounding string

// The rounding directions.
const (
	Nearest Rounding = "nearest" // halfway goes to the smaller mark and prints heavy
	Down    Rounding = "down"    // never above the length: what must drop into an opening
	Up      Rounding = "up"      // never below the length
)

// The values of [Tape.Lean].
const (
	Heavy = "heavy" // a little more than the mark
	Light = "light" // a little less than the mark
)

// Style is how lengths print.
type Style struct {
	Unit Unit `json:"unit"`
	// Step is the distance between marks. In inches an inch or its half, quarter and so on to
	// 1/64; in millimeters any multiple of 0.1 mm, usually 1 or 0.5. Zero, and any other
	// value, is 1/16 in or 1 mm.
	Step     Length   `json:"step"`
	Rounding Rounding `json:"rounding"`
	// Language is whose words heavy and light are said in: Spanish for "es", else English.
	// Either reads back.
	Language string `json:"-"`
}

// Tape is what a tape shows for a length: the nearest mark in the style's direction, and
// which side of the mark the length lies. Lean says the side, not the amount; only a remainder
// of exactly 1/32 in (or 0.5 mm) reads back to the same length.
type Tape struct {
	Unit     Unit   `json:"unit"`
	Negative bool   `json:"negative"` // never with a plain zero
	Whole    int64  `json:"whole"`    // whole inches or millimeters, without the sign
	Num      int64  `json:"num"`      // inches only, in lowest terms; 0 when there is no fraction
	Den      int64  `json:"den"`      // 0 when Num is 0
	Decimal  string `json:"decimal"`  // millimeters only: the mark as a decimal, "2018" or "2018.5", without the sign
	Lean     string `json:"lean"`     // "", "heavy" or "light", of the size without its sign
	Text     string `json:"text"`     // the same as Print
	Exact    string `json:"exact"`    // the same as Exact, in Unit
}

// reading is a length taken to a mark of the tape.
type reading struct {
	unit     Unit
	negative bool
	whole    uint64
	num, den uint64 // of an inch, in lowest terms
	tenths   uint64 // of a millimeter
	lean     string
	spanish  bool
}

func (l Length) magnitude() uint64 {
	if l < 0 {
		return -uint64(l)
	}
	return uint64(l)
}

// step is the style's step, or its unit's usual one where the style's cannot be printed.
func (st Style) step() uint64 {
	if st.Unit == Millimeters {
		if st.Step <= 0 || st.Step%(Millimeter/10) != 0 {
			return uint64(Millimeter)
		}
		return uint64(st.Step)
	}
	if st.Step > 0 && Inch%st.Step == 0 {
		if den := Inch / st.Step; den <= 64 && den&(den-1) == 0 {
			return uint64(st.Step)
		}
	}
	return uint64(Sixteenth)
}

func (l Length) read(st Style) reading {
	r := reading{unit: Inches, negative: l < 0, spanish: st.Language == "es"}
	size, step := l.magnitude(), st.step()
	rem := size % step
	mark := size - rem
	band := min(uint64(DeadBand), step/4)
	var over bool // the mark past the length
	switch st.Rounding {
	case Down:
		over = r.negative
	case Up:
		over = !r.negative
	default:
		over = rem > step-rem
	}
	switch {
	case rem <= band:
	case step-rem <= band:
		mark += step
	case over:
		mark += step
		r.lean = Light
	default:
		r.lean = Heavy
	}
	if mark == 0 && r.lean == "" {
		r.negative = false
	}
	if st.Unit == Millimeters {
		r.unit = Millimeters
		r.whole = mark / uint64(Millimeter)
		r.tenths = mark % uint64(Millimeter) / uint64(Millimeter/10)
		return r
	}
	r.whole = mark / uint64(Inch)
	r.num, r.den = mark%uint64(Inch)/uint64(SixtyFourth), 64
	for r.num%2 == 0 && r.den > 1 {
		r.num /= 2
		r.den /= 2
	}
	if r.num == 0 {
		r.den = 0
	}
	return r
}

// appendMark appends the mark without sign, lean and unit.
func (r reading) appendMark(b []byte) []byte {
	if r.whole > 0 || r.num == 0 {
		b = strconv.AppendUint(b, r.whole, 10)
		if r.num > 0 {
			b = append(b, ' ')
		}
	}
	if r.num > 0 {
		b = strconv.AppendUint(b, r.num, 10)
		b = append(b, '/')
		b = strconv.AppendUint(b, r.den, 10)
	}
	if r.tenths > 0 {
		b = append(b, '.')
		b = strconv.AppendUint(b, r.tenths, 10)
	}
	return b
}

func (r reading) text() string {
	b := make([]byte, 0, 48)
	if r.negative {
		b = append(b, '-')
	}
	b = r.appendMark(b)
	if r.unit == Millimeters {
		b = append(b, " mm"...)
	}
	switch {
	case r.lean == "":
	case r.spanish && r.lean == Heavy:
		b = append(b, " fuerte"...)
	case r.spanish:
		b = append(b, " escaso"...)
	default:
		b = append(b, ' ')
		b = append(b, r.lean...)
	}
	return string(b)
}

// Tape is l taken to a mark of the tape, in pieces, for a screen that stacks fractions.
func (l Length) Tape(st Style) Tape {
	r := l.read(st)
	t := Tape{
		Unit:     r.unit,
		Negative: r.negative,
		Whole:    int64(r.whole),
		Num:      int64(r.num),
		Den:      int64(r.den),
		Lean:     r.lean,
		Text:     r.text(),
		Exact:    l.Exact(r.unit),
	}
	if r.unit == Millimeters {
		t.Decimal = string(r.appendMark(make([]byte, 0, 24)))
	}
	return t
}

// Print is l as the tape shows it: "79 5/8", "79 5/8 heavy", "-1/8", "2018 mm", "2018.5 mm".
// Inches carry no mark; millimeters carry theirs. A length on one of the style's marks reads
// back with [ParseSigned] to the same length.
func (l Length) Print(st Style) string { return l.read(st).text() }

// Exact is the whole length as a decimal with trailing zeros trimmed: "79.625 in",
// "2022.475 mm". Millimeters are exact to the nanometer. An inch decimal stops at the eighth
// place, a quarter of a nanometer, so that either reads back to the same length; every
// multiple of 1/64 in is written in full.
func (l Length) Exact(unit Unit) string {
	size, one, places, name := l.magnitude(), uint64(Inch), 8, " in"
	if unit == Millimeters {
		one, places, name = uint64(Millimeter), 6, " mm"
	}
	scale := uint64(1)
	for range places {
		scale *= 10
	}
	whole := size / one
	// Under 2.54e15 on the way, and never rounding up to a whole: a nanometer is four of the
	// last places of an inch.
	frac := (size%one*scale + one/2) / one
	b := make([]byte, 0, 40)
	if l < 0 {
		b = append(b, '-')
	}
	b = strconv.AppendUint(b, whole, 10)
	if frac > 0 {
		b = append(b, '.')
		for scale /= 10; scale > 0 && frac > 0; scale /= 10 {
			b = append(b, '0'+byte(frac/scale))
			frac %= scale
		}
	}
	return string(append(b, name...))
}
