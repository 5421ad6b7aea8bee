package main

import (
	"reflect"
	"time"

	"longpoint/internal/length"
)

// visit emits the function that writes and reads a type. What is only written goes without
// the statements that make room for what is read.
func (g *generator) visit(t reflect.Type) {
	reads := g.read[t]
	g.line("func %s(c *codec, v *%s) {", spoken(t), g.name(t))
	switch t.Kind() {
	case reflect.Struct:
		g.line("for c.open(); c.pass(); {")
		for _, f := range fields(t) {
			g.member(f, reads)
		}
		g.line("}")
	case reflect.Slice:
		if reads {
			g.line("if c.list(*v != nil) {\n*v = %s{}\n}", g.name(t))
		} else {
			g.line("c.list(*v != nil)")
		}
		g.line("for i := 0; c.item(i, len(*v)); i++ {")
		if reads {
			g.line("if c.reading {\nvar x %s\n*v = append(*v, x)\n}", g.name(t.Elem()))
		}
		g.line("%s\n}", g.value(t.Elem(), "(*v)[i]", reads))
	case reflect.Array:
		if reads {
			panic("cannot read a " + t.String())
		}
		g.line("c.list(true)\nfor i := 0; c.item(i, len(v)); i++ {\n%s\n}", g.value(t.Elem(), "v[i]", false))
	case reflect.Map:
		g.mapping(t, reads)
	default:
		panic("cannot write a " + t.String())
	}
	g.line("}\n")
}

func (g *generator) mapping(t reflect.Type, reads bool) {
	if !reads {
		panic("no map is written only")
	}
	g.line("if c.reading {\nif c.r.null() {\n*v = nil\nreturn\n}")
	g.line("all := %s{}\nfor c.r.object(); c.r.field(); {\nk := %s(c.r.key)\nvar x %s\n%s\nall[k] = x\n}\n*v = all\nreturn\n}",
		g.name(t), g.name(t.Key()), g.name(t.Elem()), g.value(t.Elem(), "x", true))
	g.line("if *v == nil {\nc.w.null()\nreturn\n}\nkeys := make([]string, 0, len(*v))\nfor k := range *v {\nkeys = append(keys, string(k))\n}")
	g.line("c.w.open('{')\nfor _, k := range sorted(keys) {\nc.w.entry(k)\nx := (*v)[%s(k)]\n%s\n}\nc.w.close('}')",
		g.name(t.Key()), g.value(t.Elem(), "x", true))
}

// plain is the codec's own method for a member without parts, and the type it takes.
func plain(t reflect.Type) (method, as string) {
	switch t {
	case reflect.TypeFor[time.Time]():
		return "time", "time.Time"
	case reflect.TypeFor[length.Length]():
		return "length", "length.Length"
	}
	for _, own := range []string{"MarshalJSON", "MarshalText"} {
		if _, has := t.MethodByName(own); has && t.Kind() != reflect.Pointer {
			panic(t.String() + " writes its own JSON, which the generator does not know")
		}
	}
	switch t.Kind() {
	case reflect.String:
		return "text", "string"
	case reflect.Bool:
		return "flag", "bool"
	case reflect.Int:
		return "count", "int"
	case reflect.Int64:
		return "whole", "int64"
	case reflect.Float64:
		return "decimal", "float64"
	}
	return "", ""
}

// address is the address of x as a pointer to the type as.
func address(t reflect.Type, as, x string) string {
	if t.String() == as {
		return "&" + x
	}
	return "(*" + as + ")(&" + x + ")"
}

func (g *generator) member(f field, reads bool) {
	x := "v." + f.path
	if method, as := plain(f.typ); method != "" {
		if method == "decimal" && reads {
			panic(f.name + ": the codec does not read decimals")
		}
		if f.omitEmpty && method != "time" {
			method += "If"
		}
		g.line("c.%s(%q, %s)", method, f.name, address(f.typ, as, x))
		return
	}
	there := "len(" + x + ") > 0"
	switch f.typ.Kind() {
	case reflect.Pointer:
		switch e := f.typ.Elem(); {
		case f.omitEmpty && e == reflect.TypeFor[length.Length]():
			g.line("c.lengthAt(%q, &%s)", f.name, x)
			return
		case f.omitEmpty && e == reflect.TypeFor[time.Time]():
			g.line("c.timeAt(%q, &%s)", f.name, x)
			return
		case !f.omitEmpty:
			g.line("if c.orNull(%q, %s != nil) {\n%s\n}", f.name, x, g.pointed(f.typ, x, reads))
			return
		}
		g.line("if c.some(%q, %s != nil) {\n%s\n}", f.name, x, g.pointed(f.typ, x, reads))
	case reflect.Slice, reflect.Map:
		if f.omitEmpty {
			g.line("if c.some(%q, %s) {\n%s\n}", f.name, there, g.value(f.typ, x, reads))
			return
		}
		fallthrough
	default: // a struct is never empty to encoding/json
		g.line("if c.member(%q) {\n%s\n}", f.name, g.value(f.typ, x, reads))
	}
}

// pointed is the statement for what the pointer x points at; when read, it points at nothing yet.
func (g *generator) pointed(t reflect.Type, x string, reads bool) string {
	e, out := t.Elem(), ""
	if reads {
		out = "if c.reading {\n" + x + " = new(" + g.name(e) + ")\n}\n"
	}
	if method, as := plain(e); method != "" {
		return out + "c." + method + "Value((*" + as + ")(" + x + "))"
	}
	g.want(e, reads)
	return out + spoken(e) + "(c, " + x + ")"
}

// value is the statement for the addressable expression x of type t.
func (g *generator) value(t reflect.Type, x string, reads bool) string {
	if method, as := plain(t); method != "" {
		if method == "count" {
			return "c.countValue(" + address(t, as, x) + ")"
		}
		return "c." + method + "Value(" + address(t, as, x) + ")"
	}
	if t.Kind() == reflect.Pointer {
		g.want(t.Elem(), reads)
		out := ""
		if reads {
			out = "if c.reading && !c.r.null() {\n" + x + " = new(" + g.name(t.Elem()) + ")\n}\n"
		}
		return out + "if " + x + " != nil {\n" + g.pointed(t, x, false) + "\n} else if !c.reading {\nc.w.null()\n}"
	}
	g.want(t, reads)
	return spoken(t) + "(c, &" + x + ")"
}
