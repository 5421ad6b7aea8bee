package joblog

import (
	"testing"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func TestAHomeownerIsToldWhereAThingStands(t *testing.T) {
	t.Parallel()
	const in = length.Inch
	thing := func(id, name string, kind trim.Kind) *Item {
		return &Item{ID: id, Name: name, Spec: Spec{Unit: trim.Unit{Kind: kind}}}
	}
	on := func(id string, wall int, offset length.Length) trim.Feature {
		return trim.Feature{ID: id, Wall: wall, Kind: trim.OpeningFeature, Offset: offset, Width: 20 * in}
	}
	room := &Room{Layout: &Layout{SetWalls: SetWalls{Walls: trim.Room{Walls: make([]trim.Wall, 4)},
		Features: []trim.Feature{on("closet", 3, 10*in), on("window", 3, 60*in), on("pass", 2, 10*in), on("hall", 1, 0)}}}}
	room.Layout.Features[3].Main = true
	closet, window := thing("closet", "Closet", trim.Door), thing("window", "Back window", trim.Window)
	pass, hall := thing("pass", "Kitchen pass", trim.CasedOpening), thing("hall", "Hall opening", trim.CasedOpening)
	run := &Item{ID: "base", Spec: Spec{Unit: trim.Unit{Kind: trim.WallRun}, Run: &RunSpec{}}}
	for _, tc := range []struct {
		language string
		it       *Item
		items    []*Item
		want     string
	}{
		{"en", closet, []*Item{closet, window, hall}, "Left of the window."},
		{"es", closet, []*Item{closet, window, hall}, "A la izquierda de la ventana."},
		{"es", window, []*Item{closet, window, hall}, "A la derecha de la puerta."},
		{"en", window, []*Item{closet, window, hall, thing("x", "Pantry", trim.Door)}, "Right of “Closet”."},
		{"es", closet, []*Item{closet, hall}, "De frente al entrar."},
		{"en", closet, []*Item{closet, hall}, "Straight ahead as you come in."},
		// The hall is in the south wall, so whoever comes in faces north; wall 2 is the west one.
		{"en", pass, []*Item{closet, pass, hall}, "On the left as you come in."},
		{"es", pass, []*Item{closet, pass, hall}, "A la izquierda al entrar."},
		// The way in is no opening of the crew's: told by what there is.
		{"en", pass, []*Item{closet, pass}, "On the wall to your left as you face the door."},
		{"es", pass, []*Item{closet, pass}, "En la pared a su izquierda, mirando a la puerta."},
		{"en", closet, []*Item{closet, pass}, "On the wall to your right as you face “Kitchen pass”."},
		{"en", hall, []*Item{closet, hall}, "The way in."},
		{"es", hall, []*Item{closet, hall}, "Por donde se entra."},
		{"en", run, []*Item{closet, run}, ""},
		{"en", thing("elsewhere", "Attic door", trim.Door), []*Item{closet}, ""},
	} {
		w := writer{catalog: Words(tc.language)}
		if got := w.walkPlace(room, tc.it, tc.items); got != tc.want {
			t.Errorf("%s in %s: got %q, want %q", tc.it.Name, tc.language, got, tc.want)
		}
	}
	if got := (writer{catalog: Words("en")}).walkPlace(&Room{}, closet, []*Item{closet, window}); got != "" {
		t.Errorf("a room without walls: got %q", got)
	}
}
