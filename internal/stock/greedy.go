package stock

import (
	"math/bits"
	"sort"
)

// greedy plans by filling one stick after another longest piece first: of all kinds of stick
// that take the longest piece left, the one that gives the most length for its cost. It is the
// first plan, the last resort for very many different lengths, and the end of every dive.
// jitter, where given, shuffles the choice a little. Nil means limited sticks ran out.
func (m *model) greedy(demand, limit []int, jitter *rng, w *watch) []use {
	left := append([]int(nil), demand...)
	stock := append([]int(nil), limit...)
	next := make([]int32, len(m.w)+1) // next[t]: first length from t on with pieces left
	for t := range next {
		next[t] = int32(t)
	}
	for t, n := range left {
		if n == 0 {
			next[t] = int32(t + 1)
		}
	}
	var sol []use
	for {
		first := m.nextLeft(next, 0)
		if first == len(m.w) {
			return sol
		}
		best := use{}
		var bestCost, bestFull int64
		for k := range m.kinds {
			kd := &m.kinds[k]
			if stock[k] == 0 || kd.cap < m.w[first] {
				continue
			}
			if w.over && best.items != nil {
				break // ended: any plan, quickly
			}
			items, full := m.fillGreedy(left, next, kd.cap, w)
			// cost/full below bestCost/bestFull, a free stick by its fullness
			take := best.items == nil
			if !take {
				h1, l1 := bits.Mul64(uint64(kd.cost), uint64(bestFull))
				h2, l2 := bits.Mul64(uint64(bestCost), uint64(full))
				take = h1 < h2 || (h1 == h2 && l1 < l2) || (h1 == h2 && l1 == l2 && full*m.kinds[best.kind].cap > bestFull*kd.cap)
			}
			if take && best.items != nil && jitter != nil && jitter.float() < 0.1 {
				take = false
			}
			if take {
				best, bestCost, bestFull = use{pattern{k, items}, 1}, kd.cost, full
			}
		}
		if best.items == nil {
			return nil
		}
		n := stock[best.kind]
		for _, it := range best.items {
			n = min(n, left[it.t]/int(it.n))
		}
		best.times = n
		stock[best.kind] -= n
		for _, it := range best.items {
			left[it.t] -= n * int(it.n)
			if left[it.t] == 0 {
				next[it.t] = it.t + 1
			}
		}
		sol = append(sol, best)
	}
}

func (m *model) nextLeft(next []int32, t int) int {
	r := t
	for int(next[r]) != r {
		r = int(next[r])
	}
	for int(next[t]) != r && t != r { // shorten the way for later
		t, next[t] = int(next[t]), int32(r)
	}
	return r
}

func (m *model) fillGreedy(left []int, next []int32, cap int64, w *watch) ([]item, int64) {
	var items []item
	rem := cap
	for t := m.nextLeft(next, 0); t < len(m.w); {
		if m.w[t] > rem {
			jump := sort.Search(len(m.w)-t, func(i int) bool { return m.w[t+i] <= rem }) + t
			if jump == len(m.w) {
				break
			}
			t = m.nextLeft(next, jump)
			continue
		}
		n := int(min(rem/m.w[t], int64(left[t])))
		items = append(items, item{int32(t), int32(n)})
		rem -= int64(n) * m.w[t]
		t = m.nextLeft(next, t+1)
	}
	w.spend(20 + 20*len(items))
	return items, cap - rem
}

// lengthBound is the cost no plan is below because the pieces' length must come from
// somewhere: the sticks that give the most length for their cost are used up first.
func (m *model) lengthBound() int64 {
	var need int64
	for t, w := range m.w {
		need += w * int64(m.d[t])
	}
	ord := make([]int, len(m.kinds))
	for i := range ord {
		ord[i] = i
	}
	sort.SliceStable(ord, func(a, b int) bool {
		ka, kb := &m.kinds[ord[a]], &m.kinds[ord[b]]
		h1, l1 := bits.Mul64(uint64(ka.cost), uint64(kb.cap))
		h2, l2 := bits.Mul64(uint64(kb.cost), uint64(ka.cap))
		return h1 < h2 || (h1 == h2 && l1 < l2)
	})
	var cost int64
	for _, i := range ord {
		k := &m.kinds[i]
		n := min(need/k.cap, int64(k.limit))
		cost += n * k.cost
		need -= n * k.cap
		if need == 0 {
			return cost
		}
		if n < int64(k.limit) {
			hi, lo := bits.Mul64(uint64(k.cost), uint64(need))
			q, r := bits.Div64(hi, lo, uint64(k.cap))
			if r > 0 {
				q++
			}
			return cost + int64(q)
		}
	}
	return cost
}
