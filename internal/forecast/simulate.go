package forecast

import (
	"container/heap"
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"longpoint/internal/stage"
)

// Waits are the minutes of drying that the work waits for, by the clock on the wall.
type Waits struct {
	FillerDry int64 // filled to caulked or painted
	CaulkCure int64 // caulked to painted
	Recoat    int64 // between two coats
	Coats     int64 // how many coats painted takes; under 1 counts as 1
}

// Item is what is left to do on one item, in order.
type Item struct {
	Group  Group
	Stages []stage.Stage
}

// Plan is what a forecast is made from.
type Plan struct {
	Items  []Item // in the order the crew takes them, as far as drying lets it
	People int    // how many work at once; at least 1
	Hours  Hours
	Waits  Waits
	Pace   Pace
	Start  time.Time
	Runs   int    // how many times it is played; at least 1
	Seed   uint64 // the same plan and seed give the same forecast
}

// Forecast is how a plan came out over all runs. Ends are in order, one a run.
type Forecast struct {
	Ends    []time.Time
	Minutes float64 // of one person's work left, on average
}

// At returns the moment by which a share of the runs, 0 to 1, was done. Zero without runs.
func (f Forecast) At(share float64) time.Time {
	if len(f.Ends) == 0 {
		return time.Time{}
	}
	i := int(math.Ceil(share*float64(len(f.Ends)))) - 1
	return f.Ends[min(max(i, 0), len(f.Ends)-1)]
}

// Simulate plays a plan Runs times. In each run every group's stage gets a rate drawn from
// what assumptions and log leave uncertain (a gamma distribution, the conjugate prior of the
// rate of gamma-distributed minutes), every step its own minutes, and the people take the
// first item that is ready. Nothing dries faster for being watched: waits run through nights
// and weekends. It ends early with the context's error when that is done.
func Simulate(ctx context.Context, p Plan) (Forecast, error) {
	clock := p.Hours.clock(p.Start)
	f := Forecast{Ends: make([]time.Time, 0, max(p.Runs, 1))}
	for run := range max(p.Runs, 1) {
		if err := ctx.Err(); err != nil {
			return Forecast{}, err
		}
		end, minutes := p.play(clock, rand.New(rand.NewPCG(p.Seed, uint64(run))))
		f.Ends = append(f.Ends, clock.moment(end))
		f.Minutes += minutes / float64(max(p.Runs, 1))
	}
	slices.SortFunc(f.Ends, time.Time.Compare)
	return f, nil
}

type rateKey struct {
	g Group
	s stage.Stage
}

// play is one run: the minute on the wall, from the start, at which the last step ends, and
// the minutes worked.
func (p Plan) play(clock clock, r *rand.Rand) (end, worked float64) {
	rates := map[rateKey]float64{}
	minutes := func(g Group, s stage.Stage, part float64) float64 {
		k := rateKey{g, s}
		rate, ok := rates[k]
		if !ok {
			rate = p.rate(g, s, r)
			rates[k] = rate
		}
		if math.IsInf(rate, 1) {
			return 0
		}
		// The sum of parts of one gamma, each with its part of the shape, is that gamma.
		return distuv.Gamma{Alpha: Shape * part, Beta: rate, Src: r}.Rand()
	}

	var ready, drying tasks
	ready.byOrder = true
	for i, it := range p.Items {
		if steps := p.steps(it); len(steps) > 0 {
			ready.all = append(ready.all, &task{order: i, group: it.Group, steps: steps})
		}
	}
	heap.Init(&ready)
	hands := make(hands, max(p.People, 1))
	for ready.Len() > 0 || drying.Len() > 0 {
		now := hands[0]
		for drying.Len() > 0 && drying.all[0].from <= now {
			heap.Push(&ready, heap.Pop(&drying))
		}
		if ready.Len() == 0 {
			hands[0] = drying.all[0].from
			heap.Fix(&hands, 0)
			continue
		}
		t := heap.Pop(&ready).(*task)
		step := t.steps[0]
		m := minutes(t.group, step.stage, step.part)
		worked += m
		done := clock.work(max(now, t.from), m)
		hands[0] = done
		heap.Fix(&hands, 0)
		end = max(end, done)
		if t.steps = t.steps[1:]; len(t.steps) > 0 {
			t.from = done + step.wait
			heap.Push(&drying, t)
		}
	}
	return end, worked
}

// rate draws a rate a minute: gamma with the shape and the minutes of Weight assumed ticks
// and all seen ones, and one of shape more, so that the expected minutes are Mean's.
func (p Plan) rate(g Group, s stage.Stage, r *rand.Rand) float64 {
	seen := p.Pace[g][s]
	alpha := float64(Shape*(Weight+seen.Count)) + 1
	beta := Weight*Assumed(g, s) + seen.Minutes
	if beta <= 0 {
		return math.Inf(1)
	}
	return distuv.Gamma{Alpha: alpha, Beta: beta, Src: r}.Rand()
}

// step is a stage or a part of it, and the wait after it before the item's next.
type step struct {
	stage stage.Stage
	part  float64
	wait  float64
}

func (p Plan) steps(it Item) []step {
	out := make([]step, 0, len(it.Stages)+1)
	for _, s := range it.Stages {
		switch s {
		case stage.Filled:
			out = append(out, step{s, 1, float64(max(p.Waits.FillerDry, 0))})
		case stage.Caulked:
			out = append(out, step{s, 1, float64(max(p.Waits.CaulkCure, 0))})
		case stage.Painted:
			coats := min(max(p.Waits.Coats, 1), 9)
			for range coats {
				out = append(out, step{s, 1 / float64(coats), float64(max(p.Waits.Recoat, 0))})
			}
		default:
			out = append(out, step{s, 1, 0})
		}
	}
	return out
}

// task is an item as a run has brought it.
type task struct {
	order int
	group Group
	steps []step
	from  float64 // not before this minute
}

// tasks is a heap of tasks: by order among those that are ready, else by when they are.
type tasks struct {
	all     []*task
	byOrder bool
}

func (h *tasks) Len() int      { return len(h.all) }
func (h *tasks) Swap(i, j int) { h.all[i], h.all[j] = h.all[j], h.all[i] }
func (h *tasks) Push(x any)    { h.all = append(h.all, x.(*task)) }
func (h *tasks) Less(i, j int) bool {
	a, b := h.all[i], h.all[j]
	if !h.byOrder && a.from != b.from {
		return a.from < b.from
	}
	return a.order < b.order
}

func (h *tasks) Pop() any {
	last := h.all[len(h.all)-1]
	h.all = h.all[:len(h.all)-1]
	return last
}

// hands is a heap of the minutes at which each of the people is free.
type hands []float64

func (h hands) Len() int           { return len(h) }
func (h hands) Less(i, j int) bool { return h[i] < h[j] }
func (h hands) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *hands) Push(x any)        { *h = append(*h, x.(float64)) }

func (h *hands) Pop() any {
	last := (*h)[len(*h)-1]
	*h = (*h)[:len(*h)-1]
	return last
}
