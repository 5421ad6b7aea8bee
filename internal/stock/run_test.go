package stock_test

import (
	"context"
	"testing"
	"time"

	"longpoint/internal/stock"
	"pgregory.net/rapid"
)

// By hand: a run of 200 from sticks of 120 needs one scarf. Studs at 60, 100, 130; the overlap
// of 2 is shared, so a stud at 60 gives 61 + 141 (too long), 100 gives 101 + 101, 130 131 + 71
// (too long). Only 100 will do: two sticks.
func TestRunIsSplitOnTheStudThatFits(t *testing.T) {
	t.Parallel()
	p := stock.Problem{Stocks: []stock.Stock{{Length: 120, Cost: 9, Count: stock.Unlimited}}}
	rp, err := stock.SolveRuns(context.Background(), p, []stock.Run{{Length: 200, Splits: []int64{60, 100, 130}, Lap: 2}}, stock.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := stock.Check(rp.Problem, rp.Plan); err != nil {
		t.Fatal(err)
	}
	a, b := rp.Problem.Pieces[rp.Parts[0][0]].Length, rp.Problem.Pieces[rp.Parts[0][1]].Length
	if len(rp.Joints[0]) != 1 || rp.Joints[0][0] != 100 || a != 101 || b != 101 || rp.Plan.Cost != 18 || !rp.SplitsOptimal {
		t.Errorf("got joints %v, parts %d and %d, cost %d, proven %v; want one at 100, 101 and 101, 18, true", rp.Joints, a, b, rp.Plan.Cost, rp.SplitsOptimal)
	}
}

// By hand: a run of 150 and a piece of 60 take 210, so at least three sticks of 100. An offcut of
// 50 takes the short part of a split at 50 or 100, and two sticks are enough. An offcut of 49
// is of no use: the other part of such a split would be over 100.
func TestSplitUsesTheOffcut(t *testing.T) {
	t.Parallel()
	p := stock.Problem{
		Stocks: []stock.Stock{{Length: 100, Cost: 10, Count: stock.Unlimited}},
		Pieces: []stock.Piece{{Length: 60, Demand: 1}},
	}
	run := stock.Run{Length: 150, Splits: []int64{10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140}}
	for _, c := range []struct {
		offcut, cost int64
	}{{0, 30}, {50, 20}, {49, 30}} {
		q := p
		if c.offcut > 0 {
			q.Stocks = append(q.Stocks[:1:1], stock.Stock{Length: c.offcut, Count: 1})
		}
		rp, err := stock.SolveRuns(context.Background(), q, []stock.Run{run}, stock.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := stock.Check(rp.Problem, rp.Plan); err != nil {
			t.Fatal(err)
		}
		if rp.Plan.Cost != c.cost {
			t.Errorf("offcut %d: got cost %d with joints %v, want %d", c.offcut, rp.Plan.Cost, rp.Joints, c.cost)
		}
	}
}

func TestRunRefuses(t *testing.T) {
	t.Parallel()
	p := stock.Problem{Stocks: []stock.Stock{{Length: 100, Cost: 1, Count: stock.Unlimited}}}
	for name, c := range map[string]struct {
		run  stock.Run
		code string
	}{
		"no split":        {stock.Run{Length: 101}, stock.CodePieceTooLong},
		"gap too wide":    {stock.Run{Length: 250, Splits: []int64{90, 200}}, stock.CodePieceTooLong},
		"overlap too far": {stock.Run{Length: 200, Splits: []int64{100}, Lap: 2}, stock.CodePieceTooLong},
		"outside":         {stock.Run{Length: 150, Splits: []int64{150}}, stock.CodeBadLength},
		"not ascending":   {stock.Run{Length: 150, Splits: []int64{80, 70}}, stock.CodeBadLength},
		"no length":       {stock.Run{}, stock.CodeBadLength},
		"negative lap":    {stock.Run{Length: 150, Splits: []int64{80}, Lap: -1}, stock.CodeBadLength},
		"negative extra":  {stock.Run{Length: 150, Splits: []int64{80}, Extra: -1}, stock.CodeBadCount},
	} {
		if _, err := stock.SolveRuns(context.Background(), p, []stock.Run{c.run}, stock.Options{}); codeOf(err) != c.code {
			t.Errorf("%s: got %v (%s), want %s", name, err, codeOf(err), c.code)
		}
	}
}

// Property: parts of a run add up to it and its overlaps, joints stand on allowed places, every
// part can be cut, the plan holds, and the bound over all splits is not above the best split
// found by trying every one.
func TestRunPartsAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := stock.Problem{Kerf: rapid.Int64Range(0, 2).Draw(t, "kerf"), Stocks: []stock.Stock{
			{Length: 60, Cost: rapid.Int64Range(5, 9).Draw(t, "cost"), Count: stock.Unlimited},
			{Length: 40, Cost: rapid.Int64Range(2, 6).Draw(t, "cost"), Count: stock.Unlimited},
			{Length: rapid.Int64Range(10, 50).Draw(t, "offcut"), Count: 1},
		}}
		p.Pieces = []stock.Piece{{Length: rapid.Int64Range(5, 55).Draw(t, "piece"), Demand: rapid.IntRange(0, 2).Draw(t, "demand")}}
		run := stock.Run{Length: rapid.Int64Range(40, 110).Draw(t, "length"), Lap: rapid.Int64Range(0, 3).Draw(t, "lap")}
		for x := rapid.Int64Range(8, 14).Draw(t, "first"); x < run.Length-8; x += 13 {
			run.Splits = append(run.Splits, x)
		}
		rp, err := stock.SolveRuns(context.Background(), p, []stock.Run{run}, stock.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := stock.Check(rp.Problem, rp.Plan); err != nil {
			t.Fatal(err)
		}
		sum := int64(0)
		for _, i := range rp.Parts[0] {
			sum += rp.Problem.Pieces[i].Length
		}
		if want := run.Length + run.Lap*int64(len(rp.Joints[0])); sum != want {
			t.Fatalf("parts add up to %d, want %d", sum, want)
		}
		// every set of joints of the same number, the parts by the rule in words
		n := len(rp.Joints[0])
		best := int64(-1)
		for set := range 1 << len(run.Splits) {
			var at []int64
			for k, x := range run.Splits {
				if set>>k&1 == 1 {
					at = append(at, x)
				}
			}
			if len(at) != n {
				continue
			}
			q := p
			q.Pieces = append(q.Pieces[:1:1], stock.Piece{})
			q.Pieces = q.Pieces[:1]
			start, ok := int64(0), true
			for _, x := range append(at, -1) {
				end := run.Length
				if x >= 0 {
					end = x + (run.Lap+1)/2
				}
				ok = ok && end-start <= 60 && end-start > 2*run.Lap && end-start >= p.Kerf
				q.Pieces = append(q.Pieces, stock.Piece{Length: end - start, Demand: 1})
				start = x - run.Lap/2
			}
			if !ok {
				continue
			}
			if c := cheapest(q, false); c >= 0 && (best < 0 || c < best) {
				best = c
			}
		}
		if rp.Plan.Cost != best {
			t.Fatalf("got cost %d with joints %v, want %d, the best single-run split", rp.Plan.Cost, rp.Joints, best)
		}
		if rp.AnyBound > best || (rp.SplitsOptimal && rp.Plan.Cost != best) {
			t.Fatalf("bound %d, proven %v, best %d", rp.AnyBound, rp.SplitsOptimal, best)
		}
	})
}

// A house's worth of long runs is split within a bounded time.
func TestManyRunsAreBounded(t *testing.T) {
	t.Parallel()
	p := stock.Problem{Kerf: 3, Stocks: []stock.Stock{{Length: 4877, Cost: 48, Count: stock.Unlimited}, {Length: 3658, Cost: 36, Count: stock.Unlimited}}}
	var runs []stock.Run
	for i := range int64(12) {
		r := stock.Run{Length: 5200 + 317*i, Lap: 14}
		for x := int64(200 + 31*i); x < r.Length; x += 406 {
			r.Splits = append(r.Splits, x)
		}
		runs = append(runs, r)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	rp, err := stock.SolveRuns(ctx, p, runs, stock.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := stock.Check(rp.Problem, rp.Plan); err != nil {
		t.Fatal(err)
	}
	if rp.Plan.Cost < rp.AnyBound || float64(rp.Plan.Cost) > 1.1*float64(rp.AnyBound) {
		t.Errorf("got cost %d, want within a tenth above the bound %d", rp.Plan.Cost, rp.AnyBound)
	}
	t.Logf("cost %d, bound over all splits %d, %d choices tried", rp.Plan.Cost, rp.AnyBound, rp.Tried)
}
