package stock_test

import (
	"testing"

	"longpoint/internal/stock"
)

// What counts, in its order: cost, waste, number of different layouts, length of the longest offcut
// kept; or sticks before all of these. Each case is worked by hand: the plan wanted is worse by
// everything that counts later.
func TestTheOrderOfWhatCounts(t *testing.T) {
	t.Parallel()
	endless := func(length, cost int64) stock.Stock {
		return stock.Stock{Length: length, Cost: cost, Count: stock.Unlimited}
	}
	one := func(lengths ...int64) (out []stock.Piece) {
		for _, l := range lengths {
			out = append(out, stock.Piece{Length: l, Demand: 1})
		}
		return out
	}
	for name, c := range map[string]struct {
		p         stock.Problem
		objective stock.Objective
		holds     func(pl stock.Plan) bool
		want      string
	}{
		// A 50 fits its own stick of 50 for 5 without waste; half a 100 for 4 is cheaper.
		"cost before waste": {stock.Problem{Stocks: []stock.Stock{endless(50, 5), endless(100, 4)}, Pieces: one(50)},
			stock.Cost, func(pl stock.Plan) bool { return pl.Cost == 4 && pl.Waste == 50 }, "cost 4 with 50 wasted"},
		// 50 + 30 twice wastes 40 in one layout; 50 + 50 and 30 + 30 wastes nothing in two, 40 being kept.
		"waste before layouts": {stock.Problem{Stocks: []stock.Stock{endless(100, 1)}, Pieces: []stock.Piece{{Length: 50, Demand: 2}, {Length: 30, Demand: 2}}, LeastOffcut: 40},
			stock.Cost, func(pl stock.Plan) bool { return pl.Sticks == 2 && pl.Waste == 0 && len(pl.Layouts) == 2 }, "two sticks, no waste, two layouts"},
		// 50 + 30 + 20 twice is one layout; 50 + 50 and 30 + 30 + 20 + 20 takes the same two sticks in two.
		"fewer layouts": {stock.Problem{Stocks: []stock.Stock{endless(100, 1)}, Pieces: []stock.Piece{{Length: 50, Demand: 2}, {Length: 30, Demand: 2}, {Length: 20, Demand: 2}}},
			stock.Cost, func(pl stock.Plan) bool { return pl.Sticks == 2 && len(pl.Layouts) == 1 }, "one layout, twice"},
		// 45 + 25 twice is one layout that keeps 30 and 30; 45 + 45 and 25 + 25 keeps 10 and 50, in two.
		"layouts before long offcuts": {stock.Problem{Stocks: []stock.Stock{endless(100, 1)}, Pieces: []stock.Piece{{Length: 45, Demand: 2}, {Length: 25, Demand: 2}}, LeastOffcut: 10},
			stock.Cost, func(pl stock.Plan) bool {
				return pl.Sticks == 2 && pl.Waste == 0 && len(pl.Layouts) == 1 && pl.LongestKept == 30
			}, "one layout, 30 kept of each"},
		// Two sticks whatever is done, no waste however: 60 + 20 + 10 leaves 10 and 50 is the longest that can be left.
		"a long offcut": {stock.Problem{Stocks: []stock.Stock{endless(100, 1)}, Pieces: one(60, 50, 20, 10), LeastOffcut: 10},
			stock.Cost, func(pl stock.Plan) bool { return pl.Sticks == 2 && pl.Waste == 0 && pl.LongestKept == 50 }, "an offcut of 50"},
		// One stick of 100 for 100, or two of 50 for 2.
		"fewest sticks before cost": {stock.Problem{Stocks: []stock.Stock{endless(100, 100), endless(50, 1)}, Pieces: []stock.Piece{{Length: 50, Demand: 2}}},
			stock.FewestSticks, func(pl stock.Plan) bool { return pl.Sticks == 1 && pl.Cost == 100 }, "one stick"},
		// One stick either way: then the cheaper, though it wastes 20.
		"then cost": {stock.Problem{Stocks: []stock.Stock{endless(100, 9), endless(120, 8)}, Pieces: []stock.Piece{{Length: 50, Demand: 2}}},
			stock.FewestSticks, func(pl stock.Plan) bool { return pl.Sticks == 1 && pl.Cost == 8 && pl.Waste == 20 }, "one stick for 8"},
	} {
		pl := solve(t, c.p, stock.Options{Objective: c.objective, Seed: 3})
		if !c.holds(pl) || !pl.Optimal {
			t.Errorf("%s: got cost %d, %d sticks, waste %d, %d layouts, longest kept %d, optimal %v; want %s",
				name, pl.Cost, pl.Sticks, pl.Waste, len(pl.Layouts), pl.LongestKept, pl.Optimal, c.want)
		}
	}
}
