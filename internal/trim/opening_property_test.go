package trim_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// drawLen is a length between bounds in nanometers, not on any mark of a tape.
func drawLen(rt *rapid.T, name string, least, most length.Length) length.Length {
	return length.Length(rapid.Int64Range(int64(least), int64(most)).Draw(rt, name))
}

// drawDoor is a door opening of a real house: everything readable, nothing refused.
func drawDoor(rt *rapid.T) trim.OpeningInput {
	in := chainInput()
	slab := drawLen(rt, "slab", 18*length.Inch, 42*length.Inch)
	in.Unit.SlabWidth = slab
	rough := slab + 2*length.Inch
	spread := length.Half
	put := func(name string, v length.Length) { in.Readings.Set(name, v) }
	put("width_bottom", drawLen(rt, "b", rough-spread, rough+spread))
	put("width_middle", drawLen(rt, "m", rough-spread, rough+spread))
	put("width_top", drawLen(rt, "t", rough-spread, rough+spread))
	put("lean_hinge", drawLen(rt, "lean", -spread, spread))
	put("floor_strike_up", drawLen(rt, "up", -length.Inch, length.Inch))
	put("height_hinge", drawLen(rt, "hh", 80*length.Inch, 84*length.Inch))
	put("height_strike", drawLen(rt, "hs", 80*length.Inch, 84*length.Inch))
	put("floor_to_come", drawLen(rt, "to come", 0, length.Inch))
	put("floor_highest", drawLen(rt, "highest", 0, length.Inch))
	style := rapid.SampledFrom([]trim.CasingStyle{trim.ButtHead, trim.Mitered, trim.CornerBlocks}).Draw(rt, "style")
	w := drawLen(rt, "casing", length.In(1, 1, 2), 6*length.Inch)
	*in.CasingA = trim.Casing{Style: style, Width: w, Thickness: length.In(0, 11, 16),
		Overhang: drawLen(rt, "overhang", 0, 2*length.Inch), Block: w + drawLen(rt, "block", 0, 2*length.Inch),
		PlinthHeight: drawLen(rt, "plinth", 0, 8*length.Inch)}
	in.CasingB = nil
	return in
}

// Pieces and gaps fill the opening they were cut for, to the nanometer, in both directions.
func TestPiecesFillTheOpening(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := drawDoor(rt)
		out := trim.Opening(in)
		u, r, ru := in.Unit, in.Readings, in.Rules
		across := valueOf(rt2(rt), out, "shim_hinge") + u.JambThickness + ru.HingeGap + u.SlabWidth + ru.StrikeGap + u.JambThickness + valueOf(rt2(rt), out, "shim_strike")
		if plumb := valueOf(rt2(rt), out, "plumb_width"); across != plumb {
			rt.Fatalf("across: want %d, got %d", plumb, across)
		}
		slab := cutOf(rt2(rt), out, "slab").Value.Length
		clear := map[string]length.Length{}
		for _, side := range []string{"hinge", "strike"} {
			leg := cutOf(rt2(rt), out, "leg_"+side).Value.Length
			up := u.HeadThickness + ru.TopGap + slab + valueOf(rt2(rt), out, "bottom_clearance_"+side)
			if up != leg {
				rt.Fatalf("%s side: head, gap, slab and clearance want %d, got %d", side, leg, up)
			}
			clear[side] = *r.Get("height_" + side) - *r.FloorToCome - leg
			if clear[side] < ru.TopAllowance {
				rt.Fatalf("%s side: leg stands %d into the top allowance", side, ru.TopAllowance-clear[side])
			}
			if c := valueOf(rt2(rt), out, "bottom_clearance_"+side); c < ru.BottomGap+*r.FloorHighest {
				rt.Fatalf("%s side: slab clears the floor by %d, less than the gap over the highest floor", side, c)
			}
		}
		if min(clear["hinge"], clear["strike"]) != ru.TopAllowance {
			rt.Fatalf("want the tighter side at the top allowance, got %d and %d", clear["hinge"], clear["strike"])
		}
		d := cutOf(rt2(rt), out, "leg_strike").Value.Length - cutOf(rt2(rt), out, "leg_hinge").Value.Length
		if d != -*r.FloorStrikeUp {
			rt.Fatalf("legs differ by %d, the floor by %d", d, *r.FloorStrikeUp)
		}
	})
}

// rt2 lets the table tests' finders run under rapid.
func rt2(rt *rapid.T) testing.TB { return fataler{TB: nil, rt: rt} }

type fataler struct {
	testing.TB
	rt *rapid.T
}

func (f fataler) Helper()                   {}
func (f fataler) Fatalf(s string, a ...any) { f.rt.Fatalf(s, a...) }

// The plumb width by construction: a plumb-sided frame is tried at heights all the way up
// and grown until it touches. No closed form is used.
func TestPlumbWidthBySampling(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := drawDoor(rt)
		r := in.Readings
		const steps = 400
		left, right := math.Inf(-1), math.Inf(1)
		for i := 0; i <= steps; i++ {
			h := float64(i) / steps
			x := float64(*r.LeanHinge) * h
			w := float64(*r.WidthBottom) + (float64(*r.WidthMiddle)-float64(*r.WidthBottom))*2*h
			if h > 0.5 {
				w = float64(*r.WidthMiddle) + (float64(*r.WidthTop)-float64(*r.WidthMiddle))*(2*h-1)
			}
			left, right = math.Max(left, x), math.Min(right, x+w)
		}
		got := float64(valueOf(rt2(rt), trim.Opening(in), "plumb_width"))
		if d := right - left - got; d < -1e-3 || d > 1 {
			rt.Fatalf("want %.1f nm, got %.1f", right-left, got)
		}
	})
}

// ripped is a piece's ripped width, or the whole width of its stock.
func ripped(c trim.Cut, whole length.Length) length.Length {
	if c.Width == nil {
		return whole
	}
	return c.Width.Length
}

// Hung from the other side, the same opening gives the same pieces with the sides' names
// changed. Its sides are straight, so that which one was read does not matter.
func TestSwappedSidesMirror(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := drawDoor(rt)
		r := &in.Readings
		strikeLean := *r.WidthBottom - *r.WidthTop - *r.LeanHinge
		r.Set("width_middle", (*r.WidthBottom+*r.WidthTop)/2)
		r.Set("lean_strike", strikeLean)
		r.Set("space_a_hinge", drawLen(rt, "space", length.In(1, 1, 2), 8*length.Inch))
		r.Set("diagonal_rise", drawLen(rt, "rise", 85*length.Inch, 87*length.Inch))
		r.Set("diagonal_fall", drawLen(rt, "fall", 85*length.Inch, 87*length.Inch))
		swapped := in
		s := &swapped.Readings
		s.HeightHinge, s.HeightStrike = r.HeightStrike, r.HeightHinge
		s.LeanHinge, s.LeanStrike = r.LeanStrike, r.LeanHinge
		s.DiagonalRise, s.DiagonalFall = r.DiagonalFall, r.DiagonalRise
		s.SpaceAHinge, s.SpaceAStrike = r.SpaceAStrike, r.SpaceAHinge
		s.Set("floor_strike_up", -*r.FloorStrikeUp)
		a, b := trim.Opening(in), trim.Opening(swapped)
		if len(a.Cuts) != len(b.Cuts) {
			rt.Fatalf("want %d pieces, got %d", len(a.Cuts), len(b.Cuts))
		}
		for _, c := range a.Cuts {
			name := c.Piece
			if strings.HasSuffix(name, "_hinge") {
				name = strings.TrimSuffix(name, "hinge") + "strike"
			} else if strings.HasSuffix(name, "_strike") {
				name = strings.TrimSuffix(name, "strike") + "hinge"
			}
			m := cutOf(rt2(rt), b, name)
			if (m.Value.Length - c.Value.Length).Abs() > 2 {
				rt.Fatalf("%s: want %d, got %d as %s", c.Piece, c.Value.Length, m.Value.Length, name)
			}
			if (ripped(c, in.CasingA.Width) - ripped(m, in.CasingA.Width)).Abs() > length.DeadBand+2 {
				rt.Fatalf("%s: ripped %+v, mirrored %+v", c.Piece, c.Width, m.Width)
			}
		}
		pa, pb := valueOf(rt2(rt), a, "plumb_width"), valueOf(rt2(rt), b, "plumb_width")
		if (pa - pb).Abs() > 2 { // halves of odd nanometers
			rt.Fatalf("plumb width: %d against %d", pa, pb)
		}
	})
}

// Whatever takes more off never leaves a taller slab, and more height never a shorter one.
func TestMoreTrimNeverTaller(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := drawDoor(rt)
		before := trim.Opening(in)
		more := drawLen(rt, "more", 1, length.Inch)
		after := in
		taller := false
		switch rapid.IntRange(0, 5).Draw(rt, "what") {
		case 0:
			after.Rules.BottomGap += more
		case 1:
			after.Rules.TopGap += more
		case 2:
			after.Readings.Set("floor_to_come", *in.Readings.FloorToCome+more)
		case 3:
			after.Readings.Set("floor_highest", *in.Readings.FloorHighest+more)
		case 4:
			after.Unit.HeadThickness += more
		case 5:
			taller = true
			after.Readings.Set("height_hinge", *in.Readings.HeightHinge+more)
		}
		a, b := cutOf(rt2(rt), before, "slab").Value.Length, cutOf(rt2(rt), trim.Opening(after), "slab").Value.Length
		if !taller && b > a || taller && b < a {
			rt.Fatalf("slab went from %d to %d", a, b)
		}
		ta, tb := valueOf(rt2(rt), before, "slab_trim"), valueOf(rt2(rt), trim.Opening(after), "slab_trim")
		if !taller && tb < ta {
			rt.Fatalf("trim went from %d to %d", ta, tb)
		}
	})
}

// The same opening taped in millimeters gives the same nanometers: 5 in is 127 mm.
func TestInchesAndMillimetersAgree(t *testing.T) {
	t.Parallel()
	read := func(s string, u length.Unit) length.Length {
		v, err := length.Parse(s, u)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	in := chainInput()
	mm := chainInput()
	for name, taped := range map[string][2]string{
		"width_bottom": {"30", "762mm"}, "width_middle": {"30", "76.2 cm"}, "width_top": {"30", "0.762 m"},
		"height_hinge": {"80 3/8", "2041.525mm"}, "height_strike": {`6' 8 1/2"`, "2044.7mm"}, "wall_build_up": {"4 1/2", "114.3mm"},
	} {
		in.Readings.Set(name, read(taped[0], length.Inches))
		mm.Readings.Set(name, read(taped[1], length.Millimeters))
	}
	a, b := trim.Opening(in), trim.Opening(mm)
	if !reflect.DeepEqual(a, b) {
		t.Errorf("want the same cuts, got\n%+v\n%+v", a, b)
	}
}

// Every plain sum is the sum of its terms.
func TestDerivationsAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		out := trim.Opening(drawAny(rt))
		eachValue(out, func(name string, v derive.Value) {
			if v.Formula != "" {
				return
			}
			var sum length.Length
			for _, term := range v.Terms {
				sum += term.Length
			}
			if sum != v.Length {
				rt.Fatalf("%s: terms add to %d, value %d", name, sum, v.Length)
			}
		})
	})
}

func eachValue(out trim.OpeningCuts, f func(string, derive.Value)) {
	for _, v := range out.Values {
		f(v.Name, v.Value)
	}
	for _, c := range out.Cuts {
		f(c.Piece, c.Value)
		if c.Width != nil {
			f(c.Piece, *c.Width)
		}
		if c.WidthFar != nil {
			f(c.Piece, *c.WidthFar)
		}
		for _, m := range c.Marks {
			f(m.Name, m.Value)
		}
	}
}

// drawAny is any unit with mostly plausible numbers, so that every branch is reached.
func drawAny(rt *rapid.T) trim.OpeningInput {
	in := drawDoor(rt)
	u := &in.Unit
	u.Kind = rapid.SampledFrom([]trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window}).Draw(rt, "kind")
	u.Core = rapid.SampledFrom([]trim.Core{trim.Hollow, trim.Solid, trim.StileAndRail, trim.FireRated, "", "cardboard"}).Draw(rt, "core")
	u.Exit, u.Accessible = rapid.Bool().Draw(rt, "exit"), rapid.Bool().Draw(rt, "accessible")
	u.HingeOn = rapid.SampledFrom([]string{"left", "right", ""}).Draw(rt, "hinge on")
	u.SwingsTo = rapid.SampledFrom([]trim.Face{trim.FaceA, trim.FaceB, ""}).Draw(rt, "swings")
	u.Surround = rapid.SampledFrom([]trim.Surround{trim.PictureFrame, trim.StoolApron, ""}).Draw(rt, "surround")
	u.ExtensionJambs = rapid.Bool().Draw(rt, "extension")
	u.Panels = rapid.Int64Range(0, 5).Draw(rt, "panels")
	u.ReturnAir = rapid.Int64Range(0, 60).Draw(rt, "air")
	maybe := func(name string, p *length.Length, least, most length.Length) {
		if rapid.Bool().Draw(rt, name+" said") {
			*p = drawLen(rt, name, least, most)
		}
	}
	maybe("legs", &u.LegLength, 79*length.Inch, 85*length.Inch)
	maybe("jamb", &u.JambThickness, 0, 2*length.Inch)
	maybe("jamb width", &u.JambWidth, 0, 7*length.Inch)
	maybe("housing", &u.HeadHousing, 0, length.Half)
	maybe("astragal", &u.Astragal, 0, 2*length.Inch)
	maybe("allowance", &u.WidthAllowance, 0, 2*length.Inch)
	maybe("lap", &u.Lap, 0, 2*length.Inch)
	maybe("track", &u.TrackAllowance, 0, 4*length.Inch)
	maybe("frame width", &u.FrameWidth, 40*length.Inch, 80*length.Inch)
	maybe("clear", &u.ClearWidth, 20*length.Inch, 40*length.Inch)
	maybe("supply", &u.SlabHeight, 70*length.Inch, 90*length.Inch)
	maybe("sheet", &u.MakerTrimMost, 0, 4*length.Inch)
	maybe("horn", &u.Horn, 0, 2*length.Inch)
	maybe("hinge gap", &in.Rules.HingeGap, 0, length.Half)
	maybe("extra floor", &in.CasingA.FloorToCome, -length.Inch, length.Inch)
	if rapid.Bool().Draw(rt, "both faces") {
		b := *in.CasingA
		in.CasingB = &b
	}
	for _, sp := range trim.ReadingSpecs(*u) {
		switch {
		case sp.Angle:
			if rapid.Bool().Draw(rt, sp.Name+" read") {
				in.Readings.Set(sp.Name, length.Length(rapid.Int64Range(59_000, 121_000).Draw(rt, sp.Name)))
			}
		case strings.HasPrefix(sp.Name, "depth_"), strings.HasPrefix(sp.Name, "space_"), strings.HasPrefix(sp.Name, "diagonal_"), sp.Name == "lean_strike":
			if rapid.Bool().Draw(rt, sp.Name+" read") {
				least, most := max(sp.Min, -length.Inch), 4*length.Inch
				if strings.HasPrefix(sp.Name, "diagonal_") {
					least, most = 80*length.Inch, 92*length.Inch
				}
				in.Readings.Set(sp.Name, drawLen(rt, sp.Name, least, most))
			}
		case rapid.IntRange(0, 19).Draw(rt, sp.Name+" wild") == 0:
			in.Readings.Set(sp.Name, drawLen(rt, sp.Name, -100*length.Foot, 100*length.Foot))
		}
	}
	return in
}

// Any integers at all, in every field: no panic, and every piece is a length a house has.
func TestNoPanicOnAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, anyOpening)
}

func FuzzOpening(f *testing.F) {
	seed(f)
	f.Fuzz(rapid.MakeFuzz(anyOpening))
}

// seed adds inputs long enough that every draw of a property is fed from them.
func seed(f *testing.F) {
	for i := range byte(6) {
		text := make([]byte, 1<<14)
		rand.NewChaCha8([32]byte{i}).Read(text)
		f.Add(text)
	}
}

func anyOpening(rt *rapid.T) {
	wild := func(rt *rapid.T, name string) int64 {
		return rapid.OneOf(rapid.Int64(), rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, -1, 0, 1, math.MaxInt64}),
			rapid.Int64Range(0, int64(120*length.Inch))).Draw(rt, name)
	}
	scramble := func(rt *rapid.T, v reflect.Value) {
		for i := range v.NumField() {
			f, name := v.Field(i), v.Type().Field(i).Name
			if rapid.IntRange(0, 3).Draw(rt, name+" kept") > 0 {
				continue
			}
			switch f.Kind() {
			case reflect.Int64:
				f.SetInt(wild(rt, name))
			case reflect.Pointer:
				p := reflect.New(f.Type().Elem())
				p.Elem().SetInt(wild(rt, name))
				f.Set(p)
			case reflect.String:
				f.SetString(rapid.OneOf(rapid.String(), rapid.Just("")).Draw(rt, name))
			case reflect.Bool:
				f.SetBool(rapid.Bool().Draw(rt, name))
			}
		}
	}
	words := finding.In("en")
	in := drawAny(rt)
	kind := in.Unit.Kind
	scramble(rt, reflect.ValueOf(&in.Unit).Elem())
	if rapid.Bool().Draw(rt, "kind kept") {
		in.Unit.Kind = kind
	}
	scramble(rt, reflect.ValueOf(&in.Readings).Elem())
	scramble(rt, reflect.ValueOf(in.CasingA).Elem())
	if rapid.IntRange(0, 3).Draw(rt, "rules") == 0 {
		scramble(rt, reflect.ValueOf(&in.Rules).Elem())
	}
	out := trim.Opening(in)
	for _, c := range out.Cuts {
		if c.Value.Length <= 0 || c.Value.Length > length.Longest {
			rt.Fatalf("%s: %d nm is no piece", c.Piece, c.Value.Length)
		}
		for _, e := range c.Ends {
			if math.IsNaN(e.Miter) || e.Miter < 0 || e.Miter > 60 {
				rt.Fatalf("%s: miter %v", c.Piece, e.Miter)
			}
		}
	}
	// What is left out of the arithmetic is named, never moved into range.
	about := map[string]bool{}
	for _, f := range out.Findings {
		about[f.About] = about[f.About] || f.Severity == finding.Stop
	}
	if _, bad := findingOf(out.Findings, "rule_impossible"); !bad {
		for _, sp := range trim.ReadingSpecs(in.Unit) {
			if v := in.Readings.Get(sp.Name); v != nil && (*v < sp.Min || *v > sp.Max) && !about[sp.Name] {
				rt.Fatalf("%s of %d nm goes from %d to %d and is not spoken of", sp.Name, *v, sp.Min, sp.Max)
			}
		}
	}
	words.RenderAll(out.Findings, length.Style{})
	if _, err := json.Marshal(out); err != nil {
		rt.Fatal(err)
	}
	trim.CheckUnit(in.Unit)
	trim.CheckCasing(*in.CasingA)
	for _, sp := range trim.ReadingSpecs(in.Unit) {
		trim.CheckReading(in.Unit, in.Readings, sp.Name, length.Length(wild(rt, "v")))
	}
	trim.CheckReading(in.Unit, in.Readings, "no such reading", 0)
	trim.HingeCount(length.Length(wild(rt, "height")))
}

func BenchmarkOpening(b *testing.B) {
	in := chainInput()
	for b.Loop() {
		trim.Opening(in)
	}
}

func BenchmarkOpeningMitered(b *testing.B) {
	in := chainInput()
	in.CasingA.Style, in.CasingB.Style = trim.Mitered, trim.Mitered
	in.Readings.DiagonalRise, in.Readings.DiagonalFall = lenPtr(85, 5, 8), lenPtr(85, 7, 8)
	for b.Loop() {
		trim.Opening(in)
	}
}
