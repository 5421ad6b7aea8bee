package length

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Codes of a [ParseError].
const (
	CodeEmpty            = "empty"             // nothing typed
	CodeMissingNumber    = "missing_number"    // a mark or unit without its number: 5/, mm
	CodeImproperFraction = "improper_fraction" // 9/8, 79 9/8
	CodeDenominator      = "denominator"       // not a power of two to 64: 1/3, 5/0
	CodeNegative         = "negative"          // a minus in front, or a light zero
	CodeMixedUnits       = "mixed_units"       // 6' 20cm, 79 5/8 mm
	CodeInchesAfterFeet  = "inches_after_feet" // 6' 14
	CodeTwoWays          = "two_ways"          // could be read as two lengths: 79 - 5/8, 2,018 mm
	CodeTooLong          = "too_long"          // more than 100 ft
	CodeNotALength       = "not_a_length"      // anything else
)

// ParseError is why a typed length was refused.
type ParseError struct {
	Code     string `json:"code"`
	Input    string `json:"input"`    // as typed
	Sentence string `json:"sentence"` // plain English, says what to type instead
	// Instead is the one thing to type instead, where there is one ("80 1/8"); else empty.
	Instead string `json:"instead"`
}

// Error is the sentence.
func (e *ParseError) Error() string { return e.Sentence }

const examples = "type it like 79 5/8, 6' 7 5/8 or 2018 mm."

// shown is what was typed, safe to put in a sentence: one line, no control or broken
// characters, at most 40 characters. Where nothing of it can be shown it is "That".
func shown(s string) string {
	var b strings.Builder
	n := 0
	for _, r := range strings.TrimSpace(s) {
		if n == 40 {
			b.WriteString("…")
			break
		}
		if isSpace(r) || r < ' ' || r == 0x7F || r == utf8.RuneError {
			r = ' '
		}
		b.WriteRune(r)
		n++
	}
	if text := strings.TrimSpace(b.String()); text != "" {
		return text
	}
	return "That"
}

func (p *parser) fail(code, instead string, sentence ...string) *ParseError {
	return &ParseError{Code: code, Input: p.in, Sentence: strings.Join(sentence, ""), Instead: instead}
}

// refuse makes the refusals that need nothing but what was typed.
func (p *parser) refuse(code string) *ParseError {
	switch code {
	case CodeEmpty:
		return p.fail(code, "", "Nothing was typed: type a length such as 79 5/8 or 2018 mm.")
	case CodeMixedUnits:
		return p.fail(code, "", shown(p.in), " mixes units: type it all in one, for example 79 5/8 or 2018 mm.")
	}
	return p.fail(code, "", shown(p.in), " is not a length: ", examples)
}

func (p *parser) notALength() *ParseError { return p.refuse(CodeNotALength) }

func (p *parser) notPartOf(t *token) *ParseError {
	return p.fail(CodeNotALength, "", shown(p.in[t.from:t.to]), " cannot be read as part of a length: ", examples)
}

func (p *parser) tooManyNumbers() *ParseError {
	return p.fail(CodeNotALength, "", shown(p.in),
		" has a number too many: type 79 5/8 for inches and a fraction, or 6' 7 5/8 for feet and inches.")
}

func (p *parser) missingNumber() *ParseError {
	return p.fail(CodeMissingNumber, "", "A number is missing in ", shown(p.in), ": ", examples)
}

// fractionOfMillimeter refuses a bare 79 5/8 where bare numbers are millimeters.
func (p *parser) fractionOfMillimeter() *ParseError {
	if p.peek().kind != end {
		return p.leftOver()
	}
	// With its mark it is found at the first unit, so this does not come back here.
	instead := strings.TrimSpace(p.in[:p.toks[p.i-1].to]) + `"`
	if _, refusal := parse(instead, p.bare, false); refusal != nil {
		refusal.Input = p.in
		return refusal
	}
	return p.fail(CodeMixedUnits, instead, "Bare numbers are millimeters here, and a fraction is of an inch: type ",
		shown(instead), " for inches.")
}

// afterMark is what stands after the first token, and why it is refused itself, if it is.
func (p *parser) afterMark() (string, *ParseError) {
	rest := p.in[p.toks[0].to:]
	_, refusal := parse(rest, p.bare, false)
	if refusal != nil {
		refusal.Input = p.in
	}
	return strings.TrimSpace(rest), refusal
}

func (p *parser) negative() *ParseError {
	rest, refusal := p.afterMark()
	if refusal != nil {
		return refusal
	}
	return p.fail(CodeNegative, rest, "A length cannot be negative: type ", shown(rest),
		". For a light reading put the minus after the number.")
}

func (p *parser) leadingMark() *ParseError {
	rest, refusal := p.afterMark()
	if refusal != nil {
		return refusal
	}
	t := &p.toks[0]
	rest = shown(rest)
	instead := rest + " " + shown(p.in[t.from:t.to])
	if t.kind == plus {
		instead = rest + "+"
	}
	return p.fail(CodeNotALength, "", "The heavy or light mark comes last: type ", rest, ", or ", instead, ".")
}

func (p *parser) lessThanNothing() *ParseError {
	return p.fail(CodeNegative, "", shown(p.in), " is less than nothing: type 0, or what the tape shows.")
}

func (p *parser) lightOrHyphen() *ParseError {
	head := shown(p.in[:p.peek().from])
	unit := shown(p.in[p.at(1).from:])
	return p.fail(CodeTwoWays, "", shown(p.in), " can be read two ways: type ", head, " ", unit, ", or ",
		head, " ", unit, " light.")
}

func (p *parser) sum() *ParseError {
	return p.fail(CodeTwoWays, "", shown(p.in), " looks like a sum: type one length, 79 5/8 for the whole and its fraction.")
}

// spokenTwoWays refuses "twenty three sixty-fourths"; t is the numerator.
func (p *parser) spokenTwoWays(t *token, den int64) *ParseError {
	over := "/" + strconv.FormatInt(den, 10)
	return p.fail(CodeTwoWays, "", shown(p.in), " can be read two ways: type ",
		strconv.FormatInt(t.num, 10)+over, " or ",
		strconv.FormatInt(t.num-t.num%10, 10)+" "+strconv.FormatInt(t.num%10, 10)+over, " in figures.")
}

// halfOfWhat refuses "6 feet and a half".
func (p *parser) halfOfWhat(base Length, q quantity) *ParseError {
	if q.den > 64 || q.den&(q.den-1) != 0 || q.num >= q.den {
		return p.offTape(q, Inch, base, q.den <= 64 && q.den&(q.den-1) == 0)
	}
	part := Length(q.num) * Inch / Length(q.den)
	return p.fail(CodeTwoWays, "", shown(p.in), " can be read two ways: type ", p.tape(base+part, SixtyFourth),
		" or ", p.tape(base+part*12, SixtyFourth), ".")
}

// commaTwoWays refuses 2,018 mm.
func (p *parser) commaTwoWays(t token) *ParseError {
	typed := p.in[t.from:t.to]
	return p.fail(CodeTwoWays, "", typed, " can be read two ways: type ",
		strings.Replace(typed, ",", "", 1), " or ", strings.Replace(typed, ",", ".", 1), ", without the comma.")
}

func (p *parser) twelveInches(base, inches Length) *ParseError {
	if base+inches > Longest {
		return p.tooLong()
	}
	instead := p.tape(base+inches, SixtyFourth)
	return p.fail(CodeInchesAfterFeet, instead, "After feet come less than 12 inches: ", shown(p.in),
		" comes to ", instead, ", type that or check the reading.")
}

func (p *parser) tooLong() *ParseError {
	// 2018 typed in a job kept in inches is nearly always millimeters.
	if t := p.toks[0]; t.kind == number && p.bare != Millimeters && p.toks[1].kind == end &&
		t.scale == 0 && Length(t.num)*Millimeter <= Longest {
		typed := p.in[t.from:t.to]
		instead := typed + " mm"
		return p.fail(CodeTooLong, instead, typed, " inches is more than 100 feet: if it is millimeters, type ",
			instead, ".")
	}
	return p.fail(CodeTooLong, "", shown(p.in), " is more than 100 feet: check the number and its unit, and type at most 1200 inches or 30480 mm.")
}

func (p *parser) zeroDenominator() *ParseError {
	return p.fail(CodeDenominator, "", "Nothing divides by 0: type the fraction in halves, quarters, eighths, ",
		"sixteenths, thirty-seconds or sixty-fourths, for example 5/8.")
}

// offTape refuses an improper fraction or one a tape does not carry.
func (p *parser) offTape(q quantity, unit, base Length, onTape bool) *ParseError {
	fraction := strconv.FormatInt(q.num, 10) + "/" + strconv.FormatInt(q.den, 10)
	// num and whole stop at a billion and unit is at most a foot: inside int64.
	value := base + Length(q.whole.num)*unit + (Length(q.num)*unit+Length(q.den)/2)/Length(q.den)
	if value > Longest {
		if onTape {
			return p.fail(CodeImproperFraction, "", fraction, " is more than a whole: put a space between the inches and the fraction, for example 79 5/8.")
		}
		return p.fail(CodeDenominator, "", fraction, " is not a tape fraction: type it in sixteenths, for example 79 5/8.")
	}
	if onTape {
		instead := p.tape(value, SixtyFourth)
		if q.kind == 0 && q.num >= 10*q.den && !q.spoken {
			// 795/8: most likely the space was missed.
			return p.fail(CodeImproperFraction, instead, fraction, " comes to ", instead, ": type ", instead,
				", or put a space between the inches and the fraction.")
		}
		return p.fail(CodeImproperFraction, instead, shown(p.in), " comes to ", instead, ": type ", instead, ".")
	}
	step := Sixteenth
	if value.Round(Sixteenth) == 0 {
		step = SixtyFourth
	}
	instead := p.tape(value.Round(step), step)
	if q.num >= q.den {
		proper := strconv.FormatInt(q.whole.num+q.num/q.den, 10)
		if rest := q.num % q.den; rest != 0 {
			proper += " " + strconv.FormatInt(rest, 10) + "/" + strconv.FormatInt(q.den, 10)
		}
		return p.fail(CodeDenominator, instead, fraction, " is not a tape fraction: type ", proper,
			" as ", divisions(step), ", for example ", instead, ".")
	}
	return p.fail(CodeDenominator, instead, fraction, " is not a tape fraction: type it in ", divisions(step),
		", for example ", instead, ".")
}

func divisions(step Length) string {
	if step == SixtyFourth {
		return "sixty-fourths"
	}
	return "sixteenths"
}

// tape is l in inches as it must be typed here: with a mark where a bare number would be
// read as millimeters.
func (p *parser) tape(l, step Length) string {
	text := l.Print(Style{Unit: Inches, Step: step})
	if p.bare == Millimeters {
		text += `"`
	}
	return text
}
