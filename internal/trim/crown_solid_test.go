package trim

import (
	"math"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// The crown settings are proved by building the joint: two bars of an uneven profile are
// laid on a saw, cut by the plane the blade sweeps, stood against their walls and looked at.
// The blade and the bars are only ever turned with gonum's spatial/r3 rotations; none of
// the formulas under test appears here.

const rad = math.Pi / 180

var (
	axisX = r3.Vec{X: 1}
	axisY = r3.Vec{Y: 1}
	axisZ = r3.Vec{Z: 1}
)

// crownSection is a bar's section: across the board from its wall edge, and out from its back.
var crownSection = [][2]float64{{0, 0}, {3.625, 0}, {3.625, 0.2}, {3.1, 0.5625}, {1.9, 0.25}, {0.9, 0.5}, {0, 0.15}}

// bladeNormal is square to the plane a blade sweeps, pointing to the right. The operator
// looks along y, the fence lies along x, z is up. The blade first leans its top to the left,
// then the table swings, its operator's end going to the named side.
func bladeNormal(miter, bevel float64, table string) r3.Vec {
	n := r3.NewRotation(-bevel*rad, axisY).Rotate(axisX)
	if table == "left" {
		miter = -miter
	}
	return r3.NewRotation(miter*rad, axisZ).Rotate(n)
}

// boardFromSaw turns a direction on the saw into one on the board, whose x runs along it
// (left to right as it will face the room), y across it from wall edge to ceiling edge, z
// out of its face.
func boardFromSaw(v r3.Vec, c CrownCut, spring float64) r3.Vec {
	if c.Position == Nested {
		// Upside down: turned half round the line from fence to operator. The fence is the
		// wall and the table the ceiling, so undoing that gives the room's directions.
		return r3.NewRotation(-(90+spring)*rad, axisX).Rotate(r3.NewRotation(math.Pi, axisY).Rotate(v))
	}
	if c.Fence == "wall_edge" {
		return r3.NewRotation(math.Pi, axisZ).Rotate(v)
	}
	return v
}

// wallFromBoard stands a board up at its spring: x stays along the wall, the wall lies
// toward +y, z is up.
func wallFromBoard(v r3.Vec, spring float64) r3.Vec {
	return r3.NewRotation((90+spring)*rad, axisX).Rotate(v)
}

// cutFace returns, in the room, where each edge of a bar's section ends, and whether the
// kept part of the bar runs to the left. The cut passes through the corner of the walls at
// the board's wall edge, which is where its length is marked.
func cutFace(c CrownCut, spring float64, turnWall float64) (face []r3.Vec, keepsLeft bool) {
	n := boardFromSaw(bladeNormal(c.Miter, c.Bevel, c.Table), c, spring)
	if c.Keep == "right" {
		n = r3.Scale(-1, n)
	}
	keepsLeft = n.X > 0 // the kept side is where n·p ≤ 0
	for _, p := range crownSection {
		l := -(n.Y*p[0] + n.Z*p[1]) / n.X
		at := wallFromBoard(r3.Vec{X: l, Y: p[0], Z: p[1]}, spring)
		face = append(face, r3.NewRotation(turnWall*rad, axisZ).Rotate(at))
	}
	return face, keepsLeft
}

// opens is how far apart the two cut faces are at the worst edge of the section.
func opens(left, right CrownCut, spring, corner float64) (gap float64, sides bool) {
	a, aLeft := cutFace(left, spring, 0)
	// Facing the corner, the right wall turns toward the room by 180° − corner.
	b, bLeft := cutFace(right, spring, corner-180)
	for i := range a {
		gap = max(gap, r3.Norm(r3.Sub(a[i], b[i])))
	}
	return gap, aLeft && !bLeft
}

func TestCrownJointsCloseInThreeDimensions(t *testing.T) {
	t.Parallel()
	for _, spring := range []float64{30, 38, 45, 52, 60} {
		for _, corner := range []float64{30, 67, 88.5, 90, 91, 120, 135, 157.5, 202.5, 225, 268, 270, 272, 300, 330} {
			name := strconv.FormatFloat(spring, 'f', -1, 64) + "/" + strconv.FormatFloat(corner, 'f', -1, 64)
			flat := func(h Hand) CrownCut {
				c, err := CrownFlat(spring, corner, h)
				if err != nil {
					t.Fatalf("%s flat: %v", name, err)
				}
				return c
			}
			standing := func(h Hand) CrownCut {
				c, err := CrownStanding(corner, h)
				if err != nil {
					t.Fatalf("%s nested: %v", name, err)
				}
				return c
			}
			for _, tt := range []struct {
				how         string
				left, right CrownCut
			}{
				{"flat", flat(LeftPiece), flat(RightPiece)},
				{"nested", standing(LeftPiece), standing(RightPiece)},
				{"flat against nested", flat(LeftPiece), standing(RightPiece)},
			} {
				gap, sides := opens(tt.left, tt.right, spring, corner)
				if gap > 1e-9 || !sides {
					t.Errorf("%s %s: faces %.6f in apart, kept on the right sides %v; want closed", name, tt.how, gap, sides)
				}
			}
			// A quarter of a degree off on one piece must show, or this proves nothing.
			off := flat(LeftPiece)
			off.Miter += 0.25
			if gap, _ := opens(off, flat(RightPiece), spring, corner); gap < 0.005 {
				t.Errorf("%s: miter off by 0.25° opens %.6f in, want it to show", name, gap)
			}
			off = flat(LeftPiece)
			off.Bevel += 0.25
			if gap, _ := opens(off, flat(RightPiece), spring, corner); gap < 0.0005 {
				t.Errorf("%s: bevel off by 0.25° opens %.6f in, want it to show", name, gap)
			}
		}
	}
}

func TestSawGapAgainstTheSolidJoint(t *testing.T) {
	t.Parallel()
	// What Saw.Set says a detent opens, against the cut faces of two bars of that width:
	// a 45° spring in a square corner wants 35.26° and is cut at 36° on both pieces.
	const spring, corner = 45, 90
	left, _ := CrownFlat(spring, corner, LeftPiece)
	right, _ := CrownFlat(spring, corner, RightPiece)
	set, err := Saw{Miters: []Angle{36 * Degree}, MiterMost: 50 * Degree}.Set(left.Miter, left.Bevel, length.In(3, 5, 8), 0)
	if err != nil || set.Miter.Opens == nil {
		t.Fatalf("Set: %v, %+v", err, set)
	}
	left.Miter, right.Miter = 36, 36
	a, _ := cutFace(left, spring, 0)
	b, _ := cutFace(right, spring, corner-180)
	got, want := set.Miter.Opens.Inches(), r3.Norm(r3.Sub(a[1], b[1])) // the ceiling edge's back
	if math.Abs(got-want) > 0.001*want {
		t.Errorf("detent 36° opens %.4f in, the solid joint %.4f", got, want)
	}
}

// A scarf told by the run's sheet is cut on the solid bar, set up for the position the sheet
// names, and its overlap and short points are read off the cut bar.
func TestCrownScarfsCloseInThreeDimensions(t *testing.T) {
	t.Parallel()
	const spring, wall, stud = 38, 240, 120
	first := length.In(8, 0, 1)
	for _, tt := range []struct {
		position Position
		angle    Angle
		miter    float64
		bevel    float64
		overlap  float64 // by hand: 5/8 × tan of it flat, 3 5/8 × sin 38° × tan of it nested
	}{
		{Flat, 30 * Degree, 0, 30, 0.36084},
		{Flat, 45 * Degree, 0, 45, 0.625},
		{Nested, 30 * Degree, 30, 0, 1.28851},
		{Nested, 45 * Degree, 45, 0, 2.23177},
	} {
		out := Run(RunInput{
			Room: Room{Open: true, Starts: EndButt, Ends: EndButt, Walls: []Wall{{Length: length.In(wall, 0, 1), Stud: &first}}},
			Profile: Profile{Kind: CrownRun, Height: length.In(3, 5, 8), Thickness: length.In(0, 5, 8), Spring: spring * Degree,
				Position: tt.position, StockLength: feet(16)},
			Corners: Corners{ScarfAngle: tt.angle},
			Rules:   houserules.Defaults(),
		})
		if len(out.Cuts) != 2 {
			t.Fatalf("%s: %d cuts, want two", tt.position, len(out.Cuts))
		}
		for i, c := range out.Cuts {
			e, m := c.Ends[1-i], c.Marks[0]
			if e.Joint != "scarf" || math.Abs(e.Miter-tt.miter) > 1e-9 || math.Abs(e.Bevel-tt.bevel) > 1e-9 {
				t.Errorf("%s, piece %d: scarf is %+v, want miter %v and bevel %v", tt.position, i+1, e, tt.miter, tt.bevel)
			}
			set := CrownCut{Position: tt.position, Miter: e.Miter, Bevel: e.Bevel, Table: "left", Fence: "ceiling_edge"}
			n := boardFromSaw(bladeNormal(set.Miter, set.Bevel, set.Table), set, spring)
			ends := func(across, out float64) float64 { return -(n.Y*across + n.Z*out) / n.X }
			// Which lines of the bar the mark lies between: its edges, or its back and its face.
			apart := math.Abs(ends(3.625, 0) - ends(0, 0))
			if m.Name == "short_point_back" || m.Name == "short_point_face" {
				apart = math.Abs(ends(0, 0.625) - ends(0, 0))
			}
			if got := m.Value.Length.Inches(); math.Abs(got-apart) > 1e-6 || math.Abs(got-tt.overlap) > 1e-5 {
				t.Errorf("%s, piece %d: %s at %.5f, the solid bar has it at %.5f, want %.5f", tt.position, i+1, m.Name, got, apart, tt.overlap)
			}
			// Flat, both edges of the back end at one mark.
			if tt.position == Flat && math.Abs(ends(3.625, 0)-ends(0, 0)) > 1e-9 {
				t.Errorf("flat: the edges end %.5f apart, want together", ends(3.625, 0)-ends(0, 0))
			}
		}
		left, right := out.Cuts[0].Value.Length.Inches(), out.Cuts[1].Value.Length.Inches()
		if lap := left + right - wall; math.Abs(lap-tt.overlap) > 1e-5 || math.Abs(left-tt.overlap/2-stud) > 1e-5 {
			t.Errorf("%s: pieces %.5f and %.5f overlap %.5f, want %.5f over the stud at %d", tt.position, left, right, lap, tt.overlap, stud)
		}
	}
}
