package stock_test

import (
	"context"
	"math"
	"testing"

	"longpoint/internal/stock"
	"pgregory.net/rapid"
)

// trapezoid is a piece as a person sees it: its length from long point to long point across a
// width, and for either end the angle from square and the edge its long point is on.
type trapezoid struct {
	length      int64
	left, right float64
	leftFar     bool
	rightFar    bool
	turns       bool
}

func (z trapezoid) shape(width, kerf int64) stock.Shape {
	end := func(deg float64, far bool) stock.End {
		e := stock.End{Kerf: stock.KerfAt(kerf, deg)}
		if b := stock.SetBack(width, deg); far {
			e.Near = b
		} else {
			e.Far = b
		}
		return e
	}
	return stock.Shape{Left: end(z.left, z.leftFar), Right: end(z.right, z.rightFar), Turns: z.turns}
}

// sides gives the true lines of both ends at the two edges of the stick, near then far, for a
// piece whose left extreme is at x, turned as the plan says. It uses the angles and the width
// alone, not the shapes the planner worked with.
func (z trapezoid) sides(x, width float64, turn stock.Turn) (left, right [2]float64, leftDeg, rightDeg float64) {
	l, r, lf, rf := z.left, z.right, z.leftFar, z.rightFar
	if turn == stock.EndForEnd || turn == stock.Around {
		l, r, lf, rf = r, l, rf, lf
	}
	if turn == stock.Over || turn == stock.Around {
		lf, rf = !lf, !rf
	}
	back := func(deg float64) float64 { return width * math.Tan(deg*math.Pi/180) }
	left, right = [2]float64{x, x}, [2]float64{x + float64(z.length), x + float64(z.length)}
	if lf {
		left[0] += back(l)
	} else {
		left[1] += back(l)
	}
	if rf {
		right[0] -= back(r)
	} else {
		right[1] -= back(r)
	}
	return left, right, l, r
}

// checkPlaced lays every piece of a plan on its stick as the trapezoid it is and wants, at
// both edges and halfway between, the true kerf of the steeper of two neighboring cuts between them, and
// every piece whole within the stick. Lines are straight, so the edges decide.
func checkPlaced(t interface {
	Helper()
	Fatalf(string, ...any)
}, p stock.Problem, width int64, zs []trapezoid, laid stock.Laid) {
	t.Helper()
	const hair = 1e-4 // nanometers: what doubles lose at this size
	for i, s := range laid.Sticks {
		var right [2]float64
		var rightDeg float64
		for k, c := range s.Pieces {
			l, r, ld, rd := zs[c.Piece].sides(float64(c.At), float64(width), c.Turn)
			for e := range 2 {
				if l[e] < float64(p.EndTrim/2)-hair || r[e] > float64(p.Stocks[s.Stock].Length-(p.EndTrim-p.EndTrim/2))+hair {
					t.Fatalf("stick %d piece %d: from %.1f to %.1f at edge %d of a stick %d long", i, k, l[e], r[e], e, p.Stocks[s.Stock].Length)
				}
			}
			if got := max(r[0], r[1]) - min(l[0], l[1]); got != float64(zs[c.Piece].length) {
				t.Fatalf("stick %d piece %d: is %.3f long, want %d", i, k, got, zs[c.Piece].length)
			}
			if k > 0 {
				kerf := float64(p.Kerf) / math.Cos(max(ld, rightDeg)*math.Pi/180)
				for _, f := range []float64{0, 0.5, 1} {
					a, b := right[0]+(right[1]-right[0])*f, l[0]+(l[1]-l[0])*f
					if b-a < kerf-hair {
						t.Fatalf("stick %d: pieces %d and %d are %.3f apart at %.1f of the width, want a kerf of %.3f", i, k-1, k, b-a, f, kerf)
					}
				}
			}
			right, rightDeg = r, rd
		}
	}
}

func nest(t interface {
	Helper()
	Fatalf(string, ...any)
}, p stock.Problem, width int64, zs []trapezoid, o stock.Options) (straight, nested stock.Laid) {
	t.Helper()
	shapes := make([]stock.Shape, len(zs))
	for i, z := range zs {
		shapes[i] = z.shape(width, p.Kerf)
	}
	straight, err := stock.Straight(context.Background(), p, shapes, o)
	if err != nil {
		t.Fatalf("straight: %v", err)
	}
	nested = stock.Nest(context.Background(), p, shapes, straight, o)
	for name, l := range map[string]stock.Laid{"straight": straight, "nested": nested} {
		if err := stock.CheckLaid(p, shapes, l); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		checkPlaced(t, p, width, zs, l)
	}
	return straight, nested
}

// By hand: a board 100 wide, two pieces 500 long with 45° at both ends, long points on one
// edge. Turned over, the second shares the first one's triangle: 500 + 500 − 100 and a kerf of
// 4 / cos 45° = 5.66, rounded up to 6, take 906. End to end they take 1006.
func TestTwoMitersShareTheTriangle(t *testing.T) {
	t.Parallel()
	both := func(turns bool) []trapezoid {
		return []trapezoid{{length: 500, left: 45, right: 45, leftFar: true, rightFar: true, turns: turns}}
	}
	for _, c := range []struct {
		length           int64
		turns            bool
		straight, nested int
	}{{906, true, 2, 1}, {905, true, 2, 2}, {906, false, 2, 2}, {1006, false, 1, 1}, {1005, false, 2, 2}} {
		p := stock.Problem{Stocks: []stock.Stock{{Length: c.length, Cost: 7, Count: stock.Unlimited}},
			Pieces: []stock.Piece{{Length: 500, Demand: 2}}, Kerf: 4}
		// 45° set back of a width of 100 is 99 in whole units, rounded down; a width of 101 gives the 100 of the example.
		s, n := nest(t, p, 101, both(c.turns), stock.Options{})
		if len(s.Sticks) != c.straight || len(n.Sticks) != c.nested {
			t.Errorf("stick %d, turns %v: got %d sticks straight and %d nested, want %d and %d", c.length, c.turns, len(s.Sticks), len(n.Sticks), c.straight, c.nested)
		}
	}
}

// A molded profile keeps its edges, but an inside miter (long point at the back) beside an
// outside miter (long point at the face) is one cut all the same.
func TestMoldedProfileNestsWhereTheCutsAreParallel(t *testing.T) {
	t.Parallel()
	zs := []trapezoid{
		{length: 500, right: 45, rightFar: true}, // right end: long point at the far edge
		{length: 500, left: 45},                  // left end: long point at the near edge, parallel
		{length: 500, left: 45, leftFar: true},   // left end the other way: cannot share
	}
	p := stock.Problem{Stocks: []stock.Stock{{Length: 906, Cost: 1, Count: stock.Unlimited}}, Kerf: 4,
		Pieces: []stock.Piece{{Length: 500, Demand: 1}, {Length: 500, Demand: 1}, {Length: 500, Demand: 0}}}
	if _, n := nest(t, p, 101, zs, stock.Options{}); len(n.Sticks) != 1 || !n.Optimal || n.Shared != 100 {
		t.Errorf("parallel: got %d sticks, optimal %v, shared %d; want 1, true, 100", len(n.Sticks), n.Optimal, n.Shared)
	}
	p.Pieces[1].Demand, p.Pieces[2].Demand = 0, 1
	if _, n := nest(t, p, 101, zs, stock.Options{}); len(n.Sticks) != 2 || n.Shared != 0 {
		t.Errorf("not parallel: got %d sticks, shared %d; want 2 and 0", len(n.Sticks), n.Shared)
	}
}

// Every order, every way of lying and every way of parting them over sticks, for a few pieces.
func cheapestNested(p stock.Problem, shapes []stock.Shape) int64 {
	var in []int
	for i, c := range p.Pieces {
		for range c.Demand {
			in = append(in, i)
		}
	}
	left := make([]int, len(p.Stocks))
	for i, s := range p.Stocks {
		left[i] = s.Count
	}
	used := make([]bool, len(in))
	best := int64(math.MaxInt64)
	var place func(done int, cost, at, room int64, last stock.End)
	place = func(done int, cost, at, room int64, last stock.End) {
		if cost >= best {
			return
		}
		if done == len(in) {
			best = cost
			return
		}
		for k, i := range in {
			if used[k] {
				continue
			}
			used[k] = true
			for turn := stock.AsIs; turn <= stock.Around; turn++ {
				if turn != stock.AsIs && !shapes[i].Turns {
					break
				}
				h := shapes[i].Lying(turn)
				if at >= 0 {
					end := at + stock.Apart(p.Kerf, last, h.Left, true) + p.Pieces[i].Length
					if end <= room {
						place(done+1, cost, end, room, h.Right)
					}
				}
				for s, st := range p.Stocks {
					if left[s] != 0 && p.Pieces[i].Length <= st.Length-p.EndTrim {
						left[s]--
						place(done+1, cost+st.Cost, p.Pieces[i].Length, st.Length-p.EndTrim, h.Right)
						left[s]++
					}
				}
			}
			used[k] = false
		}
	}
	place(0, 0, -1, 0, stock.End{})
	return best
}

// Property: whatever the angles, widths and kerfs, a nested plan can be cut, costs no more than
// the straight one, its bound is not above the best of all nested plans, and it is called best
// only when it is.
func TestNestingHolds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.Int64Range(10, 90_000_000).Draw(t, "width")
		unit := rapid.SampledFrom([]int64{1, 100_000}).Draw(t, "unit")
		if unit == 1 {
			width = min(width, 900)
		}
		p := stock.Problem{Kerf: rapid.Int64Range(0, 32).Draw(t, "kerf") * unit, EndTrim: rapid.Int64Range(0, 100).Draw(t, "trim") * unit,
			LeastOffcut: rapid.Int64Range(0, 3000).Draw(t, "least") * unit}
		for range rapid.IntRange(1, 2).Draw(t, "stocks") {
			p.Stocks = append(p.Stocks, stock.Stock{Length: rapid.Int64Range(4000, 9000).Draw(t, "stick") * unit,
				Cost: rapid.Int64Range(1, 30).Draw(t, "cost"), Count: stock.Unlimited})
		}
		angle := rapid.SampledFrom([]float64{0, 22.5, 30, 31.62, 44.5, 45, 45, 45, 46, 60})
		var zs []trapezoid
		var shapes []stock.Shape
		for left := 4; left > 0 && len(zs) < 4; {
			z := trapezoid{length: rapid.Int64Range(900, 3900).Draw(t, "length") * unit, left: angle.Draw(t, "left"), right: angle.Draw(t, "right"),
				leftFar: rapid.Bool().Draw(t, "left far"), rightFar: rapid.Bool().Draw(t, "right far"), turns: rapid.Bool().Draw(t, "turns")}
			d := rapid.IntRange(1, left).Draw(t, "demand")
			left -= d
			zs = append(zs, z)
			shapes = append(shapes, z.shape(width, p.Kerf))
			p.Pieces = append(p.Pieces, stock.Piece{Length: z.length, Demand: d})
		}
		for _, z := range zs { // a piece whose cuts meet before they cross its width is no piece
			if s := z.shape(width, p.Kerf); s.Left.Near+s.Right.Near > z.length || s.Left.Far+s.Right.Far > z.length {
				t.Skip()
			}
		}
		straight, nested := nest(t, p, width, zs, stock.Options{Work: 2e9})
		if nested.Cost > straight.Cost {
			t.Fatalf("nested costs %d, straight %d", nested.Cost, straight.Cost)
		}
		want := cheapestNested(p, shapes)
		if nested.LowerBound > want || nested.Cost < want || nested.Optimal && nested.Cost != want {
			t.Fatalf("got cost %d, bound %d, optimal %v; the best nested plan costs %d", nested.Cost, nested.LowerBound, nested.Optimal, want)
		}
	})
}

// Plans that cannot be cut are refused; each change spoils one that can.
func TestCheckLaidRefusesSpoiledPlans(t *testing.T) {
	t.Parallel()
	zs := []trapezoid{{length: 500, left: 45, right: 45, leftFar: true, rightFar: true, turns: true}, {length: 300, turns: false}}
	p := stock.Problem{Stocks: []stock.Stock{{Length: 1300, Cost: 7, Count: 2}}, Kerf: 4,
		Pieces: []stock.Piece{{Length: 500, Demand: 2}, {Length: 300, Demand: 2}}}
	shapes := []stock.Shape{zs[0].shape(101, 4), zs[1].shape(101, 4)}
	for name, spoil := range map[string]func(l *stock.Laid){
		"too near":       func(l *stock.Laid) { l.Sticks[0].Pieces[1].At-- },
		"off the stick":  func(l *stock.Laid) { l.Sticks[0].Pieces[0].At = -1 },
		"turned":         func(l *stock.Laid) { turnSquare(l) },
		"missing":        func(l *stock.Laid) { l.Sticks = l.Sticks[1:] },
		"cost":           func(l *stock.Laid) { l.Cost++ },
		"no such stick":  func(l *stock.Laid) { l.Sticks[0].Stock = 4 },
		"false best":     func(l *stock.Laid) { l.Optimal, l.Gap = true, 1 },
		"piece unknown":  func(l *stock.Laid) { l.Sticks[0].Pieces[0].Piece = 9 },
		"nothing on it":  func(l *stock.Laid) { l.Sticks[0].Pieces = nil },
		"turn not known": func(l *stock.Laid) { l.Sticks[0].Pieces[0].Turn = 7 },
	} {
		_, n := nest(t, p, 101, zs, stock.Options{})
		spoil(&n)
		if err := stock.CheckLaid(p, shapes, n); codeOf(err) != stock.CodeBadPlan {
			t.Errorf("%s: got %v, want %s", name, err, stock.CodeBadPlan)
		}
	}
}

func turnSquare(l *stock.Laid) {
	for i := range l.Sticks {
		for k := range l.Sticks[i].Pieces {
			if c := &l.Sticks[i].Pieces[k]; c.Piece == 1 {
				c.Turn = stock.Over
				return
			}
		}
	}
}
