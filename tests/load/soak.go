package main

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strings"
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
	// mayGrow is how much of its memory a node may gain over what is left of the soak after the first third, as the
	// trend has it. A heap that is collected at five times its size goes up and down by more than that between samples,
	// which the trend does not see.
	mayGrow = 0.10
	// briefly is how many requests say nothing of a trend.
	briefly = 2000
)

// soakAlone makes the requests of a whole day's hour one after another as fast as the rate has it, with a live stream
// open for each phone, and looks at the node's memory all the while: it goes up until the caches and pools are full, and
// has to stay there.
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
	var held []float64
	answered, failed := 0, 0
	for range soakSamples {
		r := l.at(ctx, soakRate, time.Duration(float64(requests)/soakSamples/soakRate*float64(time.Second)))
		answered, failed = answered+len(r.took), failed+r.failed
		held = append(held, memory(g.nodes[0].Process.Pid))
	}
	took := time.Since(began)
	minutes := float64(answered) * secondsBetween / float64(people) / 60
	fmt.Println("| minute of the hour | node holds |\n| ---: | ---: |")
	for i, mb := range held {
		if i%4 == 3 {
			fmt.Printf("| %.0f | %.0f MB |\n", minutes*float64(i+1)/soakSamples, mb)
		}
	}
	settled := held[soakSamples/3:]
	slope, middle := trend(settled), median(settled)
	grown := slope * float64(len(settled)-1)
	fmt.Printf("\nSoak: %d requests (%d failed) in %v, what %d phones ask in %.0f minutes; %d live streams told of %d changes. From the first third on the node held between %.0f and %.0f MB, and the trend is %+.1f MB over those %.0f minutes (%+.1f %%).\n",
		answered, failed, took.Round(time.Second), people, minutes, open.Load(), heard.Load(), slices.Min(settled), slices.Max(settled), grown, minutes*2/3, grown/middle*100)
	switch {
	case failed > 0:
		return fmt.Errorf("%d requests failed, one with: %w", failed, l.lastError)
	case heard.Load() == 0 || open.Load() < int64(people):
		return fmt.Errorf("%d of %d streams opened, %d changes heard", open.Load(), people, heard.Load())
	case requests > briefly && grown > middle*mayGrow:
		return fmt.Errorf("memory grows: %+.1f MB on %.0f MB (%s)", grown, middle, strings.Trim(fmt.Sprintf("%.0f", held), "[]"))
	}
	return l.reckon(ctx)
}

func closeIdle(people []*crew.Person) {
	for _, p := range people {
		p.HTTP.CloseIdleConnections()
	}
}

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
