package main

import (
	"container/heap"
	"math/rand/v2"
	"slices"
	"time"
)

// station is a place of work with some processors: a request waits for a free one, in order.
type station struct {
	processors int
	work       time.Duration // the mean of one request's work there, drawn from an exponential distribution
}

// plan is a set-up to simulate: requests come at random (a Poisson process), work at one station after the other, and
// wait once for the disk. What is left out: the network between machines, locks two requests wait for, caches that grow
// cold. So it says where the processors end and not more.
type plan struct {
	stations []station
	wait     time.Duration // for the disk: many wait at once, for the same write
	rate     float64       // requests a second
}

// simulate plays n requests and returns how long each took, sorted. The first tenth, before the queues are as long as
// they get, is left out.
func (p plan) simulate(n int, seed uint64) []time.Duration {
	r := rand.New(rand.NewPCG(seed, 1))
	arrive := make([]float64, n)
	at := 0.0
	for i := range arrive {
		at += r.ExpFloat64() / p.rate
		arrive[i] = at
	}
	done := slices.Clone(arrive)
	for _, s := range p.stations {
		// First come, first served: in the order in which they leave the station before.
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(a, b int) int {
			switch {
			case done[a] < done[b]:
				return -1
			case done[a] > done[b]:
				return 1
			}
			return 0
		})
		free := make(times, s.processors)
		heap.Init(&free)
		for _, i := range order {
			begin := max(done[i], free[0])
			done[i] = begin + r.ExpFloat64()*s.work.Seconds()
			free[0] = done[i]
			heap.Fix(&free, 0)
		}
	}
	var took []time.Duration
	for i := n / 10; i < n; i++ {
		took = append(took, time.Duration((done[i]-arrive[i])*float64(time.Second))+p.wait)
	}
	slices.Sort(took)
	return took
}

// knee is the highest rate, to about a hundredth, at which 95 of 100 requests are answered within a bound.
func (p plan) knee(within time.Duration, n int) float64 {
	low, high := 0.0, 0.0
	for _, s := range p.stations {
		if most := float64(s.processors) / s.work.Seconds(); high == 0 || most < high {
			high = most
		}
	}
	for range 8 {
		p.rate = (low + high) / 2
		if took := p.simulate(n, 7); took[len(took)*95/100] <= within {
			low = p.rate
		} else {
			high = p.rate
		}
	}
	return low
}

// times is a heap of moments at which processors are free.
type times []float64

func (t times) Len() int           { return len(t) }
func (t times) Less(i, j int) bool { return t[i] < t[j] }
func (t times) Swap(i, j int)      { t[i], t[j] = t[j], t[i] }
func (t *times) Push(x any)        { *t = append(*t, x.(float64)) }
func (t *times) Pop() any {
	old := *t
	x := old[len(old)-1]
	*t = old[:len(old)-1]
	return x
}
