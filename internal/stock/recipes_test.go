package stock_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/stock"
)

// recipe draws instances the way a published family was made.
type recipe struct {
	name string
	// opt is the known optimum, 0 where the recipe does not fix it
	draw func(r *rand.Rand) (p stock.Problem, opt int64)
}

func oneLength(c int64, lens []int64) stock.Problem {
	p := stock.Problem{Stocks: []stock.Stock{{Length: c, Cost: 1, Count: stock.Unlimited}}}
	for _, l := range lens {
		p.Pieces = append(p.Pieces, stock.Piece{Length: l, Demand: 1})
	}
	return p
}

func uniform(c, lo, hi int64, n int) func(*rand.Rand) (stock.Problem, int64) {
	return func(r *rand.Rand) (stock.Problem, int64) {
		lens := make([]int64, n)
		for i := range lens {
			lens[i] = lo + r.Int64N(hi-lo+1)
		}
		return oneLength(c, lens), 0
	}
}

// triplets: E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, Journal of
// Heuristics 2:5-30, 1996: a first length 380–490, a second from 250 to half the rest, the
// third what fills the stick of 1000 exactly.
func triplets(sticks int) func(*rand.Rand) (stock.Problem, int64) {
	return func(r *rand.Rand) (stock.Problem, int64) {
		var lens []int64
		for range sticks {
			a := 380 + r.Int64N(111)
			b := 250 + r.Int64N((1000-a)/2-250+1)
			lens = append(lens, a, b, 1000-a-b)
		}
		return oneLength(1000, lens), int64(sticks)
	}
}

// averaged: A. Scholl, R. Klein, C. Jürgens, BISON, Computers & Operations Research 24,
// 1997, second set: lengths within a deviation around c divided by a number per stick.
func averaged(n int, per, dev float64) func(*rand.Rand) (stock.Problem, int64) {
	avg := 1000 / per
	return uniform(1000, int64(avg*(1-dev)), int64(avg*(1+dev)), n)
}

// demands: G. Wäscher, T. Gau, OR Spektrum 18, 1996 (CUTGEN1's form): m lengths in a range of
// the stick, an average demand each.
func demands(m int, lo, hi float64, avg int) func(*rand.Rand) (stock.Problem, int64) {
	return func(r *rand.Rand) (stock.Problem, int64) {
		p := oneLength(10000, nil)
		for range m {
			l := int64(10000 * (lo + (hi-lo)*r.Float64()))
			p.Pieces = append(p.Pieces, stock.Piece{Length: max(l, 1), Demand: 1 + r.IntN(2*avg-1)})
		}
		return p, 0
	}
}

// threeLengths: M. Monaci's variable-size sets (2002): sticks 100, 120, 150 priced by length.
func threeLengths(n int, lo, hi int64) func(*rand.Rand) (stock.Problem, int64) {
	return func(r *rand.Rand) (stock.Problem, int64) {
		p, _ := uniform(150, lo, hi, n)(r)
		p.Stocks = nil
		for _, l := range []int64{100, 120, 150} {
			p.Stocks = append(p.Stocks, stock.Stock{Length: l, Cost: l, Count: stock.Unlimited})
		}
		return p, 0
	}
}

// houseJob: the sort of job the package is for, in nanometers: lengths to a sixteenth of an
// inch, 8 to 16 ft sticks with prices that bend a little, offcuts on hand, a 1/8 in kerf.
func houseJob(lengths, pieces, stocks, offcuts int) func(*rand.Rand) (stock.Problem, int64) {
	const in = 25_400_000
	return func(r *rand.Rand) (stock.Problem, int64) {
		p := stock.Problem{Kerf: in / 8, EndTrim: in / 2, LeastOffcut: 18 * in}
		for i := range stocks {
			ft := int64(16 - 2*(i%5))
			p.Stocks = append(p.Stocks, stock.Stock{Length: ft * 12 * in, Cost: ft*189 + r.Int64N(90), Count: stock.Unlimited})
		}
		for range offcuts {
			p.Stocks = append(p.Stocks, stock.Stock{Length: in / 16 * (24*16 + r.Int64N(96*16)), Count: 1})
		}
		for i := range lengths {
			n := pieces / lengths
			if i < pieces%lengths {
				n++
			}
			p.Pieces = append(p.Pieces, stock.Piece{Length: in / 16 * (20*16 + r.Int64N(140*16)), Demand: n})
		}
		return p, 0
	}
}

var recipes = []recipe{
	{"uniform 120", uniform(150, 20, 100, 120)},
	{"uniform 250", uniform(150, 20, 100, 250)},
	{"triplets 60", triplets(20)},
	{"triplets 120", triplets(40)},
	{"Scholl first", uniform(150, 30, 100, 200)},
	{"Scholl second", averaged(100, 5, 0.5)},
	{"Schwerin", uniform(1000, 150, 200, 100)},
	{"demands", demands(40, 0.005, 0.5, 4)},
	{"three lengths", threeLengths(100, 20, 100)},
	{"house job", houseJob(30, 100, 4, 10)},
}

var hardRecipes = []recipe{
	{"uniform 500", uniform(150, 20, 100, 500)},
	{"uniform 1000", uniform(150, 20, 100, 1000)},
	{"triplets 249", triplets(83)},
	{"triplets 501", triplets(167)},
	{"Scholl second, 500", averaged(500, 5, 0.5)},
	{"Scholl second, 9", averaged(200, 9, 0.9)},
	{"Scholl second, 7", averaged(200, 7, 0.2)},
	{"Scholl third", uniform(100000, 20000, 35000, 200)},
	{"wide, 160", uniform(1000, 1, 800, 160)},
	{"wide, 200", uniform(1000, 1, 700, 200)},
	{"demands, big", demands(40, 0.005, 0.25, 10)},
	{"three lengths, 500", threeLengths(500, 20, 100)},
	{"house job, 60", houseJob(60, 200, 5, 20)},
	{"house job, small", houseJob(30, 100, 1, 20)},
}

// TestRecipes draws instances by the published recipes and wants every one of the plain
// families proven within its work, never a bound above a known optimum. With
// LONGPOINT_STOCK_SWEEP=n it draws n of each, the hard families too (those LONGPOINT_STOCK_ONLY is part of the name of), for
// LONGPOINT_STOCK_SECONDS each, and prints a table instead of insisting on the proof.
func TestRecipes(t *testing.T) {
	sweep, _ := strconv.Atoi(os.Getenv("LONGPOINT_STOCK_SWEEP"))
	seconds := 5.0
	if v, err := strconv.ParseFloat(os.Getenv("LONGPOINT_STOCK_SECONDS"), 64); err == nil {
		seconds = v
	}
	list, each := recipes, 3
	if sweep > 0 {
		list, each = append(list[:len(list):len(list)], hardRecipes...), sweep
	}
	for _, rc := range list {
		if !strings.Contains(rc.name, os.Getenv("LONGPOINT_STOCK_ONLY")) {
			continue
		}
		proven, slowest, work, open := 0, 0.0, int64(0), ""
		for i := range each {
			p, opt := rc.draw(rand.New(rand.NewPCG(7, uint64(i))))
			ctx, cancel := context.Background(), func() {}
			o := stock.Options{Seed: 1}
			if sweep > 0 {
				ctx, cancel = context.WithTimeout(ctx, time.Duration(seconds*float64(time.Second)))
			} else {
				o.Work = 20e9
			}
			start := time.Now()
			plan, err := stock.Solve(ctx, p, o)
			cancel()
			if err != nil {
				t.Fatal(rc.name, i, err)
			}
			slowest = max(slowest, time.Since(start).Seconds())
			work = max(work, plan.Work)
			if err := stock.Check(p, plan); err != nil {
				t.Errorf("%s %d: %v", rc.name, i, err)
			}
			if opt > 0 && (plan.Cost < opt || plan.LowerBound > opt) {
				t.Errorf("%s %d: cost %d and bound %d, want %d between them", rc.name, i, plan.Cost, plan.LowerBound, opt)
			}
			if plan.Optimal {
				proven++
			} else {
				open += fmt.Sprintf(" %d(%d..%d)", i, plan.LowerBound, plan.Cost)
			}
		}
		if sweep > 0 {
			fmt.Printf("%-20s proven %d of %d, slowest %.2f s, most work %.2f G %s\n", rc.name, proven, each, slowest, float64(work)/1e9, open)
		} else if proven < each {
			t.Errorf("%s: proven %d of %d;%s", rc.name, proven, each, open)
		}
	}
}
