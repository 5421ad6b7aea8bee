package trim

import (
	"testing"

	"longpoint/internal/finding"
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
		{"steep crown at a sharp corner", "corner_past_saw_bevel", finding.Warn, func(in *RunInput) {
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
