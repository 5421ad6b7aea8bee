package length_test

import (
	"encoding/json"
	"math"
	"math/big"
	"strings"
	"testing"

	"longpoint/internal/length"

	"pgregory.net/rapid"
)

func TestUnmarshalJSON(t *testing.T) {
	t.Parallel()
	tests := []struct {
		in   string
		want length.Length
	}{
		{"2022475000", length.In(79, 5, 8)},
		{"-3175000", -length.Eighth},
		{"0", 0},
		{"-0", 0},
		{"0.0", 0},
		{"1e6", length.Millimeter},
		{"1.5E+6", 1_500_000},
		{"2.540e7", length.Inch},
		{"250000e-1", 25_000},
		{"9223372036854775807", math.MaxInt64},
		{"-9223372036854775808", math.MinInt64},
		{"9007199254740993", 9_007_199_254_740_993}, // 2^53 + 1, which a float would lose
		{" 5 ", 5},
		{`"79 5/8\""`, length.In(79, 5, 8)},
		{`"79 5\/8\u0022"`, length.In(79, 5, 8)},
		{`"79\t\r\n5/8"`, length.In(79, 5, 8)},
		{`"79\u215D"`, length.In(79, 5, 8)},
		{`"79\u00bd"`, length.In(79, 1, 2)},
		{`"79⅝"`, length.In(79, 5, 8)},
		{`"6' 7 5/8\""`, length.In(79, 5, 8)},
		{`"\t79\n"`, length.In(79, 0, 1)},
		{`"-1/8"`, -length.Eighth},
		{`"2018mm"`, 2018 * length.Millimeter},
		{`"79 5/8-"`, length.In(79, 19, 32)},
	}
	for _, tt := range tests {
		var direct length.Length
		if err := direct.UnmarshalJSON([]byte(tt.in)); err != nil || direct != tt.want {
			t.Errorf("UnmarshalJSON(%s): want %d, got %d, %v", tt.in, tt.want, direct, err)
		}
		var v struct{ L length.Length }
		if err := json.Unmarshal([]byte(`{"L":`+tt.in+`}`), &v); err != nil || v.L != tt.want {
			t.Errorf("json.Unmarshal(%s): want %d, got %d, %v", tt.in, tt.want, v.L, err)
		}
	}
}

func TestUnmarshalJSONRefuses(t *testing.T) {
	t.Parallel()
	tests := []struct{ in, code string }{
		{"1.5", length.CodeNotALength},
		{"1e-1", length.CodeNotALength},
		{"9223372036854775808", length.CodeNotALength},
		{"-9223372036854775809", length.CodeNotALength},
		{"1e19", length.CodeNotALength},
		{"1e999999999999", length.CodeNotALength},
		{"123456789012345678901234567890", length.CodeNotALength},
		{"", length.CodeNotALength},
		{"-", length.CodeNotALength},
		{"0.12345678901234567890123", length.CodeNotALength},
		{"+1", length.CodeNotALength},
		{"01", length.CodeNotALength},
		{"1.", length.CodeNotALength},
		{".5", length.CodeNotALength},
		{"1e", length.CodeNotALength},
		{"1 2", length.CodeNotALength},
		{"true", length.CodeNotALength},
		{"{}", length.CodeNotALength},
		{"[1]", length.CodeNotALength},
		{`"`, length.CodeNotALength},
		{`"79`, length.CodeNotALength},
		{`"7"9"`, length.CodeNotALength},
		{`"79\"`, length.CodeNotALength},
		{`"79\x"`, length.CodeNotALength},
		{`"\u00g0"`, length.CodeNotALength},
		{`"\u00"`, length.CodeNotALength},
		{"\"7\n9\"", length.CodeNotALength},
		{`"79\b5/8"`, length.CodeNotALength},
		{`"79\f5/8"`, length.CodeNotALength},
		{`""`, length.CodeEmpty},
		{`"9/8"`, length.CodeImproperFraction},
		{`"\ud83d\ude00"`, length.CodeNotALength},
	}
	for _, tt := range tests {
		l := length.Length(7)
		if e := refusal(t, l.UnmarshalJSON([]byte(tt.in))); e.Code != tt.code || l != 7 {
			t.Errorf("UnmarshalJSON(%s): want %s and 7 kept, got %s and %d", tt.in, tt.code, e.Code, l)
		}
	}
}

func TestNullLeavesTheLength(t *testing.T) {
	t.Parallel()
	v := struct {
		L length.Length
		P *length.Length
	}{L: 7}
	if err := json.Unmarshal([]byte(`{"L":null,"P":null}`), &v); err != nil || v.L != 7 || v.P != nil {
		t.Errorf("null: want 7 and no pointer, got %d, %v, %v", v.L, v.P, err)
	}
}

func TestJSONRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := length.Length(rapid.Int64().Draw(t, "nm"))
		b, err := json.Marshal(l)
		if want := big.NewInt(int64(l)).String(); err != nil || string(b) != want {
			t.Fatalf("Marshal(%d): want %s, got %s, %v", l, want, b, err)
		}
		var got length.Length
		if err := json.Unmarshal(b, &got); err != nil || got != l {
			t.Fatalf("Unmarshal(%s): want %d, got %d, %v", b, l, got, err)
		}
		// The crew's notation, as a string.
		l = length.Length(rapid.Int64Range(-1200*64, 1200*64).Draw(t, "64ths")) * length.SixtyFourth
		b, err = json.Marshal(l.Print(length.Style{Step: length.SixtyFourth}) + `"`)
		if err != nil {
			t.Fatalf("Marshal: %v", err)
		}
		if err := json.Unmarshal(b, &got); err != nil || got != l {
			t.Fatalf("Unmarshal(%s): want %d, got %d, %v", b, l, got, err)
		}
	})
}

func TestTapeJSON(t *testing.T) {
	t.Parallel()
	b, err := json.Marshal(length.In(79, 21, 32).Tape(length.Style{}))
	want := `{"unit":"in","negative":false,"whole":79,"num":5,"den":8,"decimal":"","lean":"heavy","text":"79 5/8 heavy","exact":"79.65625 in"}`
	if err != nil || string(b) != want {
		t.Errorf("Tape:\nwant %s\n got %s, %v", want, b, err)
	}
}

// FuzzUnmarshalJSON holds the hand parser to encoding/json and math/big: a number is taken
// when it is valid JSON, whole and within int64; a string when ParseSigned takes what
// encoding/json makes of it.
func FuzzUnmarshalJSON(f *testing.F) {
	for _, s := range []string{
		"2022475000", "-1.50e1", "1e19", "0", "-0.0", "null", `"79 5/8\""`, `"\u0037\ud83d\ude00"`, `"\ud83d"`,
		"01", "1.", `"79\/"`, "9223372036854775808", "true", "\"\xff\"", "100000000000000000000e-2",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l := length.Length(7)
		err := l.UnmarshalJSON([]byte(s))
		if err != nil {
			refusal(t, err)
		}
		want, ok := length.Length(7), false
		if json.Valid([]byte(s)) {
			var v any
			dec := json.NewDecoder(strings.NewReader(s))
			dec.UseNumber()
			if dec.Decode(&v) != nil {
				return
			}
			switch v := v.(type) {
			case nil:
				ok = true
			case string:
				p, perr := length.ParseSigned(v, length.Inches)
				ok = perr == nil
				if ok {
					want = p
				}
			case json.Number:
				if i := strings.IndexAny(string(v), "eE"); i >= 0 && len(v)-i > 5 {
					return // too big an exponent for math/big to be quick
				}
				r, rok := new(big.Rat).SetString(string(v))
				ok = rok && r.IsInt() && r.Num().IsInt64()
				if ok {
					want = length.Length(r.Num().Int64())
				}
			}
		}
		if ok != (err == nil) || l != want {
			t.Fatalf("%q: want %d (%v), got %d, %v", s, want, ok, l, err)
		}
	})
}
