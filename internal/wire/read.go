package wire

import (
	"unicode/utf8"

	"longpoint/internal/length"
)

// reader reads one JSON text (RFC 8259). After the first thing that is wrong every call
// answers nothing, so that its users need not ask each time.
type reader struct {
	in    string
	at    int
	key   string // name of the member that field has come to
	first bool   // nothing of the open object or array has been read yet
	none  bool   // what should be an object or array was null
	depth int
	err   *Error
}

// deepest is how far objects and arrays may be nested; the rule book's own go eight deep.
const deepest = 64

func (r *reader) fail(sentence string) {
	if r.err == nil {
		r.err = &Error{Sentence: sentence, At: r.at}
	}
	r.at = len(r.in)
}

// next skips blanks and returns the byte there, 0 at the end.
func (r *reader) next() byte {
	for r.at < len(r.in) {
		switch c := r.in[r.at]; c {
		case ' ', '\t', '\n', '\r':
			r.at++
		default:
			return c
		}
	}
	return 0
}

func (r *reader) word(w string) bool {
	if len(r.in)-r.at < len(w) || r.in[r.at:r.at+len(w)] != w {
		return false
	}
	r.at += len(w)
	return true
}

// null reads a null if one stands there.
func (r *reader) null() bool { return r.next() == 'n' && r.word("null") }

func (r *reader) begin(bracket byte, what string) {
	if r.none = r.null(); r.none {
		return
	}
	if r.next() != bracket {
		r.fail("the text has no " + what + " where one belongs")
		return
	}
	if r.depth++; r.depth > deepest {
		r.fail("the text is nested too deep")
		return
	}
	r.at++
	r.first = true
}

// more steps to the next part of an object or array and reports whether there is one.
func (r *reader) more(bracket byte) bool {
	if r.err != nil || r.none {
		r.none = false
		return false
	}
	c := r.next()
	if c == bracket {
		r.at++
		r.depth--
		r.first = false
		return false
	}
	if !r.first {
		if c != ',' {
			r.fail("a comma or the end of a list is missing")
			return false
		}
		r.at++
	}
	r.first = false
	return true
}

func (r *reader) object() { r.begin('{', "object") }

// field steps to the next member and sets key.
func (r *reader) field() bool {
	if !r.more('}') {
		return false
	}
	r.key = r.quoted()
	if r.next() != ':' {
		r.fail("a name is without its value")
		return false
	}
	r.at++
	return r.err == nil
}

func (r *reader) array() { r.begin('[', "list") }

func (r *reader) element() bool { return r.more(']') }

// text reads a string. Here and below null leaves what was there.
func (r *reader) text(was string) string {
	if r.null() {
		return was
	}
	return r.quoted()
}

func (r *reader) flag(was bool) bool {
	switch {
	case r.null():
	case r.word("true"):
		return true
	case r.word("false"):
		return false
	default:
		r.fail("true or false belongs here")
	}
	return was
}

// whole reads a number without fraction or exponent that fits 64 bits.
func (r *reader) whole(was int64) int64 {
	if r.null() {
		return was
	}
	v, ok := integer(r.number())
	if !ok {
		r.fail("a whole number belongs here")
		return was
	}
	return v
}

func integer(digits string) (int64, bool) {
	size, negative := digits, false
	if size != "" && size[0] == '-' {
		size, negative = size[1:], true
	}
	if size == "" {
		return 0, false
	}
	var v uint64
	for i := range len(size) {
		d := size[i] - '0'
		if d > 9 || v > (1<<63)/10 {
			return 0, false
		}
		v = v*10 + uint64(d)
	}
	switch {
	case negative && v <= 1<<63:
		return -int64(v), true
	case !negative && v < 1<<63:
		return int64(v), true
	}
	return 0, false
}

// length reads whole nanometers, or text in the crew's notation as length.Length does. A whole
// number with a point or an exponent, which length.Length takes too, is refused.
func (r *reader) length(was length.Length) length.Length {
	if r.next() != '"' {
		return length.Length(r.whole(int64(was)))
	}
	v, err := length.ParseSigned(r.quoted(), length.Inches)
	if err != nil {
		r.fail("A length cannot be read")
		return was
	}
	return v
}

// number reads the text of one number and leaves its meaning to the caller.
func (r *reader) number() string {
	r.next()
	start := r.at
	r.word("-")
	if !r.word("0") && !r.digits() {
		r.fail("a number belongs here")
		return ""
	}
	if r.word(".") && !r.digits() {
		r.fail("a number breaks off")
		return ""
	}
	if r.word("e") || r.word("E") {
		if !r.word("+") {
			r.word("-")
		}
		if !r.digits() {
			r.fail("a number breaks off")
			return ""
		}
	}
	return r.in[start:r.at]
}

func (r *reader) digits() bool {
	start := r.at
	for r.at < len(r.in) && r.in[r.at]-'0' <= 9 {
		r.at++
	}
	return r.at > start
}

// quoted reads a string that has to stand here.
func (r *reader) quoted() string {
	if r.next() != '"' {
		r.fail("text in quotes belongs here")
		return ""
	}
	r.at++
	start := r.at
	for r.at < len(r.in) {
		switch c := r.in[r.at]; {
		case c == '"':
			s := r.in[start:r.at]
			r.at++
			return s
		case c < ' ' || c == '\\' || c >= utf8.RuneSelf:
			return r.escaped(start)
		}
		r.at++
	}
	r.fail("text in quotes breaks off")
	return ""
}

// escaped reads on from the first byte that does not stand for itself. Broken UTF-8 and half
// a surrogate pair become U+FFFD, as encoding/json has it.
func (r *reader) escaped(start int) string {
	out := append(make([]byte, 0, 2*(r.at-start)+32), r.in[start:r.at]...)
	for r.at < len(r.in) {
		c := r.in[r.at]
		switch {
		case c == '"':
			r.at++
			return string(out)
		case c < ' ':
			r.fail("a control character stands in text")
			return ""
		case c != '\\':
			v, size := utf8.DecodeRuneInString(r.in[r.at:])
			out = utf8.AppendRune(out, v)
			r.at += size
			continue
		case r.at+1 == len(r.in):
			r.fail("text in quotes breaks off")
			return ""
		}
		c = r.in[r.at+1]
		r.at += 2
		switch c {
		case '"', '\\', '/':
			out = append(out, c)
		case 'b':
			out = append(out, '\b')
		case 'f':
			out = append(out, '\f')
		case 'n':
			out = append(out, '\n')
		case 'r':
			out = append(out, '\r')
		case 't':
			out = append(out, '\t')
		case 'u':
			v := r.hex()
			if v >= 0xD800 && v < 0xDC00 {
				back := r.at
				if low := rune(0); r.word(`\u`) {
					if low = r.hex(); low >= 0xDC00 && low < 0xE000 {
						v = (v-0xD800)<<10 | (low - 0xDC00) + 0x10000
					} else if r.err == nil {
						r.at = back
					}
				}
			}
			out = utf8.AppendRune(out, v)
		default:
			r.fail("a backslash stands before what it cannot")
			return ""
		}
	}
	r.fail("text in quotes breaks off")
	return ""
}

// hex reads the four digits of an escape.
func (r *reader) hex() rune {
	if len(r.in)-r.at < 4 {
		r.fail("text in quotes breaks off")
		return 0
	}
	var v rune
	for _, c := range []byte(r.in[r.at : r.at+4]) {
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c|0x20 >= 'a' && c|0x20 <= 'f':
			c = c | 0x20 - 'a' + 10
		default:
			r.fail("an escape is not four hexadecimal digits")
			return 0
		}
		v = v<<4 | rune(c)
	}
	r.at += 4
	return v
}

// skip reads over one value of any kind.
func (r *reader) skip() {
	switch r.next() {
	case '{':
		for r.object(); r.field(); {
			r.skip()
		}
	case '[':
		for r.array(); r.element(); {
			r.skip()
		}
	case '"':
		r.quoted()
	case 't', 'f':
		r.flag(false)
	case 'n':
		if !r.null() {
			r.fail("null is misspelled")
		}
	default:
		r.number()
	}
}

// end checks that nothing follows the value that was read.
func (r *reader) end() {
	if r.next(); r.at < len(r.in) {
		r.fail("something follows the end of the text")
	}
}
