package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/stock"
)

const stockHelp = `
The file holds whole numbers of any one unit, in one of two plain forms. One length of stick,
as few as can be, no kerf:
    3          lengths of piece there are
    100        length of a stick
    50 10      a piece's length, and how many are wanted: 3 lines
    45 10
    20 5
Or sticks of several lengths, with prices, kerf and offcuts on hand, lines in any order:
    # comment
    kerf 3
    trim 10                 cut off every stick before the first piece
    least 300               shortest offcut worth keeping
    stock 3000 450 -1       length, price, and how many there are; -1 for no limit
    piece 1200 4            length, and how many are wanted
lower_bound is proven: no plan is below it. It counts price, or sticks with --fewest-sticks;
a file of one length has sticks of price 1. Ctrl-C prints the best plan so far.`

const (
	// mostInstance lets in every instance the planner takes: stock.MaxPieces lines of two
	// numbers are under 24 MiB.
	mostInstance   = 32 << 20
	defaultSeconds = 10
	mostSeconds    = 24 * 60 * 60
)

// stockAnswer is a plan with its proof. Lengths and prices are in the file's own units.
type stockAnswer struct {
	Objective   stock.Objective `json:"objective"` // what lower_bound and optimal are about
	Sticks      int             `json:"sticks"`
	LowerBound  int64           `json:"lower_bound"`
	Gap         int64           `json:"gap"`
	Optimal     bool            `json:"optimal"`
	Ended       ending          `json:"ended"`
	Seconds     float64         `json:"seconds"`
	Cost        int64           `json:"cost"`
	Waste       int64           `json:"waste"`
	KeptLength  int64           `json:"kept_length"`
	LongestKept int64           `json:"longest_kept"`
	Proven      []stock.Measure `json:"proven"`
	Method      string          `json:"method"`
	Layouts     []stockLayout   `json:"layouts"`
}

type stockLayout struct {
	Stock       int          `json:"stock"` // from 0, in the file's order
	StockLength int64        `json:"stock_length"`
	Times       int          `json:"times"`
	Pieces      []stockPiece `json:"pieces"`
	Remainder   int64        `json:"remainder"`
	Kept        bool         `json:"kept"`
}

type stockPiece struct {
	Piece  int   `json:"piece"` // from 0, in the file's order
	Length int64 `json:"length"`
	Count  int   `json:"count"`
}

// ending is why the search ended.
type ending string

const (
	endedProof     ending = "proof"
	endedSearch    ending = "search" // tried all it knows, with the gap open
	endedTime      ending = "time"
	endedInterrupt ending = "interrupt"
)

type solver func(context.Context, stock.Problem, stock.Options) (stock.Plan, error)

func stockSolve(ctx context.Context, c *call) error { return solveStock(ctx, c, stock.Solve) }

func solveStock(ctx context.Context, c *call, solve solver) error {
	seconds := c.Float64("seconds", defaultSeconds, "time to search for, at most, in `seconds`")
	fewest := c.Bool("fewest-sticks", false, "use as few sticks as can be, not the lowest price")
	asJSON := c.Bool("json", false, "print JSON")
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if math.IsNaN(*seconds) || *seconds <= 0 || *seconds > mostSeconds {
		return misused("The seconds are more than 0 and at most %d.", mostSeconds)
	}
	text, err := c.read(ctx, c.args[0], mostInstance)
	if err != nil {
		return err
	}
	p, err := stock.ParseInstance(text)
	if err != nil {
		return err
	}
	o := stock.Options{Objective: stock.Cost}
	if *fewest {
		o.Objective = stock.FewestSticks
	}
	plan, how, took, err := planStock(ctx, p, o, *seconds, solve)
	if err != nil {
		return err
	}
	a := answerStock(p, plan, o.Objective, how, took)
	if *asJSON {
		return c.printJSON(a)
	}
	return c.printStock(p, plan, a)
}

// planStock solves within the time given. No plan leaves it that stock.Check has not passed.
func planStock(ctx context.Context, p stock.Problem, o stock.Options, seconds float64, solve solver) (plan stock.Plan, how ending, took time.Duration, err error) {
	within, stop := context.WithTimeout(ctx, time.Duration(seconds*float64(time.Second)))
	defer stop()
	start := time.Now()
	plan, err = solve(within, p, o)
	took = time.Since(start)
	if err != nil {
		return stock.Plan{}, "", took, err
	}
	if err := stock.Check(p, plan); err != nil {
		return stock.Plan{}, "", took, &app.Problem{Sentence: "The plan found does not hold and is not printed: " + err.Error(), Err: err}
	}
	how = endedSearch
	switch {
	case plan.Optimal:
		how = endedProof
	case ctx.Err() != nil:
		how = endedInterrupt
	case within.Err() != nil:
		how = endedTime
	}
	return plan, how, took, nil
}

func answerStock(p stock.Problem, plan stock.Plan, o stock.Objective, how ending, took time.Duration) stockAnswer {
	a := stockAnswer{
		Objective: o, Sticks: plan.Sticks, LowerBound: plan.LowerBound, Gap: plan.Gap, Optimal: plan.Optimal, Ended: how,
		Seconds: float64(took.Microseconds()) / 1e6, Cost: plan.Cost, Waste: plan.Waste, KeptLength: plan.KeptLength,
		LongestKept: plan.LongestKept, Proven: plan.Proven, Method: plan.Method, Layouts: make([]stockLayout, 0, len(plan.Layouts)),
	}
	for _, l := range plan.Layouts {
		out := stockLayout{Stock: l.Stock, StockLength: p.Stocks[l.Stock].Length, Times: l.Times, Remainder: l.Remainder, Kept: l.Kept}
		for _, pc := range l.Pieces {
			out.Pieces = append(out.Pieces, stockPiece{Piece: pc.Piece, Length: p.Pieces[pc.Piece].Length, Count: pc.Count})
		}
		a.Layouts = append(a.Layouts, out)
	}
	return a
}

// read reads the named file, or standard input for "-", and stops waiting when ctx ends: a
// terminal that nobody types on would otherwise hold the program past Ctrl-C.
func (c *call) read(ctx context.Context, name string, most int64) ([]byte, error) {
	from := c.in
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, unreadable(name, err)
		}
		defer func() { _ = f.Close() }()
		from = f
	}
	type answer struct {
		data []byte
		err  error
	}
	done := make(chan answer, 1)
	go func() {
		data, err := io.ReadAll(io.LimitReader(from, most+1))
		done <- answer{data, err}
	}()
	var a answer
	select {
	case a = <-done:
	case <-ctx.Done():
		// Both may be ready; what has been read is then still used.
		select {
		case a = <-done:
		default:
			return nil, ctx.Err()
		}
	}
	switch {
	case a.err != nil:
		return nil, unreadable(name, a.err)
	case int64(len(a.data)) > most:
		return nil, &app.Problem{Sentence: fmt.Sprintf("That is more than is read at once: at most %d MiB.", most>>20)}
	}
	return a.data, nil
}

func unreadable(name string, err error) error {
	what := "The file " + name
	if name == "-" {
		what = "Standard input"
	}
	why := "cannot be read."
	if errors.Is(err, os.ErrNotExist) {
		why = "is not there."
	}
	return &app.Problem{Sentence: what + " " + why, Err: err}
}
