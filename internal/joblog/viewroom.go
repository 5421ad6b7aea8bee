package joblog

import (
	"longpoint/internal/drawing"
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// RoomPlanView is a room laid out: its plan, what its walls ask to be read, and how well
// they close.
type RoomPlanView struct {
	Drawing   drawing.Drawing   `json:"drawing"`
	Readings  []ReadingView     `json:"readings" doc:"Of the walls, in walking order; taken with the room's id and no item"`
	Known     bool              `json:"known" doc:"Every wall's length counts"`
	Closes    bool              `json:"closes" doc:"The walk ends where it began, within what the house rules allow; false while a length is wanting"`
	Perimeter string            `json:"perimeter,omitempty" doc:"All round, once known"`
	OpenBy    string            `json:"open_by,omitempty" doc:"How far the walk ends from where it began, when that is not nothing"`
	Allowed   string            `json:"allowed,omitempty" doc:"How far it may"`
	Findings  []finding.Finding `json:"findings,omitempty" doc:"What the rules say of the walls, stops first"`
}

// roomPlan lays a room out with its items on it; nil where no wall has been laid out.
func (w writer) roomPlan(s Scope, items []PoleView) *RoomPlanView {
	if s.Room == nil || s.Room.Layout == nil || len(s.Room.Layout.Walls.Walls) == 0 {
		return nil
	}
	s.Item = nil
	rules := s.Rules()
	in := s.runInput(rules)
	rs := make([]reading, 0, 4*len(in.Room.Walls))
	for _, r := range s.runReadings(in, rules) {
		if r.room {
			rs = append(rs, r)
		}
	}
	in = withReadings(in, rs)
	v := &RoomPlanView{Readings: w.readings(&assessment{readings: rs}), Known: true}
	for _, r := range rs {
		v.Known = v.Known && (!r.spec.Required || r.current != nil)
	}
	fs := readingFindings(rs)
	plan, said := trim.PlanRoom(in.Room, rules)
	for _, f := range said {
		if f.Code != "wall_length_missing" {
			fs = append(fs, f)
		}
	}
	if plan != nil {
		v.Closes, v.Perimeter = plan.Closes && v.Known, w.print(plan.Perimeter.Length)
		if plan.ClosingError.Length > 0 {
			v.OpenBy, v.Allowed = w.print(plan.ClosingError.Length), w.print(plan.Allowed.Length)
		}
	}
	for i := range fs {
		v.Findings = append(v.Findings, w.catalog.Render(fs[i], w.style))
	}
	v.Findings = bySeverity(v.Findings)

	scene := drawing.RoomScene{Walls: in.Room, Features: in.Features,
		Scene: drawing.Scene{Name: s.Room.Name, Rules: rules, Term: w.term, Print: w.print, Readings: w.readingMarks(rs, v.Readings)}}
	for _, p := range items {
		it := drawing.PlanItem{Key: p.ID, Name: p.Name, Says: p.Sentence, Feature: p.ID}
		for _, m := range p.Marks {
			it.Pole = append(it.Pole, string(m.Status))
		}
		scene.Items = append(scene.Items, it)
	}
	v.Drawing = drawing.Room(scene)
	return v
}

// readingMarks is readings of walls as a plan writes them.
func (w writer) readingMarks(rs []reading, vs []ReadingView) []drawing.ReadingMark {
	out := make([]drawing.ReadingMark, 0, len(rs))
	for i := range rs {
		m, _ := w.readingMark(&rs[i], &vs[i])
		out = append(out, m)
	}
	return out
}

// readingMark writes one reading and the value it is drawn by, the latest where takes disagree.
func (w writer) readingMark(r *reading, v *ReadingView) (drawing.ReadingMark, *length.Length) {
	m := drawing.ReadingMark{Spec: r.spec, Label: v.Label, State: string(r.state), Wall: r.wall, Stretch: r.stretch}
	if r.wall > 0 {
		m.Quantity = r.quantity()
	}
	if len(r.takes) == 0 {
		return m, nil
	}
	value := r.takes[len(r.takes)-1].Value
	if r.current != nil {
		value = r.current.Value
	}
	m.Text = w.readingText(r.spec, value.Abs())
	return m, &value
}
