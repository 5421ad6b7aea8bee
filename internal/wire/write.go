package wire

import (
	"math"
	"strconv"
	"unicode/utf8"
)

// writer builds one JSON text.
type writer struct {
	buf   []byte
	first bool   // nothing stands in the open object or array yet
	none  bool   // what should be a list is nil and was written as null
	err   string // why the text is not to be used; empty while it is
}

func (w *writer) open(bracket byte) {
	w.buf = append(w.buf, bracket)
	w.first = true
}

func (w *writer) close(bracket byte) {
	w.buf = append(w.buf, bracket)
	w.first = false
}

func (w *writer) comma() {
	if !w.first {
		w.buf = append(w.buf, ',')
	}
	w.first = false
}

// key starts a member whose name needs no escape.
func (w *writer) key(name string) {
	w.comma()
	w.buf = append(w.buf, '"')
	w.buf = append(w.buf, name...)
	w.buf = append(w.buf, '"', ':')
}

// entry starts a member of a map, whose name may be anything.
func (w *writer) entry(name string) {
	w.comma()
	w.text(name)
	w.buf = append(w.buf, ':')
}

func (w *writer) null() { w.buf = append(w.buf, "null"...) }

func (w *writer) flag(v bool) { w.buf = strconv.AppendBool(w.buf, v) }

func (w *writer) whole(v int64) { w.buf = strconv.AppendInt(w.buf, v, 10) }

// decimal writes a number the way ECMAScript prints it, as encoding/json does.
func (w *writer) decimal(v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		w.err = "a number is not finite"
		return
	}
	form := byte('f')
	if abs := math.Abs(v); abs != 0 && (abs < 1e-6 || abs >= 1e21) {
		form = 'e'
	}
	w.buf = strconv.AppendFloat(w.buf, v, form, -1, 64)
	if n := len(w.buf); form == 'e' && n >= 4 && w.buf[n-4] == 'e' && w.buf[n-3] == '-' && w.buf[n-2] == '0' {
		w.buf[n-2] = w.buf[n-1] // e-09 becomes e-9
		w.buf = w.buf[:n-1]
	}
}

const hexDigits = "0123456789abcdef"

// text writes a string. Broken UTF-8 becomes U+FFFD; the two line separators that are
// line ends to JavaScript are escaped.
func (w *writer) text(s string) {
	b := append(w.buf, '"')
	start := 0
	for i := 0; i < len(s); {
		c := s[i]
		if c >= ' ' && c != '"' && c != '\\' && c < utf8.RuneSelf {
			i++
			continue
		}
		if c < utf8.RuneSelf {
			b = append(b, s[start:i]...)
			i++
			start = i
			b = append(b, '\\')
			switch c {
			case '"', '\\':
				b = append(b, c)
			case '\b':
				b = append(b, 'b')
			case '\f':
				b = append(b, 'f')
			case '\n':
				b = append(b, 'n')
			case '\r':
				b = append(b, 'r')
			case '\t':
				b = append(b, 't')
			default:
				b = append(b, 'u', '0', '0', hexDigits[c>>4], hexDigits[c&15])
			}
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			b = append(append(b, s[start:i]...), `\ufffd`...)
			start = i + size
		case r == '\u2028' || r == '\u2029':
			b = append(append(b, s[start:i]...), `\u202`...)
			b = append(b, hexDigits[r&15])
			start = i + size
		}
		i += size
	}
	w.buf = append(append(b, s[start:]...), '"')
}
