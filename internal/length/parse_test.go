package length_test

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"longpoint/internal/length"

	"pgregory.net/rapid"
)

const (
	in = length.Inches
	mm = length.Millimeters
)

// refusal is err as the package's own error, checked to be fit to show.
func refusal(t interface {
	Helper()
	Fatalf(string, ...any)
}, err error) *length.ParseError {
	t.Helper()
	var e *length.ParseError
	if !errors.As(err, &e) || e == nil {
		t.Fatalf("want a *ParseError, got %v", err)
	}
	if e.Code == "" || !strings.HasSuffix(e.Error(), ".") || !utf8.ValidString(e.Error()) ||
		strings.ContainsAny(e.Error(), "\x00\n\r") {
		t.Fatalf("want a code and one clean sentence, got %q, %q", e.Code, e.Error())
	}
	return e
}

type notation struct {
	in   string
	unit length.Unit
	want length.Length
}

var notations = []notation{
	// The rule book's own list.
	{"79 5/8", in, length.In(79, 5, 8)},
	{`79-5/8"`, in, length.In(79, 5, 8)},
	{`6' 7 5/8"`, in, length.In(79, 5, 8)},
	{"6'-7 5/8", in, length.In(79, 5, 8)},
	{"5/8", in, length.In(0, 5, 8)},
	{"79.625", in, length.In(79, 5, 8)},
	{"79⅝", in, length.In(79, 5, 8)},
	{"2018mm", in, 2018 * length.Millimeter},
	{"201.8 cm", in, 2018 * length.Millimeter},
	{"2.018 m", in, 2018 * length.Millimeter},
	{"79 and 5/8", in, length.In(79, 5, 8)},

	// Bare numbers follow the unit; marked ones do not.
	{"79", in, length.In(79, 0, 1)},
	{"0", in, 0},
	{"2018", mm, 2018 * length.Millimeter},
	{"2018.5", mm, 2018*length.Millimeter + 500_000},
	{"2018,5", mm, 2018*length.Millimeter + 500_000},
	{`79 5/8"`, mm, length.In(79, 5, 8)},
	{"79 5/8 in", mm, length.In(79, 5, 8)},
	{"6' 7 5/8", mm, length.In(79, 5, 8)},
	{"2018 mm", mm, 2018 * length.Millimeter},
	{"79", "", length.In(79, 0, 1)},

	// Units in words, any case.
	{"79 5/8 inch", in, length.In(79, 5, 8)},
	{"79 5/8 INCHES", in, length.In(79, 5, 8)},
	{"79 5/8 in.", in, length.In(79, 5, 8)},
	{"79in", in, length.In(79, 0, 1)},
	{"6 ft 7 5/8 in", in, length.In(79, 5, 8)},
	{"6ft7in", in, length.In(79, 0, 1)},
	{"6 ft. 7 in. ", in, length.In(79, 0, 1)},
	{"6 feet, 7 inches", in, length.In(79, 0, 1)},
	{"6 feet and 7 inches", in, length.In(79, 0, 1)},
	{"6 foot 7", in, length.In(79, 0, 1)},
	{"6'", in, 6 * length.Foot},
	{"6 ft", in, 6 * length.Foot},
	{"6' 5/8", in, length.In(72, 5, 8)},
	{"6.5'", in, length.In(78, 0, 1)},
	{"6½'", in, length.In(78, 0, 1)},
	{"6 1/2 ft", in, length.In(78, 0, 1)},
	{"6' - 7 5/8", in, length.In(79, 5, 8)},
	{"6' 7.625", in, length.In(79, 5, 8)},
	{"6' 0", in, 6 * length.Foot},
	{"6' 11 63/64", in, length.In(83, 63, 64)},
	{"2018 MM", in, 2018 * length.Millimeter},
	{"2018 millimeters", in, 2018 * length.Millimeter},
	{"2018 millimetres", in, 2018 * length.Millimeter},
	{"201.8 centimeters", in, 2018 * length.Millimeter},
	{"2.018 meters", in, 2018 * length.Millimeter},
	{"2 m", in, 2000 * length.Millimeter},
	{"79 pulgadas", mm, length.In(79, 0, 1)},
	{"6 pies 7 pulgadas", in, length.In(79, 0, 1)},
	{"2018 milímetros", in, 2018 * length.Millimeter},
	{"201,8 CENTÍMETROS", in, 2018 * length.Millimeter},
	{"2 metros", in, 2000 * length.Millimeter},

	// Typographic marks, spaces and hyphens.
	{"6′ 7 5/8″", in, length.In(79, 5, 8)},
	{"6’ 7 5/8”", in, length.In(79, 5, 8)},
	{"6‘ 7 5/8“", in, length.In(79, 5, 8)},
	{"79 5/8''", in, length.In(79, 5, 8)},
	{"79 5/8’’", in, length.In(79, 5, 8)},
	{"79 5/8′′", in, length.In(79, 5, 8)},
	{"79\u00a05/8", in, length.In(79, 5, 8)},
	{"79\u20095/8\u202f″", in, length.In(79, 5, 8)},
	{"79–5/8", in, length.In(79, 5, 8)},
	{"79‑5/8", in, length.In(79, 5, 8)},
	{"6'—7", in, length.In(79, 0, 1)},
	{"  79   5 / 8  ", in, length.In(79, 5, 8)},
	{"79 5/8\r\n", in, length.In(79, 5, 8)},
	{`79" 5/8"`, in, length.In(79, 5, 8)},
	{"79 5/8.  ", in, length.In(79, 5, 8)},
	{"79 5/8.", in, length.In(79, 5, 8)},

	// Fractions of one character and of small digits.
	{"½", in, length.Half},
	{"79 ½", in, length.In(79, 1, 2)},
	{"79¼", in, length.In(79, 1, 4)},
	{"79¾", in, length.In(79, 3, 4)},
	{"79⅛", in, length.In(79, 1, 8)},
	{"79⅜", in, length.In(79, 3, 8)},
	{"79⅞\"", in, length.In(79, 7, 8)},
	{"79-⅞", in, length.In(79, 7, 8)},
	{"79 ⁵⁄₈", in, length.In(79, 5, 8)},
	{"79⁵⁄₈", in, length.In(79, 5, 8)},
	{"79¹¹⁄₁₆", in, length.In(79, 11, 16)},
	{"79 ²³∕₃₂", in, length.In(79, 23, 32)},
	{"79 5⁄8", in, length.In(79, 5, 8)},
	{"6'07\"5/8", in, length.In(79, 5, 8)},
	{`79" 5/8`, in, length.In(79, 5, 8)},

	// Every denominator of a tape, reduced or not.
	{"1/2", in, length.Half},
	{"3/4", in, length.In(0, 3, 4)},
	{"10/16", in, length.In(0, 5, 8)},
	{"31/32", in, length.In(0, 31, 32)},
	{"63/64", in, length.In(0, 63, 64)},
	{"79 0/8", in, length.In(79, 0, 1)},
	{"79 5/8ths", in, length.In(79, 5, 8)},
	{"79 1/32nd", in, length.In(79, 1, 32)},

	// Decimals, point or comma.
	{"79,625", in, length.In(79, 5, 8)}, // 79625 in would be out of range, so not thousands
	{"79,5", in, length.In(79, 1, 2)},
	{"0,625", in, length.In(0, 5, 8)},
	{".625", in, length.In(0, 5, 8)},
	{"6'.5", in, length.In(72, 1, 2)},
	{"6',7", in, length.In(79, 0, 1)},
	{"79.", in, length.In(79, 0, 1)},
	{"2,018 m", in, 2018 * length.Millimeter},
	{"201,800 cm", in, 2018 * length.Millimeter},
	{"1.5 in", in, length.In(1, 1, 2)},
	{"0.00000002 in", in, 1},   // 0.508 nm
	{"0.0000000199 m", in, 19}, // past the ninth place nothing counts
	{"0.1", in, 2_540_000},
	{"100'", in, length.Longest},
	{"1200", in, length.Longest},
	{"30480", mm, length.Longest},
	{"30.48 m", in, length.Longest},

	// Heavy and light.
	{"79 5/8+", in, length.In(79, 21, 32)},
	{"79 5/8-", in, length.In(79, 19, 32)},
	{"79 5/8 +", in, length.In(79, 21, 32)},
	{"79 5/8 -", in, length.In(79, 19, 32)},
	{"79 5/8−", in, length.In(79, 19, 32)},
	{"79 5/8–", in, length.In(79, 19, 32)},
	{`79 5/8"+`, in, length.In(79, 21, 32)},
	{`79 5/8"-`, in, length.In(79, 19, 32)},
	{`79 5/8-"`, in, length.In(79, 19, 32)},
	{"79-5/8-", in, length.In(79, 19, 32)},
	{"79⅝+", in, length.In(79, 21, 32)},
	{"79+", in, length.In(79, 1, 32)},
	{"79-", in, length.In(78, 31, 32)},
	{"6'-7-", in, length.In(78, 31, 32)},
	{`6' 7 5/8"+`, in, length.In(79, 21, 32)},
	{"6'-", in, length.In(71, 31, 32)},
	{"0+", in, length.ThirtySecond},
	{"1/32-", in, 0},
	{"79 5/8 heavy", in, length.In(79, 21, 32)},
	{"79 5/8 strong", in, length.In(79, 21, 32)},
	{"79 5/8 light", in, length.In(79, 19, 32)},
	{"79 5/8 Shy", in, length.In(79, 19, 32)},
	{"79 5/8 in light", in, length.In(79, 19, 32)},
	{"79 5/8 light in", in, length.In(79, 19, 32)},
	{"79 5/8+ in", in, length.In(79, 21, 32)},
	{"79 5/8 plus", in, length.In(79, 21, 32)},
	{"79 5/8 minus", in, length.In(79, 19, 32)},
	{"79 5/8 fuerte", in, length.In(79, 21, 32)},
	{"79 5/8 escaso", in, length.In(79, 19, 32)},
	{"79 5/8 flojo", in, length.In(79, 19, 32)},
	{"79 5/8 más", in, length.In(79, 21, 32)},
	{"79.5+", in, length.In(79, 17, 32)},
	{"2018 mm+", in, 2018*length.Millimeter + 500_000},
	{"2018+", mm, 2018*length.Millimeter + 500_000},
	{"2018 mm light", in, 2018*length.Millimeter - 500_000},
	{"201.8 cm heavy", in, 2018*length.Millimeter + 500_000},
	{`79 5/8"+`, mm, length.In(79, 21, 32)},

	// What dictation types.
	{"79 y 5/8", in, length.In(79, 5, 8)},
	{"79 & 5/8", in, length.In(79, 5, 8)},
	{"79 and ⅝", in, length.In(79, 5, 8)},
	{"79 and a half", in, length.In(79, 1, 2)},
	{"79 and 5 eighths", in, length.In(79, 5, 8)},
	{"79 5 eighths", in, length.In(79, 5, 8)},
	{"Five eighths", in, length.In(0, 5, 8)},
	{"five-eighths", in, length.In(0, 5, 8)},
	{"seventy-nine and five-eighths", in, length.In(79, 5, 8)},
	{"seventy nine five eighths inches", in, length.In(79, 5, 8)},
	{"three quarters", in, length.In(0, 3, 4)},
	{"half an inch", in, length.Half},
	{"an eighth of an inch", in, length.Eighth},
	{"quarter inch", in, length.Quarter},
	{"an inch and a half", in, length.In(1, 1, 2)},
	{"2 inches and 5/8", in, length.In(2, 5, 8)},
	{"6 feet and half an inch", in, length.In(72, 1, 2)},
	{"a foot", in, length.Foot},
	{"half a foot", in, 6 * length.Inch},
	{"eleven sixteenths", in, length.In(0, 11, 16)},
	{"5 thirty-seconds", in, length.In(0, 5, 32)},
	{"five thirty seconds", in, length.In(0, 5, 32)},
	{"one sixty-fourth", in, length.SixtyFourth},
	{"twenty-three sixty-fourths", in, length.In(0, 23, 64)},
	{"thirty-one", in, length.In(31, 0, 1)},
	{"sixty 3/4", in, length.In(60, 3, 4)},
	{"79 y medio", in, length.In(79, 1, 2)},
	{"79 y tres cuartos", in, length.In(79, 3, 4)},
	{"cinco octavos", in, length.In(0, 5, 8)},
	{"once dieciseisavos", in, length.In(0, 11, 16)},
	{"media pulgada", in, length.Half},
	{"5/8 de pulgada", in, length.In(0, 5, 8)},
}

func TestParse(t *testing.T) {
	t.Parallel()
	for _, tt := range notations {
		got, err := length.Parse(tt.in, tt.unit)
		if err != nil || got != tt.want {
			t.Errorf("Parse(%q, %q): want %s, got %s, %v", tt.in, tt.unit, tt.want.Exact(in), got.Exact(in), err)
		}
		// What Parse reads, ParseSigned reads alike, and with a sign in front.
		for sign, want := range map[string]length.Length{"": tt.want, "+": tt.want, "- ": -tt.want, "−": -tt.want} {
			got, err := length.ParseSigned(sign+tt.in, tt.unit)
			if err != nil || got != want {
				t.Errorf("ParseSigned(%q, %q): want %s, got %s, %v", sign+tt.in, tt.unit, want.Exact(in), got.Exact(in), err)
			}
		}
	}
}

// Every number word, and every one-character fraction, stands for what it says.
func TestParseWords(t *testing.T) {
	t.Parallel()
	words := map[string]int64{
		"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
		"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
		"seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50,
		"sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
		"cero": 0, "uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9,
		"diez": 10, "once": 11, "doce": 12, "trece": 13, "catorce": 14, "quince": 15, "dieciséis": 16,
		"diecisiete": 17, "DIECIOCHO": 18, "diecinueve": 19,
		"ninety-nine": 99, "ninety nine": 99, "twenty-one": 21,
	}
	for w, n := range words {
		if got, err := length.Parse(w, in); err != nil || got != length.In(n, 0, 1) {
			t.Errorf("Parse(%q): want %d in, got %s, %v", w, n, got.Exact(in), err)
		}
		if got, err := length.Parse(w+" 3/8 inches", in); err != nil || got != length.In(n, 3, 8) {
			t.Errorf("Parse(%q): want %d 3/8 in, got %s, %v", w+" 3/8 inches", n, got.Exact(in), err)
		}
	}
	for w, den := range map[string]int64{
		"halves": 2, "quarters": 4, "fourths": 4, "eighths": 8, "sixteenths": 16, "thirty-seconds": 32, "sixty fourths": 64,
		"medios": 2, "cuartos": 4, "octavos": 8, "dieciseisavos": 16,
	} {
		if got, err := length.Parse("79 1 "+w, in); err != nil || got != length.In(79, 1, den) {
			t.Errorf("Parse(79 1 %s): want 79 1/%d in, got %s, %v", w, den, got.Exact(in), err)
		}
	}
	for _, r := range []string{"⅓ 1/3", "⅔ 2/3", "⅕ 1/5", "⅖ 2/5", "⅗ 3/5", "⅘ 4/5", "⅙ 1/6", "⅚ 5/6", "⅐ 1/7", "⅑ 1/9", "⅒ 1/10"} {
		char, says, _ := strings.Cut(r, " ")
		_, err := length.Parse(char, in)
		if e := refusal(t, err); e.Code != length.CodeDenominator || !strings.HasPrefix(e.Error(), says+" ") {
			t.Errorf("Parse(%q): want %s about %s, got %s, %q", char, length.CodeDenominator, says, e.Code, e.Error())
		}
	}
}

func TestParseSigned(t *testing.T) {
	t.Parallel()
	tests := []notation{
		{"-1/8", in, -length.Eighth},
		{"+1/8", in, length.Eighth},
		{"−1/8", in, -length.Eighth},
		{"-3", mm, -3 * length.Millimeter},
		{"-0", in, 0},
		{"-1/8 heavy", in, -length.In(0, 5, 32)},
		{"-1/8-", in, -length.In(0, 3, 32)},
		{"minus 1/8", in, -length.Eighth},
		{"-6' 7", in, -length.In(79, 0, 1)},
	}
	for _, tt := range tests {
		got, err := length.ParseSigned(tt.in, tt.unit)
		if err != nil || got != tt.want {
			t.Errorf("ParseSigned(%q, %q): want %s, got %s, %v", tt.in, tt.unit, tt.want.Exact(in), got.Exact(in), err)
		}
	}
	for in, code := range map[string]string{
		"--5": length.CodeMissingNumber, "-": length.CodeMissingNumber, "+": length.CodeMissingNumber,
		"-0-": length.CodeNegative, "-101'": length.CodeTooLong, "-9/8": length.CodeImproperFraction,
	} {
		got, err := length.ParseSigned(in, length.Inches)
		if e := refusal(t, err); e.Code != code || got != 0 {
			t.Errorf("ParseSigned(%q): want 0 and %s, got %d and %s", in, code, got, e.Code)
		}
	}
}

// An inch value written as its exact millimeters, centimeters or meters is the same length.
func TestParseAcrossUnits(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := length.Length(rapid.Int64Range(0, 1200*64).Draw(t, "64ths")) * length.SixtyFourth
		for _, text := range []string{l.Exact(mm), l.Exact(in), strings.Replace(l.Exact(mm), ".", ",", 1)} {
			got, err := length.Parse(text, in)
			if err != nil && refusal(t, err).Code == length.CodeTwoWays {
				continue // 2,018 mm
			}
			if err != nil || got != l {
				t.Fatalf("Parse(%q): want %d, got %d, %v", text, l, got, err)
			}
		}
	})
}
