package stock

import (
	"math"
	"strconv"
)

// master is the linear program over cutting patterns: a row for each length (cut at least the
// demand) and one for each limited kind of stick, columns made when they are worth it.
type master struct {
	m      *model
	lp     *lp
	pats   []pattern // of each lp column; empty for artificial ones
	demand []int
	limit  []int
	limRow []int // of each kind, −1 where the limit cannot matter
	unit   float64
	scale  int64 // whole numbers per cost unit in exact duals
	most   int64 // largest exact dual, so that no filling's value leaves 2^50
	ks     *knapsack
	seen   map[string]bool
	watch  *watch
	full   bool // search the knapsack to its end this time
	quick  bool // an unfinished search of the knapsack ends the generation of columns
	// best exact bound seen, times scale, for the whole program as it stands
	bound int64
	// duals that gave it: of lengths, and what the bound adds to each kind's price
	boundY, boundZ []int64
}

// newMaster sets the program up with the columns of some plans.
func newMaster(m *model, scale int64, w *watch, plans ...[]use) *master {
	ma := &master{m: m, scale: scale, watch: w, demand: m.d, seen: map[string]bool{}, ks: &knapsack{watch: w}, bound: math.MinInt64}
	sense := make([]float64, 0, len(m.w)+len(m.kinds))
	rhs := make([]float64, 0, len(m.w)+len(m.kinds))
	for _, d := range m.d {
		sense, rhs = append(sense, 1), append(rhs, float64(d))
	}
	ma.limRow = make([]int, len(m.kinds))
	ma.limit = make([]int, len(m.kinds))
	cmax := int64(1)
	longest := int64(0)
	for k := range m.kinds {
		kd := &m.kinds[k]
		ma.limRow[k] = -1
		ma.limit[k] = kd.limit
		if kd.limited {
			ma.limRow[k] = len(rhs)
			sense, rhs = append(sense, -1), append(rhs, float64(kd.limit))
		}
		if kd.limit == 0 {
			continue // too dear for any better plan
		}
		cmax = max(cmax, kd.cost)
		longest = max(longest, kd.cap)
	}
	ma.unit = float64(cmax)
	ma.most = 1 << 50 / max(1, min(int64(m.total), longest/m.w[len(m.w)-1]))
	ma.lp = newLP(sense, rhs, 10, w)
	for t := range m.w {
		for k := range m.kinds {
			n := min(int64(m.d[t]), m.kinds[k].cap/m.w[t])
			if n > 0 && m.kinds[k].limit > 0 {
				ma.addPattern(pattern{k, []item{{int32(t), int32(n)}}})
			}
		}
	}
	for _, plan := range plans {
		for i := range plan {
			ma.addPattern(plan[i].pattern)
		}
	}
	return ma
}

func patternKey(p *pattern) string {
	b := make([]byte, 0, 8+8*len(p.items))
	b = strconv.AppendInt(b, int64(p.kind), 36)
	for _, it := range p.items {
		b = append(b, ' ')
		b = strconv.AppendInt(b, int64(it.t), 36)
		b = append(b, '*')
		b = strconv.AppendInt(b, int64(it.n), 36)
	}
	return string(b)
}

// addPattern puts a new pattern in; false if it is there already.
func (ma *master) addPattern(p pattern) bool {
	key := patternKey(&p)
	if ma.seen[key] {
		return false
	}
	ma.seen[key] = true
	c := lpCol{cost: float64(ma.m.kinds[p.kind].cost) / ma.unit}
	for _, it := range p.items {
		c.idx, c.val = append(c.idx, it.t), append(c.val, float64(it.n))
	}
	if r := ma.limRow[p.kind]; r >= 0 {
		c.idx, c.val = append(c.idx, int32(r)), append(c.val, 1)
	}
	v := ma.lp.add(c)
	for len(ma.pats) < int(v) {
		ma.pats = append(ma.pats, pattern{})
	}
	ma.pats = append(ma.pats, p)
	return true
}

// duals gives whole-number duals: y for lengths, z (0 or more) for each kind's limit.
func (ma *master) duals() (y, z []int64) {
	f := ma.unit * float64(ma.scale)
	y = make([]int64, len(ma.m.w))
	for t := range y {
		y[t] = int64(min(max(math.Round(ma.lp.pi[t]*f), 0), float64(ma.most)))
	}
	z = make([]int64, len(ma.m.kinds))
	for k, r := range ma.limRow {
		if r >= 0 {
			z[k] = int64(min(max(math.Round(-ma.lp.pi[r]*f), 0), 1<<50))
		}
	}
	return y, z
}

// generate brings the program to its optimum. It stops early once done says so. True means
// the optimum was reached: no pattern that is not a column prices out.
func (ma *master) generate(stop func() bool) bool {
	for {
		if !ma.lp.solve() {
			return false
		}
		if stop != nil && stop() {
			return false
		}
		y, z := ma.duals()
		cols, bound, complete := ma.price(y, z)
		if complete && bound > ma.bound {
			ma.bound, ma.boundY, ma.boundZ = bound, y, z
		}
		added := false
		for _, p := range cols {
			added = ma.addPattern(p) || added
		}
		if !added {
			if complete && ma.lp.artificial() > 1e-7 && ma.lp.bigM < 1e5 {
				ma.lp.raise(ma.lp.bigM * 10)
				continue
			}
			if !complete && !ma.quick && !ma.full && !ma.watch.over {
				ma.full = true
				continue
			}
			ma.full = false
			return complete
		}
		ma.full = false
		if ma.watch.over {
			return false
		}
	}
}

// price looks for the best pattern of each kind under exact duals. The bound, times scale,
// holds for every whole-number plan within demand and limits when complete:
//
//	cost ≥ Σ demand·y − Σ limit·max(z, value of the best filling − cost)
//
// because every stick of a kind carries at most the best filling's value in y. The price of
// each limit in that sum is left in z.
func (ma *master) price(y, z []int64) (cols []pattern, bound int64, complete bool) {
	m := ma.m
	ma.ks.prepare(m.w, y, ma.demand)
	complete = true
	sum := newWide()
	for t, d := range ma.demand {
		sum.addMul(y[t], int64(d))
	}
	longest := int64(0)
	for k := range m.kinds {
		longest = max(longest, m.kinds[k].cap)
	}
	slack := int64(ma.unit*float64(ma.scale)) >> 35 // twice rcTol or more: below it the lp sees nothing
	for k := range m.kinds {
		kd := &m.kinds[k]
		if ma.limit[k] == 0 {
			continue
		}
		floor := kd.cost*ma.scale + z[k]
		ma.ks.wins = 0
		v, items, done := ma.fill(kd.cap, longest, floor+slack)
		if !done || ma.watch.over {
			complete = false
		}
		z[k] = v - kd.cost*ma.scale
		sum.addMul(-z[k], int64(ma.limit[k]))
		if items != nil {
			cols = append(cols, pattern{k, items})
			for _, o := range ma.ks.others() {
				cols = append(cols, pattern{k, o})
			}
		}
	}
	b, ok := sum.value()
	return cols, b, complete && ok
}

// fill asks the knapsack: a small table at once; else a search that may be cut short when it
// has something to show; else a large table; else the search to its end.
func (ma *master) fill(cap, longest, floor int64) (int64, []item, bool) {
	if ma.ks.tableSize(longest) <= smallTable {
		if v, items, ok := ma.ks.fillTable(cap, longest, floor); ok {
			return v, items, true
		}
	}
	v, items, done := ma.ks.fill(cap, floor, searchNodes)
	if done || ma.quick || (items != nil && !ma.full) {
		return v, items, done
	}
	if v, items, ok := ma.ks.fillTable(cap, longest, floor); ok {
		return v, items, true
	}
	return ma.ks.fill(cap, floor, math.MaxInt)
}

// searchNodes is how far a knapsack search goes before it is cut short.
const searchNodes = 300_000

// wide sums products of int64 without overflow, up to 2^100 or so.
type wide struct{ hi, lo int64 }

func newWide() *wide { return &wide{} }

const wideBase = 1 << 30

// addMul adds a·b for |b| < 2^31.
func (w *wide) addMul(a, b int64) {
	h, l := a/wideBase, a%wideBase
	w.lo += l * b
	w.hi += h * b
	w.hi += w.lo / wideBase
	w.lo %= wideBase
}

// value gives the sum if it fits.
func (w *wide) value() (int64, bool) {
	if w.hi >= 1<<32 || w.hi <= -1<<32 {
		return 0, false
	}
	return w.hi*wideBase + w.lo, true
}

// ceilDiv rounds a/b up, b > 0.
func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}
