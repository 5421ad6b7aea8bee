package trim

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// footprint is a piece seen from above, drawn from what is printed on its cut: the long
// length, the short points, and where its left end goes.
type footprint struct {
	piece                                    Piece
	backLeft, backRight, faceLeft, faceRight length.Length // along the wall
}

// outlines rebuilds every piece from its cut.
func outlines(t *rapid.T, out RunCuts) map[int][]footprint {
	cuts := map[string]Cut{}
	for _, c := range out.Cuts {
		cuts[c.Piece] = c
	}
	walls := map[int][]footprint{}
	for _, p := range out.Pieces {
		c := cuts[p.Name]
		o := footprint{piece: p, backLeft: p.From, faceLeft: p.From}
		long := c.Value.Length
		right := length.Length(0)
		for _, m := range c.Marks {
			switch m.Name + "/" + m.From {
			case "short_point_face/left", "short_point_ceiling_edge/left":
				o.faceLeft += m.Value.Length
			case "short_point_back/left", "short_point_wall_edge/left":
				o.faceLeft -= m.Value.Length
			case "short_point_face/right", "short_point_ceiling_edge/right":
				right = -m.Value.Length
			case "short_point_back/right", "short_point_wall_edge/right":
				right = m.Value.Length
			}
		}
		o.backRight = min(o.backLeft, o.faceLeft) + long - max(0, right)
		o.faceRight = o.backRight + right
		if got := o.backRight - o.backLeft; got != p.Back.Length {
			t.Fatalf("%s: cut's back is %d, piece says %d", p.Name, got, p.Back.Length)
		}
		if got := o.faceRight - o.faceLeft; got != p.Face {
			t.Fatalf("%s: cut's face is %d, piece says %d", p.Name, got, p.Face)
		}
		if p.Sprung { // in place it is pressed back to the space it was cut for
			spring := o.backRight - p.To
			o.backRight -= spring
			o.faceRight -= spring
		}
		if o.backRight != p.To {
			t.Fatalf("%s: back ends at %d, its place at %d", p.Name, o.backRight, p.To)
		}
		walls[p.Wall] = append(walls[p.Wall], o)
	}
	return walls
}

// TestPiecesFillTheWall: along every wall, pieces and the features the run stops at follow
// one another without a nanometer between; at every corner the pieces, placed on the plan
// with gonum's r2 vectors, meet as their joint says.
func TestPiecesFillTheWall(t *testing.T) {
	t.Parallel()
	met := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		in := drawRun(t)
		out := Run(in)
		walls := outlines(t, out)
		depth := in.Profile.depth()
		for i, w := range in.Room.Walls {
			if !in.goes(i + 1) {
				if len(walls[i+1]) > 0 {
					t.Fatalf("wall %d is left out and has %d pieces", i+1, len(walls[i+1]))
				}
				continue
			}
			fillsWall(t, in, out, i, w, walls[i+1])
		}
		n := len(in.Room.Walls)
		for _, c := range out.Corners {
			if c.Left == "" || c.Right == "" {
				continue
			}
			ls, rs := walls[c.After], walls[c.Before]
			if len(ls) == 0 || len(rs) == 0 || c.Before != c.After%n+1 {
				t.Fatalf("corner after wall %d has joints %s and %s but no pieces", c.After, c.Left, c.Right)
			}
			wall := in.Room.Walls[c.After-1].Length
			meets(t, c, ls[len(ls)-1], rs[0], wall, depth, in.Profile.StandsOff)
			if in.Profile.Kind != CrownRun || in.Profile.Position == Nested {
				sawsRight(t, c, out, ls[len(ls)-1], rs[0], depth)
			}
			met[string(c.Left)+"/"+string(c.Right)]++
		}
	})
	for _, want := range []string{"butt_first/butt_second", "butt_second/butt_first", "cope_first/cope", "cope/cope_first",
		"miter_inside/miter_inside", "miter_outside/miter_outside"} {
		if met[want] == 0 {
			t.Errorf("no room drew a corner %s; met %v", want, met)
		}
	}
}

func fillsWall(t *rapid.T, in RunInput, out RunCuts, i int, w Wall, pieces []footprint) {
	// The wall is features and stretches, end to end, but for a casing that fills a corner.
	at, end := length.Length(0), w.Length
	var edges [][2]length.Length
	for _, k := range onWall(in.Features, i+1) {
		if f := in.Features[k]; f.breaks(in.Profile, in.Registers) {
			edges = append(edges, [2]length.Length{f.left(), f.right()})
		}
	}
	inCorner := func(at length.Length) bool {
		return !slices.ContainsFunc(edges, func(e [2]length.Length) bool { return e[0] == at || e[1] == at })
	}
	if n := len(pieces); n > 0 {
		if p := pieces[0]; p.piece.Left == ButtCasing && inCorner(p.backLeft) {
			at = p.backLeft
		}
		if p := pieces[n-1]; p.piece.Right == ButtCasing && inCorner(p.backRight) {
			end = p.backRight
		}
	}
	var stretches []Stretch
	for _, s := range out.Stretches {
		if s.Wall == i+1 {
			stretches = append(stretches, s)
		}
	}
	for len(edges) > 0 || len(stretches) > 0 {
		switch {
		case len(stretches) > 0 && stretches[0].From == at:
			s := stretches[0]
			if s.Value.Length != s.To-s.From || s.To <= s.From {
				t.Fatalf("wall %d stretch %+v does not measure itself", i+1, s)
			}
			at, stretches = s.To, stretches[1:]
		case len(edges) > 0 && edges[0][0] == at:
			at, edges = edges[0][1], edges[1:]
		default:
			t.Fatalf("wall %d: nothing starts at %d; stretches %+v edges %v", i+1, at, stretches, edges)
		}
	}
	if at != end {
		t.Fatalf("wall %d is filled to %d of %d", i+1, at, end)
	}
	// Within a stretch the backs follow one another; scarfs touch along their whole slope.
	for k := 1; k < len(pieces); k++ {
		a, b := pieces[k-1], pieces[k]
		if a.piece.Stretch != b.piece.Stretch {
			continue
		}
		if a.backRight != b.backLeft || a.faceRight != b.faceLeft {
			t.Fatalf("wall %d: scarf backs %d and %d, faces %d and %d", i+1, a.backRight, b.backLeft, a.faceRight, b.faceLeft)
		}
		if most := in.Profile.StockLength; most > 0 && (a.piece.Back.Length > most || b.piece.Back.Length > most) {
			t.Fatalf("wall %d: scarfed into pieces of %d and %d from stock of %d", i+1, a.piece.Back.Length, b.piece.Back.Length, most)
		}
	}
	// Against a casing or the end of a walk nothing is left over.
	for _, o := range pieces {
		var s Stretch
		for _, x := range out.Stretches {
			if x.Wall == i+1 && x.Number == o.piece.Stretch {
				s = x
			}
		}
		if o.piece.Left == ButtCasing && s.From > 0 && o.backLeft != s.From || o.piece.Right == ButtCasing && s.To < w.Length && o.backRight != s.To {
			t.Fatalf("wall %d: %s runs %d to %d between casings at %d and %d", i+1, o.piece.Name, o.backLeft, o.backRight, s.From, s.To)
		}
	}
}

// corner frame: the corner of the walls at the origin, wall one running off to −x with the
// room at +y, wall two turned from it by the corner's angle.
type frame struct{ along, out r2.Vec }

func (f frame) at(along, out length.Length) r2.Vec {
	return r2.Add(r2.Scale(float64(along), f.along), r2.Scale(float64(out), f.out))
}

// Each rounding is half a nanometer and a point may carry two of them.
const close = 3.0

func meets(t *rapid.T, c Corner, l, r footprint, wall, depth, off length.Length) {
	sin, cos := math.Sincos(c.Angle.Degrees() * rad)
	one := frame{r2.Vec{X: -1}, r2.Vec{Y: 1}}
	two := frame{r2.Vec{X: -cos, Y: sin}, r2.Vec{X: -sin, Y: -cos}}
	lb, lf := one.at(wall-l.backRight, off), one.at(wall-l.faceRight, off+depth)
	rb, rf := two.at(r.backLeft, off), two.at(r.faceLeft, off+depth)
	fail := func(what string) {
		t.Fatalf("corner after wall %d, %.3f°, %s/%s: %s; left back %v face %v, right back %v face %v",
			c.After, c.Angle.Degrees(), c.Left, c.Right, what, lb, lf, rb, rf)
	}
	apart := func(a, b r2.Vec) float64 { return r2.Norm(r2.Sub(a, b)) }
	// A nanometer along a wall is magnified where faces meet at a slant.
	slant := close * (1 + 1/math.Max(1e-6, math.Abs(sin)))
	switch {
	case c.Left == Straight:
		if apart(lb, rb) > close || apart(lf, rf) > close {
			fail("square ends do not touch")
		}
	case c.Left == MiterInside, c.Left == MiterOutside:
		if apart(lb, rb) > slant || apart(lf, rf) > slant {
			fail("mitered ends do not touch")
		}
	case c.Left == ButtFirst, c.Left == CopeFirst:
		meetsFirst(fail, c.Right, lb, lf, rb, rf, one, two, off, depth, slant)
	default:
		meetsFirst(fail, c.Left, rb, rf, lb, lf, two, one, off, depth, slant)
	}
}

// meetsFirst checks a piece that runs into a corner (its back and face ends fb, ff) and the
// one that meets its face (sb, sf).
func meetsFirst(fail func(string), joint Joint, fb, ff, sb, sf r2.Vec, first, second frame, off, depth length.Length, slant float64) {
	outOf := func(f frame, v r2.Vec) float64 { return r2.Dot(v, f.out) }
	// The first touches what is behind the second, and does not go through it.
	low := math.Min(outOf(second, fb), outOf(second, ff)) - float64(off)
	if math.Abs(low) > slant {
		fail("first piece stands " + strconv.FormatFloat(low, 'f', 1, 64) + " nm off the other wall")
	}
	face := float64(off + depth)
	if joint == Cope {
		// Full at the back, its face where the two faces' lines cross.
		if math.Abs(outOf(first, sb)-float64(off)) > slant || math.Abs(outOf(second, sb)-float64(off)) > slant {
			fail("coped piece is not full at the back")
		}
	} else if math.Abs(outOf(first, sb)-face) > slant {
		fail("second piece's back does not reach the first's face")
	}
	if math.Abs(outOf(first, sf)-face) > slant || math.Abs(outOf(second, sf)-face) > slant {
		fail("second piece's face does not meet the first's face")
	}
	// And there is face to meet: the first piece reaches past where the second's face lands.
	if r2.Dot(sf, first.along) < r2.Dot(ff, first.along)-slant {
		fail("the first piece stops short of the second's face")
	}
}

// sawsRight compares the printed miters with the slope of the drawn ends.
func sawsRight(t *rapid.T, c Corner, out RunCuts, l, r footprint, depth length.Length) {
	for _, cut := range out.Cuts {
		for _, e := range []struct {
			name       string
			end        int
			back, face length.Length
		}{{l.piece.Name, 1, l.backRight, l.faceRight}, {r.piece.Name, 0, r.backLeft, r.faceLeft}} {
			if cut.Piece != e.name {
				continue
			}
			want := math.Atan2(math.Abs(float64(e.face-e.back)), float64(depth)) / rad
			if got := cut.Ends[e.end].Miter; math.Abs(got-want) > 1e-4 {
				t.Fatalf("corner after wall %d: %s is sawn at %.5f°, its end slopes %.5f°", c.After, e.name, got, want)
			}
		}
	}
}

// seen is what must not change when the room is turned.
type seen struct {
	Back, Long, Face, From, To length.Length
	Left, Right                Joint
	Rounding                   length.Rounding
	Ends                       []End
	Nails                      int
	Sprung                     bool
}

func pieces(in RunInput, out RunCuts, mirror bool) map[string]seen {
	cuts := map[string]Cut{}
	for _, c := range out.Cuts {
		cuts[c.Piece] = c
	}
	all := map[string]seen{}
	for _, p := range out.Pieces {
		w := in.Room.Walls[p.Wall-1]
		c := cuts[p.Name]
		s := seen{p.Back.Length, c.Value.Length, p.Face, p.From, p.To, p.Left, p.Right, c.Rounding, c.Ends, p.Nailing.Nails, p.Sprung}
		if mirror {
			s.From, s.To = w.Length-p.To, w.Length-p.From
			s.Left, s.Right = p.Right, p.Left
			s.Ends = []End{c.Ends[1], c.Ends[0]}
		}
		all[w.ID+" "+strconv.FormatInt(int64(s.From), 10)] = s
	}
	return all
}

func TestTurningOrMirroringTheRoomDoesTheSameToTheCuts(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawRun(t)
		want := pieces(in, Run(in), false)
		other, turned := mirrored(in), "mirrored"
		if got := pieces(other, Run(other), true); !reflect.DeepEqual(got, want) {
			t.Fatalf("%s: got %+v\nwant %+v", turned, got, want)
		}
		if in.Room.Open {
			return
		}
		k := rapid.IntRange(1, len(in.Room.Walls)-1).Draw(t, "start")
		other = rotated(in, k)
		if got := pieces(other, Run(other), false); !reflect.DeepEqual(got, want) {
			t.Fatalf("begun at wall %d: got %+v\nwant %+v", k+1, got, want)
		}
	})
}

func TestInchesAndMillimetersGiveTheSameNanometers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawRun(t)
		metric := in
		metric.Room.Walls = append([]Wall(nil), in.Room.Walls...)
		for i := range in.Room.Walls {
			k := rapid.Int64Range(64, 64*12*40).Draw(t, "sixty_fourths")
			inches := strconv.FormatInt(k/64, 10)
			if k%64 != 0 {
				inches += " " + strconv.FormatInt(k%64, 10) + "/64"
			}
			// 1/64 in is 0.396875 mm exactly.
			um := strconv.FormatInt(k*396_875, 10)
			for len(um) < 7 {
				um = "0" + um
			}
			var err1, err2 error
			in.Room.Walls[i].Length, err1 = length.Parse(inches, length.Inches)
			metric.Room.Walls[i].Length, err2 = length.Parse(um[:len(um)-6]+"."+um[len(um)-6:]+" mm", length.Inches)
			if err1 != nil || err2 != nil {
				t.Fatalf("%s / %s mm: %v, %v", inches, um, err1, err2)
			}
		}
		if a, b := Run(in), Run(metric); !reflect.DeepEqual(a, b) {
			t.Fatalf("inches give %+v\nmillimeters %+v", a, b)
		}
	})
}

// FuzzRun hands Run whatever JSON says: it must not panic, and what it hands back must be
// JSON again, which NaN and infinities are not.
func FuzzRun(f *testing.F) {
	f.Add([]byte(`{"room":{"walls":[{"length":3657600000},{"length":3048000000},{"length":3657600000},{"length":3048000000}]},"profile":{"kind":"base","height":101600000,"thickness":14287500}}`))
	f.Add([]byte(`{"room":{"open":true,"walls":[{"length":3657600000,"angle":30000,"stud":1}]},"features":[{"wall":1,"kind":"opening","offset":5,"width":9}],"profile":{"kind":"crown","height":101600000,"thickness":14287500,"spring":38000,"stock_length":304800000}}`))
	f.Add([]byte(`{"along":[2,-9223372036854775808,2],"room":{"walls":[{"length":3657600000},{},{"length":3657600000},{}]},"profile":{"kind":"chair_rail","height":101600000,"thickness":14287500,"mount":812800000},"corners":{"choices":[{"after":1,"first":"left"}]}}`))
	f.Add([]byte(`{"room":{"walls":[{"length":9223372036854775807,"bow":-9223372036854775808},{"angle":-9223372036854775808},{"stud":9223372036854775807}]},"taped":[{"wall":-1,"stretch":9}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		in := RunInput{Rules: houserules.Defaults()}
		if json.Unmarshal(data, &in) != nil {
			return
		}
		out := Run(in)
		if _, err := json.Marshal(out); err != nil {
			t.Errorf("output is not JSON: %v", err)
		}
		for _, c := range out.Cuts {
			if c.Value.Length <= 0 {
				t.Errorf("%s is %d nm long", c.Piece, c.Value.Length)
			}
		}
		for _, f := range out.Findings {
			if _, ok := finding.In("en").Findings[f.Code]; !ok {
				t.Errorf("finding %s has no words", f.Code)
			}
		}
	})
}

// FuzzRoom lays out whatever JSON says: no panic, no NaN, and a wall that cannot be leaves the
// room without a plan and is spoken of.
func FuzzRoom(f *testing.F) {
	f.Add([]byte(`{"walls":[{"length":3657600000},{"length":3048000000,"turn":"outside","angle":135000},{"length":3657600000,"bow":-5},{"length":3048000000,"stud":9}]}`))
	f.Add([]byte(`{"open":true,"starts":"butt","ends":"return","walls":[{"length":1,"angle":330000}]}`))
	f.Add([]byte(`{"walls":[{"length":9223372036854775807,"angle":-1},{"bow":-9223372036854775808},{"turn":"sideways"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var room Room
		if json.Unmarshal(data, &room) != nil {
			return
		}
		plan, fs := PlanRoom(room, houserules.Defaults())
		if plan == nil && !finding.HasStop(fs) {
			t.Error("no plan and no word why")
		}
		for i, w := range room.Walls {
			if len(room.Walls) <= MostWalls && finding.HasStop(CheckWall(i+1, w)) && plan != nil {
				t.Errorf("wall %d cannot be, %+v, and there is a plan all the same", i+1, w)
			}
		}
		if _, err := json.Marshal(plan); err != nil {
			t.Errorf("output is not JSON: %v", err)
		}
	})
}

func TestWildInputNeitherPanicsNorGoesUnsaid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawRun(t)
		wild := func(name string) length.Length { return length.Length(rapid.Int64().Draw(t, name)) }
		i := rapid.IntRange(0, len(in.Room.Walls)-1).Draw(t, "wall")
		switch rapid.IntRange(0, 6).Draw(t, "what") {
		case 0:
			in.Room.Walls[i].Length = wild("length")
		case 1:
			in.Room.Walls[i].Angle = Angle(wild("angle"))
		case 2:
			in.Room.Walls[i].Bow = wild("bow")
		case 3:
			s := wild("stud")
			in.Room.Walls[i].Stud = &s
		case 4:
			in.Profile.Thickness = wild("thickness")
		case 5:
			in.Features = append(in.Features, Feature{Wall: rapid.Int().Draw(t, "on"), Kind: OpeningFeature, Offset: wild("offset"), Width: wild("width"), CasingLeft: wild("casing"), Top: wild("top")})
		case 6:
			in.Rules = houserules.Rules{StudSpacing: wild("spacing"), RoomCloseShare: rapid.Int64().Draw(t, "share")}
		}
		if _, err := json.Marshal(Run(in)); err != nil {
			t.Fatalf("output is not JSON: %v", err)
		}
	})
}
