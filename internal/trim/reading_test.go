package trim_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func TestCheckReading(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		name string
		v    length.Length
		code string
		sev  finding.Severity
	}{
		{"width_top", length.In(3, 0, 1), "reading_impossible", finding.Stop},
		{"width_top", -length.In(30, 0, 1), "reading_impossible", finding.Stop},
		{"width_top", length.In(30, 0, 1), "", ""},
		{"width_top", length.In(32, 0, 1), "widths_apart", finding.Warn},
		{"width_top", length.In(32, 1, 16), "width_unexpected", finding.Warn},
		{"width_top", length.In(31, 0, 1), "", ""},
		{"height_hinge", 30 * length.Foot, "reading_impossible", finding.Stop},
		{"height_hinge", length.In(86, 0, 1), "height_unexpected", finding.Warn},
		{"height_strike", length.In(81, 3, 4), "heights_apart", finding.Warn},
		{"lean_hinge", length.In(31, 0, 1), "reading_impossible", finding.Stop},
		{"lean_hinge", -length.In(8, 0, 1), "lean_impossible", finding.Stop},
		{"lean_hinge", length.In(0, 3, 4), "lean_large", finding.Warn},
		{"lean_hinge", length.In(0, 1, 2), "", ""},
		{"lean_strike", length.In(7, 0, 1), "lean_impossible", finding.Stop},
		{"floor_strike_up", -length.In(1, 1, 8), "floor_slope_large", finding.Warn},
		{"floor_strike_up", length.In(7, 0, 1), "reading_impossible", finding.Stop},
		{"wall_build_up", length.In(4, 1, 2), "", ""},
		{"wall_build_up", length.In(6, 3, 4), "", ""},
		{"wall_build_up", length.In(4, 0, 1), "wall_unusual", finding.Warn},
		{"wall_build_up", length.In(9, 1, 2), "wall_unusual", finding.Warn},
		{"diagonal_rise", length.In(80, 0, 1), "diagonal_impossible", finding.Stop},
		{"diagonal_rise", length.In(111, 0, 1), "diagonal_impossible", finding.Stop},
		{"diagonal_rise", length.In(85, 3, 4), "", ""},
		{"diagonal_fall", length.In(88, 0, 1), "diagonal_unexpected", finding.Warn},
		{"floor_to_come", length.In(2, 0, 1), "floor_large", finding.Warn},
		{"floor_highest", -length.In(0, 1, 8), "reading_impossible", finding.Stop},
		{"space_a_hinge", length.In(0, 0, 1), "", ""},
		{"corner_hinge", 94_000, "corner_large", finding.Warn},
		{"corner_hinge", 45_000, "corner_impossible", finding.Stop},
		{"corner_hinge", 91_500, "", ""},
		{"depth_top_hinge", length.In(1, 0, 1), "reading_not_of_kind", finding.Stop},
	} {
		in := chainInput()
		fs := trim.CheckReading(in.Unit, in.Readings, w.name, w.v)
		if w.code == "" {
			if len(fs) != 0 {
				t.Errorf("%s %s: want nothing, got %+v", w.name, show(w.v), fs)
			}
			continue
		}
		f, ok := findingOf(fs, w.code)
		if !ok || f.Severity != w.sev || f.About != w.name || f.Stage != "measured" {
			t.Errorf("%s %s: want %s %s, got %+v", w.name, show(w.v), w.sev, w.code, fs)
		}
	}
}

// Three inches of flooring to come raise the height that is expected from the floor as it
// stands.
func TestExpectedHeightCountsFlooringToCome(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Readings.FloorToCome = lenPtr(3, 0, 1)
	v := length.In(87, 0, 1)
	if f, ok := findingOf(trim.CheckReading(in.Unit, in.Readings, "height_hinge", v), "height_unexpected"); ok {
		t.Errorf("want 87 over 3 in of floor to come to pass, got %+v", f)
	}
	in.Readings.FloorToCome = nil
	if _, ok := findingOf(trim.CheckReading(in.Unit, in.Readings, "height_hinge", v), "height_unexpected"); !ok {
		t.Error("want 87 over a finished floor to be odd")
	}
}

// What cannot be is left out of the arithmetic, not bent into range.
func TestImpossibleReadingIsLeftOut(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Readings.WidthTop = lenPtr(3, 0, 1)
	out := trim.Opening(in)
	for _, v := range out.Values {
		if v.Name == "plumb_width" {
			t.Errorf("want no plumb width from an impossible reading, got %s", show(v.Value.Length))
		}
	}
	if _, ok := findingOf(out.Findings, "reading_impossible"); !ok {
		t.Error("want the reading named")
	}
	if _, ok := findingOf(out.Findings, "reading_missing"); ok {
		t.Error("want it called impossible, not missing")
	}
	wantLen(t, "legs do not need the width", cutOf(t, out, "leg_hinge").Value.Length, length.In(80, 1, 8))
}

func TestGetSet(t *testing.T) {
	t.Parallel()
	for _, k := range []trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window} {
		var r trim.Readings
		specs := trim.ReadingSpecs(trim.Unit{Kind: k})
		for i, sp := range specs {
			if r.Get(sp.Name) != nil {
				t.Errorf("%s %s: want not taken", k, sp.Name)
			}
			if !r.Set(sp.Name, length.Length(i+1)) {
				t.Errorf("%s %s: want a place for it", k, sp.Name)
			}
			if (sp.Min < 0) != sp.Signed || sp.Signed != (sp.Positive != "" && sp.Negative != "") {
				t.Errorf("%s %s: want directions just where it is signed: %+v", k, sp.Name, sp)
			}
		}
		for i, sp := range specs {
			if v := r.Get(sp.Name); v == nil || *v != length.Length(i+1) {
				t.Errorf("%s %s: want %d, got %v", k, sp.Name, i+1, v)
			}
		}
	}
	var r trim.Readings
	if r.Set("width", 1) || r.Get("width") != nil {
		t.Error("want no reading of an unknown name")
	}
	if got := trim.ReadingSpecs(trim.Unit{Kind: "hatch"}); got != nil {
		t.Errorf("want no readings of an unknown kind, got %v", got)
	}
}

func TestRequiredReadingsOfADoor(t *testing.T) {
	t.Parallel()
	want := map[string]bool{
		"width_bottom": true, "width_middle": true, "width_top": true, "height_hinge": true, "height_strike": true,
		"floor_strike_up": true, "lean_hinge": true, "wall_build_up": true,
	}
	for _, sp := range trim.ReadingSpecs(trim.Unit{Kind: trim.Door}) {
		if sp.Required != want[sp.Name] {
			t.Errorf("%s: want required %v", sp.Name, want[sp.Name])
		}
	}
}

func TestCheckUnitAndCasing(t *testing.T) {
	t.Parallel()
	if fs := trim.CheckUnit(chainInput().Unit); len(fs) != 0 {
		t.Errorf("want a common door to pass, got %+v", fs)
	}
	for _, w := range []struct {
		set   func(*trim.Unit)
		code  string
		about string
	}{
		{func(u *trim.Unit) { u.Kind = "hatch" }, "kind_unknown", "kind"},
		{func(u *trim.Unit) { u.SlabWidth = 0 }, "unit_missing", "slab_width"},
		{func(u *trim.Unit) { u.SlabWidth = length.Inch }, "unit_impossible", "slab_width"},
		{func(u *trim.Unit) { u.JambThickness = -length.Inch }, "unit_impossible", "jamb_thickness"},
		{func(u *trim.Unit) { u.SlabThickness, u.JambWidth = length.In(3, 0, 1), length.In(2, 0, 1) }, "slab_thicker_than_jamb", "slab_thickness"},
		{func(u *trim.Unit) { u.Core = "cardboard" }, "choice_unknown", "core"},
		{func(u *trim.Unit) { u.Core = "" }, "unit_missing", "core"},
		{func(u *trim.Unit) { u.HingeOn = "up" }, "choice_unknown", "hinge_on"},
	} {
		u := chainInput().Unit
		w.set(&u)
		f, ok := findingOf(trim.CheckUnit(u), w.code)
		if !ok || f.About != w.about || f.Severity != finding.Stop || f.Wanted != (w.code == "unit_missing") {
			t.Errorf("want %s about %s, got %+v", w.code, w.about, trim.CheckUnit(u))
		}
	}
	for _, w := range []struct {
		c     trim.Casing
		code  string
		about string
	}{
		{trim.Casing{Style: "quilted", Width: length.In(2, 3, 4), Thickness: length.Half}, "choice_unknown", "casing_style"},
		{trim.Casing{Style: trim.Mitered, Thickness: length.Half}, "unit_missing", "casing_width"},
		{trim.Casing{Style: trim.Mitered, Width: length.In(20, 0, 1), Thickness: length.Half}, "unit_impossible", "casing_width"},
		{trim.Casing{Style: trim.CornerBlocks, Width: length.In(3, 0, 1), Thickness: length.Half, Block: length.In(2, 0, 1)}, "unit_impossible", "block"},
	} {
		if f, ok := findingOf(trim.CheckCasing(w.c), w.code); !ok || f.About != w.about {
			t.Errorf("want %s about %s, got %+v", w.code, w.about, trim.CheckCasing(w.c))
		}
	}
}
