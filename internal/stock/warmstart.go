package stock

import "math"

// artificial gives the total of artificial columns in the solution.
func (l *lp) artificial() float64 {
	s := 0.0
	for i, v := range l.basis {
		if (v < 0 && -v%2 == 0) || (v >= 0 && l.cols[v].art) {
			s += math.Abs(l.xb[i])
		}
	}
	return s
}

// each calls f with every basic column of positive value.
func (l *lp) each(f func(v int32, x float64)) {
	for i, v := range l.basis {
		if v >= 0 && !l.cols[v].art && l.xb[i] > 1e-7 {
			f(v, l.xb[i])
		}
	}
}

// value gives the objective without artificial columns.
func (l *lp) value() float64 {
	s := 0.0
	for i, v := range l.basis {
		if v >= 0 && !l.cols[v].art {
			s += l.cols[v].cost * l.xb[i]
		}
	}
	return s
}

// restart makes the basis feasible again after the right-hand side changed: a basic variable
// that went negative gives way to an artificial with the opposite column.
func (l *lp) restart() {
	m := l.m
	for i := range m {
		s := 0.0
		row := l.inv[i*m : (i+1)*m]
		for k, x := range row {
			s += x * l.rhs[k]
		}
		if s >= -1e-9 {
			l.xb[i] = max(s, 0)
			continue
		}
		var c lpCol
		if v := l.basis[i]; v >= 0 {
			old := &l.cols[v]
			old.in = false
			c.idx = old.idx
			c.val = make([]float64, len(old.val))
			for k, x := range old.val {
				c.val[k] = -x
			}
		} else {
			r, f := l.unit(v)
			c.idx, c.val = []int32{int32(r)}, []float64{-f}
		}
		c.cost, c.in, c.art = l.bigM, true, true
		l.basis[i] = l.add(c)
		for k := range row {
			row[k] = -row[k]
		}
		l.xb[i] = -s
	}
	l.prices()
}

// raise sets the price of artificial columns.
func (l *lp) raise(bigM float64) {
	l.bigM = bigM
	for v := range l.cols {
		if l.cols[v].art {
			l.cols[v].cost = bigM
		}
	}
	l.prices()
}

// clone copies all that pivoting changes.
func (l *lp) clone() *lp {
	c := *l
	c.rhs = append([]float64(nil), l.rhs...)
	c.cols = append([]lpCol(nil), l.cols...)
	c.art = append([]float64(nil), l.art...)
	c.basis = append([]int32(nil), l.basis...)
	c.inv = append([]float64(nil), l.inv...)
	c.xb = append([]float64(nil), l.xb...)
	c.pi = append([]float64(nil), l.pi...)
	c.alpha, c.nz = make([]float64, l.m), nil
	return &c
}

// addRow appends a row with a right-hand side; coef gives the coefficient of each column.
// The basis is extended by the row's slack and then made feasible.
func (l *lp) addRow(sense, rhs float64, coef func(v int32) float64) {
	m := l.m
	n := m + 1
	r := make([]float64, m) // the new row at the basic columns
	for v := range l.cols {
		c := &l.cols[v]
		if x := coef(int32(v)); x != 0 {
			c.idx = append(c.idx[:len(c.idx):len(c.idx)], int32(m))
			c.val = append(c.val[:len(c.val):len(c.val)], x)
		}
	}
	for i, v := range l.basis {
		if v >= 0 {
			r[i] = coef(v)
		}
	}
	inv := make([]float64, n*n)
	s := -sense // the slack's coefficient, its own inverse
	last := inv[m*n : n*n]
	for i := range m {
		row := l.inv[i*m : (i+1)*m]
		copy(inv[i*n:], row)
		if r[i] != 0 {
			f := -s * r[i]
			for k, x := range row {
				last[k] += f * x
			}
		}
	}
	last[m] = s
	l.m, l.inv = n, inv
	l.sense = append(l.sense[:m:m], sense)
	l.rhs = append(l.rhs[:m:m], rhs)
	l.art = append(l.art[:m:m], 1)
	l.basis = append(l.basis, slackVar(m))
	l.xb = append(l.xb, 0)
	l.pi = append(l.pi, 0)
	l.alpha = make([]float64, n)
	l.restart()
}

// ban takes a column out: it is not priced again, and leaves the basis like an artificial.
func (l *lp) ban(v int32) {
	l.cols[v].art = true
	l.cols[v].cost = l.bigM
}
