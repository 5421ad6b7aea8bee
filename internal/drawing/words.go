package drawing

import "longpoint/internal/finding"

// Words is the catalog of what stands on a drawing and in its name.
func Words() finding.Catalog {
	return finding.Catalog{Terms: map[string]string{
		"drawn_elevation_from": "elevation from", "drawn_cuts_of": "its pieces pulled apart", "drawn_pieces": "Pieces", "drawn_taken": "Readings taken",
		"drawn_disagree": "takes disagree", "drawn_next": "Next", "drawn_to_cut": "still to cut",
		"drawn_studs_hinge": "studs, hinge side", "drawn_studs_strike": "studs, strike side",
		"drawn_studs_left": "studs, left side", "drawn_studs_right": "studs, right side", "drawn_studs_pocket": "studs, pocket side",
		"drawn_header": "header", "drawn_floor": "floor as it stands", "drawn_section": "section at the floor",
		"drawn_hinge": "hinge", "drawn_strike": "strike", "drawn_left": "left", "drawn_right": "right", "drawn_pocket": "pocket",
		"drawn_lean": "lean", "drawn_diagonal": "diagonal", "drawn_floor_slope": "floor slope",
		"drawn_floor_to_come": "floor to come", "drawn_floor_highest": "highest floor",
		"drawn_space_a": "wall, A", "drawn_space_b": "wall, B", "drawn_next_wall": "next wall",
		"drawn_corner": "corner", "drawn_depth": "depth", "drawn_sill": "sill of the window",
		"drawn_foot": "foot", "drawn_top": "top",
		"drawn_plan": "plan", "drawn_walls": "walls", "drawn_round": "All round", "drawn_open_by": "The walk fails to close by",
		"drawn_from_left": "from the left end", "drawn_wide": "wide", "drawn_stud": "stud", "drawn_bow": "bow",
		"drawn_cope": "cope", "drawn_butt": "butt", "drawn_short_points": "short point to short point",
		"drawn_behind": "what is behind it", "drawn_thick": "out from the wall",
	}}
}
