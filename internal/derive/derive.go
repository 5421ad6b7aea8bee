// Package derive keeps every computed length together with how it came about, so that a
// person can see "79 1/8 = 80 1/8 − 5/8 − 1/8 − 1/4" and where each term is from.
package derive

import "longpoint/internal/length"

// Origin says where a term is from.
type Origin string

// The origins of a term.
const (
	Reading  Origin = "reading"  // a take of the tape
	Unit     Origin = "unit"     // the door, window or stock as specified
	Rule     Origin = "rule"     // a house rule
	Computed Origin = "computed" // another computed value
	Geometry Origin = "geometry" // a trigonometric allowance
)

// Term is one signed addend of a value.
type Term struct {
	_      [0]func()     // not to be compared: the function that does is weight on the phone
	Name   string        `json:"name" doc:"Catalog term of what this length is"`
	Length length.Length `json:"length" doc:"Nanometers, signed as added"`
	Origin Origin        `json:"origin" enum:"reading,unit,rule,computed,geometry"`
}

// Value is a computed length with its derivation. When Formula is empty the terms sum to
// the length exactly, to the nanometer; otherwise Formula is the catalog term of how they
// combine (a minimum, a sine) and the terms are its inputs.
type Value struct {
	Length  length.Length `json:"length" doc:"Nanometers"`
	Terms   []Term        `json:"terms,omitempty"`
	Formula string        `json:"formula,omitempty" doc:"Catalog term; empty for a plain sum"`
	Basis   string        `json:"basis,omitempty" doc:"Catalog term of what the rule stands on"`
}

// Plus and Minus make terms for Sum.
func Plus(name string, l length.Length, o Origin) Term { return Term{Name: name, Length: l, Origin: o} }
func Minus(name string, l length.Length, o Origin) Term {
	return Term{Name: name, Length: -l, Origin: o}
}

// Sum adds the terms exactly. Terms of zero length are kept: a zero gap is still a decision.
func Sum(basis string, terms ...Term) Value {
	v := Value{Terms: terms, Basis: basis}
	for _, t := range terms {
		v.Length += t.Length
	}
	return v
}

// By records a value worked out some other way than by adding its inputs.
func By(formula, basis string, l length.Length, inputs ...Term) Value {
	return Value{Length: l, Terms: inputs, Formula: formula, Basis: basis}
}
