package trim

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
)

func TestFeaturesThatCannotStandWhereTheyAre(t *testing.T) {
	t.Parallel()
	door := closet().Features[0]
	for _, tt := range []struct {
		name     string
		with     func(*Feature)
		code     string
		severity finding.Severity
		pieces   int // on the door's wall
	}{
		{"as it is", func(*Feature) {}, "", "", 2},
		{"past the wall's end", func(f *Feature) { f.Offset = feet(5) }, "feature_off_wall", finding.Stop, 0},
		{"before its start", func(f *Feature) { f.Offset = -1 }, "feature_off_wall", finding.Stop, 0},
		{"no width", func(f *Feature) { f.Width = 0 }, "feature_off_wall", finding.Stop, 0},
		{"a light casing", func(f *Feature) { f.CasingLeft = -1 }, "feature_size_impossible", finding.Stop, 0},
		{"upside down", func(f *Feature) { f.Bottom, f.Top = feet(3), feet(2) }, "feature_upside_down", finding.Stop, 0},
		{"what is it", func(f *Feature) { f.Kind = "hatch" }, "feature_kind_unknown", finding.Stop, 0},
		{"on a wall that is not there", func(f *Feature) { f.Wall = 5 }, "feature_wall_unknown", finding.Stop, 1},
		{"casing over the left corner", func(f *Feature) { f.Offset = length.In(1, 0, 1) }, "feature_casing_at_corner", finding.Warn, 1},
		{"casing over the right corner", func(f *Feature) { f.Offset = length.In(45, 0, 1) }, "feature_casing_at_corner", finding.Warn, 1},
	} {
		in := closet()
		f := door
		tt.with(&f)
		in.Features = []Feature{f}
		out := Run(in)
		n := 0
		for _, p := range out.Pieces {
			if p.Wall == 1 {
				n++
			}
		}
		var got finding.Finding
		for _, x := range out.Findings {
			if x.Code == tt.code {
				got = x
			}
		}
		if got.Code != tt.code || got.Severity != tt.severity || n != tt.pieces {
			t.Errorf("%s: %q %q and %d pieces; want %q %q and %d (%+v)", tt.name, got.Code, got.Severity, n, tt.code, tt.severity, tt.pieces, out.Findings)
		}
	}
	in := closet()
	in.Features = append(in.Features, Feature{Wall: 1, Kind: BuiltIn, Offset: feet(4), Width: feet(1)})
	if out := Run(in); !has(out.Findings, "features_overlap") {
		t.Errorf("a cabinet over the casing: %+v, want it found", out.Findings)
	}
}

func TestWhatARunStopsAt(t *testing.T) {
	t.Parallel()
	base := Profile{Kind: Base, Height: length.In(5, 1, 4)}
	rail := Profile{Kind: ChairRail, Height: length.In(3, 0, 1), Mount: length.In(32, 0, 1)}
	crown := Profile{Kind: CrownRun, Height: length.In(4, 0, 1)}
	sill := func(in int64) Feature {
		return Feature{Kind: WindowFeature, Bottom: length.In(in, 0, 1), Top: length.In(80, 0, 1)}
	}
	for _, tt := range []struct {
		name              string
		f                 Feature
		base, rail, crown bool
	}{
		{"door", Feature{Kind: OpeningFeature}, true, true, false},
		{"cased opening to the ceiling", Feature{Kind: OpeningFeature, ToCeiling: true}, true, true, true},
		{"window, sill not said", Feature{Kind: WindowFeature}, false, true, false},
		{"window with its sill under the rail", sill(30), false, true, false},
		{"window with its sill over the rail", sill(36), false, false, false},
		{"window to the floor", sill(2), true, true, false},
		{"base cabinet", Feature{Kind: BuiltIn, Top: length.In(36, 0, 1)}, true, true, false},
		{"hearth", Feature{Kind: BuiltIn, Top: length.In(16, 0, 1)}, true, false, false},
		{"box", Feature{Kind: Box}, false, false, false},
	} {
		if b, r, c := tt.f.breaks(base, ""), tt.f.breaks(rail, ""), tt.f.breaks(crown, ""); b != tt.base || r != tt.rail || c != tt.crown {
			t.Errorf("%s stops base %v, rail %v, crown %v; want %v, %v, %v", tt.name, b, r, c, tt.base, tt.rail, tt.crown)
		}
	}
}
