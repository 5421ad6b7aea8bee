package trim

import (
	"math"

	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// ReadingSpec is one reading a kind of unit takes. Min and Max bound what can be: beyond
// them it is a slip of the tape or of the thumb, and the reading is refused. For an angle
// reading Min, Max and the value are thousandths of a degree in place of nanometers.
type ReadingSpec struct {
	Name     string        `json:"name"`
	Signed   bool          `json:"signed,omitempty" doc:"Has a direction; Positive and Negative name it"`
	Required bool          `json:"required,omitempty" doc:"No cuts without it"`
	Angle    bool          `json:"angle,omitempty" doc:"Thousandths of a degree, not nanometers"`
	Min      length.Length `json:"min" doc:"Least that can be"`
	Max      length.Length `json:"max" doc:"Most that can be"`
	Positive string        `json:"positive,omitempty" doc:"Catalog term of the direction above zero"`
	Negative string        `json:"negative,omitempty" doc:"Catalog term of the direction below zero"`
}

// Bounds of what a reading can be (common practice: beyond them no house has been seen to
// go, and one more digit or one less usually lands there).
const (
	narrowestDoorway = 12 * length.Inch
	narrowestWindow  = 6 * length.Inch
	widestOpening    = 20 * length.Foot
	lowestDoorway    = 24 * length.Inch
	highestOpening   = 20 * length.Foot
	longestDiagonal  = 29 * length.Foot
	steepestLean     = 12 * length.Inch
	steepestFloor    = 6 * length.Inch
	thinnestWall     = 1 * length.Inch
	thickestWall     = 30 * length.Inch
	thickestLayers   = 4 * length.Inch
	thickestFloor    = 6 * length.Inch
	deepestUnit      = 18 * length.Inch
	leastHeadCorner  = length.Length(60 * Degree)
	mostHeadCorner   = length.Length(120 * Degree)
)

// Beyond these a reading can be, and is worth a second look (common practice).
const (
	widthUnexpected   = 2 * length.Inch
	widthsApart       = 1 * length.Inch
	heightUnexpected  = 3 * length.Inch
	heightsApart      = 1 * length.Inch
	leanLarge         = length.Half
	floorSlopeLarge   = 1 * length.Inch
	floorToComeLarge  = 3 * length.Half
	diagonalDisagrees = 1 * length.Inch
	cornerLarge       = 3 * Degree
	heightPerLean     = 12 // a side leaning more than 1 in 12 is no side of an opening
)

// ReadingSpecs lists every reading a unit of this kind takes, in the order a person walks
// it: across, up, along the floor, down the sides, corner to corner, through the wall,
// over the floor, out to the neighbors. An unknown kind takes none.
func ReadingSpecs(u Unit) []ReadingSpec {
	if u.Kind == Window {
		return windowSpecs(u)
	}
	if !knownKind(u.Kind) {
		return nil
	}
	specs := make([]ReadingSpec, 0, 20)
	specs = append(specs,
		plainSpec("width_bottom", narrowestDoorway, widestOpening, true),
		plainSpec("width_middle", narrowestDoorway, widestOpening, true),
		plainSpec("width_top", narrowestDoorway, widestOpening, true),
		plainSpec("height_hinge", lowestDoorway, highestOpening, true),
		plainSpec("height_strike", lowestDoorway, highestOpening, true),
		ReadingSpec{Name: "floor_strike_up", Signed: true, Required: true, Min: -steepestFloor, Max: steepestFloor,
			Positive: "strike_side_high", Negative: "hinge_side_high"},
		leanSpec("lean_hinge", true),
		leanSpec("lean_strike", false),
		plainSpec("diagonal_rise", lowestDoorway, longestDiagonal, false),
		plainSpec("diagonal_fall", lowestDoorway, longestDiagonal, false),
		plainSpec("wall_build_up", thinnestWall, thickestWall, true),
		layersSpec("layers_a"), layersSpec("layers_b"),
		plainSpec("floor_to_come", 0, thickestFloor, false),
	)
	if u.Kind != CasedOpening {
		specs = append(specs, plainSpec("floor_highest", 0, thickestFloor, false))
	}
	return append(specs,
		spaceSpec("space_a_hinge"), spaceSpec("space_a_strike"),
		spaceSpec("space_b_hinge"), spaceSpec("space_b_strike"),
		cornerSpec("corner_hinge"), cornerSpec("corner_strike"),
	)
}

func windowSpecs(u Unit) []ReadingSpec {
	specs := make([]ReadingSpec, 0, 20)
	specs = append(specs,
		plainSpec("width_top", narrowestWindow, widestOpening, true),
		plainSpec("width_bottom", narrowestWindow, widestOpening, true),
		plainSpec("height_hinge", narrowestWindow, highestOpening, true),
		plainSpec("height_strike", narrowestWindow, highestOpening, true),
		plainSpec("diagonal_rise", narrowestWindow, longestDiagonal, false),
		plainSpec("diagonal_fall", narrowestWindow, longestDiagonal, false),
	)
	for _, name := range [...]string{"depth_top_hinge", "depth_top_strike", "depth_bottom_hinge", "depth_bottom_strike"} {
		specs = append(specs, ReadingSpec{Name: name, Signed: true, Required: u.ExtensionJambs,
			Min: -deepestUnit, Max: deepestUnit, Positive: "wall_stands_proud", Negative: "unit_stands_proud"})
	}
	return append(specs,
		layersSpec("layers_a"),
		spaceSpec("space_a_hinge"), spaceSpec("space_a_strike"),
		cornerSpec("corner_hinge"), cornerSpec("corner_strike"),
		cornerSpec("corner_foot_hinge"), cornerSpec("corner_foot_strike"),
	)
}

func plainSpec(name string, least, most length.Length, required bool) ReadingSpec {
	return ReadingSpec{Name: name, Required: required, Min: least, Max: most}
}

func leanSpec(name string, required bool) ReadingSpec {
	return ReadingSpec{Name: name, Signed: true, Required: required, Min: -steepestLean, Max: steepestLean,
		Positive: "top_leans_in", Negative: "top_leans_out"}
}

// layersSpec is what covers the studs on a face, which the nails there go through. Wanted
// where the wall is no ordinary one; a window is cased on face A alone.
func layersSpec(name string) ReadingSpec { return plainSpec(name, 0, thickestLayers, false) }

func spaceSpec(name string) ReadingSpec { return plainSpec(name, 0, length.Longest, false) }

func cornerSpec(name string) ReadingSpec {
	return ReadingSpec{Name: name, Angle: true, Min: leastHeadCorner, Max: mostHeadCorner}
}

// place is where a reading of that name is kept; nil for an angle or an unknown name.
func (r *Readings) place(name string) **length.Length {
	switch name {
	case "width_bottom":
		return &r.WidthBottom
	case "width_middle":
		return &r.WidthMiddle
	case "width_top":
		return &r.WidthTop
	case "height_hinge":
		return &r.HeightHinge
	case "height_strike":
		return &r.HeightStrike
	case "floor_strike_up":
		return &r.FloorStrikeUp
	case "lean_hinge":
		return &r.LeanHinge
	case "lean_strike":
		return &r.LeanStrike
	case "diagonal_rise":
		return &r.DiagonalRise
	case "diagonal_fall":
		return &r.DiagonalFall
	case "wall_build_up":
		return &r.WallBuildUp
	case "layers_a":
		return &r.LayersA
	case "layers_b":
		return &r.LayersB
	case "floor_to_come":
		return &r.FloorToCome
	case "floor_highest":
		return &r.FloorHighest
	case "space_a_hinge":
		return &r.SpaceAHinge
	case "space_a_strike":
		return &r.SpaceAStrike
	case "space_b_hinge":
		return &r.SpaceBHinge
	case "space_b_strike":
		return &r.SpaceBStrike
	case "depth_top_hinge":
		return &r.DepthTopHinge
	case "depth_top_strike":
		return &r.DepthTopStrike
	case "depth_bottom_hinge":
		return &r.DepthBottomHinge
	case "depth_bottom_strike":
		return &r.DepthBottomStrike
	}
	return nil
}

// corner is where an angle reading of that name is kept; nil for any other name.
func (r *Readings) corner(name string) **Angle {
	switch name {
	case "corner_hinge":
		return &r.CornerHinge
	case "corner_strike":
		return &r.CornerStrike
	case "corner_foot_hinge":
		return &r.CornerFootHinge
	case "corner_foot_strike":
		return &r.CornerFootStrike
	}
	return nil
}

// IsAngle reports whether the reading of that name is an angle, in thousandths of a degree.
func IsAngle(name string) bool { return new(Readings).corner(name) != nil }

// Get returns the reading of that name, nil when it is not taken or there is none of that
// name. An angle reading comes as thousandths of a degree.
func (r Readings) Get(name string) *length.Length {
	if p := r.place(name); p != nil {
		return *p
	}
	if p := r.corner(name); p != nil && *p != nil {
		v := length.Length(**p)
		return &v
	}
	return nil
}

// Set puts a reading and reports whether there is one of that name. An angle reading is
// given as thousandths of a degree.
func (r *Readings) Set(name string, v length.Length) bool {
	if p := r.place(name); p != nil {
		*p = &v
		return true
	}
	if p := r.corner(name); p != nil {
		n := Angle(v)
		*p = &n
		return true
	}
	return false
}

// drop takes a reading out.
func (r *Readings) drop(name string) {
	if p := r.place(name); p != nil {
		*p = nil
	}
	if p := r.corner(name); p != nil {
		*p = nil
	}
}

// CheckReading says whether v can be the reading of that name beside the other readings
// r: a stop when it cannot be (and what would be plausible), a warn when it can but is odd.
// r may or may not hold the reading itself already.
func CheckReading(u Unit, r Readings, name string, v length.Length) []finding.Finding {
	for _, sp := range ReadingSpecs(u) {
		if sp.Name == name {
			r.Set(name, v)
			fs := checkAgainst(u, &r, sp, v)
			nameSides(&u, fs)
			return fs
		}
	}
	return []finding.Finding{measuredStop("reading_not_of_kind", name).Term("kind", string(u.Kind))}
}

func measuredStop(code, reading string) finding.Finding {
	return finding.New(code, finding.Stop).On(stageMeasured).At(reading).Term("reading", reading)
}

func measuredWarn(code, reading string, v length.Length) finding.Finding {
	return finding.New(code, finding.Warn).On(stageMeasured).At(reading).Term("reading", reading).Len("value", v)
}

// checkAgainst is CheckReading for a known spec; r already holds v.
func checkAgainst(u Unit, r *Readings, sp ReadingSpec, v length.Length) []finding.Finding {
	if v < sp.Min || v > sp.Max {
		f := measuredStop("reading_impossible", sp.Name)
		if sp.Angle {
			f = measuredStop("corner_impossible", sp.Name)
			return []finding.Finding{f.Dec("value", Angle(v).Degrees(), 2).
				Dec("least", Angle(sp.Min).Degrees(), 0).Dec("most", Angle(sp.Max).Degrees(), 0)}
		}
		return []finding.Finding{f.Len("value", v).Len("least", sp.Min).Len("most", sp.Max)}
	}
	switch sp.Name {
	case "width_bottom", "width_middle", "width_top":
		return checkWidth(u, r, sp.Name, v)
	case "height_hinge", "height_strike":
		return checkHeight(u, r, sp.Name, v)
	case "lean_hinge", "lean_strike":
		return checkLean(u, r, sp.Name, v)
	case "floor_strike_up":
		if v.Abs() > floorSlopeLarge {
			return []finding.Finding{measuredWarn("floor_slope_large", sp.Name, v.Abs())}
		}
	case "diagonal_rise", "diagonal_fall":
		return checkDiagonal(r, sp.Name, v)
	case "wall_build_up":
		if !usualWall(v) {
			return []finding.Finding{measuredWarn("wall_unusual", sp.Name, v)}
		}
	case "floor_to_come", "floor_highest":
		if v > floorToComeLarge {
			return []finding.Finding{measuredWarn("floor_large", sp.Name, v)}
		}
	case "corner_hinge", "corner_strike", "corner_foot_hinge", "corner_foot_strike":
		if Angle(v) > square+cornerLarge || Angle(v) < square-cornerLarge {
			return []finding.Finding{finding.New("corner_large", finding.Warn).On(stageMeasured).At(sp.Name).
				Term("reading", sp.Name).Dec("value", Angle(v).Degrees(), 2)}
		}
	}
	return nil
}

func checkWidth(u Unit, r *Readings, name string, v length.Length) []finding.Finding {
	var out []finding.Finding
	if want, ok := expectedWidth(u); ok && (v-want).Abs() > widthUnexpected {
		out = append(out, measuredWarn("width_unexpected", name, v).Len("expected", want))
	}
	for _, other := range [...]string{"width_bottom", "width_middle", "width_top"} {
		o := r.Get(other)
		if other == name || o == nil || *o < narrowestWindow || *o > widestOpening {
			continue
		}
		if apart := (v - *o).Abs(); apart > widthsApart {
			out = append(out, measuredWarn("widths_apart", name, v).
				Term("other", other).Len("other_value", *o).Len("apart", apart))
		}
	}
	return out
}

func checkHeight(u Unit, r *Readings, name string, v length.Length) []finding.Finding {
	var out []finding.Finding
	if want, ok := expectedHeight(u); ok {
		if r.FloorToCome != nil && *r.FloorToCome > 0 && *r.FloorToCome <= thickestFloor {
			want += *r.FloorToCome
		}
		if (v - want).Abs() > heightUnexpected {
			out = append(out, measuredWarn("height_unexpected", name, v).Len("expected", want))
		}
	}
	hinge, strike, up := r.HeightHinge, r.HeightStrike, r.FloorStrikeUp
	if hinge == nil || strike == nil || *hinge < 0 || *hinge > highestOpening || *strike < 0 || *strike > highestOpening {
		return out
	}
	slope := length.Length(0)
	if up != nil && up.Abs() <= steepestFloor {
		slope = *up
	}
	if apart := (*strike + slope - *hinge).Abs(); apart > heightsApart {
		out = append(out, measuredWarn("heights_apart", name, v).Len("apart", apart))
	}
	return out
}

// checkLean refuses a lean that would close the opening or that no framed side has.
func checkLean(u Unit, r *Readings, name string, v length.Length) []finding.Finding {
	most := steepestLean
	if h := roughHeight(u, r); h > 0 {
		most = min(most, h/heightPerLean)
	}
	for _, w := range [...]*length.Length{r.WidthBottom, r.WidthMiddle, r.WidthTop} {
		if w != nil && *w >= narrowestDoorway && *w <= widestOpening {
			most = min(most, *w-1)
		}
	}
	if v.Abs() > most {
		return []finding.Finding{measuredStop("lean_impossible", name).Len("value", v.Abs()).Len("most", most)}
	}
	if v.Abs() > leanLarge {
		return []finding.Finding{measuredWarn("lean_large", name, v.Abs())}
	}
	return nil
}

// roughHeight is the opening's height as far as it is known, zero when it is not.
func roughHeight(u Unit, r *Readings) length.Length {
	for _, h := range [...]*length.Length{r.HeightHinge, r.HeightStrike} {
		if h != nil && *h >= narrowestWindow && *h <= highestOpening {
			return *h
		}
	}
	if want, ok := expectedHeight(u); ok {
		return want
	}
	return 0
}

// checkDiagonal refuses a diagonal that cannot close a triangle with the sides it spans,
// and asks again where it is off the one the other readings make.
func checkDiagonal(r *Readings, name string, v length.Length) []finding.Finding {
	q, ok := corners(r)
	if !ok {
		return nil
	}
	want := q.rise()
	least, most := max(q.hingeLen(), q.topLen()), q.hingeLen()+q.topLen()
	if name == "diagonal_fall" {
		want = q.fall()
		least, most = max(q.strikeLen(), q.topLen()), q.strikeLen()+q.topLen()
	}
	if f := float64(v); f <= least || f >= most {
		return []finding.Finding{measuredStop("diagonal_impossible", name).Len("value", v).
			Len("least", length.Length(math.Round(least))).Len("most", length.Length(math.Round(most)))}
	}
	expected := length.Length(math.Round(want))
	if (v - expected).Abs() > diagonalDisagrees {
		return []finding.Finding{measuredWarn("diagonal_unexpected", name, v).Len("expected", expected)}
	}
	return nil
}

// usualWall reports whether v is within 1/8 in of a stud and two ordinary layers: studs
// 2-1/2, 3-1/2, 5-1/2 and 7-1/4 in; boards 3/8, 1/2 or 5/8 in a face, single or double, or
// lath and plaster of about 7/8 in a face (common practice).
func usualWall(v length.Length) bool {
	studs := [...]length.Length{20, 28, 44, 58}           // eighths
	layers := [...]length.Length{6, 8, 9, 10, 14, 16, 20} // eighths, both faces together
	for _, s := range studs {
		for _, l := range layers {
			if (v - (s+l)*length.Eighth).Abs() <= length.Eighth {
				return true
			}
		}
	}
	return false
}
