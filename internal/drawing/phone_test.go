package drawing_test

import (
	"math"
	"testing"

	"longpoint/internal/drawing"
)

// A phone 390 px wide leaves a drawing 362, and 630 of height where it asks for no more.
// Text is taken at 8 px a letter and 20 px high, more than the letters used need.
const (
	phoneWide = 362.0
	perLetter = 8.0
	textTall  = 20.0
	touchable = 48.0
)

type tag struct {
	key           string
	x, y          float64 // middle, px
	cos, sin      float64 // along the text
	along, across float64
}

// tagOf puts a dimension's text where a renderer does: along its line where there is room,
// past its end where not. Names lie along their line, values stand upright.
func tagOf(d drawing.Drawing, s drawing.Shape) tag {
	px := phoneWide / float64(d.Width)
	at := func(p drawing.Point) (x, y float64) { return float64(p[0]) * px, float64(p[1]) * px }
	x0, y0 := at(s.Points[0])
	x1, y1 := at(s.Points[1])
	long := math.Hypot(x1-x0, y1-y0)
	dx, dy := 1.0, 0.0
	if long > 1e-9 {
		dx, dy = (x1-x0)/long, (y1-y0)/long
	}
	off := float64(s.Offset) * px
	x0, y0 = x0+dy*off, y0-dx*off
	wide := float64(len([]rune(s.Text))) * perLetter
	t := tag{key: s.Key, cos: 1, along: wide, across: textTall}
	reach := math.Abs(dx)*wide + math.Abs(dy)*textTall
	if s.State == "missing" || s.State == "next" {
		t.cos, t.sin = dx, dy
		reach = wide
	}
	share := float64(s.Along) / 100
	if s.Along == 0 {
		share = 0.5
	}
	step := long * share
	if reach > long+14 {
		step = long + reach/2 + 14
	}
	t.x, t.y = x0+dx*step, y0+dy*step
	return t
}

// corners of the box a tag covers.
func (t tag) corners() [4][2]float64 {
	var out [4][2]float64
	for i, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		a, b := c[0]*t.along/2, c[1]*t.across/2
		out[i] = [2]float64{t.x + a*t.cos - b*t.sin, t.y + a*t.sin + b*t.cos}
	}
	return out
}

// overlap reports whether two tags' boxes meet: no line along a side of either parts them.
func overlap(a, b tag) bool {
	ca, cb := a.corners(), b.corners()
	for _, axis := range [][2]float64{{a.cos, a.sin}, {-a.sin, a.cos}, {b.cos, b.sin}, {-b.sin, b.cos}} {
		lo := func(c [4][2]float64) (least, most float64) {
			least, most = math.Inf(1), math.Inf(-1)
			for _, p := range c {
				v := p[0]*axis[0] + p[1]*axis[1]
				least, most = min(least, v), max(most, v)
			}
			return least, most
		}
		a0, a1 := lo(ca)
		b0, b1 := lo(cb)
		if a1 <= b0 || b1 <= a0 {
			return false
		}
	}
	return true
}

// TestReadingsDoNotCollideOnAPhone lays every scene out at a phone's size: no two tags of
// readings that are required or taken may lie over one another or off the sheet, and the
// middles of the required ones lie a finger apart.
func TestReadingsDoNotCollideOnAPhone(t *testing.T) {
	t.Parallel()
	for name, s := range scenes() {
		d := drawing.Opening(s)
		if tall := phoneWide * float64(d.Height) / float64(d.Width); tall > 632 {
			t.Errorf("%s: %.0f px high at a phone's width, want 632 at most", name, tall)
		}
		required := map[string]bool{}
		for _, r := range s.Readings {
			required[r.Spec.Name] = r.Spec.Required
		}
		var tags []tag
		for _, sh := range d.Shapes {
			if sh.Kind == "dim" && sh.Key != "" && !sh.Optional {
				tags = append(tags, tagOf(d, sh))
			}
		}
		if len(tags) < 4 {
			t.Fatalf("%s: only %d tags", name, len(tags))
		}
		px := phoneWide / float64(d.Width)
		for i, a := range tags {
			for _, c := range a.corners() {
				// The board has 14 px more on every side.
				if c[0] < -14 || c[0] > phoneWide+14 || c[1] < -14 || c[1] > float64(d.Height)*px+14 {
					t.Errorf("%s: the tag of %s lies off the sheet at %.0f, %.0f", name, a.key, c[0], c[1])
					break
				}
			}
			for _, b := range tags[:i] {
				if overlap(a, b) {
					t.Errorf("%s: the tags of %s at %.0f, %.0f and %s at %.0f, %.0f overlap", name, a.key, a.x, a.y, b.key, b.x, b.y)
				}
				if required[a.key] && required[b.key] && math.Max(math.Abs(a.x-b.x), math.Abs(a.y-b.y)) < touchable {
					t.Errorf("%s: %s and %s are %.0f, %.0f px apart, want 48 for two fingers", name, a.key, b.key, a.x-b.x, a.y-b.y)
				}
			}
		}
	}
}

// TestLengthsOfPiecesDoNotCollide does the same on the cuts' sheet.
func TestLengthsOfPiecesDoNotCollide(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"chain", "blocks", "cased", "pair", "half"} {
		d := drawing.Cuts(scenes()[name])
		var tags []tag
		for _, sh := range d.Shapes {
			if sh.Kind == "dim" {
				tags = append(tags, tagOf(d, sh))
			}
		}
		for i, a := range tags {
			for _, b := range tags[:i] {
				if overlap(a, b) {
					t.Errorf("%s: the lengths of %s at %.0f, %.0f and %s at %.0f, %.0f overlap", name, a.key, a.x, a.y, b.key, b.x, b.y)
				}
			}
		}
	}
}
