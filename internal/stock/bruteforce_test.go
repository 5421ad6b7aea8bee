package stock_test

import (
	"context"
	"errors"
	"testing"

	"longpoint/internal/stock"
	"pgregory.net/rapid"
)

// cheapest tries every way to put the pieces on sticks, one piece after another, and gives
// the lowest cost (or number of sticks), or −1 where the pieces cannot be had. It knows
// nothing of patterns, bounds or duals. For a handful of pieces only.
func cheapest(p stock.Problem, fewest bool) int64 {
	var lens []int64
	for _, c := range p.Pieces {
		for range c.Demand {
			lens = append(lens, c.Length)
		}
	}
	left := make([]int, len(p.Stocks))
	for i, s := range p.Stocks {
		left[i] = s.Count
	}
	best := int64(-1)
	var open []int64 // room after the last piece on each stick, the next cut not yet taken
	var place func(i int, cost int64)
	place = func(i int, cost int64) {
		if best >= 0 && cost >= best {
			return
		}
		if i == len(lens) {
			best = cost
			return
		}
		for k := range len(open) { // by index: deeper steps may move the slice
			room := open[k]
			if p.Kerf+lens[i] <= room {
				open[k] = room - p.Kerf - lens[i]
				place(i+1, cost)
				open[k] = room
			}
		}
		for k, s := range p.Stocks {
			if left[k] == 0 || lens[i] > s.Length-p.EndTrim {
				continue
			}
			left[k]--
			open = append(open, s.Length-p.EndTrim-lens[i])
			c := s.Cost
			if fewest {
				c = 1
			}
			place(i+1, cost+c)
			open = open[:len(open)-1]
			left[k]++
		}
	}
	place(0, 0)
	return best
}

func drawProblem(t *rapid.T, maxPieces int) stock.Problem {
	p := stock.Problem{
		Kerf:        rapid.Int64Range(0, 4).Draw(t, "kerf"),
		EndTrim:     rapid.Int64Range(0, 3).Draw(t, "trim"),
		LeastOffcut: rapid.Int64Range(0, 30).Draw(t, "least"),
	}
	longest := int64(0)
	for range rapid.IntRange(1, 4).Draw(t, "stocks") {
		s := stock.Stock{
			Length: rapid.Int64Range(20, 60).Draw(t, "length"),
			Cost:   rapid.Int64Range(0, 40).Draw(t, "cost"),
			Count:  rapid.SampledFrom([]int{-1, -1, 1, 2, 3}).Draw(t, "count"),
		}
		longest = max(longest, s.Length-p.EndTrim)
		p.Stocks = append(p.Stocks, s)
	}
	left := maxPieces
	for range rapid.IntRange(1, 5).Draw(t, "lengths") {
		if left == 0 {
			break
		}
		d := rapid.IntRange(1, min(3, left)).Draw(t, "demand")
		left -= d
		p.Pieces = append(p.Pieces, stock.Piece{Length: rapid.Int64Range(5, longest).Draw(t, "piece"), Demand: d})
	}
	// the same in sixteenths of an inch as nanometers, a hair off the grid, and at prices that
	// leave the exact duals little room
	if rapid.Bool().Draw(t, "fine") {
		const sixteenth = 1_587_500
		p.Kerf, p.EndTrim, p.LeastOffcut = p.Kerf*sixteenth, p.EndTrim*sixteenth, p.LeastOffcut*sixteenth
		for i := range p.Stocks {
			p.Stocks[i].Length *= sixteenth
			p.Stocks[i].Cost *= rapid.SampledFrom([]int64{1, 100, 1_000_003}).Draw(t, "price")
		}
		for i := range p.Pieces {
			p.Pieces[i].Length = p.Pieces[i].Length*sixteenth - rapid.Int64Range(0, 2).Draw(t, "off")
		}
	}
	return p
}

// Property: on tiny problems with kerf, trim, prices and limited offcuts, Solve agrees with
// trying everything, proves it, and its plan holds.
func TestSolveAgreesWithTryingEverything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 7)
		o := stock.Options{Objective: rapid.SampledFrom([]stock.Objective{stock.Cost, stock.FewestSticks}).Draw(t, "objective")}
		want := cheapest(p, o.Objective == stock.FewestSticks)
		plan, err := stock.Solve(context.Background(), p, o)
		if want < 0 {
			var e *stock.Error
			if !errors.As(err, &e) || e.Code != stock.CodeNotEnoughStock {
				t.Fatalf("got %+v, %v; want %s", plan, err, stock.CodeNotEnoughStock)
			}
			return
		}
		if err != nil {
			t.Fatalf("got error %v, want value %d", err, want)
		}
		if err := stock.Check(p, plan); err != nil {
			t.Fatal(err)
		}
		got := plan.Cost
		if o.Objective == stock.FewestSticks {
			got = int64(plan.Sticks)
		}
		if got != want || !plan.Optimal || plan.LowerBound != want {
			t.Fatalf("got %d, bound %d, optimal %v; want %d, all of them", got, plan.LowerBound, plan.Optimal, want)
		}
	})
}
