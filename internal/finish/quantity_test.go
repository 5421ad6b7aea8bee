package finish_test

import (
	"math"
	"strings"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"

	"pgregory.net/rapid"
)

func has(fs []finding.Finding, part string) bool { return strings.Contains(codes(fs), part) }

func noWaste() houserules.Rules {
	r := houserules.Defaults()
	r.Waste = 0
	return r
}

// A US gallon is 231 cubic inches and 128 fluid ounces, by definition.
func TestFluidOunce(t *testing.T) {
	t.Parallel()
	if finish.CubicInchesPerFluidOunce != 1.8046875 || finish.CubicInchesPerFluidOunce*128 != 231 {
		t.Errorf("a fluid ounce is %v cubic inches, want 1.8046875", finish.CubicInchesPerFluidOunce)
	}
	// A sealant seller's table prints 18.3 for "10.1 oz", which is 300 mL; 10.1 fl oz is 18.227.
	near(t, "a cartridge", finish.CartridgeFluidOunces*finish.CubicInchesPerFluidOunce, 18.227, 0.0005)
}

// Feet per 10.1 fl oz cartridge without waste, worked out by hand: 18.2273 / (width × depth) / 12.
func TestFeetPerCartridge(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		width, depth length.Length
		feet, within float64
	}{
		{in(0, 1, 8), in(0, 1, 8), 97.2, 0.05}, {in(0, 3, 16), in(0, 3, 16), 43.2, 0.05}, {in(0, 1, 4), in(0, 1, 4), 24.3, 0.05},
		{in(0, 3, 8), in(0, 3, 8), 10.8, 0.05}, {in(0, 1, 8), in(0, 1, 4), 48.6, 0.05}, {in(0, 1, 4), in(0, 1, 2), 12.15, 0.005},
	} {
		got, ok := finish.FeetPerCartridge(finish.Bead{Section: finish.Filled, Width: tt.width, Depth: tt.depth}, finish.CartridgeFluidOunces)
		if !ok {
			t.Errorf("%s by %s refused", tt.width.Exact("in"), tt.depth.Exact("in"))
		}
		near(t, "feet", got, tt.feet, tt.within)
		fillet, _ := finish.FeetPerCartridge(finish.Bead{Section: finish.Fillet, Width: tt.width, Depth: tt.depth}, finish.CartridgeFluidOunces)
		near(t, "feet of fillet, half the section", fillet, 2*got, 1e-9)
	}
}

func TestCartridges(t *testing.T) {
	t.Parallel()
	square := func(feet int64) finish.Bead {
		return finish.Bead{Section: finish.Filled, Width: length.Quarter, Depth: length.Quarter, Run: length.Length(feet) * length.Foot}
	}
	for _, tt := range []struct {
		name  string
		beads []finish.Bead
		waste int64
		inch3 float64
		packs int64
	}{
		{"nothing", nil, 10, 0, 0},
		{"24 ft fits one", []finish.Bead{square(24)}, 0, 18, 1},
		{"25 ft takes two", []finish.Bead{square(25)}, 0, 18.75, 2},
		{"24 ft with 10 % waste takes two", []finish.Bead{square(24)}, 10, 19.8, 2},
		{"in two runs", []finish.Bead{square(12), square(13)}, 0, 18.75, 2},
		{"round 1/4 bead, 10 ft: π/64 × 120", []finish.Bead{{Section: finish.Round, Width: length.Quarter, Run: 10 * length.Foot}}, 0, math.Pi / 64 * 120, 1},
	} {
		r := noWaste()
		r.Waste = tt.waste
		s, fs := finish.Cartridges(tt.beads, finish.CartridgeFluidOunces, r)
		if len(fs) > 0 || s.Packages != tt.packs {
			t.Errorf("%s: %d cartridges (%s), want %d", tt.name, s.Packages, codes(fs), tt.packs)
		}
		near(t, tt.name, s.CubicInches, tt.inch3, 1e-9)
		near(t, tt.name+", fl oz", s.FluidOunces, tt.inch3/1.8046875, 1e-9)
	}
	// Ten cartridges' worth is ten cartridges: 256/231 oz is 2 cubic inches, 32 in of 1/4 × 1/4.
	bead := finish.Bead{Section: finish.Filled, Width: length.Quarter, Depth: length.Quarter, Run: 320 * length.Inch}
	if s, _ := finish.Cartridges([]finish.Bead{bead}, 256.0/231, noWaste()); s.Packages != 10 {
		t.Errorf("ten packages' worth buys %d", s.Packages)
	}
}

func TestQuantitiesRefuse(t *testing.T) {
	t.Parallel()
	bead := finish.Bead{Section: finish.Filled, Width: length.Quarter, Depth: length.Quarter, Run: length.Foot}
	over := noWaste()
	over.Waste = 101
	_, width := finish.Cartridges([]finish.Bead{{Section: finish.Filled, Depth: length.Quarter, Run: length.Foot}}, 10, noWaste())
	_, section := finish.Cartridges([]finish.Bead{{Section: "oval", Width: 1, Depth: 1}}, 10, noWaste())
	_, pack := finish.Cartridges([]finish.Bead{bead}, math.NaN(), noWaste())
	_, waste := finish.Cartridges([]finish.Bead{bead}, 10, over)
	_, depth := finish.FillerFor([]finish.Hole{{Kind: finish.Brad18, Count: 1}}, 0, 6, noWaste())
	_, kind := finish.FillerFor([]finish.Hole{{Kind: "staple", Count: 1}}, length.Eighth, 6, noWaste())
	_, count := finish.NailOrders([]finish.Fastener{{Kind: finish.Brad18, Where: finish.Stud, Count: -1}}, nil, noWaste())
	_, box := finish.NailOrders([]finish.Fastener{{Kind: finish.Brad18, Where: finish.Stud, Count: 1}}, []finish.Box{{Kind: finish.Brad18}}, noWaste())
	for want, fs := range map[string][]finding.Finding{
		"stop:bead_bad": width, "stop:package_size_bad": pack, "stop:waste_bad": waste,
		"stop:holes_bad": depth, "stop:fastener_count_bad": count, "stop:box_bad": box,
	} {
		if got := codes(fs); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if codes(section) != "stop:bead_bad" || codes(kind) != "stop:holes_bad" {
		t.Errorf("unknown section %q, unknown kind %q", codes(section), codes(kind))
	}
	if feet, ok := finish.FeetPerCartridge(finish.Bead{Section: finish.Filled}, 10); ok || feet != 0 {
		t.Errorf("a bead of no size goes %v ft, want a refusal", feet)
	}
}

// Washburn & Moen steel wire gauge: 15 is 0.0720, 16 is 0.0625, 18 is 0.0475; 23 is 0.0258 from
// memory. A UK supplier's sheet gives 1.9, 1.6, 1.25 and 0.64 mm, up to 6 % off the wire.
func TestWireGauge(t *testing.T) {
	t.Parallel()
	for k, want := range map[finish.Kind]struct{ inch, mm float64 }{
		finish.Finish15: {0.0720, 1.9}, finish.Finish16: {0.0625, 1.6}, finish.Brad18: {0.0475, 1.25}, finish.Pin23: {0.0258, 0.64},
	} {
		d := finish.HoleDiameter(k)
		near(t, string(k), d.Inches(), want.inch, 1e-9)
		near(t, string(k)+" against the supplier's mm", d.Millimeters()/want.mm, 1, 0.06)
	}
	kinds := finish.Kinds()
	for i := 1; i < len(kinds); i++ {
		if finish.HoleDiameter(kinds[i]) <= finish.HoleDiameter(kinds[i-1]) {
			t.Errorf("%s leaves no larger hole than %s", kinds[i], kinds[i-1])
		}
	}
}

func TestFillerFor(t *testing.T) {
	t.Parallel()
	// 1000 holes of 1/16 in, 1/8 deep: 1000 × π/4 × (1/16)² × 1/8 = 0.38350 in³ = 0.2125 fl oz.
	s, fs := finish.FillerFor([]finish.Hole{{Kind: finish.Finish16, Count: 1000}}, length.Eighth, 6, noWaste())
	if len(fs) > 0 || s.Packages != 1 {
		t.Errorf("%d tubs (%s), want 1", s.Packages, codes(fs))
	}
	near(t, "filler", s.CubicInches, 0.383495, 1e-6)
	near(t, "filler, fl oz", s.FluidOunces, 0.212499, 1e-6)
}

func TestNailOrders(t *testing.T) {
	t.Parallel()
	driven := []finish.Fastener{
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 600, Where: finish.Stud},
		{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 95, Where: finish.JambEdge},
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 401, Where: finish.Corner},
	}
	boxes := []finish.Box{{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 1000}}
	got, fs := finish.NailOrders(driven, boxes, houserules.Defaults()) // 10 % waste
	want := []finish.NailOrder{
		{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 1102, Boxes: 2}, // 1001 × 1.1 = 1101.1
		{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 105},              // 95 × 1.1 = 104.5; box not known
	}
	if len(fs) > 0 || len(got) != len(want) {
		t.Fatalf("NailOrders = %+v (%s), want %+v", got, codes(fs), want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("order %d = %+v, want %+v", i, got[i], want[i])
		}
	}
}

func TestBeadsOf(t *testing.T) {
	t.Parallel()
	r := noWaste()
	gap := finish.Gap{Edge: finish.SideEdge, Width: in(0, 3, 8), Run: length.Foot, Closing: finish.Caulked}
	s, _ := finish.Cartridges(finish.BeadsOf(gap, trim.Paint, r), finish.CartridgeFluidOunces, r)
	// A foot of 3/8 × 1/4 joint and a 1/8 fillet: 12 × (3/32 + 1/128).
	near(t, "3/8 gap over backer", s.CubicInches, 12*(3.0/32+1.0/128), 1e-9)
	for name, beads := range map[string][]finish.Bead{
		"stain":   finish.BeadsOf(gap, trim.Stain, r),
		"scribed": finish.BeadsOf(finish.Gap{Width: length.Quarter, Run: length.Foot, Closing: finish.Scribed}, trim.Paint, r),
		"refit":   finish.BeadsOf(finish.Gap{Width: length.Inch, Run: length.Foot, Closing: finish.Caulked}, trim.Paint, r),
	} {
		if len(beads) > 0 {
			t.Errorf("%s takes %v, want no caulk", name, beads)
		}
	}
}

// Longer runs and more waste never buy less.
func TestMoreNeverBuysLess(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := finish.Bead{
			Section: rapid.SampledFrom(finish.Sections()).Draw(t, "section"),
			Width:   length.Length(rapid.Int64Range(1, int64(2*length.Inch)).Draw(t, "width")),
			Depth:   length.Length(rapid.Int64Range(1, int64(2*length.Inch)).Draw(t, "depth")),
			Run:     length.Length(rapid.Int64Range(0, int64(length.Longest)).Draw(t, "run")),
		}
		longer, r, wasteful := b, noWaste(), noWaste()
		longer.Run += length.Length(rapid.Int64Range(0, int64(length.Longest)).Draw(t, "more"))
		wasteful.Waste = rapid.Int64Range(0, 100).Draw(t, "waste")
		base, bad := finish.Cartridges([]finish.Bead{b}, 10.1, r)
		more, _ := finish.Cartridges([]finish.Bead{longer}, 10.1, wasteful)
		if len(bad) > 0 || more.Packages < base.Packages || more.CubicInches < base.CubicInches {
			t.Fatalf("%+v buys %+v, %+v at %d %% buys %+v (%s)", b, base, longer, wasteful.Waste, more, codes(bad))
		}
		if float64(base.Packages)*10.1 < base.FluidOunces-1e-6 {
			t.Fatalf("%d cartridges do not hold %.3f fl oz", base.Packages, base.FluidOunces)
		}
	})
}
