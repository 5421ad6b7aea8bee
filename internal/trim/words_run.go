package trim

import "longpoint/internal/finding"

// RunWords is what the rules of rooms and wall runs say, in English.
func RunWords() finding.Catalog {
	return finding.Catalog{Findings: runFindings(), Terms: runTerms()}
}

const (
	wordsPractice = "Common practice."
	wordsGeometry = "Plane geometry of the walls as read."
)

func runFindings() map[string]finding.Words {
	return map[string]finding.Words{
		"room_walls_few": {
			Sentence: "{walls} walls do not make a room.",
			Remedy:   "Enter every wall, or mark the walk as open if its ends do not meet.",
			Basis:    "A closed walk has at least three walls.",
		},
		"room_walls_many": {
			Sentence: "{walls} walls are more than one room can have.",
			Remedy:   "Enter at most {most} walls; split the room.",
			Basis:    "Guard against a slip; no room seen has so many.",
		},
		"wall_length_missing": {
			Sentence: "Wall {wall} has not been measured.",
			Remedy:   "Tape wall {wall} corner to corner.",
			Basis:    "The plan and every piece on the wall need it.",
		},
		"wall_length_impossible": {
			Sentence: "Wall {wall} cannot be {length} long.",
			Remedy:   "Measure wall {wall} again: a wall is from {least} to {most}.",
			Basis:    wordsPractice,
		},
		"wall_angle_impossible": {
			Sentence: "The corner at the right end of wall {wall} cannot be {angle}°.",
			Remedy:   "Gauge it again: from {least}° to {most}°, between the walls on the room's side.",
			Basis:    wordsPractice,
		},
		"wall_turn_unknown": {
			Sentence: "The corner at the right end of wall {wall} is marked “{turn}”, which is neither inside nor outside.",
			Remedy:   "Mark it inside or outside.",
			Basis:    "A corner either faces into the room or stands out into it.",
		},
		"wall_turn_conflict": {
			Sentence: "The corner at the right end of wall {wall} is marked inside but reads {angle}°.",
			Remedy:   "Over 180° on the room's side is an outside corner: mark it outside, or gauge it again.",
			Basis:    "An inside corner is under 180° on the room's side.",
		},
		"wall_bow_impossible": {
			Sentence: "Wall {wall} cannot bow {bow}.",
			Remedy:   "String the wall from end to end and measure again: at most {most}.",
			Basis:    wordsPractice,
		},
		"wall_bowed": {
			Sentence: "Wall {wall} stands {bow} into the room at its middle.",
			Remedy:   "Bend the piece to the wall or scribe it; bent, it is {grows} longer than the straight wall. Check the length in place.",
			Basis:    "Length of a flat arc; gap limits are house rules.",
		},
		"wall_hollow": {
			Sentence: "Wall {wall} is hollow by {bow} at its middle.",
			Remedy:   "Pull the piece in at the studs or shim and caulk the top; bent in, it is {grows} longer than the straight wall.",
			Basis:    "Length of a flat arc; gap limits are house rules.",
		},
		"wall_stud_off": {
			Sentence: "The stud on wall {wall} cannot be {stud} from its left end.",
			Remedy:   "The wall is {length} long: measure the stud's center from the wall's left end again.",
			Basis:    wordsGeometry,
		},
		"room_end_unknown": {
			Sentence: "An end of the walk is marked “{end}”.",
			Remedy:   "Say wall, butt, return or square.",
			Basis:    "The end decides how the last piece is cut.",
		},
		"room_corners_sum": {
			Sentence: "The corners add up to {sum}°, {off}° off the {want}° they must.",
			Remedy:   "Gauge the corners again, and check which are inside and which outside.",
			Basis:    "Sum of a polygon's angles.",
		},
		"room_does_not_close": {
			Sentence: "The walls miss closing by {error}, 1 in {ratio} of the way round; {allowed} is allowed.",
			Remedy:   "Measure the longest walls again, then gauge the corners that are not square.",
			Basis:    "House rule: an allowance plus a share of the perimeter of {perimeter}.",
		},
		"room_walls_cross": {
			Sentence: "On the plan wall {wall} runs into wall {other}.",
			Remedy:   "Check which corners are inside and which outside, and the walls between.",
			Basis:    "Walls of one room meet only at their corners.",
		},
		"feature_wall_unknown": {
			Sentence: "Feature {feature} is on wall {wall}, but there are {walls}.",
			Remedy:   "Put it on one of the room's walls.",
			Basis:    wordsGeometry,
		},
		"feature_kind_unknown": {
			Sentence: "Feature {feature} on wall {wall} is marked “{kind}”.",
			Remedy:   "Say opening, window, built in, register or box.",
			Basis:    "What it is decides whether the run stops there.",
		},
		"feature_size_impossible": {
			Sentence: "The {kind} on wall {wall} has a size of {length}.",
			Remedy:   "Measure it again: from nothing to {most}.",
			Basis:    wordsPractice,
		},
		"feature_off_wall": {
			Sentence: "The {kind} on wall {wall} does not fit: {offset} from the left end and {width} wide on a wall of {length}.",
			Remedy:   "Measure its left edge from the wall's left end, and its width, again.",
			Basis:    wordsGeometry,
		},
		"feature_upside_down": {
			Sentence: "The {kind} on wall {wall} has its top at {top}, not above its bottom at {bottom}.",
			Remedy:   "Measure both from the floor again.",
			Basis:    wordsGeometry,
		},
		"feature_casing_at_corner": {
			Sentence: "The casing of the {kind} on wall {wall} reaches {over} past the corner.",
			Remedy:   "Rip that leg to the space there is; the run is worked out to the corner.",
			Basis:    wordsGeometry,
		},
		"features_overlap": {
			Sentence: "On wall {wall} feature {feature} and feature {other} overlap by {by}.",
			Remedy:   "Measure both from the wall's left end to the outside edges of their casings again.",
			Basis:    wordsGeometry,
		},
		"registers_unsaid": {
			Sentence: "There are registers along this run and nothing says what to do at them.",
			Remedy:   "Say cut round or run over; cut round is worked out meanwhile.",
			Basis:    "A choice of the job, said once for each run.",
		},
		"profile_kind_unknown": {
			Sentence: "The run is marked “{kind}”.",
			Remedy:   "Say base, shoe, chair rail or crown.",
			Basis:    "The kind decides where the run stops.",
		},
		"profile_position_unknown": {
			Sentence: "The crown is marked to lie “{position}” in the saw.",
			Remedy:   "Say flat or nested.",
			Basis:    "The two need different angles.",
		},
		"profile_size_impossible": {
			Sentence: "{reading} cannot be {length}.",
			Remedy:   "Measure the stock again: from {least} to {most}.",
			Basis:    wordsPractice,
		},
		"angle_impossible": {
			Sentence: "{reading} cannot be {angle}°.",
			Remedy:   "Read it again: from {least}° to {most}°.",
			Basis:    wordsPractice,
		},
		"run_reading_impossible": {
			Sentence: "{quantity} of wall {wall} cannot be {value}.",
			Remedy:   "Take it again: from {least} to {most}.",
			Basis:    wordsPractice,
		},
		"run_reading_unknown": {
			Sentence: "This run does not ask for “{name}”.",
			Remedy:   "Pick one of the readings the run lists.",
			Basis:    "Every reading belongs to a wall of the room.",
		},
		"run_choice_unknown": {
			Sentence: "“{word}” is no choice for {what}.",
			Remedy:   "Pick one of the choices offered.",
			Basis:    "The rule book knows no other.",
		},
		"scarf_angle_unusual": {
			Sentence: "A scarf at {angle}° is not cut.",
			Remedy:   "Pick 30° or 45°.",
			Basis:    wordsPractice,
		},
		"corner_choice_unfit": {
			Sentence: "There is no inside corner after wall {wall} to make another way.",
			Remedy:   "Take the choice off, or put it on an inside corner.",
			Basis:    wordsGeometry,
		},
		"piece_no_room": {
			Sentence: "Wall {wall}, stretch {stretch}: no piece fits in {space} once its joints are taken off.",
			Remedy:   "Leave it bare and caulk, or fit a block by hand.",
			Basis:    wordsGeometry,
		},
		"piece_sliver": {
			Sentence: "Wall {wall}, piece {piece} is only {length} long and may split.",
			Remedy:   "Glue it instead of nailing, or scribe a block to the place.",
			Basis:    wordsPractice,
		},
		"small_piece_caution": {
			Sentence: "Some pieces of this run are shorter than {least}.",
			Remedy:   "Cut them off the end of a long stick: guard on, blade at full speed before the cut, both hands clear. Let the blade stop before you lift it or reach in.",
			Basis:    "Safety; the saw's own manual decides.",
		},
		"taped_apart": {
			Sentence: "Wall {wall}, stretch {stretch} tapes {taped} but works out to {computed}: {apart} apart.",
			Remedy:   "Measure it again, and the openings on the wall; more than {most} is a wrong reading.",
			Basis:    "House rule: taped against computed.",
		},
		"taped_unknown": {
			Sentence: "There is no stretch {stretch} on wall {wall} for the taped {taped}.",
			Remedy:   "Check which wall and which stretch was taped.",
			Basis:    wordsGeometry,
		},
		"taped_impossible": {
			Sentence: "Wall {wall}, stretch {stretch} cannot tape {taped}.",
			Remedy:   "Tape it again: more than nothing and at most {most}.",
			Basis:    wordsPractice,
		},
		"run_too_long_no_studs": {
			Sentence: "Wall {wall} takes {length} in one piece, the stock is {stock}, and no stud has been found to scarf on.",
			Remedy:   "Find one stud on wall {wall} and enter its center from the left end.",
			Basis:    "A scarf is nailed through both pieces into a stud (common practice).",
		},
		"run_stock_too_short": {
			Sentence: "Wall {wall} takes {length} and no studs are placed so that pieces of {stock} reach from one to the next.",
			Remedy:   "Get longer stock, or check the stud found and the spacing of {spacing}.",
			Basis:    "A scarf is nailed through both pieces into a stud (common practice).",
		},
		"studs_unknown": {
			Sentence: "No stud has been found on wall {wall}, so its nails cannot be placed.",
			Remedy:   "Find one stud and enter its center from the wall's left end.",
			Basis:    "Nails go in at the studs, two in each (common practice).",
		},
		"corner_past_saw": {
			Sentence: "The corner after wall {wall} ({angle}°) wants a miter of {miter}°; the saw swings to {most}°.",
			Remedy:   "Clamp the piece square to a block against the fence and set {rest}°, or cut it by hand in a jig. Never hold it free at the blade.",
			Basis:    "Half the turn of the walls against the saw's reach.",
		},
		"corner_past_saw_bevel": {
			Sentence: "The corner after wall {wall} ({angle}°) wants a bevel of {bevel}°; the saw leans to {most}°.",
			Remedy:   "Cut it nested against the fence instead of flat.",
			Basis:    "Plane through the corner's middle against the saw's reach.",
		},
		"corner_hole_behind": {
			Sentence: "The corner after wall {wall} is open ({angle}°): a square first end leaves a hole {hole} wide behind the joint, seen from above.",
			Remedy:   "Miter this corner, or cut the first end to the next wall as well.",
			Basis:    wordsGeometry,
		},
		"corner_acute_thin": {
			Sentence: "The corner after wall {wall} is sharp ({angle}°): where the profile is thinner than {thin} the cope meets nothing.",
			Remedy:   "Cut the first end {miter}° from square to lie against the next wall, its back full into the corner.",
			Basis:    wordsGeometry,
		},
	}
}

func runTerms() map[string]string {
	return map[string]string{
		// derivations
		"wall":                     "wall",
		"feature_offset":           "left end of the wall to the opening",
		"feature_width":            "width of the opening",
		"casing_beyond":            "casing past the opening's edge",
		"stud":                     "stud",
		"thickness":                "thickness of the stock",
		"projection":               "crown out from the wall",
		"stands_off":               "what is behind it on the wall",
		"stands_off_at_corner":     "what is behind it, at the corner",
		"acute_corner":             "square end in a sharp corner",
		"first_piece_in_corner":    "first piece in the corner",
		"casing_in_corner":         "casing in the corner",
		"return_miter":             "miter of the return",
		"scarf_half_overlap":       "half the scarf's overlap",
		"sprung":                   "spring",
		"long_point_left":          "long point at the left end",
		"long_point_right":         "long point at the right end",
		"short_point_back":         "short point, on the back",
		"short_point_face":         "short point, on the face",
		"short_point_wall_edge":    "short point, at the wall edge",
		"short_point_ceiling_edge": "short point, at the ceiling edge",
		"face_longer":              "face longer than the back",
		"face_shorter":             "face shorter than the back",
		"feature_edge":             "edge, from the left end of the wall",
		"piece_starts":             "left end of the piece",
		"piece":                    "piece",
		"room_close":               "allowed to every room",
		"share_of_perimeter":       "share of the perimeter",
		"error_across":             "closing error across the plan",
		"error_along":              "closing error along the plan",
		// formulas
		"root_of_squares":             "root of the sum of the squares",
		"over_tangent_of_half_corner": "divided by the tangent of half the corner",
		"over_tangent_of_corner":      "divided by the tangent of the corner",
		"over_sine_of_corner":         "divided by the sine of the corner",
		"times_tangent_of_half_turn":  "times the tangent of half the turn",
		// bases
		"wall_run_geometry":  "plane geometry of the corner",
		"wall_between_stops": "wall between its two stops",
		"plan_geometry":      "plane geometry of the plan",
		"common_practice":    "common practice",
		// values
		"run_along_backs": "run along the wall",
		"run_of_stock":    "stock, long point to long point",
		// marks
		"register_left_edge":  "left edge of the register",
		"register_right_edge": "right edge of the register",
		"box_left_edge":       "left edge of the box",
		"box_right_edge":      "right edge of the box",
		// kinds
		"base":       "base",
		"shoe":       "shoe",
		"chair_rail": "chair rail",
		"crown":      "crown",
		"opening":    "opening",
		"window":     "window",
		"built_in":   "built-in",
		"register":   "register",
		"box":        "box",
		// joints
		"butt_casing":   "square against the casing",
		"butt_wall":     "square against the wall",
		"butt_first":    "square into the corner, goes first",
		"butt_second":   "against the first piece's face",
		"cope_first":    "square into the corner, goes first",
		"cope":          "mitered, then coped",
		"miter_inside":  "inside miter",
		"miter_outside": "outside miter",
		"straight":      "square to square",
		"scarf_under":   "scarf, underneath",
		"scarf_over":    "scarf, lapping over",
		"return":        "returned to the wall",
		"square_end":    "square, free end",
		"square":        "square",
		"miter":         "miter",
		"scarf":         "scarf",
		// readings and choices
		"read_length":          "the length",
		"read_angle":           "the corner",
		"read_bow":             "the bow",
		"read_stud":            "the stud",
		"read_taped":           "a taped stretch",
		"angle_spring":         "the spring angle",
		"angle_corner":         "the corner",
		"angle_miter":          "the miter",
		"angle_bevel":          "the bevel",
		"profile_height":       "the height of the stock",
		"profile_thickness":    "the thickness of the stock",
		"profile_stands_off":   "what is behind the stock",
		"profile_mount":        "the height of the rail above the floor",
		"profile_stock_length": "the length of the stock",
		"profile_projection":   "the crown's reach along the ceiling",
		"choice_inside":        "inside corners",
		"choice_first":         "the piece that goes first",
		"choice_scarf_lap":     "the scarf's lap",
		"choice_free_end":      "free ends",
		"choice_registers":     "registers",
		// saw
		"left":         "left",
		"right":        "right",
		"inside":       "inside",
		"outside":      "outside",
		"flat":         "flat on its back",
		"nested":       "upside down against the fence",
		"wall_edge":    "wall edge",
		"ceiling_edge": "ceiling edge",
	}
}
