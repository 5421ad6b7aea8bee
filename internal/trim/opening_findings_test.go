package trim_test

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// TestOpeningFindings tries each of these rules on either side of where it begins to speak.
func TestOpeningFindings(t *testing.T) {
	t.Parallel()
	exit := func(height length.Length) func(*trim.OpeningInput) {
		return func(in *trim.OpeningInput) {
			in.Unit.Exit, in.Unit.SlabWidth, in.Unit.SlabHeight = true, length.In(36, 0, 1), height
			withRough(in, length.In(38, 0, 1))
			// Head underside is 7/8 under the header, whose readings are from a level floor.
			h := height + length.In(1, 1, 4)
			in.Readings.HeightHinge, in.Readings.HeightStrike, in.Readings.FloorStrikeUp = &h, &h, lenPtr(0, 0, 1)
		}
	}
	bypass := func(rough length.Length) func(*trim.OpeningInput) {
		return func(in *trim.OpeningInput) {
			in.Unit.Kind, in.Unit.Panels, in.Unit.SlabWidth, in.Unit.SlabHeight = trim.Bifold, 4, length.In(14, 3, 4), length.In(79, 0, 1)
			in.Unit.WidthAllowance, in.Unit.TrackAllowance, in.Unit.SlabThickness = length.In(1, 0, 1), length.In(1, 1, 4), length.In(1, 3, 8)
			in.Unit.JambThickness, in.Unit.JambWidth, in.Unit.HeadThickness = 0, 0, 0
			withRough(in, rough)
		}
	}
	window := func(hinge, strike length.Length, jamb length.Length) func(*trim.OpeningInput) {
		return func(in *trim.OpeningInput) {
			*in = windowInput()
			in.Unit.ExtensionJambs, in.Unit.JambThickness = jamb > 0, jamb
			in.Readings.DepthTopHinge, in.Readings.DepthTopStrike = &hinge, &strike
			in.Readings.DepthBottomHinge, in.Readings.DepthBottomStrike = &hinge, &strike
		}
	}
	for _, tt := range []struct {
		name, code string
		severity   finding.Severity
		stage      string
		with       func(*trim.OpeningInput)
		want       bool
	}{
		// Bearing on the header: 1/8 + casing − 5/8 − the 1/4 over the head; under 3/4 warn (common practice).
		{"casing 1 1/2 on the header", "bearing_head", finding.Warn, "nailed", func(in *trim.OpeningInput) { in.CasingA.Width = length.In(1, 1, 2) }, false},
		{"casing 1 31/64 on the header", "bearing_head", finding.Warn, "nailed", func(in *trim.OpeningInput) { in.CasingA.Width = length.In(1, 31, 64) }, true},
		// An exit's height, 78 in (IRC R311.2, from memory).
		{"exit 80 high", "clear_height", finding.Warn, "trimmed", exit(length.In(80, 0, 1)), false},
		{"exit 76 high", "clear_height", finding.Warn, "trimmed", exit(length.In(76, 0, 1)), true},
		// Diagonals of a racked opening: 1/4 apart turns the corners of 30 × 80 by half a degree.
		{"square by its diagonals", "corner_from_diagonals", finding.Warn, "cased", func(in *trim.OpeningInput) {
			in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(85, 7, 16), lenPtr(85, 7, 16)
		}, false},
		{"racked by its diagonals", "corner_from_diagonals", finding.Warn, "cased", func(in *trim.OpeningInput) {
			in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(85, 13, 16), lenPtr(85, 1, 16)
		}, true},
		{"diagonals no opening has", "diagonals_impossible", finding.Stop, "measured", func(in *trim.OpeningInput) {
			in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(110, 5, 16), lenPtr(80, 9, 16)
		}, true},
		{"a miter at a ripped leg", "miter_clipped", finding.Note, "cased", func(in *trim.OpeningInput) {
			in.CasingA.Style, in.Readings.SpaceAHinge = trim.Mitered, lenPtr(1, 1, 4)
		}, true},
		{"a miter at a whole leg", "miter_clipped", finding.Note, "cased", func(in *trim.OpeningInput) { in.CasingA.Style = trim.Mitered }, false},
		{"no slab is that low", "slab_no_room", finding.Stop, "measured", func(in *trim.OpeningInput) {
			in.Readings.HeightHinge, in.Readings.HeightStrike, in.Readings.FloorToCome = lenPtr(25, 0, 1), lenPtr(25, 1, 8), lenPtr(5, 0, 1)
		}, true},
		{"bifolds with 1/4 to spare", "slabs_fall_short", finding.Warn, "trimmed", bypass(length.In(60, 1, 4)), false},
		{"bifolds with 9/32 to spare", "slabs_fall_short", finding.Warn, "trimmed", bypass(length.In(60, 9, 32)), true},
		{"an even depth", "rip_tapers", finding.Note, "cased", window(length.In(2, 0, 1), length.In(2, 1, 16), length.In(0, 3, 4)), false},
		{"1/8 deeper at one side", "rip_tapers", finding.Note, "cased", window(length.In(2, 0, 1), length.In(2, 1, 8), length.In(0, 3, 4)), true},
		{"flush at one side", "rip_runs_out", finding.Warn, "cased", window(0, length.In(0, 1, 4), length.In(0, 3, 4)), true},
		{"deep, and nothing said of the strips", "extension_thickness", finding.Warn, "cased", window(length.In(1, 0, 1), length.In(1, 0, 1), 0), true},
		{"flush, and nothing said of them", "extension_thickness", finding.Warn, "cased", window(0, 0, 0), false},
	} {
		in := chainInput()
		tt.with(&in)
		f, ok := findingOf(trim.Opening(in).Findings, tt.code)
		if ok != tt.want || ok && (f.Severity != tt.severity || f.Stage != tt.stage) {
			t.Errorf("%s: %s said %v as %s on %q; want %v as %s on %q", tt.name, tt.code, ok, f.Severity, f.Stage, tt.want, tt.severity, tt.stage)
		}
	}
}
