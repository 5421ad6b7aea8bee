package trim

import (
	"strconv"
	"strings"

	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// RunQuantity is what a reading of a room measures.
type RunQuantity string

// The readings of a wall and of a stretch.
const (
	ReadLength RunQuantity = "length" // corner to corner, nanometers
	ReadAngle  RunQuantity = "angle"  // corner at the right end, thousandths of a degree
	ReadBow    RunQuantity = "bow"    // nanometers
	ReadStud   RunQuantity = "stud"   // left end to a stud's center, nanometers
	ReadTaped  RunQuantity = "taped"  // between two stops, nanometers
)

// RunReading is one reading a room or run asks for.
type RunReading struct {
	Name     string      `json:"name"`
	Wall     int         `json:"wall" doc:"Counted from 1"`
	Stretch  int         `json:"stretch,omitempty" doc:"Counted from the wall's left end, for a taped stretch"`
	Quantity RunQuantity `json:"quantity" enum:"length,angle,bow,stud,taped"`
	Required bool        `json:"required,omitempty"`
	Least    int64       `json:"least" doc:"Least plausible: nanometers, or thousandths of a degree"`
	Most     int64       `json:"most"`
}

// tapedPast is how much longer than its wall a stretch may tape: the two readings are
// compared, which says better than a refusal that one of them is wrong.
const tapedPast = 2 * length.Inch

func wallReading(wall int, q RunQuantity) string {
	return "wall_" + strconv.Itoa(wall) + "_" + string(q)
}

// StretchReading names the direct reading of a stretch; both count from 1.
func StretchReading(wall, stretch int) string { return stretchReading(wall, stretch) }

func stretchReading(wall, stretch int) string {
	return "wall_" + strconv.Itoa(wall) + "_stretch_" + strconv.Itoa(stretch)
}

func featureReading(number int) string { return "feature_" + strconv.Itoa(number) }

func cornerReading(after int) string { return "corner_" + strconv.Itoa(after) }

// RunReadings lists what a run asks to be read, in the order one walks: every wall's length,
// corner, bow and a stud, and each stretch taped directly. Lengths are required; a corner
// not read counts as square. Of walls the run leaves out it asks length and corner alone, for
// the plan, and requires neither. It works for a room whose walls are not read yet.
func RunReadings(in RunInput) []RunReading {
	n := min(len(in.Room.Walls), MostWalls)
	out := make([]RunReading, 0, 5*n)
	for i, w := range in.Room.Walls[:n] {
		no := i + 1
		out = append(out, RunReading{Name: wallReading(no, ReadLength), Wall: no, Quantity: ReadLength, Required: in.goes(no),
			Least: int64(LeastWall), Most: int64(MostWall)})
		if !in.Room.Open || i < n-1 {
			out = append(out, RunReading{Name: wallReading(no, ReadAngle), Wall: no, Quantity: ReadAngle,
				Least: int64(LeastCorner), Most: int64(MostCorner)})
		}
		if !in.goes(no) {
			continue
		}
		most := w.Length
		if most < LeastWall || most > MostWall {
			most = MostWall
		}
		out = append(out,
			RunReading{Name: wallReading(no, ReadBow), Wall: no, Quantity: ReadBow, Least: -int64(most / 8), Most: int64(most / 8)},
			RunReading{Name: wallReading(no, ReadStud), Wall: no, Quantity: ReadStud, Most: int64(most)})
		gaps := 1
		for _, f := range in.Features {
			if f.Wall == no && f.breaks(in.Profile, in.Registers) {
				gaps++
			}
		}
		for s := 1; s <= gaps; s++ {
			out = append(out, RunReading{Name: stretchReading(no, s), Wall: no, Stretch: s, Quantity: ReadTaped,
				Least: int64(length.Nanometer), Most: int64(min(most+tapedPast, MostWall))})
		}
	}
	return out
}

// CheckRunReading refuses at the door a reading that cannot be, saying what would be
// plausible. Value is nanometers, or thousandths of a degree for an angle. A name the run
// does not ask for is itself a stop.
func CheckRunReading(in RunInput, name string, value int64) []finding.Finding {
	for _, spec := range RunReadings(in) {
		if spec.Name != name {
			continue
		}
		if value >= spec.Least && value <= spec.Most {
			return nil
		}
		f := finding.New("run_reading_impossible", finding.Stop).On("measured").At(name).
			Term("quantity", "read_"+string(spec.Quantity)).Num("wall", int64(spec.Wall))
		if spec.Quantity == ReadAngle {
			f.Code = "wall_angle_impossible"
			return []finding.Finding{f.Dec("angle", Angle(value).Degrees(), 1).
				Dec("least", Angle(spec.Least).Degrees(), 0).Dec("most", Angle(spec.Most).Degrees(), 0)}
		}
		return []finding.Finding{f.Len("value", length.Length(value)).
			Len("least", length.Length(spec.Least)).Len("most", length.Length(spec.Most))}
	}
	return []finding.Finding{finding.New("run_reading_unknown", finding.Stop).On("measured").At(name).
		Text("name", strings.ReplaceAll(name, "_", " "))}
}

// checkCorners refuses words a run does not know and corners it does not have.
func checkCorners(in RunInput) []finding.Finding {
	var fs []finding.Finding
	unknown := func(what, word string) {
		fs = append(fs, finding.New("run_choice_unknown", finding.Stop).On("measured").At(what).
			Term("what", "choice_"+what).Text("word", word))
	}
	inside := func(j InsideJoint) {
		switch j {
		case "", InsideCope, InsideMiter, InsideButt:
		default:
			unknown("inside", string(j))
		}
	}
	hand := func(what string, h Hand) {
		if h != "" && h != LeftPiece && h != RightPiece {
			unknown(what, string(h))
		}
	}
	c := in.Corners
	inside(c.Inside)
	hand("scarf_lap", c.ScarfLap)
	switch c.First {
	case "", AwayFromDoor, LongWallsFirst, LeftFirst, RightFirst:
	default:
		unknown("first", string(c.First))
	}
	switch c.FreeEnd {
	case "", EndReturn, EndSquare:
	default:
		unknown("free_end", string(c.FreeEnd))
	}
	switch in.Registers {
	case "", CutRound, RunOver:
	default:
		unknown("registers", string(in.Registers))
	}
	if a := c.ScarfAngle; a != 0 && a != 30*Degree && a != 45*Degree {
		fs = append(fs, finding.New("scarf_angle_unusual", finding.Stop).On("measured").At("scarf_angle").Dec("angle", a.Degrees(), 1))
	}
	n := len(in.Room.Walls)
	fs = append(fs, checkAlong(in.Along, n)...)
	for _, ch := range c.Choices {
		inside(ch.Inside)
		hand("first", ch.First)
		corner, ok := Angle(0), false
		if ch.After >= 1 && ch.After <= n && !(in.Room.Open && ch.After == n) {
			corner, ok = in.Room.Walls[ch.After-1].Corner()
		}
		if !ok || corner >= straight || !in.goes(ch.After) || !in.goes(ch.After%n+1) {
			fs = append(fs, finding.New("corner_choice_unfit", finding.Warn).On("trimmed").At(cornerReading(ch.After)).
				Num("wall", int64(ch.After)))
		}
	}
	return fs
}

// CheckAlong refuses walls that no room has.
func CheckAlong(along []int) []finding.Finding { return checkAlong(along, MostWalls) }

func checkAlong(along []int, walls int) []finding.Finding {
	for _, w := range along {
		if w < 1 || walls > 0 && w > walls {
			return []finding.Finding{finding.New("run_wall_unknown", finding.Stop).On("measured").At("along").
				Num("wall", int64(w)).Num("walls", int64(walls))}
		}
	}
	return nil
}
