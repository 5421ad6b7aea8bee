package trim

import (
	"math"
	"testing"

	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// twoWalls is two 10 ft walls meeting at a corner, their outer ends free and square, so that
// nothing but the corner changes a piece.
func twoWalls(corner Angle, inside InsideJoint) RunInput {
	return RunInput{
		Room:    Room{Open: true, Starts: EndSquare, Ends: EndSquare, Walls: []Wall{{ID: "left", Length: feet(10), Angle: corner}, {ID: "right", Length: feet(10)}}},
		Profile: Profile{Kind: Base, Height: length.In(5, 1, 4), Thickness: nineSixteenths},
		Corners: Corners{Inside: inside, First: LeftFirst},
		Rules:   houserules.Defaults(),
	}
}

// TestJointTable is the rule book's table of joints, its trigonometry worked by hand for
// 9/16 stock (plane geometry; the joints themselves are common practice). The same corners
// are built and looked at in TestPiecesFillTheWall.
func TestJointTable(t *testing.T) {
	t.Parallel()
	const stock = 0.5625
	for _, tt := range []struct {
		name                  string
		corner                Angle
		inside                InsideJoint
		firstOff, secondOff   float64 // off the wall's length along the back
		firstLong, secondLong float64 // long point past the back
		firstSaw, secondSaw   float64
		first, second         Joint
	}{
		{"inside 90 butt", 90_000, InsideButt, 0, stock, 0, 0, 0, 0, ButtFirst, ButtSecond},
		{"inside 60 butt", 60_000, InsideButt, 0.324760, 0.649519, 0, 0, 0, 30, ButtFirst, ButtSecond},
		{"inside 120 butt: long point on the face", 120_000, InsideButt, 0, 0.649519, 0, 0.324760, 0, 30, ButtFirst, ButtSecond},
		{"inside 90 coped", 90_000, InsideCope, 0, 0, 0, 0, 0, 45, CopeFirst, Cope},
		{"inside 60 coped", 60_000, InsideCope, 0.324760, 0, 0, 0, 0, 60, CopeFirst, Cope},
		{"inside 120 coped", 120_000, InsideCope, 0, 0, 0, 0, 0, 30, CopeFirst, Cope},
		{"inside 135 mitered", 135_000, InsideMiter, 0, 0, 0, 0, 22.5, 22.5, MiterInside, MiterInside},
		{"outside 90", 270_000, "", 0, 0, stock, stock, 45, 45, MiterOutside, MiterOutside},
		{"outside 135: a bay's corner", 225_000, "", 0, 0, 0.232995, 0.232995, 22.5, 22.5, MiterOutside, MiterOutside},
		{"outside 60", 300_000, "", 0, 0, 0.974279, 0.974279, 60, 60, MiterOutside, MiterOutside},
		{"in line", 180_000, "", 0, 0, 0, 0, 0, 0, Straight, Straight},
	} {
		out := Run(twoWalls(tt.corner, tt.inside))
		if len(out.Pieces) != 2 || len(out.Cuts) != 2 {
			t.Errorf("%s: %d pieces, findings %+v", tt.name, len(out.Pieces), out.Findings)
			continue
		}
		for i, want := range []struct {
			off, long, saw float64
			joint          Joint
		}{{tt.firstOff, tt.firstLong, tt.firstSaw, tt.first}, {tt.secondOff, tt.secondLong, tt.secondSaw, tt.second}} {
			p, c := out.Pieces[i], out.Cuts[i]
			joint := p.Right
			if i == 1 {
				joint = p.Left
			}
			saw := c.Ends[1-i].Miter
			back, long := 120-p.Back.Length.Inches(), c.Value.Length.Inches()-p.Back.Length.Inches()
			if joint != want.joint || math.Abs(back-want.off) > 1e-6 || math.Abs(long-want.long) > 1e-6 || math.Abs(saw-want.saw) > 1e-9 {
				t.Errorf("%s, piece %d: %s, back 120 − %.6f, long point + %.6f, saw %.3f; want %s, %.6f, %.6f, %.3f",
					tt.name, i+1, joint, back, long, saw, want.joint, want.off, want.long, want.saw)
			}
		}
		if out.Pieces[0].Sprung || out.Pieces[1].Sprung {
			t.Errorf("%s: a piece with a free end was sprung", tt.name)
		}
	}
}

func TestOutsideCornerReadsEitherWay(t *testing.T) {
	t.Parallel()
	gauged := twoWalls(135_000, "")
	gauged.Room.Walls[0].Turn = Outside
	plain := twoWalls(90_000, "")
	plain.Room.Walls[0].Turn, plain.Room.Walls[0].Angle = Outside, 0
	for name, tt := range map[string]struct {
		in   RunInput
		want Angle
	}{"a 135° gauge round it": {gauged, 225_000}, "outside and nothing said": {plain, 270_000}} {
		out := Run(tt.in)
		if len(out.Corners) != 1 || out.Corners[0].Angle != tt.want {
			t.Errorf("%s: corners %+v, want one of %d", name, out.Corners, tt.want)
		}
	}
}

func TestTheMainDoorDecidesWhoRunsFirst(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Features = append(in.Features, Feature{Wall: 2, Kind: OpeningFeature, Offset: feet(1), Width: feet(1), Main: true})
	out := Run(in)
	for _, p := range out.Pieces {
		// Coming in on the right, one faces the left wall: it runs full at both ends.
		if p.Wall == 4 && (p.Left != CopeFirst || p.Right != CopeFirst) {
			t.Errorf("wall facing the main door: %s/%s, want it first at both ends", p.Left, p.Right)
		}
	}
}

func TestACornerMadeAnotherWay(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Corners.Choices = []CornerChoice{{After: 2, First: LeftPiece}, {After: 3, Inside: InsideMiter}, {After: 9, Inside: InsideButt}}
	out := Run(in)
	for after, want := range map[int][2]Joint{1: {Cope, CopeFirst}, 2: {CopeFirst, Cope}, 3: {MiterInside, MiterInside}, 4: {CopeFirst, Cope}} {
		if c := out.Corners[after-1]; c.Left != want[0] || c.Right != want[1] {
			t.Errorf("corner after wall %d: %s/%s, want %s/%s", after, c.Left, c.Right, want[0], want[1])
		}
	}
	if !has(out.Findings, "corner_choice_unfit") {
		t.Errorf("a choice for a corner that is not there went unsaid: %+v", out.Findings)
	}
}

func TestIntoASharpOrOpenCornerWithoutANeighbor(t *testing.T) {
	t.Parallel()
	// Worked by hand: stock 9/16 standing 1/2 off the wall, casing 3/4.
	for _, tt := range []struct {
		corner Angle
		casing length.Length
		joint  Joint
		off    float64
		saw    float64
	}{
		{60_000, 0, ButtWall, (0.5 + 0.5625) / math.Sqrt(3), 0},
		{120_000, 0, ButtWall, -0.5 / math.Sqrt(3), 0},
		{90_000, 0, ButtWall, 0, 0},
		{60_000, length.In(0, 3, 4), ButtCasing, 0.75*2/math.Sqrt(3) + 0.5/math.Sqrt(3), 30},
		{120_000, length.In(0, 3, 4), ButtCasing, 0.75*2/math.Sqrt(3) - 0.5/math.Sqrt(3), 30},
	} {
		in := twoWalls(tt.corner, InsideCope)
		in.Profile.StandsOff = length.Half
		in.Features = []Feature{{Wall: 1, Kind: OpeningFeature, Offset: feet(7), Width: feet(3), CasingThickness: tt.casing}}
		out := Run(in)
		p, c := out.Pieces[len(out.Pieces)-1], out.Cuts[len(out.Cuts)-1]
		if off := 120 - p.Back.Length.Inches(); p.Left != tt.joint || math.Abs(off-tt.off) > 1e-6 || math.Abs(c.Ends[0].Miter-tt.saw) > 1e-9 {
			t.Errorf("%v°, casing %v: %s, %.6f off, saw %v; want %s, %.6f, %v", tt.corner.Degrees(), tt.casing.Inches(), p.Left, off, c.Ends[0].Miter, tt.joint, tt.off, tt.saw)
		}
	}
}

func TestCornerWithoutANeighbor(t *testing.T) {
	t.Parallel()
	// Casing 3/4 thick stands in the corner, so the next wall's base stops at its face.
	in := twoWalls(90_000, InsideCope)
	in.Features = []Feature{{Wall: 1, Kind: OpeningFeature, Offset: feet(7), Width: feet(3), CasingThickness: length.In(0, 3, 4)}}
	out := Run(in)
	for _, p := range out.Pieces {
		if p.Wall == 2 && (p.Left != ButtCasing || p.Back.Length != feet(10)-length.In(0, 3, 4)) {
			t.Errorf("beside a casing in the corner: %+v, want 10 ft less 3/4", p)
		}
	}
	// The same opening stopping 1 ft short of the corner leaves a piece to cope to.
	in.Features[0].Width = feet(2)
	out = Run(in)
	if last := out.Pieces[len(out.Pieces)-1]; last.Wall != 2 || last.Left != Cope || last.Back.Length != feet(10) {
		t.Errorf("beside a piece in the corner: %+v, want coped and full", last)
	}
	// Round an outside corner there is nothing to miter to: rail returns, base is cut square.
	in = twoWalls(270_000, "")
	in.Features = []Feature{{Wall: 1, Kind: OpeningFeature, Offset: feet(7), Width: feet(3)}}
	in.Profile.Kind, in.Profile.Mount = ChairRail, length.In(32, 0, 1)
	out = Run(in)
	last := out.Cuts[len(out.Cuts)-1]
	if last.Piece != "wall_2_piece_1_return_left" || last.Value.Length != nineSixteenths || last.Ends[1].Miter != 45 || last.Ends[0].Miter != 0 {
		t.Errorf("rail at an outside corner: %+v, want a return as long as the stock is thick", last)
	}
	main := out.Cuts[len(out.Cuts)-2]
	if main.Value.Length != feet(10) {
		t.Errorf("returned rail %v long at its long point, want 10 ft", main.Value.Length.Inches())
	}
}

func TestCornerFindings(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name   string
		corner Angle
		inside InsideJoint
		code   string
		want   bool
	}{
		{"60° outside gauge", 300_000, "", "corner_past_saw", true},
		{"square outside", 270_000, "", "corner_past_saw", false},
		{"butt at 135°", 135_000, InsideButt, "corner_hole_behind", true},
		{"butt at 92°", 92_000, InsideButt, "corner_hole_behind", false},
		{"cope at 45°", 45_000, InsideCope, "corner_acute_thin", true},
		{"cope at 85°", 85_000, InsideCope, "corner_acute_thin", false},
	} {
		if out := Run(twoWalls(tt.corner, tt.inside)); has(out.Findings, tt.code) != tt.want {
			t.Errorf("%s: %+v; want %s %v", tt.name, out.Findings, tt.code, tt.want)
		}
	}
}
