package trim

import (
	"math"
	"strconv"

	"longpoint/internal/houserules"
	"longpoint/internal/length"

	"pgregory.net/rapid"
)

// drawRoom draws a room of 3 to 40 walls that closes, its corners 30° to 330°. Half are
// stars, whose walls never cross; half are a stretch of walls with any corners, repeated
// round a center, which closes whatever the corners are.
func drawRoom(t *rapid.T) Room {
	if rapid.Bool().Draw(t, "star") {
		if r, ok := drawStar(t); ok {
			return r
		}
	}
	return drawRepeated(t)
}

func wallLength(t *rapid.T, name string) length.Length {
	return length.Length(rapid.Int64Range(int64(length.Inch), int64(40*length.Foot)).Draw(t, name))
}

func drawStar(t *rapid.T) (Room, bool) {
	n := rapid.IntRange(3, 40).Draw(t, "walls")
	type pt struct{ x, y float64 }
	ps := make([]pt, n)
	for i := range ps {
		a := (float64(i) + rapid.Float64Range(-0.35, 0.35).Draw(t, "jog")) * 2 * math.Pi / float64(n)
		d := rapid.Float64Range(2e9, 9e9).Draw(t, "out")
		ps[i] = pt{d * math.Cos(a), d * math.Sin(a)}
	}
	room := Room{}
	for i, p := range ps {
		q, s := ps[(i+1)%n], ps[(i+2)%n]
		h1 := math.Atan2(q.y-p.y, q.x-p.x)
		h2 := math.Atan2(s.y-q.y, s.x-q.x)
		turn := math.Remainder((h2-h1)*180/math.Pi, 360)
		c := Angle(math.Round((180 - turn) * 1000))
		if c < LeastCorner || c > MostCorner {
			return Room{}, false
		}
		l := length.Length(math.Hypot(q.x-p.x, q.y-p.y))
		if l < length.Inch || l > MostWall {
			return Room{}, false
		}
		room.Walls = append(room.Walls, Wall{ID: id(i), Length: l, Angle: c})
	}
	return room, true
}

func drawRepeated(t *rapid.T) Room {
	times := rapid.IntRange(2, 4).Draw(t, "times")
	unit := rapid.IntRange(1, 40/times).Draw(t, "unit")
	if times == 2 && unit == 1 {
		unit = 2
	}
	left := fullTurn / Angle(times) // turn still to be made
	if rapid.IntRange(0, 3).Draw(t, "column") == 0 {
		left = -left
	}
	lengths := make([]length.Length, unit)
	corners := make([]Angle, unit)
	for i := range unit {
		lengths[i] = wallLength(t, "length")
		rest := Angle(unit-1-i) * 150 * Degree
		low, high := max(-150*Degree, left-rest), min(150*Degree, left+rest)
		turn := Angle(rapid.Int64Range(int64(low), int64(high)).Draw(t, "turn"))
		left -= turn
		corners[i] = straight - turn
	}
	room := Room{}
	for k := range times * unit {
		room.Walls = append(room.Walls, Wall{ID: id(k), Length: lengths[k%unit], Angle: corners[k%unit]})
	}
	return room
}

func id(i int) string { return "w" + strconv.Itoa(100+i) }

// drawRun draws a run in a room that closes, or in the same walls as an open walk, with
// features that do not overlap, studs, and every choice of joints.
func drawRun(t *rapid.T) RunInput {
	in := RunInput{Room: drawRoom(t), Rules: houserules.Defaults()}
	in.Profile = Profile{
		Kind:       rapid.SampledFrom([]RunKind{Base, Shoe, ChairRail, CrownRun}).Draw(t, "kind"),
		Height:     length.Length(rapid.Int64Range(int64(length.Inch), int64(6*length.Inch)).Draw(t, "height")),
		Thickness:  length.Length(rapid.Int64Range(int64(length.Quarter), int64(length.Inch)).Draw(t, "thickness")),
		SquareEdge: rapid.Bool().Draw(t, "square_edge"),
		Spring:     Angle(rapid.Int64Range(30_000, 60_000).Draw(t, "spring")),
	}
	in.Profile.Position = rapid.SampledFrom([]Position{"", Flat, Nested}).Draw(t, "position")
	if rapid.Bool().Draw(t, "behind") {
		in.Profile.StandsOff = length.In(0, 9, 16)
	}
	if rapid.Bool().Draw(t, "limited") {
		in.Profile.StockLength = 16 * length.Foot
	}
	in.Corners = Corners{
		Inside:     rapid.SampledFrom([]InsideJoint{"", InsideCope, InsideMiter, InsideButt}).Draw(t, "inside"),
		First:      rapid.SampledFrom([]FirstRule{"", AwayFromDoor, LongWallsFirst, LeftFirst, RightFirst}).Draw(t, "first"),
		ScarfAngle: rapid.SampledFrom([]Angle{0, 30 * Degree, 45 * Degree}).Draw(t, "scarf"),
		ScarfLap:   rapid.SampledFrom([]Hand{"", LeftPiece, RightPiece}).Draw(t, "lap"),
		FreeEnd:    rapid.SampledFrom([]RunEnd{"", EndReturn, EndSquare}).Draw(t, "free"),
	}
	in.Registers = rapid.SampledFrom([]RegisterRule{CutRound, RunOver}).Draw(t, "registers")
	if rapid.Bool().Draw(t, "some walls") {
		in.Along = rapid.SliceOfNDistinct(rapid.IntRange(1, len(in.Room.Walls)), 1, -1, rapid.ID).Draw(t, "along")
	}
	if rapid.Bool().Draw(t, "open") {
		in.Room.Open = true
		ends := []RunEnd{"", EndWall, EndButt, EndReturn, EndSquare}
		in.Room.Starts = rapid.SampledFrom(ends).Draw(t, "starts")
		in.Room.Ends = rapid.SampledFrom(ends).Draw(t, "ends")
	}
	for i := range in.Room.Walls {
		w := &in.Room.Walls[i]
		if rapid.IntRange(0, 3).Draw(t, "found") > 0 {
			s := length.Length(rapid.Int64Range(0, int64(w.Length)).Draw(t, "stud"))
			w.Stud = &s
		}
		at := length.Length(0)
		for range rapid.IntRange(0, 2).Draw(t, "features") {
			room := w.Length - at
			f := Feature{Wall: i + 1, Kind: rapid.SampledFrom([]FeatureKind{OpeningFeature, WindowFeature, BuiltIn, Register, Box}).Draw(t, "feature"),
				ToCeiling: rapid.Bool().Draw(t, "to_ceiling"), Main: rapid.IntRange(0, 5).Draw(t, "main") == 0}
			f.CasingThickness = length.Length(rapid.Int64Range(0, int64(length.Inch)).Draw(t, "casing"))
			edges := make([]length.Length, 4)
			for k := range edges {
				edges[k] = at + length.Length(rapid.Int64Range(0, int64(room)).Draw(t, "edge"))
			}
			sortLengths(edges)
			f.CasingLeft, f.Offset = edges[1]-edges[0], edges[1]
			f.Width, f.CasingRight = edges[2]-edges[1], edges[3]-edges[2]
			if f.Width == 0 {
				continue
			}
			at = edges[3]
			in.Features = append(in.Features, f)
		}
	}
	return in
}

func sortLengths(ls []length.Length) {
	for i := range ls {
		for j := i; j > 0 && ls[j] < ls[j-1]; j-- {
			ls[j], ls[j-1] = ls[j-1], ls[j]
		}
	}
}

// rotated is the same run with the plan begun k walls later.
func rotated(in RunInput, k int) RunInput {
	n := len(in.Room.Walls)
	out := in
	out.Room.Walls = append(append([]Wall(nil), in.Room.Walls[k:]...), in.Room.Walls[:k]...)
	out.Features = append([]Feature(nil), in.Features...)
	for i := range out.Features {
		out.Features[i].Wall = (in.Features[i].Wall-1-k+n)%n + 1
	}
	out.Along = nil
	for _, w := range in.Along {
		out.Along = append(out.Along, (w-1-k+n)%n+1)
	}
	return out
}

// mirrored is the same run seen in a mirror.
func mirrored(in RunInput) RunInput {
	n := len(in.Room.Walls)
	out := in
	out.Room.Walls = make([]Wall, n)
	for i, w := range in.Room.Walls {
		before := in.Room.Walls[(i+n-1)%n]
		w.Angle, w.Turn = before.Angle, before.Turn
		if w.Stud != nil {
			s := w.Length - *w.Stud
			w.Stud = &s
		}
		out.Room.Walls[n-1-i] = w
	}
	out.Room.Starts, out.Room.Ends = in.Room.Ends, in.Room.Starts
	out.Features = append([]Feature(nil), in.Features...)
	for i, f := range in.Features {
		g := &out.Features[i]
		g.Wall = n + 1 - f.Wall
		g.Offset = in.Room.Walls[f.Wall-1].Length - f.Offset - f.Width
		g.CasingLeft, g.CasingRight = f.CasingRight, f.CasingLeft
	}
	out.Along = nil
	for _, w := range in.Along {
		out.Along = append(out.Along, n+1-w)
	}
	switch in.Corners.First {
	case LeftFirst:
		out.Corners.First = RightFirst
	case RightFirst:
		out.Corners.First = LeftFirst
	}
	out.Corners.ScarfLap = RightPiece
	if in.Corners.ScarfLap == RightPiece {
		out.Corners.ScarfLap = LeftPiece
	}
	return out
}
