package trim

import (
	"math"

	"longpoint/internal/derive"
	"longpoint/internal/length"
)

// Joint is what is made at one end of a piece.
type Joint string

// The joints. "First" is the piece that runs into an inside corner, the other meets its face.
const (
	ButtCasing   Joint = "butt_casing" // square against casing or a built-in
	ButtWall     Joint = "butt_wall"   // square against a wall that has no piece there
	ButtFirst    Joint = "butt_first"
	ButtSecond   Joint = "butt_second"
	CopeFirst    Joint = "cope_first"
	Cope         Joint = "cope"
	MiterInside  Joint = "miter_inside"
	MiterOutside Joint = "miter_outside"
	Straight     Joint = "straight" // walls in line: square to square
	ScarfUnder   Joint = "scarf_under"
	ScarfOver    Joint = "scarf_over"
	Return       Joint = "return"
	SquareEnd    Joint = "square_end" // free end, cut square
)

// Joints lists every joint.
func Joints() []Joint {
	return []Joint{ButtCasing, ButtWall, ButtFirst, ButtSecond, CopeFirst, Cope, MiterInside,
		MiterOutside, Straight, ScarfUnder, ScarfOver, Return, SquareEnd}
}

// caught reports whether the end stands in an inside corner, against which a piece can spring.
func (j Joint) caught() bool {
	switch j {
	case ButtWall, ButtFirst, ButtSecond, CopeFirst, Cope, MiterInside:
		return true
	}
	return false
}

// InsideJoint is how inside corners are made.
type InsideJoint string

// The inside joints.
const (
	InsideCope  InsideJoint = "cope"
	InsideMiter InsideJoint = "miter"
	InsideButt  InsideJoint = "butt"
)

// FirstRule says which of the two pieces at an inside corner runs into it.
type FirstRule string

// The first rules.
const (
	AwayFromDoor   FirstRule = "away_from_door"   // the wall one faces on coming in, so its neighbors' copes are seen edge on
	LongWallsFirst FirstRule = "long_walls_first" // fewer long pieces to cope
	LeftFirst      FirstRule = "left_first"       // work round to the right
	RightFirst     FirstRule = "right_first"      // work round to the left
)

// Corners is how a run turns its corners and joins its sticks.
type Corners struct {
	Inside     InsideJoint    `json:"inside,omitempty" enum:"cope,miter,butt" doc:"Inside corners; when not said, square-edge stock butts and profiles cope up to 120 degrees and miter beyond"`
	First      FirstRule      `json:"first,omitempty" enum:"away_from_door,long_walls_first,left_first,right_first" doc:"Away from the main door when not said"`
	ScarfAngle Angle          `json:"scarf_angle,omitempty" enum:"30000,45000" doc:"Thousandths of a degree from square; 30 when not said"`
	ScarfLap   Hand           `json:"scarf_lap,omitempty" enum:"left,right" doc:"Piece that laps over the other, facing the wall; left when not said"`
	FreeEnd    RunEnd         `json:"free_end,omitempty" enum:"return,square" doc:"Where a run stops at an outside corner; base and shoe square, rail and crown return when not said"`
	Choices    []CornerChoice `json:"choices,omitempty" maxItems:"200" doc:"Corners made another way"`
}

// CornerChoice overrides the rule at one corner.
type CornerChoice struct {
	After  int         `json:"after" minimum:"1" doc:"Wall whose right end is the corner, counted from 1"`
	Inside InsideJoint `json:"inside,omitempty" enum:"cope,miter,butt"`
	First  Hand        `json:"first,omitempty" enum:"left,right" doc:"Piece that runs into the corner, facing it"`
}

const (
	copeMost = 120 * Degree // common practice: a wider corner is mitered, the cope grows too thin
	// defaultScarf is the flatter of the two usual scarfs; it takes less stock.
	defaultScarf = 30 * Degree
)

// Corner is how one corner is made.
type Corner struct {
	After      int        `json:"after" doc:"Wall whose right end is the corner, counted from 1"`
	Before     int        `json:"before" doc:"Wall whose left end is the corner"`
	Angle      Angle      `json:"angle" doc:"Between the walls on the room's side, thousandths of a degree"`
	Turn       Angle      `json:"turn" doc:"How far the walls turn: half of it is the miter"`
	Left       Joint      `json:"left,omitempty" doc:"Joint of the piece left of the corner; empty when there is none"`
	Right      Joint      `json:"right,omitempty" doc:"Joint of the piece right of the corner"`
	Allowances []Named    `json:"allowances,omitempty" doc:"What the corner takes off a piece, or a long point adds, with the trigonometry"`
	Saw        SawSetting `json:"saw" doc:"The mitered or coped piece's angles against the saw's detents"`
}

// joints names the joints at the corner of walls i and j, both having a piece there.
func (r *run) joints(i, j int, c Angle) (left, right Joint) {
	if c == straight {
		return Straight, Straight
	}
	if c > straight {
		return MiterOutside, MiterOutside
	}
	choice := r.choices[i+1]
	kind := r.in.Corners.Inside
	if choice.Inside != "" {
		kind = choice.Inside
	}
	if kind == "" {
		switch {
		case r.in.Profile.SquareEdge:
			kind = InsideButt
		case c > copeMost:
			kind = InsideMiter
		default:
			kind = InsideCope
		}
	}
	if kind == InsideMiter {
		return MiterInside, MiterInside
	}
	first, second := ButtFirst, ButtSecond
	if kind == InsideCope {
		first, second = CopeFirst, Cope
	}
	if r.leftFirst(i, j, choice.First) {
		return first, second
	}
	return second, first
}

// leftFirst decides which piece runs into a corner. The wall one faces on coming in goes
// first, then the longer wall, then the lesser id, so the answer does not hang on where the
// plan starts or which way round it is walked; only like walls without ids fall back on order.
func (r *run) leftFirst(i, j int, choice Hand) bool {
	switch choice {
	case LeftPiece:
		return true
	case RightPiece:
		return false
	}
	switch r.in.Corners.First {
	case LeftFirst:
		return true
	case RightFirst:
		return false
	case LongWallsFirst:
	default:
		if r.hasDoor {
			if a, b := r.heads[i].apart(r.doors), r.heads[j].apart(r.doors); a != b {
				return a > b
			}
		}
	}
	a, b := r.in.Room.Walls[i], r.in.Room.Walls[j]
	switch {
	case a.Length != b.Length:
		return a.Length > b.Length
	case a.ID != b.ID:
		return a.ID < b.ID
	}
	return i < j
}

// endCut is one end of a piece: what the joint takes off the length along the back, and how
// far the face end stands beyond the back end (negative when the back is the long point).
type endCut struct {
	joint  Joint
	off    []derive.Term // each negative when it shortens
	beyond length.Length
	miter  float64 // degrees from square, as set on the saw
	bevel  float64
}

func (e endCut) takes() length.Length {
	var sum length.Length
	for _, t := range e.off {
		sum -= t.Length
	}
	return sum
}

// offTerm leaves out what takes nothing off.
func offTerm(ts []derive.Term, name string, l length.Length) []derive.Term {
	if l == 0 {
		return ts
	}
	return append(ts, derive.Minus(name, l, derive.Geometry))
}

// cornerEnd makes one end at a corner of angle c for stock of depth d whose back stands s
// off the wall. Looking down on the corner, the back runs along its wall to where the two
// backs' lines meet (s / tan c/2 short of the walls' corner), and from there:
//
//   - square into the corner: where c is acute the face strikes the other wall first, at
//     d / tan c from the back's end;
//   - against the other piece's face, a line d off the other back: d / sin c short along the
//     back, the end cut parallel to that face, 90° − c from square;
//   - in the plane that halves the corner: nothing short at the back, the face d × tan δ/2
//     shorter inside, longer outside.
func (r *run) cornerEnd(j Joint, c Angle) endCut {
	d, s := r.depth, r.in.Profile.StandsOff
	e := endCut{joint: j}
	if c == straight {
		e.joint = Straight
		return e
	}
	e.off = offTerm(e.off, "stands_off_at_corner", times(s, 1/c.halfTan()))
	switch j {
	case ButtFirst, CopeFirst:
		if c < 90*Degree {
			e.off = offTerm(e.off, "acute_corner", times(d, 1/c.tan()))
		}
	case ButtSecond:
		sin, _ := c.sinCos()
		e.off = offTerm(e.off, "first_piece_in_corner", times(d, 1/sin))
		e.beyond = -times(d, 1/c.tan())
		e.miter = math.Abs(90 - c.Degrees())
	case Cope, MiterInside, MiterOutside:
		e.beyond = -times(d, 1/c.halfTan())
		e.miter, e.bevel = r.sawAngles(c)
	}
	return e
}

// sawAngles is how the saw stands for a joint in the plane that halves the corner.
func (r *run) sawAngles(c Angle) (miter, bevel float64) {
	p := r.in.Profile
	if p.Kind == CrownRun && p.Position != Nested {
		return crown(p.Spring.Degrees(), c.Degrees())
	}
	return c.turn().Degrees() / 2, 0
}

// intoWall ends a piece at an inside corner whose other wall has no piece: square against
// the wall, or cut to the face of a casing that fills the corner.
func (r *run) intoWall(c Angle, casing length.Length) endCut {
	d, s := r.depth, r.in.Profile.StandsOff
	if casing > 0 {
		sin, _ := c.sinCos()
		e := endCut{joint: ButtCasing, beyond: -times(d, 1/c.tan()), miter: math.Abs(90 - c.Degrees())}
		e.off = offTerm(e.off, "casing_in_corner", times(casing, 1/sin)+times(s, 1/c.tan()))
		return e
	}
	e := endCut{joint: ButtWall}
	switch {
	case c < 90*Degree:
		e.off = offTerm(e.off, "acute_corner", times(s+d, 1/c.tan()))
	case c > 90*Degree:
		e.off = offTerm(e.off, "stands_off_at_corner", times(s, 1/c.tan()))
	}
	return e
}

// freeEnd ends a piece where nothing stops it.
func (r *run) freeEnd(end RunEnd) endCut {
	if end != EndReturn {
		return endCut{joint: SquareEnd}
	}
	e := endCut{joint: Return, beyond: r.depth}
	e.off = offTerm(nil, "return_miter", r.depth)
	e.miter, e.bevel = r.sawAngles(270 * Degree)
	return e
}

// allowances shows the trigonometry behind a corner's take-off and long point.
func (r *run) allowances(c Angle, joints ...Joint) []Named {
	var out []Named
	d, s := r.depth, r.in.Profile.StandsOff
	add := func(name, formula string, l length.Length, in derive.Term) {
		for _, n := range out {
			if n.Name == name {
				return
			}
		}
		if l != 0 {
			out = append(out, Named{Name: name, Value: derive.By(formula, "wall_run_geometry", l, in)})
		}
	}
	depth := derive.Plus("thickness", d, derive.Unit)
	if r.in.Profile.Kind == CrownRun {
		depth = derive.Plus("projection", d, derive.Unit)
	}
	for _, j := range joints {
		if j == "" || c == straight {
			continue
		}
		if j != ButtCasing && j != ButtWall && j != Return && j != SquareEnd {
			add("stands_off_at_corner", "over_tangent_of_half_corner", times(s, 1/c.halfTan()), derive.Plus("stands_off", s, derive.Unit))
		}
		sin, _ := c.sinCos()
		switch j {
		case ButtWall, ButtFirst, CopeFirst:
			if c < 90*Degree {
				add("acute_corner", "over_tangent_of_corner", times(d, 1/c.tan()), depth)
			}
		case ButtSecond:
			add("first_piece_in_corner", "over_sine_of_corner", times(d, 1/sin), depth)
			if c > 90*Degree {
				add("face_longer", "over_tangent_of_corner", -times(d, 1/c.tan()), depth)
			} else {
				add("face_shorter", "over_tangent_of_corner", times(d, 1/c.tan()), depth)
			}
		case Cope, MiterInside:
			add("face_shorter", "times_tangent_of_half_turn", times(d, 1/c.halfTan()), depth)
		case MiterOutside:
			add("face_longer", "times_tangent_of_half_turn", -times(d, 1/c.halfTan()), depth)
		}
	}
	return out
}
