//go:build js && wasm

// Command rulebook is the rule book for the phone: the same packages the server runs,
// compiled to WebAssembly. It offers one function, longpoint_call(name, json) → json.
package main

import (
	"strconv"
	"syscall/js"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

func main() {
	js.Global().Set("longpoint_call", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) != 2 {
			return failure("call with a name and its input")
		}
		codec := js.Global().Get("JSON")
		return codec.Call("stringify", call(args[0].String(), codec.Call("parse", args[1])))
	}))
	js.Global().Set("longpoint_rule_book", joblog.RuleBook)
	select {}
}

// call answers one call. The browser's own JSON codec makes and reads the objects: Go's
// would add a third to the compressed file.
func call(name string, in js.Value) any {
	switch name {
	case "parse_length":
		return parse(in)
	case "print_length":
		return print(in)
	}
	return failure("the rule book has no " + strconv.Quote(name))
}

func failure(sentence string) any { return map[string]any{"ok": false, "sentence": sentence} }

func style(in js.Value) length.Style {
	st := length.Style{Unit: length.Unit(in.Get("unit").String()), Rounding: length.Nearest}
	if step := in.Get("step"); step.Type() == js.TypeNumber {
		st.Step = length.Length(step.Float())
	}
	return st
}

// parse reads what a person typed, spoke or shot with a laser. Lengths under 2^53
// nanometers, which is 9 000 km, are exact in a JavaScript number.
func parse(in js.Value) any {
	st := style(in)
	read := length.Parse
	if in.Get("signed").Truthy() {
		read = length.ParseSigned
	}
	l, err := read(in.Get("text").String(), st.Unit)
	if err != nil {
		return failure(err.Error())
	}
	return map[string]any{"ok": true, "nm": float64(l), "text": l.Print(st), "tape": tape(l, st)}
}

func print(in js.Value) any {
	l := length.Length(in.Get("nm").Float())
	st := style(in)
	return map[string]any{"ok": true, "text": l.Print(st), "tape": tape(l, st)}
}

func tape(l length.Length, st length.Style) map[string]any {
	t := l.Tape(st)
	return map[string]any{"unit": string(t.Unit), "negative": t.Negative, "whole": t.Whole, "num": t.Num, "den": t.Den,
		"decimal": t.Decimal, "lean": t.Lean, "text": t.Text, "exact": t.Exact}
}
