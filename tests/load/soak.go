package main

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"longpoint/tests/crew"
)

const (
	// A phone at work asks for something each four seconds (an assumption), so 40 make 36 000 requests an hour.
	secondsBetween = 4
	soakSamples    = 40
	// soakRate is what a busy machine of two processors answers; a request that is late is still made.
	soakRate = 120.0
	// mayGrow is how much more a node may keep after a collection at the end than at the end of the first quarter, when its
	// caches and pools are full, and how much of its resident memory it may gain after the first third, as the trend has it.
	// The second follows how many requests are under way at once, and with that what else the machine is doing: judged
	// on a machine that does something else it may fail without a leak.
	mayGrow     = 0.10
	soakQuarter = soakSamples / 4
	// briefly is how many requests say nothing of a trend.
	briefly = 2000
)

// soakAlone makes the requests of a whole day's hour one after another as fast as the rate has it, with a live stream
// open for each phone, and looks at the node's memory all the while, and at each quarter's end at what is left of it when
// everything that is not needed has been let go: it goes up until the caches and pools are full, and has to stay there.
func soakAlone(ctx context.Context, requests, people int) error {
	g, err := newGround(ctx)
	if g != nil {
		defer g.close()
	}
	if err != nil {
		return err
	}
	l := &load{ground: g}
	if err := l.settle(ctx, people); err != nil {
		return err
	}
	fmt.Printf("%d processors, PostgreSQL with fsync on, load average before: %s\n\n", runtime.NumCPU(), loadAverage())
	listening, stop := context.WithCancel(ctx)
	var streams sync.WaitGroup
	var open, heard atomic.Int64
	for _, p := range l.people {
		one := *p
		streams.Go(func() {
			if err := listen(listening, &one, func() { open.Add(1) }, func() { heard.Add(1) }); err != nil && listening.Err() == nil {
				fmt.Fprintln(os.Stderr, "load: "+err.Error())
			}
		})
	}
	defer func() { stop(); streams.Wait(); closeIdle(l.people) }()
	began := time.Now()
	var held, kept []float64
	var goroutines []int
	answered, failed := 0, 0
	for i := range soakSamples {
		r := l.at(ctx, soakRate, time.Duration(float64(requests)/soakSamples/soakRate*float64(time.Second)))
		answered, failed = answered+len(r.took), failed+r.failed
		held = append(held, memory(g.nodes[0].Process.Pid))
		if i%soakQuarter == soakQuarter-1 {
			mb, n, err := g.collect(0)
			if err != nil {
				return err
			}
			kept, goroutines = append(kept, mb), append(goroutines, n)
		}
	}
	took := time.Since(began)
	minutes := float64(answered) * secondsBetween / float64(people) / 60
	fmt.Println("| minute of the hour | node holds, at least and at most | after a collection | goroutines |\n| ---: | ---: | ---: | ---: |")
	for i, mb := range kept {
		quarter := held[i*soakQuarter : (i+1)*soakQuarter]
		fmt.Printf("| %.0f | %.0f–%.0f MB | %.1f MB | %d |\n", minutes*float64(i+1)/float64(len(kept)), slices.Min(quarter), slices.Max(quarter), mb, goroutines[i])
	}
	first, last := kept[0], kept[len(kept)-1]
	settled := held[soakSamples/3:]
	gained := trend(settled) * float64(len(settled)-1) / median(settled)
	fmt.Printf("\nSoak: %d requests (%d failed) in %v, what %d phones ask in %.0f minutes; %d live streams told of %d changes. From minute %.0f to minute %.0f what the node keeps changed by %+.1f MB (%+.1f %%); what it holds, from the first third on, by %+.1f %% as the trend has it. Load average after: %s.\n",
		answered, failed, took.Round(time.Second), people, minutes, open.Load(), heard.Load(), minutes/float64(len(kept)), minutes, last-first, (last/first-1)*100, gained*100, loadAverage())
	switch {
	case failed > 0:
		return fmt.Errorf("%d requests failed, one with: %w", failed, l.lastError)
	case heard.Load() == 0 || open.Load() < int64(people):
		return fmt.Errorf("%d of %d streams opened, %d changes heard", open.Load(), people, heard.Load())
	case requests > briefly && grows(kept):
		return fmt.Errorf("memory grows: %.1f MB kept at the end of each quarter", kept)
	case requests > briefly && gained > mayGrow:
		return fmt.Errorf("memory grows: %+.1f %% held after the first third, load average %s: on a machine that does nothing else it is a leak (%.0f MB)", gained*100, loadAverage(), held)
	}
	return l.reckon(ctx)
}

func closeIdle(people []*crew.Person) {
	for _, p := range people {
		p.HTTP.CloseIdleConnections()
	}
}

// grows judges what was kept at the end of each quarter.
func grows(kept []float64) bool { return kept[len(kept)-1] > kept[0]*(1+mayGrow) }

// trend is the median of the slopes between every two samples, for one sample's step (H. Theil, 1950; P. K. Sen, 1968): a
// few that stick out do not bend it.
func trend(samples []float64) float64 {
	var slopes []float64
	for i := range samples {
		for j := i + 1; j < len(samples); j++ {
			slopes = append(slopes, (samples[j]-samples[i])/float64(j-i))
		}
	}
	return median(slopes)
}

func median(of []float64) float64 {
	of = slices.Sorted(slices.Values(of))
	if len(of) == 0 {
		return 0
	}
	return (of[(len(of)-1)/2] + of[len(of)/2]) / 2
}
