package trim

import (
	"math"
	"strconv"

	"longpoint/internal/finding"
)

// What a crown's spring can be, degrees from the wall. Stock profiles are 38, 45 or 52
// (common practice); nearer 0 or 90 it is not a crown but a flat board.
const (
	LeastSpring = 5.0
	MostSpring  = 85.0
)

// AngleError says which angle cannot be and what would be plausible. Angles are degrees.
type AngleError struct {
	Reading     string // spring, corner, miter or bevel
	Value       float64
	Least, Most float64
}

// Error is a sentence for the person.
func (e *AngleError) Error() string {
	return "A " + e.Reading + " angle of " + degrees(e.Value) + "° cannot be: read it again, from " +
		degrees(e.Least) + "° to " + degrees(e.Most) + "°."
}

// Finding is the same as a stop.
func (e *AngleError) Finding() finding.Finding {
	return finding.New("angle_impossible", finding.Stop).On("measured").At(e.Reading).
		Term("reading", "angle_"+e.Reading).Text("angle", degrees(e.Value)).
		Text("least", degrees(e.Least)).Text("most", degrees(e.Most))
}

func degrees(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// within is false for NaN.
func within(v, least, most float64) bool { return v >= least && v <= most }

func checkCrown(spring, corner float64) *AngleError {
	if !within(spring, LeastSpring, MostSpring) {
		return &AngleError{"spring", spring, LeastSpring, MostSpring}
	}
	if least, most := LeastCorner.Degrees(), MostCorner.Degrees(); !within(corner, least, most) {
		return &AngleError{"corner", corner, least, most}
	}
	return nil
}

// Crown is how the saw stands for crown lying flat on its back: miter from square and bevel
// from upright, degrees, neither negative. Spring is the angle between the back and the
// wall; corner the angle between the two walls, in the room (over 180 outside) or, for an
// outside corner, round it: both give the same numbers. The error is an [AngleError].
//
// The joint lies in the upright plane that halves the corner; the two angles are that
// plane's, seen from the board. Miter-saw manuals print 31.62 and 33.85 for 38° crown in a
// square corner, 35.3 and 30 for 45° crown.
func Crown(spring, corner float64) (miter, bevel float64, err error) {
	if bad := checkCrown(spring, corner); bad != nil {
		return 0, 0, bad
	}
	miter, bevel = crown(spring, corner)
	return miter, bevel, nil
}

// crown expects angles that checkCrown passes.
func crown(spring, corner float64) (miter, bevel float64) {
	sin, cos := math.Sincos(spring * math.Pi / 180)
	half := corner * math.Pi / 360
	// The arctangent is taken as a cotangent, which stays finite at a straight wall.
	miter = math.Atan2(sin*math.Abs(math.Cos(half)), math.Sin(half)) * 180 / math.Pi
	bevel = math.Asin(cos*math.Abs(math.Cos(half))) * 180 / math.Pi
	return miter, bevel
}

// CrownNested is the miter for crown standing in the saw as it will on the wall, upside
// down with its ceiling edge on the table: half the turn, no bevel. Degrees.
func CrownNested(corner float64) (miter float64, err error) {
	if least, most := LeastCorner.Degrees(), MostCorner.Degrees(); !within(corner, least, most) {
		return 0, &AngleError{"corner", corner, least, most}
	}
	return math.Abs(180-corner) / 2, nil
}

// Hand says which piece of a corner is meant, facing the corner from the room.
type Hand string

// The hands.
const (
	LeftPiece  Hand = "left"  // its right end is cut
	RightPiece Hand = "right" // its left end is cut
)

// Position is how crown lies in the saw.
type Position string

// The positions.
const (
	Flat   Position = "flat"   // on its back, face up
	Nested Position = "nested" // against the fence as against the wall, upside down
)

// CrownCut is one crown cut as it is set up. It is worked out for a saw whose blade leans
// to the left; on one that leans right, swap left and right and turn the board end for end.
type CrownCut struct {
	Hand     Hand     `json:"hand" enum:"left,right" doc:"Piece to the left or right of the corner, facing it"`
	Corner   Turn     `json:"corner" enum:"inside,outside"`
	Position Position `json:"position" enum:"flat,nested"`
	Miter    float64  `json:"miter" doc:"Degrees from square"`
	Bevel    float64  `json:"bevel" doc:"Degrees from upright, blade leaning left"`
	Table    string   `json:"table" enum:"left,right" doc:"Side the table swings to"`
	Fence    string   `json:"fence" enum:"wall_edge,ceiling_edge" doc:"Edge against the fence"`
	Keep     string   `json:"keep" enum:"left,right" doc:"Side of the blade the piece is on"`
}

// CrownFlat sets up a cut with the crown flat on its back. Corner over 180 is outside.
func CrownFlat(spring, corner float64, hand Hand) (CrownCut, error) {
	c := CrownCut{Hand: hand, Corner: Inside, Position: Flat, Table: "right", Fence: "ceiling_edge", Keep: "left"}
	var err error
	if c.Miter, c.Bevel, err = Crown(spring, corner); err != nil {
		return CrownCut{}, err
	}
	// The blade leans one way only, so the other hand's board is turned end for end, which
	// swings the table over but keeps the same side; outside corners keep the offcut side.
	if hand == RightPiece {
		c.Table, c.Fence = "left", "wall_edge"
	}
	if corner > 180 {
		c.Corner, c.Keep = Outside, "right"
		c.Table, c.Fence = "left", "wall_edge"
		if hand == RightPiece {
			c.Table, c.Fence = "right", "ceiling_edge"
		}
	}
	return c, nil
}

// CrownStanding sets up a cut with the crown nested upside down. Corner over 180 is outside.
func CrownStanding(corner float64, hand Hand) (CrownCut, error) {
	c := CrownCut{Hand: hand, Corner: Inside, Position: Nested, Table: "right", Fence: "wall_edge", Keep: "right"}
	var err error
	if c.Miter, err = CrownNested(corner); err != nil {
		return CrownCut{}, err
	}
	if hand == RightPiece {
		c.Table, c.Keep = "left", "left"
	}
	if corner > 180 {
		c.Corner = Outside
		c.Table = "left"
		if hand == RightPiece {
			c.Table = "right"
		}
	}
	return c, nil
}
