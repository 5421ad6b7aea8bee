package stock

import (
	"math"
	"sort"
)

// cut adds the most violated rows of one family: for three lengths whose demands add up to an
// odd number, half of their demand rows added up and rounded up on both sides,
//
//	Σ ⌈(pieces of the three in the pattern) / 2⌉ · x ≥ ⌈(demand of the three) / 2⌉,
//
// which every whole-number plan keeps (Chvátal and Gomory's rounding). False: none is violated.
func (t *tree) cut(nd *node) bool {
	const (
		atOnce = 15
		least  = 0.02
		most   = 120
	)
	if len(nd.rows) > most {
		return false
	}
	type col struct {
		x float64
		i int32
	}
	var cols []col
	nd.lp.each(func(v int32, x float64) {
		if math.Abs(x-math.Round(x)) > 1e-6 {
			cols = append(cols, col{x, nd.ids[v]})
		}
	})
	m := t.s.m
	// Only lengths that meet in fractional patterns can make a violated row: start from pairs.
	near := make([]map[int32]bool, len(m.w))
	in := make([][]int, len(m.w)) // fractional columns by length
	for c, q := range cols {
		for s := t.po.start[q.i]; s < t.po.start[q.i+1]; s++ {
			a := t.po.typ[s]
			in[a] = append(in[a], c)
			if near[a] == nil {
				near[a] = map[int32]bool{}
			}
			for r := t.po.start[q.i]; r < t.po.start[q.i+1]; r++ {
				near[a][t.po.typ[r]] = true
			}
		}
	}
	// activity of all columns is needed for the left side
	act := make([]float64, len(m.w)) // Σ x·a over all columns
	var all []col
	nd.lp.each(func(v int32, x float64) {
		i := nd.ids[v]
		all = append(all, col{x, i})
		for s := t.po.start[i]; s < t.po.start[i+1]; s++ {
			act[t.po.typ[s]] += x * float64(t.po.num[s])
		}
	})
	byLen := make([][]int, len(m.w))
	for c, q := range all {
		for s := t.po.start[q.i]; s < t.po.start[q.i+1]; s++ {
			byLen[t.po.typ[s]] = append(byLen[t.po.typ[s]], c)
		}
	}
	type found struct {
		a    [3]int32
		viol float64
		rhs  int64
	}
	var cuts []found
	mark := make([]int, len(all))
	stamp := 0
	try := func(a, b, c int32) {
		d := m.d[a]
		set := []int32{a}
		if b != a {
			d += m.d[b]
			set = append(set, b)
		}
		if c != b {
			d += m.d[c]
			set = append(set, c)
		}
		if d%2 == 0 {
			return
		}
		rhs := int64(d+1) / 2
		lhs := 0.0
		stamp++
		for _, l := range set {
			for _, k := range byLen[l] {
				if mark[k] == stamp {
					continue
				}
				mark[k] = stamp
				n := int32(0)
				for _, q := range set {
					n += t.po.count(all[k].i, q)
				}
				lhs += all[k].x * float64((n+1)/2)
			}
		}
		if v := float64(rhs) - lhs; v > least {
			cuts = append(cuts, found{[3]int32{a, b, c}, v, rhs})
		}
	}
	work := 0
	for a := range int32(len(m.w)) {
		for b := range near[a] {
			if b <= a {
				continue
			}
			for c := range near[a] {
				if c > b && near[b][c] {
					try(a, b, c)
					work++
				}
			}
		}
	}
	t.s.watch.spend(work * 100)
	if len(cuts) == 0 {
		return false
	}
	sort.Slice(cuts, func(i, j int) bool {
		if cuts[i].viol != cuts[j].viol {
			return cuts[i].viol > cuts[j].viol
		}
		for k := range 3 {
			if cuts[i].a[k] != cuts[j].a[k] {
				return cuts[i].a[k] < cuts[j].a[k]
			}
		}
		return false
	})
	for _, c := range cuts[:min(atOnce, len(cuts))] {
		if t.s.watch.over {
			return false
		}
		nd.addRow(t.newRow(formThird, c.a, 0, 1, c.rhs))
	}
	return true
}
