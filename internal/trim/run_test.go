package trim

import (
	"math"
	"testing"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

var nineSixteenths = length.In(0, 9, 16)

// closet is a 6 × 3 ft room with a door in its first wall: casing outside edges 2 ft to
// 4 ft 8 1/2 in from the left.
func closet() RunInput {
	stud := length.In(8, 0, 1)
	return RunInput{
		Room: Room{Walls: []Wall{{ID: "door", Length: feet(6), Stud: &stud}, {ID: "right", Length: feet(3), Stud: &stud},
			{ID: "back", Length: feet(6), Stud: &stud}, {ID: "left", Length: feet(3), Stud: &stud}}},
		Features: []Feature{{Wall: 1, Kind: OpeningFeature, Offset: length.In(26, 3, 4), Width: length.In(27, 0, 1),
			CasingLeft: length.In(2, 3, 4), CasingRight: length.In(2, 3, 4), CasingThickness: length.In(0, 3, 4)}},
		Profile: Profile{Kind: Base, Height: length.In(5, 1, 4), Thickness: nineSixteenths},
		Rules:   houserules.Defaults(),
	}
}

func TestClosetBase(t *testing.T) {
	t.Parallel()
	out := Run(closet())
	// Facing the door one sees the back wall first: it runs full, the side walls cope to it
	// and run into the door wall, whose short pieces cope at the corner and butt the casing.
	for _, want := range []struct {
		name        string
		back        length.Length
		left, right Joint
		sprung      bool
		rounding    length.Rounding
	}{
		{"wall_1_piece_1", length.In(24, 0, 1), Cope, ButtCasing, false, length.Down},
		{"wall_1_piece_2", length.In(15, 1, 2), ButtCasing, Cope, false, length.Down},
		{"wall_2_piece_1", length.In(36, 1, 32), CopeFirst, Cope, true, length.Nearest},
		{"wall_3_piece_1", length.In(72, 1, 16), CopeFirst, CopeFirst, true, length.Nearest},
		{"wall_4_piece_1", length.In(36, 1, 32), Cope, CopeFirst, true, length.Nearest},
	} {
		found := false
		for i, p := range out.Pieces {
			if p.Name != want.name {
				continue
			}
			found = true
			if p.Back.Length != want.back || p.Left != want.left || p.Right != want.right || p.Sprung != want.sprung || out.Cuts[i].Rounding != want.rounding {
				t.Errorf("%s: %v in %s/%s sprung %v %s; want %v in %s/%s %v %s", p.Name, p.Back.Length.Inches(), p.Left, p.Right, p.Sprung,
					out.Cuts[i].Rounding, want.back.Inches(), want.left, want.right, want.sprung, want.rounding)
			}
		}
		if !found {
			t.Errorf("no %s in %+v", want.name, out.Pieces)
		}
	}
	if len(out.Pieces) != 5 || len(out.Corners) != 4 {
		t.Errorf("%d pieces and %d corners, want 5 and 4", len(out.Pieces), len(out.Corners))
	}
	for _, v := range out.Values {
		if v.Name == "run_along_backs" && v.Value.Length != length.In(24+15+36+72+36, 5, 8) { // 1/2 + 1/16 + 2/32
			t.Errorf("run along the backs %v, want 183 5/8", v.Value.Length.Inches())
		}
	}
}

// TestARunAlongSomeWalls: paneling on the back wall and the one to its right. The corner
// between them is coped; at the others the pieces die into bare walls.
func TestARunAlongSomeWalls(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Along = []int{3, 2}
	out := Run(in)
	if len(out.Pieces) != 2 || len(out.Stretches) != 2 || len(out.Corners) != 3 {
		t.Fatalf("%d pieces, %d stretches, %d corners; want 2, 2 and 3", len(out.Pieces), len(out.Stretches), len(out.Corners))
	}
	for i, want := range []struct {
		name        string
		back        length.Length
		left, right Joint
	}{{"wall_2_piece_1", length.In(36, 1, 32), ButtWall, Cope}, {"wall_3_piece_1", length.In(72, 1, 16), CopeFirst, ButtWall}} {
		if p := out.Pieces[i]; p.Name != want.name || p.Back.Length != want.back || p.Left != want.left || p.Right != want.right {
			t.Errorf("%s %v in %s/%s; want %s %v in %s/%s", p.Name, p.Back.Length.Inches(), p.Left, p.Right, want.name, want.back.Inches(), want.left, want.right)
		}
	}
	for _, f := range out.Findings {
		if f.Code == "studs_unknown" {
			t.Errorf("asks for studs of a wall it leaves out: %+v", f)
		}
	}

	// Round an outside corner the run ends free: base is cut square, rail returns.
	turned := twoWalls(270*Degree, "")
	turned.Along = []int{1}
	if p := Run(turned).Pieces; len(p) != 1 || p[0].Right != SquareEnd {
		t.Errorf("base left at an outside corner: %+v, want one piece ending square", p)
	}
	turned.Profile.Kind, turned.Profile.Mount = ChairRail, length.In(32, 0, 1)
	if p := Run(turned).Pieces; len(p) != 1 || p[0].Right != Return {
		t.Errorf("rail left at an outside corner: %+v, want one piece with a return", p)
	}

	// A wall it leaves out need not be taped, is asked no stud, and holds nothing.
	in.Room.Walls[0].Length, in.Room.Walls[3].Length = 0, 0
	if got := Run(in); len(got.Pieces) != 2 || got.Pieces[0].Back.Length != length.In(36, 1, 32) {
		t.Errorf("with the other walls untaped: %+v", got.Pieces)
	}
	for _, r := range RunReadings(in) {
		mine := r.Wall == 2 || r.Wall == 3
		if want := mine && r.Quantity == ReadLength; r.Required != want {
			t.Errorf("%s required %v, want %v", r.Name, r.Required, want)
		}
		if !mine && r.Quantity != ReadLength && r.Quantity != ReadAngle {
			t.Errorf("asks for %s of a wall it leaves out", r.Name)
		}
	}

	// A wall that is not there is a stop, and a choice at a corner it does not make is said.
	in = closet()
	in.Along = []int{5}
	if got := Run(in); len(got.Pieces) != 0 || !has(got.Findings, "run_wall_unknown") {
		t.Errorf("along wall 5 of 4: %+v", got.Findings)
	}
	in.Along = []int{2}
	in.Corners.Choices = []CornerChoice{{After: 2, Inside: InsideMiter}}
	if !has(Run(in).Findings, "corner_choice_unfit") {
		t.Error("a choice at a corner the run ends at goes unsaid")
	}
}

func TestNeverSprungBetweenCasings(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Room = Room{Open: true, Walls: []Wall{{Length: feet(10)}}}
	in.Features = []Feature{{Wall: 1, Kind: OpeningFeature, Offset: 0, Width: feet(2)}, {Wall: 1, Kind: BuiltIn, Offset: feet(8), Width: feet(2)}}
	out := Run(in)
	if len(out.Pieces) != 1 || out.Pieces[0].Sprung || out.Pieces[0].Back.Length != feet(6) {
		t.Errorf("%+v, want one unsprung piece of 6 ft", out.Pieces)
	}
	in.Features = nil
	out = Run(in)
	if len(out.Pieces) != 1 || !out.Pieces[0].Sprung || out.Pieces[0].Back.Length != feet(10)+length.Sixteenth {
		t.Errorf("%+v, want 10 ft and 1/16 between two walls", out.Pieces)
	}
	in.Room.Walls[0].Length = feet(4)
	if out = Run(in); out.Pieces[0].Back.Length != feet(4)+length.ThirtySecond {
		t.Errorf("4 ft between walls: %v, want 1/32 of spring up to and at 4 ft", out.Pieces[0].Back.Length.Inches())
	}
	in.Room.Ends = EndButt // a stair skirt
	if out = Run(in); out.Pieces[0].Sprung || out.Pieces[0].Right != ButtCasing || out.Pieces[0].Back.Length != feet(4) {
		t.Errorf("against a skirt: %+v, want 4 ft as measured", out.Pieces[0])
	}
}

func TestShoeGoesRoundTheBase(t *testing.T) {
	t.Parallel()
	in := twoWalls(90_000, InsideCope)
	in.Profile = Profile{Kind: Shoe, Height: length.In(0, 3, 4), Thickness: length.Half, StandsOff: nineSixteenths}
	out := Run(in)
	for i, want := range []length.Length{feet(10) - nineSixteenths, feet(10) - nineSixteenths} {
		if got := out.Pieces[i].Back.Length; got != want {
			t.Errorf("inside, piece %d: back %v, want %v", i+1, got.Inches(), want.Inches())
		}
	}
	in.Room.Walls[0].Angle = 270_000
	out = Run(in)
	if got, want := out.Cuts[0].Value.Length, feet(10)+nineSixteenths+length.Half; got != want {
		t.Errorf("outside: long point %v, want %v", got.Inches(), want.Inches())
	}
}

func TestTapedStandsBesideComputed(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		taped length.Length
		stops bool
	}{{length.In(24, 1, 8), false}, {length.In(23, 7, 8), false}, {length.In(24, 9, 64), true}, {length.In(23, 27, 32), true}} {
		in := closet()
		in.Taped = []TapedStretch{{Wall: 1, Stretch: 1, Length: tt.taped}}
		out := Run(in)
		s := out.Stretches[0]
		if s.Taped == nil || *s.Taped != tt.taped || s.Value.Length != length.In(24, 0, 1) || has(out.Findings, "taped_apart") != tt.stops {
			t.Errorf("taped %v: stretch %+v findings %+v; want kept beside 24 and stop %v", tt.taped.Inches(), s, out.Findings, tt.stops)
		}
		if out.Pieces[0].Back.Length != length.In(24, 0, 1) {
			t.Errorf("taped %v changed the piece to %v", tt.taped.Inches(), out.Pieces[0].Back.Length.Inches())
		}
	}
}

// The casing of a door that fills the corner stands 3/4 into wall 2, whose 60 then tape 59 1/4 to
// its face.
func TestATapeToTheCasingInTheCornerAgrees(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Features = []Feature{{Wall: 1, Kind: OpeningFeature, Offset: in.Room.Walls[0].Length - length.In(40, 0, 1), Width: length.In(37, 1, 4),
		CasingLeft: length.In(2, 3, 4), CasingRight: length.In(2, 3, 4), CasingThickness: length.In(0, 3, 4)}}
	full := in.Room.Walls[1].Length
	for _, tt := range []struct {
		taped length.Length
		stops bool
	}{{full - length.In(0, 3, 4), false}, {full - length.In(0, 29, 32), true}, {full, true}} {
		in.Taped = []TapedStretch{{Wall: 2, Stretch: 1, Length: tt.taped}}
		out := Run(in)
		for _, s := range out.Stretches {
			if s.Wall == 2 && (s.Value.Length != full-length.In(0, 3, 4) || s.Value.Length != s.To-s.From || *s.Taped != tt.taped) {
				t.Errorf("taped %v: stretch %+v, want %v", tt.taped.Inches(), s, (full - length.In(0, 3, 4)).Inches())
			}
		}
		for _, p := range out.Pieces {
			if p.Wall == 2 && (p.Left != ButtCasing || p.Back.Length-full+length.In(0, 3, 4) > length.Sixteenth) {
				t.Errorf("the piece: got %+v, want it to the casing's face", p)
			}
		}
		if has(out.Findings, "taped_apart") != tt.stops {
			t.Errorf("taped %v: got %+v, want a stop %v", tt.taped.Inches(), out.Findings, tt.stops)
		}
	}
}

// TestCasingOverAWholeWallLeavesNoPiece: round an outside corner stands a return as deep as the next
// wall's casing is thick. There is nothing on it to tape, and no piece beyond the corner either, though shoe
// standing off by the base would begin before the wall.
func TestCasingOverAWholeWallLeavesNoPiece(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Profile = Profile{Kind: Shoe, Height: length.In(0, 3, 4), Thickness: length.Half, StandsOff: nineSixteenths}
	in.Room = Room{Open: true, Walls: []Wall{{Length: feet(5), Turn: Outside}, {Length: length.In(0, 3, 4)}, {Length: feet(5)}}}
	in.Features = []Feature{{Wall: 3, Kind: OpeningFeature, Offset: length.In(2, 3, 4), Width: length.In(30, 0, 1),
		CasingLeft: length.In(2, 3, 4), CasingRight: length.In(2, 3, 4), CasingThickness: length.In(0, 3, 4)}}
	out := Run(in)
	for _, p := range out.Pieces {
		if p.Wall == 2 {
			t.Errorf("a piece where casing stands: %+v", p)
		}
		if p.Wall == 1 && p.Right == MiterOutside {
			t.Errorf("the wall before is mitered to a piece that is not there: %+v", p)
		}
	}
	if !has(out.Findings, "piece_no_room") {
		t.Errorf("nothing says that there is no room: %+v", out.Findings)
	}
}

func TestRegistersAndBoxes(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Features = []Feature{
		{Wall: 3, Kind: Register, Offset: feet(2), Width: feet(1), Top: length.In(3, 0, 1)},
		{Wall: 3, Kind: Box, Offset: feet(4), Width: length.In(2, 1, 4)},
	}
	count := func(out RunCuts) (pieces, marks int) {
		for i, p := range out.Pieces {
			if p.Wall == 3 {
				pieces++
				for _, m := range out.Cuts[i].Marks {
					if m.From == "left" && m.Name != "short_point_face" && m.Name != "short_point_back" {
						marks++
					}
				}
			}
		}
		return pieces, marks
	}
	for _, tt := range []struct {
		name          string
		rule          RegisterRule
		top           length.Length
		pieces, marks int
		unsaid        bool
	}{
		{"low register, cut round", CutRound, length.In(3, 0, 1), 1, 4, false},
		{"tall register, cut round", CutRound, length.In(6, 0, 1), 2, 2, false},
		{"run over", RunOver, length.In(6, 0, 1), 1, 2, false},
		{"nothing said", "", length.In(3, 0, 1), 1, 4, true},
	} {
		in.Registers, in.Features[0].Top = tt.rule, tt.top
		out := Run(in)
		if p, m := count(out); p != tt.pieces || m != tt.marks || has(out.Findings, "registers_unsaid") != tt.unsaid {
			t.Errorf("%s: %d pieces, %d marks, findings %+v; want %d and %d, unsaid %v", tt.name, p, m, out.Findings, tt.pieces, tt.marks, tt.unsaid)
		}
	}
}

func TestMarksAreTapedFromTheLongPoint(t *testing.T) {
	t.Parallel()
	// A box 3 ft from the wall's left end, on a piece that starts at an outside corner: its
	// long point, on the face, stands 9/16 left of the wall.
	in := twoWalls(270_000, "")
	in.Features = []Feature{{Wall: 2, Kind: Box, Offset: feet(3), Width: length.In(2, 1, 4)}}
	marks := map[string]length.Length{}
	for _, m := range Run(in).Cuts[1].Marks {
		marks[m.Name] = m.Value.Length
	}
	if got, want := marks["box_left_edge"], feet(3)+nineSixteenths; got != want {
		t.Errorf("outside corner: box at %v on the piece, want %v", got.Inches(), want.Inches())
	}
	// Second at an inside butt it starts 9/16 in from the corner.
	in.Room.Walls[0].Angle, in.Corners.Inside = 90_000, InsideButt
	for _, m := range Run(in).Cuts[1].Marks {
		marks[m.Name] = m.Value.Length
	}
	if got, want := marks["box_left_edge"], feet(3)-nineSixteenths; got != want {
		t.Errorf("inside butt: box at %v on the piece, want %v", got.Inches(), want.Inches())
	}
}

func TestCrownRunUsesTheSawAngles(t *testing.T) {
	t.Parallel()
	in := twoWalls(90_000, InsideMiter)
	in.Profile = Profile{Kind: CrownRun, Height: length.In(3, 5, 8), Thickness: nineSixteenths, Spring: 38 * Degree}
	out := Run(in)
	// 31.62 and 33.85: crown settings printed in a miter-saw manual, allowed 0.02.
	e := out.Cuts[0].Ends[1]
	if math.Abs(e.Miter-31.62) > 0.02 || math.Abs(e.Bevel-33.85) > 0.02 || out.Pieces[0].Back.Length != feet(10) {
		t.Errorf("flat crown: %+v, back %v; want 31.62 / 33.85 and 10 ft", e, out.Pieces[0].Back.Length.Inches())
	}
	if s := out.Corners[0].Saw; s.Miter.Detent == nil || *s.Miter.Detent != 31.62 || math.Abs(s.Miter.Off) > 0.01 {
		t.Errorf("saw setting %+v, want the 31.62 detent", s)
	}
	in.Profile.Position = Nested
	if e = Run(in).Cuts[0].Ends[1]; e.Miter != 45 || e.Bevel != 0 {
		t.Errorf("nested crown: %+v, want 45 and no bevel", e)
	}
}

func TestDerivationsAddUp(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Profile.StandsOff = nineSixteenths
	out := Run(in)
	check := func(what string, v derive.Value) {
		sum := length.Length(0)
		for _, term := range v.Terms {
			sum += term.Length
		}
		if v.Formula == "" && sum != v.Length || len(v.Terms) == 0 || v.Basis == "" {
			t.Errorf("%s: terms sum to %d, value %d, basis %q", what, sum, v.Length, v.Basis)
		}
	}
	for i, c := range out.Cuts {
		check(c.Piece, c.Value)
		check(c.Piece+" back", out.Pieces[i].Back)
		for _, m := range c.Marks {
			check(c.Piece+" "+m.Name, m.Value)
		}
	}
	for _, s := range out.Stretches {
		check("stretch", s.Value)
	}
	for _, v := range out.Values {
		check(v.Name, v.Value)
	}
}

func TestRunReadingsAtTheDoor(t *testing.T) {
	t.Parallel()
	in := closet()
	in.Room.Walls[1].Length = 0
	for _, tt := range []struct {
		name  string
		value int64
		code  string
	}{
		{"wall_2_length", int64(feet(3)), ""},
		{"wall_2_length", int64(feet(101)), "run_reading_impossible"},
		{"wall_2_length", -1, "run_reading_impossible"},
		{"wall_2_angle", 91_500, ""},
		{"wall_2_angle", 12_000, "wall_angle_impossible"},
		{"wall_1_stud", int64(feet(7)), "run_reading_impossible"},
		{"wall_1_stretch_2", int64(feet(1)), ""},
		{"wall_1_stretch_3", int64(feet(1)), "run_reading_unknown"},
		{"wall_9_length", int64(feet(3)), "run_reading_unknown"},
	} {
		fs := CheckRunReading(in, tt.name, tt.value)
		if tt.code == "" && len(fs) != 0 || tt.code != "" && (len(fs) != 1 || fs[0].Code != tt.code || fs[0].Severity != finding.Stop) {
			t.Errorf("%s = %d: %+v, want %q", tt.name, tt.value, fs, tt.code)
		}
	}
	out := Run(in)
	if !has(out.Findings, "wall_length_missing") || out.Plan != nil {
		t.Errorf("an unread wall: %+v, want it asked for and no plan", out.Findings)
	}
	for _, p := range out.Pieces {
		if p.Wall == 2 {
			t.Errorf("a piece for a wall not read: %+v", p)
		}
	}
	if len(out.Pieces) != 4 {
		t.Errorf("%d pieces on the walls that are read, want 4", len(out.Pieces))
	}
}

// BenchmarkSixtyRooms is base, shoe and crown round 60 rooms of 6 walls with a door, a
// window and studs: 180 runs.
func BenchmarkSixtyRooms(b *testing.B) {
	stud := length.In(8, 0, 1)
	in := RunInput{Room: lShape(), Rules: houserules.Defaults(),
		Features: []Feature{{Wall: 1, Kind: OpeningFeature, Offset: feet(4), Width: feet(3)}, {Wall: 5, Kind: WindowFeature, Offset: feet(2), Width: feet(3)}}}
	in.Room.Walls = append([]Wall(nil), in.Room.Walls...)
	for i := range in.Room.Walls {
		in.Room.Walls[i].Stud = &stud
	}
	profiles := []Profile{
		{Kind: Base, Height: length.In(5, 1, 4), Thickness: nineSixteenths, StockLength: feet(8)},
		{Kind: Shoe, Height: length.In(0, 3, 4), Thickness: length.Half, StandsOff: nineSixteenths, StockLength: feet(8)},
		{Kind: CrownRun, Height: length.In(3, 5, 8), Thickness: nineSixteenths, Spring: 38 * Degree, StockLength: feet(8)},
	}
	b.ReportAllocs()
	for b.Loop() {
		for range 60 {
			for _, p := range profiles {
				in.Profile = p
				if out := Run(in); len(out.Pieces) == 0 {
					b.Fatal("no pieces")
				}
			}
		}
	}
}
