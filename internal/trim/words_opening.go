package trim

import "longpoint/internal/finding"

// OpeningWords is what the opening rules have to say, in English. Terms of readings, pieces
// and values exist for every name a side can have: hinge, strike, left, right, pocket.
func OpeningWords() finding.Catalog {
	return finding.Catalog{Findings: openingFindings(), Terms: openingTerms()}
}

const (
	practice = "Common practice."
	nfpa     = "NFPA 80, fire doors, as quoted by trade pages; the label and the local authority decide."
)

func openingFindings() map[string]finding.Words {
	return map[string]finding.Words{
		// Readings.
		"reading_missing": {
			Sentence: "The {reading} has not been taken.",
			Remedy:   "Take it; the cuts that need it wait.",
			Basis:    practice},
		"reading_not_of_kind": {
			Sentence: "There is no {reading} on a {kind}.",
			Remedy:   "Pick the reading from the drawing.",
			Basis:    practice},
		"reading_impossible": {
			Sentence: "The {reading} cannot be {value}; it lies between {least} and {most}.",
			Remedy:   "Read the tape again, and look at the feet and the unit.",
			Basis:    practice},
		"corner_impossible": {
			Sentence: "The {reading} cannot be {value}°; it lies between {least}° and {most}°.",
			Remedy:   "Read the gauge again: the corner itself, not the saw's setting.",
			Basis:    practice},
		"lean_impossible": {
			Sentence: "The {reading} cannot be {value}; in an opening of this size no side leans more than {most}.",
			Remedy:   "Hang a level or a plumb line on the side again and measure the gap at the end of it, over the whole height.",
			Basis:    practice},
		"diagonal_impossible": {
			Sentence: "The {reading} cannot be {value}; with these widths and heights it lies between {least} and {most}.",
			Remedy:   "Measure the diagonal again, corner to corner, and check the width and height it spans.",
			Basis:    practice},
		"diagonals_impossible": {
			Sentence: "The diagonals make the {corner} {value}°, which no opening has.",
			Remedy:   "Measure both diagonals again, each from floor to header; the miters are set for a square corner meanwhile.",
			Basis:    practice},
		"lean_disagrees": {
			Sentence: "The {reading} reads {value} ({way}), but the widths and the other side make it {implied} ({implied_way}): {apart} apart.",
			Remedy:   "Measure both leans and the widths at bottom and top again; one of them is wrong.",
			Basis:    practice},
		"side_bowed": {
			Sentence: "The middle width does not lie on the line from bottom to top, so one side is bowed. Plumb width is {plumb} with the bow in the strike side, {other} with it in the hinge side.",
			Remedy:   "Hold a straightedge on both sides. If the hinge side is the bowed one, plane it or reckon with the smaller width.",
			Basis:    "Plane geometry; common practice."},
		"width_unexpected": {
			Sentence: "The {reading} is {value}; framing for this unit is usually {expected}.",
			Remedy:   "Measure again, and check that this is the right unit for this opening.",
			Basis:    "Rough framing is the nominal slabs plus 2 in; common practice, and door makers' installation sheets."},
		"widths_apart": {
			Sentence: "The {reading} is {value} and the {other} {other_value}: {apart} apart in one opening.",
			Remedy:   "Measure both again.",
			Basis:    practice},
		"height_unexpected": {
			Sentence: "The {reading} is {value}; with this unit and the floor to come it is usually near {expected}.",
			Remedy:   "Measure again from the floor as it stands, and check the unit's height and the flooring still to come.",
			Basis:    practice},
		"heights_apart": {
			Sentence: "The header is {apart} out of level by the two heights and the floor.",
			Remedy:   "Measure both heights and the floor again; a header that far out is work for the framer.",
			Basis:    practice},
		"lean_large": {
			Sentence: "The {reading} is {value} over the height, more than framing usually has.",
			Remedy:   "Measure it again over the whole height; check whether the level is true by turning it end for end.",
			Basis:    practice},
		"floor_slope_large": {
			Sentence: "The floor is {value} out of level across the opening.",
			Remedy:   "Check it with a level across the whole opening; count the legs' difference before you cut.",
			Basis:    practice},
		"floor_large": {
			Sentence: "The {reading} is {value}, more than most floors.",
			Remedy:   "Measure again, and ask which layers are still to come.",
			Basis:    practice},
		"wall_unusual": {
			Sentence: "A wall {value} through is none of the usual ones.",
			Remedy:   "Measure stud and layers again, clear of plaster lips and tape.",
			Basis:    "Studs of 2-1/2, 3-1/2, 5-1/2 or 7-1/4 in with board or plaster on both faces; common practice."},
		"diagonal_unexpected": {
			Sentence: "The {reading} is {value}; widths, heights and lean make it {expected}.",
			Remedy:   "Measure it again, corner to corner.",
			Basis:    "Plane geometry."},
		"corner_large": {
			Sentence: "The {reading} is {value}°, more than 3° off square.",
			Remedy:   "Hold the gauge on the jambs themselves and read it again.",
			Basis:    practice},
		"out_of_square": {
			Sentence: "The diagonals differ by {apart}, so the header lies {offset} to one side of the floor; {tolerance} is what a unit takes.",
			Remedy:   "Check the leans; a frame set plumb takes up the difference in its shims.",
			Basis:    "Diagonals within 1/4 in, door-unit installation sheet."},
		"corner_from_diagonals": {
			Sentence: "The {corner} is {value}° by the opening's diagonals, and the miter is set for that.",
			Remedy:   "Hold an angle gauge on the frame once it is set; it may stand truer than the opening. A gauge reading goes before the diagonals.",
			Basis:    practice},

		// The unit and the casing as specified.
		"kind_unknown": {
			Sentence: "There is no kind of opening called {kind}.",
			Remedy:   "Choose the kind from the list.",
			Basis:    practice},
		"rule_impossible": {
			Sentence: "The house rule for the {rule} is beyond what any house can have, so nothing was worked out.",
			Remedy:   "Put the rule back to a length a tape can show.",
			Basis:    practice},
		"unit_missing": {
			Sentence: "The {size} is not said.",
			Remedy:   "Measure it on the unit as delivered, or take it from the maker's sheet.",
			Basis:    practice},
		"unit_impossible": {
			Sentence: "The {size} cannot be {value}; it lies between {least} and {most}.",
			Remedy:   "Measure the unit again.",
			Basis:    practice},
		"choice_unknown": {
			Sentence: "The {size} cannot be “{value}”.",
			Remedy:   "Choose from the list.",
			Basis:    practice},
		"slab_thicker_than_jamb": {
			Sentence: "A slab {slab} thick does not close in a jamb {jamb} wide.",
			Remedy:   "Check both on the unit.",
			Basis:    practice},

		// Frame.
		"frame_too_wide": {
			Sentence: "The frame is {frame} wide and the plumb opening {plumb}: {over} too wide to go in.",
			Remedy:   "Reframe the opening or order a narrower unit. Planing will not find that much; structural framing is not trim work.",
			Basis:    practice},
		"shim_tight": {
			Sentence: "Only {shim} of shim space in all; a frame does not hang plumb in less than {least}.",
			Remedy:   "Plane the high spots of the studs or have the opening reframed before you cut the slab.",
			Basis:    practice},
		"shim_wide": {
			Sentence: "There is {shim} of shim space in all, more than {good}.",
			Remedy:   "Back the hinges and the strike with solid blocking, not stacked shims alone.",
			Basis:    practice},
		"shim_fur": {
			Sentence: "There is {shim} of shim space in all, more than {most}: casing may miss the stud.",
			Remedy:   "Fur the opening out on both sides before you set the frame.",
			Basis:    practice},
		"shim_one_side": {
			Sentence: "The hinge side is plumb within {lean} and there is only {shim} of shim space.",
			Remedy:   "You may set the hinge leg tight on the stud and leave all the shim space on the strike side.",
			Basis:    practice},
		"slabs_fall_short": {
			Sentence: "The opening is {spare} wider than these slabs and their track want.",
			Remedy:   "Fur the opening, or set the lap to what the maker's sheet allows.",
			Basis:    "The maker's sheet."},
		"legs_set_head": {
			Sentence: "The legs as supplied ({legs}) do not reach the header: the head stands {space} under it.",
			Remedy:   "Block solid between head and header, and see that the head casing still covers the gap.",
			Basis:    practice},
		"jamb_short": {
			Sentence: "The jamb is {short} short of the wall's face.",
			Remedy:   "Rip extension strips of that width and set them on the jamb's edge before casing.",
			Basis:    practice},
		"jamb_proud": {
			Sentence: "The jamb stands {proud} proud of the wall.",
			Remedy:   "Plane the edge back, or back the casing out to it.",
			Basis:    "A 4-9/16 in jamb in a 4-1/2 in wall is meant to stand 1/16 in proud; more opens a gap behind the casing. Common practice."},
		"nothing_left": {
			Sentence: "Nothing would be left of the {piece}: it works out at {value}.",
			Remedy:   "Check the readings and sizes it is made from.",
			Basis:    "Plane geometry."},

		// Slab.
		"slab_no_room": {
			Sentence: "The slab works out only {height} high; no slab under {least} is hung.",
			Remedy:   "Check the heights, the floor still to come and the gaps.",
			Basis:    practice},
		"slab_short": {
			Sentence: "The slab as supplied is {short} short for this opening: the gap under it grows to {gap}.",
			Remedy:   "Live with the gap, lower the head, or order a taller slab. Do not add a strip to a fire-rated door.",
			Basis:    practice},
		"trim_hollow": {
			Sentence: "{trim} would come off a hollow-core slab; past {limit} the saw cuts through its solid rail.",
			Remedy:   "Ask the maker. If the sheet allows more, enter that; else order a shorter slab, or reset the cut-off rail in the opened bottom.",
			Basis:    "Common practice; the maker's sheet goes before it."},
		"trim_over_limit": {
			Sentence: "{trim} would come off the slab; {over} more than the {limit} that is safe to cut.",
			Remedy:   "Ask the maker, or order a shorter slab.",
			Basis:    "Common practice; the maker's sheet goes before it."},
		"trim_over_sheet": {
			Sentence: "{trim} would come off the slab; the maker's sheet allows {limit}.",
			Remedy:   "Order a shorter slab.",
			Basis:    "The maker's sheet."},
		"fire_trim": {
			Sentence: "{trim} would come off a fire-rated door; {limit} at the bottom is the most that may be cut in the field.",
			Remedy:   "Stop. Ask the maker and the local authority, or order the door to size. The label stays on.",
			Basis:    nfpa},
		"fire_bottom": {
			Sentence: "A fire-rated door may stand at most {limit} above the floor; this one would stand {clearance} at the low side.",
			Remedy:   "Stop. Fit a threshold the label allows, level the floor, or order the door to size.",
			Basis:    nfpa},
		"fire_gap": {
			Sentence: "The {gap_name} is set at {gap}; a fire-rated wood door may have at most {limit} at head, jambs and meeting edges.",
			Remedy:   "Stop. Set the gap the label allows.",
			Basis:    nfpa},
		"fire_label_missing": {
			Sentence: "The door is called fire-rated but no label is recorded.",
			Remedy:   "Stop. Find the label and enter its rating; without its label the door is not a fire door, and nothing is to be cut from it.",
			Basis:    nfpa},
		"hinges_do_not_fit": {
			Sentence: "{count} hinges do not fit a slab {height} high at these distances.",
			Remedy:   "Set the hinges' distances from top and bottom for this slab.",
			Basis:    practice},
		"hinge_small": {
			Sentence: "Hinges {height} high are reckoned; makers' tables put {table} on a slab this thick and wide.",
			Remedy:   "Check the hinges in the box, and set the hinge height for this job.",
			Basis:    "A hinge maker's size table, as quoted by a trade page."},
		"return_air_short": {
			Sentence: "The gap under the slab leaves {area} in² for return air; {wanted} in² are wanted.",
			Remedy:   "Set the bottom gap so that {gap} is left under the closed slab, or let in a grille.",
			Basis:    "Free area is gap times width; plane geometry."},
		"return_air_fire": {
			Sentence: "The gap under this fire-rated door leaves {area} in² for return air and {wanted} in² are wanted: that takes {gap}, over the {limit} its label allows.",
			Remedy:   "Stop. Bring the air back another way; never undercut a fire-rated door for it.",
			Basis:    nfpa},

		// The way through.
		"clear_width": {
			Sentence: "The way through is {clear} with the door open; an exit or an accessible route needs {least}.",
			Remedy:   "Stop. A wider unit is needed; a 34 in slab is about the least. Local code decides.",
			Basis:    "ADA 2010 404.2.3 and IRC R311.2, as quoted by trade pages."},
		"clear_height": {
			Sentence: "The way through is {head} high under the head and {stop} under the stop; {opening} and {least} are asked for.",
			Remedy:   "Check with the local authority before you cut the legs.",
			Basis:    "ADA 2010 404.2.3 as quoted by a trade page (80 in, 78 in at the stop); IRC R311.2 from memory (78 in)."},
		"exit_not_hinged": {
			Sentence: "A {kind} cannot be the required way out.",
			Remedy:   "Stop. The required exit door swings on hinges; local code decides.",
			Basis:    "IRC R311.2, from memory."},

		// Casing.
		"casing_ripped": {
			Sentence: "There is only {space} on that side ({reading}): rip the {full} casing to {width}.",
			Remedy:   "Rip the outer edge and keep the inner profile whole. Do the opposite leg alike if the eye will catch it.",
			Basis:    practice},
		"block_ripped": {
			Sentence: "There is only {space} on that side ({reading}): rip the corner block to {width}.",
			Remedy:   "Rip the outer edge, with the block held in a jig and hands clear of the blade.",
			Basis:    practice},
		"ear_cut": {
			Sentence: "There is only {space} on that side ({reading}): the head's overhang is cut to {ear} there.",
			Remedy:   "Cut the other end alike if the eye will catch it.",
			Basis:    practice},
		"casing_no_room": {
			Sentence: "There is only {space} on that side ({reading}), which leaves {width} of casing; under {least} nothing holds.",
			Remedy:   "Move the frame, use a flat strip scribed to the wall, or let the wall's finish die into the jamb.",
			Basis:    practice},
		"miter_clipped": {
			Sentence: "The leg on the {side} is ripped to {width}.",
			Remedy:   "Keep both miters at the corner's angle so the profiles meet, and clip the end of the {piece} plumb at the ripped edge.",
			Basis:    practice},
		"pocket_nails": {
			Sentence: "Casing on {face} is nailed over the pocket.",
			Remedy:   "Use nails too short to reach the slab's path, and slide the slab past every one before you go on.",
			Basis:    practice},
		"bearing_miss": {
			Sentence: "Casing on {face} bears only {bearing} on the stud at the {side}; under {least} the nails miss it.",
			Remedy:   "Fur the stud, or use wider casing.",
			Basis:    practice},
		"bearing_thin": {
			Sentence: "Casing on {face} bears {bearing} on the stud at the {side}.",
			Remedy:   "Nail near the casing's outer edge and find the stud first; {least} is comfortable.",
			Basis:    practice},
		"bearing_head": {
			Sentence: "The head casing on {face} bears {bearing} on the header.",
			Remedy:   "Block between head and header, or nail the head to the studs at its ends.",
			Basis:    practice},

		// Windows.
		"unit_proud": {
			Sentence: "At the {reading} the window stands {proud} proud of the wall.",
			Remedy:   "Fur the wall or plane the jamb there; no extension brings that back.",
			Basis:    practice},
		"extension_thickness": {
			Sentence: "The wall stands {depth} proud of the window and no extension jambs are called for.",
			Remedy:   "Say what stock the extension jambs are made of.",
			Basis:    practice},
		"rip_tapers": {
			Sentence: "The {piece} tapers from {near} to {far}.",
			Remedy:   "Mark both ends, rip on a tapering jig, keep hands behind it.",
			Basis:    practice},
		"rip_runs_out": {
			Sentence: "The {piece} would run out to nothing at one end.",
			Remedy:   "Fur the wall at the flush corner, or plane the jamb there, and measure again.",
			Basis:    practice},
		"stool_meets_wall": {
			Sentence: "There is {space} on that side ({reading}); the stool with its horn needs {need}.",
			Remedy:   "Shorten the horn there, or end the stool against the wall.",
			Basis:    practice},
	}
}

// sideWords are the names a side can have.
var sideWords = [...][2]string{
	{"hinge", "hinge side"}, {"strike", "strike side"}, {"left", "left side"}, {"right", "right side"}, {"pocket", "pocket side"},
}

func openingTerms() map[string]string {
	t := map[string]string{
		"measured": "measured", "trimmed": "trimmed", "hung": "hung", "cased": "cased", "nailed": "nailed",

		"door": "door", "cased_opening": "cased opening", "pair": "pair of doors", "pocket": "pocket door",
		"bifold": "bifold door", "bypass": "bypass door", "window": "window",
		"face_a": "face A", "face_b": "face B",
		"hollow": "hollow core", "solid": "solid core", "stile_and_rail": "stile and rail", "fire_rated": "fire-rated",
		"paint": "paint grade", "stain": "stain grade",
		"butt_head": "butt head", "mitered": "mitered", "corner_blocks": "corner blocks",
		"picture_frame": "picture frame", "stool_apron": "stool and apron",

		// Readings without a side.
		"width_bottom": "width at the bottom", "width_middle": "width at the middle", "width_top": "width at the top",
		"floor_strike_up": "floor, side against side", "strike_side_high": "strike side high", "hinge_side_high": "hinge side high",
		"top_leans_in": "top leans in", "top_leans_out": "top leans out",
		"diagonal_rise": "diagonal from hinge-side foot", "diagonal_fall": "diagonal from strike-side foot",
		"wall_build_up": "wall build-up", "floor_to_come": "floor still to come", "floor_highest": "highest floor in the swing",
		"wall_stands_proud": "wall stands proud of the unit", "unit_stands_proud": "unit stands proud of the wall",

		// Sizes of unit and casing.
		"core": "core", "grade": "finish grade", "hinge_on": "hinge side", "swings_to": "face it swings to", "surround": "surround",
		"panels": "number of slabs", "return_air": "return air wanted", "fire_label": "fire label", "kind": "kind of opening",
		"slab_width": "slab width", "slab_height_supplied": "slab height as supplied", "slab_thickness": "slab thickness",
		"jamb_thickness": "jamb thickness", "jamb_width": "jamb width", "head_thickness": "head thickness",
		"leg_length": "leg length as supplied", "stop_thickness": "stop thickness", "maker_trim_most": "most the maker lets one trim",
		"head_housing": "housing of the head in the leg", "meeting_gap": "gap between the slabs", "astragal": "astragal",
		"astragal_lap": "astragal's lap", "width_allowance": "width allowance of the track", "lap": "lap of the slab",
		"track_allowance": "track allowance", "frame_width_sheet": "frame width by the sheet", "slot_width": "pocket slot",
		"slot_play": "play in the pocket slot", "clear_width_wanted": "clear width wanted", "horn": "horn", "stool_nosing": "stool nosing",
		"slab_widths": "slabs together", "laps": "laps together", "slabs_folded": "slabs folded",
		"casing_style": "casing style", "casing_material": "casing material", "casing_width": "casing width", "casing_thickness": "casing thickness",
		"casing_ripped": "casing as ripped", "overhang": "overhang", "block": "corner block", "block_overlap": "block past the casing",
		"plinth_height": "plinth height", "casing_floor_to_come": "floor still to come on that face", "space": "space to the wall",

		// House rules used here.
		"hinge_gap": "hinge gap", "strike_gap": "strike gap", "top_gap": "top gap", "bottom_gap": "bottom gap",
		"top_allowance": "top allowance", "reveal": "reveal", "stop_clearance": "play at the stop", "shim_least": "least shim space",
		"shim_good": "good shim space", "shim_most": "most shim space", "shim_one_side": "shim space on one side",
		"plumb_tolerance": "plumb tolerance", "lean_check": "lean check", "take_agreement": "agreement of takes",
		"jamb_wall_tolerance": "jamb against wall", "square_tolerance": "diagonals' difference",
		"hinge_down": "top hinge from the top", "hinge_up": "bottom hinge from the bottom", "hinge_height": "hinge height",
		"hollow_trim_limit": "trim limit, hollow core", "solid_trim_limit": "trim limit, solid core", "fire_trim_limit": "trim limit, fire-rated",
		"fire_bottom_most": "clearance under a fire-rated door", "clear_width_least": "least clear width",
		"nail_bearing_warn": "comfortable nail bearing", "nail_bearing_stop": "least nail bearing",

		// Values.
		"plumb_width": "plumb width", "inside_width": "inside of the frame", "frame_width": "frame width", "shim_total": "shim space",
		"slab_spare": "opening beyond the slabs", "head_top": "top of the head", "head_underside": "underside of the head",
		"leg_reach": "reach of the supplied legs", "slab_height": "slab height", "slab_trim": "slab trim", "slab_finished": "slab as cut",
		"floor_in_swing": "highest finished floor in the swing", "bottom_gap_actual": "gap under the slab",
		"stop_line": "stop line", "jamb_to_wall": "wall past the jamb", "square_offset": "out of square",
		"clear_width": "clear width", "clear_width_both": "clear width, both open", "reveal_to_reveal": "reveal to reveal",
		"split_jambs_together": "split jambs together", "hinge_first": "top hinge", "hinge_last": "bottom hinge", "hinge_on_slab": "hinge on the slab",
		"bearing_a_head": "bearing on the header, face A", "bearing_b_head": "bearing on the header, face B",
		"hinge_wander": "hinge side out of plumb", "strike_wander": "strike side out of plumb",
		"miter_over_casing": "miter across the casing", "reveal_at_corner": "reveal at the corner",
		"hinge_1": "hinge 1", "hinge_2": "hinge 2", "hinge_3": "hinge 3", "hinge_4": "hinge 4",
		"hinge_5": "hinge 5", "hinge_6": "hinge 6", "hinge_7": "hinge 7", "hinge_8": "hinge 8",

		// How values combine, and what they stand on.
		"plumb_least":      "strike side at its nearest less hinge side at its furthest, over every height",
		"half_of":          "half of it",
		"head_top_least":   "the lower header less the allowance, or the legs' reach where that is less",
		"not_below_datum":  "together, but not below the high side",
		"square_offset_by": "difference of the squared diagonals over four times the width",
		"evenly_between":   "evenly between top and bottom hinge",
		"ripped_to_space":  "what the space leaves",
		"common_practice":  "common practice",
		"plane_geometry":   "plane geometry",
		"makers_sheet":     "the maker's sheet",
		"clear_width_rule": "face of the door open 90° to the stop: 24 CFR 100 guidelines, as quoted by a trade page",
		"hinge_table":      "common practice; the count is 2 to 60 in, 3 to 90 in, then one more each 30 in",

		// Pieces, stock, marks and joints.
		"head": "head jamb", "slab": "slab", "jamb": "jamb stock", "extension": "extension strip stock", "casing": "casing", "plinth": "plinth",
		"extension_head": "extension strip, head", "extension_sill": "extension strip, sill", "split_leg": "split jamb, leg", "split_head": "split jamb, head",
		"stool": "stool", "apron": "apron", "set_back": "set-back mark", "notch": "notch of the stool", "leg_trim": "cut off the foot",
		"square": "square", "miter": "miter",
		"angle_gauge": "angle gauge", "diagonals": "diagonals", "taken_square": "taken as square",
		"each_end": "each end", "foot": "foot", "top": "top", "left": "left", "right": "right", "hinge_edge": "hinge-side edge",
	}
	for _, s := range sideWords {
		for key, word := range map[string]string{
			"side_": "", "height_": "height", "lean_": "lean", "space_a_": "opening's edge to the next wall, face A", "space_b_": "opening's edge to the next wall, face B",
			"depth_top_": "wall past the unit at the top", "depth_bottom_": "wall past the unit at the bottom",
			"corner_": "corner at the head", "corner_foot_": "corner at the sill",
			"finished_height_": "finished height", "floor_": "floor", "header_": "header", "floor_to_head_": "floor to head",
			"shim_": "shim space", "bottom_clearance_": "clearance under the slab",
			"bearing_a_": "bearing on the stud, face A", "bearing_b_": "bearing on the stud, face B",
			"leg_": "jamb leg", "extension_leg_": "extension strip, leg",
		} {
			if word != "" {
				word += ", "
			}
			t[key+s[0]] = word + s[1]
		}
		t["shim_"+s[0]+"_most"] = "widest shim space, " + s[1]
		for _, face := range [...][2]string{{"a", "A"}, {"b", "B"}} {
			for key, word := range map[string]string{
				"leg": "casing leg", "block": "corner block", "block_foot": "corner block at the sill", "plinth": "plinth",
			} {
				t["casing_space_"+face[0]+"_"+s[0]] = "space for the casing from the jamb, face " + face[1] + ", " + s[1]
				t["casing_"+face[0]+"_"+key+"_"+s[0]] = word + ", face " + face[1] + ", " + s[1]
			}
		}
	}
	for _, face := range [...][2]string{{"a", "A"}, {"b", "B"}} {
		t["casing_"+face[0]+"_head"] = "head casing, face " + face[1]
		t["casing_"+face[0]+"_foot"] = "bottom casing, face " + face[1]
	}
	t["lean_strike_implied"] = "lean of the strike side by the widths"
	return t
}
