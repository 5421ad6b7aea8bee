package stock

import "sort"

// pool is every pattern a plan of cost target or less can need, given exact duals: by the
// same sum that makes the bound, a plan within the target uses no pattern whose reduced cost
// is more than target less bound. Only full patterns are listed (no piece still wanted fits
// the rest); any plan can be made of those, cutting some pieces too often.
type pool struct {
	m     *model
	start []int32 // pattern i is typ[start[i]:start[i+1]], num likewise
	typ   []int32
	num   []int32
	kind  []int32
}

func (po *pool) len() int { return len(po.kind) }

func (po *pool) pattern(i int32) pattern {
	p := pattern{kind: int(po.kind[i])}
	for q := po.start[i]; q < po.start[i+1]; q++ {
		p.items = append(p.items, item{po.typ[q], po.num[q]})
	}
	sort.Slice(p.items, func(a, b int) bool { return p.items[a].t < p.items[b].t })
	return p
}

// count gives how often length t lies in pattern i.
func (po *pool) count(i, t int32) int32 {
	for q := po.start[i]; q < po.start[i+1]; q++ {
		if po.typ[q] == t {
			return po.num[q]
		}
	}
	return 0
}

// lister enumerates the patterns of a pool for one kind of stick.
type lister struct {
	po     *pool
	watch  *watch
	typ    []int32
	w, y   []int64
	d      []int
	ratio  []float64
	room   []int64 // length of all pieces from here on
	tail   [][]int64
	cnt    []int
	kind   int
	thr    int64
	most   int
	nodes  int
	cheap  int64 // longest stick without limit that costs less than this kind
	failed bool
}

const (
	tailCells = 2 << 20  // cells of the table that makes listing waste no step
	listNodes = 60 << 20 // steps before listing is given up
)

// list makes the pool. The gap is target less bound, in exact units; zk is the price added to
// each kind in the bound. False: more than most patterns or too many steps.
func (m *model) list(y, zk []int64, limit []int, scale, gap int64, most int, w *watch) (*pool, bool) {
	po := &pool{m: m, start: []int32{0}}
	l := &lister{po: po, watch: w, most: most}
	for t := range m.w {
		l.typ = append(l.typ, int32(t))
	}
	sort.SliceStable(l.typ, func(a, b int) bool {
		ta, tb := l.typ[a], l.typ[b]
		return float64(y[ta])*float64(m.w[tb]) > float64(y[tb])*float64(m.w[ta])
	})
	n := len(l.typ)
	l.w, l.y, l.d, l.cnt = make([]int64, n), make([]int64, n), make([]int, n), make([]int, n)
	l.ratio, l.room = make([]float64, n+1), make([]int64, n+1)
	longest := int64(0)
	for k := range m.kinds {
		longest = max(longest, m.kinds[k].cap)
	}
	for k := n - 1; k >= 0; k-- {
		t := l.typ[k]
		l.w[k], l.y[k], l.d[k] = m.w[t], y[t], m.d[t]
		l.ratio[k] = max(float64(y[t])/float64(m.w[t])*(1+1e-12), l.ratio[k+1])
		l.room[k] = min(l.room[k+1]+min(int64(m.d[t]), longest/m.w[t]+1)*m.w[t], 1<<60)
	}
	if int64(n+1)*(longest+1) <= tailCells {
		l.makeTails(int(longest))
	}
	for k := range m.kinds {
		kd := &m.kinds[k]
		if limit[k] == 0 {
			continue
		}
		l.kind, l.thr = k, kd.cost*scale+zk[k]-gap
		l.cheap = -1
		for j := range m.kinds {
			if kj := &m.kinds[j]; !kj.limited && kj.cost < kd.cost {
				l.cheap = max(l.cheap, kj.cap)
			}
		}
		l.search(0, kd.cap, 0, 1<<62)
		if l.failed || w.over {
			return nil, false
		}
	}
	return po, true
}

// makeTails fills the best value of the lengths from each position on, for every rest.
func (l *lister) makeTails(longest int) {
	n := len(l.w)
	l.tail = make([][]int64, n+1)
	l.tail[n] = make([]int64, longest+1)
	for k := n - 1; k >= 0; k-- {
		f, g := l.tail[k+1], make([]int64, longest+1)
		w, y := int(l.w[k]), l.y[k]
		for c := range g {
			best, v := f[c], int64(0)
			for i, left := 1, c-w; i <= l.d[k] && left >= 0; i, left = i+1, left-w {
				v += y
				best = max(best, f[left]+v)
			}
			g[c] = best
		}
		l.tail[k] = g
		l.watch.spend(4 * longest)
	}
}

// reach is never below the value of the best end of a pattern.
func (l *lister) reach(k int, rem, val int64) int64 {
	if l.tail != nil {
		return val + l.tail[k][rem]
	}
	return int64(float64(val)+float64(rem)*l.ratio[k]) + 1
}

// search goes on at position k; the rest in the end must be shorter than skipped, or a piece
// left out would still fit.
func (l *lister) search(k int, rem, val, skipped int64) {
	l.nodes++
	if l.nodes&0x3fff == 0 && (l.nodes > listNodes || l.watch.spend(0x4000*10)) {
		l.failed = true
	}
	if l.failed || l.reach(k, rem, val) < l.thr || rem-l.room[k] >= skipped {
		return
	}
	if k == len(l.w) {
		if rem < skipped {
			l.keep(rem)
		}
		return
	}
	w := l.w[k]
	n := 0
	if w <= rem {
		n = min(l.d[k], int(min(rem/w, 1<<30)))
	}
	for c := n; c >= 0; c-- {
		sk := skipped
		if c < l.d[k] {
			sk = min(sk, w)
		}
		l.cnt[k] = c
		l.search(k+1, rem-int64(c)*w, val+int64(c)*l.y[k], sk)
	}
	l.cnt[k] = 0
}

func (l *lister) keep(rem int64) {
	if l.po.m.kinds[l.kind].cap-rem <= l.cheap {
		return // fits a cheaper stick that never runs out
	}
	if l.po.len() >= l.most {
		l.failed = true
		return
	}
	from := len(l.po.typ)
	for k, c := range l.cnt {
		if c > 0 {
			l.po.typ = append(l.po.typ, l.typ[k])
			l.po.num = append(l.po.num, int32(c))
		}
	}
	if len(l.po.typ) == from {
		return
	}
	l.po.start = append(l.po.start, int32(len(l.po.typ)))
	l.po.kind = append(l.po.kind, int32(l.kind))
}
