package joblog

import (
	"slices"
	"time"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// assessment is everything the rules have to say about one item at one moment. Both the
// decision on a tick and the view are read from it, so they cannot differ.
type assessment struct {
	job     *Job
	item    *Item
	list    []stage.Stage // that the item passes
	level   Level
	rules   houserules.Rules
	climate *finish.Climate // nil where none is known
	// where climate and the visibility of edges were set
	climateFrom    string
	visibilityFrom houserules.Origin
	now            time.Time
	until          time.Time // from when on waiting alone makes it another; zero for never
	readings       []reading
	current        trim.Readings
	input          trim.OpeningInput
	cuts           trim.OpeningCuts
	runCuts        *trim.RunCuts // of a wall run; nil for an opening
	findings       []finding.Finding
}

// newAssessment is what the rules know of an item before they look at it.
func newAssessment(s Scope, now time.Time) *assessment {
	layers := s.Layers()
	rules, _ := houserules.Resolve(layers...)
	a := &assessment{job: s.Job, item: s.Item, list: s.Item.StageList(), level: finish.Ground, rules: rules, now: now,
		visibilityFrom: houserules.From("visibility", layers...), findings: make([]finding.Finding, 0, 32)}
	a.climate, a.climateFrom = s.climate()
	if s.Room != nil {
		a.level = s.Room.Level
	}
	return a
}

func assess(s Scope, now time.Time) *assessment {
	a := newAssessment(s, now)
	if s.Item.IsRun() {
		a.assessRun(s)
	} else {
		a.assessOpening()
	}
	a.add(a.pieceFindings()...)
	a.add(a.hungFindings()...)
	a.add(a.revealFindings()...)
	a.add(a.nailFindings()...)
	a.add(a.holeFindings()...)
	a.add(a.gapFindings()...)
	a.add(a.paintFindings()...)
	a.add(a.redoFindings()...)
	a.passed()
	return a
}

// assessOpening works the opening out from the readings that count.
func (a *assessment) assessOpening() {
	it := a.item
	a.readings = it.readings(a.rules)
	a.current = currentReadings(a.readings)
	a.input = trim.OpeningInput{Unit: it.Unit, Readings: a.current, CasingA: it.CasingA, CasingB: it.CasingB, Rules: a.rules}
	a.cuts = trim.Opening(a.input)
	a.add(readingFindings(a.readings)...)
	for _, f := range a.cuts.Findings {
		if f.Code != "reading_missing" { // said above, where takes that disagree are known too
			a.add(f)
		}
	}
	a.slabAsCut()
}

// slabAsCut holds a fire label's limits to the slab as it was cut too. Where the saw took more
// than was computed, what is said of the computed slab gives way to what is said of the real one.
func (a *assessment) slabAsCut() {
	at := a.item.pieceAt("slab")
	if at < 0 {
		return
	}
	p := &a.item.Pieces[at]
	var off, clearance length.Length
	if u := &a.item.Unit; u.SlabHeight > 0 {
		off = u.SlabHeight - p.AsCut
	}
	if c, ok := a.cut("slab"); ok {
		over := c.Value.Length - p.AsCut
		if over <= 0 {
			return
		}
		for _, name := range []string{"bottom_clearance_hinge", "bottom_clearance_strike"} {
			if v, ok := a.value(name); ok {
				clearance = max(clearance, v.Length+over)
			}
		}
	}
	for _, f := range trim.SlabAsCut(a.item.Unit, a.rules, off, clearance) {
		a.findings = slices.DeleteFunc(a.findings, func(x finding.Finding) bool { return x.Code == f.Code })
		a.add(f)
	}
}

// add keeps the findings that bear on a stage this item passes, or on none.
func (a *assessment) add(fs ...finding.Finding) {
	for i := range fs {
		if f := &fs[i]; f.Stage == "" || a.passes(stage.Stage(f.Stage)) {
			a.findings = append(a.findings, *f)
		}
	}
}

func (a *assessment) passes(s stage.Stage) bool {
	for _, x := range a.list {
		if x == s {
			return true
		}
	}
	return false
}

// passed writes a lead's pass onto each stop it was given for.
func (a *assessment) passed() {
	for i := range a.findings {
		f := &a.findings[i]
		if f.Severity != finding.Stop || f.Wanted {
			continue
		}
		for _, p := range a.item.Passes {
			if p.Key == f.Key() {
				f.PassedBy, f.PassedAs = p.PersonID, p.Reason
			}
		}
	}
}

// on returns the findings that bear on one stage.
func (a *assessment) on(s stage.Stage) []finding.Finding {
	var out []finding.Finding
	for _, f := range a.findings {
		if f.Stage == string(s) {
			out = append(out, f)
		}
	}
	return out
}

// status says where one stage stands. A done stage that a stop now stands against is held:
// a reading taken after the cut is the usual cause. A stage whose turn has not come is open
// unless a mistake already stands against it.
func (a *assessment) status(s stage.Stage) stage.Status {
	var mistake, wanting bool
	for i := range a.findings {
		if f := &a.findings[i]; f.Stage == string(s) && f.Holds() {
			mistake = mistake || !f.Wanted
			wanting = wanting || f.Wanted
		}
	}
	m, marked := a.item.Stages[s]
	switch {
	case mistake:
		return stage.Held
	case marked && m.Redone:
		return stage.Redone
	case marked && wanting:
		return stage.Redone
	case marked:
		return stage.Done
	case wanting || s != a.next():
		return stage.Open
	}
	return stage.Ready
}

// next is the first stage that has not been done, or "" when all have.
func (a *assessment) next() stage.Stage {
	for _, s := range a.list {
		if m, ok := a.item.Stages[s]; !ok || m.Redone {
			return s
		}
	}
	return ""
}

func (a *assessment) cut(piece string) (trim.Cut, bool) {
	for _, c := range a.cuts.Cuts {
		if c.Piece == piece {
			return c, true
		}
	}
	return trim.Cut{}, false
}

func (a *assessment) value(name string) (derive.Value, bool) {
	for _, v := range a.cuts.Values {
		if v.Name == name {
			return v.Value, true
		}
	}
	return derive.Value{}, false
}

// PieceState is where one piece stands.
type PieceState string

// The states of a piece. Stale: it was cut to a number that the current readings no longer
// give.
const (
	PieceToCut PieceState = "to_cut"
	PieceCutOK PieceState = "cut"
	PieceOff   PieceState = "off"
	PieceStale PieceState = "stale"
)

func (a *assessment) pieceState(c trim.Cut) (PieceState, *PieceCut) {
	at := a.item.pieceAt(c.Piece)
	if at < 0 {
		return PieceToCut, nil
	}
	p := &a.item.Pieces[at]
	switch {
	case p.Computed != c.Value.Length:
		return PieceStale, p
	case (p.AsCut - p.Computed).Abs() > a.rules.AsCutTolerance:
		return PieceOff, p
	}
	return PieceCutOK, p
}

// cutStage is the stage a piece is cut for, as the geometry has it.
func cutStage(c trim.Cut) stage.Stage {
	if c.Stage == "" {
		return stage.Trimmed
	}
	return stage.Stage(c.Stage)
}

func (a *assessment) pieceFindings() []finding.Finding {
	out := make([]finding.Finding, 0, len(a.cuts.Cuts))
	for _, c := range a.cuts.Cuts {
		st := string(cutStage(c))
		state, p := a.pieceState(c)
		switch state {
		case PieceToCut:
			out = append(out, finding.New("piece_to_cut", finding.Stop).AsWanted().On(st).At(c.Piece).
				Term("piece", c.Piece).Len("value", c.Value.Length))
		case PieceStale:
			out = append(out, finding.New("piece_stale", finding.Stop).On(st).At(c.Piece).
				Term("piece", c.Piece).Len("was", p.Computed).Len("value", c.Value.Length))
		case PieceOff:
			code := "piece_long"
			if p.AsCut < p.Computed {
				code = "piece_short"
			}
			out = append(out, finding.New(code, finding.Stop).On(st).At(c.Piece).Term("piece", c.Piece).
				Len("off", (p.AsCut-p.Computed).Abs()).Len("as_cut", p.AsCut).Len("value", c.Value.Length))
		}
	}
	return out
}

// gapTarget is what the gap along one line should be, and whether the item has that line.
func (a *assessment) gapTarget(line string) (length.Length, stage.Stage, bool) {
	hinged := a.item.Unit.Kind == trim.Door || a.item.Unit.Kind == trim.Pair
	switch line {
	case "hinge":
		return a.rules.HingeGap, stage.Hung, hinged
	case "head":
		return a.rules.TopGap, stage.Hung, hinged
	case "strike":
		return a.rules.StrikeGap, stage.Hung, hinged
	case "casing_a":
		return a.rules.Reveal, stage.Cased, a.item.CasingA != nil
	case "casing_b":
		return a.rules.Reveal, stage.Cased, a.item.CasingB != nil
	}
	return 0, "", false
}

func (a *assessment) gapRead(line string) *GapRead {
	for i := range a.item.Gaps {
		if a.item.Gaps[i].Line == line {
			return &a.item.Gaps[i]
		}
	}
	return nil
}

// lineFindings judges the gap or reveal along each line: read, on target, even.
func (a *assessment) lineFindings(lines ...string) []finding.Finding {
	var out []finding.Finding
	for _, line := range lines {
		target, st, has := a.gapTarget(line)
		if !has {
			continue
		}
		g := a.gapRead(line)
		add := func(code string) *finding.Finding {
			out = append(out, finding.New(code, finding.Stop).On(string(st)).At("line_"+line).Term("line", "line_"+line).Len("target", target))
			return &out[len(out)-1]
		}
		if g == nil {
			f := add("line_not_read")
			*f = f.AsWanted()
			continue
		}
		if tol := a.rules.RevealTolerance; g.Narrow < target-tol || g.Wide > target+tol {
			f := add("line_off_target")
			*f = f.Len("narrow", g.Narrow).Len("wide", g.Wide).Len("tolerance", tol)
		} else if g.Wide-g.Narrow > tol {
			f := add("line_uneven")
			*f = f.Len("narrow", g.Narrow).Len("wide", g.Wide).Len("tolerance", tol)
		}
	}
	return out
}

// checksFor lists the yes-or-no checks of an item in the order they are made.
func (it *Item) checksFor() []string {
	switch it.Unit.Kind {
	case trim.Door, trim.Pair:
		return []string{"stop_off", "plumb", "closes_on_stop", "no_see_through"}
	case trim.Pocket, trim.Bifold, trim.Bypass:
		return []string{"plumb", "runs_free"}
	}
	return nil
}

func (it *Item) check(name string) *CheckAnswer {
	for i := range it.Checks {
		if it.Checks[i].Check == name {
			return &it.Checks[i]
		}
	}
	return nil
}

func (a *assessment) hungFindings() []finding.Finding {
	out := a.lineFindings("hinge", "head", "strike")
	for _, name := range a.item.checksFor() {
		switch c := a.item.check(name); {
		case c == nil:
			out = append(out, finding.New("check_open", finding.Stop).AsWanted().On(string(stage.Hung)).At("check_"+name).Term("check", "check_"+name))
		case !c.Yes:
			out = append(out, finding.New("check_"+name+"_no", finding.Stop).On(string(stage.Hung)).At("check_"+name))
		}
	}
	return out
}

func (a *assessment) revealFindings() []finding.Finding {
	return a.lineFindings("casing_a", "casing_b")
}

func (it *Item) treated() []finish.Treated {
	out := make([]finish.Treated, len(it.Treatments))
	for i, t := range it.Treatments {
		out[i] = finish.Treated{Kind: t.Kind, With: t.With, Sanded: t.SandedAt != nil, AfterFirstCoat: t.AfterFirstCoat}
	}
	return out
}

func (a *assessment) holeFindings() []finding.Finding {
	return finish.MissingTreatments(a.item.fastenersDriven(), a.item.treated(), a.item.Unit.Grade)
}
