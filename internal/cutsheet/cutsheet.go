// Package cutsheet works out the cuts of one opening from its readings alone, with no job
// and no log: the calculator of the command line and of the HTTP API. Both speak the JSON
// of this package. The numbers are the rule book's; nothing is computed here.
package cutsheet

import (
	"longpoint/internal/drawing"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Opening is an opening as specified and as taped. An empty kind is a door and an empty
// grade is paint.
type Opening struct {
	trim.OpeningInput
	Rules houserules.Set `json:"rules,omitempty" doc:"House rules other than the built-in ones, by key"`
}

// Sheet is what there is to cut, and what the rules have to say about it. Cuts whose
// readings are missing are left out; a finding says which reading is wanted.
type Sheet struct {
	RuleBook string                 `json:"rule_book" doc:"Version of the rules"`
	Unit     length.Unit            `json:"unit" enum:"in,mm" doc:"Unit lengths are printed in"`
	Cuts     []joblog.CutView       `json:"cuts"`
	Values   []joblog.ValueView     `json:"values"`
	Findings []finding.Finding      `json:"findings" doc:"Stops first"`
	Cautions []string               `json:"cautions"`
	Rules    []houserules.Effective `json:"rules" doc:"House rules in force and where each came from"`
	Drawing  drawing.Drawing        `json:"drawing"`
}

// Reader is for whom a sheet is printed.
type Reader struct {
	Language string
	Style    length.Style
}

// Work makes the sheet. When something given cannot be, there is no sheet and refused says
// what, in words; a stop that the sheet itself shows is no refusal.
func Work(req Opening, r Reader) (sheet Sheet, refused []finding.Finding) {
	words := joblog.Words(r.Language)
	if req.Unit.Kind == "" {
		req.Unit.Kind = trim.Door
	}
	if req.Unit.Grade == "" {
		req.Unit.Grade = trim.Paint
	}
	rules, bad := houserules.Resolve(houserules.Layer{Origin: houserules.Company, Set: req.Rules})
	said := ruleFindings(bad)
	said = append(said, checkInput(req.OpeningInput)...)
	for _, f := range words.RenderAll(said, r.Style) {
		if f.Holds() && !f.Wanted { // what is only not given yet is a finding on the sheet
			refused = append(refused, f)
		}
	}
	if len(refused) > 0 {
		return Sheet{}, refused
	}
	in := req.OpeningInput
	in.Rules = rules
	cuts := trim.Opening(in)

	item := joblog.Item{Spec: joblog.Spec{Unit: req.Unit, CasingA: req.CasingA, CasingB: req.CasingB}}
	for _, name := range given(req.Readings) {
		item.Takes = append(item.Takes, joblog.Take{Stamp: joblog.Stamp{CommandID: name}, Reading: name, Value: *req.Readings.Get(name)})
	}
	view := joblog.ViewItem(joblog.Scope{Company: req.Rules, Item: &item}, joblog.Reader{Language: r.Language, Style: r.Style})
	view.Drawing.Shapes = orEmpty(view.Drawing.Shapes)
	return Sheet{
		RuleBook: joblog.RuleBook,
		Unit:     view.Unit,
		Cuts:     orEmpty(view.Cuts),
		Values:   orEmpty(view.Values),
		Findings: orEmpty(words.RenderAll(stopsFirst(said, cuts.Findings), r.Style)),
		Cautions: append([]string{words.Term("caution_saw"), words.Term("caution_dust")}, view.Cautions...),
		Rules:    view.Rules,
		Drawing:  view.Drawing,
	}, nil
}

// checkInput says what cannot be, and what can but is odd.
func checkInput(in trim.OpeningInput) []finding.Finding {
	said := trim.CheckUnit(in.Unit)
	for _, c := range []*trim.Casing{in.CasingA, in.CasingB} {
		if c != nil {
			said = append(said, trim.CheckCasing(*c)...)
		}
	}
	takes := map[string]bool{}
	for _, sp := range trim.ReadingSpecs(in.Unit) {
		takes[sp.Name] = true
	}
	for _, name := range given(in.Readings) {
		if !takes[name] {
			said = append(said, finding.New("reading_unknown", finding.Stop).At(name).Term("reading", name))
			continue
		}
		said = append(said, trim.CheckReading(in.Unit, in.Readings, name, *in.Readings.Get(name))...)
	}
	return said
}

func ruleFindings(bad []houserules.Rejection) []finding.Finding {
	var out []finding.Finding
	for _, r := range bad {
		f := finding.New("rule_unknown", finding.Stop).Text("rule", r.Key)
		if r.Known {
			f = finding.New("rule_out_of_range", finding.Stop).Term("rule", r.Key)
			if sp, _ := houserules.Find(r.Key); sp.Kind == houserules.Length {
				f = f.Len("least", length.Length(r.Min)).Len("most", length.Length(r.Max))
			} else {
				f = f.Num("least", r.Min).Num("most", r.Max)
			}
		}
		out = append(out, f.At(r.Key))
	}
	return out
}

// given names the readings that were taken, in the order a person walks them.
func given(r trim.Readings) []string {
	var out []string
	seen := map[string]bool{}
	for _, u := range []trim.Unit{{Kind: trim.Door}, {Kind: trim.Window}} {
		for _, sp := range trim.ReadingSpecs(u) {
			if !seen[sp.Name] && r.Get(sp.Name) != nil {
				out = append(out, sp.Name)
			}
			seen[sp.Name] = true
		}
	}
	return out
}

// stopsFirst lists each finding once, though both the door and the geometry may have it.
func stopsFirst(said, worked []finding.Finding) []finding.Finding {
	out := make([]finding.Finding, 0, len(said)+len(worked))
	seen := map[string]bool{}
	for _, rank := range []finding.Severity{finding.Stop, finding.Warn, finding.Note} {
		for _, f := range append(said[:len(said):len(said)], worked...) {
			if f.Severity == rank && !seen[f.Key()] {
				seen[f.Key()] = true
				out = append(out, f)
			}
		}
	}
	return out
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
