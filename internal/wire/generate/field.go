package main

import (
	"reflect"
	"sort"
	"strings"
)

// field is one member of an object: where its value is and how it is written.
type field struct {
	name      string // in JSON
	path      string // Go selector from the struct, without the leading dot
	typ       reflect.Type
	omitEmpty bool
	tagged    bool
	index     []int
}

// fields lists a struct's members as encoding/json sees them: embedded structs flattened; of
// several of one name the least deep wins, then the tagged one, else none.
func fields(t reflect.Type) []field {
	all := collect(t, "", nil)
	byName := map[string][]field{}
	for _, f := range all {
		byName[f.name] = append(byName[f.name], f)
	}
	var out []field
	for _, same := range byName {
		if f, ok := dominant(same); ok {
			out = append(out, f)
		}
	}
	sort.Slice(out, func(i, j int) bool { return before(out[i].index, out[j].index) })
	return out
}

func collect(t reflect.Type, path string, index []int) []field {
	var out []field
	for i := range t.NumField() {
		sf := t.Field(i)
		tag := sf.Tag.Get("json")
		if tag == "-" || !sf.IsExported() && !sf.Anonymous {
			continue
		}
		name, options, _ := strings.Cut(tag, ",")
		at := append(append([]int{}, index...), i)
		if sf.Anonymous && name == "" {
			if sf.Type.Kind() != reflect.Struct {
				panic("an embedded " + sf.Type.String() + " is more than the generator knows")
			}
			out = append(out, collect(sf.Type, path+sf.Name+".", at)...)
			continue
		}
		switch options {
		case "", "omitempty":
		default:
			panic(t.String() + "." + sf.Name + ": the generator does not know the option " + options)
		}
		f := field{name: name, path: path + sf.Name, typ: sf.Type, omitEmpty: options == "omitempty", tagged: name != "", index: at}
		if f.name == "" {
			f.name = sf.Name
		}
		out = append(out, f)
	}
	return out
}

func dominant(same []field) (field, bool) {
	sort.SliceStable(same, func(i, j int) bool {
		a, b := same[i], same[j]
		if len(a.index) != len(b.index) {
			return len(a.index) < len(b.index)
		}
		return a.tagged && !b.tagged
	})
	if len(same) > 1 && len(same[0].index) == len(same[1].index) && same[0].tagged == same[1].tagged {
		return field{}, false
	}
	return same[0], true
}

func before(a, b []int) bool {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return a[i] < b[i]
		}
	}
	return len(a) < len(b)
}
