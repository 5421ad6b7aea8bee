package main

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/stage"
	"longpoint/tests/crew"
)

// The mix of a working day, of 100 requests (an assumption: an installer looks more than they write).
var mix = []struct {
	name  string
	share int
	do    func(ctx context.Context, p *crew.Person, r *rand.Rand) error
}{
	{"read an opening", 35, func(ctx context.Context, p *crew.Person, r *rand.Rand) error {
		return p.Get(ctx, "/api/v1/jobs/"+p.Job+"/items/"+door(p, r), nil)
	}},
	{"measure", 30, func(ctx context.Context, p *crew.Person, r *rand.Rand) error {
		reading := crew.Readings[r.IntN(len(crew.Readings))]
		c, err := crew.Take(door(p, r), reading[0], reading[1])
		if err != nil {
			return err
		}
		return give(ctx, p, c)
	}},
	{"tick or reopen", 15, func(ctx context.Context, p *crew.Person, r *rand.Rand) error {
		if r.IntN(2) == 0 {
			return give(ctx, p, joblog.Command{Kind: joblog.TickStageKind, ItemID: p.Item, TickStage: &joblog.TickStage{Stage: stage.Measured}})
		}
		return give(ctx, p, joblog.Command{Kind: joblog.ReopenStageKind, ItemID: p.Item, ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "Again."}})
	}},
	{"pull", 20, func(ctx context.Context, p *crew.Person, _ *rand.Rand) error {
		var page struct{ Seq int64 }
		if err := p.Get(ctx, fmt.Sprintf("/api/v1/jobs/%s/log?after=%d", p.Job, atomic.LoadInt64(&p.Seq)), &page); err != nil {
			return err
		}
		atomic.StoreInt64(&p.Seq, page.Seq)
		return nil
	}},
}

// doors is how many openings a job has; readings are spread over them, so that none grows as no opening does.
const doors = 20

// doorID is the id of one of a job's openings past the first.
func doorID(job string, n int) string { return job[:len(job)-3] + fmt.Sprintf("%03x", n) }

func door(p *crew.Person, r *rand.Rand) string {
	if n := r.IntN(doors); n > 0 {
		return doorID(p.Job, n)
	}
	return p.Item
}

// give sends one command. The rules may refuse it, as a tick that is there already: that is an answer.
func give(ctx context.Context, p *crew.Person, c joblog.Command) error {
	p.Sign(&c)
	out, err := p.Try(ctx, []joblog.Command{c})
	if err == nil && (len(out.Outcomes) != 1 || out.Stopped) {
		err = fmt.Errorf("%s was not answered for", c.Kind)
	}
	return err
}

// result is one stretch of load.
type result struct {
	rate, reached float64
	p50, p95, p99 time.Duration
	failed        int
	nodes, pg     time.Duration // processor time a request
	took          []time.Duration
}

// at offers requests at a rate for a time, whether or not the last were answered, and times each from the moment it was
// due: a service that stalls is charged for those that wait.
func (l *load) at(ctx context.Context, rate float64, length time.Duration) result {
	n := int(rate * length.Seconds())
	nodes, pg := l.ground.used()
	due := time.Now()
	var (
		wait   sync.WaitGroup
		mu     sync.Mutex
		took   []time.Duration
		failed int
	)
	room := make(chan struct{}, 400) // as many requests at once as there are phones; more would wait in the phones
	began := due
	for i := range n {
		due = began.Add(time.Duration(float64(i) / rate * float64(time.Second)))
		if d := time.Until(due); d > 0 {
			t := time.NewTimer(d)
			<-t.C
		}
		at := due
		seed := l.next.Add(1)
		room <- struct{}{}
		wait.Go(func() {
			defer func() { <-room }()
			r := rand.New(rand.NewPCG(seed, 5))
			p := l.people[r.IntN(len(l.people))]
			ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
			defer cancel()
			roll := r.IntN(100)
			var err error
			for _, m := range mix {
				if roll -= m.share; roll < 0 {
					err = m.do(ctx, p, r)
					break
				}
			}
			d := time.Since(at)
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				failed++
				l.lastError = err
				return
			}
			took = append(took, d)
		})
	}
	wait.Wait()
	whole := time.Since(began)
	nodes2, pg2 := l.ground.used()
	slices.Sort(took)
	res := result{rate: rate, failed: failed, took: took}
	if len(took) > 0 {
		res.reached = float64(len(took)) / whole.Seconds()
		res.p50, res.p95, res.p99 = took[len(took)/2], took[len(took)*95/100], took[len(took)*99/100]
		res.nodes, res.pg = (nodes2-nodes)/time.Duration(len(took)), (pg2-pg)/time.Duration(len(took))
	}
	return res
}

// listen opens a live stream and tells heard of each event until ctx ends.
func listen(ctx context.Context, p *crew.Person, opened, heard func()) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, p.Base+"/api/v1/jobs/"+p.Job+"/events", nil)
	if err != nil {
		return err
	}
	answer, err := p.HTTP.Do(r)
	if err != nil {
		return err
	}
	defer func() { _ = answer.Body.Close() }()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("a stream: %s", answer.Status)
	}
	in := bufio.NewScanner(answer.Body)
	first := true
	for in.Scan() {
		if first {
			first = false
			opened()
		}
		if strings.HasPrefix(in.Text(), "data:") {
			heard()
		}
	}
	return in.Err()
}
