package length_test

import (
	"math"
	"math/big"
	"testing"

	"longpoint/internal/length"

	"pgregory.net/rapid"
)

// The inch is exactly 25.4 mm and the foot exactly 0.3048 m (international yard and pound
// agreement, 1959: 1 yd = 0.9144 m).
func TestInternationalYard(t *testing.T) {
	t.Parallel()
	const yard = 914_400_000 // nm
	tests := []struct {
		name string
		got  length.Length
		want int64
	}{
		{"yard of feet", 3 * length.Foot, yard},
		{"yard of inches", 36 * length.Inch, yard},
		{"yard of halves", 72 * length.Half, yard},
		{"yard of quarters", 144 * length.Quarter, yard},
		{"yard of eighths", 288 * length.Eighth, yard},
		{"yard of sixteenths", 576 * length.Sixteenth, yard},
		{"yard of thirty-seconds", 1152 * length.ThirtySecond, yard},
		{"yard of sixty-fourths", 2304 * length.SixtyFourth, yard},
		{"inch in millimeters", 10 * length.Inch, int64(254 * length.Millimeter)},
		{"millimeter", length.Millimeter, 1_000_000},
		{"micrometer", length.Micrometer, 1_000},
		{"longest", length.Longest, int64(30_480 * length.Millimeter)},
	}
	for _, tt := range tests {
		if int64(tt.got) != tt.want {
			t.Errorf("%s: want %d nm, got %d nm", tt.name, tt.want, tt.got)
		}
	}
}

func TestIn(t *testing.T) {
	t.Parallel()
	tests := []struct {
		whole, num, den int64
		want            length.Length
	}{
		{79, 5, 8, 2_022_475_000},
		{0, 1, 64, 396_875},
		{1, 0, 0, 25_400_000},
		{-1, 1, 2, -38_100_000},
		{-1, -1, 2, -38_100_000},
		{0, -1, 8, -3_175_000},
		{0, 1, 3, 8_466_666}, // does not divide: cut off
	}
	for _, tt := range tests {
		if got := length.In(tt.whole, tt.num, tt.den); got != tt.want {
			t.Errorf("In(%d, %d, %d): want %d, got %d", tt.whole, tt.num, tt.den, tt.want, got)
		}
	}
}

func TestFromInches(t *testing.T) {
	t.Parallel()
	tests := []struct {
		in   float64
		want length.Length
	}{
		{79.625, length.In(79, 5, 8)},
		{-0.125, -length.Eighth},
		{0, 0},
		{0.5 / 25_400_000, 1},   // half a nanometer goes away from zero
		{-0.5 / 25_400_000, -1}, //
		{math.Sqrt2, 35_921_024},
		{1e6, 1_000_000 * length.Inch},
	}
	for _, tt := range tests {
		got, err := length.FromInches(tt.in)
		if err != nil || got != tt.want {
			t.Errorf("FromInches(%v): want %d, got %d, %v", tt.in, tt.want, got, err)
		}
	}
	refused := []struct {
		in   float64
		code string
	}{
		{math.NaN(), length.CodeNotALength},
		{math.Inf(1), length.CodeNotALength},
		{math.Inf(-1), length.CodeNotALength},
		{1.000001e6, length.CodeTooLong},
		{-2e6, length.CodeTooLong},
	}
	for _, tt := range refused {
		got, err := length.FromInches(tt.in)
		if e := refusal(t, err); got != 0 || e.Code != tt.code {
			t.Errorf("FromInches(%v): want 0 and %s, got %d and %s", tt.in, tt.code, got, e.Code)
		}
	}
}

func TestFloats(t *testing.T) {
	t.Parallel()
	l := length.In(79, 5, 8)
	if got := l.Inches(); got != 79.625 {
		t.Errorf("Inches: want 79.625, got %v", got)
	}
	if got := l.Millimeters(); got != 2022.475 {
		t.Errorf("Millimeters: want 2022.475, got %v", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		l := length.Length(rapid.Int64Range(-int64(length.Longest), int64(length.Longest)).Draw(t, "nm"))
		if got, err := length.FromInches(l.Inches()); err != nil || got != l {
			t.Fatalf("FromInches(Inches): want %d, got %d, %v", l, got, err)
		}
	})
}

func TestFloorCeilRound(t *testing.T) {
	t.Parallel()
	const s = length.Sixteenth
	tests := []struct {
		l, step, floor, ceil, round length.Length
	}{
		{length.In(1, 1, 32), s, length.In(1, 0, 1), length.In(1, 1, 16), length.In(1, 1, 16)},
		{-length.In(1, 1, 32), s, -length.In(1, 1, 16), -length.Inch, -length.In(1, 1, 16)},
		{length.In(1, 1, 64), s, length.Inch, length.In(1, 1, 16), length.Inch},
		{-length.In(1, 1, 64), s, -length.In(1, 1, 16), -length.Inch, -length.Inch},
		{-length.In(1, 3, 64), s, -length.In(1, 1, 16), -length.Inch, -length.In(1, 1, 16)},
		{length.In(1, 1, 16), s, length.In(1, 1, 16), length.In(1, 1, 16), length.In(1, 1, 16)},
		{0, s, 0, 0, 0},
		{7, 0, 7, 7, 7},
		{-7, -3, -7, -7, -7},
		{1, 3, 0, 3, 0},
		{2, 3, 0, 3, 3},
		{-2, 3, -3, 0, -3},
	}
	for _, tt := range tests {
		if got := tt.l.Floor(tt.step); got != tt.floor {
			t.Errorf("%d Floor(%d): want %d, got %d", tt.l, tt.step, tt.floor, got)
		}
		if got := tt.l.Ceil(tt.step); got != tt.ceil {
			t.Errorf("%d Ceil(%d): want %d, got %d", tt.l, tt.step, tt.ceil, got)
		}
		if got := tt.l.Round(tt.step); got != tt.round {
			t.Errorf("%d Round(%d): want %d, got %d", tt.l, tt.step, tt.round, got)
		}
	}
}

// Floor, Ceil and Round against exact rational arithmetic.
func TestFloorCeilRoundExact(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.Int64Range(-1e15, 1e15).Draw(t, "l")
		step := rapid.Int64Range(1, 1e9).Draw(t, "step")
		q, m := new(big.Int).DivMod(big.NewInt(l), big.NewInt(step), new(big.Int)) // m >= 0
		floor := q.Int64() * step
		ceil := floor
		if m.Sign() > 0 {
			ceil += step
		}
		round := floor
		if up := 2*m.Int64() - step; up > 0 || up == 0 && l > 0 {
			round = ceil
		}
		x, s := length.Length(l), length.Length(step)
		if got := x.Floor(s); int64(got) != floor {
			t.Fatalf("Floor: want %d, got %d", floor, got)
		}
		if got := x.Ceil(s); int64(got) != ceil {
			t.Fatalf("Ceil: want %d, got %d", ceil, got)
		}
		if got := x.Round(s); int64(got) != round {
			t.Fatalf("Round: want %d, got %d", round, got)
		}
	})
}

func TestAbsMinMax(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name      string
		got, want length.Length
	}{
		{"Abs of a negative", length.Length(-5).Abs(), 5},
		{"Abs of a positive", length.Length(5).Abs(), 5},
		{"Abs of the least", length.Length(math.MinInt64).Abs(), math.MaxInt64},
		{"Min of one", length.Min(3), 3},
		{"Min", length.Min(3, -1, 2), -1},
		{"Max", length.Max(3, -1, 7, 2), 7},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("%s: want %d, got %d", tt.name, tt.want, tt.got)
		}
	}
}
