package trim

import (
	"errors"
	"math"
	"testing"

	"longpoint/internal/houserules"
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

// What a detent opens at a corner's joint, worked here from where the ends lie on the plan: the
// corner is the origin, wall 1 runs to it along y = 0 with the room above, wall 2 leaves it.
func TestADetentOpensWhatIsCutAtIt(t *testing.T) {
	t.Parallel()
	const d = 9.0 / 16
	tan := func(deg float64) float64 { return math.Tan(deg * math.Pi / 180) }
	for _, tt := range []struct {
		inside InsideJoint
		angle  float64
		want   float64 // miter wanted
		detent float64
		opens  func(sin, cos float64) float64 // of the corner
	}{
		// The second piece's cut face begins on the first's face and runs from it by 5° for 9/16 ÷ cos 15°.
		{InsideButt, 80, 10, 15, func(_, _ float64) float64 { return d / math.Cos(15*math.Pi/180) * math.Sin(5*math.Pi/180) }},
		// The outermost line of the coped piece ends at (−d tan 45°, d), of the first piece's face every
		// point lies d off wall 2.
		{InsideCope, 100, 40, 45, func(sin, cos float64) float64 { return math.Abs(d*tan(45)*sin - d*cos - d) }},
		{InsideCope, 80, 50, 45, func(sin, cos float64) float64 { return math.Abs(d*tan(45)*sin - d*cos - d) }},
		// Both miters' outermost lines end at their own d tan 45° from the line that halves the corner.
		{InsideMiter, 100, 40, 45, func(_, _ float64) float64 {
			return 2 * d * (tan(45) - tan(40)) * math.Cos(40*math.Pi/180)
		}},
	} {
		in := RunInput{
			Room: Room{Open: true, Starts: EndButt, Ends: EndButt, Walls: []Wall{
				{Length: length.In(60, 0, 1), Turn: Inside, Angle: Angle(tt.angle * 1000)}, {Length: length.In(60, 0, 1)}}},
			Profile: Profile{Kind: Base, Height: length.In(5, 1, 4), Thickness: nineSixteenths},
			Corners: Corners{Inside: tt.inside},
			Rules:   houserules.Defaults(),
		}
		out := Run(in)
		if len(out.Corners) != 1 || out.Corners[0].Saw.Miter.Opens == nil {
			t.Fatalf("%s at %v°: got %+v", tt.inside, tt.angle, out.Corners)
		}
		sin, cos := math.Sincos(tt.angle * math.Pi / 180)
		m := out.Corners[0].Saw.Miter
		if got, want := m.Opens.Inches(), tt.opens(sin, cos); m.Want != tt.want || *m.Detent != tt.detent || math.Abs(got-want) > 1e-6 {
			t.Errorf("%s at %v°: %v at detent %v opens %.5f, want %v at %v opening %.5f", tt.inside, tt.angle, m.Want, *m.Detent, got, tt.want, tt.detent, want)
		}
	}
}
