package stock

import "math"

// lp is a linear program min c·x, A x ≥ or ≤ b, x ≥ 0, solved by the revised primal simplex
// with a dense inverse. Columns may be added at any time; rows are fixed at the start.
// Its numbers are only ever a guide: what is proven is proven from duals in whole numbers.
type lp struct {
	m     int
	sense []float64 // +1 for ≥, −1 for ≤
	rhs   []float64
	cols  []lpCol
	bigM  float64
	art   []float64 // sign of each row's artificial column
	basis []int32   // ≥ 0 a column, otherwise slackVar or artVar of a row
	inv   []float64 // m × m, by rows
	xb    []float64
	pi    []float64
	alpha []float64
	nz    []int32
	since int // pivots since the inverse was made anew
	watch *watch
}

type lpCol struct {
	idx  []int32
	val  []float64
	cost float64
	in   bool // in the basis
	art  bool // stands in for an infeasible basic column; leaves and never comes back
}

func slackVar(r int) int32 { return int32(-1 - 2*r) }
func artVar(r int) int32   { return int32(-2 - 2*r) }

const (
	rcTol    = 1e-11
	pivotTol = 1e-9
)

func newLP(sense, rhs []float64, bigM float64, w *watch) *lp {
	m := len(rhs)
	l := &lp{m: m, sense: sense, rhs: rhs, bigM: bigM, watch: w,
		art: make([]float64, m), basis: make([]int32, m), inv: make([]float64, m*m),
		xb: make([]float64, m), pi: make([]float64, m), alpha: make([]float64, m)}
	for r := range m {
		l.art[r] = 1
		l.startRow(r)
	}
	l.refreshInverseOfUnits()
	return l
}

// startRow picks the row's first basic variable: its slack where that is feasible.
func (l *lp) startRow(r int) {
	if (l.sense[r] < 0) == (l.rhs[r] >= 0) || l.rhs[r] == 0 {
		l.basis[r] = slackVar(r)
	} else {
		l.art[r] = 1
		if l.rhs[r] < 0 {
			l.art[r] = -1
		}
		l.basis[r] = artVar(r)
	}
}

// refreshInverseOfUnits sets the inverse for a basis of slacks and artificials in row order.
func (l *lp) refreshInverseOfUnits() {
	clear(l.inv)
	for r := range l.m {
		s := l.art[r]
		if l.basis[r] == slackVar(r) {
			s = -l.sense[r]
		}
		l.inv[r*l.m+r] = s
		l.xb[r] = s * l.rhs[r]
	}
	l.prices()
}

func (l *lp) costOf(v int32) float64 {
	switch {
	case v >= 0:
		return l.cols[v].cost
	case -v%2 == 0:
		return l.bigM
	}
	return 0
}

// prices computes the duals from the basis.
func (l *lp) prices() {
	clear(l.pi)
	for i, v := range l.basis {
		if c := l.costOf(v); c != 0 {
			row := l.inv[i*l.m : (i+1)*l.m]
			for k, x := range row {
				l.pi[k] += c * x
			}
		}
	}
}

// unit gives the single row and coefficient of a slack or artificial.
func (l *lp) unit(v int32) (int, float64) {
	r := int(-v-1) / 2
	if -v%2 == 0 {
		return r, l.art[r]
	}
	return r, -l.sense[r]
}

// refactor makes the inverse and the solution anew from the basis. False means that the
// basis is singular or the watch ran out.
func (l *lp) refactor() bool {
	m := l.m
	b := make([]float64, m*m) // basis matrix by rows
	for j, v := range l.basis {
		if v >= 0 {
			c := &l.cols[v]
			for k, r := range c.idx {
				b[int(r)*m+j] = c.val[k]
			}
		} else {
			r, s := l.unit(v)
			b[r*m+j] = s
		}
	}
	inv := l.inv
	clear(inv)
	for i := range m {
		inv[i*m+i] = 1
	}
	// Gauss–Jordan with row pivoting; rows are swapped, so row j ends as basis position j.
	for j := range m {
		p, best := -1, 1e-10
		for i := j; i < m; i++ {
			if a := math.Abs(b[i*m+j]); a > best {
				p, best = i, a
			}
		}
		if p < 0 {
			return false
		}
		if p != j {
			for k := range m {
				b[p*m+k], b[j*m+k] = b[j*m+k], b[p*m+k]
				inv[p*m+k], inv[j*m+k] = inv[j*m+k], inv[p*m+k]
			}
		}
		f := 1 / b[j*m+j]
		bj, ij := b[j*m:(j+1)*m], inv[j*m:(j+1)*m]
		for k := range m {
			bj[k] *= f
			ij[k] *= f
		}
		work := m
		for i := range m {
			g := b[i*m+j]
			if i == j || g == 0 {
				continue
			}
			bi, ii := b[i*m:(i+1)*m], inv[i*m:(i+1)*m]
			for k := j; k < m; k++ {
				bi[k] -= g * bj[k]
			}
			for k := range m {
				ii[k] -= g * ij[k]
			}
			work += 2 * m
		}
		if l.watch.spend(work) {
			return false
		}
	}
	for i := range m {
		s := 0.0
		for k, x := range inv[i*m : (i+1)*m] {
			s += x * l.rhs[k]
		}
		l.xb[i] = s
	}
	l.since = 0
	l.prices()
	return true
}

// ftran computes inverse × column into alpha.
func (l *lp) ftran(v int32) {
	m := l.m
	if v >= 0 {
		c := &l.cols[v]
		for i := range m {
			row := l.inv[i*m : (i+1)*m]
			s := 0.0
			for k, r := range c.idx {
				s += row[r] * c.val[k]
			}
			l.alpha[i] = s
		}
		return
	}
	r, f := l.unit(v)
	for i := range m {
		l.alpha[i] = l.inv[i*m+r] * f
	}
}

func (l *lp) reducedCost(v int32) float64 {
	if v >= 0 {
		c := &l.cols[v]
		s := c.cost
		for k, r := range c.idx {
			s -= l.pi[r] * c.val[k]
		}
		return s
	}
	r, f := l.unit(v)
	return -l.pi[r] * f
}

// add puts a column in and returns its number.
func (l *lp) add(c lpCol) int32 {
	l.cols = append(l.cols, c)
	return int32(len(l.cols) - 1)
}

// solve pivots until no column present prices out. False: stopped or numerically stuck.
func (l *lp) solve() bool {
	for iter := 0; ; iter++ {
		best, enter := -rcTol, int32(0)
		found := false
		work := 0
		for v := range l.cols {
			c := &l.cols[v]
			if c.in || c.art {
				continue
			}
			s := c.cost
			for k, r := range c.idx {
				s -= l.pi[r] * c.val[k]
			}
			work += len(c.idx)
			if s < best {
				best, enter, found = s, int32(v), true
			}
		}
		for r := range l.m {
			if s := l.pi[r] * l.sense[r]; s < best { // the slack's reduced cost
				best, enter, found = s, slackVar(r), true
			}
		}
		if !found {
			return true
		}
		if l.watch.spend(work+l.m*l.m) || iter > 50*l.m+2000 {
			return false
		}
		if !l.pivotIn(enter) {
			return false
		}
	}
}

// pivotIn brings a variable into the basis.
func (l *lp) pivotIn(enter int32) bool {
	l.ftran(enter)
	const slip = 1e-9
	limit := math.Inf(1)
	for i, a := range l.alpha {
		if a > pivotTol {
			limit = min(limit, (l.xb[i]+slip)/a)
		}
	}
	leave, size := -1, 0.0
	for i, a := range l.alpha {
		if a > pivotTol && l.xb[i]/a <= limit && a > size {
			leave, size = i, a
		}
	}
	if leave < 0 {
		return false // unbounded: cannot be with costs ≥ 0, so the numbers went wrong
	}
	if size < 1e-7 && l.since > 0 {
		if !l.refactor() {
			return false
		}
		if l.reducedCost(enter) >= -rcTol {
			return true
		}
		return l.pivotIn(enter)
	}
	l.pivot(enter, leave)
	if l.since >= 150 {
		return l.refactor()
	}
	return true
}

func (l *lp) pivot(enter int32, leave int) {
	m := l.m
	rc := l.reducedCost(enter)
	theta := max(l.xb[leave]/l.alpha[leave], 0)
	for i, a := range l.alpha {
		if i != leave && a != 0 {
			l.xb[i] -= theta * a
			if l.xb[i] < 0 && l.xb[i] > -1e-8 {
				l.xb[i] = 0
			}
		}
	}
	l.xb[leave] = theta
	row := l.inv[leave*m : (leave+1)*m]
	f := 1 / l.alpha[leave]
	for k := range row {
		row[k] *= f
	}
	l.nz = l.nz[:0]
	for k, x := range row {
		if x != 0 {
			l.nz = append(l.nz, int32(k))
		}
	}
	sparse := len(l.nz) < m/3
	for i, a := range l.alpha {
		if i == leave || (a < 1e-13 && a > -1e-13) {
			continue
		}
		ri := l.inv[i*m : (i+1)*m]
		if sparse {
			for _, k := range l.nz {
				ri[k] -= a * row[k]
			}
			continue
		}
		for k, x := range row {
			ri[k] -= a * x
		}
	}
	for k, x := range row {
		l.pi[k] += rc * x
	}
	if v := l.basis[leave]; v >= 0 {
		l.cols[v].in = false
	}
	if enter >= 0 {
		l.cols[enter].in = true
	}
	l.basis[leave] = enter
	l.since++
}
