// Package wire is the door of the phone's rule book: calls come in and answers go out as
// JSON text, byte for byte what the server writes for the same types. It has a codec of its
// own, generated from the types' json tags, since encoding/json would add half as much again
// to the WebAssembly file the rules travel in.
//
// The codec follows encoding/json with HTML characters left as they are, which is how the
// server writes. It reads names exactly, where encoding/json also takes another case.
package wire

//go:generate go run ./generate

// Error says why a text could not be read.
type Error struct {
	Sentence string // for a person
	At       int    // bytes into the text
}

func (e *Error) Error() string { return e.Sentence }
