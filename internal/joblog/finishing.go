package joblog

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// checkFastenerEntry refuses what cannot be so: a nail no one makes, a count out of range, a
// base behind what is no shoe.
// A nail that is merely wrong is logged, since it is in the wall, and holds the stage.
func checkFastenerEntry(s Scope, b LogFasteners) []finding.Finding {
	if fs := checkUsed(s, Used{ProductID: b.ProductID}, finish.AdhesiveProduct); len(fs) > 0 {
		return fs
	}
	f := b.Fastener
	if f.Where == finish.Base && !s.Item.isShoe() {
		return []finding.Finding{finding.New("choice_bad", finding.Stop).Term("field", "place").Text("value", string(f.Where))}
	}
	var out []finding.Finding
	for _, x := range finish.CheckFastener(f, assessFastenerContext(s)) {
		switch x.Code {
		case "entry_unknown", "fastener_count_bad", "nail_not_made":
			return []finding.Finding{x}
		case "toe_unglued":
			if b.ProductID != "" {
				continue
			}
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
func checkTreatmentEntry(s Scope, t TreatHoles, id string, didAt time.Time) []finding.Finding {
	it := s.Item
	if !it.hasHoles(t.Kind) {
		return []finding.Finding{finding.New("no_such_holes", finding.Stop).On(string(stage.Filled)).Term("holes", "holes_"+string(t.Kind))}
	}
	if fs := checkUsed(s, t.Used, treatedWith(t.With)); len(fs) > 0 {
		return fs
	}
	coated := len(it.Coats) > 0 && it.Coats[0].before(Stamp{CommandID: id, At: didAt})
	return finish.CheckTreatment(t.Kind, t.With, it.Unit.Grade, true, coated)
}

func (it *Item) hasHoles(k finish.Kind) bool {
	for _, h := range finish.HoleKindsOf(it.fastenersDriven()) {
		if h.Kind == k {
			return true
		}
	}
	return false
}

// checkSand refuses sanding what was not filled, or filler that was still wet then.
func checkSand(s Scope, b Sand, id string, didAt time.Time) []finding.Finding {
	now := Stamp{CommandID: id, At: didAt}
	a := newAssessment(s, didAt)
	var l finish.DryLog
	for i := range s.Item.Treatments {
		if t := &s.Item.Treatments[i]; t.Kind == b.Kind && t.With == finish.Filler && t.before(now) {
			l.Filled = append(l.Filled, finish.Fill{Laid: a.laid(t.CommandID, t.At, t.Used), SandedAt: t.SandedAt})
		}
	}
	if len(l.Filled) == 0 {
		return []finding.Finding{finding.New("nothing_filled", finding.Stop).On(string(stage.Filled)).Term("holes", "holes_"+string(b.Kind))}
	}
	return finish.CheckDry(didAt, finish.Sand, l, a.rules)
}

func (a *assessment) gapContext() finish.GapContext {
	return finish.GapContext{Grade: a.item.Unit.Grade, SeenFromAbove: a.item.SeenFromAbove,
		Visibility: finish.VisibilityOf(a.rules), From: a.visibilityFrom, Sides: !a.item.IsRun(), Rules: a.rules}
}

// checkWallGap refuses a gap no one could have measured and a bead of a product the joint
// asks too much of. Everything else is logged as it is and holds the stage.
func checkWallGap(s Scope, b LogGap) []finding.Finding {
	if fs := checkUsed(s, b.Used, finish.CaulkProduct); len(fs) > 0 {
		return fs
	}
	if b.ProductID != "" && b.Gap.Closing != finish.Caulked {
		return []finding.Finding{finding.New("product_not_used", finding.Stop)}
	}
	a := assess(s, time.Time{})
	var out []finding.Finding
	for _, x := range a.gapEntryFindings(b.Gap, b.ProductID) {
		switch x.Code {
		case "entry_unknown", "gap_size_bad", "gap_passes_bad", "sealant_class_unknown", "gap_caulked_under_stain", "gap_needs_passes", "gap_needs_backer":
			return []finding.Finding{x}
		}
		if x.Severity == finding.Stop {
			x.Severity = finding.Warn
		}
		out = append(out, x)
	}
	if b.Gap.Closing == finish.Caulked {
		out = append(out, a.filledFirst()...)
	}
	return out
}

// filledFirst asks for filler before caulk. It warns, since the bead is in.
func (a *assessment) filledFirst() []finding.Finding {
	open := finish.HolesOpen(a.item.fastenersDriven(), a.item.treated(), a.item.Unit.Grade)
	return finish.CheckDry(a.now, finish.CaulkStep, finish.DryLog{HolesOpen: open}, a.rules)
}

func (a *assessment) gapEntryFindings(g finish.Gap, productID string) []finding.Finding {
	out := finish.CheckGap(g, a.gapContext())
	if g.Closing == finish.Caulked && g.Width > 0 {
		need, fs := finish.RequiredClass(a.joint(g.Width))
		out = append(out, fs...)
		out = append(out, finish.CheckSealant(a.sealant(g, productID), need)...)
	}
	return out
}

// sealant is what a gap was caulked with: the job's product where one is named.
func (a *assessment) sealant(g finish.Gap, productID string) finish.Sealant {
	if p := a.job.product(productID); p != nil {
		return p.Sealant()
	}
	if g.Sealant != nil {
		return *g.Sealant
	}
	return finish.Sealant{}
}

// joint is a bead along the item. Which face it is on is not logged, so of the members at
// hand the one that moves most decides; where one of them is not known, the floor does.
func (a *assessment) joint(width length.Length) finish.Joint {
	j := finish.Joint{Width: width, Level: a.level}
	if a.climate == nil {
		return j
	}
	var most float64
	for _, m := range a.members() {
		sp, ok := finish.FindSpecies(m.species)
		if !ok || m.width <= 0 {
			return finish.Joint{Width: width, Level: a.level}
		}
		if moves := float64(m.width) * sp.Coefficient(m.grain); moves > most {
			most = moves
			j.Member, j.Species, j.Grain, j.Climate = m.width, m.species, m.grain, a.climate
		}
	}
	return j
}

// member is a piece of trim that shrinks and swells across its width.
type member struct {
	width   length.Length
	species string
	grain   finish.Grain
}

func (a *assessment) members() []member {
	var out []member
	add := func(width length.Length, material, species, grain string) {
		if species == "" && material == "mdf" {
			species = "mdf"
		}
		out = append(out, member{width, species, finish.Grain(grain)})
	}
	if run := a.item.Run; a.item.IsRun() {
		add(run.Profile.Height, run.Material, run.Species, run.Grain)
		return out
	}
	for _, c := range []*trim.Casing{a.item.CasingA, a.item.CasingB} {
		if c != nil {
			add(c.Width, c.Material, c.Species, c.Grain)
		}
	}
	return out
}

// checkWood refuses a wood or grain the rule book has no coefficient for.
func checkWood(species, grain string) []finding.Finding {
	if _, ok := finish.FindSpecies(species); species != "" && !ok {
		return []finding.Finding{finding.New("choice_bad", finding.Stop).Term("field", "species").Text("value", species)}
	}
	if g := finish.Grain(grain); grain != "" && g != finish.FlatSawn && g != finish.QuarterSawn {
		return []finding.Finding{finding.New("choice_bad", finding.Stop).Term("field", "grain").Text("value", grain)}
	}
	return nil
}

func (a *assessment) gapFindings() []finding.Finding {
	gaps := make([]finish.Gap, len(a.item.WallGaps))
	var out []finding.Finding
	caulked := false
	for i, g := range a.item.WallGaps {
		gaps[i] = g.Gap
		caulked = caulked || g.Closing == finish.Caulked
		for _, f := range a.gapEntryFindings(g.Gap, g.ProductID) {
			out = append(out, f.At(g.CommandID))
		}
	}
	if caulked {
		out = append(out, a.filledFirst()...)
	}
	return append(finish.CheckGaps(gaps, a.gapContext()), out...)
}

// dryLog gathers what was put on before a moment and has to dry. A sanding after it does not
// count yet.
func (a *assessment) dryLog(before Stamp) finish.DryLog {
	var l finish.DryLog
	for i := range a.item.Treatments {
		t := &a.item.Treatments[i]
		if !t.before(before) {
			continue
		}
		laid := a.laid(t.CommandID, t.At, t.Used)
		switch t.With {
		case finish.Caulk:
			l.Caulked = append(l.Caulked, laid)
		case finish.Putty:
			l.Puttied = append(l.Puttied, laid)
		case finish.Filler:
			l.Filled = append(l.Filled, finish.Fill{Laid: laid, SandedAt: a.item.sandedBetween(t, before)})
		}
	}
	for i := range a.item.WallGaps {
		if g := &a.item.WallGaps[i]; g.Closing == finish.Caulked && g.before(before) {
			l.Caulked = append(l.Caulked, a.laid(g.CommandID, g.At, g.Used))
		}
	}
	for i := range a.item.Coats {
		if c := &a.item.Coats[i]; c.before(before) {
			l.Coated = append(l.Coated, a.laid(c.CommandID, c.At, c.Used))
		}
	}
	return l
}

// sandedBetween is when such holes were last sanded after t and before a moment.
func (it *Item) sandedBetween(t *TreatmentEntry, before Stamp) *time.Time {
	var last *time.Time
	for i := range it.Sandings {
		if s := &it.Sandings[i]; s.Kind == t.Kind && t.before(s.Stamp) && s.before(before) {
			last = &s.At
		}
	}
	return last
}

// ever is after everything that was done.
var ever = Stamp{At: time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)}

// drying says what must still dry before a coat. Under stain the first coat goes on before
// the putty, so only the coat before must be dry. It says the same until the moment returned,
// for ever where that is zero.
func (a *assessment) drying(now time.Time, l finish.DryLog) ([]finding.Finding, time.Time) {
	out, until := finish.CheckDryUntil(now, finish.NextCoat, l, a.rules)
	if a.item.Unit.Grade != trim.Paint {
		return out, until
	}
	first, firstUntil := finish.CheckDryUntil(now, finish.FirstCoat, l, a.rules)
	return append(first, out...), sooner(until, firstUntil)
}

// sooner is the earlier of two moments, of which zero is never.
func sooner(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// checkCoat refuses a coat over what was not filled, not sanded or not dry when it went on.
func checkCoat(s Scope, b LogCoat, id string, didAt time.Time) []finding.Finding {
	if fs := checkUsed(s, b.Used, finish.PaintProduct); len(fs) > 0 {
		return fs
	}
	a := assess(s, didAt)
	out, _ := a.drying(didAt, a.dryLog(Stamp{CommandID: id, At: didAt}))
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
	l := a.dryLog(ever)
	said, until := a.drying(a.now, l)
	a.until = until
	for _, f := range said {
		if f.ClearsAt != nil || f.Code == "sand_before_paint" {
			f = f.AsWanted()
		}
		out = append(out, f)
	}
	out = append(out, a.coatedTooSoon()...)
	return append(out, a.tooCold(l)...)
}

// coatedTooSoon finds a coat that went on over something wet. The coat itself would have
// been refused had the phone that filled or caulked delivered in time.
func (a *assessment) coatedTooSoon() []finding.Finding {
	var out []finding.Finding
	for i := range a.item.Coats {
		c := &a.item.Coats[i]
		said, _ := a.drying(c.At, a.dryLog(c.Stamp))
		for _, f := range said {
			if f.ClearsAt != nil {
				out = append(out, finding.New("coated_too_soon", finding.Stop).On(string(stage.Painted)).At(c.CommandID).Term("what", f.Code+"_then"))
			}
		}
	}
	return out
}
