package stock

import (
	"slices"
	"sort"
)

// stick is one stick of a plan while it is being improved.
type stick struct {
	stock int
	items []item // by length index, ascending
	used  int64  // Σ (length + kerf)
	cost  int64
	waste int64
	kept  int64 // remainder for the rack, 0 if none
}

// bench improves a plan in the measures after the first by small exchanges between two
// sticks. It is a bounded local search: it never makes an earlier measure worse, and proves
// nothing.
type bench struct {
	p      *Problem
	m      *model
	watch  *watch
	lens   []int64 // by length index
	left   []int   // sticks of each stock not in use, −1 without limit
	sticks []stick
	keys   map[string]int // sticks by layout
	// scratch of fullest
	cnt, top   []int32
	size, rest []int64
}

const (
	improveSticks = 300       // plans of more sticks are left as they are
	improveWork   = 100 << 20 // steps
)

// improve returns sol as expanded sticks improved, or nil where it is too large to touch.
func (s *search) improve() []stick {
	b := &bench{p: s.p, m: s.m, watch: &watch{ctx: s.watch.ctx, limit: improveWork}, keys: map[string]int{}}
	for _, st := range s.p.Stocks {
		b.left = append(b.left, st.Count)
	}
	for t := range s.m.w {
		b.lens = append(b.lens, s.p.Pieces[s.m.members[t][0]].Length)
	}
	n := 0
	for i := range s.best {
		n += s.best[i].times
	}
	if n > improveSticks {
		return nil
	}
	for _, c := range s.m.cuts(s.best) {
		b.take(c.stock, c.times)
		for range c.times {
			b.sticks = append(b.sticks, b.stick(c.stock, c.items))
		}
	}
	for pass := 0; pass < 12 && !b.watch.over; pass++ {
		changed := b.restockAll()
		if b.p.LeastOffcut > 0 { // else all of a remainder is waste, wherever it is
			changed = b.exchange(b.lessWaste) || changed
		}
		if !changed {
			break
		}
	}
	for i := range b.sticks {
		b.keys[stickKey(&b.sticks[i])]++
	}
	for pass := 0; pass < 6 && !b.watch.over; pass++ {
		halved := b.halve()
		if !b.alike() && !halved {
			break
		}
	}
	for pass := 0; pass < 4 && b.p.LeastOffcut > 0 && !b.watch.over && b.exchange(b.longerKept); pass++ {
	}
	s.watch.spent += b.watch.spent
	return b.sticks
}

func (b *bench) take(stock, n int) {
	if b.left[stock] >= 0 {
		b.left[stock] -= n
	}
}

func (b *bench) stick(stock int, items []item) stick {
	s := stick{stock: stock, items: items}
	st := b.p.Stocks[stock]
	var sum, n int64
	for _, it := range items {
		sum += b.lens[it.t] * int64(it.n)
		n += int64(it.n)
	}
	s.used = sum + n*b.p.Kerf
	s.cost = max(st.Cost, 0)
	rem, kept := remainderOf(b.p, st, sum, n)
	s.waste = st.Length - sum
	if kept {
		s.waste -= rem
		s.kept = rem
	}
	return s
}

func (b *bench) room(stock int) int64 {
	st := b.p.Stocks[stock]
	return st.Length - b.p.EndTrim + b.p.Kerf
}

// better compares (cost, waste).
func better(c1, w1, c2, w2 int64) bool { return c1 < c2 || (c1 == c2 && w1 < w2) }

// restock gives the best stock for items: no dearer, less waste, among those free.
func (b *bench) restock(s stick) stick {
	best := s
	for k := range b.p.Stocks {
		if k == s.stock || b.left[k] == 0 || b.room(k) < s.used || b.p.Stocks[k].Cost == NoPrice {
			continue
		}
		if c := b.stick(k, s.items); better(c.cost, c.waste, best.cost, best.waste) {
			best = c
		}
	}
	b.watch.spend(20 * len(b.p.Stocks))
	return best
}

func (b *bench) restockAll() bool {
	changed := false
	for i := range b.sticks {
		if c := b.restock(b.sticks[i]); c.stock != b.sticks[i].stock {
			b.take(b.sticks[i].stock, -1)
			b.take(c.stock, 1)
			b.sticks[i] = c
			changed = true
		}
	}
	return changed
}

// exchange goes through all pairs of sticks, packs the pieces of both anew so that one is as
// full as can be, and keeps what judge finds better.
func (b *bench) exchange(judge func(i, j int, x, y stick) bool) bool {
	changed := false
	for i := range b.sticks {
		for j := range i {
			if b.watch.spend(200) {
				return changed
			}
			both := joinItems(b.sticks[i].items, b.sticks[j].items)
			for _, ord := range [2][2]int{{i, j}, {j, i}} {
				full, rest := b.sticks[ord[0]].stock, b.sticks[ord[1]].stock
				in := b.fullest(both, b.room(full))
				out := lessItems(both, in)
				if len(in) == 0 || len(out) == 0 {
					continue
				}
				x, y := b.stick(full, in), b.stick(rest, out)
				if y.used > b.room(rest) {
					continue
				}
				if judge(ord[0], ord[1], x, y) {
					b.sticks[ord[0]], b.sticks[ord[1]] = x, y
					changed = true
					both = joinItems(b.sticks[i].items, b.sticks[j].items)
				}
			}
		}
	}
	return changed
}

func (b *bench) lessWaste(i, j int, x, y stick) bool {
	return better(x.cost+y.cost, x.waste+y.waste, b.sticks[i].cost+b.sticks[j].cost, b.sticks[i].waste+b.sticks[j].waste)
}

// longerKept wants a longer longest remainder on the rack for no more waste, cost or layouts.
func (b *bench) longerKept(i, j int, x, y stick) bool {
	longest := int64(0)
	for k := range b.sticks {
		longest = max(longest, b.sticks[k].kept)
	}
	if max(x.kept, y.kept) <= longest || better(b.sticks[i].cost+b.sticks[j].cost, b.sticks[i].waste+b.sticks[j].waste, x.cost+y.cost, x.waste+y.waste) {
		return false
	}
	if b.moreLayouts(i, j, &x, &y) > 0 {
		return false
	}
	b.count(i, j, &x, &y)
	return true
}

// count keeps the number of sticks by layout when i and j become x and y.
func (b *bench) count(i, j int, x, y *stick) {
	for _, k := range [2]int{i, j} {
		key := stickKey(&b.sticks[k])
		if b.keys[key]--; b.keys[key] == 0 {
			delete(b.keys, key)
		}
	}
	b.keys[stickKey(x)]++
	b.keys[stickKey(y)]++
}

// moreLayouts is how many more different layouts there would be.
func (b *bench) moreLayouts(i, j int, x, y *stick) int {
	before := len(b.keys)
	old := [2]stick{b.sticks[i], b.sticks[j]}
	b.count(i, j, x, y)
	after := len(b.keys)
	b.sticks[i], b.sticks[j] = *x, *y
	b.count(i, j, &old[0], &old[1])
	b.sticks[i], b.sticks[j] = old[0], old[1]
	b.watch.spend(2000)
	return after - before
}

func stickKey(s *stick) string { return patternKey(&pattern{s.stock, s.items}) }

// alike tries to turn a stick into a copy of another layout, the pieces in exchange going to
// a third, where that leaves fewer different layouts and costs and wastes no more.
func (b *bench) alike() bool {
	changed := false
	for c := range b.sticks {
		for i := range b.sticks {
			if b.sticks[i].stock != b.sticks[c].stock || i == c || slices.Equal(b.sticks[i].items, b.sticks[c].items) {
				continue
			}
			for j := range b.sticks {
				if j == i || j == c {
					continue
				}
				if b.watch.spend(20) {
					return changed
				}
				si, sj, x := &b.sticks[i], &b.sticks[j], b.sticks[c]
				if rest := si.used + sj.used - x.used; rest <= 0 || rest > b.room(sj.stock) {
					continue
				}
				if !withinBoth(x.items, si.items, sj.items) {
					continue
				}
				b.watch.spend(1000)
				y := b.stick(sj.stock, lessItems(joinItems(si.items, sj.items), x.items))
				if better(si.cost+sj.cost, si.waste+sj.waste, x.cost+y.cost, x.waste+y.waste) || b.moreLayouts(i, j, &x, &y) >= 0 {
					continue
				}
				b.count(i, j, &x, &y)
				b.sticks[i], b.sticks[j] = x, y
				changed = true
				break
			}
		}
	}
	return changed
}

// halve gives two sticks of one stock half of their pieces each, where that comes out even, leaves
// fewer different layouts and costs and wastes no more.
func (b *bench) halve() bool {
	changed := false
	for i := range b.sticks {
		for j := range i {
			if b.watch.spend(200) {
				return changed
			}
			si, sj := &b.sticks[i], &b.sticks[j]
			if si.stock != sj.stock || slices.Equal(si.items, sj.items) {
				continue
			}
			half := joinItems(si.items, sj.items)
			even := true
			for k := range half {
				even = even && half[k].n%2 == 0
				half[k].n /= 2
			}
			if !even {
				continue
			}
			x := b.stick(si.stock, half)
			if x.used > b.room(x.stock) || better(si.cost+sj.cost, si.waste+sj.waste, 2*x.cost, 2*x.waste) || b.moreLayouts(i, j, &x, &x) >= 0 {
				continue
			}
			b.count(i, j, &x, &x)
			b.sticks[i], b.sticks[j] = x, x
			changed = true
		}
	}
	return changed
}

// fullest gives the part of items that fills room best: a subset-sum search, bounded.
func (b *bench) fullest(items []item, room int64) []item {
	var best, used int64
	n := len(items)
	for len(b.rest) <= n {
		b.cnt, b.top, b.size, b.rest = append(b.cnt, 0), append(b.top, 0), append(b.size, 0), append(b.rest, 0)
	}
	cnt, top, size, rest := b.cnt[:n], b.top[:n], b.size[:n], b.rest[:n+1]
	clear(cnt)
	clear(top)
	rest[n] = 0
	for k := len(items) - 1; k >= 0; k-- {
		size[k] = b.lens[items[k].t] + b.p.Kerf
		rest[k] = rest[k+1] + size[k]*int64(items[k].n)
	}
	nodes := 0
	var search func(k int)
	search = func(k int) {
		nodes++
		if used > best {
			best = used
			copy(top, cnt)
		}
		if k == len(items) || nodes > 1500 || best == room || used+rest[k] <= best {
			return
		}
		for c := min(int64(items[k].n), (room-used)/size[k]); c >= 0; c-- {
			cnt[k] = int32(c)
			used += c * size[k]
			search(k + 1)
			used -= c * size[k]
		}
		cnt[k] = 0
	}
	search(0)
	b.watch.spend(10 * nodes)
	var out []item
	for k, c := range top {
		if c > 0 {
			out = append(out, item{items[k].t, c})
		}
	}
	return out
}

func joinItems(a, b []item) []item {
	out := append([]item(nil), a...)
	for _, it := range b {
		i := sort.Search(len(out), func(i int) bool { return out[i].t >= it.t })
		if i < len(out) && out[i].t == it.t {
			out[i].n += it.n
			continue
		}
		out = append(out, item{})
		copy(out[i+1:], out[i:])
		out[i] = it
	}
	return out
}

// lessItems takes b, which lies within a, out of a.
func lessItems(a, b []item) []item {
	var out []item
	k := 0
	for _, it := range a {
		for k < len(b) && b[k].t < it.t {
			k++
		}
		if k < len(b) && b[k].t == it.t {
			it.n -= b[k].n
		}
		if it.n > 0 {
			out = append(out, it)
		}
	}
	return out
}

// withinBoth tells whether x can be made of the pieces of a and b.
func withinBoth(x, a, b []item) bool {
	i, j := 0, 0
	for _, it := range x {
		n := int32(0)
		for i < len(a) && a[i].t < it.t {
			i++
		}
		if i < len(a) && a[i].t == it.t {
			n = a[i].n
		}
		for j < len(b) && b[j].t < it.t {
			j++
		}
		if j < len(b) && b[j].t == it.t {
			n += b[j].n
		}
		if n < it.n {
			return false
		}
	}
	return true
}
