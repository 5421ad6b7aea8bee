// Package stage holds the stages an item passes on its way from tape to paint, and which
// of them a kind of item passes at all.
package stage

import "longpoint/internal/trim"

// Stage is one mark on an item's pole.
type Stage string

// The stages, from the floor up.
const (
	Measured Stage = "measured"
	Trimmed  Stage = "trimmed"
	Hung     Stage = "hung"
	Cased    Stage = "cased"
	Nailed   Stage = "nailed"
	Filled   Stage = "filled"
	Caulked  Stage = "caulked"
	Painted  Stage = "painted"
)

// All lists every stage in order.
func All() []Stage {
	return []Stage{Measured, Trimmed, Hung, Cased, Nailed, Filled, Caulked, Painted}
}

// Status is where one stage of one item stands.
type Status string

// The statuses. Open: its turn has not come, or something is still to be entered. Ready:
// nothing is in its way. Held: a stop stands against it. Done. Redone: it was done, and
// work it rests on was reopened, so it is to be done again.
const (
	Open   Status = "open"
	Ready  Status = "ready"
	Held   Status = "held"
	Done   Status = "done"
	Redone Status = "redone"
)

// Work is what of an item decides which stages it passes.
type Work struct {
	Kind  trim.Kind
	Grade trim.Grade
	Cased bool // some face gets casing, or a window extension jambs
	Jambs bool // jambs are built in, else board returns into the opening
}

// For returns the stages an item passes. An opening without a slab skips hung. A window skips
// trimmed: its frame is set, and all that is cut for it is what cases it. Without casing
// there is nothing to case, and where the board returns as well nothing to nail, fill or
// caulk. Stain grade skips caulked (common practice: caulk does not take stain).
func For(w Work) []Stage {
	run, window := w.Kind == trim.WallRun, w.Kind == trim.Window
	bare := !run && !w.Cased && (!w.Jambs || window)
	out := make([]Stage, 0, 8)
	for _, s := range All() {
		switch {
		case s == Trimmed && window:
		case s == Hung && !HasSlab(w.Kind):
		case s == Cased && (run || !w.Cased):
		case bare && (s == Nailed || s == Filled || s == Caulked):
		case s == Caulked && w.Grade == trim.Stain:
		default:
			out = append(out, s)
		}
	}
	return out
}

// ForOpening returns the stages of an opening with jambs and casing.
func ForOpening(k trim.Kind, g trim.Grade) []Stage {
	return For(Work{Kind: k, Grade: g, Cased: true, Jambs: true})
}

// ForRun returns the stages a wall run passes: base and chair rail are neither hung nor
// cased.
func ForRun(g trim.Grade) []Stage { return For(Work{Kind: trim.WallRun, Grade: g}) }

// HasSlab reports whether something is hung in an opening of this kind.
func HasSlab(k trim.Kind) bool {
	switch k {
	case trim.CasedOpening, trim.Window, trim.WallRun:
		return false
	}
	return true
}

// After returns the stages of list that come after s, which rest on it.
func After(list []Stage, s Stage) []Stage {
	for i, x := range list {
		if x == s {
			return list[i+1:]
		}
	}
	return nil
}

// Valid reports whether s is a stage.
func Valid(s Stage) bool {
	for _, x := range All() {
		if x == s {
			return true
		}
	}
	return false
}
