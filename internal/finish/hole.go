package finish

import (
	"longpoint/internal/finding"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// Treatment is what goes into a hole.
type Treatment string

// The treatments.
const (
	Filler   Treatment = "filler" // paintable wood filler or spackle, sanded flush
	Caulk    Treatment = "caulk"  // paintable caulk, wiped
	Putty    Treatment = "putty"  // colored putty, over a finish coat
	LeftOpen Treatment = "none"   // left as it is
)

// TreatmentKinds lists every treatment.
func TreatmentKinds() []Treatment { return []Treatment{Filler, Caulk, Putty, LeftOpen} }

// Hole is the holes of one kind of fastener that show.
type Hole struct {
	Kind  Kind  `json:"kind" enum:"pin23,brad18,finish16,finish15,hand_finish,trim_screw" doc:"The fastener that left them"`
	Count int64 `json:"count"`
}

// Treated is one log entry of holes treated.
type Treated struct {
	Kind           Kind      `json:"kind" enum:"pin23,brad18,finish16,finish15,hand_finish,trim_screw"`
	With           Treatment `json:"with" enum:"filler,caulk,putty,none"`
	Sanded         bool      `json:"sanded,omitempty" doc:"Sanded flush"`
	AfterFirstCoat bool      `json:"after_first_coat,omitempty" doc:"Went in over the first finish coat"`
}

// HoleKindsOf returns the holes that show, one entry a kind, thinnest first. What the stop
// covers shows no hole; entries no rule knows and counts out of range are left out (their
// own check stops them).
func HoleKindsOf(fasteners []Fastener) []Hole {
	var out []Hole
	for _, k := range Kinds() {
		var n int64
		for _, f := range fasteners {
			if f.Kind == k && f.Where != HiddenUnderStop && f.Count > 0 && f.Count <= MostFasteners {
				n += f.Count
			}
		}
		if n > 0 {
			out = append(out, Hole{Kind: k, Count: n})
		}
	}
	return out
}

// smallHole reports whether caulk may fill the hole under paint: 23 and 18 gauge only.
func smallHole(k Kind) bool { return k == Pin23 || k == Brad18 }

// CheckTreatment judges what went into the holes of one kind of fastener. Under paint, 23-
// and 18-gauge holes take caulk or filler and all others filler only; filler is sanded flush.
// Under stain nothing but colored putty over the first finish coat. It returns nothing when
// the treatment is allowed. Basis: common practice.
func CheckTreatment(k Kind, t Treatment, g trim.Grade, sanded, afterFirstCoat bool) []finding.Finding {
	switch {
	case !known(Kinds(), k):
		return []finding.Finding{unknown(stage.Filled, "fastener", string(k))}
	case !known(TreatmentKinds(), t):
		return []finding.Finding{unknown(stage.Filled, "treatment", string(t))}
	}
	code := ""
	switch g {
	case trim.Paint:
		code = paintHole(k, t, sanded)
	case trim.Stain:
		code = stainHole(t, afterFirstCoat)
	default:
		return []finding.Finding{unknown(stage.Filled, "grade", string(g))}
	}
	if code == "" {
		return nil
	}
	return []finding.Finding{holeFinding(code, k)}
}

func paintHole(k Kind, t Treatment, sanded bool) string {
	switch {
	case t == LeftOpen:
		return "holes_untreated"
	case t == Putty:
		return "putty_under_paint"
	case t == Caulk && !smallHole(k):
		return "caulk_in_large_hole"
	case t == Filler && !sanded:
		return "filler_not_sanded"
	}
	return ""
}

func stainHole(t Treatment, afterFirstCoat bool) string {
	switch {
	case t == LeftOpen:
		return "holes_untreated"
	case t == Caulk:
		return "caulk_under_stain"
	case t == Filler:
		return "filler_under_stain"
	case !afterFirstCoat:
		return "putty_too_soon"
	}
	return ""
}

// holeFinding marks as wanted what is only still to be done: filling, sanding.
func holeFinding(code string, k Kind) finding.Finding {
	f := on(stage.Filled, code, finding.Stop).At(string(k)).Term("holes", "holes_"+string(k))
	if code == "holes_untreated" || code == "filler_not_sanded" {
		return f.AsWanted()
	}
	return f
}

// MissingTreatments returns a stop for every kind of hole that shows and has no allowed
// treatment. The entries are in the order logged; the last one of a kind is how its holes
// are now, so it alone is judged.
func MissingTreatments(fasteners []Fastener, treated []Treated, g trim.Grade) []finding.Finding {
	var fs []finding.Finding
	for _, h := range HoleKindsOf(fasteners) {
		t, ok := lastTreated(treated, h.Kind)
		if !ok {
			fs = append(fs, holeFinding("holes_untreated", h.Kind))
			continue
		}
		fs = append(fs, CheckTreatment(h.Kind, t.With, g, t.Sanded, t.AfterFirstCoat)...)
	}
	return fs
}

// HolesOpen reports whether some hole that takes nothing but filler has none yet: under paint
// all but those of 23 and 18 gauge.
func HolesOpen(fasteners []Fastener, treated []Treated, g trim.Grade) bool {
	for _, h := range HoleKindsOf(fasteners) {
		if t, ok := lastTreated(treated, h.Kind); g == trim.Paint && !smallHole(h.Kind) && (!ok || t.With != Filler) {
			return true
		}
	}
	return false
}

func lastTreated(treated []Treated, k Kind) (Treated, bool) {
	for i := len(treated) - 1; i >= 0; i-- {
		if treated[i].Kind == k {
			return treated[i], true
		}
	}
	return Treated{}, false
}
