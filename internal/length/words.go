package length

import "unicode/utf8"

// longestWord is "centimetros" and "dieciseisavos" with room to spare.
const longestWord = 16

// lookUp reads the word at i into t and returns where it ends. Case and accents do not matter.
func lookUp(s string, i int, t *token) int {
	var buf [longestWord]byte
	n := 0
	for i < len(s) {
		r, size := utf8.DecodeRuneInString(s[i:])
		c := foldLetter(r)
		if c == 0 {
			break
		}
		if n < longestWord {
			buf[n] = c
		}
		n++
		i += size
	}
	t.kind = unknown
	if n <= longestWord {
		meaning(string(buf[:n]), t)
	}
	return i
}

// meaning sets t to what a word, in lower case and without accents, stands for in a length.
// English and Spanish, the two languages the crews write.
func meaning(w string, t *token) {
	switch w {
	case "in", "inch", "inches", "pulg", "pulgada", "pulgadas":
		t.kind = inch
	case "ft", "foot", "feet", "pie", "pies":
		t.kind = feet
	case "mm", "millimeter", "millimeters", "millimetre", "millimetres", "milimetro", "milimetros":
		t.kind, t.size = metric, Millimeter
	case "cm", "centimeter", "centimeters", "centimetre", "centimetres", "centimetro", "centimetros":
		t.kind, t.size = metric, centimeter
	case "m", "meter", "meters", "metre", "metres", "metro", "metros":
		t.kind, t.size = metric, meter
	case "heavy", "strong", "fuerte":
		t.kind, t.size = lean, 1
	case "light", "shy", "escaso", "escasa", "flojo", "floja":
		t.kind, t.size = lean, -1
	case "plus", "mas":
		t.kind = plus
	case "minus", "menos":
		t.kind = minus
	case "and", "y":
		t.kind = and
	case "of", "de":
		t.kind = of
	case "a", "an", "un", "una":
		t.kind = article
	case "th", "ths", "nd", "nds":
		t.kind = ordinal
	case "half", "halves", "medio", "media", "medios":
		t.kind, t.den = part, 2
	case "quarter", "quarters", "cuarto", "cuartos":
		t.kind, t.den = part, 4
	case "fourth", "fourths":
		t.kind, t.den, t.fourth = part, 4, true
	case "second", "seconds":
		t.kind = second
	case "eighth", "eighths", "octavo", "octavos":
		t.kind, t.den = part, 8
	case "sixteenth", "sixteenths", "dieciseisavo", "dieciseisavos":
		t.kind, t.den = part, 16
	case "third", "thirds", "tercio", "tercios":
		t.kind, t.den = part, 3
	default:
		if v := spoken(w); v >= 0 {
			t.kind, t.num = number, v
		}
	}
}

// spoken is the value of a number word, or -1. "un" and "una" are articles.
func spoken(w string) int64 {
	switch w {
	case "zero", "cero":
		return 0
	case "one", "uno":
		return 1
	case "two", "dos":
		return 2
	case "three", "tres":
		return 3
	case "four", "cuatro":
		return 4
	case "five", "cinco":
		return 5
	case "six", "seis":
		return 6
	case "seven", "siete":
		return 7
	case "eight", "ocho":
		return 8
	case "nine", "nueve":
		return 9
	case "ten", "diez":
		return 10
	case "eleven", "once":
		return 11
	case "twelve", "doce":
		return 12
	case "thirteen", "trece":
		return 13
	case "fourteen", "catorce":
		return 14
	case "fifteen", "quince":
		return 15
	case "sixteen", "dieciseis":
		return 16
	case "seventeen", "diecisiete":
		return 17
	case "eighteen", "dieciocho":
		return 18
	case "nineteen", "diecinueve":
		return 19
	case "twenty":
		return 20
	case "thirty":
		return 30
	case "forty":
		return 40
	case "fifty":
		return 50
	case "sixty":
		return 60
	case "seventy":
		return 70
	case "eighty":
		return 80
	case "ninety":
		return 90
	}
	return -1
}

// foldLetter is the letter in lower case without its accent; 0 when r is not a letter.
// A letter that no word here has comes back as '?'.
func foldLetter(r rune) byte {
	switch {
	case r >= 'a' && r <= 'z':
		return byte(r)
	case r >= 'A' && r <= 'Z':
		return byte(r) + 'a' - 'A'
	}
	switch r {
	case 'á', 'Á':
		return 'a'
	case 'é', 'É':
		return 'e'
	case 'í', 'Í':
		return 'i'
	case '×', '÷':
		return 0
	}
	if r >= 0xC0 && r <= 0x24F {
		return '?'
	}
	return 0
}
