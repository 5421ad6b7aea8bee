package wire

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// typeCodec is one type of the codec.
type typeCodec struct {
	name  string
	reads bool // it is read as well as written
	blank func() any
	visit func(*codec, any)
}

func (tc typeCodec) write(t interface{ Fatalf(string, ...any) }, x any) []byte {
	c := newWriter(64)
	tc.visit(c, x)
	if c.w.err != "" {
		t.Fatalf("writing a %s: %s", tc.name, c.w.err)
	}
	return c.w.buf
}

func (tc typeCodec) read(text string) (any, *Error) {
	c, x := newReader(text), tc.blank()
	tc.visit(c, x)
	c.r.end()
	return x, c.r.err
}

// reference writes as the server does: encoding/json with HTML characters left alone.
func reference(t interface{ Fatalf(string, ...any) }, x any) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(x); err != nil {
		t.Fatalf("encoding/json: %v", err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

// fill gives every field of a value something, often something awkward.
func fill(t *rapid.T, v reflect.Value) {
	if v.Type() == reflect.TypeFor[time.Time]() {
		v.Set(reflect.ValueOf(drawTime(t)))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(drawText(t))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "flag"))
	case reflect.Int, reflect.Int64:
		v.SetInt(rapid.Int64().Draw(t, "whole"))
	case reflect.Float64:
		v.SetFloat(rapid.Float64().Filter(func(f float64) bool { return !math.IsInf(f, 0) }).Draw(t, "decimal"))
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fill(t, v.Field(i))
			}
		}
	case reflect.Pointer:
		if rapid.Bool().Draw(t, "there") {
			v.Set(reflect.New(v.Type().Elem()))
			fill(t, v.Elem())
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(t, v.Index(i))
		}
	case reflect.Slice:
		if n := rapid.IntRange(-1, 2).Draw(t, "items"); n >= 0 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
			for i := range n {
				fill(t, v.Index(i))
			}
		}
	case reflect.Map:
		if n := rapid.IntRange(-1, 3).Draw(t, "entries"); n >= 0 {
			v.Set(reflect.MakeMap(v.Type()))
			for range n {
				key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
				// Two names that read alike once broken UTF-8 is mended would be one member.
				key.SetString(rapid.String().Draw(t, "key"))
				fill(t, value)
				v.SetMapIndex(key, value)
			}
		}
	default:
		t.Fatalf("nothing to fill a %s with", v.Type())
	}
}

func drawText(t *rapid.T) string {
	return rapid.OneOf(
		rapid.Just(""),
		rapid.StringN(0, 6, -1),
		rapid.SampledFrom([]string{"<b>&", "\u2028\u2029", "\x00\x1f\x7f", "\"\\/\b\f\n\r\t", "é→😀", "�", "null"}),
		rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 6), func(b []byte) string { return string(b) }),
	).Draw(t, "text")
}

func drawTime(t *rapid.T) time.Time {
	least, most := time.Date(0, 1, 2, 0, 0, 0, 0, time.UTC).Unix(), time.Date(9999, 12, 30, 0, 0, 0, 0, time.UTC).Unix()
	at := time.Unix(rapid.Int64Range(least, most).Draw(t, "second"), rapid.SampledFrom([]int64{0, 1, 999_999_999, 120_000_000, 1000}).Draw(t, "nano"))
	if minutes := rapid.SampledFrom([]int{0, 0, 60, -90, 23*60 + 59, -23*60 - 59}).Draw(t, "zone"); minutes != 0 {
		return at.In(time.FixedZone("", minutes*60))
	}
	return at.UTC()
}

// TestWritesAsEncodingJSON compares every type, filled at random, byte for byte.
func TestWritesAsEncodingJSON(t *testing.T) {
	t.Parallel()
	for _, tc := range codecs {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if got, want := tc.write(t, tc.blank()), reference(t, tc.blank()); !bytes.Equal(got, want) {
				t.Fatalf("empty: got %s, want %s", got, want)
			}
			rapid.Check(t, func(t *rapid.T) {
				x := tc.blank()
				fill(t, reflect.ValueOf(x).Elem())
				if got, want := tc.write(t, x), reference(t, x); !bytes.Equal(got, want) {
					t.Fatalf("got  %s\nwant %s", got, want)
				}
			})
		})
	}
}

// TestReadsAsEncodingJSON reads what encoding/json wrote, as written and with its members in
// another order among strange ones and blanks, and compares with what encoding/json reads.
func TestReadsAsEncodingJSON(t *testing.T) {
	t.Parallel()
	for _, tc := range codecs {
		if !tc.reads {
			continue
		}
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				x := tc.blank()
				fill(t, reflect.ValueOf(x).Elem())
				for _, text := range [][]byte{reference(t, x), shuffled(t, reference(t, x))} {
					got, no := tc.read(string(text))
					if no != nil {
						t.Fatalf("%s at byte %d of %s", no.Sentence, no.At, text)
					}
					want := tc.blank()
					if err := json.Unmarshal(text, want); err != nil {
						t.Fatalf("encoding/json: %v", err)
					}
					if a, b := reference(t, got), reference(t, want); !bytes.Equal(a, b) {
						t.Fatalf("read    %s\nas      %s\nwant    %s", text, a, b)
					}
				}
			})
		})
	}
}

// shuffled rewrites a text with its members by name and blanks between; an object with a seq
// gets strange members too.
func shuffled(t *rapid.T, text []byte) []byte {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	var x any
	if err := dec.Decode(&x); err != nil {
		t.Fatalf("%v", err)
	}
	if object, is := x.(map[string]any); is {
		if object["seq"] != nil {
			object["aa_strange"] = []any{nil, true, map[string]any{"seq": "x", "y": []any{}}, "\\\"", json.Number("-1.5e3")}
			object["zz_strange"] = map[string]any{}
		}
	}
	var b bytes.Buffer
	if err := json.Indent(&b, reference(t, x), "\t", " "); err != nil {
		t.Fatalf("%v", err)
	}
	return b.Bytes()
}

// TestAgreesWithEncodingJSONOnTexts reads texts that are easy to get wrong.
func TestAgreesWithEncodingJSONOnTexts(t *testing.T) {
	t.Parallel()
	type pair struct {
		A string
		N int64
		T *time.Time
		F bool
	}
	visit := func(c *codec, v *pair) {
		for c.open(); c.pass(); {
			c.text("A", &v.A)
			c.whole("N", &v.N)
			if c.some("T", v.T != nil) {
				if c.reading {
					v.T = new(time.Time)
				}
				c.timeValue(v.T)
			}
			c.flag("F", &v.F)
		}
	}
	texts := []string{
		`{}`, ` { } `, `null`, `{"A":null,"N":null,"T":null,"F":null}`, `{"N":1,"A":"x","N":2}`, `{"X":{"A":"no"},"A":"yes"}`,
		`{"A":"\u00e9\ud83d\ude00\ud83d\u0041\udc00"}`, `{"A":"\ud83dx"}`, `{"A":"\ud83d\n"}`, "{\"A\":\"\xff\xfe\"}", `{"A":"\/\b"}`, `{"\u0041":"x"}`,
		`{"N":-0}`, `{"N":9223372036854775807}`, `{"N":-9223372036854775808}`, `{"F":true}`,
		`{"T":"2026-03-12T09:00:00Z"}`, `{"T":"2026-03-12T09:00:00.123456789123Z"}`, `{"T":"2024-02-29T23:59:59.5-07:30"}`, `{"T":"0000-01-01T00:00:00Z"}`,
		`{"T":"9999-12-31T23:59:59.999999999Z"}`, `{"T":"2026-03-12T09:00:00+00:00"}`,
		// Refused by both.
		``, `{`, `}`, `{"A"}`, `{"A":}`, `{"A":"x",}`, `{,}`, `{"A":"x"}}`, `{"A":"x"} x`, `{"A":"x" "N":1}`, `{"A":x}`, `{A:"x"}`, `{"A":"`, `{"A":"\`, `{"A":"\u12`,
		`{"A":"\x"}`, "{\"A\":\"\n\"}", `{"A":1}`, `{"N":"1"}`, `{"N":1.0}`, `{"N":1e3}`, `{"N":01}`, `{"N":+1}`, `{"N":.5}`, `{"N":9223372036854775808}`, `{"N":-}`,
		`{"N":99999999999999999999999999}`, `{"F":1}`, `{"F":tru}`, `[]`, `"x"`, `{"X":[1,]}`, `{"X":[,]}`, `{"X":1.}`, `{"X":1e}`, `{"X":nul}`, `{"X":{"a":1,}}`,
		`{"T":""}`, `{"T":"2026-03-12"}`, `{"T":"2026-03-12t09:00:00Z"}`, `{"T":"2026-02-29T09:00:00Z"}`, `{"T":"2026-13-01T09:00:00Z"}`, `{"T":"2026-03-12T24:00:00Z"}`,
		`{"T":"2026-03-12T09:00:60Z"}`, `{"T":"2026-03-12T09:00:00"}`, `{"T":"2026-03-12T09:00:00.Z"}`, `{"T":"2026-3-12T09:00:00Z"}`, `{"T":"+026-03-12T09:00:00Z"}`, `{"T":"2026-03-00T09:00:00Z"}`, `{"T":5}`,
	}
	for _, text := range texts {
		var got, want pair
		c := newReader(text)
		visit(c, &got)
		c.r.end()
		err := json.Unmarshal([]byte(text), &want)
		if (c.r.err != nil) != (err != nil) {
			t.Errorf("%q: got error %v, encoding/json %v", text, c.r.err, err)
			continue
		}
		if a, b := reference(t, got), reference(t, want); err == nil && !bytes.Equal(a, b) {
			t.Errorf("%q: read as %s, want %s", text, a, b)
		}
	}
}

// TestTimesAreReadStrictly: encoding/json lets these pass, RFC 3339 does not.
func TestTimesAreReadStrictly(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"2026-03-12T09:00:00,5Z", "2026-03-12T9:00:00Z", "2026-03-12T09:00:00+24:00", "2026-03-12T09:00:00+07:60"} {
		if at, ok := parseTime(text); ok {
			t.Errorf("%s was read as %s", text, at)
		}
	}
}

// TestWhatCannotBeWrittenIsSaid: encoding/json refuses the same.
func TestWhatCannotBeWrittenIsSaid(t *testing.T) {
	t.Parallel()
	for name, x := range map[string]any{
		"not a number": math.NaN(), "infinite": math.Inf(-1), "year 10000": time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC),
		"year -1": time.Date(-1, 1, 1, 0, 0, 0, 0, time.UTC), "zone of a day": time.Unix(0, 0).In(time.FixedZone("", 24*3600)),
	} {
		if _, err := json.Marshal(x); err == nil {
			t.Errorf("%s: encoding/json writes it", name)
		}
		c := newWriter(8)
		switch x := x.(type) {
		case float64:
			c.w.decimal(x)
		case time.Time:
			c.w.time(x)
		}
		if c.w.err == "" {
			t.Errorf("%s: got %s, want a refusal", name, c.w.buf)
		}
	}
}

func TestNestingHasAnEnd(t *testing.T) {
	t.Parallel()
	deepText := bytes.Repeat([]byte(`{"x":[`), 100_000)
	c := newReader(string(deepText))
	for c.open(); c.pass(); {
	}
	if c.r.err == nil || c.r.err.Sentence != "the text is nested too deep" {
		t.Errorf("got %v, want a refusal of the nesting", c.r.err)
	}
}
