package stock

import (
	"context"
	"runtime"
)

// watch counts work and asks the context now and then. A step is meant to be about a
// nanosecond, so checkEvery is about a millisecond.
type watch struct {
	ctx   context.Context
	spent int64
	next  int64
	limit int64 // 0: none
	over  bool
}

const checkEvery = 1 << 20

// spend adds n steps and reports whether to stop. Once true it stays true.
func (w *watch) spend(n int) bool {
	w.spent += int64(n)
	if w.spent < w.next || w.over {
		return w.over
	}
	w.next = w.spent + checkEvery
	// In a browser there is one thread and no preemption: without yielding, the timer behind
	// a context's deadline would never fire.
	runtime.Gosched()
	if w.ctx.Err() != nil || (w.limit > 0 && w.spent >= w.limit) {
		w.over = true
	}
	return w.over
}

// rng is splitmix64 (Steele, Lea, Flood 2014): small, seeded, the same on every platform.
type rng struct{ s uint64 }

func (r *rng) next() uint64 {
	r.s += 0x9e3779b97f4a7c15
	z := r.s
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// float gives a number in [0, 1).
func (r *rng) float() float64 { return float64(r.next()>>11) / (1 << 53) }
