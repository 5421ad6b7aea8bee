package stock

import (
	"maps"
	"math"
	"sort"
)

// clone copies a master for a dive; patterns found in it stay its own.
func (ma *master) clone() *master {
	c := *ma
	c.lp = ma.lp.clone()
	c.pats = append([]pattern(nil), ma.pats...)
	c.demand = append([]int(nil), ma.demand...)
	c.limit = append([]int(nil), ma.limit...)
	c.seen = maps.Clone(ma.seen)
	c.bound, c.boundY, c.boundZ = math.MinInt64, nil, nil
	return &c
}

// fix takes a pattern n times out of the demand and the limits.
func (ma *master) fix(p *pattern, n int) {
	for _, it := range p.items {
		ma.demand[it.t] = max(ma.demand[it.t]-n*int(it.n), 0)
		ma.lp.rhs[it.t] = float64(ma.demand[it.t])
	}
	ma.limit[p.kind] -= n
	if r := ma.limRow[p.kind]; r >= 0 {
		ma.lp.rhs[r] = float64(ma.limit[p.kind])
	}
}

// again makes the program ready after fixing. Patterns with more of a length than is still
// wanted are taken out: rounded up, they would cut pieces nobody needs.
func (ma *master) again() {
	for v := range ma.pats {
		if ma.lp.cols[v].art {
			continue
		}
		for _, it := range ma.pats[v].items {
			if int(it.n) > ma.demand[it.t] {
				ma.lp.ban(int32(v))
				break
			}
		}
	}
	ma.lp.restart()
}

func (ma *master) wanted() int {
	n := 0
	for _, d := range ma.demand {
		n += d
	}
	return n
}

// Limits of a dive.
const (
	diveRetries = 12 // choices taken back in one dive
	tailPieces  = 70 // pieces left at which the rest is first tried exactly
)

// dive rounds the program's solution to a plan: it fixes the whole parts, then one pattern
// after another, the fullest fraction first with a little chance in it, solving the rest anew
// each time. A choice after which no better plan can come is taken back, a few times. Every
// step also ends the plan greedily, and a small rest is tried exactly.
func (s *search) dive(root *master, chance *rng, jitter float64, tail int) {
	ma := root.clone()
	ma.ks = &knapsack{watch: s.watch}
	ma.quick = true
	d := &dive{s: s, ma: ma, retries: diveRetries, tail: tail}
	ma.generate(nil)
	for !s.done() {
		// whole parts first: they leave the bound as it is
		type part struct {
			v   int32
			key float64
		}
		var parts []part
		whole := false
		ma = d.ma
		ma.lp.each(func(v int32, x float64) {
			n := math.Floor(x + 1e-6)
			parts = append(parts, part{v, x - n + jitter*chance.float()})
			if n >= 1 {
				p := &ma.pats[v]
				if k := min(int(n), ma.limit[p.kind]); k > 0 {
					d.take(p, k)
					whole = true
				}
			}
		})
		if whole {
			ma.again()
			if !d.goOn() {
				return
			}
			continue
		}
		sort.SliceStable(parts, func(a, b int) bool { return parts[a].key > parts[b].key })
		took := false
		for _, q := range parts {
			p := &d.ma.pats[q.v]
			if d.ma.limit[p.kind] == 0 {
				continue
			}
			before, fixed, cost := d.ma, len(d.fixed), d.cost
			if d.retries > 0 {
				d.ma = before.clone()
			}
			d.take(p, 1)
			d.ma.again()
			if d.goOn() {
				took = true
				break
			}
			if s.done() || d.ma == before {
				return
			}
			d.retries--
			d.ma, d.fixed, d.cost = before, d.fixed[:fixed], cost
		}
		if !took {
			return
		}
	}
}

// dive is the state of one dive.
type dive struct {
	s       *search
	ma      *master
	fixed   []use
	cost    int64
	retries int
	tail    int // pieces at which the rest is next tried exactly, 0 for never
}

func (d *dive) take(p *pattern, n int) {
	d.fixed = append(d.fixed, use{*p, n})
	d.cost += d.s.m.kinds[p.kind].cost * int64(n)
	d.ma.fix(p, n)
}

// goOn solves what is left and tells whether a better plan may still come of it.
func (d *dive) goOn() bool {
	s, ma := d.s, d.ma
	left := ma.wanted()
	if left == 0 {
		s.offer(d.fixed)
		return false
	}
	if rest := s.m.greedy(ma.demand, ma.limit, nil, s.watch); rest != nil {
		s.offer(append(d.fixed[:len(d.fixed):len(d.fixed)], rest...))
	}
	if d.cost >= s.bestCost || s.done() {
		return false
	}
	ma.bound = math.MinInt64
	complete := ma.generate(nil)
	if s.watch.over {
		return false
	}
	// A dive may give up on the program's value alone: nothing is proven by it.
	if ma.lp.artificial() > 1e-6 {
		return false
	}
	value := int64(math.Ceil(ma.lp.value()*ma.unit - 1e-5))
	if complete {
		value = max(value, ceilDiv(ma.bound, ma.scale))
	}
	if s.m.nextCost(d.cost+value) >= s.bestCost {
		return false
	}
	if left <= d.tail {
		d.tail = left / 2
		if rest, none := s.settle(ma.demand, ma.limit, s.bestCost-1-d.cost); rest != nil {
			s.offer(append(d.fixed[:len(d.fixed):len(d.fixed)], rest...))
			return false
		} else if none {
			return false
		}
	}
	return true
}

// settle looks for a plan for part of the demand within a cost, exactly where that is cheap.
// None means that there is proven to be none.
func (s *search) settle(demand, limit []int, most int64) (sol []use, none bool) {
	sub, back := s.m.part(demand, limit)
	in := &search{p: s.p, m: sub, o: s.o, watch: s.watch, bestCost: most + 1, scale: s.scale, inner: true}
	in.offer(sub.greedy(sub.d, sub.limits(), nil, s.watch))
	if !in.done() {
		in.patterns()
	}
	for i := range in.best {
		u := use{pattern{kind: in.best[i].kind}, in.best[i].times}
		for _, it := range in.best[i].items {
			u.items = append(u.items, item{back[it.t], it.n})
		}
		sol = append(sol, u)
	}
	return sol, in.best == nil && in.lower > most
}

// part makes the model of part of the demand; back gives each of its lengths' index here.
func (m *model) part(demand, limit []int) (sub *model, back []int32) {
	m.nextCost(0) // the sums of prices are shared
	sub = &model{costUnit: m.costUnit, sums: m.sums, kinds: append([]kind(nil), m.kinds...)}
	for t, d := range demand {
		if d > 0 {
			sub.w, sub.d = append(sub.w, m.w[t]), append(sub.d, d)
			back = append(back, int32(t))
			sub.total += d
		}
	}
	for k := range sub.kinds {
		sub.kinds[k].limit = min(limit[k], sub.total)
	}
	return sub, back
}
