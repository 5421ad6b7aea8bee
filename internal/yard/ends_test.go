package yard_test

import (
	"math"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"longpoint/internal/demo"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stock"
	"longpoint/internal/yard"
)

// planOf plans one item with sticks of one length.
func (h *house) planOf(name string, kind string, long length.Length, nest bool) yard.StockPlan {
	h.t.Helper()
	list := demo.Yard()
	for i := range list.Lines {
		if list.Lines[i].Stock.Kind == kind {
			list.Lines[i].Offers = []yard.Offer{{Length: long, Cents: 1000, Limit: yard.NoLimit}}
		}
	}
	for _, sp := range h.plan(yard.Ask{Items: []string{h.item(name).ID}, Nest: nest}, list).Stocks {
		if sp.Stock.Kind == kind {
			return sp
		}
	}
	h.t.Fatalf("%s: no plan for %s", name, kind)
	return yard.StockPlan{}
}

// Crown that ends at an outside corner takes more stick than its marked length, since its face
// reaches past the long point on the back. The bar is built and cut here with gonum's rotations:
// stood at its spring against the wall and cut by the upright plane that halves the corner.
func TestCrownGetsTheStickItTakes(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	sp := h.planOf("Dining room crown", "crown", 16*length.Foot, true)
	run := h.item("Dining room crown").Run
	spring := run.Profile.Spring.Degrees() * math.Pi / 180
	width, thick := float64(run.Profile.Height), float64(run.Profile.Thickness)
	// reach is how far along the wall a corner of the board's section ends past the walls' corner,
	// where the walls turn by 90°.
	reach := func(across, out float64) float64 {
		p := r3.NewRotation(math.Pi/2-spring, r3.Vec{X: 1}).Rotate(r3.Vec{Y: across, Z: -out})
		plane := r3.NewRotation(math.Pi/4, r3.Vec{Z: 1}).Rotate(r3.Vec{X: 1})
		return math.Abs(plane.Y*p.Y) / plane.X
	}
	marked, most := reach(width, 0), math.Max(reach(width, thick), reach(width, 0))
	outside := 0
	for _, p := range sp.Pieces {
		for _, e := range []yard.End{p.Left, p.Right} {
			switch {
			case e.Long == yard.Far: // the ceiling edge: an outside corner
				outside++
				if got, want := float64(e.Over), most-marked; got < want || got > want+10 {
					t.Errorf("%s: got %v past the mark, want %v", p.Piece, e.Over.Print(reader.Style), length.Length(want).Print(reader.Style))
				}
			case e.Over != 0:
				t.Errorf("%s: an inside end reaches %v past its mark, want nothing: its back is long", p.Piece, e.Over)
			}
			if e.Miter == 0 {
				continue
			}
			// Both angles slant the cut: at a square corner as much as 45° (cos miter × cos bevel = sin of
			// half the corner, from the plane itself).
			if got := math.Cos(e.Miter*math.Pi/180) * math.Cos(e.Bevel*math.Pi/180); math.Abs(got-math.Sin(math.Pi/4)) > 1e-3 {
				t.Errorf("%s: miter %v and bevel %v slant the cut by %v, want sin 45°", p.Piece, e.Miter, e.Bevel, got)
			}
		}
	}
	if outside == 0 {
		t.Fatal("no piece ends at an outside corner")
	}
	kerf := stock.KerfAt(int64(sp.Kerf), 45)
	for n, s := range sp.Sticks {
		for k := 1; k < len(s.Pieces); k++ {
			a, b := sp.Pieces[s.Pieces[k-1].Piece], sp.Pieces[s.Pieces[k].Piece]
			gap := s.Pieces[k].At - s.Pieces[k-1].At - int64(a.Length)
			// At every line of the section, q from the wall, the two cuts are a kerf apart.
			for _, q := range []float64{0, marked, most} {
				at := func(e yard.End) int64 {
					if e.Long == yard.Far {
						return int64(q - marked)
					}
					if e.Back > 0 {
						return -int64(q)
					}
					return 0
				}
				if least := min(kerf, int64(sp.Kerf)); a.Right.Miter != 0 && b.Left.Miter != 0 && gap-at(a.Right)-at(b.Left) < least-20 {
					t.Errorf("stick %d: pieces %d and %d are %d apart at %v from the wall", n+1, k, k+1, gap-at(a.Right)-at(b.Left), length.Length(q))
				}
			}
		}
	}
}

// A coped end is mitered before it is coped, so it lies on the saw as an inside miter does: its
// back long, its face back by the stock's thickness × tan 45°.
func TestACopedEndLiesAsItIsMitered(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	sp := h.planOf("Mudroom shoe", "shoe", 8*length.Foot, true)
	coped := 0
	for _, p := range sp.Pieces {
		for _, e := range []yard.End{p.Left, p.Right} {
			if e.Joint != "cope" {
				continue
			}
			coped++
			if d := e.Back - length.Half; e.Long != yard.Far || d.Abs() > 2 || e.Over != 0 {
				t.Errorf("%s: got %+v, want the back long and the face 1/2 back", p.Piece, e)
			}
		}
	}
	if coped == 0 {
		t.Fatal("no coped end")
	}
}

// Nested crown is scarfed plumb, with the table swung: of two parts one reaches past its mark as at
// an outside corner, and has the stick for it. 12 ft sticks hold no wall of the dining room whole.
func TestNestedCrownIsScarfedByMiter(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	prof := &h.item("Dining room crown").Run.Profile
	prof.Position = "nested"
	spring := prof.Spring.Degrees() * math.Pi / 180
	sp := h.planOf("Dining room crown", "crown", 12*length.Foot, true)
	long := map[yard.Edge]int{}
	for _, p := range sp.Pieces {
		for _, e := range []yard.End{p.Left, p.Right} {
			if e.Joint != "scarf" {
				continue
			}
			long[e.Long]++
			over := 0.0
			if e.Long == yard.Far { // the face's line stands thickness × cos spring further from the wall
				over = float64(prof.Thickness) * math.Cos(spring) * math.Tan(math.Pi/6)
			}
			if e.Miter != 30 || e.Bevel != 0 || math.Abs(float64(e.Over)-over) > 10 {
				t.Errorf("%s, part %d: got %+v, want a miter of 30° and %.0f nm past the mark", p.Piece, p.Part, e, over)
			}
		}
	}
	if sp.Refused != "" || long[yard.Near] == 0 || long[yard.Near] != long[yard.Far] {
		t.Errorf("got %q and long edges %v, want a plan with as many parts under as over", sp.Refused, long)
	}
	// A stick that holds a part up to its mark, and not what reaches past it, is no stick for that part.
	for _, p := range sp.Pieces {
		if p.Parts > 0 && p.Right.Long == yard.Far {
			if tight := h.planOf("Dining room crown", "crown", p.Length+length.Sixteenth+houserules.Defaults().StickTrim, true); tight.Refused != "" {
				t.Errorf("sticks 1/16 longer than part %d of %s to its mark: %s", p.Part, p.Piece, tight.Sentence)
			}
		}
	}
}

// A run of which one part is cut keeps its joints: a new plan has the other part and nothing
// else of it, and with both the piece is done.
func TestAPartThatIsCutStaysCut(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	crown := h.item("Dining room crown")
	sp := h.planOf("Dining room crown", "crown", 12*length.Foot, true)
	parts := map[int]yard.Piece{}
	for _, p := range sp.Pieces {
		if p.Piece == "wall_1_piece_1" {
			parts[p.Part] = p
		}
		if p.Parts > 0 && (p.Length < 24*length.Inch || p.Left.Joint == "scarf" && (p.Left.Bevel == 0 || p.Left.Miter != 0)) {
			t.Errorf("%s, part %d: %v long with %+v; want two feet at least, scarfed by bevel", p.Piece, p.Part, p.Length, p.Left)
		}
	}
	if len(parts) != 2 {
		t.Fatalf("wall 1 in parts: got %v, want two", parts)
	}
	saw := func(p yard.Piece) {
		h.give(joblog.Command{Kind: joblog.SawPartKind, ItemID: crown.ID, SawPart: &joblog.SawPart{Piece: p.Piece, Part: p.Part, Parts: p.Parts,
			AsCut: p.Length, Computed: p.Computed, Joints: p.Joints}})
	}
	saw(parts[2])
	again := h.planOf("Dining room crown", "crown", 12*length.Foot, true)
	of := 0
	for _, p := range again.Pieces {
		if p.Piece == "wall_1_piece_1" {
			of++
			if p.Part != 1 || p.Parts != 2 || p.Length != parts[1].Length {
				t.Errorf("the part still to cut: got part %d of %d, %v; want part 1 of 2, %v", p.Part, p.Parts, p.Length, parts[1].Length)
			}
		}
	}
	if of != 1 {
		t.Errorf("wall 1 in the new plan: got %d pieces, want one", of)
	}
	saw(parts[1])
	for _, p := range h.planOf("Dining room crown", "crown", 12*length.Foot, true).Pieces {
		if p.Piece == "wall_1_piece_1" {
			t.Errorf("both parts cut: the plan still has part %d", p.Part)
		}
	}
	c := joblog.CuttingOf(h.state.Scope(nil, joblog.Command{ItemID: crown.ID}), noon)
	for _, p := range c.Pieces {
		if p.Piece == "wall_1_piece_1" && (p.Record == nil || p.Record.AsCut != p.Value.Length) {
			t.Errorf("the piece as cut: got %+v, want %v", p.Record, p.Value.Length)
		}
	}
}

// Every end of every piece is in the list of cuts once, and one pass frees two pieces only where it
// is the same line: between square ends, or mitered ones that are nested.
func TestEveryEndIsInTheListOfCuts(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	for _, nest := range []bool{false, true} {
		shared := 0
		for _, s := range h.look(h.plan(yard.Ask{Nest: nest}, demo.Yard())).Stocks {
			ends := map[string]int{}
			for _, set := range s.Settings {
				for _, c := range set.Cuts {
					for _, name := range c.Frees {
						ends[strconv.Itoa(c.Stick)+" "+name]++
					}
					if len(c.Frees) == 2 && set.Label != "square" {
						shared++
						if !nest {
							t.Errorf("%s, stick %d: one %s cut is to free %v, which lie a triangle apart", s.Label, c.Stick, set.Label, c.Frees)
						}
					}
				}
			}
			for _, k := range s.Sticks {
				for _, p := range k.Pieces {
					if n := ends[strconv.Itoa(k.Number)+" "+p.Item+": "+p.Label]; n%2 != 0 || n == 0 {
						t.Errorf("%s: %d of its ends are in the list of cuts, want both", p.Label, n)
					}
				}
			}
		}
		t.Logf("nested %v: %d mitered cuts free two pieces", nest, shared)
	}
}
