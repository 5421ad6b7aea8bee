package finish

import "longpoint/internal/finding"

const (
	commonPractice = "Common practice."
	sheetDecides   = "The product's sheet; without one, the house rule (common practice)."
	c920           = "ASTM C920 movement classes: share of the joint's width."
	ruleBook       = "The rule book refuses what it cannot judge."
)

func say(sentence, remedy, basis string) finding.Words {
	return finding.Words{Sentence: sentence, Remedy: remedy, Basis: basis}
}

// Words returns the English catalog of every finding and term this package makes.
func Words() finding.Catalog {
	c := finding.Catalog{Findings: map[string]finding.Words{}, Terms: terms()}
	for _, m := range []map[string]finding.Words{nailWords(), holeWords(), gapWords(), sealantWords(), dryWords(), quantityWords()} {
		for code, w := range m {
			c.Findings[code] = w
		}
	}
	return c
}

func nailWords() map[string]finding.Words {
	return map[string]finding.Words{
		"entry_unknown": say(
			"There is no {field} called \"{value}\" in the rule book.",
			"Pick one from the list; if it is missing there, update the app.", ruleBook),
		"fasteners_not_logged": say(
			"No fasteners are logged, so nobody can tell what holds this or which holes to fill.",
			"Log the kind, length, count and place of what you drove.", commonPractice),
		"place_not_nailed": say(
			"Nothing is logged for this place: {where}.",
			"Nail it, or log the nails that are there.", commonPractice),
		"fastener_count_bad": say(
			"{count} fasteners in one entry can't be right: it takes 1 to {most}.",
			"Enter the count again.", ruleBook),
		"nail_not_made": say(
			"{kind} aren't made {length} long: they run from {least} to {most}.",
			"Check the box for the gauge and the length.", "Common stock lengths (common practice)."),
		"nail_length_odd": say(
			"{kind} {length} long aren't a stock length; the next is {next}.",
			"Check the box; keep it if that is what it says.", "Common stock lengths (common practice)."),
		"nail_short": say(
			"{kind} {length} long don't reach far enough into the stud: {need} is the least here.",
			"Renail with {next} nails.", commonPractice),
		"kind_too_short": say(
			"{kind} don't come long enough here: {need} is needed and they stop at {most}.",
			"Renail with a heavier gauge.", commonPractice),
		"nail_deep": say(
			"{kind} {length} long go {bite} past the face of the stud; a wire or a pipe may lie beyond {most}.",
			"Use a shorter nail near outlets, switches and plumbing. Local code and licensed practice decide.",
			"Holes in framing are kept 1 1/4 in back from the edge or plated (electrical code 300.4, from memory)."),
		"bite_unchecked": say(
			"Nobody has given the {reading}, so the bite of {kind} {length} long into the stud can't be checked.",
			"Enter the {reading}.", commonPractice),
		"thickness_implausible": say(
			"The {reading} can't be {value}: 0 to {most} is plausible.",
			"Measure it again.", ruleBook),
		"nail_misses_jamb": say(
			"{kind} {length} long don't get through {casing} of casing, so nothing holds it to the jamb.",
			"Renail the jamb edge with {usual} nails or longer.", commonPractice),
		"jamb_nail_long": say(
			"{kind} {length} long may blow out of the jamb: over {most} they wander.",
			"Use {usual} nails at the jamb edge. Keep your other hand a nail's length away.", commonPractice),
		"jamb_nail_short": say(
			"{kind} {length} long hold little in the jamb's edge.",
			"Use {usual} nails there.", commonPractice),
		"mdf_thin_nail": say(
			"{kind} {length} long hold MDF to a jamb less well than 16-gauge nails do.",
			"Use 16 gauge where the casing must pull in.", commonPractice),
		"screw_shows": say(
			"A trim screw's hole shows on stain-grade work.",
			"Use a nail, or put the screw where the stop hides it.", commonPractice),
		"toe_unglued": say(
			"Toe nails alone don't hold a piece with no stud behind it.",
			"Glue it to the wall as well.", commonPractice),
		"nails_miss_stud": say(
			"Only {bearing} of the casing lies over the stud, so the outer nails miss it: {least} is the least.",
			"Fur out the opening, use wider casing, or glue the outer edge.", commonPractice),
		"stud_bearing_thin": say(
			"Only {bearing} of the casing lies over the stud; {good} is good nailing.",
			"Keep the outer nails close to the jamb side of the casing and angle them in.", commonPractice),
	}
}

func holeWords() map[string]finding.Words {
	return map[string]finding.Words{
		"holes_untreated": say(
			"{holes} are still open.",
			"Fill them with what this grade allows.", commonPractice),
		"caulk_in_large_hole": say(
			"{holes} can't be caulked: it shrinks and dimples.",
			"Fill and sand them.", commonPractice),
		"filler_not_sanded": say(
			"{holes} are filled but not sanded: paint shows every ridge.",
			"Sand them flush. Wear a dust mask.", commonPractice),
		"putty_under_paint": say(
			"{holes} are puttied: colored putty stays soft under paint.",
			"Dig it out, then fill and sand.", commonPractice),
		"caulk_under_stain": say(
			"{holes} are caulked: caulk takes no stain and shows.",
			"Clean it out and use colored putty after the first finish coat.", commonPractice),
		"filler_under_stain": say(
			"{holes} have paintable filler in them: it takes no stain and shows.",
			"Clean it out and use colored putty after the first finish coat.", commonPractice),
		"putty_too_soon": say(
			"{holes} were puttied on bare wood: putty matches only over the first finish coat, and it stains the grain.",
			"Coat first, then putty.", commonPractice),
	}
}

func gapWords() map[string]finding.Words {
	return map[string]finding.Words{
		"gaps_not_logged": say(
			"No gaps are logged, so nobody can tell what was caulked.",
			"Log the gaps along this item and how each was closed.", commonPractice),
		"top_bead_not_logged": say(
			"The top edge is seen from above and nothing is logged for it.",
			"Caulk the top edge and log it.", commonPractice),
		"gap_size_bad": say(
			"The gap {edge} can't be {width} wide and {run} long: 0 to {most} is plausible.",
			"Measure it again.", ruleBook),
		"gap_passes_bad": say(
			"{passes} passes of caulk can't be right: it takes 0 to {most}.",
			"Enter the passes again.", ruleBook),
		"gap_refit": say(
			"The gap {edge} is {width}: over {most} nothing closes it well.",
			"Take the piece off and refit it.", commonPractice),
		"gap_needs_backer": say(
			"The gap {edge} is {width}: over {most} caulk sags and splits with nothing behind it.",
			"Put backer behind the bead, or scribe a piece in.", commonPractice),
		"gap_needs_passes": say(
			"The gap {edge} is {width} and has had {passes} of caulk: it shrinks as it dries and wants {want}.",
			"Let it skin, then fill it up.", commonPractice),
		"gap_wants_scribe": say(
			"The gap {edge} is {width} and open: too wide for a bead alone.",
			"Scribe a piece in.", commonPractice),
		"gap_caulked_under_stain": say(
			"The gap {edge} is caulked on stain-grade work: it takes no stain and shows.",
			"Clean it out and scribe the piece.", commonPractice),
		"gap_open_under_stain": say(
			"The gap {edge} stays open at {width}: stain-grade work is not caulked.",
			"Scribe the piece if it shows.", commonPractice),
		"shadow_line_open": say(
			"The line between two painted pieces is open: it shows dark through the paint.",
			"Caulk it.", commonPractice),
		"top_bead_missing": say(
			"The gap {edge} is seen from above and open.",
			"Caulk it.", commonPractice),
		"bead_missing": say(
			"The gap {edge} is open, and this job wants every edge caulked.",
			"Caulk it.", "The job's visibility setting."),
	}
}

func sealantWords() map[string]finding.Words {
	return map[string]finding.Words{
		"sealant_class_unknown": say(
			"No caulk has class {class}: labels say 12.5, 25, 35 or 50.",
			"Read the label again.", c920),
		"sealant_without_class": say(
			"This caulk's label gives no movement class; the joint wants ±{need} %.",
			"Use a caulk of class {need} or more.", c920),
		"sealant_class_low": say(
			"This caulk takes ±{class} %, less than the joint wants: ±{need} %.",
			"Use a caulk of class {need} or more.", c920),
		"joint_moves_too_much": say(
			"The wood moves {movement} in a joint of {width}, {share} % of it: no caulk takes that.",
			"Widen the joint, use a narrower or steadier piece, or leave a shadow line.", c920),
		"joint_size_bad": say(
			"The {reading} can't be {value}: more than 0 and up to {most} is plausible.",
			"Measure it again.", ruleBook),
		"climate_implausible": say(
			"Air of {celsius} °C and {humidity} % humidity can't be judged: {coldest} to {hottest} °C and 0 to 100 % can.",
			"Enter the air of the finished room.", "Wood Handbook table 4-2."),
		"moisture_beyond_table": say(
			"Wood here swings from {low} to {high} % moisture; the movement figures hold from {driest} to {dampest} %.",
			"Take the class as a guide and go one higher where it is close.", "Wood Handbook (FPL-GTR-190), equation 13-2."),
	}
}

func dryWords() map[string]finding.Words {
	return map[string]finding.Words{
		"filler_not_dry": say(
			"The filler wants {minutes} more minutes to dry.",
			"Wait, then sand.", sheetDecides),
		"caulk_not_skinned": say(
			"The caulk has not skinned over: {minutes} more minutes.",
			"Keep dust and brushes off it.", sheetDecides),
		"caulk_wet": say(
			"The caulk is still wet: paint in {minutes} minutes, when it has cured.",
			"Keep dust and brushes off it.", sheetDecides),
		"caulk_not_cured": say(
			"The caulk has skinned but not cured: {minutes} more minutes, or the paint cracks.",
			"Wait before painting.", sheetDecides),
		"coat_not_dry": say(
			"The last coat wants {minutes} more minutes.",
			"Wait before the next coat.", sheetDecides),
		"colder_than_sheet": say(
			"It is {celsius} °C, colder than the product's sheet goes for this: {phase}.",
			"Warm the room, or ask the maker.", "The product's sheet."),
		"logged_ahead_of_clock": say(
			"This was logged {minutes} minutes ahead of now, so the wait may be counted wrong.",
			"Check the phone's clock.", ruleBook),
		"fill_before_caulk": say(
			"The holes are not filled yet: filler smears over fresh caulk.",
			"Fill the holes first.", commonPractice),
		"fill_before_paint": say(
			"The holes are not filled yet.",
			"Fill, dry and sand them before painting.", commonPractice),
		"sand_before_paint": say(
			"The filler has not been sanded since it went in.",
			"Sand it flush before painting. Wear a dust mask.", commonPractice),
		"sanded_too_soon": say(
			"The filler was sanded before it was dry: it tears and sinks.",
			"Check it, top it up if it sank, and sand again.", sheetDecides),
		"caulked_before_filled": say(
			"Holes were filled after the caulk went in.",
			"Look for filler smeared over the beads before painting.", commonPractice),
		"sheet_time_bad": say(
			"The sheet's row for {phase}, {minutes} minutes at {celsius} °C, can't be right: 1 to {most} minutes and -40 to 60 °C can.",
			"Read the sheet again.", ruleBook),
		"sheet_too_long": say(
			"A sheet of {rows} rows can't be right: it takes {most} at most.",
			"Enter the rows near your temperatures.", ruleBook),
	}
}

func quantityWords() map[string]finding.Words {
	return map[string]finding.Words{
		"bead_bad": say(
			"A bead {width} by {depth}, {run} long, can't be counted: more than 0 and up to {most} wide and deep can.",
			"Check the bead's size and run.", ruleBook),
		"package_size_bad": say(
			"A package of {ounces} fluid ounces can't be counted.",
			"Enter the ounces on its label, 0.1 to 1000.", ruleBook),
		"waste_bad": say(
			"Waste of {waste} % can't be counted: 0 to 100 can.",
			"Set the house rule for waste.", ruleBook),
		"holes_bad": say(
			"{count} holes {depth} deep can't be counted: up to {most_count}, more than 0 and up to {most} deep, can.",
			"Check the fasteners and the depth.", ruleBook),
		"box_bad": say(
			"A box of {count} can't be right.",
			"Enter the count on its label.", ruleBook),
	}
}

func terms() map[string]string {
	return map[string]string{
		"pin23": "23-gauge pins", "brad18": "18-gauge brads", "finish16": "16-gauge nails",
		"finish15": "15-gauge nails", "hand_finish": "hand finish nails", "trim_screw": "trim screws",
		"holes_pin23": "23-gauge holes", "holes_brad18": "18-gauge holes", "holes_finish16": "16-gauge holes",
		"holes_finish15": "15-gauge holes", "holes_hand_finish": "hand-nail holes", "holes_trim_screw": "trim-screw holes",

		"jamb_edge": "jamb edge", "stud": "stud", "corner": "corner", "shim_point": "shim point",
		"hidden_under_stop": "hidden under the stop", "stop_face": "stop", "toe": "toe nails",

		"filler": "filler", "caulk": "caulk", "putty": "colored putty", "none": "nothing", "scribe": "scribed piece", "open": "open",
		"closing_caulk": "caulked", "closing_scribe": "scribed", "closing_open": "left open",
		"with_none": "left as they are",
		"edge_top":  "along the top", "edge_side": "along the side", "edge_bottom": "along the bottom",
		"edge_between": "between two pieces",
		"from_above":   "edges seen from above", "all_edges": "every edge",
		"no_pass": "no pass", "one_pass": "one pass", "two_passes": "two passes",

		"fastener": "fastener", "place": "place", "treatment": "treatment", "grade": "grade", "edge": "edge",
		"closing": "way of closing a gap", "visibility": "visibility", "species": "wood", "grain": "grain",
		"level": "floor", "phase": "drying time", "step": "step",

		"casing_thickness": "casing thickness", "wall_layers": "wall layers over the stud",
		"nail_into_stud": "bite into the stud", "jamb_thickness": "jamb thickness", "shim_space": "shim space",
		"member_width": "trim width", "joint_width": "joint width",
		"movement_of_width": "width × coefficient × change of moisture",

		"common_practice":    "common practice",
		"wood_handbook_13_2": "Wood Handbook (FPL-GTR-190), equation 13-2",
		"wood_handbook_13_5": "Wood Handbook (FPL-GTR-190), table 13-5",
		"wood_handbook_4_3":  "worked out from Wood Handbook (FPL-GTR-190), table 4-3",
		"from_memory":        "from memory",
		"mdf_expansion":      "ANSI A208.2 linear expansion as quoted by a trade guide",

		"red_oak": "red oak", "white_oak": "white oak", "hard_maple": "hard maple", "soft_maple": "soft maple",
		"cherry": "cherry", "walnut": "walnut", "red_alder": "red alder", "basswood": "basswood",
		"white_ash": "white ash", "yellow_birch": "yellow birch", "poplar": "poplar", "douglas_fir": "Douglas-fir",
		"white_fir": "white fir", "ponderosa_pine": "ponderosa pine", "white_pine": "eastern white pine", "mdf": "MDF",
		"flat_sawn": "flat-sawn", "quarter_sawn": "quarter-sawn",

		"basement": "basement", "ground": "ground floor", "upper": "upper floor",
		"climate":    "the climate",
		"filler_dry": "filler drying", "filler_sand": "filler ready to sand", "caulk_skin": "caulk skinning",
		"caulk_cure": "caulk curing", "recoat": "next coat",
		"sand": "sanding", "second_pass": "second pass of caulk", "paint": "painting",
		"sheet": "product sheet", "house_rule": "house rule",
		"fillet": "fillet", "joint": "filled joint", "round": "round bead",
	}
}
