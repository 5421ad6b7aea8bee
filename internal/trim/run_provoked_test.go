package trim

import (
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/words/wordtest"
)

// TestEveryRunFindingIsProvoked makes each finding of a room and its runs come up from walls
// and choices a person could enter, and holds its severity, stage, subject and sentence.
func TestEveryRunFindingIsProvoked(t *testing.T) {
	t.Parallel()
	crown := func(in *RunInput) {
		in.Profile = Profile{Kind: CrownRun, Height: length.In(3, 5, 8), Thickness: nineSixteenths, Spring: 38 * Degree}
	}
	corner := func(c Angle) func(*RunInput) {
		return func(in *RunInput) {
			in.Room = Room{Open: true, Walls: []Wall{{Length: feet(10), Angle: c}, {Length: feet(10)}}}
			in.Features = nil
		}
	}
	register := Feature{Wall: 1, Kind: Register, Offset: length.Inch, Width: feet(1), Top: 4 * length.Inch}
	provoke := map[string]wordtest.Provoke{
		"run_reading_impossible": func() []finding.Finding { return CheckRunReading(closet(), "wall_1_length", int64(200*length.Foot)) },
		"run_reading_unknown":    func() []finding.Finding { return CheckRunReading(closet(), "wall_9_length", int64(length.Foot)) },
	}
	for code, with := range map[string]func(*RunInput){
		"room_walls_few":         func(in *RunInput) { in.Room.Walls = in.Room.Walls[:2] },
		"room_walls_many":        func(in *RunInput) { in.Room.Walls = make([]Wall, 201) },
		"wall_length_missing":    func(in *RunInput) { in.Room.Walls[1].Length = 0 },
		"wall_length_impossible": func(in *RunInput) { in.Room.Walls[1].Length = 200 * length.Foot },
		"wall_angle_impossible":  func(in *RunInput) { in.Room.Walls[1].Angle = 5 * Degree },
		"wall_turn_unknown":      func(in *RunInput) { in.Room.Walls[1].Turn = "up" },
		"wall_turn_conflict":     func(in *RunInput) { in.Room.Walls[1].Turn, in.Room.Walls[1].Angle = Inside, 200*Degree },
		"wall_bow_impossible":    func(in *RunInput) { in.Room.Walls[1].Bow = feet(1) },
		"wall_bowed":             func(in *RunInput) { in.Room.Walls[1].Bow = length.In(0, 3, 8) },
		"wall_hollow":            func(in *RunInput) { in.Room.Walls[1].Bow = length.In(0, -3, 16) },
		"wall_stud_off":          func(in *RunInput) { off := feet(4); in.Room.Walls[1].Stud = &off },
		"room_end_unknown":       func(in *RunInput) { in.Room.Ends = "cliff" },
		"room_corners_sum":       func(in *RunInput) { in.Room.Walls[1].Angle = 95 * Degree },
		"room_does_not_close":    func(in *RunInput) { in.Room.Walls[1].Length += 2 * length.Inch },
		"room_walls_cross": func(in *RunInput) {
			in.Room = Room{Open: true, Walls: []Wall{{Length: feet(10)}, {Length: feet(6)}, {Length: feet(4)}, {Length: feet(10)}}}
		},
		"feature_wall_unknown":     func(in *RunInput) { in.Features[0].Wall = 9 },
		"feature_kind_unknown":     func(in *RunInput) { in.Features[0].Kind = "chimney" },
		"feature_size_impossible":  func(in *RunInput) { in.Features[0].CasingLeft = -length.Inch },
		"feature_off_wall":         func(in *RunInput) { in.Features[0].Offset = feet(5) },
		"feature_upside_down":      func(in *RunInput) { in.Features[0].Bottom, in.Features[0].Top = feet(3), feet(2) },
		"feature_casing_at_corner": func(in *RunInput) { in.Features[0].Offset = length.Inch },
		"features_overlap": func(in *RunInput) {
			in.Features = append(in.Features, Feature{Wall: 1, Kind: BuiltIn, Offset: feet(4), Width: feet(1)})
		},
		"registers_unsaid":         func(in *RunInput) { in.Features = append(in.Features, register) },
		"profile_kind_unknown":     func(in *RunInput) { in.Profile.Kind = "picture rail" },
		"profile_position_unknown": func(in *RunInput) { crown(in); in.Profile.Position = "sideways" },
		"profile_size_impossible":  func(in *RunInput) { in.Profile.Thickness = length.ThirtySecond },
		"angle_impossible":         func(in *RunInput) { crown(in); in.Profile.Spring = 2 * Degree },
		"run_choice_unknown":       func(in *RunInput) { in.Corners.Inside = "dovetail" },
		"scarf_angle_unusual":      func(in *RunInput) { in.Corners.ScarfAngle = 20 * Degree },
		"run_wall_unknown":         func(in *RunInput) { in.Along = []int{1, 9} },
		"corner_choice_unfit":      func(in *RunInput) { in.Corners.Choices = []CornerChoice{{After: 9, Inside: InsideMiter}} },
		"piece_no_room": func(in *RunInput) {
			in.Corners.Inside, in.Corners.First = InsideButt, RightFirst
			in.Features = append(in.Features, Feature{Wall: 1, Kind: BuiltIn, Offset: feet(5), Width: length.In(11, 1, 2)})
		},
		"piece_sliver": func(in *RunInput) {
			in.Room = Room{Open: true, Starts: EndSquare, Walls: in.Room.Walls[:1]}
			in.Features[0].Offset = length.In(3, 1, 8)
		},
		"small_piece_caution":   func(in *RunInput) { in.Features[0].Offset = length.In(6, 3, 4) },
		"taped_apart":           func(in *RunInput) { in.Taped = []TapedStretch{{Wall: 2, Stretch: 1, Length: length.In(36, 3, 16)}} },
		"taped_unknown":         func(in *RunInput) { in.Taped = []TapedStretch{{Wall: 1, Stretch: 7, Length: feet(2)}} },
		"taped_impossible":      func(in *RunInput) { in.Taped = []TapedStretch{{Wall: 1, Stretch: 1, Length: -length.Inch}} },
		"run_too_long_no_studs": func(in *RunInput) { in.Profile.StockLength, in.Room.Walls[2].Stud = feet(4), nil },
		"run_stock_too_short":   func(in *RunInput) { in.Profile.StockLength = feet(1) },
		"studs_unknown":         func(in *RunInput) { in.Room.Walls[1].Stud = nil },
		"corner_past_saw":       corner(30 * Degree),
		"corner_hole_behind":    func(in *RunInput) { corner(140 * Degree)(in); in.Corners.Inside = InsideCope },
		"corner_acute_thin":     func(in *RunInput) { corner(50 * Degree)(in); in.Corners.Inside = InsideCope },
		"corner_past_saw_bevel": func(in *RunInput) {
			corner(88 * Degree)(in)
			crown(in)
			in.Profile.Spring, in.Corners.Inside = 5*Degree, InsideMiter
		},
		"corner_past_saw_nested": func(in *RunInput) { corner(78 * Degree)(in); crown(in); in.Profile.Position = Nested },
		"corner_past_saw_crown":  func(in *RunInput) { corner(50 * Degree)(in); crown(in) },
	} {
		provoke[code] = func() []finding.Finding {
			in := closet()
			with(&in)
			return Run(in).Findings
		}
	}
	wordtest.Provoked(t, "testdata/run_findings.txt", []string{"run"}, provoke)
}
