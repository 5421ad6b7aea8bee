package stock

import (
	"math"
	"slices"
	"sort"
)

// tree is the branch and cut over a pool: it finds the cheapest plan the pool holds within a
// target, or proves that there is none. Every prune rests on exact duals.
type tree struct {
	s          *search
	po         *pool
	limit      []int
	target     int64 // cost a plan must not exceed
	nodes      int
	maxNodes   int
	incomplete bool // a node could be neither solved nor split
	val        []int64
	perStick   int64 // most pieces a stick holds, with what a row can count them for
}

// node is a part of the tree: rows beyond the base, the patterns not ruled out, and a linear
// program ready to go on from the parent's.
type node struct {
	rows  []*row
	alive []int32
	lp    *lp
	ids   []int32  // pool pattern of each lp column, −1 for artificial ones
	in    []uint64 // bit set of the pool patterns that are columns
	depth int
	bound int64 // exact bound of its program, times scale
	known bool  // whether there is one
}

// run explores the whole tree. True means that it is complete: no plan within the final target
// is left unfound.
func (t *tree) run(unit float64) bool {
	m := t.s.m
	t.val = make([]int64, t.po.len())
	for i := range t.po.len() {
		n := int64(0)
		for q := t.po.start[i]; q < t.po.start[i+1]; q++ {
			n += int64(t.po.num[q])
		}
		t.perStick = max(t.perStick, 2+n)
	}
	var sense, rhs []float64
	for _, d := range m.d {
		sense, rhs = append(sense, 1), append(rhs, float64(d))
	}
	for k := range m.kinds {
		if m.kinds[k].limited {
			sense, rhs = append(sense, -1), append(rhs, float64(t.limit[k]))
		}
	}
	nd := &node{lp: newLP(sense, rhs, 10, t.s.watch), in: make([]uint64, t.po.len()/64+1)}
	for i := range t.po.len() {
		nd.alive = append(nd.alive, int32(i))
	}
	t.explore(nd, unit)
	return !t.incomplete && !t.s.watch.over
}

// column makes the lp column of a pool pattern under a node's rows.
func (t *tree) column(nd *node, i int32, unit float64) lpCol {
	m := t.s.m
	c := lpCol{cost: float64(m.kinds[t.po.kind[i]].cost) / unit}
	for q := t.po.start[i]; q < t.po.start[i+1]; q++ {
		c.idx, c.val = append(c.idx, t.po.typ[q]), append(c.val, float64(t.po.num[q]))
	}
	r := int32(len(m.w))
	for k := range m.kinds {
		if m.kinds[k].limited {
			if int32(k) == t.po.kind[i] {
				c.idx, c.val = append(c.idx, r), append(c.val, 1)
			}
			r++
		}
	}
	for _, x := range nd.rows {
		if x.coef[i] != 0 {
			c.idx, c.val = append(c.idx, r), append(c.val, float64(x.coef[i]))
		}
		r++
	}
	return c
}

func (nd *node) has(i int32) bool { return nd.in[i/64]>>(i%64)&1 == 1 }

func (nd *node) addColumn(c lpCol, id int32) {
	v := nd.lp.add(c)
	for len(nd.ids) < int(v) {
		nd.ids = append(nd.ids, -1)
	}
	nd.ids = append(nd.ids, id)
	nd.in[id/64] |= 1 << (id % 64)
}

// addRow puts a row into a node's program.
func (nd *node) addRow(r *row) {
	nd.rows = append(nd.rows[:len(nd.rows):len(nd.rows)], r)
	nd.lp.addRow(float64(r.sense), float64(r.rhs), func(v int32) float64 {
		if int(v) >= len(nd.ids) || nd.ids[v] < 0 {
			return 0
		}
		return float64(r.coef[nd.ids[v]])
	})
}

// bound scans the pool under the exact duals of the node's program. It returns the exact
// bound, the patterns that price out, most promising first, and leaves every living pattern's
// reduced cost in t.val.
func (t *tree) bound(nd *node, unit float64) (int64, bool, []int32) {
	m := t.s.m
	scale := t.s.scale
	f := unit * float64(scale)
	most := float64(int64(1<<58) / (t.perStick * int64(1+len(nd.rows))))
	whole := func(x float64) int64 { return int64(min(max(math.Round(x*f), 0), most)) }
	y := make([]int64, len(m.w))
	sum := newWide()
	for i := range y {
		y[i] = whole(nd.lp.pi[i])
		sum.addMul(y[i], int64(m.d[i]))
	}
	z := make([]int64, len(m.kinds))
	r := len(m.w)
	for k := range m.kinds {
		if m.kinds[k].limited {
			z[k] = whole(-nd.lp.pi[r])
			r++
		}
	}
	type extra struct {
		coef []uint8
		y    int64
	}
	var extras []extra
	for i, x := range nd.rows {
		if v := whole(nd.lp.pi[r+i]*float64(x.sense)) * x.sense; v != 0 {
			extras = append(extras, extra{x.coef, v})
			sum.addMul(v, x.rhs)
		}
	}
	worst := make([]int64, len(m.kinds)) // largest value less cost
	for k := range worst {
		worst[k] = z[k]
	}
	var cand []int32
	po := t.po
	work := 0
	for _, i := range nd.alive {
		k := po.kind[i]
		v := -m.kinds[k].cost * scale
		for q := po.start[i]; q < po.start[i+1]; q++ {
			v += y[po.typ[q]] * int64(po.num[q])
		}
		for e := range extras {
			v += int64(extras[e].coef[i]) * extras[e].y
		}
		work += int(po.start[i+1]-po.start[i]) + len(extras)
		t.val[i] = v
		if v > z[k] {
			if v > z[k]+scale>>30 && !nd.has(i) {
				cand = append(cand, i)
			}
			worst[k] = max(worst[k], v)
		}
	}
	for k := range worst {
		sum.addMul(-worst[k], int64(t.limit[k]))
	}
	for _, i := range nd.alive {
		t.val[i] = worst[po.kind[i]] - t.val[i]
	}
	t.s.watch.spend(2*work + 4*len(nd.alive))
	cand = t.mostPromising(cand)
	b, ok := sum.value()
	return b, ok, cand
}

// mostPromising keeps the few patterns of least reduced cost, in order.
func (t *tree) mostPromising(cand []int32) []int32 {
	const take = 40
	top := make([]int32, 0, take+1)
	for _, i := range cand {
		if len(top) == take && t.val[i] >= t.val[top[take-1]] {
			continue
		}
		at := sort.Search(len(top), func(k int) bool { return t.val[top[k]] > t.val[i] })
		top = slices.Insert(top, at, i)
		top = top[:min(take, len(top))]
	}
	return top
}

// solveNode brings a node's program to its optimum. False: the node holds nothing within the
// target (or the tree is marked incomplete).
func (t *tree) solveNode(nd *node, unit float64) bool {
	for {
		if !nd.lp.solve() {
			if t.s.watch.over {
				return false
			}
			if !nd.lp.refactor() || !nd.lp.solve() {
				t.incomplete = true
				return false
			}
		}
		b, ok, cand := t.bound(nd, unit)
		if t.s.watch.over {
			return false
		}
		nd.bound, nd.known = b, ok
		if ok && b > t.target*t.s.scale {
			return false
		}
		for _, i := range cand {
			nd.addColumn(t.column(nd, i, unit), i)
		}
		if len(cand) > 0 {
			continue
		}
		if nd.lp.artificial() > 1e-6 {
			if nd.lp.bigM >= 1e6 {
				t.incomplete = true
				return false
			}
			nd.lp.raise(nd.lp.bigM * 10)
			continue
		}
		if ok {
			// a pattern whose reduced cost alone breaks the target is out of this part
			gap := t.target*t.s.scale - b
			var alive []int32
			for _, i := range nd.alive {
				if t.val[i] <= gap {
					alive = append(alive, i)
				} else if nd.has(i) {
					for v, id := range nd.ids {
						if id == i && !nd.lp.cols[v].in {
							nd.lp.ban(int32(v))
						}
					}
				}
			}
			nd.alive = alive
		}
		return true
	}
}

func (t *tree) explore(nd *node, unit float64) {
	t.nodes++
	if t.nodes > t.maxNodes {
		t.incomplete = true
		return
	}
	for round := 0; ; round++ {
		if !t.solveNode(nd, unit) {
			return
		}
		if t.whole(nd) {
			// Nothing in this part costs less than a whole-number optimum, but that is only as
			// good as the program's rounding: the exact bound has to say so too.
			if !nd.known || nd.bound <= t.target*t.s.scale {
				t.incomplete = true
			}
			return
		}
		if round >= 8 || (nd.depth > 0 && round >= 2) || !t.cut(nd) {
			break
		}
	}
	form, a, atLeast, value := t.split(nd)
	if form < 0 {
		t.incomplete = true
		return
	}
	t.explore(t.child(nd, t.newRow(form, a, atLeast, 1, int64(math.Floor(value))+1), false), unit)
	if t.s.done() || t.incomplete {
		return
	}
	t.explore(t.child(nd, t.newRow(form, a, atLeast, -1, int64(math.Floor(value))), true), unit)
}

// child makes a node with one more row, from a copy or, as the last child, out of the node
// itself. Where the row allows none, its patterns are taken out instead.
func (t *tree) child(nd *node, r *row, last bool) *node {
	c := &node{rows: nd.rows, alive: nd.alive, lp: nd.lp, ids: nd.ids, in: nd.in, depth: nd.depth + 1}
	if !last {
		c.lp, c.ids, c.in = nd.lp.clone(), slices.Clone(nd.ids), slices.Clone(nd.in)
		t.s.watch.spend(c.lp.m*c.lp.m/2 + 20*len(c.lp.cols))
	}
	for len(c.ids) < len(c.lp.cols) {
		c.ids = append(c.ids, -1)
	}
	if r.sense < 0 && r.rhs == 0 {
		var alive []int32
		for _, i := range nd.alive {
			if r.coef[i] == 0 {
				alive = append(alive, i)
			}
		}
		c.alive = alive
		for v, id := range c.ids {
			if id >= 0 && r.coef[id] != 0 {
				c.lp.ban(int32(v))
			}
		}
		c.lp.prices()
		return c
	}
	c.addRow(r)
	return c
}

// whole offers the node's solution if it is one of whole numbers, and a rounded one if not.
func (t *tree) whole(nd *node) bool {
	whole := true
	var sol []use
	used := make([]int, len(t.s.m.kinds))
	left := append([]int(nil), t.s.m.d...)
	nd.lp.each(func(v int32, x float64) {
		n := math.Round(x)
		if math.Abs(x-n) > 1e-6 {
			whole = false
			n = math.Floor(x)
		}
		if n > 0 {
			p := t.po.pattern(nd.ids[v])
			sol = append(sol, use{p, int(n)})
			used[p.kind] += int(n)
			for _, it := range p.items {
				left[it.t] = max(left[it.t]-int(n)*int(it.n), 0)
			}
		}
	})
	if !whole {
		rest := t.s.m.limits()
		for k := range rest {
			rest[k] -= used[k]
		}
		end := t.s.m.greedy(left, rest, nil, t.s.watch)
		if end == nil {
			return false
		}
		t.offer(append(sol, end...))
		return false
	}
	t.offer(sol)
	return true
}

func (t *tree) offer(sol []use) {
	t.s.offer(sol)
	t.target = min(t.target, t.s.bestCost-1)
}
