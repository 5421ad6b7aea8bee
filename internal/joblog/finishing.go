package joblog

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// checkFastenerEntry refuses what cannot be so: a nail no one makes, a count out of range.
// A nail that is merely wrong is logged, since it is in the wall, and holds the stage.
func checkFastenerEntry(s Scope, f finish.Fastener) []finding.Finding {
	var out []finding.Finding
	for _, x := range finish.CheckFastener(f, assessFastenerContext(s)) {
		switch x.Code {
		case "entry_unknown", "fastener_count_bad", "nail_not_made":
			return []finding.Finding{x}
		}
		if x.Severity == finding.Stop {
			x.Severity = finding.Warn // told now, held at nailed
		}
		out = append(out, x)
	}
	return out
}

func assessFastenerContext(s Scope) finish.Context { return assess(s, time.Time{}).fastenerContext() }

// checkTreatmentEntry refuses a treatment the rules do not allow in such a hole. Filler is
// sanded later, so that it is not yet sanded does not refuse it.
func checkTreatmentEntry(it *Item, t TreatHoles) []finding.Finding {
	if !it.hasHoles(t.Kind) {
		return []finding.Finding{finding.New("no_such_holes", finding.Stop).On(string(stage.Filled)).Term("holes", "holes_"+string(t.Kind))}
	}
	return finish.CheckTreatment(t.Kind, t.With, it.Unit.Grade, true, len(it.Coats) > 0)
}

func (it *Item) hasHoles(k finish.Kind) bool {
	for _, h := range finish.HoleKindsOf(it.fastenersDriven()) {
		if h.Kind == k {
			return true
		}
	}
	return false
}

// checkSand refuses sanding what was not filled, or filler that is still wet.
func checkSand(s Scope, b Sand, didAt time.Time) []finding.Finding {
	for i := len(s.Item.Treatments) - 1; i >= 0; i-- {
		t := s.Item.Treatments[i]
		if t.Kind != b.Kind || t.With != finish.Filler {
			continue
		}
		at := t.At
		return finish.CheckDry(didAt, finish.Sand, finish.DryLog{FilledAt: &at}, s.Rules())
	}
	return []finding.Finding{finding.New("nothing_filled", finding.Stop).On(string(stage.Filled)).Term("holes", "holes_"+string(b.Kind))}
}

func (a *assessment) gapContext() finish.GapContext {
	return finish.GapContext{Grade: a.item.Unit.Grade, SeenFromAbove: a.item.SeenFromAbove, Rules: a.rules}
}

// checkWallGap refuses a gap no one could have measured and a bead of a product the joint
// asks too much of. Everything else is logged as it is and holds the stage.
func checkWallGap(s Scope, g finish.Gap) []finding.Finding {
	a := assess(s, time.Time{})
	var out []finding.Finding
	for _, x := range a.gapEntryFindings(g) {
		switch x.Code {
		case "entry_unknown", "gap_size_bad", "gap_passes_bad", "sealant_class_unknown", "gap_caulked_under_stain", "gap_needs_passes", "gap_needs_backer":
			return []finding.Finding{x}
		}
		if x.Severity == finding.Stop {
			x.Severity = finding.Warn
		}
		out = append(out, x)
	}
	return out
}

func (a *assessment) gapEntryFindings(g finish.Gap) []finding.Finding {
	out := finish.CheckGap(g, a.gapContext())
	if g.Closing == finish.Caulked && g.Width > 0 {
		need, fs := finish.RequiredClass(finish.Joint{Width: g.Width, Level: a.level})
		out = append(out, fs...)
		var sealant finish.Sealant
		if g.Sealant != nil {
			sealant = *g.Sealant
		}
		out = append(out, finish.CheckSealant(sealant, need)...)
	}
	return out
}

func (a *assessment) gapFindings() []finding.Finding {
	gaps := make([]finish.Gap, len(a.item.WallGaps))
	var out []finding.Finding
	for i, g := range a.item.WallGaps {
		gaps[i] = g.Gap
		for _, f := range a.gapEntryFindings(g.Gap) {
			out = append(out, f.At(g.CommandID))
		}
	}
	return append(finish.CheckGaps(gaps, a.gapContext()), out...)
}

// dryLog gathers when things that dry were last done. Sanding counts from the filler that
// was sanded last, and not at all while some filler is unsanded.
func (a *assessment) dryLog() finish.DryLog {
	var l finish.DryLog
	latest := func(at **time.Time, t time.Time) {
		if *at == nil || t.After(**at) {
			*at = &t
		}
	}
	unsanded := false
	for _, t := range a.item.Treatments {
		switch {
		case t.With == finish.Caulk:
			latest(&l.CaulkedAt, t.At)
		case t.With == finish.Filler:
			latest(&l.FilledAt, t.At)
			if t.SandedAt == nil {
				unsanded = true
			} else {
				latest(&l.SandedAt, *t.SandedAt)
			}
		}
	}
	if unsanded {
		l.SandedAt = nil
	}
	for _, g := range a.item.WallGaps {
		if g.Closing == finish.Caulked {
			latest(&l.CaulkedAt, g.At)
		}
	}
	for _, c := range a.item.Coats {
		latest(&l.CoatedAt, c.At)
	}
	return l
}

// drying says what must still dry before a coat. Under stain the first coat goes on before
// the putty, so only the coat before must be dry.
func (a *assessment) drying(now time.Time) []finding.Finding {
	l := a.dryLog()
	var out []finding.Finding
	if a.item.Unit.Grade == trim.Paint {
		out = finish.CheckDry(now, finish.FirstCoat, l, a.rules)
	}
	return append(out, finish.CheckDry(now, finish.NextCoat, l, a.rules)...)
}

// checkCoat refuses a coat over what is not filled, not sanded or not dry.
func checkCoat(s Scope, didAt time.Time) []finding.Finding {
	a := assess(s, didAt)
	out := a.drying(didAt)
	if a.item.Unit.Grade == trim.Paint && finding.HasStop(a.on(stage.Filled)) {
		out = append(out, finding.New("coat_before_filled", finding.Stop).AsWanted().On(string(stage.Painted)))
	}
	return out
}

// coatsNeeded is the house's number of coats; pre-finished casing wants one of touching up.
func (a *assessment) coatsNeeded() int64 {
	if a.item.Prefinished {
		return 1
	}
	return a.rules.Coats
}

func (a *assessment) paintFindings() []finding.Finding {
	var out []finding.Finding
	if have, need := int64(len(a.item.Coats)), a.coatsNeeded(); have < need {
		out = append(out, finding.New("coats_missing", finding.Stop).AsWanted().On(string(stage.Painted)).Num("have", have).Num("need", need))
	}
	for _, f := range a.drying(a.now) {
		if f.ClearsAt != nil || f.Code == "sand_before_paint" {
			f = f.AsWanted()
		}
		out = append(out, f)
	}
	return out
}
