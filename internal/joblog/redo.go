package joblog

import (
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/stage"
)

// redoFindings ask for the work that a reopened stage was reopened for: holes that show want
// filler since, a bead that cracked wants a bead since, and what was filled or caulked anew
// wants a coat over it. A stage before these is judged by its readings and pieces as they
// stand. Basis: common practice.
func (a *assessment) redoFindings() []finding.Finding {
	var out []finding.Finding
	again := func(s stage.Stage, code string) {
		out = append(out, finding.New(code, finding.Stop).AsWanted().On(string(s)).Text("reason", a.item.Stages[s].Reason))
	}
	own := func(s stage.Stage) *Stamp {
		if m := a.item.Stages[s]; m.Redone && m.For == s {
			return m.Reopened
		}
		return nil
	}
	if since := own(stage.Filled); since != nil && len(a.item.Fasteners) > 0 && a.item.filledSince(*since) == nil {
		again(stage.Filled, "fill_again")
	}
	if since := own(stage.Caulked); since != nil && a.item.caulkedSince(*since) == nil {
		again(stage.Caulked, "caulk_again")
	}
	m := a.item.Stages[stage.Painted]
	if !m.Redone || m.Reopened == nil {
		return out
	}
	over := own(stage.Painted)
	for _, x := range []*Stamp{a.item.filledSince(*m.Reopened), a.item.caulkedSince(*m.Reopened)} {
		if x != nil && (over == nil || over.before(*x)) {
			over = x
		}
	}
	if over == nil {
		return out
	}
	for _, c := range a.item.Coats {
		if over.before(c.Stamp) {
			return out
		}
	}
	again(stage.Painted, "coat_again")
	return out
}

// filledSince is the last time that something went into holes after a moment, or nil.
func (it *Item) filledSince(since Stamp) *Stamp {
	for i := len(it.Treatments) - 1; i >= 0; i-- {
		if t := &it.Treatments[i]; t.With != finish.LeftOpen && since.before(t.Stamp) {
			return &t.Stamp
		}
	}
	return nil
}

// caulkedSince is the last time that a gap was closed after a moment, or nil.
func (it *Item) caulkedSince(since Stamp) *Stamp {
	for i := len(it.WallGaps) - 1; i >= 0; i-- {
		if g := &it.WallGaps[i]; g.Closing != finish.LeftUnclosed && since.before(g.Stamp) {
			return &g.Stamp
		}
	}
	return nil
}
