package drawing_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/drawing"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	said "longpoint/internal/words"
)

// anyLength draws what a tape reads, what it cannot, and the ends of the number line.
func anyLength(t *rapid.T, label string) length.Length {
	switch rapid.IntRange(0, 5).Draw(t, label+" kind") {
	case 0:
		return 0
	case 1:
		return length.Length(rapid.Int64().Draw(t, label))
	case 2:
		return rapid.SampledFrom([]length.Length{math.MinInt64, math.MaxInt64, -1, 1}).Draw(t, label)
	case 3:
		return length.Length(rapid.Int64Range(-16, 16).Draw(t, label)) * length.Sixteenth
	}
	return length.Length(rapid.Int64Range(0, 100*16).Draw(t, label)) * length.Sixteenth
}

func anyScene(t *rapid.T) drawing.Scene {
	n := func(label string) length.Length { return anyLength(t, label) }
	u := trim.Unit{
		Kind: rapid.SampledFrom([]trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window, trim.WallRun, "", "?"}).Draw(t, "kind"),
	}
	if rapid.IntRange(0, 3).Draw(t, "unit") > 0 {
		u.SlabWidth, u.SlabHeight, u.SlabThickness = n("slab width"), n("slab height"), n("slab thickness")
		u.JambThickness, u.HeadThickness, u.JambWidth, u.StopThickness = n("jamb"), n("head"), n("jamb width"), n("stop")
		u.Lap, u.TrackAllowance, u.WidthAllowance, u.FrameWidth = n("lap"), n("track"), n("allowance"), n("frame")
		u.Astragal, u.MeetingGap, u.ClearWidth, u.Horn, u.LegLength = n("astragal"), n("meeting"), n("clear"), n("horn"), n("legs")
		u.Panels = rapid.Int64Range(-2, 1<<40).Draw(t, "panels")
	} else {
		good, _ := chain()
		kind := u.Kind
		u = good
		u.Kind, u.Panels, u.Lap, u.TrackAllowance, u.FrameWidth = kind, 2, length.Inch, length.Inch, 60*length.Inch
	}
	u.HingeOn = rapid.SampledFrom([]string{"", "left", "right"}).Draw(t, "hinge")
	u.SwingsTo = rapid.SampledFrom([]trim.Face{"", trim.FaceA, trim.FaceB}).Draw(t, "swing")
	u.Surround = rapid.SampledFrom([]trim.Surround{"", trim.PictureFrame, trim.StoolApron}).Draw(t, "surround")
	var c *trim.Casing
	if rapid.Bool().Draw(t, "cased") {
		c = &trim.Casing{Style: rapid.SampledFrom([]trim.CasingStyle{trim.ButtHead, trim.Mitered, trim.CornerBlocks, ""}).Draw(t, "style"),
			Width: n("casing"), Overhang: n("overhang"), Block: n("block"), PlinthHeight: n("plinth"), Thickness: length.Half, FloorToCome: n("face floor")}
	}
	_, read := chain()
	all := trim.ReadingSpecs(u)
	got := map[string]length.Length{}
	for _, sp := range all {
		switch rapid.IntRange(0, 2).Draw(t, sp.Name+" taken") {
		case 1:
			got[sp.Name] = n(sp.Name)
		case 2:
			if v, ok := read[sp.Name]; ok {
				got[sp.Name] = v
			}
		}
	}
	s := scene(u, c, got)
	s.Face = rapid.SampledFrom([]trim.Face{"", trim.FaceA, trim.FaceB}).Draw(t, "face")
	if rapid.Bool().Draw(t, "no rules") {
		s.Rules = houserules.Rules{}
	}
	if rapid.IntRange(0, 4).Draw(t, "odd rules") == 0 {
		s.Rules.HingeGap, s.Rules.BottomGap, s.Rules.Reveal, s.Rules.HingeHeight = n("hinge gap"), n("bottom gap"), n("reveal"), n("hinge")
	}
	// Values and cuts that cannot be, as a broken caller might hand them over.
	if rapid.IntRange(0, 3).Draw(t, "odd cuts") == 0 {
		for i := range s.Cuts.Cuts {
			s.Cuts.Cuts[i].Value.Length = n("cut")
		}
		for i := range s.Cuts.Values {
			s.Cuts.Values[i].Value.Length = n("value")
		}
	}
	return s
}

// TestAnySceneIsDrawn: whatever comes, a drawing has a size, its shapes lie about its
// sheet, no polygon is inside out, it is the same twice over, and it travels as JSON.
func TestAnySceneIsDrawn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyScene(t)
		check := func(what string, make func() drawing.Drawing) {
			d := make()
			if d.Width <= 0 || d.Height <= 0 || d.Width > 1<<24 || d.Height > 1<<24 {
				t.Fatalf("%s is %d × %d", what, d.Width, d.Height)
			}
			for _, sh := range d.Shapes {
				if len(sh.Points) == 0 {
					t.Fatalf("%s: a %s %s without points", what, sh.Kind, sh.Role)
				}
				b := boundsOf(sh)
				// A floor that falls steeply beside a narrow opening may leave the sheet, not the room.
				if b.left < -d.Width/2 || b.right > d.Width*3/2 || b.top < -d.Height || b.bottom > 2*d.Height {
					t.Fatalf("%s: %s %s %q lies at %v on %d × %d", what, sh.Kind, sh.Role, sh.Key, sh.Points, d.Width, d.Height)
				}
				if sh.Kind == "dim" && (len(sh.Points) != 2 || sh.Text == "") {
					t.Fatalf("%s: a dimension %q with %d points", what, sh.Text, len(sh.Points))
				}
				if (sh.Role == "slab" || sh.Role == "gap") && (b.wide() < 0 || b.tall() < 0) {
					t.Fatalf("%s: %s at %v", what, sh.Role, sh.Points)
				}
			}
			one, err := json.Marshal(d)
			if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			if two, _ := json.Marshal(make()); string(one) != string(two) {
				t.Fatalf("%s is drawn in two ways", what)
			}
		}
		check("opening", func() drawing.Drawing { return drawing.Opening(s) })
		check("cuts", func() drawing.Drawing { return drawing.Cuts(s) })
		for _, c := range s.Cuts.Cuts {
			check(c.Piece, func() drawing.Drawing { return drawing.Piece(s, c.Piece) })
		}
		d := drawing.Opening(s)
		for _, r := range s.Readings {
			keyed(t, d, r.Spec.Name)
		}
	})
}

// TestSidesNeverCross: the framing's two sides keep apart and the slab lies between them,
// for any readings a tape can give.
func TestSidesNeverCross(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		u, read := chain()
		sixteenths := func(name string, least, most int64) {
			read[name] = length.Length(rapid.Int64Range(least, most).Draw(t, name)) * length.Sixteenth
		}
		for _, w := range []string{"width_bottom", "width_middle", "width_top"} {
			sixteenths(w, 28*16, 34*16)
		}
		sixteenths("lean_hinge", -24, 24)
		sixteenths("floor_strike_up", -16, 16)
		sixteenths("height_hinge", 79*16, 84*16)
		sixteenths("height_strike", 79*16, 84*16)
		d := drawing.Opening(scene(u, casing(trim.ButtHead), read))
		studs := find(d, "polygon", "stud")
		slab := boundsOf(find(d, "polygon", "slab")[0])
		for i := range 3 {
			left, right := studs[0].Points[i], studs[2].Points[i]
			if left[0] > slab.left || right[0] < slab.right {
				t.Fatalf("at point %d the sides lie at %d and %d, the slab at %d to %d", i, left[0], right[0], slab.left, slab.right)
			}
		}
		header := find(d, "polygon", "header")[0]
		if b := boundsOf(find(d, "polygon", "head")[0]); b.top < boundsOf(header).top {
			t.Fatalf("the head jamb lies over the header: %d above %d", b.top, boundsOf(header).top)
		}
	})
}

// keyPattern finds the catalog terms this package names itself.
var keyPattern = regexp.MustCompile(`"(drawn_[a-z_]+)"`)

// TestEveryWordIsInTheCatalog looks every term of the source up, and every term of the
// catalog in the source.
func TestEveryWordIsInTheCatalog(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sources: %v", err)
	}
	used := map[string]bool{}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range keyPattern.FindAllSubmatch(src, -1) {
			used[string(m[1])] = true
		}
	}
	part, err := said.Parse(said.File("en", "drawing"))
	if err != nil {
		t.Fatal(err)
	}
	words := part.Terms
	for key := range used {
		if words[key] == "" {
			t.Errorf("%s has no word", key)
		}
	}
	door, none, pocket := trim.Unit{Kind: trim.Door}, trim.Unit{Kind: trim.CasedOpening}, trim.Unit{Kind: trim.Pocket}
	for key := range words {
		from := used[key]
		for sided := range used {
			for _, u := range []trim.Unit{door, none, pocket} {
				from = from || trim.TermFor(u, sided) == key
			}
		}
		if !from {
			t.Errorf("nothing says %s", key)
		}
	}
}
