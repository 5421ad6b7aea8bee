package houserules

import "longpoint/internal/length"

// Rules is the effective value of every setting for one item. Lengths are nanometers.
type Rules struct {
	HingeGap          length.Length `json:"hinge_gap"`           // gap between slab and hinge jamb
	StrikeGap         length.Length `json:"strike_gap"`          // gap between slab and strike jamb
	TopGap            length.Length `json:"top_gap"`             // gap between slab and head
	BottomGap         length.Length `json:"bottom_gap"`          // gap under the slab over a hard floor
	TopAllowance      length.Length `json:"top_allowance"`       // space kept between head jamb and header
	Reveal            length.Length `json:"reveal"`              // casing set back from the jamb's face
	StopClearance     length.Length `json:"stop_clearance"`      // play between closed slab and stop
	ShimLeast         length.Length `json:"shim_least"`          // least total shim space a frame hangs in
	ShimGood          length.Length `json:"shim_good"`           // most shim space without fuss
	ShimMost          length.Length `json:"shim_most"`           // shim space beyond which to fur out
	ShimOneSide       length.Length `json:"shim_one_side"`       // most that may all go on the strike side when the hinge side is plumb
	PlumbTolerance    length.Length `json:"plumb_tolerance"`     // a side that leans no more than this counts as plumb
	LeanCheck         length.Length `json:"lean_check"`          // taken lean against the lean the widths give
	TakeAgreement     length.Length `json:"take_agreement"`      // two takes closer than this agree
	AsCutTolerance    length.Length `json:"as_cut_tolerance"`    // a piece cut further off than this is a finding
	RevealTolerance   length.Length `json:"reveal_tolerance"`    // a reveal or gap further off, or less even, than this is a finding
	JambWallTolerance length.Length `json:"jamb_wall_tolerance"` // jamb edge against wall face
	SquareTolerance   length.Length `json:"square_tolerance"`    // difference of the diagonals beyond which the opening is racked
	HingeDown         length.Length `json:"hinge_down"`          // top of slab to top of the top hinge
	HingeUp           length.Length `json:"hinge_up"`            // bottom of slab to bottom of the bottom hinge
	HingeHeight       length.Length `json:"hinge_height"`        // height of a hinge leaf
	HollowTrimLimit   length.Length `json:"hollow_trim_limit"`   // most to cut from a hollow-core slab
	SolidTrimLimit    length.Length `json:"solid_trim_limit"`    // most to cut from a solid or stile-and-rail slab
	FireTrimLimit     length.Length `json:"fire_trim_limit"`     // most to cut from a fire-rated slab's bottom
	FireBottomMost    length.Length `json:"fire_bottom_most"`    // most clearance under a fire-rated slab
	ClearWidthLeast   length.Length `json:"clear_width_least"`   // clear width of an exit or accessible door
	NailBearingWarn   length.Length `json:"nail_bearing_warn"`   // casing bearing on the stud worth a second look
	NailBearingStop   length.Length `json:"nail_bearing_stop"`   // casing bearing on the stud below which nails miss
	NailIntoStud      length.Length `json:"nail_into_stud"`      // least nail penetration into the stud
	JambNail          length.Length `json:"jamb_nail"`           // nail length at the jamb edge
	JambNailMost      length.Length `json:"jamb_nail_most"`      // jamb-edge nail beyond which it may blow out
	CaulkTwoPass      length.Length `json:"caulk_two_pass"`      // gap beyond which caulk wants two passes
	CaulkMost         length.Length `json:"caulk_most"`          // widest gap to caulk
	ScribeMost        length.Length `json:"scribe_most"`         // widest gap to close with backer or a scribed piece
	Visibility        int64         `json:"visibility"`          // which edges want a bead: from above (0), all edges (1)
	Coats             int64         `json:"coats"`               // finish coats
	FillerDry         int64         `json:"filler_dry"`          // filler dry before sanding (minutes)
	CaulkSkin         int64         `json:"caulk_skin"`          // caulk skinned over (minutes)
	CaulkCure         int64         `json:"caulk_cure"`          // caulk ready for paint (minutes)
	Recoat            int64         `json:"recoat"`              // between finish coats (minutes)
	SprungShort       length.Length `json:"sprung_short"`        // added to a piece caught between two inside corners
	SprungLong        length.Length `json:"sprung_long"`         // the same for a piece over sprung_from
	SprungFrom        length.Length `json:"sprung_from"`         // length from which sprung_long is added
	TapedCheck        length.Length `json:"taped_check"`         // taped piece against computed piece
	RoomClose         length.Length `json:"room_close"`          // closing error a room may have, before the share of its perimeter
	RoomCloseShare    int64         `json:"room_close_share"`    // one part in this many of the perimeter is added to room_close
	StudSpacing       length.Length `json:"stud_spacing"`        // stud centers
	Waste             int64         `json:"waste"`               // added to stock and consumables (%)
	SawKerf           length.Length `json:"saw_kerf"`            // what the blade takes at each cut
	StickTrim         length.Length `json:"stick_trim"`          // cut off every stick before the first piece, both ends together
	OffcutLeast       length.Length `json:"offcut_least"`        // shortest offcut worth the rack
	FloorToCome       length.Length `json:"floor_to_come"`       // flooring still to be laid where an opening has no reading of its own
}

var settings = []Setting{
	{Key: "hinge_gap", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.HingeGap }},
	{Key: "strike_gap", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.StrikeGap }},
	{Key: "top_gap", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.TopGap }},
	{Key: "bottom_gap", Kind: Length, Default: int64(length.Quarter), Min: 0, Max: int64(3 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.BottomGap }},
	{Key: "top_allowance", Kind: Length, Default: int64(length.Quarter), Min: 0, Max: int64(2 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.TopAllowance }},
	{Key: "reveal", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.Reveal }},
	{Key: "stop_clearance", Kind: Length, Default: int64(length.ThirtySecond), Min: 0, Max: int64(length.Quarter),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.StopClearance }},
	{Key: "shim_least", Kind: Length, Default: int64(length.Quarter), Min: 0, Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.ShimLeast }},
	{Key: "shim_good", Kind: Length, Default: int64(3 * length.Quarter), Min: int64(length.Quarter), Max: int64(2 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.ShimGood }},
	{Key: "shim_most", Kind: Length, Default: int64(length.Inch), Min: int64(length.Half), Max: int64(4 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.ShimMost }},
	{Key: "shim_one_side", Kind: Length, Default: int64(length.Half), Min: 0, Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.ShimOneSide }},
	{Key: "plumb_tolerance", Kind: Length, Default: int64(length.Sixteenth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.PlumbTolerance }},
	{Key: "lean_check", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.LeanCheck }},
	{Key: "take_agreement", Kind: Length, Default: int64(length.Sixteenth), Min: 0, Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.TakeAgreement }},
	{Key: "as_cut_tolerance", Kind: Length, Default: int64(length.Sixteenth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.AsCutTolerance }},
	{Key: "reveal_tolerance", Kind: Length, Default: int64(length.Sixteenth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.RevealTolerance }},
	{Key: "jamb_wall_tolerance", Kind: Length, Default: int64(length.Sixteenth), Min: 0, Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.JambWallTolerance }},
	{Key: "square_tolerance", Kind: Length, Default: int64(length.Quarter), Min: 0, Max: int64(2 * length.Inch),
		Basis:    "diagonals within 1/4, door-unit installation sheet",
		lengthOf: func(r *Rules) *length.Length { return &r.SquareTolerance }},
	{Key: "hinge_down", Kind: Length, Default: int64(7 * length.Inch), Min: int64(3 * length.Inch), Max: int64(14 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.HingeDown }},
	{Key: "hinge_up", Kind: Length, Default: int64(11 * length.Inch), Min: int64(5 * length.Inch), Max: int64(16 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.HingeUp }},
	{Key: "hinge_height", Kind: Length, Default: int64(7 * length.Half), Min: int64(2 * length.Inch), Max: int64(6 * length.Inch),
		Basis:    "3-1/2 in for 1-3/8 slabs to 32 in wide, hinge maker's table",
		lengthOf: func(r *Rules) *length.Length { return &r.HingeHeight }},
	{Key: "hollow_trim_limit", Kind: Length, Default: int64(length.Inch), Min: 0, Max: int64(4 * length.Inch),
		Basis:    "common practice; ask the maker",
		lengthOf: func(r *Rules) *length.Length { return &r.HollowTrimLimit }},
	{Key: "solid_trim_limit", Kind: Length, Default: int64(3 * length.Inch), Min: 0, Max: int64(6 * length.Inch),
		Basis:    "common practice; ask the maker",
		lengthOf: func(r *Rules) *length.Length { return &r.SolidTrimLimit }},
	{Key: "fire_trim_limit", Kind: Length, Default: int64(3 * length.Quarter), Min: 0, Max: int64(3 * length.Quarter),
		Basis:    "NFPA 80 as quoted by trade pages: at most 3/4 in",
		lengthOf: func(r *Rules) *length.Length { return &r.FireTrimLimit }},
	{Key: "fire_bottom_most", Kind: Length, Default: int64(3 * length.Quarter), Min: int64(length.Eighth), Max: int64(3 * length.Quarter),
		Basis:    "NFPA 80 as quoted by trade pages: at most 3/4 in",
		lengthOf: func(r *Rules) *length.Length { return &r.FireBottomMost }},
	{Key: "clear_width_least", Kind: Length, Default: int64(32 * length.Inch), Min: int64(20 * length.Inch), Max: int64(48 * length.Inch),
		Basis:    "ADA 2010 404.2.3 and IRC R311.2 as quoted by trade pages: 32 in",
		lengthOf: func(r *Rules) *length.Length { return &r.ClearWidthLeast }},
	{Key: "nail_bearing_warn", Kind: Length, Default: int64(3 * length.Quarter), Min: 0, Max: int64(3 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.NailBearingWarn }},
	{Key: "nail_bearing_stop", Kind: Length, Default: int64(length.Half), Min: 0, Max: int64(3 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.NailBearingStop }},
	{Key: "nail_into_stud", Kind: Length, Default: int64(3 * length.Quarter), Min: int64(length.Quarter), Max: int64(3 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.NailIntoStud }},
	{Key: "jamb_nail", Kind: Length, Default: int64(5 * length.Quarter), Min: int64(length.Half), Max: int64(2 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.JambNail }},
	{Key: "jamb_nail_most", Kind: Length, Default: int64(3 * length.Half), Min: int64(length.Inch), Max: int64(3 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.JambNailMost }},
	{Key: "caulk_two_pass", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Quarter),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.CaulkTwoPass }},
	{Key: "caulk_most", Kind: Length, Default: int64(length.Quarter), Min: int64(length.Eighth), Max: int64(length.Half),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.CaulkMost }},
	{Key: "scribe_most", Kind: Length, Default: int64(length.Half), Min: int64(length.Quarter), Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.ScribeMost }},
	{Key: "visibility", Kind: Choice, Default: 0, Min: 0, Max: 1, Choices: []string{"from_above", "all_edges"},
		Basis:    "common practice",
		numberOf: func(r *Rules) *int64 { return &r.Visibility }},
	{Key: "coats", Kind: Count, Default: 2, Min: 1, Max: 5,
		Basis:    "common practice",
		numberOf: func(r *Rules) *int64 { return &r.Coats }},
	{Key: "filler_dry", Kind: Minutes, Default: 120, Min: 5, Max: 4320,
		Basis:    "common practice; the product's sheet decides",
		numberOf: func(r *Rules) *int64 { return &r.FillerDry }},
	{Key: "caulk_skin", Kind: Minutes, Default: 30, Min: 5, Max: 1440,
		Basis:    "common practice; the product's sheet decides",
		numberOf: func(r *Rules) *int64 { return &r.CaulkSkin }},
	{Key: "caulk_cure", Kind: Minutes, Default: 240, Min: 15, Max: 20160,
		Basis:    "common practice; the product's sheet decides",
		numberOf: func(r *Rules) *int64 { return &r.CaulkCure }},
	{Key: "recoat", Kind: Minutes, Default: 240, Min: 15, Max: 10080,
		Basis:    "common practice; the product's sheet decides",
		numberOf: func(r *Rules) *int64 { return &r.Recoat }},
	{Key: "sprung_short", Kind: Length, Default: int64(length.ThirtySecond), Min: 0, Max: int64(length.Eighth),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.SprungShort }},
	{Key: "sprung_long", Kind: Length, Default: int64(length.Sixteenth), Min: 0, Max: int64(length.Quarter),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.SprungLong }},
	{Key: "sprung_from", Kind: Length, Default: int64(4 * length.Foot), Min: int64(length.Foot), Max: int64(20 * length.Foot),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.SprungFrom }},
	{Key: "taped_check", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.TapedCheck }},
	{Key: "room_close", Kind: Length, Default: int64(length.Half), Min: 0, Max: int64(6 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.RoomClose }},
	{Key: "room_close_share", Kind: Count, Default: 500, Min: 50, Max: 10000,
		Basis:    "common practice",
		numberOf: func(r *Rules) *int64 { return &r.RoomCloseShare }},
	{Key: "stud_spacing", Kind: Length, Default: int64(16 * length.Inch), Min: int64(8 * length.Inch), Max: int64(48 * length.Inch),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.StudSpacing }},
	{Key: "waste", Kind: Percent, Default: 10, Min: 0, Max: 100,
		Basis:    "common practice",
		numberOf: func(r *Rules) *int64 { return &r.Waste }},
	{Key: "saw_kerf", Kind: Length, Default: int64(length.Eighth), Min: 0, Max: int64(length.Quarter),
		Basis:    "common practice: most 10 and 12 in blades; measure your own",
		lengthOf: func(r *Rules) *length.Length { return &r.SawKerf }},
	{Key: "stick_trim", Kind: Length, Default: int64(length.Half), Min: 0, Max: int64(length.Foot),
		Basis:    "common practice: factory ends are squared",
		lengthOf: func(r *Rules) *length.Length { return &r.StickTrim }},
	{Key: "offcut_least", Kind: Length, Default: int64(18 * length.Inch), Min: int64(6 * length.Inch), Max: int64(10 * length.Foot),
		Basis:    "common practice",
		lengthOf: func(r *Rules) *length.Length { return &r.OffcutLeast }},
	{Key: "floor_to_come", Kind: Length, Default: 0, Min: 0, Max: int64(4 * length.Inch),
		Basis:    "the room's own build-up: subfloor to finished floor",
		lengthOf: func(r *Rules) *length.Length { return &r.FloorToCome }},
}
