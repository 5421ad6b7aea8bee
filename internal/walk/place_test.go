package walk

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func everything(string) bool { return true }

func opening(id string, wall int, offset, width length.Length) trim.Feature {
	return trim.Feature{ID: id, Wall: wall, Kind: trim.OpeningFeature, Offset: offset, Width: width}
}

// A room as one stands in it, the way in at one's back: wall 1 is the south wall, so it is faced when one turns round. Its
// left end is east, its right end west, and so wall 2, at its right end, is the west wall.
func TestWhereThingsStand(t *testing.T) {
	t.Parallel()
	const in = length.Inch
	room := trim.Room{Walls: make([]trim.Wall, 4)}
	wayIn := opening("in", 1, 40*in, 32*in)
	wayIn.Main = true
	fs := []trim.Feature{
		opening("west", 2, 10*in, 30*in),
		opening("closet", 3, 10*in, 30*in), opening("window", 3, 60*in, 36*in), opening("pantry", 3, 120*in, 24*in),
		wayIn,
		opening("east", 4, 20*in, 30*in),
		{ID: "grille", Wall: 4, Kind: trim.Register, Offset: 0, Width: 10 * in},
		opening("lost", 9, 0, 10*in),
	}
	for id, want := range map[string]Place{
		"closet": {LeftOf, [2]string{"window"}},
		"window": {Between, [2]string{"closet", "pantry"}},
		"pantry": {RightOf, [2]string{"window"}},
		"west":   {RightWall, [2]string{"in"}}, // facing the south wall, west is at the right hand
		"east":   {LeftWall, [2]string{"in"}},
		"in":     {LeftWall, [2]string{"west"}}, // no other way in: told by the first, whose wall one faces
		"grille": {}, "lost": {}, "nothing": {},
	} {
		if got := PlaceOf(room, fs, id, everything); got != want {
			t.Errorf("%s: got %+v, want %+v", id, got, want)
		}
	}
	gone := func(id string) bool { return id != "window" }
	if got, want := PlaceOf(room, fs, "closet", gone), (Place{LeftOf, [2]string{"pantry"}}); got != want {
		t.Errorf("with the window gone: got %+v, want %+v", got, want)
	}
	alone := []trim.Feature{wayIn, opening("far", 3, 10*in, 30*in)}
	if got, want := PlaceOf(room, alone, "far", everything), (Place{Opposite, [2]string{"in"}}); got != want {
		t.Errorf("across the room: got %+v, want %+v", got, want)
	}
	if got := PlaceOf(room, alone[:1], "in", everything); got != (Place{}) {
		t.Errorf("alone in the room: got %+v, want nothing said", got)
	}
}

// mirrored is the same room seen in a mirror: the walls are walked the other way, and what stood at the left end of one
// stands at the right.
func mirrored(r trim.Room, fs []trim.Feature) (trim.Room, []trim.Feature) {
	n := len(r.Walls)
	out := trim.Room{Walls: make([]trim.Wall, n), Open: r.Open}
	for i := range r.Walls {
		out.Walls[i].Length = r.Walls[n-1-i].Length
		// The corner at the right end of the mirrored wall was at the left end of this one.
		before := r.Walls[(2*n-2-i)%n]
		out.Walls[i].Turn, out.Walls[i].Angle = before.Turn, before.Angle
	}
	var turned []trim.Feature
	for _, f := range fs {
		f.Offset = r.Walls[f.Wall-1].Length - f.Offset - f.Width
		f.Wall = n + 1 - f.Wall
		turned = append(turned, f)
	}
	return out, turned
}

var swapped = map[Where]Where{LeftOf: RightOf, RightOf: LeftOf, LeftWall: RightWall, RightWall: LeftWall, Opposite: Opposite, Between: Between, Nowhere: Nowhere}

func TestAMirrorSwapsLeftAndRight(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		// Right angles, and an L as often as a box.
		turns := rapid.SampledFrom([][]trim.Turn{
			{trim.Inside, trim.Inside, trim.Inside, trim.Inside},
			{trim.Inside, trim.Inside, trim.Outside, trim.Inside, trim.Inside, trim.Inside},
		}).Draw(t, "turns")
		var room trim.Room
		for _, turn := range turns {
			room.Walls = append(room.Walls, trim.Wall{Length: 200 * length.Inch, Turn: turn})
		}
		var fs []trim.Feature
		for i := range rapid.IntRange(1, 7).Draw(t, "things") {
			wall := rapid.IntRange(1, len(turns)).Draw(t, "wall")
			// Apart from one another, so that left and right of one another are the same by either edge.
			fs = append(fs, opening(fmt.Sprint(i), wall, length.Length(25*i)*length.Inch, 20*length.Inch))
			fs[i].Main = i == 0
		}
		other, turned := mirrored(room, fs)
		for _, f := range fs {
			here, there := PlaceOf(room, fs, f.ID, everything), PlaceOf(other, turned, f.ID, everything)
			if there.Where == Between {
				there.Of[0], there.Of[1] = there.Of[1], there.Of[0]
			}
			if there.Where != swapped[here.Where] || there.Of != here.Of {
				t.Fatalf("%s: here %+v, in the mirror %+v", f.ID, here, there)
			}
		}
	})
}

// Whoever stands left of another has it at the right.
func TestLeftOfOneIsRightOfTheOther(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		room := trim.Room{Walls: make([]trim.Wall, 4)}
		a := opening("a", rapid.IntRange(1, 4).Draw(t, "wall"), length.Length(rapid.Int64Range(0, 1e9).Draw(t, "a")), length.Inch)
		b := opening("b", rapid.IntRange(1, 4).Draw(t, "wall"), length.Length(rapid.Int64Range(0, 1e9).Draw(t, "b")), length.Inch)
		if a.Wall == b.Wall && a.Offset == b.Offset {
			t.Skip("one upon the other")
		}
		fs := []trim.Feature{a, b}
		here, there := PlaceOf(room, fs, "a", everything), PlaceOf(room, fs, "b", everything)
		if swapped[here.Where] != there.Where || here.Of[0] != "b" || there.Of[0] != "a" {
			t.Fatalf("a is %+v, b is %+v", here, there)
		}
	})
}
