package drawing

import (
	"strings"

	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Scene is everything a drawing of one opening is made from: what was read, what is to go
// in, what the rule book makes of it, and the reader's words. A drawing takes any scene:
// what is missing or cannot be is drawn as the unit's usual opening.
type Scene struct {
	Name             string // the opening's own name
	Unit             trim.Unit
	CasingA, CasingB *trim.Casing
	Rules            houserules.Rules
	Face             trim.Face        // face looked at; A when empty
	Values           trim.Readings    // readings to draw by
	Readings         []ReadingMark    // every reading of the kind, in the order a person walks it
	Cuts             trim.OpeningCuts // of the same readings
	Pieces           []PieceMark      // beside Cuts.Cuts, in the same order
	Term             func(key string) string
	Print            func(length.Length) string
}

// ReadingMark is one reading as it is to be written. An unsigned Text stands for a signed
// reading, since the drawing shows which way it goes.
type ReadingMark struct {
	Spec  trim.ReadingSpec
	Label string // its full name
	Text  string // its printed value; empty while it is missing
	State string // taken, missing or disagree

	// Of a wall: its number, what is read of it, and which stretch was taped.
	Wall, Stretch int
	Quantity      trim.RunQuantity
}

// PieceMark is one piece to cut as it is to be written.
type PieceMark struct {
	Label string
	Text  string // printed length, rounded its own way
	State string // computed (still to cut), taken (cut), disagree (cut off its line) or stale
	Rip   string // width it is ripped to, in words
	Saw   []string
}

func (s *Scene) term(key string) string {
	if s.Term == nil {
		return strings.ReplaceAll(key, "_", " ")
	}
	return s.Term(key)
}

func (s *Scene) print(l length.Length) string {
	if s.Print == nil {
		return l.Print(length.Style{})
	}
	return s.Print(l)
}

// casing is the casing of the face looked at; nil when it has none or it cannot be drawn.
func (s *Scene) casing() *trim.Casing {
	c := s.CasingA
	if s.Face == trim.FaceB {
		c = s.CasingB
	}
	if c == nil || c.Width <= 0 || s.Unit.Kind == trim.Window && s.Face == trim.FaceB {
		return nil
	}
	return c
}

// flipped reports whether the hinge side lies on the right as the face is seen. A unit that
// does not say counts the hinge side as the left from face A.
func (s *Scene) flipped() bool { return (s.Unit.HingeOn == "right") != (s.Face == trim.FaceB) }

// next is the reading to take now: the first the cuts cannot do without; -1 when none is.
func (s *Scene) next() int {
	for i := range s.Readings {
		if r := &s.Readings[i]; r.Spec.Required && r.State == "missing" {
			return i
		}
	}
	return -1
}

func (s *Scene) cut(piece string) *trim.Cut {
	for i := range s.Cuts.Cuts {
		if s.Cuts.Cuts[i].Piece == piece {
			return &s.Cuts.Cuts[i]
		}
	}
	return nil
}

// piece returns the cut of that number with its writing.
func (s *Scene) piece(i int) (*trim.Cut, PieceMark) {
	c := &s.Cuts.Cuts[i]
	if i < len(s.Pieces) {
		return c, s.Pieces[i]
	}
	return c, PieceMark{Label: s.term(c.Piece), Text: s.print(c.Value.Length), State: "computed"}
}

// tenths is a length in the drawing's unit, brought between least and most so that no
// reading or size, however wrong, can break the drawing.
func tenths(l, least, most length.Length) int {
	l = max(least, min(l, most))
	const unit = length.Millimeter / 10
	if l < 0 {
		return -int((-l + unit/2) / unit)
	}
	return int((l + unit/2) / unit)
}

const inch = 254 // tenths of a millimeter
