package finish_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"

	"pgregory.net/rapid"
)

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

func ptr[T any](v T) *T { return &v }

func codes(fs []finding.Finding) string {
	out := ""
	for i, f := range fs {
		if i > 0 {
			out += " "
		}
		out += string(f.Severity) + ":" + f.Code
	}
	return out
}

// casingContext is an everyday door: 11/16 casing over 1/2 board, 3/4 jamb, 1/4 shim space.
func casingContext() finish.Context {
	return finish.Context{
		Stage: stage.Nailed, Grade: trim.Paint, Material: "wood",
		CasingThickness: ptr(in(0, 11, 16)), WallLayers: ptr(in(0, 1, 2)),
		JambThickness: ptr(in(0, 3, 4)), ShimSpace: ptr(in(0, 1, 4)),
		Rules: houserules.Defaults(),
	}
}

func TestCheckFastener(t *testing.T) {
	t.Parallel()
	nail := func(k finish.Kind, l length.Length, w finish.Where) finish.Fastener {
		return finish.Fastener{Kind: k, Length: l, Count: 10, Where: w}
	}
	shoe := func(c *finish.Context) {
		c.CasingThickness, c.Behind, c.JambThickness, c.ShimSpace = ptr(in(0, 1, 2)), ptr(in(0, 9, 16)), nil, nil
	}
	casing := func(t length.Length) func(*finish.Context) {
		return func(c *finish.Context) { c.CasingThickness = ptr(t) }
	}
	tests := []struct {
		name string
		f    finish.Fastener
		with func(*finish.Context)
		want string
	}{
		// All common practice: 11/16 + 1/2 + 3/4 = 1 15/16.
		{"stud, next stock length up", nail(finish.Finish16, in(2, 0, 0), finish.Stud), nil, ""},
		{"stud, bite 9/16", nail(finish.Finish16, in(1, 3, 4), finish.Stud), nil, "stop:nail_short"},
		{"stud, exactly enough", nail(finish.Finish16, in(2, 0, 0), finish.Stud), func(c *finish.Context) { c.CasingThickness = ptr(in(0, 3, 4)) }, ""},
		{"stud, a hair short", nail(finish.Finish16, in(2, 0, 0), finish.Stud), func(c *finish.Context) { c.CasingThickness = ptr(in(0, 3, 4) + 1) }, "stop:nail_short"},
		{"stud, kind not made long enough", nail(finish.Brad18, in(2, 0, 0), finish.Stud), func(c *finish.Context) { c.WallLayers = ptr(in(1, 1, 8)) }, "stop:kind_too_short"},
		{"stud, past the wire setback", nail(finish.Finish15, in(2, 1, 2), finish.Stud), nil, "note:nail_deep"},
		{"stud, wall not read", nail(finish.Finish15, in(2, 0, 0), finish.Stud), func(c *finish.Context) { c.WallLayers = nil }, "warn:bite_unchecked"},
		{"stud, casing not said", nail(finish.Finish15, in(2, 0, 0), finish.Stud), func(c *finish.Context) { c.CasingThickness = nil }, "warn:bite_unchecked"},
		{"stud, wall impossible", nail(finish.Finish15, in(2, 0, 0), finish.Stud), func(c *finish.Context) { c.WallLayers = ptr(-length.Half) }, "stop:thickness_implausible"},
		{"stud, metric nail for 2 in", nail(finish.Finish16, 50*length.Millimeter, finish.Stud), nil, ""},
		// Shoe of 1/2 before a base of 9/16: 1/2 + 9/16 + 1/2 + 3/4 = 2 5/16 to the stud.
		{"shoe, stud, 3/16 in it", nail(finish.Brad18, in(1, 3, 4), finish.Stud), shoe, "stop:kind_too_short"},
		{"shoe, stud, a quarter short", nail(finish.Finish16, in(2, 1, 4), finish.Stud), shoe, "stop:nail_short"},
		{"shoe, stud, next stock length up", nail(finish.Finish16, in(2, 1, 2), finish.Stud), shoe, ""},
		// Into the base: at least 1/2 (common practice).
		{"shoe, base", nail(finish.Brad18, in(1, 0, 0), finish.Base), shoe, ""},
		{"shoe, base, 1/4 in it", nail(finish.Brad18, in(0, 3, 4), finish.Base), shoe, "stop:nail_short_in_base"},
		{"shoe, base thinner than that", nail(finish.Brad18, in(1, 0, 0), finish.Base), func(c *finish.Context) { shoe(c); c.Behind = ptr(in(0, 3, 8)) }, ""},
		{"shoe, not through a thinner base", nail(finish.Brad18, in(0, 3, 4), finish.Base), func(c *finish.Context) { shoe(c); c.Behind = ptr(in(0, 3, 8)) }, "stop:nail_short_in_base"},
		{"shoe, base not said", nail(finish.Brad18, in(1, 0, 0), finish.Base), func(c *finish.Context) { shoe(c); c.Behind = nil }, ""},
		{"shoe, base not said, short", nail(finish.Brad18, in(0, 3, 4), finish.Base), func(c *finish.Context) { shoe(c); c.Behind = nil }, "stop:nail_short_in_base"},
		{"shoe, wall not said", nail(finish.Brad18, in(1, 1, 4), finish.Base), func(c *finish.Context) { shoe(c); c.WallLayers = nil }, ""},
		{"shoe, through base and wall, past the wire setback", nail(finish.HandFinish, in(3, 0, 0), finish.Base), shoe, "note:nail_deep"},
		{"shoe, base impossible", nail(finish.Brad18, in(1, 0, 0), finish.Base), func(c *finish.Context) { shoe(c); c.Behind = ptr(-length.Inch) }, "stop:thickness_implausible"},
		// Jamb edge: 1 1/4, over 1 1/2 warn (common practice).
		{"jamb edge 1 1/4", nail(finish.Brad18, in(1, 1, 4), finish.JambEdge), nil, ""},
		{"jamb edge 1 1/2", nail(finish.Brad18, in(1, 1, 2), finish.JambEdge), nil, ""},
		{"jamb edge a hair over 1 1/2", nail(finish.Brad18, in(1, 1, 2)+1, finish.JambEdge), nil, "warn:jamb_nail_long"},
		{"jamb edge a hair under 1 1/4", nail(finish.Brad18, in(1, 1, 4)-1, finish.JambEdge), nil, "warn:jamb_nail_short"},
		{"jamb edge 1 3/4 blows out", nail(finish.Brad18, in(1, 3, 4), finish.JambEdge), nil, "warn:jamb_nail_long"},
		{"jamb edge 1 is short", nail(finish.Brad18, in(1, 0, 0), finish.JambEdge), nil, "warn:jamb_nail_short"},
		{"jamb edge, not through the casing", nail(finish.Brad18, in(0, 5, 8), finish.JambEdge), nil, "stop:nail_misses_jamb"},
		// At least 1/2 in the jamb, as 1 1/4 leaves past 3/4 casing (common practice).
		{"jamb edge, 3/4 casing", nail(finish.Brad18, in(1, 1, 4), finish.JambEdge), casing(in(0, 3, 4)), ""},
		{"jamb edge, a hair over 3/4", nail(finish.Brad18, in(1, 1, 4), finish.JambEdge), casing(in(0, 3, 4) + 1), "warn:jamb_nail_short"},
		{"jamb edge, 1/8 in the jamb", nail(finish.Brad18, in(1, 1, 4), finish.JambEdge), casing(in(1, 1, 8)), "warn:jamb_nail_short"},
		{"jamb edge, 3/8 in the jamb", nail(finish.Brad18, in(1, 1, 2), finish.JambEdge), casing(in(1, 1, 8)), "warn:jamb_nail_short"},
		{"jamb edge, the next that holds is not too long", nail(finish.Brad18, in(1, 3, 4), finish.JambEdge), casing(in(1, 1, 8)), ""},
		{"jamb edge, longer than that is", nail(finish.Brad18, in(2, 0, 0), finish.JambEdge), casing(in(1, 1, 8)), "warn:jamb_nail_long"},
		{"jamb edge, flush with thick casing", nail(finish.Brad18, in(1, 1, 4), finish.JambEdge), casing(in(1, 1, 4)), "stop:nail_misses_jamb"},
		{"MDF with 18 gauge", nail(finish.Brad18, in(1, 1, 4), finish.JambEdge), func(c *finish.Context) { c.Material = "mdf" }, "note:mdf_thin_nail"},
		{"MDF with 16 gauge", nail(finish.Finish16, in(1, 1, 4), finish.JambEdge), func(c *finish.Context) { c.Material = "mdf" }, ""},
		// Through the jamb: 3/4 + 1/4 + 3/4 = 1 3/4.
		{"shim point 1 3/4", nail(finish.Finish15, in(1, 3, 4), finish.ShimPoint), nil, ""},
		{"shim point 1 1/2", nail(finish.Finish15, in(1, 1, 2), finish.HiddenUnderStop), nil, "stop:nail_short"},
		{"shim space not known", nail(finish.Finish15, in(2, 0, 0), finish.ShimPoint), func(c *finish.Context) { c.ShimSpace = nil }, "warn:bite_unchecked"},
		// Stock.
		{"23 gauge is not made 2 1/2", nail(finish.Pin23, in(2, 1, 2), finish.Corner), nil, "stop:nail_not_made"},
		{"15 gauge is not made 5/8", nail(finish.Finish15, in(0, 5, 8), finish.JambEdge), nil, "stop:nail_not_made"},
		{"no length", nail(finish.Brad18, 0, finish.Corner), nil, "stop:nail_not_made"},
		{"an odd length", nail(finish.TrimScrew, in(1, 7, 16), finish.Corner), nil, "note:nail_length_odd"},
		{"unknown kind", nail("staple", in(1, 0, 0), finish.Corner), nil, "stop:entry_unknown"},
		{"unknown place", nail(finish.Brad18, in(1, 0, 0), "ceiling"), nil, "stop:entry_unknown"},
		{"corner pin", nail(finish.Pin23, in(1, 0, 0), finish.Corner), nil, ""},
		{"toe without glue", nail(finish.Finish16, in(2, 0, 0), finish.Toe), nil, "warn:toe_unglued"},
		{"toe with glue", nail(finish.Finish16, in(2, 0, 0), finish.Toe), func(c *finish.Context) { c.Adhesive = true }, ""},
		{"screw on stain grade", nail(finish.TrimScrew, in(2, 0, 0), finish.ShimPoint), func(c *finish.Context) { c.Grade = trim.Stain }, "note:screw_shows"},
		{"screw under the stop", nail(finish.TrimScrew, in(2, 0, 0), finish.HiddenUnderStop), func(c *finish.Context) { c.Grade = trim.Stain }, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			c := casingContext()
			if tt.with != nil {
				tt.with(&c)
			}
			got := finish.CheckFastener(tt.f, c)
			if codes(got) != tt.want {
				t.Errorf("CheckFastener = %q, want %q", codes(got), tt.want)
			}
			for _, f := range got {
				if f.Stage != "nailed" {
					t.Errorf("%s bears on %q, want nailed", f.Code, f.Stage)
				}
			}
		})
	}
}

// TestTheJambNailFollowsTheCasing: the nail that is asked for instead leaves 1/2 in the jamb
// (common practice), and passes its own check.
func TestTheJambNailFollowsTheCasing(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ casing, driven, want length.Length }{
		{in(0, 5, 8), in(1, 0, 0), in(1, 1, 4)},
		{in(0, 3, 4), in(1, 0, 0), in(1, 1, 4)},
		{in(1, 0, 0), in(1, 1, 4), in(1, 1, 2)},
		{in(1, 1, 8), in(1, 1, 4), in(1, 3, 4)},
		{in(1, 1, 4), in(1, 1, 4), in(1, 3, 4)},
	} {
		c := casingContext()
		c.CasingThickness = ptr(tt.casing)
		nail := finish.Fastener{Kind: finish.Brad18, Length: tt.driven, Count: 10, Where: finish.JambEdge}
		fs := finish.CheckFastener(nail, c)
		if len(fs) != 1 {
			t.Errorf("%s through %s: %q, want one finding", tt.driven.Exact("in"), tt.casing.Exact("in"), codes(fs))
			continue
		}
		for _, a := range fs[0].Args {
			if a.Name == "usual" && *a.Length != tt.want {
				t.Errorf("%s through %s: asks for %s, want %s", tt.driven.Exact("in"), tt.casing.Exact("in"), a.Length.Exact("in"), tt.want.Exact("in"))
			}
		}
		if nail.Length = tt.want; len(finish.CheckFastener(nail, c)) > 0 {
			t.Errorf("%s through %s: %q", tt.want.Exact("in"), tt.casing.Exact("in"), codes(finish.CheckFastener(nail, c)))
		}
	}
}

func TestCheckFastenerCount(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		count int64
		want  string
	}{{-1, "stop:fastener_count_bad"}, {0, "stop:fastener_count_bad"}, {1, ""}, {10_000, ""}, {10_001, "stop:fastener_count_bad"}} {
		f := finish.Fastener{Kind: finish.Brad18, Length: in(1, 1, 4), Count: tt.count, Where: finish.JambEdge}
		if got := codes(finish.CheckFastener(f, casingContext())); got != tt.want {
			t.Errorf("count %d: %q, want %q", tt.count, got, tt.want)
		}
	}
}

func TestNeedLengthShowsItsTerms(t *testing.T) {
	t.Parallel()
	v := finish.NeedLength(in(0, 11, 16), in(0, 5, 8), houserules.Defaults())
	if want := in(2, 1, 16); v.Length != want { // 11/16 + 5/8 + 3/4, common practice
		t.Errorf("NeedLength = %s, want %s", v.Length.Exact("in"), want.Exact("in"))
	}
	var sum length.Length
	for _, term := range v.Terms {
		sum += term.Length
	}
	if sum != v.Length || len(v.Terms) != 3 {
		t.Errorf("%d terms sum to %d, want 3 that sum to %d", len(v.Terms), sum, v.Length)
	}
	if next, ok := finish.NextStock(finish.Finish16, v.Length); !ok || next != in(2, 1, 4) {
		t.Errorf("next stock = %s %v, want 2.25 in", next.Exact("in"), ok)
	}
	if got, want := finish.NeedThroughJamb(in(0, 3, 4), in(0, 3, 8), houserules.Defaults()).Length, in(1, 7, 8); got != want {
		t.Errorf("NeedThroughJamb = %s, want %s", got.Exact("in"), want.Exact("in"))
	}
}

func TestNeedLengthFollowsHouseRule(t *testing.T) {
	t.Parallel()
	r, bad := houserules.Resolve(houserules.Layer{Origin: houserules.Job, Set: houserules.Set{"nail_into_stud": int64(in(1, 0, 0))}})
	if len(bad) > 0 {
		t.Fatalf("override refused: %v", bad)
	}
	if got, want := finish.NeedLength(in(0, 3, 4), in(0, 1, 2), r).Length, in(2, 1, 4); got != want {
		t.Errorf("NeedLength = %s, want %s", got.Exact("in"), want.Exact("in"))
	}
}

func TestCheckNailing(t *testing.T) {
	t.Parallel()
	nail := func(w finish.Where) finish.Fastener {
		return finish.Fastener{Kind: finish.Finish16, Length: in(2, 0, 0), Count: 4, Where: w}
	}
	casing, base, shoe := []finish.Where{finish.JambEdge, finish.Stud}, []finish.Where{finish.Stud}, []finish.Where{finish.Base}
	for _, tt := range []struct {
		name   string
		wanted []finish.Where
		logged []finish.Fastener
		want   string
	}{
		{"nothing", casing, nil, "stop:fasteners_not_logged"},
		{"one side", casing, []finish.Fastener{nail(finish.JambEdge)}, "stop:place_not_nailed"},
		{"both", casing, []finish.Fastener{nail(finish.JambEdge), nail(finish.Stud)}, ""},
		{"toe nails stand for the stud", casing, []finish.Fastener{nail(finish.JambEdge), nail(finish.Toe)}, ""},
		{"base is not held by itself", base, []finish.Fastener{nail(finish.Base)}, "stop:place_not_nailed"},
		{"shoe into the base", shoe, []finish.Fastener{nail(finish.Base)}, ""},
		{"shoe to the stud", shoe, []finish.Fastener{nail(finish.Stud)}, ""},
		{"toed shoe", shoe, []finish.Fastener{nail(finish.Toe)}, ""},
		{"shoe at the corners alone", shoe, []finish.Fastener{nail(finish.Corner)}, "stop:place_not_nailed"},
	} {
		got := finish.CheckNailing(tt.logged, tt.wanted, stage.Nailed)
		if codes(got) != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, codes(got), tt.want)
		}
		for _, f := range got {
			if !f.Wanted {
				t.Errorf("%s: %s is not marked as still to be entered", tt.name, f.Code)
			}
		}
	}
}

func TestStockLengthsAscend(t *testing.T) {
	t.Parallel()
	for _, k := range finish.Kinds() {
		stock := finish.StockLengths(k)
		if len(stock) < 2 {
			t.Fatalf("%s has %d stock lengths", k, len(stock))
		}
		for i := 1; i < len(stock); i++ {
			if stock[i] <= stock[i-1] {
				t.Errorf("%s: %s after %s", k, stock[i].Exact("in"), stock[i-1].Exact("in"))
			}
		}
	}
}

// The nail the rule book recommends passes its own check, and the next one down does not.
func TestRecommendedNailPasses(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := casingContext()
		c.CasingThickness = ptr(length.Length(rapid.Int64Range(int64(length.Quarter), int64(in(1, 1, 4))).Draw(t, "casing")))
		c.WallLayers = ptr(length.Length(rapid.Int64Range(0, int64(in(1, 1, 4))).Draw(t, "layers")))
		k := rapid.SampledFrom(finish.Kinds()).Draw(t, "kind")
		need := finish.NeedLength(*c.CasingThickness, *c.WallLayers, c.Rules)
		next, ok := finish.NextStock(k, need.Length)
		stock := finish.StockLengths(k)
		for _, l := range stock {
			f := finish.Fastener{Kind: k, Length: l, Count: 1, Where: finish.Stud}
			stops := finding.HasStop(finish.CheckFastener(f, c))
			if enough := ok && l >= next; stops == enough {
				t.Fatalf("%s %s for a need of %s (next %s, %v): stops %v, want %v",
					k, l.Exact("in"), need.Length.Exact("in"), next.Exact("in"), ok, stops, !enough)
			}
		}
		if ok && next < need.Length {
			t.Fatalf("next stock %d is under the need %d", next, need.Length)
		}
	})
}
