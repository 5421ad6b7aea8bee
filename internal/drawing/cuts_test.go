package drawing_test

import (
	"math"
	"reflect"
	"testing"

	"longpoint/internal/drawing"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func span(s drawing.Shape) int {
	a, b := s.Points[0], s.Points[len(s.Points)-1]
	return int(math.Round(math.Hypot(float64(b[0]-a[0]), float64(b[1]-a[1]))))
}

// TestEveryPieceIsOnTheSheet holds the cuts' sheet against the list of cuts: each piece
// once, to scale, with its printed length.
func TestEveryPieceIsOnTheSheet(t *testing.T) {
	t.Parallel()
	for name, s := range scenes() {
		d := drawing.Cuts(s)
		drawn := map[string]int{}
		for _, sh := range d.Shapes {
			if sh.Key == "" {
				continue
			}
			drawn[sh.Key]++
		}
		for i, c := range s.Cuts.Cuts {
			if drawn[c.Piece] != 1 {
				t.Errorf("%s: %s is dimensioned %d times, want once", name, c.Piece, drawn[c.Piece])
				continue
			}
			sh := keyed(t, d, c.Piece)
			want := units(c.Value.Length)
			if sh.Text == "" || sh.Name != s.Pieces[i].Label {
				t.Errorf("%s: %s reads %q %q, want %q", name, c.Piece, sh.Text, sh.Name, s.Pieces[i].Label)
			}
			if got := span(sh); got < want-1 || got > want+1 {
				t.Errorf("%s: %s is drawn %d long, want %d", name, c.Piece, got, want)
			}
		}
		if len(drawn) != len(s.Cuts.Cuts) {
			t.Errorf("%s: %d pieces are drawn, want %d", name, len(drawn), len(s.Cuts.Cuts))
		}
	}
}

// TestChainCutsInPlace: the strike leg is longer by the floor's slope and stands lower by
// it, the set-back marks lie 3 3/4 from the head casing's ends.
func TestChainCutsInPlace(t *testing.T) {
	t.Parallel()
	d := drawing.Cuts(chainScene())
	hinge, strike := boundsOf(keyed(t, d, "leg_hinge")), boundsOf(keyed(t, d, "leg_strike"))
	near(t, "strike leg past the hinge leg", strike.tall()-hinge.tall(), units(in(0, 1, 8)), 1)
	near(t, "strike leg's foot under the hinge leg's", strike.bottom-hinge.bottom, units(in(0, 1, 8)), 1)
	near(t, "tops of the legs apart", strike.top-hinge.top, 0, 1)
	head := boundsOf(keyed(t, d, "casing_a_head"))
	var at []int
	for _, m := range find(d, "polyline", "mark") {
		b := boundsOf(m)
		if mid := (b.top + b.bottom) / 2; b.wide() == 0 && mid > head.top-200 && mid < head.top+200 {
			at = append(at, b.left)
		}
	}
	if len(at) != 2 {
		t.Fatalf("%d set-back marks on the head casing, want 2", len(at))
	}
	near(t, "left set-back mark", at[0]-head.left, units(in(3, 3, 4)), 1)
	near(t, "right set-back mark", head.right-at[1], units(in(3, 3, 4)), 1)
	if d.Exaggerated != 0 {
		t.Errorf("the cuts are drawn %d times something, want them true", d.Exaggerated)
	}
}

// TestMiterIsTrue: the angle at the end of a mitered piece is the saw's.
func TestMiterIsTrue(t *testing.T) {
	t.Parallel()
	u, read := chain()
	read["corner_hinge"], read["corner_strike"] = length.Length(88*trim.Degree), length.Length(91*trim.Degree)
	s := scene(u, casing(trim.Mitered), read)
	d := drawing.Piece(s, "casing_a_head")
	head := find(d, "polygon", "casing")[0].Points // long points, then short ones from the right
	angle := func(long, short drawing.Point) float64 {
		return math.Atan2(math.Abs(float64(short[0]-long[0])), float64(short[1]-long[1])) * 180 / math.Pi
	}
	for i, c := range []struct {
		name        string
		long, short drawing.Point
		want        float64
	}{{"left", head[0], head[3], 46}, {"right", head[1], head[2], 44.5}} {
		if got := angle(c.long, c.short); math.Abs(got-c.want) > 0.2 {
			t.Errorf("the %s end is cut at %.2f°, want %.2f°", c.name, got, c.want)
		}
		if angles := find(d, "angle", "dim"); len(angles) != 2 {
			t.Fatalf("%d angles, want 2", len(angles))
		} else if a := angles[i]; a.Name == "" {
			t.Errorf("the %s angle has no name", c.name)
		}
	}
}

// TestPieceMarksAreToScale holds every dimension on every piece against the cut it shows.
func TestPieceMarksAreToScale(t *testing.T) {
	t.Parallel()
	for name, s := range scenes() {
		for _, c := range s.Cuts.Cuts {
			d := drawing.Piece(s, c.Piece)
			if got, want := span(keyed(t, d, c.Piece)), units(c.Value.Length); got < want-1 || got > want+1 {
				t.Errorf("%s: %s is drawn %d long, want %d", name, c.Piece, got, want)
			}
			var want []int
			for _, m := range c.Marks {
				switch {
				case m.From == "hinge_edge", m.Name == "leg_trim", m.Value.Length > c.Value.Length:
				case m.From == "each_end":
					want = append(want, units(m.Value.Length), units(m.Value.Length))
				default:
					want = append(want, units(m.Value.Length))
				}
			}
			var got []int
			for _, sh := range find(d, "dim", "dim") {
				if sh.Key == "" && sh.Points[0][1] == sh.Points[1][1] {
					got = append(got, span(sh))
				}
			}
			if len(got) != len(want) {
				t.Errorf("%s: %s shows marks at %v, want %v", name, c.Piece, got, want)
				continue
			}
			for i := range got {
				near(t, name+" "+c.Piece+" mark", got[i], want[i], 1)
			}
		}
	}
}

// TestPiecesAreEachPiece: all at once they are the same drawings, none running into another.
func TestPiecesAreEachPiece(t *testing.T) {
	t.Parallel()
	for name, s := range scenes() {
		all := drawing.Pieces(s)
		if len(all) != len(s.Cuts.Cuts) {
			t.Fatalf("%s: %d drawings of %d cuts", name, len(all), len(s.Cuts.Cuts))
		}
		for i, c := range s.Cuts.Cuts {
			if one := drawing.Piece(s, c.Piece); !reflect.DeepEqual(all[i], one) {
				t.Errorf("%s: %s is drawn as\n %v among all, alone as\n %v", name, c.Piece, all[i], one)
			}
		}
	}
}

// TestMitersLieOnTheirSide: whichever face a head is for and from whichever the sheet is
// seen, its hinge end, cut at 46°, lies on the hinge side.
func TestMitersLieOnTheirSide(t *testing.T) {
	t.Parallel()
	u, read := chain()
	read["corner_hinge"] = length.Length(88 * trim.Degree)
	for _, hinge := range []string{"left", "right"} {
		for _, face := range []trim.Face{trim.FaceA, trim.FaceB} {
			u.HingeOn = hinge
			s := scene(u, casing(trim.Mitered), read)
			s.Face = face
			hingeLeft := (hinge == "left") == (face == trim.FaceA)
			n := 0
			for _, sh := range find(drawing.Cuts(s), "polygon", "casing") {
				if sh.Name != "head casing, face A" && sh.Name != "head casing, face B" {
					continue
				}
				n++
				b := boundsOf(sh)
				left, right := 0, 0 // how far the short points lie in
				for _, p := range sh.Points {
					if p[1] == b.bottom && p[0]-b.left < b.right-p[0] {
						left = p[0] - b.left
					} else if p[1] == b.bottom {
						right = b.right - p[0]
					}
				}
				if (left > right) != hingeLeft {
					t.Errorf("hinge %s, seen from face %s: the miters of the %s run %d left and %d right", hinge, face, sh.Name, left, right)
				}
			}
			if n != 2 {
				t.Errorf("hinge %s, face %s: %d head casings, want 2", hinge, face, n)
			}
		}
	}
}
