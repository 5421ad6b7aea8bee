//go:build js && wasm

// Command rulebook is the rule book for the phone: the same packages the server runs,
// compiled to WebAssembly. It offers one function, longpoint_call(name, json) → json, whose
// calls are those of wire.Book.
package main

import (
	"syscall/js"

	"longpoint/internal/joblog"
	"longpoint/internal/wire"
)

func main() {
	book := wire.NewBook()
	js.Global().Set("longpoint_call", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) != 2 {
			return book.Call("", "")
		}
		return book.Call(args[0].String(), args[1].String())
	}))
	js.Global().Set("longpoint_rule_book", joblog.RuleBook)
	select {}
}
