package stock_test

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"longpoint/internal/stock"
)

func solve(t *testing.T, p stock.Problem, o stock.Options) stock.Plan {
	t.Helper()
	plan, err := stock.Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := stock.Check(p, plan); err != nil {
		t.Fatal(err)
	}
	return plan
}

func codeOf(err error) string {
	var e *stock.Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// The kerf rule at its edge, by hand: three pieces of 32 and two kerfs of 2 take exactly 100;
// one unit less of stick and the third piece needs another.
func TestKerfBetweenPiecesOnly(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		length, trim int64
		sticks       int
	}{{100, 0, 1}, {99, 0, 2}, {105, 5, 1}, {104, 5, 2}, {101, 0, 1}} {
		p := stock.Problem{
			Stocks: []stock.Stock{{Length: c.length, Cost: 7, Count: stock.Unlimited}},
			Pieces: []stock.Piece{{Length: 32, Demand: 3}}, Kerf: 2, EndTrim: c.trim,
		}
		plan := solve(t, p, stock.Options{})
		if plan.Sticks != c.sticks || plan.Cost != int64(7*c.sticks) || !plan.Optimal {
			t.Errorf("stick %d trim %d: got %d sticks, cost %d, optimal %v; want %d sticks", c.length, c.trim, plan.Sticks, plan.Cost, plan.Optimal, c.sticks)
		}
	}
}

// By hand: from an offcut of 70 at no cost, sticks of 100 at 10 and 60 at 5. Pieces 60, 40, 60:
// the offcut takes a 60; the other 60 and the 40 fit one 100 (10), which two 60s (10) tie;
// with the 60 at 4 those win at 8.
func TestOffcutsAndPrices(t *testing.T) {
	t.Parallel()
	p := stock.Problem{
		Stocks: []stock.Stock{{Length: 70, Count: 1}, {Length: 100, Cost: 10, Count: stock.Unlimited}, {Length: 60, Cost: 4, Count: stock.Unlimited}},
		Pieces: []stock.Piece{{Length: 60, Demand: 2}, {Length: 40, Demand: 1}},
	}
	if plan := solve(t, p, stock.Options{}); plan.Cost != 8 || !plan.Optimal {
		t.Errorf("got cost %d, optimal %v, want 8", plan.Cost, plan.Optimal)
	}
	p.Stocks[2].Cost = 6
	if plan := solve(t, p, stock.Options{}); plan.Cost != 10 || !plan.Optimal {
		t.Errorf("got cost %d, optimal %v, want 10", plan.Cost, plan.Optimal)
	}
	if plan := solve(t, p, stock.Options{Objective: stock.FewestSticks}); plan.Sticks != 2 || plan.LowerBound != 2 || !plan.Optimal {
		t.Errorf("got %d sticks, bound %d, want 2", plan.Sticks, plan.LowerBound)
	}
}

// Pieces of one length asked for in two entries, as two rooms do, are both met, and stay apart.
func TestEntriesOfOneLength(t *testing.T) {
	t.Parallel()
	p := stock.Problem{
		Stocks: []stock.Stock{{Length: 100, Cost: 1, Count: 3}, {Length: 100, Cost: 1, Count: 9}},
		Pieces: []stock.Piece{{Length: 50, Demand: 3, Label: "hall"}, {Length: 25, Demand: 2}, {Length: 50, Demand: 5, Label: "bath"}},
	}
	if plan := solve(t, p, stock.Options{}); plan.Cost != 5 || !plan.Optimal {
		t.Errorf("got cost %d, want 5", plan.Cost)
	}
}

// By hand: 60+30 and 50+20 in two sticks of 100 leave 10 and 30; 60+20 and 50+30 leave 20 and
// 20; 50+30+20 and 60 leave 0 and 40, which is worth keeping: no waste at all.
func TestWasteIsWeighedAfterCost(t *testing.T) {
	t.Parallel()
	p := stock.Problem{
		Stocks: []stock.Stock{{Length: 100, Cost: 1, Count: stock.Unlimited}},
		Pieces: []stock.Piece{{Length: 60, Demand: 1}, {Length: 50, Demand: 1}, {Length: 30, Demand: 1}, {Length: 20, Demand: 1}}, LeastOffcut: 40,
	}
	plan := solve(t, p, stock.Options{})
	if plan.Cost != 2 || plan.Waste != 0 || plan.LongestKept != 40 {
		t.Errorf("got cost %d, waste %d, longest kept %d; want 2, 0, 40", plan.Cost, plan.Waste, plan.LongestKept)
	}
	want := []stock.Measure{stock.MeasureCost, stock.MeasureWaste}
	if !reflect.DeepEqual(plan.Proven, want) {
		t.Errorf("got proven %v, want %v", plan.Proven, want)
	}
}

func TestBadInputIsASentence(t *testing.T) {
	t.Parallel()
	good := func() stock.Problem {
		return stock.Problem{
			Stocks: []stock.Stock{{Length: 100, Cost: 10, Count: stock.Unlimited}},
			Pieces: []stock.Piece{{Length: 40, Demand: 2}}, Kerf: 3,
		}
	}
	for _, c := range []struct {
		name, code string
		spoil      func(p *stock.Problem)
	}{
		{"no stock", stock.CodeNoStock, func(p *stock.Problem) { p.Stocks = nil }},
		{"none left", stock.CodeNoStock, func(p *stock.Problem) { p.Stocks[0].Count = 0 }},
		{"zero length stick", stock.CodeBadLength, func(p *stock.Problem) { p.Stocks[0].Length = 0 }},
		{"endless stick", stock.CodeBadLength, func(p *stock.Problem) { p.Stocks[0].Length = 1<<63 - 1 }},
		{"negative piece", stock.CodeBadLength, func(p *stock.Problem) { p.Pieces[0].Length = -5 }},
		{"endless piece", stock.CodeBadLength, func(p *stock.Problem) { p.Pieces[0].Length = 1<<63 - 1 }},
		{"negative demand", stock.CodeBadCount, func(p *stock.Problem) { p.Pieces[0].Demand = -1 }},
		{"negative kerf", stock.CodeBadLength, func(p *stock.Problem) { p.Kerf = -1 }},
		{"endless kerf", stock.CodeBadLength, func(p *stock.Problem) { p.Kerf = 1<<63 - 1 }},
		{"wide kerf", stock.CodeKerfTooWide, func(p *stock.Problem) { p.Kerf = 41 }},
		{"endless trim", stock.CodeBadLength, func(p *stock.Problem) { p.EndTrim = 1<<63 - 1 }},
		{"trim eats the stick", stock.CodePieceTooLong, func(p *stock.Problem) { p.EndTrim = 61 }},
		{"piece too long", stock.CodePieceTooLong, func(p *stock.Problem) { p.Pieces[0].Length = 101 }},
		{"no price", stock.CodeNoPrice, func(p *stock.Problem) { p.Stocks[0].Cost = stock.NoPrice }},
		{"negative price", stock.CodeBadPrice, func(p *stock.Problem) { p.Stocks[0].Cost = -2 }},
		{"endless price", stock.CodeBadPrice, func(p *stock.Problem) { p.Stocks[0].Cost = 1<<63 - 1 }},
		{"negative count", stock.CodeBadCount, func(p *stock.Problem) { p.Stocks[0].Count = -2 }},
		{"too many pieces", stock.CodeTooMany, func(p *stock.Problem) { p.Pieces[0].Demand = 1<<63 - 1 }},
		{"not enough", stock.CodeNotEnoughStock, func(p *stock.Problem) { p.Stocks[0].Count, p.Pieces[0].Demand = 2, 5 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := good()
			c.spoil(&p)
			_, err := stock.Solve(context.Background(), p, stock.Options{})
			if codeOf(err) != c.code {
				t.Fatalf("got %v (%s), want %s", err, codeOf(err), c.code)
			}
			if s := err.Error(); !strings.HasSuffix(s, ".") || len(s) < 20 {
				t.Errorf("not a sentence: %q", s)
			}
		})
	}
	p := good()
	p.Stocks[0].Cost = stock.NoPrice
	if plan := solve(t, p, stock.Options{Objective: stock.FewestSticks}); plan.Sticks != 1 {
		t.Errorf("fewest sticks without prices: got %d, want 1", plan.Sticks)
	}
	p.Pieces = nil
	if plan := solve(t, p, stock.Options{Objective: stock.FewestSticks}); !plan.Optimal || plan.Sticks != 0 {
		t.Errorf("no pieces: got %+v, want an optimal plan of no sticks", plan)
	}
}

// The dearest and longest that pass Validate must not overflow a sum.
func TestLargestNumbers(t *testing.T) {
	t.Parallel()
	p := stock.Problem{
		Stocks: []stock.Stock{{Length: stock.MaxLength, Cost: stock.MaxCost, Count: stock.Unlimited}},
		Pieces: []stock.Piece{{Length: stock.MaxLength, Demand: stock.MaxPieces / 2}, {Length: stock.MaxLength/2 + 1, Demand: stock.MaxPieces / 2}},
	}
	plan := solve(t, p, stock.Options{Work: 1e9})
	if want := int64(stock.MaxCost) * stock.MaxPieces; plan.Cost != want || !plan.Optimal {
		t.Errorf("got cost %d, optimal %v, want %d", plan.Cost, plan.Optimal, want)
	}
}

// A hundred thousand pieces get a bounded answer: few lengths an exact one, as many lengths
// as pieces a filled one with the gap.
func TestHundredThousandPieces(t *testing.T) {
	t.Parallel()
	few := stock.Problem{Stocks: []stock.Stock{{Length: 4_877, Cost: 31, Count: stock.Unlimited}, {Length: 3_658, Cost: 22, Count: stock.Unlimited}}, Kerf: 3}
	for i := range int64(25) {
		few.Pieces = append(few.Pieces, stock.Piece{Length: 400 + 131*i, Demand: 4000})
	}
	many := few
	many.Pieces = nil
	for i := range int64(100_000) {
		many.Pieces = append(many.Pieces, stock.Piece{Length: 500 + i*7919%3000, Demand: 1})
	}
	for name, p := range map[string]stock.Problem{"few": few, "many": many} {
		ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		start := time.Now()
		plan, err := stock.Solve(ctx, p, stock.Options{})
		took := time.Since(start)
		cancel()
		if err != nil {
			t.Fatal(name, err)
		}
		if err := stock.Check(p, plan); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if took > 6*time.Second {
			t.Errorf("%s: took %v, want about 3 s at most", name, took)
		}
		if gap := float64(plan.Gap) / float64(plan.Cost); gap > 0.05 {
			t.Errorf("%s: got a gap of %.3f, want under 0.05", name, gap)
		}
	}
}

// A context that ends stops the search at once, with a plan that holds and an honest gap.
func TestCancelGivesTheBestSoFar(t *testing.T) {
	t.Parallel()
	p := stock.Problem{Stocks: []stock.Stock{{Length: 100_000, Cost: 1, Count: stock.Unlimited}}}
	for i := range int64(200) {
		p.Pieces = append(p.Pieces, stock.Piece{Length: 20_000 + i*7919%15_000, Demand: 1})
	}
	ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	plan, err := stock.Solve(ctx, p, stock.Options{})
	<-ctx.Done()
	if err != nil {
		t.Fatal(err)
	}
	if err := stock.Check(p, plan); err != nil {
		t.Error(err)
	}
	if plan.LowerBound <= 0 || plan.LowerBound > plan.Cost {
		t.Errorf("got bound %d for cost %d", plan.LowerBound, plan.Cost)
	}
	done, stop := context.WithCancel(context.Background())
	stop()
	if _, err := stock.Solve(done, p, stock.Options{}); err != nil {
		t.Errorf("ended before it began: %v, want the first plan", err)
	}
}

// Work bounds the search reproducibly: the same problem, seed and work give the same plan.
func TestSameSeedSamePlan(t *testing.T) {
	t.Parallel()
	p := stock.Problem{Stocks: []stock.Stock{{Length: 1000, Cost: 1, Count: stock.Unlimited}}}
	for i := range int64(150) {
		p.Pieces = append(p.Pieces, stock.Piece{Length: 50 + i*i*31%650, Demand: 1 + int(i%2)})
	}
	for _, work := range []int64{2e7, 3e8} {
		a := solve(t, p, stock.Options{Seed: 5, Work: work})
		b := solve(t, p, stock.Options{Seed: 5, Work: work})
		if !reflect.DeepEqual(a, b) {
			t.Errorf("work %d: two runs differ:\n%+v\n%+v", work, a, b)
		}
	}
}

// Check must refuse what cannot be cut; each change spoils a plan that holds.
func TestCheckRefusesSpoiledPlans(t *testing.T) {
	t.Parallel()
	p := stock.Problem{
		Stocks: []stock.Stock{{Length: 100, Cost: 3, Count: 2}, {Length: 60, Cost: 2, Count: stock.Unlimited}},
		Pieces: []stock.Piece{{Length: 45, Demand: 2}, {Length: 30, Demand: 1}}, Kerf: 5, LeastOffcut: 10,
	}
	good := solve(t, p, stock.Options{})
	for name, spoil := range map[string]func(pl *stock.Plan){
		"cost":           func(pl *stock.Plan) { pl.Cost-- },
		"sticks":         func(pl *stock.Plan) { pl.Sticks++ },
		"waste":          func(pl *stock.Plan) { pl.Waste++ },
		"kept":           func(pl *stock.Plan) { pl.KeptLength++ },
		"times":          func(pl *stock.Plan) { pl.Layouts[0].Times++ },
		"no times":       func(pl *stock.Plan) { pl.Layouts[0].Times = 0 },
		"remainder":      func(pl *stock.Plan) { pl.Layouts[0].Remainder++ },
		"unknown stock":  func(pl *stock.Plan) { pl.Layouts[0].Stock = 7 },
		"unknown piece":  func(pl *stock.Plan) { pl.Layouts[0].Pieces[0].Piece = -1 },
		"too much":       func(pl *stock.Plan) { pl.Layouts[0].Pieces[0].Count++ },
		"endless":        func(pl *stock.Plan) { pl.Layouts[0].Pieces[0].Count = 1 << 62 },
		"endless times":  func(pl *stock.Plan) { pl.Layouts[0].Times = 1 << 62 },
		"layout missing": func(pl *stock.Plan) { pl.Layouts = pl.Layouts[1:] },
		"empty layout":   func(pl *stock.Plan) { pl.Layouts[0].Pieces = nil },
		"false optimal":  func(pl *stock.Plan) { pl.Gap = 1 },
	} {
		bad := good
		bad.Layouts = nil
		for _, l := range good.Layouts {
			l.Pieces = append([]stock.PieceCount(nil), l.Pieces...)
			bad.Layouts = append(bad.Layouts, l)
		}
		spoil(&bad)
		if err := stock.Check(p, bad); codeOf(err) != stock.CodeBadPlan {
			t.Errorf("%s: got %v, want %s", name, err, stock.CodeBadPlan)
		}
	}
}
