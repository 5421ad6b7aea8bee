package trim

import (
	"strings"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// TestRunFindings tries each of these rules on a run that calls for it and on one that does not.
func TestRunFindings(t *testing.T) {
	t.Parallel()
	crown := func(in *RunInput) {
		in.Profile = Profile{Kind: CrownRun, Height: length.In(3, 5, 8), Thickness: nineSixteenths, Spring: 38 * Degree}
	}
	for _, tt := range []struct {
		name, code string
		severity   finding.Severity
		with       func(*RunInput)
		want       bool
	}{
		{"as it is", "piece_sliver", finding.Note, func(*RunInput) {}, false},
		{"3/8 beside the casing", "piece_sliver", finding.Note, func(in *RunInput) {
			in.Room = Room{Open: true, Starts: EndSquare, Walls: in.Room.Walls[:1]}
			in.Features[0].Offset = length.In(3, 1, 8)
		}, true},
		{"no less than 6 in", "small_piece_caution", finding.Note, func(*RunInput) {}, false},
		{"4 in beside the casing", "small_piece_caution", finding.Note, func(in *RunInput) { in.Features[0].Offset = length.In(6, 3, 4) }, true},
		{"a stretch its joints eat", "piece_no_room", finding.Warn, func(in *RunInput) {
			in.Corners.Inside, in.Corners.First = InsideButt, RightFirst
			in.Features = append(in.Features, Feature{Wall: 1, Kind: BuiltIn, Offset: feet(5), Width: length.In(11, 1, 2)})
		}, true},
		{"crown at a square corner", "corner_past_saw_bevel", finding.Warn, crown, false},
		{"steep crown at a sharp corner", "corner_past_saw_crown", finding.Warn, func(in *RunInput) {
			crown(in)
			in.Profile.Spring = 30 * Degree
			in.Corners.Inside = InsideMiter
			in.Room = Room{Open: true, Walls: []Wall{{Length: feet(10), Angle: 40 * Degree}, {Length: feet(10)}}}
			in.Features = nil
		}, true},
		{"no such stock", "profile_kind_unknown", finding.Stop, func(in *RunInput) { in.Profile.Kind = "picture_rail" }, true},
		{"paper", "profile_size_impossible", finding.Stop, func(in *RunInput) { in.Profile.Thickness = length.ThirtySecond }, true},
		{"a foot and a half wide", "profile_size_impossible", finding.Stop, func(in *RunInput) { in.Profile.Height = 18 * length.Inch }, false},
		{"wider than any", "profile_size_impossible", finding.Stop, func(in *RunInput) { in.Profile.Height = 25 * length.Inch }, true},
		{"crown lying how", "profile_position_unknown", finding.Stop, func(in *RunInput) { crown(in); in.Profile.Position = "sideways" }, true},
		{"a joint nobody makes", "run_choice_unknown", finding.Stop, func(in *RunInput) { in.Corners.Inside = "dovetail" }, true},
		{"who goes first", "run_choice_unknown", finding.Stop, func(in *RunInput) { in.Corners.First = "youngest" }, true},
		{"a scarf of 20°", "scarf_angle_unusual", finding.Stop, func(in *RunInput) { in.Corners.ScarfAngle = 20 * Degree }, true},
		{"a stretch that is not there", "taped_unknown", finding.Warn, func(in *RunInput) {
			in.Taped = []TapedStretch{{Wall: 1, Stretch: 7, Length: feet(2)}}
		}, true},
	} {
		in := closet()
		tt.with(&in)
		var got finding.Finding
		for _, f := range Run(in).Findings {
			if f.Code == tt.code {
				got = f
			}
		}
		if (got.Code != "") != tt.want || tt.want && got.Severity != tt.severity {
			t.Errorf("%s: %s said %v as %q; want %v as %s", tt.name, tt.code, got.Code != "", got.Severity, tt.want, tt.severity)
		}
	}
}

// A remedy for crown past the saw is one the saw reaches: laid the other way, or with half the
// turn at each end of a piece between.
func TestCrownPastTheSawIsToldWhatCanBeCut(t *testing.T) {
	t.Parallel()
	codes := map[string]int{}
	for _, spring := range []float64{10, 22, 38, 45, 52} {
		for corner := 30.0; corner < 180; corner++ {
			for _, lies := range []Position{Flat, Nested} {
				saw := DefaultSaw()
				out := Run(RunInput{
					Room:    Room{Open: true, Starts: EndButt, Ends: EndButt, Walls: []Wall{{Length: feet(10), Turn: Inside, Angle: Angle(corner * 1000)}, {Length: feet(10)}}},
					Profile: Profile{Kind: CrownRun, Height: length.In(3, 5, 8), Thickness: nineSixteenths, Spring: Angle(spring * 1000), Position: lies},
					Corners: Corners{Inside: InsideMiter}, Saw: &saw, Rules: houserules.Defaults(),
				})
				miter, bevel, _ := Crown(spring, corner)
				nested, _ := CrownNested(corner)
				flatReached := miter <= 50 && bevel <= 45
				want := ""
				switch {
				case lies == Flat && flatReached, lies == Nested && nested <= 50:
				case lies == Flat && nested <= 50:
					want = "corner_past_saw_bevel"
				case lies == Nested && flatReached:
					want = "corner_past_saw_nested"
				default:
					want = "corner_past_saw_crown"
					if half, _ := CrownNested(180 - (180-corner)/2); half > 50 {
						t.Errorf("%v° at %v°: half of the turn wants %v° nested, past the saw", spring, corner, half)
					}
				}
				got := ""
				for _, f := range out.Findings {
					if strings.HasPrefix(f.Code, "corner_past_saw") {
						got += f.Code
					}
				}
				if codes[got]++; got != want {
					t.Errorf("%v° %s at %v°: says %q, want %q", spring, lies, corner, got, want)
				}
			}
		}
	}
	if len(codes) != 4 {
		t.Errorf("got %v, want each said once at least", codes)
	}
}
