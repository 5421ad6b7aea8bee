package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/stock"
)

const house = "# a priced house with an offcut\nkerf 3\ntrim 10\nleast 300\nstock 3000 450 -1\nstock 2400 350 -1\nstock 900 0 1\n" +
	"piece 1200 4\npiece 85 10\npiece 820 1\npiece 1900 2\n"

// The rolls of 100 of V. Chvátal, Linear Programming (1983), chapter 13, as commonly quoted:
// 453 rolls, the linear program's bound being 452.25.
const rolls = "4\n100\n45 97\n36 610\n31 395\n14 211\n"

// golden compares with a file; timings are not the same twice and are taken out first.
func golden(t *testing.T, name, got string) {
	t.Helper()
	got = regexp.MustCompile(`\d+\.\d+ s\b`).ReplaceAllString(got, "N s")
	got = regexp.MustCompile(`"seconds": [0-9.e-]+`).ReplaceAllString(got, `"seconds": 0`)
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want := readFile(t, path); got != want {
		t.Errorf("got\n%s\nwant %s (-update writes it anew)\n%s", got, path, want)
	}
}

func TestStockSolvePrints(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		in   string
		args []string
	}{
		"stock.txt":        {house, nil},
		"stock-sticks.txt": {house, []string{"--fewest-sticks"}},
		"stock.json":       {house, []string{"--json"}},
		"stock-rolls.txt":  {rolls, nil},
	} {
		got := longpoint(context.Background(), nil, c.in, append([]string{"stock", "solve", "-"}, c.args...)...)
		if got.code != exitDone || got.err != "" {
			t.Errorf("%s: got code %d, %q, want 0 and nothing on standard error", name, got.code, got.err)
		}
		golden(t, name, got.out)
	}
}

// solved is the JSON as a script reads it.
type solved struct {
	Objective  string
	Sticks     *int
	LowerBound *int64 `json:"lower_bound"`
	Gap        *int64
	Optimal    *bool
	Ended      string
	Seconds    *float64
	Cost       *int64
	Waste      *int64
	Layouts    []struct {
		Stock       int
		StockLength int64 `json:"stock_length"`
		Times       int
		Pieces      []struct {
			Piece, Count int
			Length       int64
		}
	}
}

// TestEveryLayoutCanBeCut checks what is printed against the file's own words, with none of
// the planner's code.
func TestEveryLayoutCanBeCut(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text       string
		args       []string
		sticks     int
		lowerBound int64
	}{
		// By hand: 50s and 45s go two to a stick, 20s five: 5 + 5 + 1, and 1050 in all is more than ten sticks.
		"one length": {"3\r\n100\r\n50 10\r\n45 10\r\n20 5\r\n", nil, 11, 11},
		"rolls":      {rolls, nil, 453, 453},
		// By hand: 800 is on hand for nothing; the two 700s take a 1400 (10) with its kerf to spare, not two 800s (12).
		"prices": {"kerf 2\nstock 800 6 -1\nstock 1402 10 -1\nstock 800 0 1\npiece 700 2\npiece 790 1\n", nil, 2, 10},
		// By hand, counting sticks: the same two; no single stick holds 2190.
		"fewest": {"kerf 2\nstock 800 6 -1\nstock 1402 10 -1\nstock 800 0 1\npiece 700 2\npiece 790 1\n", []string{"--fewest-sticks"}, 2, 2},
	} {
		got := longpoint(context.Background(), nil, c.text, append([]string{"stock", "solve", "--json", "-"}, c.args...)...)
		var a solved
		if err := json.Unmarshal([]byte(got.out), &a); err != nil || got.code != exitDone {
			t.Fatalf("%s: got code %d, %s (%v)", name, got.code, got.err, err)
		}
		if a.Sticks == nil || a.LowerBound == nil || a.Gap == nil || a.Optimal == nil || a.Seconds == nil || a.Cost == nil || a.Waste == nil {
			t.Fatalf("%s: got %s, want every field there", name, got.out)
		}
		if *a.Sticks != c.sticks || *a.LowerBound != c.lowerBound || !*a.Optimal || *a.Gap != 0 || a.Ended != "proof" {
			t.Errorf("%s: got %d sticks, bound %d, optimal %v, %s; want %d, %d, proven", name, *a.Sticks, *a.LowerBound, *a.Optimal, a.Ended, c.sticks, c.lowerBound)
		}
		recheck(t, name, c.text, a)
	}
}

type stickOf struct{ length, price, count int64 }

// recheck reads the file anew and cuts every layout on paper.
func recheck(t *testing.T, name, text string, a solved) {
	t.Helper()
	sticks, pieces, kerf, trim := readAnew(text)
	made, taken := make([]int64, len(pieces)), make([]int64, len(sticks))
	var cost, used, n int64
	for _, l := range a.Layouts {
		s := sticks[l.Stock]
		need, parts := trim, int64(0)
		for _, p := range l.Pieces {
			if p.Length != pieces[p.Piece].length {
				t.Errorf("%s: piece %d: got length %d, want %d", name, p.Piece, p.Length, pieces[p.Piece].length)
			}
			need, parts = need+p.Length*int64(p.Count), parts+int64(p.Count)
			made[p.Piece] += int64(p.Count * l.Times)
			used += p.Length * int64(p.Count*l.Times)
		}
		if need += kerf * (parts - 1); need > s.length || l.StockLength != s.length {
			t.Errorf("%s: a layout needs %d of a stick of %d (printed %d)", name, need, s.length, l.StockLength)
		}
		taken[l.Stock] += int64(l.Times)
		cost, n = cost+s.price*int64(l.Times), n+int64(l.Times)
	}
	for i, p := range pieces {
		if made[i] != p.count {
			t.Errorf("%s: piece %d: got %d, want %d", name, i, made[i], p.count)
		}
	}
	for i, s := range sticks {
		if s.count >= 0 && taken[i] > s.count {
			t.Errorf("%s: stick %d: %d taken of %d", name, i, taken[i], s.count)
		}
	}
	if *a.Cost != cost || int64(*a.Sticks) != n {
		t.Errorf("%s: got cost %d and %d sticks, want %d and %d", name, *a.Cost, *a.Sticks, cost, n)
	}
}

func readAnew(text string) (sticks, pieces []stickOf, kerf, trim int64) {
	num := func(s string) int64 { n, _ := strconv.ParseInt(s, 10, 64); return n }
	f := strings.Fields(text)
	if n := num(f[0]); n > 0 {
		sticks = []stickOf{{num(f[1]), 1, -1}}
		for i := range int(n) {
			pieces = append(pieces, stickOf{length: num(f[2+2*i]), count: num(f[3+2*i])})
		}
		return sticks, pieces, 0, 0
	}
	for _, line := range strings.Split(text, "\n") {
		switch f := strings.Fields(line + " -"); f[0] {
		case "kerf":
			kerf = num(f[1])
		case "trim":
			trim = num(f[1])
		case "stock":
			sticks = append(sticks, stickOf{num(f[1]), num(f[2]), num(f[3])})
		case "piece":
			pieces = append(pieces, stickOf{length: num(f[1]), count: num(f[2])})
		}
	}
	return sticks, pieces, kerf, trim
}

// solveWith runs the command with a planner of the test's own.
func solveWith(ctx context.Context, text string, solve solver, args ...string) (string, error) {
	var out strings.Builder
	cmd := command{name: "solve", run: func(ctx context.Context, c *call) error { return solveStock(ctx, c, solve) }}
	err := start(ctx, cmd, []string{"longpoint"}, append([]string{"-"}, args...), system{in: strings.NewReader(text), out: &out, err: io.Discard})
	return out.String(), err
}

// TestNoPlanIsPrintedUnchecked spoils a good plan in every way a planner might.
func TestNoPlanIsPrintedUnchecked(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*stock.Plan){
		"":                          func(*stock.Plan) {},
		"one stick too many":        func(pl *stock.Plan) { pl.Layouts[0].Times++ },
		"a layout left out":         func(pl *stock.Plan) { pl.Layouts = pl.Layouts[1:] },
		"a piece too many":          func(pl *stock.Plan) { pl.Layouts[0].Pieces[0].Count++ },
		"a stick that is not there": func(pl *stock.Plan) { pl.Layouts[0].Stock = 7 },
		"a price understated":       func(pl *stock.Plan) { pl.Cost-- },
		"a waste understated":       func(pl *stock.Plan) { pl.Waste-- },
		"called best with a gap":    func(pl *stock.Plan) { pl.Gap++ },
	} {
		solve := func(ctx context.Context, p stock.Problem, o stock.Options) (stock.Plan, error) {
			pl, err := stock.Solve(ctx, p, o)
			spoil(&pl)
			return pl, err
		}
		for _, args := range [][]string{nil, {"--json"}} {
			out, err := solveWith(context.Background(), house, solve, args...)
			switch {
			case name == "" && (err != nil || out == ""):
				t.Errorf("an unspoilt plan: got %v, %q, want it printed", err, out)
			case name != "" && (err == nil || out != "" || !strings.HasPrefix(sentenceOf(err), "The plan found does not hold")):
				t.Errorf("%s: got %v and printed %q, want it refused", name, err, out)
			}
		}
	}
}

// TestWhyTheSearchEnded gives two sticks where one would do, with the gap stated.
func TestWhyTheSearchEnded(t *testing.T) {
	t.Parallel()
	open := stock.Plan{Layouts: []stock.Layout{{Times: 2, Pieces: []stock.PieceCount{{Count: 1}}, Remainder: 50}},
		Cost: 2, Sticks: 2, LowerBound: 1, Gap: 1, Waste: 100}
	for want, says := range map[ending]string{
		endedSearch: "by itself", endedTime: "More --seconds", endedInterrupt: "best plan so far",
	} {
		for _, asJSON := range []bool{true, false} {
			ctx, interrupt := context.WithCancel(context.Background())
			seconds := "60"
			if want == endedTime {
				seconds = "0.001"
			}
			solve := func(within context.Context, _ stock.Problem, _ stock.Options) (stock.Plan, error) {
				switch want {
				case endedTime:
					if by, has := within.Deadline(); !has || time.Until(by) > time.Second {
						t.Errorf("a millisecond to search in: got until %v (there %v)", by, has)
						return open, nil
					}
					<-within.Done()
				case endedInterrupt:
					interrupt()
					<-within.Done()
				}
				return open, nil
			}
			out, err := solveWith(ctx, "1 100 50 2", solve, "--seconds", seconds, "--json="+strconv.FormatBool(asJSON))
			interrupt()
			if err != nil {
				t.Errorf("%s: got %v, want the plan printed", want, err)
				continue
			}
			if !asJSON {
				if !strings.Contains(out, says) || !strings.Contains(out, "no plan takes fewer than 1 (gap 1 of 2)") {
					t.Errorf("%s: got %s, want it to say %q and the gap", want, out, says)
				}
				continue
			}
			var a solved
			if err := json.Unmarshal([]byte(out), &a); err != nil {
				t.Fatal(err)
			}
			if a.Ended != string(want) || *a.Optimal || *a.LowerBound != 1 {
				t.Errorf("got ended %q, optimal %v, bound %d, want %q, false, 1", a.Ended, *a.Optimal, *a.LowerBound, want)
			}
		}
	}
}

func TestStockDrawnToScale(t *testing.T) {
	t.Parallel()
	// 60 columns for 600: a trim of 20, pieces of 200 and 100 with a kerf of 10 between, and
	// from 340, after the cut that frees the last piece, an offcut of 260.
	p := stock.Problem{Kerf: 10, EndTrim: 20, LeastOffcut: 100, Stocks: []stock.Stock{{Length: 600}},
		Pieces: []stock.Piece{{Length: 200, Demand: 1}, {Length: 100, Demand: 1}}}
	l := stock.Layout{Times: 1, Pieces: []stock.PieceCount{{Piece: 0, Count: 1}, {Piece: 1, Count: 1}}, Remainder: 260, Kept: true}
	want := "|·|" + strings.Repeat("━", 19) + "||" + strings.Repeat("━", 9) + "|" + strings.Repeat("─", 26) + "|"
	if got := drawnStick(p, l, 600); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	l.Kept = false
	if got := drawnStick(p, l, 1200); len([]rune(got)) != 31 || strings.Contains(got, "─") {
		t.Errorf("half as long as the longest: got %s, want 31 columns and no offcut", got)
	}
}

func TestStockRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		in   string
		args []string
		code int
		says string
	}{
		{"", nil, 1, "empty"},
		{"3 100 50 2", nil, 1, "announces 3"},
		{"1 100 50 2.5", nil, 1, "not a whole number"},
		{"stick 100 1 -1", nil, 1, `begins with "stick"`},
		{"kerf 3\nstock 100 1\npiece 5 1", nil, 1, "Line 2: stock takes 3"},
		{"stock 100 1 -1\npiece 200 1", nil, 1, "longest usable stick"},
		{"stock 0 1 -1\npiece 200 1", nil, 1, "more than zero"},
		{"piece 200 1", nil, 1, "no stick"},
		{"kerf 30\nstock 100 1 -1\npiece 20 1", nil, 1, "kerf"},
		{"stock 100 -1 -1\npiece 20 1", nil, 1, "no price"},
		{"stock 100 -1 -1\npiece 20 1", []string{"--fewest-sticks"}, 0, ""},
		{"stock 100 5 1\npiece 60 2", nil, 1, "cannot yield"},
		{"0 100", nil, 0, ""},
		{rolls, []string{"--seconds", "0"}, 2, "more than 0"},
		{rolls, []string{"--seconds", "NaN"}, 2, "more than 0"},
		{rolls, []string{"--seconds", "1e9"}, 2, "at most 86400"},
		{rolls, []string{"--seconds", "soon"}, 2, "seconds"},
		{rolls, []string{"again"}, 2, "one word too many"},
	} {
		got := longpoint(context.Background(), nil, c.in, append([]string{"stock", "solve", "-"}, c.args...)...)
		if got.code != c.code || !strings.Contains(got.err, c.says) || c.code != 0 && got.out != "" {
			t.Errorf("%q %q: got %d, %q, want %d and %q", c.in, c.args, got.code, got.err, c.code, c.says)
		}
		if c.code != 0 {
			checkSentence(t, c.in, got)
		}
	}
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"stock", "solve", "/nowhere/at/all"}, 1, "is not there"},
		{[]string{"stock", "solve", t.TempDir()}, 1, "cannot be read"},
		{[]string{"stock", "solve"}, 2, "needs more"},
		{[]string{"stock"}, 2, "solve"},
		{[]string{"stock", "solve", "--help"}, 0, ""},
	} {
		got := longpoint(context.Background(), nil, "", c.args...)
		if got.code != c.code || !strings.Contains(got.err, c.says) {
			t.Errorf("%q: got %d, %q, want %d and %q", c.args, got.code, got.err, c.code, c.says)
		}
		if c.code != 0 {
			checkSentence(t, c.args, got)
		}
	}
}

// TestTheHelpsInstances solves the two examples --help shows.
func TestTheHelpsInstances(t *testing.T) {
	t.Parallel()
	help := longpoint(context.Background(), nil, "", "stock", "solve", "--help").out
	var examples []string
	for _, block := range regexp.MustCompile(`(?m)(?:^    .*\n)+`).FindAllString(help, -1) {
		text := regexp.MustCompile(`  +[a-z].*`).ReplaceAllString(strings.ReplaceAll(block, "\n    ", "\n")[4:], "")
		examples = append(examples, text)
	}
	if want := []string{"3\n100\n50 10\n45 10\n20 5\n"}; len(examples) < 2 || !reflect.DeepEqual(examples[:1], want) {
		t.Fatalf("examples: got %q, want %q first", examples, want)
	}
	for _, text := range examples[:2] {
		if got := longpoint(context.Background(), nil, text, "stock", "solve", "-"); got.code != exitDone || !strings.Contains(got.out, "proven") {
			t.Errorf("%q: got %d, %s %s", text, got.code, got.out, got.err)
		}
	}
}

// TestStoppedWhileReading ends a program that waits for an instance nobody types.
func TestStoppedWhileReading(t *testing.T) {
	t.Parallel()
	typed, typing := io.Pipe()
	ctx, interrupt := context.WithCancel(context.Background())
	done := make(chan int)
	var said strings.Builder
	go func() {
		done <- run(ctx, []string{"stock", "solve", "-"}, system{in: typed, out: io.Discard, err: &said, env: func(string) string { return "" }})
	}()
	interrupt()
	if code := <-done; code != exitRefused || !strings.Contains(said.String(), "Stopped") {
		t.Errorf("got %d, %q, want 1 and that it stopped", code, said.String())
	}
	_ = typing.Close()
}

// A hundred thousand pieces are planned within the seconds that are given, and the plan holds.
func TestStockSolveOfAHundredThousandPieces(t *testing.T) {
	t.Parallel()
	var in strings.Builder
	in.WriteString("kerf 3\nstock 4877 31 -1\nstock 3658 22 -1\n")
	for i := range 25 {
		fmt.Fprintf(&in, "piece %d 4000\n", 400+131*i)
	}
	began := time.Now()
	got := longpoint(context.Background(), nil, in.String(), "stock", "solve", "-", "--seconds", "1", "--json")
	if got.code != 0 || got.err != "" {
		t.Fatalf("got %d, %q", got.code, got.err)
	}
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("took %v of the 1 s it was given", took)
	}
	var sheet struct {
		Sticks     int64 `json:"sticks"`
		LowerBound int64 `json:"lower_bound"`
	}
	if err := json.Unmarshal([]byte(got.out), &sheet); err != nil || sheet.Sticks < 20_000 {
		t.Errorf("%d sticks, %v", sheet.Sticks, err)
	}
}
