package drawing_test

import (
	"strconv"

	"longpoint/internal/drawing"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func feet(n int64) length.Length { return in(12*n, 0, 0) }

// roomScene is what a view makes of a room, its readings and a run; a wall of length zero is
// one not read.
func roomScene(in trim.RunInput) drawing.RoomScene {
	in.Rules = houserules.Defaults()
	out := trim.Run(in)
	s := drawing.RoomScene{Walls: in.Room, Features: in.Features, Run: &out, Profile: in.Profile,
		Scene: drawing.Scene{Name: "Dining room", Rules: in.Rules, Term: catalog.Term,
			Print: func(l length.Length) string { return l.Print(style) }, Cuts: trim.OpeningCuts{Cuts: out.Cuts}}}
	for _, r := range trim.RunReadings(in) {
		w := in.Room.Walls[r.Wall-1]
		m := drawing.ReadingMark{Spec: trim.ReadingSpec{Name: r.Name, Required: r.Required, Angle: r.Quantity == trim.ReadAngle},
			Label: "wall " + strconv.Itoa(r.Wall) + ", " + catalog.Term("read_"+string(r.Quantity)), State: "missing", Wall: r.Wall, Stretch: r.Stretch, Quantity: r.Quantity}
		take := func(text string) { m.State, m.Text = "taken", text }
		switch {
		case r.Quantity == trim.ReadLength && w.Length > 0:
			take(w.Length.Print(style))
		case r.Quantity == trim.ReadStud && w.Stud != nil:
			take(w.Stud.Print(style))
		case r.Quantity == trim.ReadBow && w.Bow != 0:
			take(w.Bow.Abs().Print(style))
		}
		for _, t := range in.Taped {
			if r.Quantity == trim.ReadTaped && t.Wall == r.Wall && t.Stretch == r.Stretch {
				take(t.Length.Print(style))
			}
		}
		s.Readings = append(s.Readings, m)
	}
	for _, c := range out.Cuts {
		s.Pieces = append(s.Pieces, drawing.PieceMark{Label: catalog.Term(c.Piece), Text: c.Value.Length.Print(style), State: "computed"})
	}
	return s
}

func baseProfile() trim.Profile {
	return trim.Profile{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16), StockLength: feet(16)}
}

// breast is a dining room round a chimney breast: two outside corners, a door, a window and
// a register.
func breast() trim.RunInput {
	stud := in(9, 0, 0)
	walls := []trim.Wall{{Length: in(168, 1, 8), Stud: &stud}, {Length: in(144, 0, 0)}, {Length: in(58, 0, 0)}, {Length: in(16, 0, 0), Turn: trim.Outside},
		{Length: in(52, 0, 0), Turn: trim.Outside, Bow: in(0, 3, 16)}, {Length: in(15, 15, 16)}, {Length: in(58, 1, 16)}, {Length: in(144, 1, 16)}}
	return trim.RunInput{Room: trim.Room{Walls: walls}, Profile: baseProfile(), Registers: trim.CutRound, Features: []trim.Feature{
		{ID: "door", Wall: 1, Kind: trim.OpeningFeature, Offset: in(60, 0, 0), Width: in(46, 1, 2), CasingLeft: in(2, 7, 8), CasingRight: in(2, 7, 8), CasingThickness: in(0, 3, 4), Main: true},
		{ID: "window", Wall: 2, Kind: trim.WindowFeature, Offset: in(54, 0, 0), Width: in(36, 0, 0), CasingLeft: in(2, 3, 8), CasingRight: in(2, 3, 8), Bottom: in(28, 0, 0), Top: in(80, 0, 0)},
		{Wall: 2, Kind: trim.Register, Offset: in(66, 0, 0), Width: in(12, 0, 0), Top: in(3, 0, 0)},
		{Wall: 5, Kind: trim.Box, Offset: in(20, 0, 0), Width: in(2, 1, 4), Bottom: in(12, 0, 0), Top: in(16, 0, 0)},
		{Wall: 3, Kind: trim.BuiltIn, Offset: 0, Width: in(20, 0, 0)},
	}, Taped: []trim.TapedStretch{{Wall: 8, Stretch: 1, Length: in(144, 0, 0)}}}
}

// planScenes are plans worth looking at, by name.
func planScenes() map[string]drawing.RoomScene {
	out := map[string]drawing.RoomScene{}
	out["breast"] = roomScene(breast())
	b := breast()
	b.Room.Walls[3].Length, b.Room.Walls[5].Length, b.Room.Walls[1].Length = 0, 0, 0
	out["half-read"] = roomScene(b)
	b = breast()
	for i := range b.Room.Walls {
		b.Room.Walls[i].Length, b.Room.Walls[i].Bow, b.Room.Walls[i].Stud = 0, 0, nil
	}
	out["unread"] = roomScene(b)
	b = breast()
	b.Room.Walls[7].Length = in(130, 0, 0)
	out["open"] = roomScene(b)

	square := trim.RunInput{Room: trim.Room{Walls: []trim.Wall{{Length: feet(12)}, {Length: feet(10)}, {Length: feet(12)}, {Length: feet(10)}}},
		Profile: baseProfile(), Corners: trim.Corners{Inside: trim.InsideMiter}}
	out["square"] = roomScene(square)
	square.Profile = trim.Profile{Kind: trim.CrownRun, Height: in(3, 5, 8), Thickness: in(0, 5, 8), Spring: 38 * trim.Degree}
	out["crown"] = roomScene(square)
	square.Corners.Inside, square.Profile = trim.InsideButt, baseProfile()
	square.Profile.SquareEdge = true
	out["butt"] = roomScene(square)

	s := in(8, 0, 0)
	hall := trim.RunInput{Room: trim.Room{Open: true, Starts: trim.EndButt, Ends: trim.EndReturn, Walls: []trim.Wall{
		{Length: in(64, 3, 8)}, {Length: in(331, 1, 2), Stud: &s}, {Length: in(22, 0, 0), Turn: trim.Outside, Angle: 135 * trim.Degree}, {Length: in(40, 0, 0)}}},
		Profile: baseProfile(), Features: []trim.Feature{{ID: "door", Wall: 2, Kind: trim.OpeningFeature, Offset: in(20, 0, 0), Width: in(28, 1, 4), CasingLeft: in(2, 7, 8), CasingRight: in(2, 7, 8), Main: true}}}
	out["hall"] = roomScene(hall)

	bay := trim.RunInput{Room: trim.Room{Walls: []trim.Wall{{Length: in(150, 0, 0)}, {Length: in(96, 0, 0), Angle: 135 * trim.Degree}, {Length: in(42, 7, 16), Angle: 135 * trim.Degree},
		{Length: in(120, 0, 0)}, {Length: in(126, 0, 0)}}}, Profile: baseProfile()}
	out["bay"] = roomScene(bay)
	bay.Profile = trim.Profile{Kind: trim.Shoe, Height: in(0, 3, 4), Thickness: in(0, 1, 2), StandsOff: in(0, 9, 16)}
	out["shoe"] = roomScene(bay)

	column := trim.RunInput{Room: trim.Room{Walls: []trim.Wall{{Length: in(20, 0, 0), Turn: trim.Outside}, {Length: in(20, 0, 0), Turn: trim.Outside},
		{Length: in(20, 0, 0), Turn: trim.Outside}, {Length: in(20, 0, 0), Turn: trim.Outside}}}, Profile: baseProfile()}
	out["column"] = roomScene(column)

	plain := roomScene(breast())
	plain.Run, plain.Readings = nil, nil
	plain.Items = []drawing.PlanItem{
		{Key: "d", Name: "Kitchen opening", Says: "nailed next", Feature: "door", Pole: []string{"done", "done", "done", "ready", "open", "open", "open"}},
		{Key: "w", Name: "Garden window", Feature: "window", Pole: []string{"ready", "open", "open", "open", "open", "open"}},
		{Key: "b", Name: "Dining room base", Pole: []string{"done", "done", "held", "open", "open", "open"}},
		{Key: "c", Name: "Dining room crown", Pole: []string{"done", "ready", "open", "open", "open", "open"}},
	}
	out["items"] = plain
	return out
}
