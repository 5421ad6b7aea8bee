package trim_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

type pt struct{ x, y float64 }

func (a pt) sub(b pt) pt            { return pt{a.x - b.x, a.y - b.y} }
func (a pt) dot(b pt) float64       { return a.x*b.x + a.y*b.y }
func (a pt) dist(b pt) float64      { return math.Hypot(a.x-b.x, a.y-b.y) }
func (a pt) add(b pt, f float64) pt { return pt{a.x + f*b.x, a.y + f*b.y} }

func angleAt(a, b, c pt) float64 {
	u, v := a.sub(b), c.sub(b)
	return math.Acos(u.dot(v)/math.Hypot(u.x, u.y)/math.Hypot(v.x, v.y)) * 180 / math.Pi
}

// meet is where two lines, each through a point along a direction, cross.
func meet(p, d, q, e pt) pt {
	det := d.x*e.y - d.y*e.x
	r := q.sub(p)
	return p.add(d, (r.x*e.y-r.y*e.x)/det)
}

// A racked opening over a sloping floor drawn corner by corner: its diagonals are taped off
// the drawing, and the true corners must come back. Nothing of the rule's arithmetic is used.
func TestCornersFromDiagonals(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := chainInput()
		in.CasingA.Style, in.CasingA.Overhang = trim.Mitered, 0
		nm := func(name string, least, most length.Length) float64 { return float64(drawLen(rt, name, least, most)) }
		footH, footS := pt{0, 0}, pt{nm("bottom", 29*length.Inch, 31*length.Inch), nm("floor", -length.Half, length.Half)}
		rack := nm("rack", -length.Half, length.Half)
		headH := pt{rack, nm("hinge", 80*length.Inch, 81*length.Inch)}
		headS := pt{rack + nm("top", 29*length.Inch, 31*length.Inch), footS.y + nm("strike", 80*length.Inch, 81*length.Inch)}
		put := func(name string, v float64) { in.Readings.Set(name, length.Length(math.Round(v))) }
		put("width_bottom", footS.x)
		put("width_top", headS.x-headH.x)
		put("width_middle", (footS.x+headS.x-headH.x)/2)
		put("height_hinge", headH.y)
		put("height_strike", headS.y-footS.y)
		put("floor_strike_up", footS.y)
		put("lean_hinge", 0) // the diagonals, not the lean, decide
		put("diagonal_rise", footH.dist(headS))
		put("diagonal_fall", headH.dist(footS))
		out := trim.Opening(in)
		for _, c := range out.Corners {
			want := angleAt(footH, headH, headS)
			if c.Name == "corner_strike" {
				want = angleAt(footS, headS, headH)
			}
			if math.Abs(c.Angle.Degrees()-want) > 0.002 || c.From != "diagonals" {
				rt.Fatalf("%s: want %.4f from the diagonals, got %.3f from %s", c.Name, want, c.Angle.Degrees(), c.From)
			}
		}
	})
}

// The side offset on a parallelogram drawn by hand: 30 wide, 80 high, header 1/2 in over.
func TestSquareOffset(t *testing.T) {
	t.Parallel()
	in := chainInput()
	in.Readings.HeightHinge, in.Readings.HeightStrike, in.Readings.FloorStrikeUp = lenPtr(80, 0, 1), lenPtr(80, 0, 1), lenPtr(0, 0, 1)
	rise, _ := length.FromInches(math.Hypot(30.5, 80))
	fall, _ := length.FromInches(math.Hypot(29.5, 80))
	in.Readings.DiagonalRise, in.Readings.DiagonalFall = &rise, &fall
	out := trim.Opening(in)
	if off := valueOf(t, out, "square_offset"); (off - length.Half).Abs() > 3 {
		t.Errorf("want the header 1/2 in over toward the strike side, got %s", show(off))
	}
	f, ok := findingOf(out.Findings, "out_of_square")
	if !ok || f.Stage != "measured" {
		t.Errorf("want diagonals %s apart to warn, got %+v", show(rise-fall), f)
	}
}

// Mitered casing laid out round a frame with any two head corners: the inner and outer lines
// of legs and head are drawn at the reveal and past it by the casing's width, and cross at
// the short and long points. The cut lengths must be the distances between them.
func TestMitersMeetAtAnyCorner(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := chainInput()
		in.CasingA.Style, in.CasingA.Overhang = trim.Mitered, 0
		in.CasingA.Width = drawLen(rt, "w", 2*length.Inch, 6*length.Inch)
		in.Rules.Reveal = drawLen(rt, "r", 0, length.Half)
		ch := trim.Angle(rapid.Int64Range(86_000, 94_000).Draw(rt, "hinge corner"))
		cs := trim.Angle(rapid.Int64Range(86_000, 94_000).Draw(rt, "strike corner"))
		in.Readings.CornerHinge, in.Readings.CornerStrike = &ch, &cs
		out := trim.Opening(in)
		r, w := float64(in.Rules.Reveal), float64(in.CasingA.Width)
		inside := float64(valueOf(rt2(rt), out, "inside_width"))

		// Head along x from the hinge corner; legs run down at the corners' angles.
		rad := math.Pi / 180
		headDir := pt{1, 0}
		legH := pt{math.Cos(ch.Degrees() * rad), -math.Sin(ch.Degrees() * rad)}
		legS := pt{-math.Cos(cs.Degrees() * rad), -math.Sin(cs.Degrees() * rad)}
		outH, outS := pt{legH.y, -legH.x}, pt{-legS.y, legS.x} // square off the legs, outward
		if outH.x > 0 || outS.x < 0 {
			rt.Fatalf("the test's own normals point inward: %v %v", outH, outS)
		}
		frameH, frameS := pt{0, 0}, pt{inside, 0}
		corners := func(off float64) (h, s pt) {
			up := pt{0, off}
			h = meet(up, headDir, frameH.add(outH, off), legH)
			s = meet(up, headDir, frameS.add(outS, off), legS)
			return h, s
		}
		longH, longS := corners(r + w)
		near := func(what string, got length.Length, want float64) {
			if math.Abs(float64(got)-want) > 3 {
				rt.Fatalf("%s: want %.1f nm, got %d", what, want, got)
			}
		}
		near("head, long point", cutOf(rt2(rt), out, "casing_a_head").Value.Length, longH.dist(longS))
		// A leg's long edge runs from the long point to the line square across its foot.
		for _, side := range []struct {
			name  string
			dir   pt
			frame pt
			long  pt
		}{{"hinge", legH, frameH, longH}, {"strike", legS, frameS, longS}} {
			down := float64(valueOf(rt2(rt), out, "floor_to_head_"+side.name))
			foot := side.frame.add(side.dir, down)
			want := foot.sub(side.long).dot(side.dir)
			near("leg "+side.name, cutOf(rt2(rt), out, "casing_a_leg_"+side.name).Value.Length, want)
		}
		head := cutOf(rt2(rt), out, "casing_a_head")
		for i, c := range []trim.Angle{ch, cs} {
			if got, want := head.Ends[i].Miter, 90-c.Degrees()/2; math.Abs(got-want) > 1e-9 {
				rt.Fatalf("end %d: want %v from square, got %v", i, want, got)
			}
		}
	})
}

// Butt head and corner blocks laid out as rectangles: legs stand inside the head's marks on
// the reveal lines, blocks center on the legs, nothing overlaps and nothing is left open.
func TestSquareCasingMeets(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		in := drawDoor(rt)
		if in.CasingA.Style == trim.Mitered {
			in.CasingA.Style = trim.ButtHead
		}
		c := in.CasingA
		out := trim.Opening(in)
		r := in.Rules.Reveal
		inside := valueOf(rt2(rt), out, "inside_width")
		head := cutOf(rt2(rt), out, "casing_a_head").Value.Length
		for _, side := range []string{"hinge", "strike"} {
			leg := cutOf(rt2(rt), out, "casing_a_leg_"+side).Value.Length
			top := leg + valueOf(rt2(rt), out, "floor_"+side) // above the datum
			if c.Style == trim.CornerBlocks {
				top += c.PlinthHeight
				top += (c.Block - c.Width) / 2 // the block hangs below the head casing by this
			}
			if reveal := valueOf(rt2(rt), out, "head_underside") + r; top != reveal {
				rt.Fatalf("%s leg reaches %d, the reveal line is at %d", side, top, reveal)
			}
		}
		between := inside + 2*r // between the legs' inner edges
		if c.Style == trim.ButtHead {
			mark := cutOf(rt2(rt), out, "casing_a_head").Marks[0].Value.Length
			if head-2*mark != between {
				rt.Fatalf("marks are %d apart, the legs %d", head-2*mark, between)
			}
			if mark-c.Width != c.Overhang {
				rt.Fatalf("overhang %d, want %d", mark-c.Width, c.Overhang)
			}
		} else if total := head + 2*c.Block; total != between+2*c.Width+(c.Block-c.Width) {
			rt.Fatalf("blocks and head cover %d, legs and their overhang %d", total, between+2*c.Width+(c.Block-c.Width))
		}
	})
}
