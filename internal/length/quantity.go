package length

// quantity is a number with or without a fraction, before its unit is known.
type quantity struct {
	kind   kind  // number when whole was typed, 0 for a fraction alone
	whole  token // with decimals, perhaps
	num    int64
	den    int64 // 0 for no fraction
	spoken bool  // the fraction was said in words: eighths, a half
}

func (q *quantity) fraction() bool { return q.den != 0 }

// quantity reads a number, a fraction or both.
func (p *parser) quantity() (quantity, *ParseError) {
	var q quantity
	if p.startsFraction(0) {
		refusal := p.readFraction(&q)
		return q, refusal
	}
	t := p.peek()
	switch t.kind {
	case number:
		if t.raised || t.lowered {
			return q, p.notALength()
		}
		q.kind, q.whole = number, *t
		p.i++
		refusal := p.takeFraction(&q)
		return q, refusal
	case article:
		if k := p.at(1).kind; k == inch || k == feet {
			q.kind, q.whole.num = number, 1 // an inch
			p.i++
			return q, nil
		}
	case unknown, second:
		return q, p.notPartOf(t)
	}
	return q, p.missingNumber()
}

// takeFraction adds the fraction after a whole number, if one follows: 79 5/8, 79-5/8,
// 79 and 5/8. A hyphen counts only without spaces: 79 - 5/8 may be a sum.
func (p *parser) takeFraction(q *quantity) *ParseError {
	t := p.peek()
	switch t.kind {
	case and:
		if !p.startsFraction(1) {
			return nil
		}
		p.i++
	case hyphen, minus, plus:
		if !p.startsFraction(1) {
			return nil
		}
		if t.kind != hyphen || !t.tight || !p.at(1).tight {
			return p.sum()
		}
		p.i++
	default:
		if !p.startsFraction(0) {
			return nil
		}
	}
	if q.whole.scale > 0 {
		return p.notALength()
	}
	return p.readFraction(q)
}

// startsFraction tells whether a fraction starts k tokens on.
func (p *parser) startsFraction(k int) bool {
	switch p.at(k).kind {
	case vulgar, part, slash:
		return true
	case article:
		return p.at(k+1).kind == part
	case number:
		next := p.at(k + 1)
		return next.kind == slash || next.kind == part ||
			next.kind == hyphen && next.tight && p.at(k+2).kind == part && p.at(k+2).tight
	}
	return false
}

// readFraction reads ⅝, 5/8, ⁵⁄₈, 5 eighths, five-eighths, a half or half into q.
func (p *parser) readFraction(q *quantity) *ParseError {
	t := p.peek()
	p.i++
	switch t.kind {
	case vulgar:
		q.num, q.den = t.num, t.den
		return nil
	case part:
		q.num, q.den, q.spoken = 1, t.den, true
		return nil
	case article:
		q.num, q.den, q.spoken = 1, p.peek().den, true
		p.i++
		return nil
	case slash:
		return p.missingNumber()
	}
	if t.scale > 0 || t.lowered {
		return p.notALength()
	}
	if p.peek().kind == hyphen {
		p.i++
	}
	over := p.peek()
	p.i++
	den := p.peek()
	if over.kind == slash && !over.tight && den.tight {
		return p.missingNumber() // 79 /8
	}
	if over.kind == part {
		// Said without a hyphen, "twenty three sixty-fourths" is 23/64 or 20 3/64.
		if t.loose {
			return p.spokenTwoWays(t, over.den)
		}
		q.num, q.den, q.spoken = t.num, over.den, true
		return nil
	}
	if den.kind != number {
		return p.missingNumber()
	}
	if den.scale > 0 || den.raised {
		return p.notALength()
	}
	p.i++
	if p.peek().kind == ordinal {
		p.i++
	}
	if den.num == 0 {
		return p.zeroDenominator()
	}
	q.num, q.den = t.num, den.num
	return nil
}

// resolve is the value of q in a unit of the given size. base is what came before it (feet),
// for the refusals. The result is at most a billion units, far inside int64.
func (p *parser) resolve(q quantity, unit, base Length) (Length, *ParseError) {
	if q.fraction() {
		onTape := q.den <= 64 && q.den&(q.den-1) == 0
		if !onTape || q.num >= q.den {
			return 0, p.offTape(q, unit, base, onTape)
		}
		// Exact: an inch, and so a foot, divides by 64.
		return Length(q.whole.num)*unit + Length(q.num)*unit/Length(q.den), nil
	}
	l := Length(q.whole.num) * unit
	if q.whole.scale > 0 {
		if q.whole.comma && Length(q.whole.num*1000+q.whole.frac)*unit <= Longest {
			return 0, p.commaTwoWays(q.whole)
		}
		ten := Length(1)
		for range q.whole.scale {
			ten *= 10
		}
		// At most 1e9 × 1e9, inside int64.
		l += (Length(q.whole.frac)*unit + ten/2) / ten
	}
	return l, nil
}
