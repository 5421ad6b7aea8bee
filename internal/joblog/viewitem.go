package joblog

import (
	"strconv"
	"strings"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// ViewItem works out everything a screen shows of the scope's item. It changes nothing.
func ViewItem(s Scope, r Reader) ItemView {
	a := assess(s, r.Now)
	w := writer{catalog: r.words(), style: r.Style, printed: make(map[length.Length]string, 64), unit: &s.Item.Unit}
	it, said := s.Item, w.findings(a)
	v := ItemView{
		ID: it.ID, RoomID: it.RoomID, Name: it.Name, KindLabel: w.term(it.kindTerm()),
		AssignedTo: it.AssignedTo, ThroughSeq: it.ThroughSeq, Unit: r.Style.Unit, Spec: s.SpecNow(), Level: a.level,
		Readings: w.readings(a), Cuts: w.cuts(a), Values: w.values(a), Stages: w.stages(a, said), Next: w.next(a),
		Lines: w.lines(a), Checks: w.checks(a), Fasteners: w.fasteners(it), Holes: w.holes(a), WallGaps: w.wallGaps(a),
		Coats: it.Coats, CoatsNeed: a.coatsNeeded(), Findings: said, Cautions: w.cautions(s, a),
		Removed: it.Removed, Photos: it.Photos, Rules: houserules.Explain(s.Layers()...),
	}
	if s.Job != nil {
		v.JobID = s.Job.ID
	}
	if s.Room != nil {
		v.RoomName = s.Room.Name
		if v.AssignedTo == "" {
			v.AssignedTo = s.Room.AssignedTo
		}
	}
	w.draw(s, a, &v)
	v.Remarks = w.itemRemarks(it, v.Drawing)
	return v
}

// writer turns the rule book's keys and lengths into one reader's words.
type writer struct {
	catalog finding.Catalog
	style   length.Style
	// printed holds what one view has printed: a door's few gaps and sizes stand in most of
	// its derivations. Nil where little is printed.
	printed map[length.Length]string
	unit    *trim.Unit // whose sides are named as its kind has them; nil where no one unit is meant
}

func (w writer) term(key string) string { return w.catalog.Term(key) }

func (w writer) print(l length.Length) string {
	if s, ok := w.printed[l]; ok {
		return s
	}
	s := l.Print(w.style)
	if w.printed != nil {
		w.printed[l] = s
	}
	return s
}

func (w writer) rounded(r length.Rounding) length.Style {
	st := w.style
	st.Rounding = r
	return st
}

func (w writer) readings(a *assessment) []ReadingView {
	out := make([]ReadingView, 0, len(a.readings))
	for _, r := range a.readings {
		v := ReadingView{Name: r.spec.Name, Label: w.readingLabel(r), OfRoom: r.room, State: r.state, Required: r.spec.Required, Signed: r.spec.Signed, Angle: r.spec.Angle}
		if r.spec.Signed {
			v.Positive, v.Negative = w.term(r.spec.Positive), w.term(r.spec.Negative)
		}
		if r.current != nil {
			value := r.current.Value
			v.Value = &value
			if !r.spec.Angle {
				tape := value.Tape(w.style)
				v.Tape, v.Exact = &tape, value.Exact(w.style.Unit)
			}
		}
		for _, t := range r.takes {
			v.Takes = append(v.Takes, TakeView{Take: *t, Text: w.readingText(r.spec, t.Value), Counts: t == r.current})
		}
		out = append(out, v)
	}
	return out
}

// readingLabel names a reading; one of a wall is named with its wall.
func (w writer) readingLabel(r reading) string {
	if r.wall == 0 {
		return w.term(r.term())
	}
	return w.fill("label_"+string(r.quantity()), "wall", strconv.Itoa(r.wall), "stretch", strconv.Itoa(r.stretch))
}

// readingText prints one take: a length in the reader's unit, or an angle in degrees.
func (w writer) readingText(sp trim.ReadingSpec, v length.Length) string {
	if sp.Angle {
		return degrees(trim.Angle(v).Degrees())
	}
	return w.print(v)
}

func (w writer) cuts(a *assessment) []CutView {
	out := make([]CutView, len(a.cuts.Cuts))
	for i := range a.cuts.Cuts {
		c, v := &a.cuts.Cuts[i], &out[i]
		state, record := a.pieceState(*c)
		st := w.rounded(c.Rounding)
		*v = CutView{Cut: *c, Label: w.pieceLabel(w.sided(c.Piece)), Rip: w.rip(c), Stage: cutStage(*c), Tape: c.Value.Length.Tape(st),
			Exact: c.Value.Length.Exact(w.style.Unit), Explain: w.explain(c.Value), State: state, Record: record}
		v.Saw = make([]string, 0, len(c.Ends))
		for _, e := range c.Ends {
			v.Saw = append(v.Saw, w.saw(e))
		}
		if len(c.Marks) > 0 {
			v.Notes = make([]MarkView, 0, len(c.Marks))
		}
		for _, m := range c.Marks {
			v.Notes = append(v.Notes, MarkView{Label: w.term(m.Name) + ", " + w.term("from_"+m.From), Text: w.print(m.Value.Length), Explain: w.explain(m.Value)})
		}
		if record != nil {
			v.AsCut = w.print(record.AsCut)
		}
	}
	return out
}

// saw says one end's setting, of its angles those that are set: "square", "miter 45°", "bevel
// 45°", "cope, bevel 33.86°", "miter 31.62°, bevel 33.86°".
func (w writer) saw(e trim.End) string {
	bevel := w.term("bevel") + " " + degrees(e.Bevel)
	switch {
	case e.Miter == 0 && e.Bevel == 0:
		return w.term(e.Joint)
	case e.Miter != 0 && e.Bevel != 0:
		return w.term(e.Joint) + " " + degrees(e.Miter) + ", " + bevel
	case e.Miter != 0:
		return w.term(e.Joint) + " " + degrees(e.Miter)
	case e.Joint == "miter":
		return bevel
	}
	return w.term(e.Joint) + ", " + bevel
}

// degrees prints an angle to a hundredth, without needless zeros.
func degrees(d float64) string {
	s := strconv.FormatFloat(d, 'f', 2, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".") + "°"
}

// explain writes a derivation: the value, then each term with its sign.
func (w writer) explain(v derive.Value) Explanation {
	out := Explanation{Exact: v.Length, Basis: w.basis(v.Basis), Terms: make([]TermView, 0, len(v.Terms))}
	var line strings.Builder
	line.Grow(16 * (len(v.Terms) + 2))
	line.WriteString(w.print(v.Length))
	for i, t := range v.Terms {
		size, sign := t.Length, ""
		if size < 0 {
			size, sign = -size, "−"
		}
		label, text := w.term(w.sided(t.Name)), w.print(size)
		switch {
		case v.Formula != "":
		case len(v.Terms) == 1:
			line.WriteString(": ")
			line.WriteString(label)
		default:
			line.WriteString(joiner(i == 0, sign != ""))
			line.WriteString(text)
		}
		if sign != "" {
			text = sign + text
		}
		out.Terms = append(out.Terms, TermView{Label: label, Text: text, Value: t.Length, Origin: t.Origin, Source: w.term(originTerm(t.Origin))})
	}
	if v.Formula != "" {
		out.How = w.term(v.Formula)
		line.WriteString(": " + out.How)
	}
	out.Line = line.String()
	return out
}

// joiner is what stands before a term in a derivation's line.
func joiner(first, minus bool) string {
	switch {
	case first && minus:
		return " = −"
	case first:
		return " = "
	case minus:
		return " − "
	}
	return " + "
}

// originTerm is the catalog term of an origin, without making a string for each.
func originTerm(o derive.Origin) string {
	switch o {
	case derive.Reading:
		return "origin_reading"
	case derive.Unit:
		return "origin_unit"
	case derive.Rule:
		return "origin_rule"
	case derive.Geometry:
		return "origin_geometry"
	}
	return "origin_computed"
}

func (w writer) basis(key string) string {
	if key == "" {
		return ""
	}
	return w.term(key)
}

func (w writer) values(a *assessment) []ValueView {
	out := make([]ValueView, len(a.cuts.Values))
	for i := range a.cuts.Values {
		n := &a.cuts.Values[i]
		out[i] = ValueView{Name: n.Name, Label: w.term(w.sided(n.Name)), Value: n.Value.Length,
			Text: w.print(n.Value.Length), Explain: w.explain(n.Value)}
	}
	return out
}

// stages lists the item's stages; said are its findings in words, stops first.
func (w writer) stages(a *assessment, said []finding.Finding) []StageView {
	list := a.list
	out := make([]StageView, 0, len(list))
	for _, s := range list {
		v := StageView{Stage: s, Label: w.term("stage_" + string(s)), Status: a.status(s)}
		n := 0
		for i := range said {
			if said[i].Stage == string(s) {
				n++
			}
		}
		if n > 0 {
			v.Findings, v.Keys = make([]finding.Finding, 0, n), make([]string, 0, n)
		}
		for i := range said {
			if f := &said[i]; f.Stage == string(s) {
				v.Findings = append(v.Findings, *f)
				v.Keys = append(v.Keys, f.Key())
			}
		}
		if m, ok := a.item.Stages[s]; ok {
			v.Done = &m
		}
		out = append(out, v)
	}
	return out
}

// blocking is the finding a person should deal with first at a stage: a mistake before
// something that is only missing, and waiting last.
func (a *assessment) blocking(s stage.Stage) *finding.Finding {
	var best *finding.Finding
	rank := func(f *finding.Finding) int {
		switch {
		case !f.Wanted:
			return 0
		case f.ClearsAt == nil:
			return 1
		}
		return 2
	}
	for i := range a.findings {
		f := &a.findings[i]
		if f.Stage != string(s) || !f.Holds() {
			continue
		}
		if best == nil || rank(f) < rank(best) {
			best = f
		}
	}
	return best
}

// attention is the stage a person should look at: the first that is held, else the next.
func (a *assessment) attention() stage.Stage {
	next := a.next()
	for _, s := range a.list {
		if st := a.status(s); st == stage.Held || st == stage.Redone {
			return s
		}
		if s == next {
			break
		}
	}
	return next
}

func (w writer) next(a *assessment) *NextView {
	s := a.attention()
	if s == "" {
		return nil
	}
	v := &NextView{Stage: s}
	if f := a.blocking(s); f != nil {
		r := w.catalog.Render(*f, w.style)
		v.Sentence, v.About = r.Sentence, f.About
		if r.Remedy != "" {
			v.Sentence += " " + r.Remedy
		}
		return v
	}
	v.Sentence = w.term("ready_" + string(s))
	return v
}

func (w writer) lines(a *assessment) []LineView {
	var out []LineView
	for _, line := range lines {
		if target, st, has := a.gapTarget(line); has {
			out = append(out, LineView{Line: line, Label: w.term("line_" + line), Stage: st, Target: target, Text: w.print(target), Read: a.gapRead(line)})
		}
	}
	return out
}

func (w writer) checks(a *assessment) []CheckView {
	var out []CheckView
	for _, name := range a.item.checksFor() {
		out = append(out, CheckView{Check: name, Label: w.term("check_" + name), Answer: a.item.check(name)})
	}
	return out
}

func (w writer) fasteners(it *Item) []FastenerView {
	var out []FastenerView
	for _, f := range it.Fasteners {
		out = append(out, FastenerView{f, w.fastener(f.Fastener)})
	}
	return out
}

func (w writer) fastener(f finish.Fastener) string {
	return strconv.FormatInt(f.Count, 10) + " × " + w.term(string(f.Kind)) + " " + w.print(f.Length) + ", " + w.term(string(f.Where))
}

func (w writer) holes(a *assessment) []HoleView {
	var out []HoleView
	for _, h := range finish.HoleKindsOf(a.item.fastenersDriven()) {
		v := HoleView{Kind: h.Kind, Count: h.Count, Label: w.term("holes_" + string(h.Kind))}
		for _, t := range finish.TreatmentKinds() {
			if t == finish.LeftOpen {
				continue
			}
			fs := finish.CheckTreatment(h.Kind, t, a.item.Unit.Grade, true, true)
			v.Options = append(v.Options, TreatOption{With: t, Label: w.term("with_" + string(t)), Allowed: !finding.HasStop(fs)})
		}
		for i := range a.item.Treatments {
			if t := &a.item.Treatments[i]; t.Kind == h.Kind {
				v.Treated = t
				if t.With == finish.Filler {
					dry, _ := a.laid(t.CommandID, t.At, t.Used).ReadyAt(a.rules, finish.FillerDry, finish.FillerSand)
					v.SandAt = &dry
				}
			}
		}
		out = append(out, v)
	}
	return out
}

func (w writer) wallGaps(a *assessment) []WallGapView {
	var out []WallGapView
	for _, g := range a.item.WallGaps {
		v := WallGapView{WallGapEntry: g, Text: w.wallGap(g.Gap)}
		if g.Closing == finish.Caulked && g.Width > 0 {
			v.Need = w.sealantNeed(a, g.Width)
		}
		out = append(out, v)
	}
	return out
}

// sealantNeed says the class a joint wants and what it stands on.
func (w writer) sealantNeed(a *assessment, width length.Length) *SealantNeedView {
	j := a.joint(width)
	need, _ := finish.RequiredClass(j)
	f := finding.Finding{}.Text("class", need.Class.Text())
	if need.Movement == nil {
		return &SealantNeedView{need, w.say("need_by_level", f.Term("level", "level_"+string(a.level)))}
	}
	code := "need_by_climate"
	if need.Class == finish.NoClass {
		code = "need_by_climate_none"
	}
	fine := w.style // a joint moves by less than a tape is read to
	if fine.Unit == length.Inches {
		fine.Step = length.SixtyFourth
	}
	f = f.Text("movement", need.Movement.Length.Print(fine)).Len("width", width).Dec("share", need.Share, 0).Len("member", j.Member).
		Term("species", j.Species).Dec("low", need.Moisture.Low, 1).Dec("high", need.Moisture.High, 1).Term("place", "climate_of_"+a.climateFrom)
	return &SealantNeedView{need, w.say(code, f)}
}

func (w writer) wallGap(g finish.Gap) string {
	return w.term("edge_"+string(g.Edge)) + ", " + w.print(g.Width) + ": " + w.term("closing_"+string(g.Closing))
}

// findings lists every finding in words, stops first, then in stage order.
func (w writer) findings(a *assessment) []finding.Finding {
	out := bySeverity(a.findings)
	for i := range out {
		out[i] = w.catalog.Render(out[i], w.style)
	}
	return out
}

func bySeverity(fs []finding.Finding) []finding.Finding {
	if len(fs) == 0 {
		return nil
	}
	out := make([]finding.Finding, 0, len(fs))
	for rank := range 4 {
		for i := range fs {
			if severityRank(&fs[i]) == rank {
				out = append(out, fs[i])
			}
		}
	}
	return out
}

// severityRank puts mistakes first, then what is only still wanted.
func severityRank(f *finding.Finding) int {
	switch {
	case f.Wanted:
		return 1
	case f.Severity == finding.Warn:
		return 2
	case f.Severity == finding.Note:
		return 3
	}
	return 0
}

// cautions picks the safety cautions for the stage at hand. They defer to local code.
func (w writer) cautions(s Scope, a *assessment) []string {
	var keys []string
	switch a.attention() {
	case stage.Trimmed, stage.Cased:
		keys = append(keys, "caution_saw", "caution_dust")
	case stage.Nailed:
		keys = append(keys, "caution_nailer", "caution_wires")
	case stage.Filled:
		keys = append(keys, "caution_sanding")
	case stage.Caulked, stage.Painted:
		keys = append(keys, "caution_product")
	}
	if s.Job != nil && s.Job.HouseYear > 0 && s.Job.HouseYear < 1978 {
		keys = append(keys, "caution_lead_paint")
	}
	u := &s.Item.Unit
	if u.FireRated() {
		keys = append(keys, "caution_fire_door")
	}
	if u.Exit || u.Accessible {
		keys = append(keys, "caution_exit_door")
	}
	keys = append(keys, "caution_framing")
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = w.term(k)
	}
	return out
}
