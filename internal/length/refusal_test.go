package length_test

import (
	"strings"
	"testing"

	"longpoint/internal/length"
)

func TestRefusals(t *testing.T) {
	t.Parallel()
	tests := []struct {
		in      string
		unit    length.Unit
		code    string
		says    string // part of the sentence
		instead string
	}{
		{"", in, length.CodeEmpty, "Nothing was typed: type a length such as 79 5/8", ""},
		{" \t\u00a0", mm, length.CodeEmpty, "Nothing was typed", ""},

		{"9/8", in, length.CodeImproperFraction, "9/8 comes to 1 1/8: type 1 1/8.", "1 1/8"},
		{"79 9/8", in, length.CodeImproperFraction, "79 9/8 comes to 80 1/8: type 80 1/8.", "80 1/8"},
		{"8/8", in, length.CodeImproperFraction, "8/8 comes to 1: type 1.", "1"},
		{"6' 7 9/8", in, length.CodeImproperFraction, "type 80 1/8.", "80 1/8"},
		{"3/2 ft", in, length.CodeImproperFraction, "type 18.", "18"},
		{"nine eighths", in, length.CodeImproperFraction, "type 1 1/8.", "1 1/8"},
		{`9/8"`, mm, length.CodeImproperFraction, `type 1 1/8".`, `1 1/8"`},
		{"795/8", in, length.CodeImproperFraction, "795/8 comes to 99 3/8: type 99 3/8, or put a space", "99 3/8"},
		{"99999999/8", in, length.CodeImproperFraction, "put a space between the inches and the fraction", ""},

		{"5/3", in, length.CodeDenominator,
			"5/3 is not a tape fraction: type 1 2/3 as sixteenths, for example 1 11/16.", "1 11/16"},
		{"1/3", in, length.CodeDenominator, "1/3 is not a tape fraction: type it in sixteenths, for example 5/16.", "5/16"},
		{"79 1/3", in, length.CodeDenominator, "for example 79 5/16.", "79 5/16"},
		{"79⅓", in, length.CodeDenominator, "1/3 is not a tape fraction", "79 5/16"},
		{"79 ⅘", in, length.CodeDenominator, "4/5 is not a tape fraction", "79 13/16"},
		{"3/10", in, length.CodeDenominator, "for example 5/16.", "5/16"},
		{"1/128", in, length.CodeDenominator, "type it in sixty-fourths, for example 1/64.", "1/64"},
		{"6' 7 1/3", in, length.CodeDenominator, "for example 79 5/16.", "79 5/16"},
		{"6 1/3 ft", in, length.CodeDenominator, "for example 76.", "76"},
		{"two thirds", in, length.CodeDenominator, "for example 11/16.", "11/16"},
		{"6' and a third", in, length.CodeDenominator, "for example 72 5/16.", "72 5/16"},
		{"5/0", in, length.CodeDenominator, "Nothing divides by 0", ""},
		{"99999999/3", in, length.CodeDenominator, "type it in sixteenths", ""},

		{"-3", in, length.CodeNegative, "A length cannot be negative: type 3.", "3"},
		{"−79 5/8", in, length.CodeNegative, "type 79 5/8.", "79 5/8"},
		{"minus 3", in, length.CodeNegative, "type 3.", "3"},
		{"-5/3", in, length.CodeDenominator, "for example 1 11/16.", "1 11/16"},
		{"0-", in, length.CodeNegative, "0- is less than nothing: type 0,", ""},
		{"1/64 light", in, length.CodeNegative, "less than nothing", ""},
		{"0.2 mm-", in, length.CodeNegative, "less than nothing", ""},
		{"+3", in, length.CodeNotALength, "comes last: type 3, or 3+.", ""},
		{"+5/3", in, length.CodeDenominator, "not a tape fraction", "1 11/16"},
		{"heavy 5/8", in, length.CodeNotALength, "comes last: type 5/8, or 5/8 heavy.", ""},

		{"6' 20cm", in, length.CodeMixedUnits, "6' 20cm mixes units: type it all in one", ""},
		{"79 5/8 mm", in, length.CodeMixedUnits, "mixes units", ""},
		{"2½ cm", in, length.CodeMixedUnits, "mixes units", ""},
		{"half a meter", in, length.CodeMixedUnits, "mixes units", ""},
		{"2 m 18 cm", in, length.CodeMixedUnits, "mixes units", ""},
		{`5 mm 3"`, in, length.CodeMixedUnits, "mixes units", ""},
		{"79 5/8", mm, length.CodeMixedUnits, `a fraction is of an inch: type 79 5/8" for inches.`, `79 5/8"`},
		{"5/8-", mm, length.CodeMixedUnits, `type 5/8-"`, `5/8-"`},

		{`6' 14"`, in, length.CodeInchesAfterFeet, `6' 14" comes to 86, type that`, "86"},
		{"7'1120", in, length.CodeTooLong, "more than 100 feet", ""},
		{"6' 12", in, length.CodeInchesAfterFeet, "comes to 84", "84"},
		{"6 ft 14 1/2", mm, length.CodeInchesAfterFeet, `comes to 86 1/2"`, `86 1/2"`},

		{"79 - 5/8", in, length.CodeTwoWays, "looks like a sum: type one length, 79 5/8", ""},
		{"79 -5/8", in, length.CodeTwoWays, "looks like a sum", ""},
		{"79- 5/8", in, length.CodeTwoWays, "looks like a sum", ""},
		{"79−5/8", in, length.CodeTwoWays, "looks like a sum", ""},
		{"79 minus 5/8", in, length.CodeTwoWays, "looks like a sum", ""},
		{"79+5/8", in, length.CodeTwoWays, "looks like a sum", ""},
		{"6'+7", in, length.CodeTwoWays, "looks like a sum", ""},
		{"6' 7-inches", in, length.CodeTwoWays, "type 6' 7 inches, or 6' 7 inches light.", ""},
		{`7" 5/8-inch`, in, length.CodeTwoWays, "inch light.", ""},
		{"a foot and a half", in, length.CodeTwoWays, "type 12 1/2 or 18.", ""},
		{"79 5/8-inch", in, length.CodeTwoWays, "type 79 5/8 inch, or 79 5/8 inch light.", ""},
		{"2018-mm", in, length.CodeTwoWays, "type 2018 mm, or 2018 mm light.", ""},
		{"2,018 mm", in, length.CodeTwoWays, "2,018 can be read two ways: type 2018 or 2.018,", ""},
		{"2,018", mm, length.CodeTwoWays, "type 2018 or 2.018", ""},
		{"1,125", in, length.CodeTwoWays, "type 1125 or 1.125", ""},
		{"6 feet and a half", in, length.CodeTwoWays, "type 72 1/2 or 78.", ""},
		{"twenty three sixty-fourths", in, length.CodeTwoWays, "type 23/64 or 20 3/64 in figures.", ""},

		{"100' 1/64", in, length.CodeTooLong, "more than 100 feet", ""},
		{"100'+", in, length.CodeTooLong, "more than 100 feet", ""},
		{"31 m", in, length.CodeTooLong, "more than 100 feet", ""},
		{"30481", mm, length.CodeTooLong, "at most 1200 inches or 30480 mm.", ""},
		{"2018", in, length.CodeTooLong, "2018 inches is more than 100 feet: if it is millimeters, type 2018 mm.", "2018 mm"},
		{"99999999999999999999999999 m", in, length.CodeTooLong, "more than 100 feet", ""},

		{"5/", in, length.CodeMissingNumber, "A number is missing in 5/:", ""},
		{"/8", in, length.CodeMissingNumber, "A number is missing", ""},
		{"79 /8", in, length.CodeMissingNumber, "A number is missing", ""},
		{"mm", in, length.CodeMissingNumber, "A number is missing", ""},
		{`"`, in, length.CodeMissingNumber, "A number is missing", ""},
		{"heavy", in, length.CodeMissingNumber, "A number is missing", ""},
		{"-", in, length.CodeMissingNumber, "A number is missing", ""},
		{"6' and 5/", in, length.CodeMissingNumber, "A number is missing", ""},
		{`7" 5/`, in, length.CodeMissingNumber, "A number is missing", ""},
		{"a", in, length.CodeMissingNumber, "A number is missing", ""},

		{"6 7 5/8", in, length.CodeNotALength, "6 7 5/8 has a number too many: type 79 5/8", ""},
		{"79 58", in, length.CodeNotALength, "a number too many", ""},
		{"79-58", in, length.CodeNotALength, "a number too many", ""},
		{"79.5 5/8", in, length.CodeNotALength, "79.5 5/8 is not a length", ""},
		{"5/8 5/8", mm, length.CodeNotALength, "a number too many", ""},
		{"5/8 bananas", mm, length.CodeNotALength, "bananas cannot be read", ""},
		{"9/8", mm, length.CodeImproperFraction, `type 1 1/8".`, `1 1/8"`},
		{"79 light 5/8", in, length.CodeNotALength, "is not a length", ""},
		{"6 light ft 7", in, length.CodeNotALength, "is not a length", ""},
		{"6 feet und 7", in, length.CodeNotALength, "und cannot be read", ""},
		{"79 5/8 ß", in, length.CodeNotALength, "ß cannot be read", ""},
		{"79 × 2", in, length.CodeNotALength, "× cannot be read", ""},
		{"79.5/8", in, length.CodeNotALength, "is not a length", ""},
		{"79 5/8 5/8", in, length.CodeNotALength, "a number too many", ""},
		{"6½' 3", in, length.CodeNotALength, "a number too many", ""},
		{"6' 7' 8", in, length.CodeNotALength, "is not a length", ""},
		{"6ft.7", in, length.CodeNotALength, "cannot be read", ""},
		{"1.234,5", in, length.CodeNotALength, "1.234,5 cannot be read as part of a length", ""},
		{"1e3", in, length.CodeNotALength, "e cannot be read", ""},
		{"79 5/8 bananas", in, length.CodeNotALength, "bananas cannot be read as part of a length: type it like 79 5/8", ""},
		{"about 79", in, length.CodeNotALength, "about cannot be read", ""},
		{"79 5/8 heavy light", in, length.CodeNotALength, "is not a length", ""},
		{"79 and", in, length.CodeNotALength, "is not a length", ""},
		{`79"-inch`, in, length.CodeNotALength, "is not a length", ""},
		{"79.-", in, length.CodeNotALength, ". cannot be read", ""},
		{"79 5/8+-", in, length.CodeNotALength, "is not a length", ""},
		{"79 .5", in, length.CodeNotALength, "a number too many", ""},
		{"9'\u2028" + strings.Repeat("\n", 200), in, length.CodeNotALength, "9' is not a length", ""},
		{"79, 5/8", in, length.CodeNotALength, "is not a length", ""},
		{"79²", in, length.CodeNotALength, "a number too many", ""},
		{"⁵", in, length.CodeNotALength, "is not a length", ""},
		{"₈/5", in, length.CodeNotALength, "is not a length", ""},
		{"79 5/⁸", in, length.CodeNotALength, "is not a length", ""},
		{"seconds", in, length.CodeNotALength, "seconds cannot be read", ""},
		{"sixty quarters", in, length.CodeImproperFraction, "comes to 15: type 15.", "15"},
		{"79 an inch", in, length.CodeNotALength, "is not a length", ""},
		{"\xff\x00", in, length.CodeNotALength, "That cannot be read as part of a length: type it", ""},
		{strings.Repeat("1 ", 60), in, length.CodeNotALength, "is not a length", ""},
		{strings.Repeat("9", 500), in, length.CodeNotALength, "is not a length", ""},
	}
	for _, tt := range tests {
		got, err := length.Parse(tt.in, tt.unit)
		if err == nil {
			t.Errorf("Parse(%q, %q): want %s, got %s", tt.in, tt.unit, tt.code, got.Exact(in))
			continue
		}
		e := refusal(t, err)
		if got != 0 {
			t.Errorf("Parse(%q, %q): want 0 beside the error, got %d", tt.in, tt.unit, got)
		}
		if e.Code != tt.code || !strings.Contains(e.Error(), tt.says) || e.Instead != tt.instead {
			t.Errorf("Parse(%q, %q):\nwant %s, %q, instead %q\n got %s, %q, instead %q",
				tt.in, tt.unit, tt.code, tt.says, tt.instead, e.Code, e.Error(), e.Instead)
		}
		if e.Input != tt.in {
			t.Errorf("Parse(%q): want the input kept, got %q", tt.in, e.Input)
		}
		// What a refusal says to type instead must itself be readable.
		if e.Instead != "" {
			if _, err := length.Parse(e.Instead, tt.unit); err != nil {
				t.Errorf("Parse(%q): told to type %q, which is refused: %v", tt.in, e.Instead, err)
			}
		}
	}
}
