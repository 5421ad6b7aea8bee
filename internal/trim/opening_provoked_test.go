package trim_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	"longpoint/internal/words/wordtest"
)

// TestEveryOpeningFindingIsProvoked makes each finding of an opening come up from readings and
// sizes a person could enter, and holds its severity, stage, subject and sentence.
func TestEveryOpeningFindingIsProvoked(t *testing.T) {
	t.Parallel()
	type input = trim.OpeningInput
	fire := func(in *input) { in.Unit.Core, in.Unit.FireLabel = trim.FireRated, "20 min" }
	pocket := func(in *input) {
		in.Unit.Kind, in.Unit.Lap, in.Unit.TrackAllowance, in.Unit.FrameWidth = trim.Pocket, length.Inch, 2*length.Inch, 58*length.Inch
		withRough(in, 59*length.Inch)
	}
	window := func(with func(*input)) func(*input) {
		return func(in *input) { *in = windowInput(); with(in) }
	}
	depths := func(hinge, strike length.Length) func(*input) {
		return window(func(in *input) {
			in.Unit.ExtensionJambs = true
			in.Readings.DepthTopHinge, in.Readings.DepthTopStrike = &hinge, &strike
			in.Readings.DepthBottomHinge, in.Readings.DepthBottomStrike = &hinge, &strike
		})
	}
	racked := func(in *input) {
		in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(85, 13, 16), lenPtr(85, 1, 16)
	}
	provoke := map[string]wordtest.Provoke{
		"reading_not_of_kind": func() []finding.Finding {
			return trim.CheckReading(trim.Unit{Kind: trim.Window}, trim.Readings{}, "lean_hinge", 0)
		},
	}
	for code, with := range map[string]func(*input){
		"reading_impossible":  func(in *input) { in.Readings.WidthTop = lenPtr(3, 0, 1) },
		"corner_impossible":   func(in *input) { in.Readings.CornerHinge = anglePtr(40 * trim.Degree) },
		"lean_impossible":     func(in *input) { in.Readings.LeanHinge = lenPtr(8, 0, 1) },
		"diagonal_impossible": func(in *input) { in.Readings.DiagonalRise = lenPtr(79, 0, 1) },
		"diagonals_impossible": func(in *input) {
			in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(110, 5, 16), lenPtr(80, 9, 16)
		},
		"lean_disagrees":   func(in *input) { in.Readings.LeanStrike = lenPtr(0, 1, 2) },
		"side_bowed":       func(in *input) { in.Readings.WidthTop, in.Readings.WidthMiddle = lenPtr(30, 1, 2), lenPtr(29, 7, 8) },
		"width_unexpected": func(in *input) { withRough(in, 34*length.Inch) },
		"widths_apart":     func(in *input) { in.Readings.WidthTop = lenPtr(31, 1, 2) },
		"height_unexpected": func(in *input) {
			in.Readings.HeightHinge, in.Readings.HeightStrike = lenPtr(90, 0, 1), lenPtr(90, 1, 8)
		},
		"heights_apart":          func(in *input) { in.Readings.HeightStrike = lenPtr(82, 0, 1) },
		"lean_large":             func(in *input) { in.Readings.LeanHinge = lenPtr(0, 3, 4) },
		"floor_slope_large":      func(in *input) { in.Readings.FloorStrikeUp = lenPtr(-1, -1, 2) },
		"floor_large":            func(in *input) { in.Readings.FloorToCome = lenPtr(2, 0, 1) },
		"wall_unusual":           func(in *input) { in.Readings.WallBuildUp = lenPtr(3, 0, 1) },
		"diagonal_unexpected":    func(in *input) { in.Readings.DiagonalRise = lenPtr(88, 0, 1) },
		"corner_large":           func(in *input) { in.Readings.CornerHinge = anglePtr(94 * trim.Degree) },
		"out_of_square":          racked,
		"corner_from_diagonals":  racked,
		"kind_unknown":           func(in *input) { in.Unit.Kind = "hatch" },
		"rule_impossible":        func(in *input) { in.Rules.Reveal = -length.Inch },
		"unit_missing":           func(in *input) { in.Unit.SlabWidth = 0 },
		"unit_impossible":        func(in *input) { in.Unit.SlabWidth = length.Inch },
		"choice_unknown":         func(in *input) { in.Unit.Core = "paper" },
		"slab_thicker_than_jamb": func(in *input) { in.Unit.JambWidth = length.In(1, 1, 2) },
		"frame_too_wide":         func(in *input) { in.Unit.SlabWidth = 30 * length.Inch },
		"shim_tight":             func(in *input) { in.Unit.SlabWidth = length.In(28, 3, 8) },
		"shim_wide":              func(in *input) { withRough(in, length.In(30, 3, 8)) },
		"shim_fur":               func(in *input) { withRough(in, length.In(30, 3, 4)) },
		"shim_one_side":          func(*input) {},
		"shim_one_side_rips": func(in *input) {
			in.CasingA.Style, in.CasingA.Overhang, in.Readings.SpaceAHinge = trim.Mitered, 0, lenPtr(2, 0, 1)
		},
		"slabs_fall_short": func(in *input) {
			in.Unit = trim.Unit{Kind: trim.Bifold, Panels: 4, SlabWidth: length.In(14, 3, 4), SlabHeight: length.In(79, 0, 1),
				WidthAllowance: length.Inch, TrackAllowance: length.In(1, 1, 4), SlabThickness: length.In(1, 3, 8), Grade: trim.Paint}
			withRough(in, length.In(60, 9, 32))
		},
		"legs_set_head": func(in *input) { in.Unit.LegLength = 80 * length.Inch },
		"jamb_short":    func(in *input) { in.Readings.WallBuildUp = lenPtr(4, 7, 8) },
		"jamb_proud":    func(in *input) { in.Unit.JambWidth = length.In(4, 3, 4) },
		"nothing_left": window(func(in *input) { // blocks of 16 in round a window 6 in high meet
			in.Readings.HeightHinge, in.Readings.HeightStrike = lenPtr(6, 0, 1), lenPtr(6, 0, 1)
			in.CasingA.Style, in.CasingA.Width, in.CasingA.Block = trim.CornerBlocks, length.Half, 16*length.Inch
		}),
		"slab_no_room": func(in *input) {
			in.Readings.HeightHinge, in.Readings.HeightStrike, in.Readings.FloorToCome = lenPtr(25, 0, 1), lenPtr(25, 1, 8), lenPtr(5, 0, 1)
		},
		"slab_short":         func(in *input) { in.Unit.SlabHeight = 79 * length.Inch },
		"trim_hollow":        func(in *input) { in.Unit.SlabHeight = 81 * length.Inch },
		"trim_over_limit":    func(in *input) { in.Unit.Core, in.Unit.SlabHeight = trim.Solid, 84*length.Inch },
		"trim_over_sheet":    func(in *input) { in.Unit.MakerTrimMost = length.Half },
		"fire_trim":          fire,
		"fire_bottom":        func(in *input) { fire(in); in.Rules.BottomGap = length.Inch },
		"fire_gap":           func(in *input) { fire(in); in.Rules.HingeGap = length.In(0, 3, 16) },
		"fire_label_missing": func(in *input) { in.Unit.Core = trim.FireRated },
		"hinges_do_not_fit":  func(in *input) { in.Rules.HingeDown = 60 * length.Inch },
		"hinge_small":        func(*input) {},
		"return_air_short":   func(in *input) { in.Unit.ReturnAir = 50 },
		"return_air_fire":    func(in *input) { fire(in); in.Unit.ReturnAir = 50 },
		"clear_width":        func(in *input) { in.Unit.Exit = true },
		"clear_height": func(in *input) {
			in.Unit.Exit = true
			in.Readings.HeightHinge, in.Readings.HeightStrike = lenPtr(78, 0, 1), lenPtr(78, 1, 8)
		},
		"clear_width_no_door": func(in *input) {
			in.Unit = trim.CommonUnit(trim.CasedOpening)
			in.Unit.Accessible, in.Readings.WallBuildUp = true, lenPtr(26, 0, 1)
		},
		"clear_height_no_stop": func(in *input) {
			in.Unit = trim.CommonUnit(trim.CasedOpening)
			in.Unit.Exit = true
			in.Readings.HeightHinge, in.Readings.HeightStrike = lenPtr(78, 0, 1), lenPtr(78, 1, 8)
		},
		"exit_not_hinged": func(in *input) { pocket(in); in.Unit.Exit = true },
		"casing_ripped":   func(in *input) { in.Readings.SpaceAHinge = lenPtr(1, 1, 4) },
		"block_ripped": func(in *input) {
			in.CasingA.Style, in.CasingA.Block, in.Readings.SpaceAHinge = trim.CornerBlocks, length.In(3, 1, 2), lenPtr(2, 1, 4)
		},
		"ear_cut":             func(in *input) { in.Readings.SpaceAHinge = lenPtr(1, 1, 4) },
		"casing_no_room":      func(in *input) { in.Rules.Reveal, in.Readings.SpaceAHinge = length.Half, lenPtr(0, 0, 1) },
		"miter_clipped":       func(in *input) { in.CasingA.Style, in.Readings.SpaceAHinge = trim.Mitered, lenPtr(1, 1, 4) },
		"pocket_nails":        pocket,
		"bearing_miss":        func(in *input) { in.CasingA.Width = length.In(1, 1, 8) },
		"bearing_thin":        func(in *input) { in.CasingA.Width = length.In(1, 3, 8) },
		"bearing_head":        func(in *input) { in.CasingA.Width = length.In(1, 3, 8) },
		"unit_proud":          depths(length.In(0, -1, 4), length.Inch),
		"extension_thickness": window(func(in *input) { in.Unit.JambThickness, in.Readings.DepthTopHinge = 0, lenPtr(1, 0, 1) }),
		"rip_tapers":          depths(2*length.Inch, length.In(2, 1, 8)),
		"rip_runs_out":        depths(0, length.Quarter),
		"stool_meets_wall": window(func(in *input) {
			in.Unit.Surround, in.Unit.Horn, in.Readings.SpaceAHinge = trim.StoolApron, length.Inch, lenPtr(4, 0, 1)
		}),
	} {
		provoke[code] = func() []finding.Finding {
			in := chainInput()
			with(&in)
			return trim.Opening(in).Findings
		}
	}
	wordtest.Provoked(t, "testdata/opening_findings.txt", []string{"opening"}, provoke)
}

// TestNothingLeft: a piece that works out to nothing is left out and named, whichever it is; the
// others stand.
func TestNothingLeft(t *testing.T) {
	t.Parallel()
	thin := chainInput()
	thin.Unit = trim.Unit{Kind: trim.Pocket, SlabWidth: 28 * length.Inch, SlabHeight: 80 * length.Inch, SlabThickness: length.In(1, 3, 4), Core: trim.Hollow,
		Lap: length.Inch, TrackAllowance: length.Inch, FrameWidth: 58 * length.Inch, JambThickness: length.In(0, 5, 8), JambWidth: 2 * length.Inch}
	withRough(&thin, 59*length.Inch)
	low := windowInput()
	low.CasingA.Style, low.CasingA.Width, low.CasingA.Block = trim.CornerBlocks, length.Half, 16*length.Inch
	low.Readings.HeightHinge = lenPtr(6, 0, 1)
	for _, tt := range []struct {
		name, piece, stage, sentence string
		in                           trim.OpeningInput
		other                        string
	}{
		// Half of 2 − 1 3/4 − 2 × 3/16 is −1/16: no width to rip a strip to.
		{"a slot wider than its jamb", "split_leg", "trimmed", "Nothing would be left of the split jamb, leg: it works out at -1/16.", thin, "leg_strike"},
		// 6 + 2 × 1/8 − 2 × (16 − 1/2) / 2 = −9 1/4.
		{"blocks that meet", "casing_a_leg_hinge", "cased", "Nothing would be left of the casing leg, face A, left side: it works out at -9 1/4.", low, "casing_a_leg_strike"},
	} {
		out := trim.Opening(tt.in)
		f, ok := findingOf(out.Findings, "nothing_left")
		if !ok || f.Severity != finding.Stop || f.Stage != tt.stage || f.About != tt.piece {
			t.Errorf("%s: %+v, want a stop at %s about %s", tt.name, f, tt.stage, tt.piece)
			continue
		}
		if got := finding.In("en").Render(f, length.Style{Unit: length.Inches, Step: length.ThirtySecond}).Sentence; got != tt.sentence {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.sentence)
		}
		if hasCut(out, tt.piece) || !hasCut(out, tt.other) {
			t.Errorf("%s: %s is cut or %s is not", tt.name, tt.piece, tt.other)
		}
	}
	if in := chainInput(); in.Rules != houserules.Defaults() {
		t.Error("a test has changed the house's rules")
	}
}
