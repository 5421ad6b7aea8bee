package trim

import (
	"math"
	"math/big"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"pgregory.net/rapid"
)

func feet(ft int64) length.Length { return length.Length(ft) * length.Foot }

// lShape is an L of 12 × 10 ft with a 4 × 3 ft bite: area 108 sq ft, perimeter 44 ft.
func lShape() Room {
	return Room{Walls: []Wall{
		{ID: "north", Length: feet(12)}, {ID: "east", Length: feet(7)},
		{ID: "bite top", Length: feet(4), Turn: Outside}, {ID: "bite side", Length: feet(3)},
		{ID: "south", Length: feet(8)}, {ID: "west", Length: feet(10)},
	}}
}

func TestPlanOfAnLShapedRoom(t *testing.T) {
	t.Parallel()
	p, fs := PlanRoom(lShape(), houserules.Defaults())
	if len(fs) != 0 || p == nil {
		t.Fatalf("findings %+v, want none", fs)
	}
	// 108 ft² × 92 903.04 mm²/ft² (NIST SP 811: 1 ft = 0.3048 m exactly).
	if want := int64(math.Round(108 * 92903.04)); p.Area != want || !p.Closes || p.ClosingError.Length != 0 || p.Ratio != 0 || p.Column {
		t.Errorf("area %d mm², closes %v by %d, ratio %d, column %v; want %d, closing exactly", p.Area, p.Closes, p.ClosingError.Length, p.Ratio, p.Column, want)
	}
	if p.Perimeter.Length != feet(44) {
		t.Errorf("perimeter %v, want 44 ft", p.Perimeter.Length.Inches())
	}
	want := []Point{{0, 0}, {feet(12), 0}, {feet(12), feet(7)}, {feet(8), feet(7)}, {feet(8), feet(10)}, {0, feet(10)}}
	for i, w := range want {
		if p.Corners[i] != w || p.Walked[i] != w {
			t.Errorf("corner %d at %+v (walked %+v), want %+v", i, p.Corners[i], p.Walked[i], w)
		}
	}
}

func TestPlanClosingStop(t *testing.T) {
	t.Parallel()
	// 44 ft round allows 1/2 in + 528/500 in = 1.556 in.
	for _, tt := range []struct {
		over  length.Length
		stops bool
	}{{length.In(1, 1, 2), false}, {length.In(1, 35, 64), false}, {length.In(1, 9, 16), true}, {length.In(12, 0, 1), true}} {
		r := lShape()
		r.Walls[0].Length += tt.over
		p, fs := PlanRoom(r, houserules.Defaults())
		if p == nil || p.Closes == tt.stops || finding.HasStop(fs) != tt.stops {
			t.Errorf("%v in over: closes %v, findings %+v; want stop %v", tt.over.Inches(), p != nil && p.Closes, fs, tt.stops)
			continue
		}
		if p.ErrorX != tt.over || p.ErrorY != 0 || p.ClosingError.Length != tt.over {
			t.Errorf("error (%d, %d) %d, want (%d, 0)", p.ErrorX, p.ErrorY, p.ClosingError.Length, tt.over)
		}
		if want := int64(math.Round(float64(feet(44)+tt.over) / float64(tt.over))); p.Ratio != want {
			t.Errorf("ratio 1:%d, want 1:%d", p.Ratio, want)
		}
	}
}

func TestClosingErrorIsSharedByLength(t *testing.T) {
	t.Parallel()
	// A 10 ft square whose first wall reads an inch long: 40 ft and 1 in round, so each later
	// corner moves back by its share of the way walked (compass rule of land surveying).
	r := Room{Walls: []Wall{{Length: feet(10) + length.Inch}, {Length: feet(10)}, {Length: feet(10)}, {Length: feet(10)}}}
	p, _ := PlanRoom(r, houserules.Defaults())
	for i, walked := range []float64{0, 121, 241, 361} {
		shift := (p.Walked[i].X - p.Corners[i].X).Inches()
		if want := walked / 481; math.Abs(shift-want) > 1e-6 || p.Walked[i].Y != p.Corners[i].Y {
			t.Errorf("corner %d moved back %.6f in, want %.6f", i+1, shift, want)
		}
	}
}

func TestPlanOfColumnBayAndCrossing(t *testing.T) {
	t.Parallel()
	column := Room{Walls: []Wall{{Length: feet(2), Turn: Outside}, {Length: feet(1), Turn: Outside}, {Length: feet(2), Turn: Outside}, {Length: feet(1), Turn: Outside}}}
	p, fs := PlanRoom(column, houserules.Defaults())
	if len(fs) != 0 || !p.Column || p.Area != int64(math.Round(2*92903.04)) {
		t.Errorf("column: %+v, findings %+v; want a column of 2 sq ft", p, fs)
	}
	// A bay: a 10 ft square with one wall replaced by 135° corners that gauge 135 in the room.
	octagon := Room{}
	for range 8 {
		octagon.Walls = append(octagon.Walls, Wall{Length: feet(4), Angle: 135 * Degree})
	}
	p, fs = PlanRoom(octagon, houserules.Defaults())
	// Regular octagon of side a: 2 (1 + √2) a² (any geometry handbook).
	if want := 2 * (1 + math.Sqrt2) * 16 * 92903.04; len(fs) != 0 || math.Abs(float64(p.Area)-want) > 1 || p.ClosingError.Length > 2 {
		t.Errorf("octagon: area %d mm² error %d nm findings %+v, want %.0f", p.Area, p.ClosingError.Length, fs, want)
	}
	bowTie := lShape()
	bowTie.Walls[1].Turn, bowTie.Walls[1].Length = Outside, feet(2)
	_, fs = PlanRoom(bowTie, houserules.Defaults())
	if !has(fs, "room_corners_sum") || !finding.HasStop(fs) {
		t.Errorf("an inside corner taken for outside: %+v, want the corners' sum stopped", fs)
	}
	// A figure of eight: closes, its corners do not add up, and its walls cross.
	eight := Room{Walls: []Wall{{Length: feet(10)}, {Length: feet(10)}, {Length: feet(5)}, {Length: feet(20), Turn: Outside}, {Length: feet(5), Turn: Outside}, {Length: feet(10), Turn: Outside}}}
	_, fs = PlanRoom(eight, houserules.Defaults())
	if !has(fs, "room_walls_cross") || has(fs, "room_does_not_close") {
		t.Errorf("crossing walls: %+v, want them found", fs)
	}
}

func has(fs []finding.Finding, code string) bool {
	for _, f := range fs {
		if f.Code == code {
			return true
		}
	}
	return false
}

func TestPlanFindsWhatCannotBe(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		with func(*Room)
		code string
	}{
		{"unread", func(r *Room) { r.Walls[1].Length = 0 }, "wall_length_missing"},
		{"negative", func(r *Room) { r.Walls[1].Length = -feet(3) }, "wall_length_impossible"},
		{"over 100 ft", func(r *Room) { r.Walls[1].Length = feet(100) + 1 }, "wall_length_impossible"},
		{"29.999°", func(r *Room) { r.Walls[1].Angle = 29_999 }, "wall_angle_impossible"},
		{"inside at 200°", func(r *Room) { r.Walls[1].Turn, r.Walls[1].Angle = Inside, 200*Degree }, "wall_turn_conflict"},
		{"sideways", func(r *Room) { r.Walls[1].Turn = "sideways" }, "wall_turn_unknown"},
		{"two walls", func(r *Room) { r.Walls = r.Walls[:2] }, "room_walls_few"},
		{"201 walls", func(r *Room) { r.Walls = make([]Wall, 201) }, "room_walls_many"},
		{"bowed a foot in seven", func(r *Room) { r.Walls[1].Bow = feet(1) }, "wall_bow_impossible"},
		{"stud beyond the wall", func(r *Room) { s := feet(9); r.Walls[1].Stud = &s }, "wall_stud_off"},
		{"strange end", func(r *Room) { r.Ends = "cliff" }, "room_end_unknown"},
	} {
		r := lShape()
		tt.with(&r)
		p, fs := PlanRoom(r, houserules.Defaults())
		if p != nil || !has(fs, tt.code) || !finding.HasStop(fs) {
			t.Errorf("%s: plan %v findings %+v, want no plan and %s", tt.name, p != nil, fs, tt.code)
		}
	}
}

// TestPlanAgainstAGeometryLibrary checks areas, perimeters and corners against
// github.com/paulmach/orb, which knows polygons and nothing of walls.
func TestPlanAgainstAGeometryLibrary(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		room := drawRoom(t)
		p, fs := PlanRoom(room, houserules.Defaults())
		if p == nil {
			t.Fatalf("no plan: %+v", fs)
		}
		ring := orb.Ring{}
		for _, c := range p.Corners {
			ring = append(ring, orb.Point{c.X.Millimeters(), c.Y.Millimeters()})
		}
		ring = append(ring, ring[0])
		if got, want := float64(p.Area), math.Abs(planar.Area(ring)); math.Abs(got-want) > 0.51+want*1e-9 {
			t.Fatalf("area %.0f mm², orb says %.3f", got, want)
		}
		if got, want := p.Perimeter.Length.Millimeters(), planar.Length(ring); math.Abs(got-want) > 40+want*1e-4 && p.Closes {
			t.Fatalf("perimeter %.3f mm, orb says %.3f", got, want)
		}
		if !p.Closes {
			t.Fatalf("a room drawn to close misses by %d nm of %d allowed", p.ClosingError.Length, p.Allowed.Length)
		}
		// Walk the drawn corners with orb's points: each wall's length and turn are as read.
		n := len(room.Walls)
		for i, w := range room.Walls {
			a, b, c := ring[i], ring[(i+1)%n], ring[(i+2)%n]
			if got := planar.Distance(a, b); math.Abs(got-w.Length.Millimeters()) > 0.5 {
				t.Fatalf("wall %d is %.4f mm on the plan, %.4f read", i+1, got, w.Length.Millimeters())
			}
			corner, _ := w.Corner()
			turn := math.Atan2(c[1]-b[1], c[0]-b[0]) - math.Atan2(b[1]-a[1], b[0]-a[0])
			off := math.Remainder(turn*180/math.Pi-(180-corner.Degrees()), 360)
			if math.Abs(off) > 1 && w.Length > length.Foot && room.Walls[(i+1)%n].Length > length.Foot {
				t.Fatalf("corner %d turns %.3f° off what was read", i+1, off)
			}
		}
	})
}

func TestPlanCornersDoNotHangOnWhereTheWalkStarts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		room := drawRoom(t)
		k := rapid.IntRange(0, len(room.Walls)-1).Draw(t, "start")
		a, _ := PlanRoom(room, houserules.Defaults())
		b, _ := PlanRoom(rotated(RunInput{Room: room}, k).Room, houserules.Defaults())
		c, _ := PlanRoom(mirrored(RunInput{Room: room}).Room, houserules.Defaults())
		for _, o := range []*Plan{b, c} {
			if d := math.Abs(float64(a.Area - o.Area)); d > 2+float64(a.Area)*1e-4 {
				t.Fatalf("area %d, from another wall or mirrored %d", a.Area, o.Area)
			}
			if a.Perimeter.Length != o.Perimeter.Length || a.Column != o.Column {
				t.Fatalf("perimeter %d column %v, other way %d %v", a.Perimeter.Length, a.Column, o.Perimeter.Length, o.Column)
			}
		}
	})
}

// bigSinCos sums the sine and cosine series in 200-bit arithmetic.
func bigSinCos(a Angle) (sin, cos *big.Float) {
	const prec = 200
	pi, _, _ := big.ParseFloat("3.14159265358979323846264338327950288419716939937510582097494459230781640628620899", 10, prec, big.ToNearestEven)
	x := new(big.Float).SetPrec(prec).Mul(pi, big.NewFloat(float64(a.normal())))
	x.Quo(x, big.NewFloat(180_000))
	sin, cos = new(big.Float).SetPrec(prec), new(big.Float).SetPrec(prec)
	term := new(big.Float).SetPrec(prec).SetInt64(1)
	for k := int64(1); k < 120; k++ {
		into := cos
		if k%2 == 0 {
			into = sin
		}
		if (k-1)/2%2 == 0 {
			into.Add(into, term)
		} else {
			into.Sub(into, term)
		}
		term.Mul(term, x)
		term.Quo(term, new(big.Float).SetInt64(k))
	}
	return sin, cos
}

func TestPlanPrecision(t *testing.T) {
	t.Parallel()
	// 40 walls of 100 ft at corners that are not whole degrees, walked in 200-bit arithmetic.
	room := Room{Open: true}
	for i := range 40 {
		room.Walls = append(room.Walls, Wall{Length: MostWall - length.Length(i), Angle: 160_001 + Angle(i*997)})
	}
	p, _ := PlanRoom(room, houserules.Defaults())
	if p == nil {
		t.Fatal("no plan")
	}
	x, y := new(big.Float).SetPrec(200), new(big.Float).SetPrec(200)
	worst := 0.0
	for i, h := range room.headings() {
		sin, cos := bigSinCos(h)
		l := new(big.Float).SetPrec(200).SetInt64(int64(room.Walls[i].Length))
		x.Add(x, cos.Mul(cos, l))
		y.Add(y, sin.Mul(sin, l))
		for _, d := range []struct {
			exact *big.Float
			got   length.Length
		}{{x, p.Walked[i+1].X}, {y, p.Walked[i+1].Y}} {
			off, _ := new(big.Float).Sub(d.exact, new(big.Float).SetInt64(int64(d.got))).Float64()
			worst = max(worst, math.Abs(off))
		}
	}
	t.Logf("worst position error %.4f nm", worst)
	if worst >= 1 {
		t.Errorf("worst position error %.4f nm, want under 1", worst)
	}
}
