package setup

import (
	"reflect"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Package is a set of trim choices a crew builds again and again: the casing of both faces,
// what jambs and stops are made of, the profiles that run along the walls, and the house rules
// that go with them. What it leaves open stays as it is.
type Package struct {
	Grade         trim.Grade       `json:"grade,omitempty" enum:"paint,stain"`
	CasingA       *trim.Casing     `json:"casing_a,omitempty"`
	CasingB       *trim.Casing     `json:"casing_b,omitempty"`
	JambThickness length.Length    `json:"jamb_thickness,omitempty"`
	HeadThickness length.Length    `json:"head_thickness,omitempty"`
	StopThickness length.Length    `json:"stop_thickness,omitempty"`
	Surround      trim.Surround    `json:"surround,omitempty" enum:"picture_frame,stool_apron"`
	Horn          length.Length    `json:"horn,omitempty"`
	StoolNosing   length.Length    `json:"stool_nosing,omitempty"`
	Prefinished   bool             `json:"prefinished,omitempty"`
	Runs          []joblog.RunSpec `json:"runs,omitempty" doc:"One of a kind: base, shoe, chair rail, crown"`
	Rules         houserules.Set   `json:"rules,omitempty"`
}

// PackageOf takes the trim choices of a room: of its first cased opening that is no window,
// its first window, and the first run of each kind. false where the room is not there or has
// nothing to take.
func PackageOf(st *joblog.State, room string) (Package, bool) {
	r := st.Rooms[room]
	if r == nil {
		return Package{}, false
	}
	p := Package{Rules: r.Rules}
	var door, window *joblog.Item
	has := map[trim.RunKind]bool{}
	for _, it := range itemsOf(st, room) {
		switch {
		case it.IsRun():
			if k := it.Run.Profile.Kind; !has[k] {
				has[k] = true
				p.Runs = append(p.Runs, *it.Run)
			}
		case it.Unit.Kind == trim.Window && window == nil:
			window = it
		case it.Unit.Kind != trim.Window && door == nil && it.CasingA != nil:
			door = it
		}
	}
	from := door
	if from == nil {
		from = window
	}
	if from != nil {
		u := from.Unit
		p.Grade, p.CasingA, p.CasingB, p.Prefinished = u.Grade, from.CasingA, from.CasingB, from.Prefinished
		if p.CasingB == nil {
			p.CasingB = p.CasingA
		}
		p.JambThickness, p.HeadThickness, p.StopThickness = u.JambThickness, u.HeadThickness, u.StopThickness
	}
	if window != nil {
		p.Surround, p.Horn, p.StoolNosing = window.Unit.Surround, window.Unit.Horn, window.Unit.StoolNosing
	}
	return p, from != nil || len(p.Runs) > 0
}

// On lays the package over what is to be built of an item. Sizes of the opening and what is
// its own (label, way out, hand) stay; a face without casing stays without.
func (p Package) On(s joblog.Spec) joblog.Spec {
	if s.Run != nil {
		for _, r := range p.Runs {
			if r.Profile.Kind == s.Run.Profile.Kind {
				run := r
				run.Corners, run.WallLayers = s.Run.Corners, s.Run.WallLayers
				s.Run = &run
			}
		}
		over(&s.Unit.Grade, p.Grade)
		return s
	}
	u := &s.Unit
	over(&u.Grade, p.Grade)
	if u.JambThickness != 0 {
		over(&u.JambThickness, p.JambThickness)
	}
	if u.HeadThickness != 0 {
		over(&u.HeadThickness, p.HeadThickness)
	}
	if u.StopThickness != 0 {
		over(&u.StopThickness, p.StopThickness)
	}
	if u.Kind == trim.Window {
		over(&u.Surround, p.Surround)
		over(&u.Horn, p.Horn)
		over(&u.StoolNosing, p.StoolNosing)
	}
	s.CasingA = cased(s.CasingA, p.CasingA)
	s.CasingB = cased(s.CasingB, p.CasingB)
	s.Prefinished = p.Prefinished
	return s
}

// cased keeps what is true of the place: flooring still to come on that face.
func cased(was, now *trim.Casing) *trim.Casing {
	if was == nil || now == nil {
		return was
	}
	c := *now
	c.FloorToCome = was.FloorToCome
	return &c
}

func over[T comparable](into *T, said T) {
	var unsaid T
	if said != unsaid {
		*into = said
	}
}

// Apply are the commands that lay the package over a room, or over every room of a job with an
// empty room. Items that already are so are left alone.
func (p Package) Apply(st *joblog.State, room string, mint func(string) string) []joblog.Command {
	m := maker{job: st.Job.ID, mint: mint}
	if room == "" && len(p.Rules) > 0 {
		m.add(joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: merged(st.Job.Rules, p.Rules)}})
	}
	for _, r := range roomsOf(st) {
		if room != "" && room != r.ID {
			continue
		}
		if room != "" && len(p.Rules) > 0 {
			m.add(joblog.Command{Kind: joblog.SetRulesKind, RoomID: r.ID, SetRules: &joblog.SetRules{Set: merged(r.Rules, p.Rules)}})
		}
		for _, it := range itemsOf(st, r.ID) {
			now := p.On(it.Spec)
			if reflect.DeepEqual(now, it.Spec) {
				continue
			}
			m.add(joblog.Command{Kind: joblog.SetItemKind, ItemID: it.ID, SetItem: &joblog.SetItem{Name: it.Name, Spec: now}})
		}
	}
	return m.out
}

func merged(was, over houserules.Set) houserules.Set {
	out := houserules.Set{}
	for k, v := range was {
		out[k] = v
	}
	for k, v := range over {
		out[k] = v
	}
	return out
}
