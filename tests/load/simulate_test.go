package main

import (
	"math"
	"testing"
	"time"
)

// Mean time in an M/M/1 queue is 1/(μ−λ), and in M/M/c it is 1/μ + C(c,λ/μ)/(cμ−λ) with Erlang's C (A. K. Erlang, 1917;
// any text on queues). Times through two such stations in a row add up (J. R. Jackson, 1957).
func TestQueuesAsErlangHasThem(t *testing.T) {
	t.Parallel()
	const mu = 100.0 // a request's work is 10 ms
	work := 10 * time.Millisecond
	erlang := func(c int, a float64) float64 {
		sum, term := 0.0, 1.0
		for k := range c {
			sum += term
			term *= a / float64(k+1)
		}
		last := term * float64(c) / (float64(c) - a)
		return last / (sum + last)
	}
	mean := func(c int, rate float64) float64 {
		return 1/mu + erlang(c, rate/mu)/(float64(c)*mu-rate)
	}
	for _, tc := range []struct {
		stations []station
		rate     float64
		want     float64
	}{
		{[]station{{1, work}}, 50, 1 / (mu - 50)},
		{[]station{{1, work}}, 80, 1 / (mu - 80)},
		{[]station{{2, work}}, 150, mean(2, 150)},
		{[]station{{8, work}}, 700, mean(8, 700)},
		{[]station{{2, work}, {4, work}}, 120, mean(2, 120) + mean(4, 120)},
	} {
		took := plan{stations: tc.stations, rate: tc.rate}.simulate(300_000, 3)
		sum := 0.0
		for _, d := range took {
			sum += d.Seconds()
		}
		if got := sum / float64(len(took)); math.Abs(got-tc.want) > tc.want/20 {
			t.Errorf("%v at %v/s: mean time %.4f s, want %.4f within a twentieth", tc.stations, tc.rate, got, tc.want)
		}
	}
	// A processor alone keeps 95 of 100 within 100 ms up to μ − ln(20)/0.1 = 70.04 a second: times in M/M/1 are exponential.
	if got := (plan{stations: []station{{1, work}}}).knee(100*time.Millisecond, 200_000); math.Abs(got-70.04) > 3 {
		t.Errorf("knee: got %.1f/s, want 70.0 within 3", got)
	}
}
