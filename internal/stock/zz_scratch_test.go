package stock

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"
)

func TestScratchRoot(t *testing.T) {
	f := os.Getenv("SFILE")
	if f == "" {
		t.Skip()
	}
	b, _ := os.ReadFile(f)
	p, err := ParseInstance(b)
	if err != nil {
		t.Fatal(err)
	}
	m := newModel(&p, Cost)
	w := &watch{ctx: context.Background()}
	s := &search{p: &p, m: m, watch: w, bestCost: m.dearest() + 1}
	s.offer(m.greedy(m.d, m.limits(), nil, w))
	st := time.Now()
	for k := range m.kinds {
		if kd := &m.kinds[k]; kd.cost > 0 {
			kd.limit = int(min(int64(kd.limit), s.bestCost/kd.cost))
		}
	}
	s.scale = max(1, exactness/max(s.bestCost, 1))
	ma := newMaster(m, s.scale, w, s.best)
	ok := ma.generate(nil)
	fmt.Println("root", ok, time.Since(st), "types", len(m.w), "cols", len(ma.lp.cols), "pivots", ma.lp.pivots, "bound", float64(ma.bound)/float64(ma.scale), "value", ma.lp.value()*ma.unit, "greedy", s.bestCost, "spent", float64(w.spent)/1e9)
	for i := 0; i < 5; i++ {
		st := time.Now()
		r := &rng{uint64(i)}
		s.dive(ma, r, 0.3, 70)
		fmt.Println("dive", time.Since(st), s.bestCost)
	}
}
