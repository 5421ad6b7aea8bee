package stock

import "sort"

// knapsack finds the most valuable filling of a stick: at most d[t] of length w[t], each worth
// y[t]. Values are whole numbers, so an answer that is complete is exact. It searches in
// order of value per length (Gilmore and Gomory's lexicographic search), which does not
// depend on how fine the unit is, and falls back to a table over the length where the
// search grows large and the table is affordable.
type knapsack struct {
	watch *watch
	typ   []int32 // position → length index
	w, y  []int64
	d     []int
	ratio []float64
	least []int64 // shortest from here on
	cnt   []int
	best  int64
	top   []int   // counts of the best filling
	more  [][]int // and of the ones it improved on, as a ring
	wins  int
	nodes int
	stop  int // give up the search beyond this many nodes
	table knapsackTable
}

const (
	tableCells = 24 << 20 // largest table: cells of one byte beside 8 bytes per length unit
	smallTable = 1 << 18  // a table this small is quicker than searching first
)

// tableSize is the number of cells a table up to longest would take.
func (s *knapsack) tableSize(longest int64) int64 {
	if longest > tableCells {
		return tableCells + 1
	}
	return int64(len(s.w)) * (longest + 1)
}

// prepare sorts the lengths of positive value.
func (s *knapsack) prepare(w, y []int64, d []int) {
	s.typ = s.typ[:0]
	for t := range w {
		if y[t] > 0 && d[t] > 0 {
			s.typ = append(s.typ, int32(t))
		}
	}
	sort.SliceStable(s.typ, func(a, b int) bool {
		ta, tb := s.typ[a], s.typ[b]
		return float64(y[ta])*float64(w[tb]) > float64(y[tb])*float64(w[ta])
	})
	n := len(s.typ)
	s.w, s.y, s.d = make([]int64, n), make([]int64, n), make([]int, n)
	s.ratio, s.least = make([]float64, n+1), make([]int64, n+1)
	s.cnt = make([]int, n)
	s.more = make([][]int, runnersUp)
	for i := range s.more {
		s.more[i] = make([]int, n)
	}
	s.least[n] = 1 << 62
	for k := n - 1; k >= 0; k-- {
		t := s.typ[k]
		s.w[k], s.y[k], s.d[k] = w[t], y[t], d[t]
		// A hair above the true ratio, and never below a later one: the bound made of it
		// stays above every filling in spite of rounding.
		s.ratio[k] = max(float64(y[t])/float64(w[t])*(1+1e-12), s.ratio[k+1])
		s.least[k] = min(w[t], s.least[k+1])
	}
	s.table.ready = false
}

// fill looks for the filling of greatest value above floor. It reports the value (floor if
// there is none above), the filling, and whether the search was complete.
func (s *knapsack) fill(cap, floor int64, nodes int) (int64, []item, bool) {
	s.best, s.nodes, s.stop = floor, 0, nodes
	clear(s.cnt)
	s.wins = 0
	s.search(0, cap, 0)
	s.watch.spend(s.nodes * 4)
	done := s.nodes <= s.stop
	if s.best <= floor {
		return floor, nil, done
	}
	return s.best, s.items(s.top), done
}

// runnersUp is how many of the fillings found on the way to the best are kept.
const runnersUp = 6

// others gives the fillings above floor that the last search found before its best.
func (s *knapsack) others() [][]item {
	var out [][]item
	for i := s.wins - 2; i >= 0 && i > s.wins-1-runnersUp; i-- {
		out = append(out, s.items(s.more[i%runnersUp]))
	}
	return out
}

func (s *knapsack) items(cnt []int) []item {
	var out []item
	for k, n := range cnt {
		if n > 0 {
			out = append(out, item{s.typ[k], int32(n)})
		}
	}
	sort.Slice(out, func(a, b int) bool { return out[a].t < out[b].t })
	return out
}

func (s *knapsack) search(k int, rem, val int64) {
	if val > s.best {
		s.best = val
		s.top = s.more[s.wins%runnersUp]
		s.wins++
		copy(s.top, s.cnt)
		clear(s.top[k:])
	}
	for ; k < len(s.w) && rem >= s.least[k]; k++ {
		s.nodes++
		if s.nodes > s.stop {
			return
		}
		if s.nodes&0xffff == 0 && s.watch.spend(0x10000*4) {
			s.stop = 0
			return
		}
		if s.bound(k, rem, val) <= s.best {
			return
		}
		w := s.w[k]
		if w > rem {
			continue
		}
		n := min(s.d[k], int(min(rem/w, 1<<30)))
		for c := n; c >= 1; c-- {
			s.cnt[k] = c
			s.search(k+1, rem-int64(c)*w, val+int64(c)*s.y[k])
			if s.nodes > s.stop {
				break
			}
			if c > 1 && s.bound(k+1, rem-int64(c-1)*w, val+int64(c-1)*s.y[k]) <= s.best {
				break
			}
		}
		s.cnt[k] = 0
	}
}

// bound is never below the best filling that keeps what is chosen. Values stay below 2^52.
func (s *knapsack) bound(k int, rem, val int64) int64 {
	return int64(float64(val)+float64(rem)*s.ratio[k]) + 1
}

// knapsackTable is the bounded knapsack by lengths, one table for every stick.
type knapsackTable struct {
	ready bool
	f     []int64  // best value by length used at most
	take  [][]byte // by position and length: copies taken, capped
}

// fillTable answers like fill, completely, for every cap up to longest.
func (s *knapsack) fillTable(cap, longest, floor int64) (int64, []item, bool) {
	n := len(s.w)
	if s.tableSize(longest) > tableCells {
		return floor, nil, false
	}
	if !s.table.ready && !s.buildTable(longest) {
		return floor, nil, false
	}
	v := s.table.f[cap]
	if v <= floor {
		return floor, nil, true
	}
	var out []item
	for k := n - 1; k >= 0; k-- {
		if c := s.table.take[k][cap]; c > 0 {
			out = append(out, item{s.typ[k], int32(c)})
			cap -= int64(c) * s.w[k]
		}
	}
	sort.Slice(out, func(a, b int) bool { return out[a].t < out[b].t })
	return v, out, true
}

func (s *knapsack) buildTable(longest int64) bool {
	size := int(longest) + 1
	tb := &s.table
	if cap(tb.f) < size {
		tb.f = make([]int64, size)
	}
	tb.f = tb.f[:size]
	clear(tb.f)
	f := tb.f
	for k := range s.w {
		w, y := int(s.w[k]), s.y[k]
		most := min(s.d[k], int(longest)/w)
		if most > 255 {
			return false // more copies than the table records; the search has to answer
		}
		if k == len(tb.take) {
			tb.take = append(tb.take, nil)
		}
		if cap(tb.take[k]) < size {
			tb.take[k] = make([]byte, size)
		}
		take := tb.take[k][:size]
		tb.take[k] = take
		clear(take)
		// Downwards, so that what lies below still knows nothing of this length.
		if most == 1 {
			for c := size - 1; c >= w; c-- {
				if x := f[c-w] + y; x > f[c] {
					f[c], take[c] = x, 1
				}
			}
		} else {
			for c := size - 1; c >= w; c-- {
				best, bn := f[c], 0
				left, v := c, int64(0)
				for n := 1; n <= most; n++ {
					left -= w
					if left < 0 {
						break
					}
					v += y
					if x := f[left] + v; x > best {
						best, bn = x, n
					}
				}
				f[c], take[c] = best, byte(bn)
			}
		}
		if s.watch.spend(size * (1 + most)) {
			return false
		}
	}
	tb.ready = true
	return true
}
