package stock

import (
	"strconv"
	"strings"
)

// Unlimited as a Stock's Count means as many sticks as wanted can be bought.
const Unlimited = -1

// NoPrice as a Stock's Cost means the price is not known. Such a stick cannot be weighed
// against another, so Solve refuses it when asked for the lowest cost.
const NoPrice = -1

// Limits of one problem. They keep every sum inside an int64 (a length or cost times the
// number of pieces stays below 2^62) and refuse what no job holds.
const (
	MaxLength = 1 << 42 // longest stick or piece in units; in nanometers about 4.4 km
	MaxCost   = 1 << 40 // highest price of one stick
	MaxPieces = 1 << 20 // all demands together
	MaxStocks = 4096    // different kinds of stick
)

// Stock is one kind of stick: a length to buy, or offcuts of one length on hand.
type Stock struct {
	Length int64  `json:"length"` // full length of the stick, 1 to MaxLength
	Cost   int64  `json:"cost"`   // price of one stick, 0 to MaxCost; 0 for an offcut on hand; NoPrice if not known
	Count  int    `json:"count"`  // sticks there are; Unlimited for as many as wanted
	Label  string `json:"label,omitempty"`
}

// Piece is one finished length and how many of it are wanted.
type Piece struct {
	Length int64  `json:"length"` // finished length, 1 to MaxLength
	Demand int    `json:"demand"` // pieces wanted, 0 or more
	Label  string `json:"label,omitempty"`
}

// Problem asks how to cut Pieces from Stocks. All lengths are whole numbers of one unit
// (nanometers in Longpoint; any unit that makes them exact will do).
//
// Kerf rule: n pieces fit a stick when
//
//	sum of their lengths + Kerf × (n − 1)  ≤  Length − EndTrim.
//
// There is one cut between neighbors. The cut that frees the last piece from what is left
// over takes a kerf too, but out of the remainder: where the remainder is a kerf or less,
// the blade simply eats it, so it never keeps a piece off the stick. Basis: common practice;
// it is the same as packing length + Kerf into stick + Kerf.
type Problem struct {
	Stocks []Stock `json:"stocks"`
	Pieces []Piece `json:"pieces"`
	// Kerf is the width the saw takes at each cut, 0 or more and not wider than the shortest piece.
	Kerf int64 `json:"kerf"`
	// EndTrim is all that is cut off every stick before the first piece, both ends together and
	// its own kerf included (squaring the factory ends). 0 or more.
	EndTrim int64 `json:"end_trim"`
	// LeastOffcut is the shortest remainder worth putting on the rack. A shorter one is waste.
	// 0 means no remainder is kept.
	LeastOffcut int64 `json:"least_offcut"`
}

// Codes an Error carries.
const (
	CodeNoStock        = "no_stock"         // there is no stick to cut from
	CodeBadLength      = "bad_length"       // a length, kerf or trim is zero, negative or too large
	CodeBadCount       = "bad_count"        // a count or demand is negative
	CodeBadPrice       = "bad_price"        // a price is negative or too large
	CodeNoPrice        = "no_price"         // a price is missing and the cost was asked for
	CodeKerfTooWide    = "kerf_too_wide"    // the kerf is wider than a piece
	CodePieceTooLong   = "piece_too_long"   // a piece is longer than every stick
	CodeTooMany        = "too_many"         // more pieces or sticks than the limits allow
	CodeNotEnoughStock = "not_enough_stock" // proven: the sticks there are cannot yield the pieces
	CodeNoPlanYet      = "no_plan_yet"      // stopped before any plan was found, and none was ruled out
	CodeBadFile        = "bad_file"         // the instance text cannot be read
	CodeBadPlan        = "bad_plan"         // Check found a plan that does not hold
)

// Error is what this package refuses: a Code for the program and a Sentence for the person.
type Error struct {
	Code     string
	Sentence string
}

// Error gives the sentence.
func (e *Error) Error() string { return e.Sentence }

func refuse(code string, words ...string) error {
	return &Error{Code: code, Sentence: strings.Join(words, "")}
}

func num(n int64) string { return strconv.FormatInt(n, 10) }

func named(what string, i int, label string) string {
	if label != "" {
		return what + " " + label
	}
	return what + " " + strconv.Itoa(i+1)
}

// Validate reports the first thing wrong with p as an *Error, or nil. It does not tell
// whether limited sticks are enough: that takes Solve. Missing prices pass here, because
// FewestSticks does not need them.
func (p Problem) Validate() error {
	if err := p.validateSizes(); err != nil {
		return err
	}
	longest := int64(-1)
	for i, s := range p.Stocks {
		name := named("stick", i, s.Label)
		switch {
		case s.Length <= 0:
			return refuse(CodeBadLength, "The length of ", name, " must be more than zero, not ", num(s.Length), ".")
		case s.Length > MaxLength:
			return refuse(CodeBadLength, "The length of ", name, ", ", num(s.Length), ", is more than ", num(MaxLength), ".")
		case s.Count < Unlimited:
			return refuse(CodeBadCount, "The count of ", name, " must be -1 (as many as wanted), 0 or more, not ", strconv.Itoa(s.Count), ".")
		case s.Cost < NoPrice:
			return refuse(CodeBadPrice, "The price of ", name, " must not be negative.")
		case s.Cost > MaxCost:
			return refuse(CodeBadPrice, "The price of ", name, ", ", num(s.Cost), ", is more than ", num(MaxCost), ".")
		}
		if s.Count != 0 {
			longest = max(longest, s.Length-p.EndTrim)
		}
	}
	total := 0
	for i, c := range p.Pieces {
		name := named("piece", i, c.Label)
		switch {
		case c.Length <= 0:
			return refuse(CodeBadLength, "The length of ", name, " must be more than zero, not ", num(c.Length), ".")
		case c.Length > MaxLength:
			return refuse(CodeBadLength, "The length of ", name, ", ", num(c.Length), ", is more than ", num(MaxLength), ".")
		case c.Demand < 0:
			return refuse(CodeBadCount, "The number wanted of ", name, " must not be negative.")
		case c.Demand > MaxPieces || total+c.Demand > MaxPieces:
			return refuse(CodeTooMany, "More than ", num(MaxPieces), " pieces are asked for; plan them in smaller lots.")
		case c.Demand > 0 && p.Kerf > c.Length:
			return refuse(CodeKerfTooWide, "The saw kerf, ", num(p.Kerf), ", is wider than ", name, ", ", num(c.Length), " long.")
		}
		total += c.Demand
	}
	if total == 0 {
		return nil
	}
	if longest < 0 {
		return refuse(CodeNoStock, "There is no stick to cut from.")
	}
	for i, c := range p.Pieces {
		if c.Demand > 0 && c.Length > longest {
			return refuse(CodePieceTooLong, "The length of ", named("piece", i, c.Label), ", ", num(c.Length),
				", is more than the longest usable stick, ", num(longest), ".")
		}
	}
	return nil
}

func (p Problem) validateSizes() error {
	switch {
	case p.Kerf < 0 || p.Kerf > MaxLength:
		return refuse(CodeBadLength, "The saw kerf must be from zero to ", num(MaxLength), ", not ", num(p.Kerf), ".")
	case p.EndTrim < 0 || p.EndTrim > MaxLength:
		return refuse(CodeBadLength, "The end trim must be from zero to ", num(MaxLength), ", not ", num(p.EndTrim), ".")
	case p.LeastOffcut < 0:
		return refuse(CodeBadLength, "The least offcut worth keeping must not be negative.")
	case len(p.Stocks) > MaxStocks:
		return refuse(CodeTooMany, "More than ", num(MaxStocks), " kinds of stick were given.")
	case len(p.Pieces) > MaxPieces:
		return refuse(CodeTooMany, "More than ", num(MaxPieces), " pieces are asked for; plan them in smaller lots.")
	}
	return nil
}
