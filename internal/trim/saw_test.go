package trim

import (
	"errors"
	"math"
	"testing"

	"longpoint/internal/length"
)

func TestSawDetents(t *testing.T) {
	t.Parallel()
	s := DefaultSaw()
	for _, tt := range []struct {
		miter, bevel             float64
		wantMiter, wantBevel     float64
		offMiter, offBevel       float64
		miterReaches, bevelReach bool
	}{
		{31.619, 33.863, 31.62, 33.86, 0.001, -0.003, true, true},
		{35.264, 30, 31.62, 33.86, -3.644, 3.86, true, true},
		{44.5, 0, 45, 0, 0.5, 0, true, true},
		{22.5, 0, 22.5, 0, 0, 0, true, true},
		{50, 45, 45, 45, -5, 0, true, true},
		{75, 46, 45, 45, -30, -1, false, false},
	} {
		got, err := s.Set(tt.miter, tt.bevel, length.In(3, 5, 8), length.In(0, 9, 16))
		if err != nil {
			t.Errorf("Set(%v, %v): %v", tt.miter, tt.bevel, err)
			continue
		}
		if *got.Miter.Detent != tt.wantMiter || *got.Bevel.Detent != tt.wantBevel ||
			math.Abs(got.Miter.Off-tt.offMiter) > 1e-9 || math.Abs(got.Bevel.Off-tt.offBevel) > 1e-9 ||
			got.Miter.InReach != tt.miterReaches || got.Bevel.InReach != tt.bevelReach {
			t.Errorf("Set(%v, %v): miter %+v bevel %+v, want detents %v (%+v) and %v (%+v), reach %v and %v", tt.miter, tt.bevel,
				got.Miter, got.Bevel, tt.wantMiter, tt.offMiter, tt.wantBevel, tt.offBevel, tt.miterReaches, tt.bevelReach)
		}
	}
	for _, bad := range []float64{-1, 90, math.NaN(), math.Inf(1)} {
		var ae *AngleError
		if _, err := s.Set(bad, 0, length.Inch, 0); !errors.As(err, &ae) || ae.Reading != "miter" {
			t.Errorf("Set(%v, 0): got %v, want the miter refused", bad, err)
		}
		if _, err := s.Set(0, bad, length.Inch, 0); !errors.As(err, &ae) || ae.Reading != "bevel" {
			t.Errorf("Set(0, %v): got %v, want the bevel refused", bad, err)
		}
	}
	if got, err := (Saw{MiterMost: 45 * Degree}).Set(10, 0, length.Inch, length.Inch); err != nil || got.Miter.Detent != nil || !got.Miter.InReach {
		t.Errorf("a saw without detents: %+v, %v; want none and in reach", got.Miter, err)
	}
}

func TestSawGapOfAHalfDegree(t *testing.T) {
	t.Parallel()
	// 9/16 stock mitered at 45 where 44.5 is wanted: each face is 9/16 × √2 = 0.7955 long and
	// half a degree out, so the two stand 2 × 0.7955 × 0.008727 = 0.01388 in apart.
	got, err := DefaultSaw().Set(44.5, 0, length.In(0, 9, 16), 0)
	if err != nil || got.Miter.Opens == nil {
		t.Fatalf("Set: %+v, %v", got, err)
	}
	if in := got.Miter.Opens.Inches(); math.Abs(in-0.01388) > 0.00001 {
		t.Errorf("opens %.5f in, want 0.01388", in)
	}
}
