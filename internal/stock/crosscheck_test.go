package stock_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/stock"
)

// outsideOptimum asks an independent solver: a whole-number program over all maximal patterns
// of every stick, in the LP file format both cbc (COIN-OR) and glpsol (GLPK) read.
// False: it was not done within ten seconds.
func outsideOptimum(t *testing.T, solver string, p stock.Problem) (float64, bool) {
	t.Helper()
	cover := make([]strings.Builder, len(p.Pieces))
	limit := make([]strings.Builder, len(p.Stocks))
	var cost, ints strings.Builder
	n := 0
	for k, s := range p.Stocks {
		count := make([]int, len(p.Pieces))
		var fill func(i int, room int64)
		fill = func(i int, room int64) {
			if i == len(p.Pieces) {
				empty := true
				for j, c := range p.Pieces {
					empty = empty && count[j] == 0
					if count[j] < c.Demand && c.Length+p.Kerf <= room {
						return // not maximal
					}
				}
				if empty {
					return
				}
				n++
				x := " x" + strconv.Itoa(n)
				fmt.Fprintf(&cost, " + %d%s\n", s.Cost, x)
				fmt.Fprintf(&ints, "%s\n", x)
				fmt.Fprintf(&limit[k], " +%s\n", x)
				for j, c := range count {
					if c > 0 {
						fmt.Fprintf(&cover[j], " + %d%s\n", c, x)
					}
				}
				return
			}
			for c := 0; c <= p.Pieces[i].Demand && int64(c)*(p.Pieces[i].Length+p.Kerf) <= room; c++ {
				count[i] = c
				fill(i+1, room-int64(c)*(p.Pieces[i].Length+p.Kerf))
			}
			count[i] = 0
		}
		fill(0, s.Length-p.EndTrim+p.Kerf)
	}
	var lp strings.Builder
	lp.WriteString("Minimize\n obj:" + cost.String() + "Subject To\n")
	for j := range cover {
		fmt.Fprintf(&lp, " p%d:%s >= %d\n", j, cover[j].String(), p.Pieces[j].Demand)
	}
	for k := range limit {
		if p.Stocks[k].Count >= 0 && limit[k].Len() > 0 {
			fmt.Fprintf(&lp, " s%d:%s <= %d\n", k, limit[k].String(), p.Stocks[k].Count)
		}
	}
	lp.WriteString("General\n" + ints.String() + "End\n")
	file := filepath.Join(t.TempDir(), "plan.lp")
	if err := os.WriteFile(file, []byte(lp.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	out := filepath.Join(filepath.Dir(file), "out.txt")
	args := []string{file, "ratio", "0", "solve", "solution", out}
	if solver == "glpsol" {
		args = []string{"--lp", file, "-o", out}
	}
	said, err := exec.CommandContext(ctx, solver, args...).CombinedOutput()
	if ctx.Err() != nil {
		return 0, false
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s", solver, err, said)
	}
	answer, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	words := strings.Fields(string(answer))
	optimal := false
	for i, w := range words {
		optimal = optimal || strings.EqualFold(w, "optimal")
		switch {
		case solver == "cbc" && w == "value" && optimal, solver == "glpsol" && w == "=" && words[i-1] == "obj" && optimal:
			v, err := strconv.ParseFloat(words[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v, true
		}
	}
	t.Fatalf("%s gave no optimum:\n%s", solver, answer)
	return 0, false
}

// Cross-check on random jobs with several stock lengths, prices, kerf and offcuts against an
// outside whole-number solver (Debian packages coinor-cbc and glpk-utils).
func TestSolveAgreesWithOutsideSolver(t *testing.T) {
	t.Parallel()
	solver := ""
	for _, name := range []string{"cbc", "glpsol"} {
		if _, err := exec.LookPath(name); err == nil {
			solver = name
			break
		}
	}
	if want := os.Getenv("LONGPOINT_STOCK_SOLVER"); want != "" {
		solver = want
	}
	if solver == "" {
		t.Skip("SKIPPED: neither cbc nor glpsol is installed, so plans were not compared with an outside solver")
	}
	count := 25
	if v, err := strconv.Atoi(os.Getenv("LONGPOINT_STOCK_CROSSCHECKS")); err == nil {
		count = v
	}
	compared := 0
	for i := range count {
		r := rand.New(rand.NewPCG(2026, uint64(i)))
		p := stock.Problem{Kerf: r.Int64N(5), EndTrim: r.Int64N(20)}
		for range 1 + r.IntN(3) {
			l := 2400 + 300*r.Int64N(14)
			p.Stocks = append(p.Stocks, stock.Stock{Length: l, Cost: l*(90+r.Int64N(20))/100 + r.Int64N(50), Count: stock.Unlimited})
		}
		p.Stocks[0].Length, p.Stocks[0].Cost = 6000, 5500+10*r.Int64N(100)
		for range r.IntN(6) {
			p.Stocks = append(p.Stocks, stock.Stock{Length: 600 + r.Int64N(3600), Count: 1 + r.IntN(2)})
		}
		for range 4 + r.IntN(9) {
			p.Pieces = append(p.Pieces, stock.Piece{Length: 700 + r.Int64N(3000), Demand: 1 + r.IntN(6)})
		}
		ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
		plan, err := stock.Solve(ctx, p, stock.Options{})
		cancel()
		if err != nil {
			t.Fatal(i, err)
		}
		if err := stock.Check(p, plan); err != nil {
			t.Errorf("job %d: %v", i, err)
		}
		want, ok := outsideOptimum(t, solver, p)
		if !ok {
			t.Logf("job %d: %s was not done in time", i, solver)
			continue
		}
		compared++
		if float64(plan.Cost) != want || !plan.Optimal {
			t.Errorf("job %d: got cost %d, bound %d, optimal %v; want %v from %s", i, plan.Cost, plan.LowerBound, plan.Optimal, want, solver)
		}
	}
	if compared < count/2 {
		t.Errorf("only %d of %d jobs were compared", compared, count)
	}
	t.Logf("%d of %d jobs compared with %s", compared, count, solver)
}
