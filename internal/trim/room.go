package trim

import (
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// Turn says which way a corner goes, seen from the room.
type Turn string

// The turns.
const (
	Inside  Turn = "inside"  // the walls meet in front of you
	Outside Turn = "outside" // the wall goes away round a corner that stands into the room
)

// RunEnd is what stands where an open walk of walls begins or ends.
type RunEnd string

// The ends of an open walk.
const (
	EndWall   RunEnd = "wall"   // a wall square to this one: an inside corner
	EndButt   RunEnd = "butt"   // a skirt, plinth or cabinet the piece dies into
	EndReturn RunEnd = "return" // nothing: the profile returns to the wall
	EndSquare RunEnd = "square" // nothing: the piece is cut square
)

// Wall is one wall, read standing in the room and facing it: left end, length, and the
// corner at its right end. Lengths are nanometers.
type Wall struct {
	ID     string         `json:"id,omitempty" maxLength:"40" doc:"Keeps its name when the plan starts at another wall"`
	Length length.Length  `json:"length" doc:"Corner to corner, nanometers"`
	Turn   Turn           `json:"turn,omitempty" enum:"inside,outside" doc:"Corner at the right end; inside when not said, unless the angle is over 180"`
	Angle  Angle          `json:"angle,omitempty" doc:"Corner at the right end, thousandths of a degree; 90 when zero. Inside: between the walls, in the room. Outside: what a gauge reads round the corner (under 180), or the room's side (over 180)"`
	Bow    length.Length  `json:"bow,omitempty" doc:"How far the middle stands into the room from a string end to end; negative when hollow"`
	Stud   *length.Length `json:"stud,omitempty" doc:"Left end to the center of a stud that has been found; not given means none has"`
}

// Room is a walk along walls from left to right as one faces them. It closes on itself
// unless Open; walked round a column it turns the other way and closes too.
type Room struct {
	Walls  []Wall `json:"walls" maxItems:"200"`
	Open   bool   `json:"open,omitempty" doc:"A single wall, a hall, a stair: the ends do not meet"`
	Starts RunEnd `json:"starts,omitempty" enum:"wall,butt,return,square" doc:"Left end of an open walk; wall when not said"`
	Ends   RunEnd `json:"ends,omitempty" enum:"wall,butt,return,square" doc:"Right end of an open walk; wall when not said"`
}

// What a wall can be, common practice: less than 1/8 in is a lump in the plaster, more than
// length.Longest a slip of the unit, and 200 walls more than a room has.
const (
	LeastWall = length.Eighth
	MostWall  = length.Longest
	MostWalls = 200
)

// Corner is the angle at the wall's right end between the two walls on the room's side, and
// whether it can be told from what was read. A zero angle is 90°.
func (w Wall) Corner() (Angle, bool) {
	a := w.Angle
	if a == 0 {
		a = 90 * Degree
	}
	switch {
	case a < LeastCorner || a > MostCorner:
		return 0, false
	case w.Turn == "":
	case w.Turn == Outside:
		if a < straight {
			a = fullTurn - a
		}
	case w.Turn != Inside || a > straight:
		return 0, false
	}
	return a, true
}

// CheckWall refuses at the door what no wall measures. Number counts walls from 1. A length
// of zero is one not read yet: the stop only says so.
func CheckWall(number int, w Wall) []finding.Finding {
	var fs []finding.Finding
	about := wallReading(number, ReadLength)
	say := func(code string, s finding.Severity) finding.Finding {
		return finding.New(code, s).On("measured").At(about).Num("wall", int64(number))
	}
	switch {
	case w.Length == 0:
		fs = append(fs, say("wall_length_missing", finding.Stop).AsWanted())
	case w.Length < LeastWall || w.Length > MostWall:
		fs = append(fs, say("wall_length_impossible", finding.Stop).
			Len("length", w.Length).Len("least", LeastWall).Len("most", MostWall))
	}
	about = wallReading(number, ReadAngle)
	switch a := w.Angle; {
	case a != 0 && (a < LeastCorner || a > MostCorner):
		fs = append(fs, say("wall_angle_impossible", finding.Stop).Dec("angle", a.Degrees(), 1).
			Dec("least", LeastCorner.Degrees(), 0).Dec("most", MostCorner.Degrees(), 0))
	case w.Turn != "" && w.Turn != Inside && w.Turn != Outside:
		fs = append(fs, say("wall_turn_unknown", finding.Stop).Text("turn", string(w.Turn)))
	case w.Turn == Inside && a > straight:
		fs = append(fs, say("wall_turn_conflict", finding.Stop).Dec("angle", a.Degrees(), 1))
	}
	if w.Length < LeastWall || w.Length > MostWall {
		return fs
	}
	about = wallReading(number, ReadBow)
	if w.Bow > w.Length/8 || w.Bow < -w.Length/8 {
		fs = append(fs, say("wall_bow_impossible", finding.Stop).Len("bow", w.Bow).Len("most", w.Length/8))
	}
	about = wallReading(number, ReadStud)
	if w.Stud != nil && (*w.Stud < 0 || *w.Stud > w.Length) {
		fs = append(fs, say("wall_stud_off", finding.Stop).Len("stud", *w.Stud).Len("length", w.Length))
	}
	return fs
}

// bowFinding says when a wall is so far from straight that a straight piece shows it. A bow
// lengthens the wall by 8 b² / 3 L (the flat arc's first term): 0.005 in for 1/2 in over
// 12 ft. That is said, not added, until the piece is bent to the wall in place.
func bowFinding(number int, w Wall, rules houserules.Rules) []finding.Finding {
	gap := w.Bow.Abs()
	if gap <= rules.CaulkTwoPass || w.Length < LeastWall {
		return nil
	}
	grows := times(gap, 8*float64(gap)/(3*float64(w.Length)))
	s := finding.Note
	if gap > rules.CaulkMost || grows > length.ThirtySecond {
		s = finding.Warn
	}
	code := "wall_bowed"
	if w.Bow < 0 {
		code = "wall_hollow"
	}
	return []finding.Finding{finding.New(code, s).On("trimmed").At(wallReading(number, ReadBow)).
		Num("wall", int64(number)).Len("bow", gap).Len("grows", grows)}
}

// CheckRoom checks every wall and how many there are.
func CheckRoom(r Room) []finding.Finding {
	var fs []finding.Finding
	n := len(r.Walls)
	switch {
	case r.Open && n < 1, !r.Open && n < 3:
		fs = append(fs, finding.New("room_walls_few", finding.Stop).AsWanted().On("measured").At("walls").Num("walls", int64(n)))
	case n > MostWalls:
		return append(fs, finding.New("room_walls_many", finding.Stop).On("measured").At("walls").
			Num("walls", int64(n)).Num("most", MostWalls))
	}
	for i, w := range r.Walls {
		if i == n-1 && r.Open {
			w.Turn, w.Angle = "", 0 // nothing turns at the end of an open walk
		}
		fs = append(fs, CheckWall(i+1, w)...)
	}
	for _, e := range []struct {
		at  string
		end RunEnd
	}{{"starts", r.Starts}, {"ends", r.Ends}} {
		switch e.end {
		case "", EndWall, EndButt, EndReturn, EndSquare:
		default:
			fs = append(fs, finding.New("room_end_unknown", finding.Stop).On("measured").At(e.at).Text("end", string(e.end)))
		}
	}
	return fs
}

// headings is each wall's heading, turning right (clockwise seen from above) at inside
// corners, the first wall along the plan's x axis. A corner that cannot be told counts as square.
func (r Room) headings() []Angle {
	out := make([]Angle, len(r.Walls))
	var h Angle
	for i, w := range r.Walls {
		out[i] = h
		c, ok := w.Corner()
		if !ok {
			c = 90 * Degree
		}
		h = (h + straight - c).normal()
	}
	return out
}

// turned is the sum of all turns: 360° for a room, −360° round a column.
func (r Room) turned() Angle {
	var sum Angle
	for _, w := range r.Walls {
		if c, ok := w.Corner(); ok {
			sum += straight - c
		}
	}
	return sum
}

// Directions is each wall's direction on the plan, as a unit vector: the first along x, y
// down the page. A corner that cannot be told counts as square.
func (r Room) Directions() [][2]float64 {
	out := make([][2]float64, len(r.Walls))
	for i, h := range r.headings() {
		sin, cos := h.sinCos()
		out[i] = [2]float64{cos, sin}
	}
	return out
}

// Edges is where the feature begins and ends, casing and all, from the wall's left end.
func (f Feature) Edges() (left, right length.Length) { return f.left(), f.right() }
