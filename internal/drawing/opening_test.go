package drawing_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"longpoint/internal/drawing"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Tenths of a millimeter in a fraction of an inch, rounded.
func units(l length.Length) int { return int(math.Round(l.Millimeters() * 10)) }

type bounds struct{ left, top, right, bottom int }

func (b bounds) wide() int { return b.right - b.left }
func (b bounds) tall() int { return b.bottom - b.top }

func boundsOf(s drawing.Shape) bounds {
	b := bounds{math.MaxInt, math.MaxInt, math.MinInt, math.MinInt}
	for _, p := range s.Points {
		b.left, b.right = min(b.left, p[0]), max(b.right, p[0])
		b.top, b.bottom = min(b.top, p[1]), max(b.bottom, p[1])
	}
	return b
}

// find returns the shapes of a kind and role, in order.
func find(d drawing.Drawing, kind, role string) []drawing.Shape {
	var out []drawing.Shape
	for _, s := range d.Shapes {
		if s.Kind == kind && s.Role == role {
			out = append(out, s)
		}
	}
	return out
}

func keyed(t interface {
	Helper()
	Fatalf(format string, args ...any)
}, d drawing.Drawing, key string) drawing.Shape {
	t.Helper()
	for _, s := range d.Shapes {
		if s.Key == key {
			return s
		}
	}
	t.Fatalf("nothing is drawn for %s", key)
	return drawing.Shape{}
}

func near(t *testing.T, what string, got, want, within int) {
	t.Helper()
	if got < want-within || got > want+within {
		t.Errorf("%s is %d, want %d within %d", what, got, want, within)
	}
}

// TestChainIsDrawnToScale holds the drawing against the worked chain (common practice):
// slab 79 1/8 high, gaps 1/8 and 1/4, shim space 1/4 a side, the floor 1/8 lower at the
// strike side. Gaps and slope are drawn as many times their size as the drawing says.
func TestChainIsDrawnToScale(t *testing.T) {
	t.Parallel()
	d := drawing.Opening(chainScene())
	k := d.Exaggerated
	if k != 8 {
		t.Fatalf("gaps are drawn %d times, want 8", k)
	}
	slab := boundsOf(find(d, "polygon", "slab")[0])
	near(t, "slab height", slab.tall(), units(in(79, 1, 8)), 1)
	near(t, "slab width", slab.wide(), units(in(28, 0, 0)), 1)

	jambs := find(d, "polygon", "jamb")
	hinge, strike := boundsOf(jambs[0]), boundsOf(jambs[1])
	near(t, "hinge jamb's thickness", hinge.wide(), units(in(0, 5, 8)), 1)
	near(t, "strike leg past the hinge leg", strike.tall()-hinge.tall(), k*units(in(0, 1, 8)), k)
	near(t, "hinge gap", slab.left-hinge.right, k*units(in(0, 1, 8)), k)
	near(t, "strike gap", strike.left-slab.right, k*units(in(0, 1, 8)), k)
	near(t, "gap under the slab", hinge.bottom-slab.bottom, k*units(in(0, 1, 4)), k)
	head := boundsOf(find(d, "polygon", "head")[0])
	near(t, "top gap", slab.top-head.bottom, k*units(in(0, 1, 8)), k)
	header := boundsOf(find(d, "polygon", "header")[0])
	near(t, "top allowance", head.top-header.bottom, k*units(in(0, 1, 4)), k)

	studs := find(d, "polygon", "stud")
	near(t, "shim space, hinge side", hinge.left-boundsOf(studs[0]).right, k*units(in(0, 1, 4)), k)
	near(t, "shim space, strike side", boundsOf(studs[2]).left-strike.right, k*units(in(0, 1, 4)), k)
	near(t, "stud", boundsOf(studs[0]).wide(), units(in(1, 1, 2)), 1)

	marks := find(d, "polygon", "mark")
	if len(marks) != 3 {
		t.Fatalf("%d hinges are drawn, want 3", len(marks))
	}
	near(t, "top hinge from the slab's top", boundsOf(marks[0]).top-slab.top, units(in(7, 0, 0)), 1)
	near(t, "bottom hinge from the slab's foot", slab.bottom-boundsOf(marks[2]).bottom, units(in(11, 0, 0)), 1)
	triangle := boundsOf(find(d, "polyline", "stop")[0])
	if p := find(d, "polyline", "stop")[0].Points; p[1][0] != slab.left || triangle.right != slab.right {
		t.Errorf("the hinge triangle points at x %d, want the hinge edge %d", p[1][0], slab.left)
	}
}

// TestLeanIsDrawn gives a hinge side that leans in by 1/4 and sides whose width grows by
// 1/8, and looks where the framing's edges go.
func TestLeanIsDrawn(t *testing.T) {
	t.Parallel()
	u, read := chain()
	read["lean_hinge"], read["width_middle"], read["width_top"] = in(0, 1, 4), in(30, 1, 16), in(30, 1, 8)
	read["lean_strike"] = -in(0, 3, 8)
	d := drawing.Opening(scene(u, nil, read))
	k := max(1, d.Exaggerated)
	jack := find(d, "polygon", "stud")[0].Points // foot, middle, header of the inner edge first
	near(t, "lean of the hinge side", jack[2][0]-jack[0][0], k*units(in(0, 1, 4)), 2*k)
	near(t, "hinge side at half height", jack[1][0]-jack[0][0], k*units(in(0, 1, 8)), 2*k)
	other := find(d, "polygon", "stud")[2].Points
	near(t, "lean of the strike side", other[2][0]-other[0][0], k*units(in(0, 3, 8)), 2*k)
	lean := boundsOf(keyed(t, d, "lean_hinge"))
	near(t, "lean's dimension", lean.wide(), k*units(in(0, 1, 4)), 2*k)
	if name := keyed(t, d, "lean_hinge").Name; !strings.HasSuffix(name, "top leans in") {
		t.Errorf("the lean is called %q, want its direction at the end", name)
	}
	if text := keyed(t, d, "lean_strike").Text; text != "3/8" {
		t.Errorf("the strike side's lean reads %q, want 3/8: the drawing shows the way", text)
	}
}

// TestHeadersAndFloorSlope draws headers 1/2 apart over a floor 1/4 high at the strike side.
func TestHeaderAndFloorSlope(t *testing.T) {
	t.Parallel()
	u, read := chain()
	read["floor_strike_up"], read["height_strike"] = in(0, 1, 4), in(80, 5, 8)
	d := drawing.Opening(scene(u, nil, read))
	k := max(1, d.Exaggerated)
	floor := find(d, "polyline", "floor")[0].Points
	if floor[0][1] <= floor[1][1] {
		t.Errorf("the floor runs from %d to %d, want it higher at the strike side", floor[0][1], floor[1][1])
	}
	jambs := find(d, "polygon", "jamb")
	near(t, "hinge leg past the strike leg", boundsOf(jambs[0]).tall()-boundsOf(jambs[1]).tall(), k*units(in(0, 1, 4)), k)
	// Header over the datum: hinge 80 3/8 − 1/4, strike 80 5/8.
	h := find(d, "polygon", "header")[0].Points
	near(t, "header's slope", h[0][1]-h[len(h)-3][1], k*units(in(0, 1, 2)), 2*k)
}

// TestFactorGivesWay makes gaps so wide that they cannot be drawn eight times their size.
func TestFactorGivesWay(t *testing.T) {
	t.Parallel()
	u, read := chain()
	for _, w := range []string{"width_bottom", "width_middle", "width_top"} {
		read[w] = in(40, 0, 0)
	}
	d := drawing.Opening(scene(u, nil, read))
	if d.Exaggerated != 0 {
		t.Errorf("10 in of shim space is drawn %d times its size, want it true", d.Exaggerated)
	}
	if slab, w := boundsOf(find(d, "polygon", "slab")[0]), keyed(t, d, "width_middle"); slab.wide() > boundsOf(w).wide() {
		t.Errorf("the slab is %d wide in an opening of %d", slab.wide(), boundsOf(w).wide())
	}
}

// TestFaceBIsMirrored swaps left and right and nothing else, the casing of both faces and
// the spaces beside them being alike.
func TestFaceBIsMirrored(t *testing.T) {
	t.Parallel()
	u, read := chain()
	a := scene(u, casing(trim.Mitered), read)
	b := a
	b.Face = trim.FaceB
	da, db := drawing.Opening(a), drawing.Opening(b)
	mirrored(t, da, db)
	u.HingeOn = "right"
	mirrored(t, da, drawing.Opening(scene(u, casing(trim.Mitered), read)))
	if !strings.Contains(da.Title, "face A") || !strings.Contains(db.Title, "face B") {
		t.Errorf("the titles are %q and %q, want each to name its face", da.Title, db.Title)
	}
}

func mirrored(t *testing.T, a, b drawing.Drawing) {
	t.Helper()
	if len(a.Shapes) != len(b.Shapes) || a.Width != b.Width {
		t.Fatalf("%d shapes on %d and %d on %d, want as many as wide", len(a.Shapes), a.Width, len(b.Shapes), b.Width)
	}
	for i := range a.Shapes {
		x, y := a.Shapes[i], b.Shapes[i]
		if strings.HasPrefix(x.Key, "space_") {
			continue // the face looked at stands over the other
		}
		for j := range x.Points {
			if x.Points[j][0] != a.Width-y.Points[j][0] || x.Points[j][1] != y.Points[j][1] {
				t.Errorf("%s %s %s lies at %v, its mirror at %v", x.Kind, x.Role, x.Key, x.Points, y.Points)
				break
			}
		}
		if x.Offset != -y.Offset {
			t.Errorf("%s stands off by %d, its mirror by %d", x.Key, x.Offset, y.Offset)
		}
	}
}

// TestDimensionsReadAsTheTable holds the drawing's dimensions against the readings: the
// same, in the same order, by the same names.
func TestDimensionsReadAsTheTable(t *testing.T) {
	t.Parallel()
	for name, s := range scenes() {
		d := drawing.Opening(s)
		var got []drawing.Shape
		for _, sh := range d.Shapes {
			if sh.Key != "" {
				got = append(got, sh)
			}
		}
		if len(got) != len(s.Readings) {
			t.Errorf("%s: %d readings are drawn, want %d", name, len(got), len(s.Readings))
			continue
		}
		next := false
		for i, r := range s.Readings {
			g := got[i]
			if g.Key != r.Spec.Name || !strings.Contains(g.Name, r.Label) {
				t.Errorf("%s: reading %d is %s %q, want %s %q", name, i, g.Key, g.Name, r.Spec.Name, r.Label)
			}
			want := r.State
			if r.State == "missing" && r.Spec.Required && !next {
				want, next = "next", true
			}
			if g.State != want {
				t.Errorf("%s: %s is %q, want %q", name, g.Key, g.State, want)
			}
			if optional := r.State == "missing" && !r.Spec.Required; g.Optional != optional {
				t.Errorf("%s: %s is optional: %v, want %v", name, g.Key, g.Optional, optional)
			}
			if r.State == "taken" && g.Text != r.Text {
				t.Errorf("%s: %s reads %q, want %q", name, g.Key, g.Text, r.Text)
			}
			if g.Text == "" {
				t.Errorf("%s: nothing is written on %s", name, g.Key)
			}
		}
	}
}

// TestTitleSums reads the sentence a person hears.
func TestTitleSums(t *testing.T) {
	t.Parallel()
	const want = "Closet door, elevation from face A: door 28 × 80. Readings taken: 3. Next: width at the top."
	if got := drawing.Opening(scenes()["half"]).Title; got != want {
		t.Errorf("the title is\n %q, want\n %q", got, want)
	}
}

func TestGolden(t *testing.T) {
	t.Parallel()
	s := chainScene()
	room := planScenes()["breast"]
	for name, d := range map[string]drawing.Drawing{
		"chain_opening": drawing.Opening(s), "chain_cuts": drawing.Cuts(s), "chain_head_casing": drawing.Piece(s, "casing_a_head"),
		"breast_room": drawing.Room(room), "breast_pieces": drawing.RunPieces(room), "breast_corner": drawing.Corner(room, 1),
	} {
		var got bytes.Buffer
		b, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		// One shape a line, so that a change shows.
		got.Write(bytes.ReplaceAll(b, []byte(`{"kind"`), []byte("\n"+`{"kind"`)))
		got.WriteByte('\n')
		file := filepath.Join("testdata", name+".json")
		if *update {
			if err := os.WriteFile(file, got.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), want) {
			g, w := strings.Split(got.String(), "\n"), strings.Split(string(want), "\n")
			for i := range g {
				if i >= len(w) || g[i] != w[i] {
					t.Errorf("%s line %d is\n %s, want\n %s", name, i+1, g[i], w[min(i, len(w)-1)])
					break
				}
			}
		}
	}
}

func BenchmarkOpeningAndCuts(b *testing.B) {
	s := chainScene()
	b.ReportAllocs()
	for b.Loop() {
		drawing.Opening(s)
		drawing.Cuts(s)
	}
}

func BenchmarkPieces(b *testing.B) {
	s := chainScene()
	b.ReportAllocs()
	for b.Loop() {
		drawing.Pieces(s)
	}
}

// TestLayersAreDrawnAsRead: a wall with 1/2 in on face A and 1 in on face B is drawn so in the
// section, and their dimensions span what they measure.
func TestLayersAreDrawnAsRead(t *testing.T) {
	t.Parallel()
	u, read := chain()
	read["wall_build_up"], read["layers_a"], read["layers_b"] = in(5, 0, 0), in(0, 1, 2), in(1, 0, 0)
	d := drawing.Opening(scene(u, casing(trim.ButtHead), read))
	wide := map[string]int{}
	for _, sh := range d.Shapes {
		if sh.Kind == "dim" {
			wide[sh.Key] = sh.Points[1][0] - sh.Points[0][0]
		}
	}
	// Lengths are whole tenths of a millimeter before they are enlarged, so each is within 1/16.
	near(t, "layers on A of the wall", 10*wide["layers_a"], wide["wall_build_up"], wide["wall_build_up"]/16)
	near(t, "layers on B of the wall", 5*wide["layers_b"], wide["wall_build_up"], wide["wall_build_up"]/16)
}
