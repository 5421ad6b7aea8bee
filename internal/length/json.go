package length

import (
	"strconv"
	"unicode/utf8"
)

// MarshalJSON writes whole nanometers, an integer.
func (l Length) MarshalJSON() ([]byte, error) {
	return strconv.AppendInt(nil, int64(l), 10), nil
}

// UnmarshalJSON reads whole nanometers, or a JSON string in the crew's notation as
// [ParseSigned] reads it, bare numbers in inches. null leaves l as it is. A number that is not
// whole or does not fit int64 is a *[ParseError], as is a string that is not a length.
// 1.5e3 is whole; 1.5 is not.
func (l *Length) UnmarshalJSON(data []byte) error {
	data = trimJSON(data)
	switch {
	case len(data) == 0:
		return jsonRefusal(data)
	case string(data) == "null":
		return nil
	case data[0] == '"':
		text, ok := unquote(data)
		if !ok {
			return jsonRefusal(data)
		}
		v, err := ParseSigned(text, Inches)
		if err != nil {
			return err
		}
		*l = v
		return nil
	}
	v, ok := wholeNumber(data)
	if !ok {
		return jsonRefusal(data)
	}
	*l = Length(v)
	return nil
}

func jsonRefusal(data []byte) *ParseError {
	in := string(data)
	return &ParseError{Code: CodeNotALength, Input: in, says: "length_not_json", args: []arg{{"typed", shown(in)}}}
}

func trimJSON(b []byte) []byte {
	blank := func(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }
	for len(b) > 0 && blank(b[0]) {
		b = b[1:]
	}
	for len(b) > 0 && blank(b[len(b)-1]) {
		b = b[:len(b)-1]
	}
	return b
}

// wholeNumber reads a JSON number (RFC 8259, section 6) that is a whole number within int64,
// without going through a float.
func wholeNumber(b []byte) (int64, bool) {
	i, negative := 0, false
	if i < len(b) && b[i] == '-' {
		negative = true
		i++
	}
	// The number is digits × 10^exp. 19 digits hold any int64.
	var digits [19]byte
	n, exp := 0, 0
	zeros := 0 // zeros seen but not yet kept
	keep := func(c byte) bool {
		if c == '0' {
			if n > 0 {
				zeros++
			}
			return true
		}
		if n+zeros+1 > len(digits) {
			return false
		}
		for ; zeros > 0; zeros-- {
			digits[n] = '0'
			n++
		}
		digits[n] = c
		n++
		return true
	}
	start := i
	for ; i < len(b) && isDigit(b[i]); i++ {
		if !keep(b[i]) {
			return 0, false
		}
	}
	if i == start || (b[start] == '0' && i > start+1) {
		return 0, false
	}
	if i < len(b) && b[i] == '.' {
		i++
		point := i
		for ; i < len(b) && isDigit(b[i]); i++ {
			if !keep(b[i]) {
				return 0, false
			}
			exp--
		}
		if i == point {
			return 0, false
		}
	}
	if i < len(b) && (b[i] == 'e' || b[i] == 'E') {
		i++
		sign := 1
		if i < len(b) && (b[i] == '+' || b[i] == '-') {
			if b[i] == '-' {
				sign = -1
			}
			i++
		}
		first, e := i, 0
		for ; i < len(b) && isDigit(b[i]); i++ {
			e = min(e*10+int(b[i]-'0'), 1_000_000)
		}
		if i == first {
			return 0, false
		}
		exp += sign * e
	}
	if i != len(b) {
		return 0, false
	}
	if n == 0 {
		return 0, true
	}
	exp += zeros
	if exp < 0 || n+exp > len(digits) {
		return 0, false
	}
	out := make([]byte, 0, len(digits)+1)
	if negative {
		out = append(out, '-')
	}
	out = append(out, digits[:n]...)
	for range exp {
		out = append(out, '0')
	}
	v, err := strconv.ParseInt(string(out), 10, 64)
	return v, err == nil
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// unquote reads a JSON string (RFC 8259, section 7). A surrogate without its pair becomes
// U+FFFD, as encoding/json has it.
func unquote(b []byte) (string, bool) {
	if len(b) < 2 || b[len(b)-1] != '"' {
		return "", false
	}
	b = b[1 : len(b)-1]
	out := make([]byte, 0, len(b))
	for i := 0; i < len(b); {
		c := b[i]
		switch {
		case c == '"' || c < ' ':
			return "", false
		case c != '\\':
			r, size := utf8.DecodeRune(b[i:])
			out = utf8.AppendRune(out, r)
			i += size
			continue
		case i+1 == len(b):
			return "", false
		}
		i += 2
		switch c = b[i-1]; c {
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
			r, ok := hex4(b[i:])
			if !ok {
				return "", false
			}
			i += 4
			if r >= 0xD800 && r < 0xDC00 && i+1 < len(b) && b[i] == '\\' && b[i+1] == 'u' {
				if low, ok := hex4(b[i+2:]); ok && low >= 0xDC00 && low < 0xE000 {
					r = (r-0xD800)<<10 | (low - 0xDC00) + 0x10000
					i += 6
				}
			}
			out = utf8.AppendRune(out, r) // a lone surrogate is written as U+FFFD
		default:
			return "", false
		}
	}
	return string(out), true
}

func hex4(b []byte) (rune, bool) {
	if len(b) < 4 {
		return 0, false
	}
	var r rune
	for _, c := range b[:4] {
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c >= 'a' && c <= 'f':
			c -= 'a' - 10
		case c >= 'A' && c <= 'F':
			c -= 'A' - 10
		default:
			return 0, false
		}
		r = r<<4 | rune(c)
	}
	return r, true
}
