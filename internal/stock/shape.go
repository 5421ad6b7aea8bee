package stock

import "math"

// End is how one end of a piece is cut, as the piece lies on the stick: face up, or with its
// face toward the person at the saw. Near is the edge toward that person, Far the one at the
// fence. The piece's Length runs from extreme to extreme; a mitered end reaches its extreme on one edge
// only (the long point) and stands back from it on the other.
type End struct {
	Near int64 `json:"near,omitempty"` // how far the cut stands back from the extreme on the near edge
	Far  int64 `json:"far,omitempty"`  // the same on the far edge; one of the two is 0
	Kerf int64 `json:"kerf,omitempty"` // what the blade takes along the stick at this angle; never counted under Problem.Kerf
}

// Shape is the two ends of a piece.
type Shape struct {
	Left  End `json:"left"`
	Right End `json:"right"`
	// Turns says the stock is the same from either face and either edge (a flat, square board), so
	// that the piece may be laid turned over or end for end. A molded profile may not.
	Turns bool `json:"turns,omitempty"`
}

// Turn is how a piece lies against the way its Shape says.
type Turn int

// The turns. A piece whose Shape does not turn lies AsIs.
const (
	AsIs      Turn = iota
	Over           // turned over along its length: near and far change places
	EndForEnd      // turned over end for end: left and right change places
	Around         // turned half around, face up: both change places
)

// SetBack is how far a cut across width stands back from its long point when it is degrees
// from square, rounded down: what a neighbor may use is never more than what is there.
// Degrees are 0 to under 90; anything else gives 0.
func SetBack(width int64, degrees float64) int64 {
	if width <= 0 || width > MaxLength || !(degrees > 0 && degrees < 89) {
		return 0
	}
	// One part in 10^12 is more than the tangent's own error.
	return int64(float64(width) * math.Tan(degrees*math.Pi/180) * (1 - 1e-12))
}

// KerfAt is what a blade of that kerf takes along the stick when it crosses at degrees from
// square (miter, or bevel, whichever is steeper), rounded up: kerf / cos.
func KerfAt(kerf int64, degrees float64) int64 {
	if kerf <= 0 || kerf > MaxLength || !(degrees > 0 && degrees < 89) {
		return max(kerf, 0)
	}
	return int64(math.Ceil(float64(kerf) / math.Cos(degrees*math.Pi/180) * (1 + 1e-12)))
}

func (e End) over() End { return End{Near: e.Far, Far: e.Near, Kerf: e.Kerf} }

// Lying is the shape of a piece as it lies after a turn.
func (s Shape) Lying(t Turn) Shape {
	switch t {
	case Over:
		return Shape{Left: s.Left.over(), Right: s.Right.over(), Turns: s.Turns}
	case EndForEnd:
		return Shape{Left: s.Right, Right: s.Left, Turns: s.Turns}
	case Around:
		return Shape{Left: s.Right.over(), Right: s.Left.over(), Turns: s.Turns}
	}
	return s
}

// turns lists the different ways the piece may lie.
func (s Shape) turns() []Turn {
	if !s.Turns {
		return []Turn{AsIs}
	}
	out := []Turn{AsIs}
	for _, t := range []Turn{Over, EndForEnd, Around} {
		new := true
		for _, o := range out {
			new = new && s.Lying(o) != s.Lying(t)
		}
		if new {
			out = append(out, t)
		}
	}
	return out
}

// sound makes a shape safe to lay others against: a set-back that leaves an edge shorter than
// nothing, or is negative, counts as a square end.
func (s Shape) sound(length int64) Shape {
	for _, e := range []*End{&s.Left, &s.Right} {
		if e.Near < 0 || e.Far < 0 || e.Near > length || e.Far > length {
			e.Near, e.Far = 0, 0
		}
	}
	if s.Left.Near+s.Right.Near > length || s.Left.Far+s.Right.Far > length {
		s.Left.Near, s.Left.Far, s.Right.Near, s.Right.Far = 0, 0, 0, 0
	}
	return s
}

// Apart is how far the extremes of two neighbors lie apart on the stick, right end a and left
// end b: the wider of the two kerfs, less what the waste of one takes of the other on both
// edges at once. It is negative where they nest.
func Apart(kerf int64, a, b End, nested bool) int64 {
	k := max(kerf, a.Kerf, b.Kerf)
	if !nested {
		return k
	}
	return k - min(a.Near+b.Near, a.Far+b.Far)
}

// Plain is p with each piece made longer by what its mitered cuts take beyond the straight
// kerf, so that any order of the pieces of a layout of it can be cut without nesting. A piece
// that this would make longer than every stick is as long as the longest: it lies there alone.
func Plain(p Problem, shapes []Shape) Problem {
	longest := int64(0)
	for _, s := range p.Stocks {
		if s.Count != 0 {
			longest = max(longest, s.Length-p.EndTrim)
		}
	}
	out := p
	out.Pieces = make([]Piece, len(p.Pieces))
	for i, c := range p.Pieces {
		if more := max(0, shapes[i].Left.Kerf-p.Kerf) + max(0, shapes[i].Right.Kerf-p.Kerf); c.Length <= longest {
			c.Length = min(c.Length+more, longest)
		}
		out.Pieces[i] = c
	}
	return out
}

// least is p with each piece as long as its two edges are on average: on either edge of a stick
// the pieces' edges and the straight kerfs between them must fit, so their average must.
// No nested plan of p costs less than the best plan of it. Pieces too small to be a piece of
// their own are left out, which only lowers the bound.
func least(p Problem, shapes []Shape) (out Problem, from []int) {
	out = p
	out.Pieces = nil
	for i, c := range p.Pieces {
		s := shapes[i].sound(c.Length)
		near := c.Length - s.Left.Near - s.Right.Near
		far := c.Length - s.Left.Far - s.Right.Far
		c.Length = (near + far) / 2
		if c.Length < max(1, p.Kerf) {
			continue
		}
		out.Pieces = append(out.Pieces, c)
		from = append(from, i)
	}
	return out, from
}
