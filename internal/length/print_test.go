package length_test

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"longpoint/internal/length"

	"pgregory.net/rapid"
)

func TestPrint(t *testing.T) {
	t.Parallel()
	const nm = length.Nanometer
	inch := func(num, den int64) length.Style {
		return length.Style{Unit: in, Step: length.In(0, num, den)}
	}
	down := length.Style{Unit: in, Rounding: length.Down}
	up := length.Style{Unit: in, Rounding: length.Up}
	halves := length.Style{Unit: mm, Step: length.Millimeter / 2}
	tests := []struct {
		l    length.Length
		st   length.Style
		want string
	}{
		{length.In(79, 5, 8), length.Style{}, "79 5/8"},
		{length.In(79, 0, 1), length.Style{}, "79"},
		{length.In(0, 5, 8), length.Style{}, "5/8"},
		{0, length.Style{}, "0"},
		{0, length.Style{Unit: mm}, "0 mm"},
		{length.In(79, 21, 32), length.Style{}, "79 5/8 heavy"},
		{length.In(79, 21, 32), inch(1, 32), "79 21/32"},
		{length.In(79, 41, 64), inch(1, 16), "79 5/8 heavy"},
		{length.In(79, 43, 64), inch(1, 16), "79 11/16 light"},
		{length.In(79, 43, 64), inch(1, 64), "79 43/64"},
		{length.In(79, 63, 64), inch(1, 16), "80 light"},
		{length.In(79, 43, 64), down, "79 5/8 heavy"},
		{length.In(79, 41, 64), up, "79 11/16 light"},
		{length.In(79, 63, 64), up, "80 light"},
		{length.In(0, 1, 64), length.Style{}, "0 heavy"},
		{-length.In(0, 1, 8), length.Style{}, "-1/8"},
		{-length.In(79, 5, 8), length.Style{}, "-79 5/8"},
		{-length.In(79, 41, 64), down, "-79 11/16 light"}, // down is toward minus infinity
		{-length.In(79, 41, 64), up, "-79 5/8 heavy"},
		{-length.In(0, 1, 64), length.Style{}, "-0 heavy"},

		// The dead band: 1/256 in is 99 218.75 nm.
		{length.In(79, 5, 8) + 99_218*nm, length.Style{}, "79 5/8"},
		{length.In(79, 5, 8) + 99_219*nm, length.Style{}, "79 5/8 heavy"},
		{length.In(79, 5, 8) - 99_218*nm, length.Style{}, "79 5/8"},
		{length.In(79, 5, 8) - 99_219*nm, length.Style{}, "79 5/8 light"},
		{length.In(79, 5, 8) - 1*nm, down, "79 5/8"},
		{length.In(79, 5, 8) - 99_219*nm, down, "79 9/16 heavy"},
		{length.In(79, 5, 8) + 1*nm, up, "79 5/8"},
		{-1 * nm, length.Style{}, "0"},

		{2018 * length.Millimeter, length.Style{Unit: mm}, "2018 mm"},
		{2018*length.Millimeter + 500_000, length.Style{Unit: mm}, "2018 mm heavy"},
		{2018*length.Millimeter + 500_000, halves, "2018.5 mm"},
		{2018*length.Millimeter + 700_000, length.Style{Unit: mm}, "2019 mm light"},
		{2018*length.Millimeter + 700_000, halves, "2018.5 mm heavy"},
		{2018*length.Millimeter + 700_000, length.Style{Unit: mm, Step: length.Millimeter / 10}, "2018.7 mm"},
		{2018*length.Millimeter + 99_218, length.Style{Unit: mm}, "2018 mm"},
		{-500_000, halves, "-0.5 mm"},

		// Steps no tape has print as the usual step.
		{length.In(79, 21, 32), length.Style{Unit: in, Step: length.Millimeter}, "79 5/8 heavy"},
		{length.In(79, 21, 32), length.Style{Unit: in, Step: -1}, "79 5/8 heavy"},
		{length.In(79, 21, 32), length.Style{Unit: in, Step: length.Inch / 128}, "79 5/8 heavy"},
		{length.In(79, 21, 32), length.Style{Unit: in, Step: length.Inch / 5}, "79 5/8 heavy"},
		{length.In(79, 21, 32), inch(1, 4), "79 3/4 light"},
		{length.In(79, 21, 32), length.Style{Unit: in, Step: length.Inch}, "80 light"},
		{2018*length.Millimeter + 500_000, length.Style{Unit: mm, Step: length.Sixteenth}, "2018 mm heavy"},

		{math.MaxInt64, length.Style{Unit: mm}, "9223372036855 mm light"},
		{math.MinInt64, length.Style{Unit: mm}, "-9223372036855 mm light"},
	}
	for _, tt := range tests {
		if got := tt.l.Print(tt.st); got != tt.want {
			t.Errorf("%d Print(%+v): want %q, got %q", tt.l, tt.st, tt.want, got)
		}
	}
}

func TestTape(t *testing.T) {
	t.Parallel()
	tests := []struct {
		l    length.Length
		st   length.Style
		want length.Tape
	}{
		{length.In(79, 21, 32), length.Style{}, length.Tape{
			Unit: in, Whole: 79, Num: 5, Den: 8, Lean: length.Heavy, Text: "79 5/8 heavy", Exact: "79.65625 in",
		}},
		{-length.In(3, 0, 1), length.Style{Unit: in}, length.Tape{
			Unit: in, Negative: true, Whole: 3, Text: "-3", Exact: "-3 in",
		}},
		{2018*length.Millimeter + 750_000, length.Style{Unit: mm, Step: length.Millimeter / 2, Rounding: length.Up}, length.Tape{
			Unit: mm, Whole: 2019, Decimal: "2019", Lean: length.Light, Text: "2019 mm light", Exact: "2018.75 mm",
		}},
		{-2018*length.Millimeter - 500_000, length.Style{Unit: mm, Step: length.Millimeter / 2}, length.Tape{
			Unit: mm, Negative: true, Whole: 2018, Decimal: "2018.5", Text: "-2018.5 mm", Exact: "-2018.5 mm",
		}},
	}
	for _, tt := range tests {
		if got := tt.l.Tape(tt.st); got != tt.want {
			t.Errorf("%d Tape(%+v):\nwant %+v\n got %+v", tt.l, tt.st, tt.want, got)
		}
	}
}

func TestExact(t *testing.T) {
	t.Parallel()
	tests := []struct {
		l    length.Length
		unit length.Unit
		want string
	}{
		{length.In(79, 5, 8), in, "79.625 in"},
		{length.In(79, 5, 8), mm, "2022.475 mm"},
		{length.SixtyFourth, in, "0.015625 in"},
		{length.SixtyFourth, mm, "0.396875 mm"},
		{-length.Eighth, in, "-0.125 in"},
		{0, in, "0 in"},
		{0, mm, "0 mm"},
		{1, mm, "0.000001 mm"},
		{1, in, "0.00000004 in"},
		{length.Inch - 1, in, "0.99999996 in"},
		{length.Millimeter, in, "0.03937008 in"},
		{length.Inch, "", "1 in"},
		{math.MinInt64, mm, "-9223372036854.775808 mm"},
	}
	for _, tt := range tests {
		if got := tt.l.Exact(tt.unit); got != tt.want {
			t.Errorf("%d Exact(%q): want %q, got %q", tt.l, tt.unit, tt.want, got)
		}
	}
}

// drawStyle is any style a job can have.
func drawStyle(t *rapid.T) length.Style {
	return length.Style{
		Unit: in,
		Step: rapid.SampledFrom([]length.Length{
			length.Inch, length.Half, length.Quarter, length.Eighth, length.Sixteenth, length.ThirtySecond, length.SixtyFourth,
		}).Draw(t, "inch step"),
		Rounding: rapid.SampledFrom([]length.Rounding{"", length.Nearest, length.Down, length.Up}).Draw(t, "rounding"),
	}
}

func drawMetricStyle(t *rapid.T) length.Style {
	st := drawStyle(t)
	st.Unit = mm
	st.Step = rapid.SampledFrom([]length.Length{
		length.Millimeter, length.Millimeter / 2, length.Millimeter / 10, 5 * length.Millimeter,
	}).Draw(t, "mm step")
	return st
}

func readsBack(t *rapid.T, l length.Length, st length.Style) {
	text := l.Print(st)
	got, err := length.ParseSigned(text, st.Unit)
	if err != nil || got != l {
		t.Fatalf("%d prints %q: want it read back, got %d, %v", l, text, got, err)
	}
	if l < 0 {
		return
	}
	if got, err := length.Parse(text, st.Unit); err != nil || got != l {
		t.Fatalf("%d prints %q: want it read back unsigned, got %d, %v", l, text, got, err)
	}
}

// A length on the style's marks prints without heavy or light and reads back the same.
func TestPrintReadsBackOnTheMarks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		for _, st := range []length.Style{drawStyle(t), drawMetricStyle(t)} {
			most := int64(length.Longest / st.Step)
			l := length.Length(rapid.Int64Range(-most, most).Draw(t, "marks")) * st.Step
			if text := l.Print(st); strings.ContainsAny(text, "hl") {
				t.Fatalf("%d Print(%+v): want no heavy or light, got %q", l, st, text)
			}
			readsBack(t, l, st)
		}
	})
}

// At 1/16, whatever the direction, an odd 1/32 prints heavy or light and reads back the same;
// so does a half millimeter at 1 mm.
func TestPrintReadsBackHeavyAndLight(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		st := drawStyle(t)
		st.Step = length.Sixteenth
		l := length.Length(rapid.Int64Range(-1199*16, 1199*16).Draw(t, "16ths"))*length.Sixteenth + length.ThirtySecond
		if text := l.Print(st); !strings.HasSuffix(text, "heavy") && !strings.HasSuffix(text, "light") {
			t.Fatalf("%d: want heavy or light, got %q", l, text)
		}
		readsBack(t, l, st)

		st.Unit, st.Step = mm, length.Millimeter
		readsBack(t, length.Length(rapid.Int64Range(-30_000, 30_000).Draw(t, "mm"))*length.Millimeter+length.Millimeter/2, st)
	})
}

// shownMark is the mark a tape shows, signed, worked out from its pieces.
func shownMark(t *rapid.T, tape length.Tape) length.Length {
	l := length.In(tape.Whole, tape.Num, tape.Den)
	if tape.Unit == mm {
		r, ok := new(big.Rat).SetString(tape.Decimal)
		if !ok {
			t.Fatalf("want a decimal, got %q", tape.Decimal)
		}
		r.Mul(r, big.NewRat(int64(length.Millimeter), 1))
		if !r.IsInt() {
			t.Fatalf("want whole nanometers, got %s", r)
		}
		l = length.Length(r.Num().Int64())
	}
	if tape.Negative {
		return -l
	}
	return l
}

// Down never shows more than the length and Up never less, but for the dead band; Nearest is
// within half a step; heavy and light are on the side they say; nothing is a step away.
func TestPrintDirection(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := length.Length(rapid.Int64Range(-int64(length.Longest), int64(length.Longest)).Draw(t, "nm"))
		for _, st := range []length.Style{drawStyle(t), drawMetricStyle(t)} {
			tape := l.Tape(st)
			mark := shownMark(t, tape)
			over := mark - l // how much more than the length is shown
			band := min(length.DeadBand, st.Step/4)
			if mark%st.Step != 0 {
				t.Fatalf("%d Print(%+v) = %q: not on a mark", l, st, tape.Text)
			}
			if over.Abs() >= st.Step {
				t.Fatalf("%d Print(%+v) = %q: a step or more away", l, st, tape.Text)
			}
			switch st.Rounding {
			case length.Down:
				if over > band {
					t.Fatalf("%d Print(%+v) = %q: more than the length by %d nm", l, st, tape.Text, over)
				}
			case length.Up:
				if over < -band {
					t.Fatalf("%d Print(%+v) = %q: less than the length by %d nm", l, st, tape.Text, -over)
				}
			default:
				if 2*over.Abs() > st.Step {
					t.Fatalf("%d Print(%+v) = %q: off by %d nm, more than half a step", l, st, tape.Text, over)
				}
			}
			wantLean := ""
			switch size := l.Abs() - mark.Abs(); {
			case size > band:
				wantLean = length.Heavy
			case size < -band:
				wantLean = length.Light
			}
			if tape.Lean != wantLean {
				t.Fatalf("%d Print(%+v) = %q: want lean %q, got %q", l, st, tape.Text, wantLean, tape.Lean)
			}
			if tape.Text != l.Print(st) {
				t.Fatalf("want Text %q, got %q", l.Print(st), tape.Text)
			}
			if tape.Num > 0 && (tape.Num%2 == 0 || tape.Num >= tape.Den) || tape.Num == 0 && tape.Den != 0 {
				t.Fatalf("%d Print(%+v): fraction %d/%d is not in lowest terms", l, st, tape.Num, tape.Den)
			}
		}
	})
}

// The exact value, in either unit, reads back to the nanometer.
func TestExactReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := length.Length(rapid.Int64Range(-int64(length.Longest), int64(length.Longest)).Draw(t, "nm"))
		for _, unit := range []length.Unit{in, mm} {
			got, err := length.ParseSigned(l.Exact(unit), in)
			if err != nil || got != l {
				t.Fatalf("%d is exactly %q: want it read back, got %d, %v", l, l.Exact(unit), got, err)
			}
		}
	})
}

func BenchmarkPrint(b *testing.B) {
	b.ReportAllocs()
	l := length.In(79, 21, 32)
	for b.Loop() {
		_ = l.Print(length.Style{})
	}
}

// A remainder is said in the reader's language, and either reads back.
func TestHeavyAndLightInSpanish(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		l    length.Length
		want string
	}{
		{length.In(79, 5, 8) + length.ThirtySecond, "79 5/8 fuerte"}, {length.In(79, 5, 8) - length.ThirtySecond + 1, "79 5/8 escaso"}, {length.In(79, 5, 8), "79 5/8"},
	} {
		st := length.Style{Unit: length.Inches, Language: "es"}
		if got := tt.l.Print(st); got != tt.want {
			t.Errorf("%d: %q, want %q", tt.l, got, tt.want)
		}
		tape := tt.l.Tape(st)
		if tape.Text != tt.want || tape.Lean != "" && tape.Lean != length.Heavy && tape.Lean != length.Light {
			t.Errorf("%d: tape %+v, want %q with its lean as a code", tt.l, tape, tt.want)
		}
		if back, err := length.Parse(tape.Text, length.Inches); err != nil || (back-tt.l).Abs() > 1 {
			t.Errorf("%q reads back as %d, %v; want %d", tape.Text, back, err, tt.l)
		}
	}
}
