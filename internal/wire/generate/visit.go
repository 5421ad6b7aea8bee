package main

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"longpoint/internal/length"
)

// visit emits the shape of a type. What is only written goes without the function that makes
// room for what is read.
func (g *generator) visit(t reflect.Type) {
	g.line("var of%s = shape{%s}\n", title(spoken(t)), g.inside(t, g.read[t]))
}

func (g *generator) inside(t reflect.Type, reads bool) string {
	switch t.Kind() {
	case reflect.Struct:
		var b strings.Builder
		b.WriteString("kind: anObject, members: []member{\n")
		for _, f := range fields(t) {
			if reads && f.typ.Kind() == reflect.Float64 {
				panic(f.name + ": the codec does not read decimals")
			}
			optional := ""
			if f.omitEmpty && f.typ != reflect.TypeFor[time.Time]() && f.typ.Kind() != reflect.Struct { // a struct is never empty to encoding/json
				optional = ", true"
			} else {
				optional = ", false"
			}
			fmt.Fprintf(&b, "{%q, %s, %s%s},\n", f.name, g.offset(t, f), g.part(f.typ, reads), optional)
		}
		b.WriteString("}")
		return b.String()
	case reflect.Slice:
		room := ""
		if reads {
			room = fmt.Sprintf(", room: func(p unsafe.Pointer) {\nv := (*%s)(p)\nvar x %s\n*v = append(*v, x)\n}", g.name(t), g.name(t.Elem()))
		}
		return fmt.Sprintf("kind: aList, part: %s, size: unsafe.Sizeof(*new(%s))%s", g.part(t.Elem(), reads), g.name(t.Elem()), room)
	case reflect.Array:
		if reads {
			panic("cannot read a " + t.String())
		}
		return fmt.Sprintf("kind: anArray, part: %s, size: unsafe.Sizeof(*new(%s)), count: %d", g.part(t.Elem(), false), g.name(t.Elem()), t.Len())
	case reflect.Pointer:
		room := ""
		if reads {
			room = fmt.Sprintf(", room: func(p unsafe.Pointer) { *(*%s)(p) = new(%s) }", g.name(t), g.name(t.Elem()))
		}
		return fmt.Sprintf("kind: aPointer, part: %s%s", g.part(t.Elem(), reads), room)
	case reflect.Map:
		return g.mapping(t, reads)
	}
	panic("cannot write a " + t.String())
}

// offset is where a field lies in the struct; one of an embedded struct lies past that one's start.
func (g *generator) offset(t reflect.Type, f field) string {
	var sum []string
	path := strings.Split(f.path, ".")
	for i := range path {
		at := "unsafe.Offsetof(" + g.name(t) + "{}." + strings.Join(path[:i+1], ".") + ")"
		sum = append(sum, at)
	}
	return strings.Join(sum, " + ")
}

func (g *generator) mapping(t reflect.Type, reads bool) string {
	if !reads {
		panic("no map is written only")
	}
	e := g.part(t.Elem(), true)
	return fmt.Sprintf(`kind: aMap, full: func(p unsafe.Pointer) bool { return len(*(*%[1]s)(p)) > 0 }, own: func(c *codec, p unsafe.Pointer) {
v := (*%[1]s)(p)
if c.reading {
if c.r.null() {
*v = nil
return
}
all := %[1]s{}
for c.r.object(); c.r.field(); {
k := %[2]s(c.r.key)
var x %[3]s
c.visit(%[4]s, unsafe.Pointer(&x))
all[k] = x
}
*v = all
return
}
if *v == nil {
c.w.null()
return
}
keys := make([]string, 0, len(*v))
for k := range *v {
keys = append(keys, string(k))
}
c.w.open('{')
for _, k := range sorted(keys) {
c.w.entry(k)
x := (*v)[%[2]s(k)]
c.visit(%[4]s, unsafe.Pointer(&x))
}
c.w.close('}')
}`, g.name(t), g.name(t.Key()), g.name(t.Elem()), e)
}

// part is the shape of what a member, a list or a pointer holds.
func (g *generator) part(t reflect.Type, reads bool) string {
	if p := plain(t); p != "" {
		if p == "Decimal" && reads {
			panic("the codec does not read decimals")
		}
		return "&of" + p
	}
	g.want(t, reads)
	return "&of" + title(spoken(t))
}

// plain is the codec's own shape for what has no parts.
func plain(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[time.Time]():
		return "Moment"
	case reflect.TypeFor[length.Length]():
		return "Measure"
	}
	for _, own := range []string{"MarshalJSON", "MarshalText"} {
		if _, has := t.MethodByName(own); has && t.Kind() != reflect.Pointer {
			panic(t.String() + " writes its own JSON, which the generator does not know")
		}
	}
	switch t.Kind() {
	case reflect.String:
		return "Text"
	case reflect.Bool:
		return "Flag"
	case reflect.Int:
		return "Count"
	case reflect.Int64:
		return "Whole"
	case reflect.Float64:
		return "Decimal"
	}
	return ""
}

func title(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
