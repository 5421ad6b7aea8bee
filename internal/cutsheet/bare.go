package cutsheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"reflect"
	"strconv"
	"strings"

	"longpoint/internal/houserules"
	"longpoint/internal/length"
)

// bare reads the numbers that say no unit: text in unit, as `cut length` takes it, and JSON numbers
// as nanometers. A number so small that no tape shows it was meant in inches or millimeters, and is
// refused by its field's name. What is no JSON is left for the decoder to refuse.
func bare(data []byte, t reflect.Type, unit length.Unit) ([]byte, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var v any
	if d.Decode(&v) != nil {
		return data, nil
	}
	if _, more := d.Token(); !errors.Is(more, io.EOF) {
		return data, nil
	}
	v, err := bareIn(v, t, unit, "")
	if err != nil || unit == length.Inches {
		return data, err // the decoder reads text in inches by itself
	}
	return json.Marshal(v)
}

func bareIn(v any, t reflect.Type, unit length.Unit, path string) (any, error) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == reflect.TypeFor[length.Length]() {
		return bareLength(v, unit, path)
	}
	switch at := v.(type) {
	case []any:
		if t.Kind() != reflect.Slice {
			return v, nil
		}
		for i := range at {
			w, err := bareIn(at[i], t.Elem(), unit, path+"["+strconv.Itoa(i+1)+"]")
			if err != nil {
				return nil, err
			}
			at[i] = w
		}
	case map[string]any:
		for key, w := range at {
			under := strings.TrimPrefix(path+"."+key, ".")
			if t == reflect.TypeFor[houserules.Set]() {
				if n, small := tooSmall(w); small && acceptsRule(key, n) {
					return nil, &DecodeError{Sentence: "The " + w.(json.Number).String() + " in " + under +
						" is nanometers, less than any tape shows: 1 in is 25400000, 1 mm is 1000000."}
				}
				continue
			}
			of, known := fieldNamed(t, key)
			if !known {
				continue
			}
			w, err := bareIn(w, of, unit, under)
			if err != nil {
				return nil, err
			}
			at[key] = w
		}
	}
	return v, nil
}

// fieldNamed is the type of a struct's member as encoding/json finds it.
func fieldNamed(t reflect.Type, key string) (reflect.Type, bool) {
	if t.Kind() != reflect.Struct {
		return nil, false
	}
	for _, f := range reflect.VisibleFields(t) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && !f.Anonymous && name != "-" && strings.EqualFold(name, key) {
			return f.Type, true
		}
	}
	return nil, false
}

// bareLength refuses a number of nanometers under a pencil line's width, and reads text in unit.
func bareLength(v any, unit length.Unit, path string) (any, error) {
	switch at := v.(type) {
	case json.Number:
		if _, small := tooSmall(at); small {
			return nil, &DecodeError{Sentence: "The " + at.String() + " in " + path + " says no unit and would be nanometers: write \"" +
				at.String() + " in\" or \"" + at.String() + " mm\", in quotes."}
		}
	case string:
		if unit == length.Inches {
			return v, nil
		}
		l, err := length.ParseSigned(at, unit)
		if err != nil {
			return nil, &DecodeError{Sentence: err.Error(), Err: err}
		}
		return json.Number(strconv.FormatInt(int64(l), 10)), nil
	}
	return v, nil
}

// tooSmall reports whether a JSON number is of nanometers under a pencil line's width, and not 0.
func tooSmall(v any) (length.Length, bool) {
	var l length.Length
	n, ok := v.(json.Number)
	small := ok && l.UnmarshalJSON([]byte(n)) == nil && l != 0 && l.Abs() < length.DeadBand
	return l, small
}

// acceptsRule reports whether the value would pass for the length rule of that key unremarked.
func acceptsRule(key string, v length.Length) bool {
	sp, known := houserules.Find(key)
	return known && sp.Kind == houserules.Length && int64(v) >= sp.Min && int64(v) <= sp.Max
}
