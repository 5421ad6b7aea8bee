package stock

import (
	"sort"
	"strconv"
	"strings"
)

// layouts writes a tidy solution in terms of the problem's sticks and pieces. Pieces of one
// length that stand in several entries are handed out in order, sticks of one kind likewise,
// and equal sticks are gathered into one layout.
func (m *model) layouts(p *Problem, sol []use) []Layout {
	pieceAt := make([]int, len(m.w)) // member being handed out, and how many of it are gone
	gone := make([]int, len(m.w))
	fromAt := make([]int, len(m.kinds))
	taken := make([]int, len(m.kinds))
	at := map[string]int{}
	var out []Layout
	for i := range sol {
		u := &sol[i]
		for left := u.times; left > 0; {
			n := left // sticks that can be cut alike before a member or source runs out
			k := &m.kinds[u.kind]
			for taken[u.kind] == k.from[fromAt[u.kind]].count {
				fromAt[u.kind]++
				taken[u.kind] = 0
			}
			src := k.from[fromAt[u.kind]]
			n = min(n, src.count-taken[u.kind])
			for _, it := range u.items {
				t := it.t
				if rest := p.Pieces[m.members[t][pieceAt[t]]].Demand - gone[t]; rest >= int(it.n) {
					n = min(n, rest/int(it.n))
				} else {
					n = 1
				}
			}
			taken[u.kind] += n
			l := Layout{Stock: src.stock, Times: n}
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
		if gone[t] == p.Pieces[idx].Demand && pieceAt[t]+1 < len(m.members[t]) {
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
