package joblog

import (
	"strings"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// RunSpec is what is to run along a room's walls. The walls are the room's, read once for
// every run in it.
type RunSpec struct {
	Profile    trim.Profile      `json:"profile"`
	Corners    trim.Corners      `json:"corners"`
	Along      []int             `json:"along,omitempty" maxItems:"200" doc:"Walls the run goes along, counted from 1; all of them when not said"`
	Registers  trim.RegisterRule `json:"registers,omitempty" enum:"cut_round,run_over" doc:"What the run does at registers"`
	Material   string            `json:"material,omitempty" enum:"wood,mdf"`
	Species    string            `json:"species,omitempty" maxLength:"40" doc:"Wood, as the rule book names it; for how far it moves"`
	Grain      string            `json:"grain,omitempty" enum:"flat_sawn,quarter_sawn"`
	WallLayers length.Length     `json:"wall_layers,omitempty" doc:"Board and plaster over the studs, nanometers; zero when not known"`
}

// SetWalls lays out a room's walls and what stands on them. Their lengths, corners, bows
// and studs are readings of the room, taken afterwards; a length given here is not used.
type SetWalls struct {
	Walls    trim.Room      `json:"walls"`
	Features []trim.Feature `json:"features,omitempty" maxItems:"400"`
	Was      []int          `json:"was,omitempty" maxItems:"200" doc:"For each wall the number it had in the layout before, zero for a new one; when not said, every wall keeps its number"`
}

// Layout is a room's walls with the readings of them.
type Layout struct {
	SetWalls
	Takes  []Take            `json:"takes,omitempty"`
	Chosen map[string]Choice `json:"chosen,omitempty"`
	Keys   *WallKeys         `json:"keys,omitempty" doc:"None while every wall is known by its number"`
}

// IsRun reports whether the item is a wall run; the others are openings.
func (it *Item) IsRun() bool { return it.Unit.Kind == trim.WallRun && it.Run != nil }

// isShoe reports whether it runs along the foot of a base, which it is nailed into.
func (it *Item) isShoe() bool { return it.IsRun() && it.Run.Profile.Kind == trim.Shoe }

// kindTerm is the catalog term of what an item is.
func (sp Spec) kindTerm() string {
	if sp.Unit.Kind == trim.WallRun && sp.Run != nil {
		return "kind_run_" + string(sp.Run.Profile.Kind)
	}
	return "kind_" + string(sp.Unit.Kind)
}

// applyRoom folds an entry about a room's walls.
func (r *Room) applyWalls(e Entry) {
	c := e.Command
	if c.SetWalls != nil {
		if r.Layout == nil {
			r.Layout = &Layout{}
		}
		r.Layout.lay(*c.SetWalls)
		return
	}
	l := r.Layout
	if l == nil {
		return
	}
	stamp := Stamp{CommandID: c.ID, Seq: e.Seq, PersonID: e.PersonID, At: e.DidAt}
	switch {
	case c.TakeReading != nil:
		b := c.TakeReading
		l.Takes = append(l.Takes, Take{Stamp: stamp, Reading: b.Reading, Value: b.Value, Tool: b.Tool})
	case c.ChooseTake != nil:
		if l.Chosen == nil {
			l.Chosen = map[string]Choice{}
		}
		l.Chosen[c.ChooseTake.Reading] = Choice{TakeID: c.ChooseTake.TakeID, Seq: e.Seq}
	case c.Withdraw != nil:
		l.withdraw(c.Withdraw.CommandID)
	}
}

// layout is the room's walls, or none.
func (s Scope) layout() *Layout {
	if s.Room == nil || s.Room.Layout == nil {
		return &Layout{}
	}
	return s.Room.Layout
}

// runSpecs lists what a room's walls, and a run along them, ask to be read. Stretches taped
// directly are the run's own, since they lie between the stops of its own band of wall.
func runSpecs(in trim.RunInput) []reading {
	asked := trim.RunReadings(in)
	out := make([]reading, 0, len(asked))
	for i := range asked {
		r := &asked[i]
		sp := trim.ReadingSpec{Name: r.Name, Required: r.Required, Angle: r.Quantity == trim.ReadAngle,
			Min: length.Length(r.Least), Max: length.Length(r.Most)}
		if r.Quantity == trim.ReadBow {
			sp.Signed, sp.Positive, sp.Negative = true, "bows_into_room", "bows_out"
		}
		out = append(out, reading{spec: sp, state: ReadingMissing, room: r.Quantity != trim.ReadTaped,
			label: "read_" + string(r.Quantity), wall: r.Wall, stretch: r.Stretch})
	}
	return out
}

// runInput lays out a run without any reading.
func (s Scope) runInput(rules houserules.Rules) trim.RunInput {
	l := s.layout()
	in := trim.RunInput{Room: l.Walls, Features: l.Features, Rules: rules}
	in.Room.Walls = append([]trim.Wall(nil), l.Walls.Walls...)
	for i := range in.Room.Walls {
		w := &in.Room.Walls[i]
		w.Length, w.Bow, w.Stud = 0, 0, nil
	}
	if run, gone := s.runNow(); run != nil {
		in.Profile, in.Corners, in.Registers, in.Along = run.Profile, run.Corners, run.Registers, run.Along
		if gone.all {
			nowhereAlong(&in)
		}
	}
	return in
}

// runReadings settles the readings of a run: the room's of its walls and the run's own.
func (s Scope) runReadings(in trim.RunInput, rules houserules.Rules) []reading {
	out := runSpecs(in)
	l := s.layout()
	collect(out, l.Takes, true)
	if s.Item != nil {
		collect(out, s.Item.Takes, false)
	}
	for i := range out {
		chosen := l.Chosen[out[i].spec.Name]
		if !out[i].room && s.Item != nil {
			chosen = s.Item.Chosen[out[i].spec.Name]
		}
		out[i].settle(chosen, rules.TakeAgreement)
	}
	return out
}

// quantity is what a reading of a wall measures.
func (r *reading) quantity() trim.RunQuantity {
	return trim.RunQuantity(strings.TrimPrefix(r.label, "read_"))
}

// few is how many pairs of take and reading are sooner compared than looked up.
const few = 1000

// collect hands each take to its reading.
func collect(rs []reading, takes []Take, room bool) {
	if len(takes)*len(rs) <= few {
		for i := range takes {
			for at := range rs {
				if rs[at].room == room && rs[at].spec.Name == takes[i].Reading {
					rs[at].takes = append(rs[at].takes, &takes[i])
				}
			}
		}
		return
	}
	index := make(map[string]int, len(rs))
	for i := range rs {
		if rs[i].room == room {
			index[rs[i].spec.Name] = i
		}
	}
	for i := range takes {
		if at, ok := index[takes[i].Reading]; ok {
			rs[at].takes = append(rs[at].takes, &takes[i])
		}
	}
}

// withReadings writes the readings that count into the run.
func withReadings(in trim.RunInput, rs []reading) trim.RunInput {
	for _, r := range rs {
		if r.current == nil {
			continue
		}
		v, w := r.current.Value, &in.Room.Walls[r.wall-1]
		switch r.label {
		case "read_length":
			w.Length = v
		case "read_angle":
			w.Angle = trim.Angle(v)
		case "read_bow":
			w.Bow = v
		case "read_stud":
			w.Stud = &v
		case "read_taped":
			in.Taped = append(in.Taped, trim.TapedStretch{Wall: r.wall, Stretch: r.stretch, Length: v})
		}
	}
	return in
}

// assessRun works a wall run out into the same shape as an opening.
func (a *assessment) assessRun(s Scope) {
	in := s.runInput(a.rules)
	a.readings = s.runReadings(in, a.rules)
	in = withReadings(in, a.readings)
	out := trim.Run(in)
	a.runCuts = &out
	a.cuts = trim.OpeningCuts{Cuts: out.Cuts, Values: out.Values}
	a.add(readingFindings(a.readings)...)
	if len(in.Room.Walls) == 0 {
		a.add(finding.New("walls_not_laid_out", finding.Stop).AsWanted().On(string(stage.Measured)).At("walls"))
		return
	}
	_, gone := s.runNow()
	a.add(gone.findings()...)
	for _, f := range out.Findings {
		if f.Code == "wall_length_missing" || gone.all && f.Code == "run_wall_unknown" {
			continue // said as a reading that is missing, and just now
		}
		a.add(f)
	}
}

// checkWalls refuses a layout no room has.
func checkWalls(b SetWalls) []finding.Finding {
	if b.badWas() {
		return refuse("command_incomplete")
	}
	var out []finding.Finding
	for _, f := range trim.CheckRoom(b.Walls) {
		if !f.Wanted {
			out = append(out, f)
		}
	}
	for i, ft := range b.Features {
		if ft.Wall < 1 || ft.Wall > len(b.Walls.Walls) {
			out = append(out, finding.New("feature_on_no_wall", finding.Stop).Num("feature", int64(i+1)).Num("wall", int64(ft.Wall)))
			continue
		}
		w := b.Walls.Walls[ft.Wall-1]
		w.Length = 0
		out = append(out, trim.CheckFeature(i+1, w, ft)...)
	}
	return out
}

// checkRunTake refuses a reading of a wall or stretch that cannot be.
func checkRunTake(s Scope, t TakeReading) []finding.Finding {
	rules := s.Rules()
	in := s.runInput(rules)
	in = withReadings(in, s.runReadings(in, rules))
	if s.Item == nil && strings.Contains(t.Reading, "_stretch_") {
		return []finding.Finding{finding.New("reading_unknown", finding.Stop).Text("reading", strings.ReplaceAll(t.Reading, "_", " "))}
	}
	if s.Item != nil && !strings.Contains(t.Reading, "_stretch_") {
		for _, r := range trim.RunReadings(in) {
			if r.Name == t.Reading {
				return []finding.Finding{finding.New("reading_of_room", finding.Stop).At(r.Name).Term("reading", "read_"+string(r.Quantity))}
			}
		}
	}
	return trim.CheckRunReading(in, t.Reading, int64(t.Value))
}

// checkRunSpec judges a run's profile and grade.
func checkRunSpec(sp Spec) []finding.Finding {
	switch {
	case sp.Run == nil:
		return refuse("command_incomplete")
	case sp.Unit.Grade != trim.Paint && sp.Unit.Grade != trim.Stain:
		return []finding.Finding{finding.New("choice_bad", finding.Stop).Term("field", "field_grade").Text("value", string(sp.Unit.Grade))}
	case sp.Run.WallLayers < 0 || sp.Run.WallLayers > 4*length.Inch:
		return []finding.Finding{finding.New("as_cut_impossible", finding.Stop).Term("piece", "wall_layers").Len("value", sp.Run.WallLayers)}
	}
	fs := append(trim.CheckProfile(sp.Run.Profile), trim.CheckAlong(sp.Run.Along)...)
	return append(fs, checkWood(sp.Run.Species, sp.Run.Grain)...)
}
