package stock

import "math"

// row is a row beyond demand and limits: a split or a cut. Its coefficient on a pattern is
// a whole number that the row's form defines.
type row struct {
	form  int
	a     [3]int32
	atL   int32
	sense int64 // +1 for ≥, −1 for ≤
	rhs   int64
	coef  []uint8 // of each pool pattern
}

// Forms of a row.
const (
	formPair  = iota // 1 where lengths a[0] and a[1] lie together
	formMany         // 1 where length a[0] lies at least atLeast times
	formOnly         // 1 for pattern a[0] alone
	formKind         // 1 for patterns of stick kind a[0]
	formThird        // half the pieces of lengths a[0], a[1], a[2], rounded up
)

func (t *tree) newRow(form int, a [3]int32, atLeast int32, sense, rhs int64) *row {
	r := &row{form: form, a: a, atL: atLeast, sense: sense, rhs: rhs, coef: make([]uint8, t.po.len())}
	for i := range r.coef {
		p := int32(i)
		switch form {
		case formPair:
			if t.po.count(p, a[0]) > 0 && t.po.count(p, a[1]) > 0 {
				r.coef[i] = 1
			}
		case formMany:
			if t.po.count(p, a[0]) >= atLeast {
				r.coef[i] = 1
			}
		case formOnly:
			if p == a[0] {
				r.coef[i] = 1
			}
		case formKind:
			if t.po.kind[i] == a[0] {
				r.coef[i] = 1
			}
		case formThird:
			n := t.po.count(p, a[0]) + t.po.count(p, a[1]) + t.po.count(p, a[2])
			r.coef[i] = uint8(min((n+1)/2, 255))
		}
	}
	t.s.watch.spend(8 * len(r.coef))
	return r
}

// split picks what to branch on: how many sticks of a kind; then two lengths together, or one length often, whose number of
// sticks is most fractional, long lengths first; else a single pattern.
func (t *tree) split(nd *node) (form int, a [3]int32, atLeast int32, value float64) {
	if k, x := t.splitKind(nd); k >= 0 {
		return formKind, [3]int32{k}, 0, x
	}
	n := int32(len(t.s.m.w))
	pairs := map[int64]float64{}
	var only int32 = -1
	onlyFrac, onlyX := 0.0, 0.0
	nd.lp.each(func(v int32, x float64) {
		i := nd.ids[v]
		if f := math.Abs(x - math.Round(x)); f > 1e-6 && f > onlyFrac {
			only, onlyFrac, onlyX = i, f, x
		}
		po := t.po
		for q := po.start[i]; q < po.start[i+1]; q++ {
			for k := po.start[i]; k < q; k++ {
				lo, hi := min(po.typ[k], po.typ[q]), max(po.typ[k], po.typ[q])
				pairs[int64(lo)*int64(n)+int64(hi)] += x
			}
			for c := int32(2); c <= po.num[q]; c++ {
				pairs[-(int64(po.typ[q])<<20 + int64(c))] += x
			}
		}
	})
	best := -1.0
	var bestKey int64
	for key, x := range pairs {
		f := x - math.Floor(x)
		f = min(f, 1-f)
		if f < 1e-5 {
			continue
		}
		w := int64(0)
		if key >= 0 {
			w = t.s.m.w[key/int64(n)] + t.s.m.w[key%int64(n)]
		} else {
			w = 2 * t.s.m.w[-key>>20]
		}
		score := f * (1 + float64(w)/float64(t.s.m.kinds[0].cap))
		if score > best || (score == best && key < bestKey) {
			best, bestKey, value = score, key, x
		}
	}
	switch {
	case best < 0 && only < 0:
		return -1, a, 0, 0
	case best < 0:
		return formOnly, [3]int32{only}, 0, onlyX
	case bestKey >= 0:
		return formPair, [3]int32{int32(bestKey / int64(n)), int32(bestKey % int64(n))}, 0, value
	}
	return formMany, [3]int32{int32(-bestKey >> 20)}, int32(-bestKey & (1<<20 - 1)), value
}

// splitKind gives the kind of stick whose number is most fractional, or −1.
func (t *tree) splitKind(nd *node) (int32, float64) {
	if len(t.s.m.kinds) == 1 {
		return -1, 0 // the bound is rounded up already
	}
	sum := make([]float64, len(t.s.m.kinds))
	nd.lp.each(func(v int32, x float64) { sum[t.po.kind[nd.ids[v]]] += x })
	best, far := int32(-1), 1e-5
	for k, x := range sum {
		if f := math.Abs(x - math.Round(x)); f > far {
			best, far = int32(k), f
		}
	}
	if best < 0 {
		return -1, 0
	}
	return best, sum[best]
}
