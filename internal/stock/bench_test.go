package stock_test

import (
	"context"
	"math/rand/v2"
	"runtime"
	"testing"

	"longpoint/internal/stock"
)

func bench(b *testing.B, draw func(*rand.Rand) (stock.Problem, int64), problems int) {
	var ps []stock.Problem
	for i := range problems {
		p, _ := draw(rand.New(rand.NewPCG(60, uint64(i))))
		ps = append(ps, p)
	}
	open := 0
	b.ReportAllocs()
	for b.Loop() {
		open = 0
		for _, p := range ps {
			plan, err := stock.Solve(context.Background(), p, stock.Options{Seed: 1, Work: 20e9})
			if err != nil {
				b.Fatal(err)
			}
			if !plan.Optimal {
				open++
			}
		}
	}
	b.ReportMetric(float64(open), "not-proven")
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	b.ReportMetric(float64(mem.Sys>>20), "MB-from-system")
}

// A job of 30 lengths, 100 pieces, 4 stock lengths and 10 offcuts; ten of them an operation.
func BenchmarkTenHouseJobs(b *testing.B) { bench(b, houseJob(30, 100, 4, 10), 10) }

// A house of 60 rooms: 8 profiles of 112 pieces each, planned one by one.
func BenchmarkSixtyRooms(b *testing.B) { bench(b, houseJob(40, 112, 4, 3), 8) }

func BenchmarkUniform120(b *testing.B)  { bench(b, uniform(150, 20, 100, 120), 1) }
func BenchmarkTriplets120(b *testing.B) { bench(b, triplets(40), 1) }
