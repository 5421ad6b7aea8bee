package trim

import (
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// RunKind is the kind of trim that follows the walls.
type RunKind string

// The kinds of wall run.
const (
	Base      RunKind = "base"
	Shoe      RunKind = "shoe"
	ChairRail RunKind = "chair_rail"
	CrownRun  RunKind = "crown"
)

// Profile is the stock of a run. Lengths are nanometers; zero means not said.
type Profile struct {
	_           [0]func()     // not to be compared: the function that does is weight on the phone
	Kind        RunKind       `json:"kind" enum:"base,shoe,chair_rail,crown"`
	Name        string        `json:"name,omitempty" maxLength:"60" doc:"The crew's name for the stock"`
	Height      length.Length `json:"height" doc:"Up the wall; of crown its width from edge to edge, flat"`
	Thickness   length.Length `json:"thickness" doc:"Where it stands out most from its back"`
	SquareEdge  bool          `json:"square_edge,omitempty" doc:"A plain board: inside corners butt when not said otherwise"`
	StandsOff   length.Length `json:"stands_off,omitempty" doc:"What is between its back and the wall: for shoe, the base's thickness"`
	Mount       length.Length `json:"mount,omitempty" doc:"Floor to underside of a chair rail"`
	Spring      Angle         `json:"spring,omitempty" doc:"Crown: back to wall, thousandths of a degree"`
	Projection  length.Length `json:"projection,omitempty" doc:"Crown: along the ceiling from wall to front edge; worked out from width and spring when zero"`
	Position    Position      `json:"position,omitempty" enum:"flat,nested" doc:"How crown lies in the saw; flat when not said"`
	StockLength length.Length `json:"stock_length,omitempty" doc:"Longest stick to be had; zero for no limit"`
}

// The sizes a profile can be, common practice.
const (
	leastThickness = length.Sixteenth
	mostThickness  = 4 * length.Inch
	leastHeight    = length.Quarter
	mostHeight     = 24 * length.Inch
	leastStock     = length.Foot
)

// CheckProfile refuses at the door what no stock measures.
func CheckProfile(p Profile) []finding.Finding {
	var fs []finding.Finding
	size := func(reading string, l, least, most length.Length) {
		if l < least || l > most {
			fs = append(fs, finding.New("profile_size_impossible", finding.Stop).On("measured").
				At("profile_"+reading).Term("reading", "profile_"+reading).
				Len("length", l).Len("least", least).Len("most", most))
		}
	}
	switch p.Kind {
	case Base, Shoe, ChairRail, CrownRun:
	default:
		fs = append(fs, finding.New("profile_kind_unknown", finding.Stop).On("measured").At("profile_kind").Text("kind", string(p.Kind)))
	}
	size("height", p.Height, leastHeight, mostHeight)
	size("thickness", p.Thickness, leastThickness, mostThickness)
	size("stands_off", p.StandsOff, 0, mostThickness)
	size("mount", p.Mount, 0, 20*length.Foot)
	if p.StockLength != 0 {
		size("stock_length", p.StockLength, leastStock, length.Longest)
	}
	if p.Kind != CrownRun {
		return fs
	}
	if !within(p.Spring.Degrees(), LeastSpring, MostSpring) {
		fs = append(fs, (&AngleError{"spring", p.Spring.Degrees(), LeastSpring, MostSpring}).Finding())
	}
	if p.Projection != 0 {
		size("projection", p.Projection, leastThickness, mostHeight)
	}
	switch p.Position {
	case "", Flat, Nested:
	default:
		fs = append(fs, finding.New("profile_position_unknown", finding.Stop).On("measured").At("profile_position").Text("position", string(p.Position)))
	}
	return fs
}

// Depth is how far the profile stands out on the plan.
func (p Profile) Depth() length.Length { return p.depth() }

func (p Profile) depth() length.Length {
	if p.Kind != CrownRun {
		return p.Thickness
	}
	if p.Projection > 0 {
		return p.Projection
	}
	sin, _ := p.Spring.sinCos()
	return times(p.Height, sin)
}

// band is the height on the wall the profile covers; known is false where that was not said.
func (p Profile) band() (low, high length.Length, known bool) {
	switch p.Kind {
	case ChairRail:
		return p.Mount, p.Mount + p.Height, p.Mount > 0
	case CrownRun:
		return 0, 0, false
	}
	return 0, p.Height, true
}
