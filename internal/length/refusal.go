package length

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"longpoint/internal/words"
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
	Code  string
	Input string // as typed
	// Instead is the one thing to type instead, where there is one ("80 1/8"); else empty.
	Instead string
	says    string // the catalog's key of the sentence
	args    []arg
}

// arg is a text of the sentence. A text that cannot be shown is empty: the sentence says
// "that" for it.
type arg struct{ name, text string }

// Error is the sentence in English.
func (e *ParseError) Error() string { return e.In(words.In("en")) }

// In is the sentence in a catalog's language: what is wrong, and what to type instead.
func (e *ParseError) In(c *words.Catalog) string {
	return c.Fill(c.Term(e.says), func(name string) (words.Value, bool) {
		if name == "examples" {
			return words.Value{Term: "length_examples"}, true
		}
		for _, a := range e.args {
			switch {
			case a.name != name:
			case a.text == "":
				return words.Value{Term: "length_that"}, true
			case name == "divisions":
				return words.Value{Term: a.text}, true
			default:
				return words.Value{Text: a.text}, true
			}
		}
		return words.Value{}, false
	})
}

// shown is what was typed, safe to put in a sentence: one line, no control or broken
// characters, at most 40 characters. It is empty where nothing of it can be shown.
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
	return strings.TrimSpace(b.String())
}

func (p *parser) fail(code, instead, says string, args ...arg) *ParseError {
	return &ParseError{Code: code, Input: p.in, Instead: instead, says: says, args: args}
}

// typed is all that was typed.
func (p *parser) typed() arg { return arg{"typed", shown(p.in)} }

// refuse makes the refusals that need nothing but what was typed.
func (p *parser) refuse(code string) *ParseError {
	switch code {
	case CodeEmpty:
		return p.fail(code, "", "length_empty")
	case CodeMixedUnits:
		return p.fail(code, "", "length_mixed_units", p.typed())
	}
	return p.fail(code, "", "length_not_one", p.typed())
}

func (p *parser) notALength() *ParseError { return p.refuse(CodeNotALength) }

func (p *parser) notPartOf(t *token) *ParseError {
	return p.fail(CodeNotALength, "", "length_not_part", arg{"part", shown(p.in[t.from:t.to])})
}

func (p *parser) tooManyNumbers() *ParseError {
	return p.fail(CodeNotALength, "", "length_number_too_many", p.typed())
}

func (p *parser) missingNumber() *ParseError {
	return p.fail(CodeMissingNumber, "", "length_number_missing", p.typed())
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
	return p.fail(CodeMixedUnits, instead, "length_fraction_of_mm", arg{"instead", shown(instead)})
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
	return p.fail(CodeNegative, rest, "length_negative", arg{"instead", shown(rest)})
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
	return p.fail(CodeNotALength, "", "length_mark_first", arg{"plain", rest}, arg{"marked", instead})
}

func (p *parser) lessThanNothing() *ParseError {
	return p.fail(CodeNegative, "", "length_under_nothing", p.typed())
}

func (p *parser) lightOrHyphen() *ParseError {
	head := shown(p.in[:p.peek().from])
	unit := shown(p.in[p.at(1).from:])
	return p.fail(CodeTwoWays, "", "length_light_or_hyphen", p.typed(), arg{"plain", head + " " + unit})
}

func (p *parser) sum() *ParseError {
	return p.fail(CodeTwoWays, "", "length_sum", p.typed())
}

// spokenTwoWays refuses "twenty three sixty-fourths"; t is the numerator.
func (p *parser) spokenTwoWays(t *token, den int64) *ParseError {
	over := "/" + strconv.FormatInt(den, 10)
	return p.fail(CodeTwoWays, "", "length_spoken_two_ways", p.typed(), arg{"one", strconv.FormatInt(t.num, 10) + over},
		arg{"other", strconv.FormatInt(t.num-t.num%10, 10) + " " + strconv.FormatInt(t.num%10, 10) + over})
}

// halfOfWhat refuses "6 feet and a half".
func (p *parser) halfOfWhat(base Length, q quantity) *ParseError {
	if q.den > 64 || q.den&(q.den-1) != 0 || q.num >= q.den {
		return p.offTape(q, Inch, base, q.den <= 64 && q.den&(q.den-1) == 0)
	}
	part := Length(q.num) * Inch / Length(q.den)
	return p.fail(CodeTwoWays, "", "length_two_ways", p.typed(), arg{"one", p.tape(base+part, SixtyFourth)},
		arg{"other", p.tape(base+part*12, SixtyFourth)})
}

// commaTwoWays refuses 2,018 mm.
func (p *parser) commaTwoWays(t token) *ParseError {
	typed := p.in[t.from:t.to]
	return p.fail(CodeTwoWays, "", "length_comma", arg{"typed", typed}, arg{"one", strings.Replace(typed, ",", "", 1)},
		arg{"other", strings.Replace(typed, ",", ".", 1)})
}

func (p *parser) twelveInches(base, inches Length) *ParseError {
	if base+inches > Longest {
		return p.tooLong()
	}
	instead := p.tape(base+inches, SixtyFourth)
	return p.fail(CodeInchesAfterFeet, instead, "length_twelve_inches", p.typed(), arg{"instead", instead})
}

func (p *parser) tooLong() *ParseError {
	// 2018 typed in a job kept in inches is nearly always millimeters.
	if t := p.toks[0]; t.kind == number && p.bare != Millimeters && p.toks[1].kind == end &&
		t.scale == 0 && Length(t.num)*Millimeter <= Longest {
		typed := p.in[t.from:t.to]
		instead := typed + " mm"
		return p.fail(CodeTooLong, instead, "length_millimeters", arg{"typed", typed}, arg{"instead", instead})
	}
	return p.fail(CodeTooLong, "", "length_too_long", p.typed())
}

func (p *parser) zeroDenominator() *ParseError {
	return p.fail(CodeDenominator, "", "length_by_zero")
}

// offTape refuses an improper fraction or one a tape does not carry.
func (p *parser) offTape(q quantity, unit, base Length, onTape bool) *ParseError {
	fraction := strconv.FormatInt(q.num, 10) + "/" + strconv.FormatInt(q.den, 10)
	// num and whole stop at a billion and unit is at most a foot: inside int64.
	value := base + Length(q.whole.num)*unit + (Length(q.num)*unit+Length(q.den)/2)/Length(q.den)
	if value > Longest {
		if onTape {
			return p.fail(CodeImproperFraction, "", "length_over_a_whole", arg{"fraction", fraction})
		}
		return p.fail(CodeDenominator, "", "length_no_tape_fraction", arg{"fraction", fraction}, arg{"divisions", divisions(Sixteenth)}, arg{"instead", "79 5/8"})
	}
	if onTape {
		instead := p.tape(value, SixtyFourth)
		if q.kind == 0 && q.num >= 10*q.den && !q.spoken {
			// 795/8: most likely the space was missed.
			return p.fail(CodeImproperFraction, instead, "length_space_missed", arg{"fraction", fraction}, arg{"instead", instead})
		}
		return p.fail(CodeImproperFraction, instead, "length_comes_to", p.typed(), arg{"instead", instead})
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
		return p.fail(CodeDenominator, instead, "length_no_tape_fraction_over", arg{"fraction", fraction}, arg{"proper", proper},
			arg{"divisions", divisions(step)}, arg{"instead", instead})
	}
	return p.fail(CodeDenominator, instead, "length_no_tape_fraction", arg{"fraction", fraction}, arg{"divisions", divisions(step)}, arg{"instead", instead})
}

// divisions is the term of a tape's step.
func divisions(step Length) string {
	if step == SixtyFourth {
		return "length_sixty_fourths"
	}
	return "length_sixteenths"
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
