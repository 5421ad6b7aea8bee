// Package trim is the geometry of doors, casing and wall runs: it turns tape readings and
// a unit's sizes into the cuts a carpenter makes, each with its derivation, and finds what
// will not hang, will not reach or will not look right. It is pure: same input, same cuts.
package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// Kind is the kind of opening.
type Kind string

// The kinds of opening.
const (
	Door         Kind = "door"          // one hinged slab
	CasedOpening Kind = "cased_opening" // jambs and casing, no slab
	Pair         Kind = "pair"          // two hinged slabs meeting
	Pocket       Kind = "pocket"
	Bifold       Kind = "bifold"
	Bypass       Kind = "bypass"
	Window       Kind = "window"
	WallRun      Kind = "run" // no opening at all: base, shoe, chair rail or crown along a room's walls
)

// Core is how a slab is made; it decides how much may be cut off.
type Core string

// The cores.
const (
	Hollow       Core = "hollow"
	Solid        Core = "solid"
	StileAndRail Core = "stile_and_rail"
	FireRated    Core = "fire_rated"
)

// Grade is the finish an item gets; it decides what may fill a hole.
type Grade string

// The grades.
const (
	Paint Grade = "paint"
	Stain Grade = "stain"
)

// Side is a side of an opening. Openings without hinges use Hinge for the left side as
// seen from face A and Strike for the right; a pocket door's Hinge side is its pocket.
type Side string

// The sides.
const (
	Hinge  Side = "hinge"
	Strike Side = "strike"
)

// Face is a face of the wall: A is the face the opening is drawn from.
type Face string

// The faces.
const (
	FaceA Face = "a"
	FaceB Face = "b"
)

// Unit is what is to go into an opening, as specified or as delivered. Lengths are
// nanometers; zero means not said.
type Unit struct {
	_             [0]func()     // not to be compared: the function that does is weight on the phone
	Kind          Kind          `json:"kind" enum:"door,cased_opening,pair,pocket,bifold,bypass,window,run"`
	SlabWidth     length.Length `json:"slab_width,omitempty" doc:"Nanometers"`
	SlabHeight    length.Length `json:"slab_height,omitempty" doc:"As supplied, nanometers"`
	SlabThickness length.Length `json:"slab_thickness,omitempty" doc:"Nanometers"`
	Core          Core          `json:"core,omitempty" enum:"hollow,solid,stile_and_rail,fire_rated"`
	FireLabel     string        `json:"fire_label,omitempty" maxLength:"60" doc:"Rating on the label, such as 20 min"`
	Grade         Grade         `json:"grade" enum:"paint,stain"`
	JambThickness length.Length `json:"jamb_thickness,omitempty" doc:"Nanometers"`
	JambWidth     length.Length `json:"jamb_width,omitempty" doc:"Nanometers"`
	HeadThickness length.Length `json:"head_thickness,omitempty" doc:"Nanometers"`
	LegLength     length.Length `json:"leg_length,omitempty" doc:"Supplied jamb legs, head top to foot, nanometers; zero when cut from stock"`
	HingeOn       string        `json:"hinge_on,omitempty" enum:"left,right" doc:"Hinge side seen from face A"`
	SwingsTo      Face          `json:"swings_to,omitempty" enum:"a,b" doc:"Face the slab swings toward"`
	StopThickness length.Length `json:"stop_thickness,omitempty" doc:"Nanometers"`
	Exit          bool          `json:"exit,omitempty" doc:"Part of the required way out"`
	Accessible    bool          `json:"accessible,omitempty" doc:"On an accessible route"`
	MakerTrimMost length.Length `json:"maker_trim_most,omitempty" doc:"Most the maker's sheet lets one cut off the slab, nanometers; zero when not known"`

	HeadHousing    length.Length `json:"head_housing,omitempty" doc:"How deep the head is let into each leg; zero when it butts between the legs"`
	MeetingGap     length.Length `json:"meeting_gap,omitempty" doc:"Pair: gap between the slabs; zero takes the strike gap"`
	Astragal       length.Length `json:"astragal,omitempty" doc:"Pair: thickness of the astragal standing between the slabs; zero when there is none"`
	AstragalLap    length.Length `json:"astragal_lap,omitempty" doc:"Pair: how far the astragal stands past the meeting edge into the way"`
	Panels         int64         `json:"panels,omitempty" minimum:"0" maximum:"8" doc:"Bifold and bypass: how many slabs"`
	WidthAllowance length.Length `json:"width_allowance,omitempty" doc:"Bifold: finished opening wider than the slabs together, from the maker's sheet"`
	Lap            length.Length `json:"lap,omitempty" doc:"Bypass: how far neighboring slabs lap; pocket: how much of the closed slab stays out of sight; from the maker's sheet"`
	TrackAllowance length.Length `json:"track_allowance,omitempty" doc:"Pocket, bifold, bypass: head underside to slab top, from the maker's sheet"`
	FrameWidth     length.Length `json:"frame_width,omitempty" doc:"Pocket: outside width of the whole frame, from the maker's sheet"`
	SlotWidth      length.Length `json:"slot_width,omitempty" doc:"Pocket: slot between the split jambs; zero takes the slab and 3/16 in each side"`
	ClearWidth     length.Length `json:"clear_width,omitempty" doc:"Cased opening: jamb to jamb as wanted; zero fills the opening"`
	Surround       Surround      `json:"surround,omitempty" enum:"picture_frame,stool_apron" doc:"Window: what runs round it"`
	Horn           length.Length `json:"horn,omitempty" doc:"Window: stool past the casing's outer edge"`
	StoolNosing    length.Length `json:"stool_nosing,omitempty" doc:"Window: stool past the casing's face"`
	ExtensionJambs bool          `json:"extension_jambs,omitempty" doc:"Window: extension jambs are to be made; the four depths are then wanted"`
	ReturnAir      int64         `json:"return_air,omitempty" minimum:"0" maximum:"1000" doc:"Free area wanted under the slab for return air, square inches; zero when none"`
}

// Surround is how a window is trimmed below.
type Surround string

// The surrounds.
const (
	PictureFrame Surround = "picture_frame" // casing on all four sides
	StoolApron   Surround = "stool_apron"   // legs stand on a stool, an apron under it
)

// Readings are the current readings of an opening, one chosen take each; nil is not taken.
// Heights are from the floor as it stands; leans and the floor reading are signed.
type Readings struct {
	WidthBottom   *length.Length `json:"width_bottom,omitempty"`
	WidthMiddle   *length.Length `json:"width_middle,omitempty"`
	WidthTop      *length.Length `json:"width_top,omitempty"`
	HeightHinge   *length.Length `json:"height_hinge,omitempty" doc:"Floor as it stands to header, hinge side"`
	HeightStrike  *length.Length `json:"height_strike,omitempty" doc:"Floor as it stands to header, strike side"`
	FloorStrikeUp *length.Length `json:"floor_strike_up,omitempty" doc:"How much higher the floor is at the strike side; negative when the hinge side is high"`
	LeanHinge     *length.Length `json:"lean_hinge,omitempty" doc:"Over the height; positive when the top leans into the opening"`
	LeanStrike    *length.Length `json:"lean_strike,omitempty" doc:"Over the height; positive when the top leans into the opening"`
	DiagonalRise  *length.Length `json:"diagonal_rise,omitempty" doc:"Hinge-side foot to strike-side header"`
	DiagonalFall  *length.Length `json:"diagonal_fall,omitempty" doc:"Hinge-side header to strike-side foot"`
	WallBuildUp   *length.Length `json:"wall_build_up,omitempty" doc:"Stud plus the layers on both faces"`
	LayersA       *length.Length `json:"layers_a,omitempty" doc:"Board and whatever else covers the studs on face A"`
	LayersB       *length.Length `json:"layers_b,omitempty" doc:"The same on face B"`
	FloorToCome   *length.Length `json:"floor_to_come,omitempty" doc:"Flooring still to be laid"`
	FloorHighest  *length.Length `json:"floor_highest,omitempty" doc:"Highest floor in the swing above the high side at the opening"`
	SpaceAHinge   *length.Length `json:"space_a_hinge,omitempty" doc:"Opening's edge to the next wall or corner, face A, hinge side; not taken means nothing near"`
	SpaceAStrike  *length.Length `json:"space_a_strike,omitempty"`
	SpaceBHinge   *length.Length `json:"space_b_hinge,omitempty"`
	SpaceBStrike  *length.Length `json:"space_b_strike,omitempty"`

	DepthTopHinge     *length.Length `json:"depth_top_hinge,omitempty" doc:"Window: wall plane past the unit's plane at that corner; negative when the unit stands proud"`
	DepthTopStrike    *length.Length `json:"depth_top_strike,omitempty"`
	DepthBottomHinge  *length.Length `json:"depth_bottom_hinge,omitempty"`
	DepthBottomStrike *length.Length `json:"depth_bottom_strike,omitempty"`
	CornerHinge       *Angle         `json:"corner_hinge,omitempty" doc:"Corner at the head, hinge side, by angle gauge: thousandths of a degree"`
	CornerStrike      *Angle         `json:"corner_strike,omitempty" doc:"Thousandths of a degree"`
	CornerFootHinge   *Angle         `json:"corner_foot_hinge,omitempty" doc:"Window: corner at the sill, thousandths of a degree"`
	CornerFootStrike  *Angle         `json:"corner_foot_strike,omitempty" doc:"Thousandths of a degree"`
}

// CasingStyle is how casing turns the corner at the head.
type CasingStyle string

// The casing styles.
const (
	ButtHead     CasingStyle = "butt_head"
	Mitered      CasingStyle = "mitered"
	CornerBlocks CasingStyle = "corner_blocks"
)

// Casing is the casing of one face. Lengths are nanometers.
type Casing struct {
	_            [0]func()     // not to be compared: the function that does is weight on the phone
	Style        CasingStyle   `json:"style" enum:"butt_head,mitered,corner_blocks"`
	Profile      string        `json:"profile,omitempty" maxLength:"60" doc:"The crew's name for the stock"`
	Material     string        `json:"material,omitempty" enum:"wood,mdf" doc:"What the stock is made of"`
	Species      string        `json:"species,omitempty" maxLength:"40" doc:"Wood, as the rule book names it; for how far it moves"`
	Grain        string        `json:"grain,omitempty" enum:"flat_sawn,quarter_sawn"`
	Width        length.Length `json:"width"`
	Thickness    length.Length `json:"thickness"`
	Overhang     length.Length `json:"overhang,omitempty" doc:"Butt head past the leg's outer edge"`
	Block        length.Length `json:"block,omitempty" doc:"Side of a square corner block"`
	PlinthHeight length.Length `json:"plinth_height,omitempty" doc:"Zero when there is none"`
	FloorToCome  length.Length `json:"floor_to_come,omitempty" doc:"Flooring still to be laid on this face beyond the opening's own reading"`
}

// OpeningInput is everything the cuts of one opening depend on.
type OpeningInput struct {
	Unit     Unit             `json:"unit"`
	Readings Readings         `json:"readings"`
	CasingA  *Casing          `json:"casing_a,omitempty"`
	CasingB  *Casing          `json:"casing_b,omitempty"`
	Rules    houserules.Rules `json:"-"`
}

// Cut is one piece to cut.
type Cut struct {
	Piece    string          `json:"piece" doc:"leg_hinge, leg_strike, head, slab, casing_a_head, casing_a_leg_hinge …"`
	Profile  string          `json:"profile" doc:"Stock it comes from: jamb, slab, casing …"`
	Value    derive.Value    `json:"value" doc:"Length along the long point"`
	Rounding length.Rounding `json:"rounding" doc:"Which way the printed value rounds"`
	Width    *derive.Value   `json:"width,omitempty" doc:"Ripped width, when the piece is ripped; at the left or the foot when it tapers"`
	WidthFar *derive.Value   `json:"width_far,omitempty" doc:"Ripped width at the right or the top, when the piece tapers"`
	Ends     []End           `json:"ends,omitempty" doc:"Left or foot first, then right or top"`
	Marks    []Mark          `json:"marks,omitempty"`
	Quantity int             `json:"quantity"`
	Stage    string          `json:"-"` // stage the piece is cut for; a wall run's pieces are for trimmed
}

// WidthRounding is which way the printed width of a rip rounds: what is ripped to a space has to
// drop into it.
func (c *Cut) WidthRounding() length.Rounding {
	if c.Profile == "casing" || c.Profile == "block" {
		return length.Down
	}
	return length.Nearest
}

// End is how one end of a piece is cut. Angles are degrees from square.
type End struct {
	Joint string  `json:"joint" doc:"square, miter, cope, scarf, return, eased"`
	Miter float64 `json:"miter"`
	Bevel float64 `json:"bevel,omitempty"`
}

// Mark is a line to draw on a piece before it is set.
type Mark struct {
	Name  string       `json:"name"`
	From  string       `json:"from" enum:"each_end,foot,top,left,right,hinge_edge"`
	Value derive.Value `json:"value"`
}

// Named is a computed value that is not itself a cut: plumb width, shim space, reveal line.
type Named struct {
	Name  string       `json:"name"`
	Value derive.Value `json:"value"`
}

// OpeningCuts is what the rule book makes of an opening. Cuts whose readings are missing
// are left out; Findings say which reading is wanted.
type OpeningCuts struct {
	Cuts      []Cut             `json:"cuts"`
	Values    []Named           `json:"values"`
	Corners   []TrueCorner      `json:"corners,omitempty"`
	ReturnAir *ReturnAir        `json:"return_air,omitempty"`
	Findings  []finding.Finding `json:"findings"`
}

// TrueCorner is a corner of the frame that the casing turns.
type TrueCorner struct {
	Name  string `json:"name" enum:"corner_hinge,corner_strike,corner_foot_hinge,corner_foot_strike"`
	Angle Angle  `json:"angle" doc:"Thousandths of a degree"`
	From  string `json:"from" enum:"angle_gauge,diagonals,taken_square"`
}

// ReturnAir is the way left for air under a closed slab.
type ReturnAir struct {
	Gap          length.Length `json:"gap" doc:"Mean gap under the closed slab, nanometers"`
	Width        length.Length `json:"width" doc:"Width of the slab or slabs, nanometers"`
	SquareInches float64       `json:"square_inches" doc:"Free area, square inches"`
}
