package drawing_test

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/drawing"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// walls are the drawn ends of every wall, by the dimensions of their lengths.
func walls(d drawing.Drawing, n int) [][2]drawing.Point {
	out := make([][2]drawing.Point, 0, n)
	for i := 1; i <= n; i++ {
		for _, s := range d.Shapes {
			if s.Key == "wall_"+strconv.Itoa(i)+"_length" {
				out = append(out, [2]drawing.Point{s.Points[0], s.Points[1]})
			}
		}
	}
	return out
}

// TestPlanIsToScale: walls as read are drawn as long as they are, and turn as they turn.
func TestPlanIsToScale(t *testing.T) {
	t.Parallel()
	for name, s := range planScenes() {
		n := len(s.Walls.Walls)
		ws := walls(drawing.Room(s), n)
		if name == "items" || name == "half-read" {
			continue // a plain plan has no dimensions; a guess need not close
		}
		if len(ws) != n {
			t.Fatalf("%s: %d walls are dimensioned, want %d", name, len(ws), n)
		}
		for i, w := range s.Walls.Walls {
			if w.Length == 0 {
				continue
			}
			got := math.Hypot(float64(ws[i][1][0]-ws[i][0][0]), float64(ws[i][1][1]-ws[i][0][1]))
			// A room that closes within what is allowed is drawn closed.
			if want := w.Length.Millimeters() * 10; math.Abs(got-want) > 25 {
				t.Errorf("%s: wall %d is drawn %.0f long, want %.0f", name, i+1, got, want)
			}
		}
	}
}

// TestPlanClosesAsTheWalk: a walk that closes is drawn closed, one that does not is drawn as
// far open as the rule book says, with that length on it.
func TestPlanClosesAsTheWalk(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		room := drawRoom(t)
		if rapid.Bool().Draw(t, "slip") {
			i := rapid.IntRange(0, len(room.Walls)-1).Draw(t, "wall")
			room.Walls[i].Length += length.Length(rapid.Int64Range(1, int64(6*length.Foot)).Draw(t, "by"))
		}
		s := roomScene(trim.RunInput{Room: room, Profile: baseProfile()})
		plan, _ := trim.PlanRoom(room, s.Rules)
		if plan == nil {
			t.Skip("not a room")
		}
		d := drawing.Room(s)
		ws := walls(d, len(room.Walls))
		for i := 1; i < len(ws); i++ {
			if ws[i-1][1] != ws[i][0] {
				t.Fatalf("wall %d ends at %v, wall %d begins at %v", i, ws[i-1][1], i+1, ws[i][0])
			}
		}
		last, first := ws[len(ws)-1][1], ws[0][0]
		gap := math.Hypot(float64(last[0]-first[0]), float64(last[1]-first[1]))
		want := plan.ClosingError.Length.Millimeters() * 10
		if plan.Closes {
			want = 0
		}
		if math.Abs(gap-want) > 2 {
			t.Fatalf("the plan is drawn %.1f open, the walk is %.1f", gap, want)
		}
		closing := find(d, "dim", "closing")
		if plan.Closes == (len(closing) > 0) {
			t.Fatalf("closes %v, and %d closing dimensions", plan.Closes, len(closing))
		}
		if len(closing) > 0 && closing[0].Text != plan.ClosingError.Length.Print(style) {
			t.Fatalf("it says %q, want %q", closing[0].Text, plan.ClosingError.Length.Print(style))
		}
	})
}

// TestPlanTakesAnyRoom: 3 to 40 walls, features and runs on them, some readings missing or
// senseless: every shape lies on or near the sheet, every reading that counts and every
// piece is there with the value the view shows.
func TestPlanTakesAnyRoom(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		in := drawRun(t)
		if rapid.Bool().Draw(t, "missing") {
			for i := range in.Room.Walls {
				switch rapid.IntRange(0, 5).Draw(t, "lost") {
				case 0:
					in.Room.Walls[i].Length = 0
				case 1:
					in.Room.Walls[i].Length = length.Length(rapid.Int64().Draw(t, "wild"))
				case 2:
					in.Room.Walls[i].Angle = trim.Angle(rapid.Int64().Draw(t, "bent"))
				}
			}
		}
		s := roomScene(in)
		room, pieces := drawing.Room(s), drawing.RunPieces(s)
		sound(t, room)
		sound(t, pieces)
		for _, r := range s.Readings {
			if r.Spec.Required {
				if d := keyed(t, room, r.Spec.Name); r.State == "taken" && d.Text != r.Text {
					t.Fatalf("%s reads %q, want %q", r.Spec.Name, d.Text, r.Text)
				}
			}
		}
		for i, c := range s.Run.Cuts {
			if strings.Contains(c.Piece, "_return_") {
				continue
			}
			if d := keyed(t, pieces, c.Piece); d.Text != s.Pieces[i].Text {
				t.Fatalf("%s reads %q, want %q", c.Piece, d.Text, s.Pieces[i].Text)
			}
		}
		for _, c := range s.Run.Corners {
			sound(t, drawing.Corner(s, c.After))
		}
	})
}

// sound fails on a shape that is nowhere, or a dimension without its two points. A number
// that is none becomes the least integer when it is rounded.
func sound(t *rapid.T, d drawing.Drawing) {
	t.Helper()
	if d.Width <= 0 || d.Height <= 0 {
		t.Fatalf("%s is %d × %d", d.Title, d.Width, d.Height)
	}
	for _, s := range d.Shapes {
		for _, p := range s.Points {
			if p[0] < -d.Width || p[0] > 2*d.Width || p[1] < -d.Height-d.Width || p[1] > 2*d.Height+d.Width {
				t.Fatalf("%s %s %q at %v on %d × %d", s.Kind, s.Role, s.Key, s.Points, d.Width, d.Height)
			}
		}
		if s.Kind == "dim" && len(s.Points) != 2 || s.Kind == "angle" && len(s.Points) != 3 {
			t.Fatalf("%s %q has %d points", s.Kind, s.Key, len(s.Points))
		}
	}
	if _, err := json.Marshal(d); err != nil {
		t.Fatal(err)
	}
}

// TestMirroredRoomIsDrawnMirrored walks a room the other way round: the same plan in a
// mirror. Studs are read from the left end, so none is read here.
func TestMirroredRoomIsDrawnMirrored(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		room := drawRoom(t)
		n := len(room.Walls)
		other := trim.Room{Walls: make([]trim.Wall, n)}
		for i := range room.Walls {
			j := (n - i) % n // the first wall first, then the others backward
			other.Walls[i] = room.Walls[j]
			other.Walls[i].Angle = room.Walls[(j+n-1)%n].Angle
		}
		corners := trim.Corners{Inside: trim.InsideMiter}
		a := roomScene(trim.RunInput{Room: room, Profile: baseProfile(), Corners: corners})
		b := roomScene(trim.RunInput{Room: other, Profile: baseProfile(), Corners: corners})
		mirror(t, n, drawing.Room(a), drawing.Room(b), "wall_", "_length")
		mirror(t, n, drawing.RunPieces(a), drawing.RunPieces(b), "wall_", "_piece_1")
	})
}

func mirror(t *rapid.T, n int, a, b drawing.Drawing, before, after string) {
	t.Helper()
	if a.Width != b.Width || a.Height < b.Height-2 || a.Height > b.Height+2 {
		t.Fatalf("%d × %d and %d × %d", a.Width, a.Height, b.Width, b.Height)
	}
	for i := range n {
		key, twin := before+strconv.Itoa(i+1)+after, before+strconv.Itoa((n-i)%n+1)+after
		x := slices.IndexFunc(a.Shapes, func(s drawing.Shape) bool { return s.Key == key })
		y := slices.IndexFunc(b.Shapes, func(s drawing.Shape) bool { return s.Key == twin })
		if x < 0 && y < 0 {
			continue
		}
		if x < 0 || y < 0 {
			t.Fatalf("%s is drawn %v, its mirror %s %v", key, x >= 0, twin, y >= 0)
		}
		p, q := a.Shapes[x], b.Shapes[y]
		if p.Offset != q.Offset || p.Text != q.Text {
			t.Fatalf("%s stands off %d and reads %s, its mirror %d, %s", key, p.Offset, p.Text, q.Offset, q.Text)
		}
		for k := range p.Points {
			r := q.Points[len(q.Points)-1-k]
			if dx, dy := p.Points[k][0]-(a.Width-r[0]), p.Points[k][1]-r[1]; dx < -3 || dx > 3 || dy < -3 || dy > 3 {
				t.Fatalf("%s lies at %v, its mirror at %v on %d", key, p.Points, q.Points, a.Width)
			}
		}
	}
}

// TestShortPointsAreTheCuts: the second length on a mitered piece is the first less both
// short points.
func TestShortPointsAreTheCuts(t *testing.T) {
	t.Parallel()
	s := planScenes()["square"]
	d := drawing.RunPieces(s)
	short := map[string]int{}
	for _, sh := range find(d, "dim", "dim") {
		if sh.Key == "" {
			short[sh.Text]++
		}
	}
	// 144 1/16 and 120 1/16 with the spring, less 9/16 at either end of a square miter.
	if short["142 15/16"] != 2 || short["118 15/16"] != 2 {
		t.Errorf("short points read %v, want 142 15/16 and 118 15/16 twice each", short)
	}
}

// TestItemsStandAtTheirOpenings: a spot lies before its opening; those on no wall lie inside.
func TestItemsStandAtTheirOpenings(t *testing.T) {
	t.Parallel()
	d := drawing.Room(planScenes()["items"])
	at := map[string]drawing.Shape{}
	for _, s := range find(d, "spot", "item") {
		at[s.Key] = s
	}
	if len(at) != 4 {
		t.Fatalf("%d items are drawn, want 4", len(at))
	}
	opening := boundsOf(find(d, "polygon", "gap")[0])
	if x := at["d"].Points[0][0]; x < opening.left || x > opening.right {
		t.Errorf("the kitchen opening's spot is at %d, its opening from %d to %d", x, opening.left, opening.right)
	}
	if got := at["d"]; got.Name != "Kitchen opening, nailed next" || len(got.Marks) != 7 || got.Marks[3] != "ready" {
		t.Errorf("the spot is %+v", got)
	}
	if b, c := at["b"].Points[0], at["c"].Points[0]; b == c {
		t.Error("two items on no wall lie on one another")
	}
}

// TestNothingToDraw: no wall, or more than a room has, is an empty sheet.
func TestNothingToDraw(t *testing.T) {
	t.Parallel()
	for _, n := range []int{0, 201} {
		s := drawing.RoomScene{Walls: trim.Room{Walls: make([]trim.Wall, n)}}
		for _, d := range []drawing.Drawing{drawing.Room(s), drawing.RunPieces(s), drawing.Corner(s, 1)} {
			if d.Shapes == nil || len(d.Shapes) != 0 {
				t.Errorf("%d walls are drawn as %v", n, d.Shapes)
			}
		}
	}
}
