package drawing_test

import (
	"pgregory.net/rapid"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// drawRoom draws a room of 4 to 40 walls that closes: a stretch of walls with any corners,
// repeated round a center, or a triangle.
func drawRoom(t *rapid.T) trim.Room {
	if rapid.IntRange(0, 9).Draw(t, "triangle") == 0 {
		l := wallLength(t)
		return trim.Room{Walls: []trim.Wall{{Length: l, Angle: 60 * trim.Degree}, {Length: l, Angle: 60 * trim.Degree}, {Length: l, Angle: 60 * trim.Degree}}}
	}
	times := rapid.IntRange(2, 4).Draw(t, "times")
	unit := rapid.IntRange(2, 40/times).Draw(t, "unit")
	left := 360 * trim.Degree / trim.Angle(times)
	if rapid.IntRange(0, 3).Draw(t, "column") == 0 {
		left = -left
	}
	out := trim.Room{Walls: make([]trim.Wall, times*unit)}
	for i := range unit {
		rest := trim.Angle(unit-1-i) * 140 * trim.Degree
		low, high := max(-140*trim.Degree, left-rest), min(140*trim.Degree, left+rest)
		turn := trim.Angle(rapid.Int64Range(int64(low), int64(high)).Draw(t, "turn"))
		left -= turn
		l := wallLength(t)
		for k := range times {
			out.Walls[k*unit+i] = trim.Wall{Length: l, Angle: 180*trim.Degree - turn}
		}
	}
	return out
}

func wallLength(t *rapid.T) length.Length {
	return length.Length(rapid.Int64Range(int64(length.Inch), int64(40*length.Foot)).Draw(t, "length"))
}

// drawRun draws a run in such a room or the same walls as an open walk, with features.
func drawRun(t *rapid.T) trim.RunInput {
	in := trim.RunInput{Room: drawRoom(t), Profile: baseProfile()}
	in.Profile.Kind = rapid.SampledFrom([]trim.RunKind{trim.Base, trim.Shoe, trim.ChairRail, trim.CrownRun}).Draw(t, "kind")
	in.Profile.Spring = 38 * trim.Degree
	in.Profile.StandsOff = length.Length(rapid.SampledFrom([]int64{0, int64(length.Half)}).Draw(t, "off"))
	in.Corners.Inside = rapid.SampledFrom([]trim.InsideJoint{"", trim.InsideCope, trim.InsideMiter, trim.InsideButt}).Draw(t, "inside")
	in.Room.Open = rapid.IntRange(0, 3).Draw(t, "open") == 0
	ends := []trim.RunEnd{"", trim.EndWall, trim.EndButt, trim.EndReturn, trim.EndSquare}
	in.Room.Starts, in.Room.Ends = rapid.SampledFrom(ends).Draw(t, "starts"), rapid.SampledFrom(ends).Draw(t, "ends")
	kinds := []trim.FeatureKind{trim.OpeningFeature, trim.WindowFeature, trim.BuiltIn, trim.Register, trim.Box}
	for range rapid.IntRange(0, 6).Draw(t, "features") {
		in.Features = append(in.Features, trim.Feature{Wall: rapid.IntRange(-1, len(in.Room.Walls)+1).Draw(t, "on"), Kind: rapid.SampledFrom(kinds).Draw(t, "feature"),
			Offset: length.Length(rapid.Int64Range(-int64(length.Foot), int64(30*length.Foot)).Draw(t, "offset")),
			Width:  length.Length(rapid.Int64Range(-int64(length.Foot), int64(6*length.Foot)).Draw(t, "width")), CasingLeft: 2 * length.Inch, CasingRight: 3 * length.Inch})
	}
	for i := range in.Room.Walls {
		if rapid.Bool().Draw(t, "found") {
			l := in.Room.Walls[i].Length / 3
			in.Room.Walls[i].Stud = &l
		}
	}
	return in
}
