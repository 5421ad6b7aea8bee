package stock

import "sort"

// kind is all sticks of one capacity and price, in the scaled units of a model.
type kind struct {
	cap     int64 // usable length + kerf, in model units
	cost    int64 // in cost units of the model
	limit   int   // sticks there are, never more than the pieces wanted
	limited bool  // whether limit can matter
	from    []source
}

type source struct{ stock, count int }

// model is a Problem brought to its core: different lengths with their kerf added, in a unit
// that divides all of them, longest first; sticks merged by capacity and price, dear ones
// that a cheaper unlimited stick replaces left out.
type model struct {
	w        []int64
	d        []int
	members  [][]int // for each length, the indexes into Problem.Pieces
	kinds    []kind
	costUnit int64  // price = cost × costUnit
	total    int    // pieces wanted
	longest  int64  // capacity of the longest stick
	sums     []bool // possible sums of prices, see nextCost
	ceiling  int64  // cost of the first plan
}

type item struct{ t, n int32 }

// pattern is one way to fill a stick of a kind, lengths by index in ascending order.
type pattern struct {
	kind  int
	items []item
}

// use is a pattern cut several times.
type use struct {
	pattern
	times int
}

func gcd64(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// newModel needs a validated problem.
func newModel(p *Problem, o Objective) *model {
	m := &model{costUnit: 1}
	byLen := map[int64]int{}
	var lens []int64
	for _, c := range p.Pieces {
		if c.Demand == 0 {
			continue
		}
		if _, ok := byLen[c.Length]; !ok {
			byLen[c.Length] = 0
			lens = append(lens, c.Length)
		}
	}
	sort.Slice(lens, func(a, b int) bool { return lens[a] > lens[b] })
	var unit int64
	for i, l := range lens {
		byLen[l] = i
		unit = gcd64(unit, l+p.Kerf)
	}
	m.w = make([]int64, len(lens))
	m.d = make([]int, len(lens))
	m.members = make([][]int, len(lens))
	for i, l := range lens {
		m.w[i] = (l + p.Kerf) / unit
	}
	for i, c := range p.Pieces {
		if c.Demand > 0 {
			t := byLen[c.Length]
			m.d[t] += c.Demand
			m.members[t] = append(m.members[t], i)
			m.total += c.Demand
		}
	}
	if m.total > 0 {
		m.addKinds(p, o, unit)
	}
	return m
}

func (m *model) addKinds(p *Problem, o Objective, unit int64) {
	shortest := m.w[len(m.w)-1]
	type key struct{ cap, cost int64 }
	at := map[key]int{}
	var costUnit int64
	for i, s := range p.Stocks {
		if s.Count == 0 || s.Length <= p.EndTrim {
			continue
		}
		k := key{(s.Length - p.EndTrim + p.Kerf) / unit, max(s.Cost, 0)}
		if o == FewestSticks {
			k.cost = 1
		}
		if k.cap < shortest {
			continue
		}
		m.longest = max(m.longest, k.cap)
		n := s.Count
		if n == Unlimited || n > m.total {
			n = m.total
		}
		j, ok := at[k]
		if !ok {
			j = len(m.kinds)
			at[k] = j
			m.kinds = append(m.kinds, kind{cap: k.cap, cost: k.cost})
			costUnit = gcd64(costUnit, k.cost)
		}
		m.kinds[j].from = append(m.kinds[j].from, source{i, n})
		m.kinds[j].limit = min(m.kinds[j].limit+n, m.total)
	}
	if costUnit > 1 {
		m.costUnit = costUnit
		for j := range m.kinds {
			m.kinds[j].cost /= costUnit
		}
	}
	// Longest first; of one length the cheapest first. A stick is left out when an earlier one
	// without limit is at least as long and costs no more.
	sort.SliceStable(m.kinds, func(a, b int) bool {
		ka, kb := &m.kinds[a], &m.kinds[b]
		if ka.cap != kb.cap {
			return ka.cap > kb.cap
		}
		return ka.cost < kb.cost
	})
	kept := m.kinds[:0]
	cheapest := int64(-1)
	for _, k := range m.kinds {
		k.limited = k.limit < m.total
		if cheapest >= 0 && k.cost >= cheapest {
			continue
		}
		if !k.limited {
			cheapest = k.cost
		}
		kept = append(kept, k)
	}
	m.kinds = kept
}

// weight gives the length a pattern takes, in model units.
func (m *model) weight(p *pattern) int64 {
	var w int64
	for _, it := range p.items {
		w += int64(it.n) * m.w[it.t]
	}
	return w
}

// costOf gives the cost of a solution in cost units.
func (m *model) costOf(sol []use) int64 {
	var c int64
	for i := range sol {
		c += m.kinds[sol[i].kind].cost * int64(sol[i].times)
	}
	return c
}

// tidy drops what a solution cuts beyond the demand, and sticks that become empty. It
// works on copies, so patterns shared with a master problem stay as they are.
func (m *model) tidy(sol []use) []use {
	left := append([]int(nil), m.d...)
	var out []use
	for _, u := range sol {
		for u.times > 0 {
			// as many whole repeats as the demand still left takes
			n := u.times
			for _, it := range u.items {
				n = min(n, left[it.t]/int(it.n))
			}
			if n > 0 {
				for _, it := range u.items {
					left[it.t] -= n * int(it.n)
				}
				out = append(out, use{u.pattern, n})
				u.times -= n
				continue
			}
			var cut []item
			for _, it := range u.items {
				if k := min(int(it.n), left[it.t]); k > 0 {
					cut = append(cut, item{it.t, int32(k)})
					left[it.t] -= k
				}
			}
			if len(cut) == 0 {
				break
			}
			out = append(out, use{pattern{u.kind, cut}, 1})
			u.times--
		}
	}
	return out
}

// covers tells whether a solution meets the demand within the limits.
func (m *model) covers(sol []use) bool {
	made := make([]int, len(m.w))
	used := make([]int, len(m.kinds))
	for i := range sol {
		u := &sol[i]
		if m.weight(&u.pattern) > m.kinds[u.kind].cap {
			return false
		}
		used[u.kind] += u.times
		for _, it := range u.items {
			made[it.t] += int(it.n) * u.times
		}
	}
	for t, d := range m.d {
		if made[t] < d {
			return false
		}
	}
	for k := range m.kinds {
		if used[k] > m.kinds[k].limit {
			return false
		}
	}
	return true
}
