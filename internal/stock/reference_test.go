package stock_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/stock"
)

// TestReference solves the published instances with known optima that lie in the folder
// LONGPOINT_STOCK_INSTANCES names (csp/*.txt with optima.csv, multi/*.txt with
// multi-optima.csv) and prints one row each. Single-length instances: M. Delorme, M. Iori,
// S. Martello, BPPLIB, Optimization Letters 12(2):235-250, 2018; they are not part of this
// repository. LONGPOINT_STOCK_SECONDS bounds each (5), LONGPOINT_STOCK_ONLY picks by name.
// It fails on any plan that does not hold, any cost below the optimum, and above all on any
// bound above it.
func TestReference(t *testing.T) {
	dir := os.Getenv("LONGPOINT_STOCK_INSTANCES")
	if dir == "" {
		t.Skip("SKIPPED: LONGPOINT_STOCK_INSTANCES names no folder, so the published instances were not solved")
	}
	seconds := 5.0
	if v, err := strconv.ParseFloat(os.Getenv("LONGPOINT_STOCK_SECONDS"), 64); err == nil {
		seconds = v
	}
	for _, set := range []struct{ folder, optima string }{{"csp", "optima.csv"}, {"multi", "multi-optima.csv"}} {
		f, err := os.Open(filepath.Join(dir, set.optima))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		col := 3
		if set.folder == "multi" {
			col = 4
		}
		var proven, within1, within10, within60, right, count int
		var open []string
		for _, row := range rows[1:] {
			name := row[0]
			if !strings.Contains(name, os.Getenv("LONGPOINT_STOCK_ONLY")) {
				continue
			}
			want, err := strconv.ParseInt(row[col], 10, 64)
			if err != nil {
				t.Fatal(err)
			}
			text, err := os.ReadFile(filepath.Join(dir, set.folder, name+".txt"))
			if err != nil {
				t.Fatal(err)
			}
			p, err := stock.ParseInstance(text)
			if err != nil {
				t.Fatal(name, err)
			}
			ctx, cancel := context.WithTimeout(context.Background(), time.Duration(seconds*float64(time.Second)))
			start := time.Now()
			plan, err := stock.Solve(ctx, p, stock.Options{Seed: 1})
			took := time.Since(start).Seconds()
			cancel()
			if err != nil {
				t.Fatal(name, err)
			}
			if err := stock.Check(p, plan); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if plan.Cost < want || plan.LowerBound > want || (plan.Optimal && plan.Cost != want) {
				t.Errorf("%s: cost %d bound %d optimal %v, want cost %d", name, plan.Cost, plan.LowerBound, plan.Optimal, want)
			}
			if took > seconds+0.5 {
				t.Errorf("%s: took %.2f s of %.2f s", name, took, seconds)
			}
			count++
			if plan.Cost == want {
				right++
			}
			if plan.Optimal {
				proven++
				within1 += b2i(took <= 1)
				within10 += b2i(took <= 10)
				within60 += b2i(took <= 60)
			} else {
				open = append(open, name)
			}
			fmt.Printf("%-28s %8d %8d %8d %-8v %7.3f s %7.3f G  %s\n", name, want, plan.Cost, plan.LowerBound, plan.Optimal, took, float64(plan.Work)/1e9, plan.Method)
		}
		var mem runtime.MemStats
		runtime.ReadMemStats(&mem)
		fmt.Printf("%s: %d instances, %d at the optimum, proven %d: within 1 s %d, 10 s %d, 60 s %d; memory taken %d MB; open %v\n",
			set.folder, count, right, proven, within1, within10, within60, mem.Sys>>20, open)
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
