package length

import "unicode/utf8"

// Limits on one typed length. The longest honest one, spelled out by dictation, is about
// 70 bytes and 12 tokens.
const (
	longestInput = 120
	mostTokens   = 20
	mostDigits   = 9 // decimal places kept; the ninth of a meter is a nanometer
)

type kind uint8

const (
	end     kind = iota
	number       // 79, 79.625, 79,625, ⁵, ₈, seventy-nine
	slash        // / ⁄ ∕
	feet         // ' ft
	inch         // " in
	metric       // mm cm m; size is its length
	hyphen       // - – —: between whole and fraction, after feet, or the light mark
	minus        // − and the word: never between numbers, where it would be a sum
	plus         // +: the heavy mark
	lean         // heavy, light and their like; size is +1 or -1
	and          // and, y, &
	comma        // a comma that is not a decimal comma
	vulgar       // ⅝: num over den
	part         // eighths: den
	article      // a, an
	of           // of
	ordinal      // the ths of 5/8ths
	second       // only after thirty
	unknown      // anything else
)

// token is one piece of a typed length.
type token struct {
	kind  kind
	tight bool // no space before it
	word  bool // spelled with letters
	loose bool // "twenty three": two spoken numbers that may or may not be one

	fourth bool // the part was said "fourth", which after sixty makes sixty-fourths

	raised, lowered bool // superscript or subscript digits

	num   int64  // the whole part of a number, or the numerator of a vulgar fraction
	frac  int64  // the decimals of a number, as an integer
	scale uint8  // how many decimals frac has
	sep   byte   // '.' or ',' before the decimals, 0 for none
	comma bool   // the comma could also set off thousands
	den   int64  // the denominator of a vulgar fraction or a part
	size  Length // of a metric unit; ±1 for a lean

	from, to int // where it stands in the input
}

// scan splits s into tokens. It refuses nothing: what it does not know is an unknown token.
// It reports the number of tokens, or mostTokens+1 when there are more than fit.
func scan(s string, toks *[mostTokens + 1]token) int {
	n, spaced := 0, true
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if isSpace(r) {
			spaced = true
			i += size
			continue
		}
		if r == '.' && !digitAt(s, i+1) {
			// The point of "in." and "ft.", or the one dictation puts at the end.
			afterWord := n > 0 && toks[n-1].word && toks[n-1].to == i
			if afterWord || (n > 0 && onlySpace(s[i+1:])) {
				i++
				spaced = true
				continue
			}
		}
		if n == mostTokens {
			return mostTokens + 1
		}
		t := token{tight: !spaced, from: i}
		switch {
		case r >= '0' && r <= '9', startsDecimals(s[i:], spaced, toks[:n]):
			i = scanNumber(s, i, &t)
		case raisedDigit(r) >= 0:
			i = scanSmall(s, i, &t, raisedDigit)
			t.raised = true
		case loweredDigit(r) >= 0:
			i = scanSmall(s, i, &t, loweredDigit)
			t.lowered = true
		case foldLetter(r) != 0:
			i = scanWord(s, i, &t)
		default:
			t.kind = mark(r)
			if t.kind == unknown {
				t.num, t.den = vulgarFraction(r)
				if t.den != 0 {
					t.kind = vulgar
				}
			}
			i += size
		}
		t.to = i
		// Two single primes are one double prime.
		if t.kind == feet && !t.word && t.tight && n > 0 && toks[n-1].kind == feet && !toks[n-1].word {
			toks[n-1].kind, toks[n-1].to = inch, i
			continue
		}
		toks[n] = t
		n++
		spaced = false
	}
	return n
}

// scanNumber reads digits with at most one decimal point or comma.
func scanNumber(s string, i int, t *token) int {
	t.kind = number
	first := i
	for ; i < len(s) && s[i] >= '0' && s[i] <= '9'; i++ {
		// Held at a billion, past every limit, so that nothing overflows later.
		t.num = min(t.num*10+int64(s[i]-'0'), 1_000_000_000)
	}
	whole := i - first
	if i == len(s) || (s[i] != '.' && s[i] != ',') || !digitAt(s, i+1) {
		return i
	}
	t.sep = s[i]
	i++
	decimals := i
	for ; i < len(s) && s[i] >= '0' && s[i] <= '9'; i++ {
		if t.scale < mostDigits {
			t.frac = t.frac*10 + int64(s[i]-'0')
			t.scale++
		}
	}
	t.comma = t.sep == ',' && i-decimals == 3 && whole >= 1 && whole <= 3 && s[first] != '0'
	// 1,234.5 and 1.234.567: a second separator makes it unreadable.
	if i < len(s) && (s[i] == '.' || s[i] == ',') && digitAt(s, i+1) {
		t.kind = unknown
		for i < len(s) && (s[i] == '.' || s[i] == ',' || (s[i] >= '0' && s[i] <= '9')) {
			i++
		}
	}
	return i
}

// scanSmall reads a run of superscript or subscript digits.
func scanSmall(s string, i int, t *token, digit func(rune) int64) int {
	t.kind = number
	for i < len(s) {
		r, size := utf8.DecodeRuneInString(s[i:])
		d := digit(r)
		if d < 0 {
			break
		}
		t.num = min(t.num*10+d, 1_000_000_000)
		i += size
	}
	return i
}

// scanWord reads a run of letters and looks it up. Spoken tens take the ones after them
// ("seventy-nine"), and thirty and sixty take "seconds" and "fourths".
func scanWord(s string, i int, t *token) int {
	i = lookUp(s, i, t)
	t.word = true
	if t.kind != number || t.num < 20 {
		return i
	}
	j := i
	if j < len(s) && s[j] == '-' {
		j++
	} else {
		for j < len(s) && s[j] == ' ' {
			j++
		}
	}
	if j == i || j == len(s) {
		return i
	}
	// A second word counts only when a letter starts it: "seventy 5/8" stays two tokens.
	if r, _ := utf8.DecodeRuneInString(s[j:]); foldLetter(r) == 0 {
		return i
	}
	var next token
	k := lookUp(s, j, &next)
	switch {
	case next.kind == number && next.num >= 1 && next.num <= 9:
		t.num += next.num
		t.loose = s[i] != '-'
		return k
	case next.kind == second && t.num == 30:
		t.kind, t.den, t.num = part, 32, 0
		return k
	case next.kind == part && next.fourth && t.num == 60:
		t.kind, t.den, t.num = part, 64, 0
		return k
	}
	return i
}

// startsDecimals tells whether s is .625 with no whole number in front. A point tight against
// a word is the word's own (6ft.7 is unreadable), and a comma after feet separates (6',7).
func startsDecimals(s string, spaced bool, before []token) bool {
	if (s[0] != '.' && s[0] != ',') || !digitAt(s, 1) {
		return false
	}
	if len(before) == 0 {
		return true
	}
	last := &before[len(before)-1]
	switch last.kind {
	case hyphen, minus, plus:
		return true
	case feet:
		return s[0] == '.' && (spaced || !last.word)
	}
	return s[0] == '.' && spaced
}

func digitAt(s string, i int) bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }

func onlySpace(s string) bool {
	for _, r := range s {
		if !isSpace(r) {
			return false
		}
	}
	return true
}

// isSpace knows the spaces phones and word processors type, thin and no-break ones too.
func isSpace(r rune) bool {
	switch r {
	case ' ', '\t', '\n', '\r', 0xA0, 0x202F, 0x205F, 0x3000, 0xFEFF:
		return true
	}
	return r >= 0x2000 && r <= 0x200B
}

// mark is what a punctuation mark means, or unknown.
func mark(r rune) kind {
	switch r {
	case '/', '⁄', '∕':
		return slash
	case '\'', '′', '’', '‘', '‛', 'ʹ', 'ʼ', '`', '´':
		return feet
	case '"', '″', '”', '“', '‟', 'ʺ', '„':
		return inch
	case '-', '‐', '‑', '‒', '–', '—':
		return hyphen
	case '−':
		return minus
	case '+', '\uFF0B':
		return plus
	case '&':
		return and
	case ',':
		return comma
	}
	return unknown
}

// vulgarFraction is the value of a one-character fraction. Thirds and their like are
// known so that the refusal can say what they are.
func vulgarFraction(r rune) (num, den int64) {
	switch r {
	case '½':
		return 1, 2
	case '¼':
		return 1, 4
	case '¾':
		return 3, 4
	case '⅛':
		return 1, 8
	case '⅜':
		return 3, 8
	case '⅝':
		return 5, 8
	case '⅞':
		return 7, 8
	case '⅓':
		return 1, 3
	case '⅔':
		return 2, 3
	case '⅕':
		return 1, 5
	case '⅖':
		return 2, 5
	case '⅗':
		return 3, 5
	case '⅘':
		return 4, 5
	case '⅙':
		return 1, 6
	case '⅚':
		return 5, 6
	case '⅐':
		return 1, 7
	case '⅑':
		return 1, 9
	case '⅒':
		return 1, 10
	}
	return 0, 0
}

// raisedDigit is the value of a superscript digit, or -1.
func raisedDigit(r rune) int64 {
	switch {
	case r == '¹':
		return 1
	case r == '²':
		return 2
	case r == '³':
		return 3
	case r == '⁰' || (r >= '⁴' && r <= '⁹'):
		return int64(r - '⁰')
	}
	return -1
}

// loweredDigit is the value of a subscript digit, or -1.
func loweredDigit(r rune) int64 {
	if r >= '₀' && r <= '₉' {
		return int64(r - '₀')
	}
	return -1
}
