// Package logbook is a job's log as it is looked through and handed out: what is asked of it,
// which stage an entry is about, and its lines as tables and as JSON. It is pure; the phone
// keeps one job's log and needs none of it.
package logbook

import (
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
)

// Filter is what is asked of a log; what is empty does not count.
type Filter struct {
	Person string
	Room   string
	Item   string
	Stage  stage.Stage
	Kind   joblog.Kind
	After  int64 // only entries numbered above it
	Before int64 // only entries numbered below it; 0 for no bound
	Newest bool  // the last first
	Limit  int
}

// Work is which kinds of entry are work of a stage whatever they say, and along which lines a
// gap read belongs to it. Ticking, reopening and passing name their stage themselves.
func Work(s stage.Stage) (kinds []joblog.Kind, lines []string) {
	switch s {
	case stage.Measured:
		return []joblog.Kind{joblog.TakeReadingKind, joblog.ChooseTakeKind, joblog.SetWallsKind}, nil
	case stage.Trimmed:
		return []joblog.Kind{joblog.CutPiecesKind, joblog.SawPartKind, joblog.TakeStickKind, joblog.ReturnOffcutKind, joblog.MiscutKind}, nil
	case stage.Hung:
		return []joblog.Kind{joblog.AnswerCheckKind}, []string{"hinge", "head", "strike"}
	case stage.Cased:
		return nil, []string{"casing_a", "casing_b"}
	case stage.Nailed:
		return []joblog.Kind{joblog.LogFastenersKind}, nil
	case stage.Filled:
		return []joblog.Kind{joblog.TreatHolesKind, joblog.SandKind}, nil
	case stage.Caulked:
		return []joblog.Kind{joblog.LogGapKind}, nil
	case stage.Painted:
		return []joblog.Kind{joblog.LogCoatKind}, nil
	}
	return nil, nil
}

// StageOf is the stage an entry is about, "" where it is about none.
func StageOf(c joblog.Command) stage.Stage {
	switch {
	case c.TickStage != nil:
		return c.TickStage.Stage
	case c.ReopenStage != nil:
		return c.ReopenStage.Stage
	case c.PassStop != nil:
		return stageOfKey(c.PassStop.Key)
	}
	for _, s := range stage.All() {
		kinds, lines := Work(s)
		for _, k := range kinds {
			if k == c.Kind {
				return s
			}
		}
		if c.ReadGap != nil {
			for _, l := range lines {
				if l == c.ReadGap.Line {
					return s
				}
			}
		}
	}
	return ""
}

// stageOfKey reads the stage out of a finding's key: code|stage|about….
func stageOfKey(key string) stage.Stage {
	from := -1
	for i := range len(key) {
		if key[i] != '|' {
			continue
		}
		if from >= 0 {
			if s := stage.Stage(key[from:i]); stage.Valid(s) {
				return s
			}
			return ""
		}
		from = i + 1
	}
	return ""
}
