package joblog

import (
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// Projection is an item's rows for the tables that are kept beside the log.
type Projection struct {
	Takes  []Take
	Cuts   []CutRow
	Stages []StageRow
}

// CutRow is one computed cut with what it came from, and the piece as cut if there is one.
type CutRow struct {
	Piece    string
	Value    length.Length
	TakeIDs  []string // takes the value came from
	RuleBook string
	CutFor   *length.Length // computed value the piece was cut to
	AsCut    *length.Length
	Stale    bool // cut to a number the current readings no longer give
}

// StageRow is where one stage stood at a moment.
type StageRow struct {
	Stage    stage.Stage
	Status   stage.Status
	DoneAt   *time.Time
	DoneBy   string
	Findings []finding.Finding // those that hold it, without words
}

// Project makes the item's rows as they stand at now. It is the same function that keeps
// the tables and that rebuilds them, so the two can be compared.
func (s Scope) Project(now time.Time) Projection {
	a := assess(s, now)
	p := Projection{Takes: s.Item.Takes}
	var takes []string
	for _, r := range a.readings {
		if r.current != nil {
			takes = append(takes, r.current.CommandID)
		}
	}
	for _, c := range a.cuts.Cuts {
		row := CutRow{Piece: c.Piece, Value: c.Value.Length, TakeIDs: takes, RuleBook: RuleBook}
		if state, rec := a.pieceState(c); rec != nil {
			computed, asCut := rec.Computed, rec.AsCut
			row.CutFor, row.AsCut, row.Stale = &computed, &asCut, state == PieceStale
		}
		p.Cuts = append(p.Cuts, row)
	}
	for _, x := range s.Item.StageList() {
		row := StageRow{Stage: x, Status: a.status(x)}
		if m, ok := s.Item.Stages[x]; ok && !m.Redone {
			at := m.At
			row.DoneAt, row.DoneBy = &at, m.PersonID
		}
		for _, f := range a.on(x) {
			if f.Holds() {
				row.Findings = append(row.Findings, f)
			}
		}
		p.Stages = append(p.Stages, row)
	}
	return p
}
