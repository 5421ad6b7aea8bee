package stock

import (
	"sort"
	"strconv"
	"strings"
)

// cut is one way to cut sticks of one stock, by length index.
type cut struct {
	stock int
	items []item
	times int
}

// cuts names the stock of each use of a solution; sticks of one kind are taken in order.
func (m *model) cuts(sol []use) []cut {
	at := make([]int, len(m.kinds))
	taken := make([]int, len(m.kinds))
	var out []cut
	for i := range sol {
		u := &sol[i]
		for left := u.times; left > 0; {
			from := m.kinds[u.kind].from
			if taken[u.kind] == from[at[u.kind]].count {
				at[u.kind]++
				taken[u.kind] = 0
				continue
			}
			src := from[at[u.kind]]
			n := min(left, src.count-taken[u.kind])
			taken[u.kind] += n
			left -= n
			out = append(out, cut{src.stock, u.items, n})
		}
	}
	return out
}

// gather joins equal sticks, the most frequent first, so that pieces of one length which
// stand in several entries split as few layouts as can be.
func gather(sticks []stick) []cut {
	at := map[string]int{}
	var out []cut
	for i := range sticks {
		key := stickKey(&sticks[i])
		j, ok := at[key]
		if !ok {
			j = len(out)
			at[key] = j
			out = append(out, cut{sticks[i].stock, sticks[i].items, 0})
		}
		out[j].times++
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].times > out[b].times })
	return out
}

// layouts writes cuts in terms of the problem's pieces: those of one length that stand in
// several entries are handed out in order, and equal sticks become one layout.
func (m *model) layouts(p *Problem, cuts []cut) []Layout {
	pieceAt := make([]int, len(m.w)) // member being handed out, and how many of it are gone
	gone := make([]int, len(m.w))
	at := map[string]int{}
	out := []Layout{}
	for _, u := range cuts {
		for left := u.times; left > 0; {
			n := left // sticks that can be cut alike before a member runs out
			for _, it := range u.items {
				t := it.t
				n = min(n, max(1, (p.Pieces[m.members[t][pieceAt[t]]].Demand-gone[t])/int(it.n)))
			}
			l := Layout{Stock: u.stock, Times: n}
			for _, it := range u.items {
				l.Pieces = append(l.Pieces, m.take(p, it.t, int(it.n), n, pieceAt, gone)...)
			}
			left -= n
			key := layoutKey(&l)
			if j, ok := at[key]; ok {
				out[j].Times += n
				continue
			}
			at[key] = len(out)
			out = append(out, l)
		}
	}
	return out
}

// take hands out count pieces of length t to each of n sticks. With n above 1 the member at
// hand has enough for all.
func (m *model) take(p *Problem, t int32, count, n int, pieceAt, gone []int) []PieceCount {
	var out []PieceCount
	for count > 0 {
		idx := m.members[t][pieceAt[t]]
		c := min(count, p.Pieces[idx].Demand-gone[t])
		if c > 0 {
			out = append(out, PieceCount{idx, c})
			gone[t] += c * n
			count -= c
		}
		if gone[t] >= p.Pieces[idx].Demand {
			if pieceAt[t]+1 == len(m.members[t]) {
				break
			}
			pieceAt[t]++
			gone[t] = 0
		}
	}
	return out
}

func layoutKey(l *Layout) string {
	var b strings.Builder
	b.WriteString(strconv.Itoa(l.Stock))
	for _, c := range l.Pieces {
		b.WriteByte(' ')
		b.WriteString(strconv.Itoa(c.Piece))
		b.WriteByte('*')
		b.WriteString(strconv.Itoa(c.Count))
	}
	return b.String()
}

// order sorts layouts for the saw: by stick, then by times cut, then by pieces.
func order(ls []Layout) {
	sort.SliceStable(ls, func(a, b int) bool {
		la, lb := &ls[a], &ls[b]
		if la.Stock != lb.Stock {
			return la.Stock < lb.Stock
		}
		if la.Times != lb.Times {
			return la.Times > lb.Times
		}
		for i := range min(len(la.Pieces), len(lb.Pieces)) {
			if la.Pieces[i] != lb.Pieces[i] {
				return la.Pieces[i].Piece < lb.Pieces[i].Piece
			}
		}
		return len(la.Pieces) < len(lb.Pieces)
	})
}
