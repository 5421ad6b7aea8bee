package demo

import (
	"strconv"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// runs lays out the walls of the four rooms and runs trim along them: the dining room's base
// is cut and its crown measured, the mudroom's base is nailed and filled, the landing still
// wants a wall, and the north bedroom's walls do not close.
func (s *script) runs(mud, dining, landing, north string) {
	s.mudroom(mud)
	s.diningRoom(dining)
	s.landing(landing)
	s.northBedroom(north)
}

// walls lays a room out and reads it: each wall's length, then its stud where one was found.
func (s *script) walls(by, room string, walls joblog.SetWalls, lengths, studs []string) {
	s.give("ruth", joblog.Command{Kind: joblog.SetWallsKind, RoomID: room, SetWalls: &walls})
	for i, l := range lengths {
		s.tapeWall(by, room, i+1, "length", l)
	}
	for i, l := range studs {
		s.tapeWall(by, room, i+1, "stud", l)
	}
}

// tapeWall reads one thing of a wall; an empty text is one not read.
func (s *script) tapeWall(by, room string, wall int, what, text string) {
	if text == "" {
		return
	}
	v, err := length.Parse(text, length.Inches)
	if err != nil {
		panic("demo reading " + strconv.Quote(text) + ": " + err.Error()) // a slip in this file, caught by its test
	}
	s.give(by, joblog.Command{Kind: joblog.TakeReadingKind, RoomID: room,
		TakeReading: &joblog.TakeReading{Reading: "wall_" + strconv.Itoa(wall) + "_" + what, Value: v, Tool: "tape"}})
}

func (s *script) run(room, name string, sp joblog.RunSpec) string {
	return s.opening(room, name, joblog.Spec{Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint}, Run: &sp})
}

// named is the item of that name.
func (s *script) named(name string) string {
	for id, it := range s.state.Items {
		if it.Name == name {
			return id
		}
	}
	panic("demo: no item " + strconv.Quote(name)) // a slip in this file, caught by its test
}

// doorway is an opening on a wall, jamb face to jamb face, with casing past it.
func (s *script) doorway(name string, wall int, offset, width, casing length.Length, main bool) trim.Feature {
	return trim.Feature{ID: s.named(name), Wall: wall, Kind: trim.OpeningFeature, Offset: offset, Width: width,
		CasingLeft: casing, CasingRight: casing, CasingThickness: length.In(0, 3, 4), Top: length.In(82, 0, 0), Main: main}
}

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

// mudroom is four square walls; its base is filled and waits to be caulked.
func (s *script) mudroom(room string) {
	s.walls("tess", room, joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{}, {}, {}, {}}}, Features: []trim.Feature{
		s.doorway("Back hall door", 1, in(34, 0, 0), in(28, 1, 4), in(2, 7, 8), true),
		s.doorway("Garage door", 3, in(48, 0, 0), in(32, 1, 4), in(2, 7, 8), false),
		{Wall: 4, Kind: trim.Register, Offset: in(22, 0, 0), Width: in(14, 0, 0), Top: in(4, 0, 0)},
		{Wall: 2, Kind: trim.Box, Offset: in(30, 0, 0), Width: in(2, 1, 4), Bottom: in(12, 0, 0), Top: in(16, 0, 0)},
	}}, []string{"102", "80 1/4", "102 1/8", "80 1/4"}, []string{"8", "8 1/2", "7 3/4", "8"})
	s.item = s.run(room, "Mudroom base", joblog.RunSpec{Material: "mdf", WallLayers: in(0, 1, 2), Registers: trim.CutRound,
		Profile: trim.Profile{Kind: trim.Base, Name: "flat base 5 1/4", Height: in(5, 1, 4), Thickness: in(0, 9, 16), StockLength: in(192, 0, 0)}})
	s.tick("tess", stage.Measured)
	s.cut("tess", stage.Trimmed, nil)
	s.tick("tess", stage.Trimmed)
	s.nail("tess", finish.Finish15, in(2, 1, 2), 44, finish.Stud)
	s.tick("tess", stage.Nailed)
	s.treat("tess", finish.Finish15, finish.Filler)
	s.wait(3 * time.Hour)
	s.sand("tess", finish.Finish15)
	s.tick("tess", stage.Filled)
	s.item = s.run(room, "Mudroom shoe", joblog.RunSpec{Material: "wood", WallLayers: in(0, 1, 2), Registers: trim.RunOver,
		Profile: trim.Profile{Kind: trim.Shoe, Name: "shoe 1/2 × 3/4", Height: in(0, 3, 4), Thickness: in(0, 1, 2), StandsOff: in(0, 9, 16), StockLength: in(144, 0, 0)}})
	s.tick("tess", stage.Measured)
}

// diningRoom goes round a chimney breast: two outside corners, a scarf on the long wall.
func (s *script) diningRoom(room string) {
	out := trim.Outside
	s.walls("tess", room, joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{}, {}, {}, {Turn: out}, {Turn: out}, {}, {}, {}}}, Features: []trim.Feature{
		s.doorway("Kitchen opening", 1, in(60, 0, 0), in(46, 1, 2), in(2, 7, 8), true),
		{ID: s.named("Garden window"), Wall: 2, Kind: trim.WindowFeature, Offset: in(54, 0, 0), Width: in(36, 0, 0),
			CasingLeft: in(2, 3, 8), CasingRight: in(2, 3, 8), CasingThickness: in(0, 9, 16), Bottom: in(28, 0, 0), Top: in(80, 0, 0)},
		{Wall: 2, Kind: trim.Register, Offset: in(66, 0, 0), Width: in(12, 0, 0), Top: in(3, 0, 0)},
		s.doorway("Pantry door", 8, in(88, 0, 0), in(24, 1, 4), in(2, 3, 8), false),
	}}, []string{"168 1/8", "144", "58", "16", "52", "15 15/16", "58 1/16", "144 1/16"}, []string{"12", "9 1/4", "14", "", "10", "", "6 1/2", "8"})
	s.item = s.run(room, "Dining room base", joblog.RunSpec{Material: "wood", WallLayers: in(0, 3, 4), Registers: trim.CutRound,
		Profile: trim.Profile{Kind: trim.Base, Name: "poplar base 7 1/4", Height: in(7, 1, 4), Thickness: in(0, 3, 4), StockLength: in(144, 0, 0)}})
	s.tape("tess", reads{{"wall_1_stretch_1", "57 1/8"}, {"wall_2_stretch_1", "144 1/16"}})
	s.tick("tess", stage.Measured)
	s.cut("tess", stage.Trimmed, map[string]length.Length{"wall_5_piece_1": length.Sixteenth})
	s.tick("tess", stage.Trimmed)
	s.item = s.run(room, "Dining room crown", joblog.RunSpec{Material: "wood", WallLayers: in(0, 3, 4),
		Profile: trim.Profile{Kind: trim.CrownRun, Name: "cove crown 3 5/8", Height: in(3, 5, 8), Thickness: in(0, 5, 8), Spring: 38 * trim.Degree, StockLength: in(192, 0, 0)}})
	s.tick("tess", stage.Measured)
}

// landing is three walls of a stair hall, open at both ends; one of them is still to be taped.
func (s *script) landing(room string) {
	s.walls("marco", room, joblog.SetWalls{Walls: trim.Room{Open: true, Starts: trim.EndButt, Ends: trim.EndReturn, Walls: []trim.Wall{{}, {}, {Turn: trim.Outside, Angle: 135 * trim.Degree}, {}}},
		Features: []trim.Feature{
			s.doorway("Attic stair door", 2, in(20, 0, 0), in(26, 1, 4), in(2, 7, 8), true),
			s.doorway("Linen closet door", 2, in(74, 0, 0), in(28, 1, 4), in(2, 7, 8), false),
		}}, []string{"64 3/8", "131 1/2", "", "40"}, []string{"9"})
	s.item = s.run(room, "Landing base", joblog.RunSpec{Material: "mdf", WallLayers: in(0, 1, 2), Registers: trim.CutRound,
		Profile: trim.Profile{Kind: trim.Base, Name: "flat base 5 1/4", Height: in(5, 1, 4), Thickness: in(0, 9, 16), StockLength: in(192, 0, 0)}})
}

// northBedroom has a bay corner and a wall that was read a foot short.
func (s *script) northBedroom(room string) {
	s.walls("marco", room, joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{}, {Angle: 135 * trim.Degree}, {Angle: 135 * trim.Degree}, {}, {}}}, Features: []trim.Feature{
		s.doorway("North bedroom door", 1, in(18, 0, 0), in(30, 1, 4), in(2, 3, 8), true),
		s.doorway("Closet pair", 5, in(40, 0, 0), in(48, 3, 8), in(2, 3, 8), false),
	}}, []string{"150", "96", "42 7/16", "120", "114"}, []string{"7", "8", "", "9", "8 1/2"})
	s.item = s.run(room, "North bedroom base", joblog.RunSpec{Material: "wood", WallLayers: in(0, 3, 4), Registers: trim.CutRound,
		Profile: trim.Profile{Kind: trim.Base, Name: "poplar base 7 1/4", Height: in(7, 1, 4), Thickness: in(0, 3, 4), StockLength: in(192, 0, 0)}})
}
