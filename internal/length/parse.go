package length

// Parse reads a length as a crew writes it. unit is what a bare number means.
//
// Inches: 79 5/8, 79-5/8", 79⅝, 79 ⁵⁄₈, 5/8, 79.625, 79,625, 79 5/8 in, 6' 7 5/8", 6'-7 5/8,
// 6 ft 7 in, 6½', 7" 5/8, 79 and 5/8, 79 y 5/8, 79 and a half, five eighths. Denominators are
// powers of two to 64. Millimeters: 2018mm, 201.8 cm, 2.018 m, never with a fraction.
// Marks may be ASCII or typographic.
//
// A trailing + or -, or the words heavy, strong, light, shy, fuerte, escaso, flojo, is the tape
// reader's heavy or light: 1/32 in more or less, and 0.5 mm on a metric value (common practice).
//
// Decimals are kept to the nearest nanometer, halves up; past the ninth place they are dropped.
// A comma before decimals is a decimal comma; where three digits follow it and the number could
// as well be thousands within range (2,018 mm), it is refused.
//
// The result is 0 to [Longest]. Anything else is a *[ParseError] whose sentence says what to
// type instead: nothing typed, improper fractions, other denominators, a sign in front, mixed
// units, 12 or more inches after feet (a slip as often as meant), 79 - 5/8 with spaces (a sum
// or a reading), more than 100 ft.
func Parse(s string, unit Unit) (Length, error) {
	l, refusal := parse(s, unit, false)
	if refusal != nil {
		return 0, refusal
	}
	return l, nil
}

// ParseSigned is [Parse] for leans and differences: one +, - or − may stand in front. The
// heavy or light mark belongs to the size, so -1/8 heavy is -5/32.
func ParseSigned(s string, unit Unit) (Length, error) {
	l, refusal := parse(s, unit, true)
	if refusal != nil {
		return 0, refusal
	}
	return l, nil
}

// parser walks the tokens of one typed length.
type parser struct {
	in   string
	bare Unit
	i    int
	toks [mostTokens + 1]token // the last one is always end
}

func parse(s string, unit Unit, signed bool) (Length, *ParseError) {
	p := parser{in: s, bare: unit}
	if len(s) > longestInput {
		return 0, p.notALength()
	}
	n := scan(s, &p.toks)
	switch {
	case n > mostTokens:
		return 0, p.notALength()
	case n == 0:
		return 0, p.refuse(CodeEmpty)
	}
	negative := false
	switch p.toks[0].kind {
	case hyphen, minus:
		if n > 1 && !signed {
			return 0, p.negative()
		}
		negative = true
		p.i++
	case plus:
		if n > 1 && !signed {
			return 0, p.leadingMark()
		}
		p.i++
	case lean:
		if n > 1 {
			return 0, p.leadingMark()
		}
	}
	if p.mixed(n) {
		return 0, p.refuse(CodeMixedUnits)
	}
	l, refusal := p.measure()
	if negative {
		l = -l
	}
	return l, refusal
}

// mixed tells whether metric units stand beside a fraction, feet, inches or one another.
func (p *parser) mixed(n int) bool {
	metrics, imperials := 0, 0
	for i := range n {
		switch p.toks[i].kind {
		case metric:
			metrics++
		case feet, inch, slash, vulgar, part:
			imperials++
		}
	}
	return metrics > 1 || (metrics == 1 && imperials > 0)
}

func (p *parser) peek() *token { return &p.toks[p.i] }

// at is the token k places on, or the end.
func (p *parser) at(k int) *token { return &p.toks[min(p.i+k, mostTokens)] }

// measure reads everything after the sign.
func (p *parser) measure() (Length, *ParseError) {
	q, refusal := p.quantity()
	if refusal != nil {
		return 0, refusal
	}
	mark, refusal := p.takeLean()
	if refusal != nil {
		return 0, refusal
	}
	var l Length
	leanBy := ThirtySecond
	switch u := p.takeUnit(q); u.kind {
	case feet:
		l, refusal = p.resolve(q, Foot, 0)
		if refusal == nil && mark == 0 && !q.fraction() && q.whole.scale == 0 {
			var more Length
			more, mark, refusal = p.afterFeet(l)
			l += more
		}
	case metric:
		l, refusal = p.resolve(q, u.size, 0)
		leanBy = Millimeter / 2
	case inch:
		l, mark, refusal = p.inches(q, mark, 0)
	default:
		switch {
		case p.bare != Millimeters:
			l, refusal = p.resolve(q, Inch, 0)
		case q.fraction():
			return 0, p.fractionOfMillimeter()
		default:
			l, refusal = p.resolve(q, Millimeter, 0)
			leanBy = Millimeter / 2
		}
	}
	if refusal != nil {
		return 0, refusal
	}
	if mark == 0 && p.at(1).kind == end {
		mark, _ = p.takeLean() // refuses only before a unit
	}
	if p.peek().kind != end {
		return 0, p.leftOver()
	}
	l += mark * leanBy
	switch {
	case l < 0:
		return 0, p.lessThanNothing()
	case l > Longest:
		return 0, p.tooLong()
	}
	return l, nil
}

// inches resolves q, whose inch mark has been taken, and a fraction written after the mark:
// 7" 5/8 (as some laser meters type it), an inch and a half.
func (p *parser) inches(q quantity, mark, base Length) (Length, Length, *ParseError) {
	if mark == 0 && !q.fraction() && q.whole.scale == 0 {
		if refusal := p.takeFraction(&q); refusal != nil {
			return 0, 0, refusal
		}
		if q.fraction() {
			var refusal *ParseError
			if mark, refusal = p.takeLean(); refusal != nil {
				return 0, 0, refusal
			}
			if p.peek().kind == inch {
				p.i++
			}
		}
	}
	l, refusal := p.resolve(q, Inch, base)
	return l, mark, refusal
}

// afterFeet reads the inches after whole feet, if any: 6' 7 5/8", 6'-7, 6 ft, 7 in.
func (p *parser) afterFeet(base Length) (l, mark Length, refusal *ParseError) {
	joined := p.peek().kind
	next := 0
	switch joined {
	case hyphen, and, comma:
		next = 1
	}
	switch p.at(next).kind {
	case number, vulgar, part, article, slash:
		p.i += next
	default:
		return 0, 0, nil
	}
	q, refusal := p.quantity()
	if refusal != nil {
		return 0, 0, refusal
	}
	if mark, refusal = p.takeLean(); refusal != nil {
		return 0, 0, refusal
	}
	if unit, after := p.unitAhead(q); unit.kind == inch {
		p.i = after
		l, mark, refusal = p.inches(q, mark, base)
	} else {
		// "6 feet and a half" may be half a foot or half an inch.
		if q.kind == 0 && (joined == and || q.spoken) {
			return 0, 0, p.halfOfWhat(base, q)
		}
		l, refusal = p.resolve(q, Inch, base)
	}
	if refusal == nil && l >= Foot {
		refusal = p.twelveInches(base, l)
	}
	return l, mark, refusal
}

// unitAhead is the unit mark or word that stands next and the place after it; after a
// fraction "of" and "an" may stand between. No unit is the end token.
func (p *parser) unitAhead(q quantity) (token, int) {
	skip := 0
	if q.fraction() {
		if p.at(skip).kind == of {
			skip++
		}
		if p.at(skip).kind == article {
			skip++
		}
	}
	t := *p.at(skip)
	switch t.kind {
	case feet, inch, metric:
		return t, p.i + skip + 1
	}
	return token{}, p.i
}

func (p *parser) takeUnit(q quantity) token {
	t, after := p.unitAhead(q)
	p.i = after
	return t
}

// takeLean takes a heavy or light mark, +1 or -1, when it ends the length or stands before
// the unit that ends it. 0 is no mark.
func (p *parser) takeLean() (Length, *ParseError) {
	t := p.peek()
	var mark Length
	switch t.kind {
	case plus:
		mark = 1
	case hyphen, minus:
		mark = -1
	case lean:
		mark = t.size
	default:
		return 0, nil
	}
	switch next := p.at(1); next.kind {
	case end:
	case feet, inch, metric:
		if p.at(2).kind != end {
			return 0, nil
		}
		// "79 5/8-inch" is how English hyphenates a size, not a light 79 5/8.
		if t.kind == hyphen && next.word {
			return 0, p.lightOrHyphen()
		}
	default:
		return 0, nil
	}
	p.i++
	return mark, nil
}

// leftOver refuses what stands after a whole length.
func (p *parser) leftOver() *ParseError {
	t := p.peek()
	switch {
	case t.kind == unknown || t.kind == second:
		return p.notPartOf(t)
	case t.kind == number || t.kind == hyphen && p.at(1).kind == number:
		return p.tooManyNumbers()
	case (t.kind == minus || t.kind == plus) && p.at(1).kind == number:
		return p.sum()
	}
	return p.notALength()
}
