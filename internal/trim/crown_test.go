package trim

import (
	"errors"
	"math"
	"testing"

	"longpoint/internal/finding"
)

func TestCrownAgainstSawManuals(t *testing.T) {
	t.Parallel()
	// Crown settings printed in miter-saw manuals for a square corner. One manual prints two
	// decimals (and a bevel of 33.85 where rounding gives 33.86, so 0.02 is allowed), two
	// others one decimal.
	for _, tt := range []struct {
		source         string
		spring, corner float64
		miter, bevel   float64
		allow          float64
	}{
		{"miter-saw manual, two decimals, 52/38 crown", 38, 90, 31.62, 33.85, 0.02},
		{"miter-saw manuals, one decimal, 52/38 crown", 38, 90, 31.6, 33.9, 0.05},
		{"miter-saw manual, one decimal, 45/45 crown", 45, 90, 35.3, 30.0, 0.05},
		{"the same corner read round the outside", 38, 270, 31.62, 33.85, 0.02},
		{"a straight wall turns nothing: no source needed", 38, 180, 0, 0, 1e-9},
	} {
		m, b, err := Crown(tt.spring, tt.corner)
		if err != nil || math.Abs(m-tt.miter) > tt.allow || math.Abs(b-tt.bevel) > tt.allow {
			t.Errorf("%s: Crown(%v, %v) = %.4f, %.4f, %v; want %v, %v within %v",
				tt.source, tt.spring, tt.corner, m, b, err, tt.miter, tt.bevel, tt.allow)
		}
	}
}

func TestCrownRefusesWithAPlausibleRange(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		spring, corner float64
		reading        string
	}{
		{0, 90, "spring"}, {90, 90, "spring"}, {-38, 90, "spring"}, {math.NaN(), 90, "spring"}, {math.Inf(1), 90, "spring"},
		{38, 0, "corner"}, {38, 29.9, "corner"}, {38, 331, "corner"}, {38, math.NaN(), "corner"}, {38, math.Inf(-1), "corner"},
	} {
		_, _, err := Crown(tt.spring, tt.corner)
		var bad *AngleError
		if !errors.As(err, &bad) || bad.Reading != tt.reading || !(bad.Least < bad.Most) {
			t.Errorf("Crown(%v, %v): got %v, want a refusal of the %s", tt.spring, tt.corner, err, tt.reading)
			continue
		}
		if f := bad.Finding(); f.Severity != finding.Stop || f.Code != "angle_impossible" {
			t.Errorf("Crown(%v, %v): finding %+v, want a stop", tt.spring, tt.corner, f)
		}
		if _, err := CrownFlat(tt.spring, tt.corner, LeftPiece); err == nil {
			t.Errorf("CrownFlat(%v, %v) took what Crown refuses", tt.spring, tt.corner)
		}
	}
}

func FuzzCrown(f *testing.F) {
	f.Add(38.0, 90.0)
	f.Add(math.NaN(), 270.0)
	f.Fuzz(func(t *testing.T, spring, corner float64) {
		m, b, err := Crown(spring, corner)
		if !(m >= 0 && m < 90 && b >= 0 && b < 90) {
			t.Errorf("Crown(%v, %v) = %v, %v, %v", spring, corner, m, b, err)
		}
		if err != nil && err.Error() == "" {
			t.Errorf("Crown(%v, %v) refused without a word", spring, corner)
		}
	})
}
