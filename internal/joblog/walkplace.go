package joblog

import (
	"longpoint/internal/finding"
	"longpoint/internal/trim"
	"longpoint/internal/walk"
)

// walkPlace says in plain words where an opening stands in its room: "left of the window". Empty where the room's walls do
// not tell.
func (w writer) walkPlace(room *Room, it *Item, items []*Item) string {
	if room == nil || room.Layout == nil || it.IsRun() {
		return ""
	}
	byID := map[string]*Item{}
	kinds := map[trim.Kind]int{}
	for _, x := range items {
		byID[x.ID] = x
		kinds[x.Unit.Kind]++
	}
	wayIn := ""
	for _, f := range room.Layout.Features {
		if f.Main {
			wayIn = f.ID
		}
	}
	if it.ID == wayIn {
		return w.say("place_way_in", finding.Finding{})
	}
	p := walk.PlaceOf(room.Layout.Walls, room.Layout.Features, it.ID, func(id string) bool { return byID[id] != nil })
	if p.Where == walk.Nowhere {
		return ""
	}
	code, one, other := "place_"+string(p.Where), byID[p.Of[0]], byID[p.Of[1]]
	if across := p.Where == walk.Opposite || p.Where == walk.LeftWall || p.Where == walk.RightWall; across && one.ID == wayIn {
		return w.say(code+"_coming_in", finding.Finding{})
	}
	// What there is one of is told by what it is, where a homeowner would call it so; the rest by their names.
	named := func(x *Item) bool { return x != nil && (kinds[x.Unit.Kind] > 1 || x.Unit.Kind == trim.CasedOpening) }
	if named(one) || named(other) {
		f := finding.Finding{}.Text("one", one.Name)
		if other != nil {
			f = f.Text("other", other.Name)
		}
		return w.say(code+"_named", f)
	}
	f := finding.Finding{}.Term("one", one.kindTerm())
	if other != nil {
		f = f.Term("other", other.kindTerm())
	}
	return w.say(code, f)
}
