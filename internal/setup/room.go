package setup

import (
	"strings"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/trim"
)

// Room is a room as it was set up: its walls, openings and runs and how they are to be built,
// its house rules and climate. Readings, work, remarks and people stay with the room they
// belong to.
type Room struct {
	Name    string           `json:"name"`
	Level   joblog.Level     `json:"level"`
	Rules   houserules.Set   `json:"rules,omitempty"`
	Climate *finish.Climate  `json:"climate,omitempty"`
	Walls   *joblog.SetWalls `json:"walls,omitempty"`
	Items   []Item           `json:"items,omitempty"`
}

// Item is an opening or a run of such a room. Key is what the room's walls name it by.
type Item struct {
	Key   string         `json:"key"`
	Name  string         `json:"name"`
	Spec  joblog.Spec    `json:"spec"`
	Rules houserules.Set `json:"rules,omitempty"`
}

// RoomOf takes a room of a job as it was set up; false where it is not there.
func RoomOf(st *joblog.State, id string) (Room, bool) {
	r := st.Rooms[id]
	if r == nil {
		return Room{}, false
	}
	out := Room{Name: r.Name, Level: r.Level, Rules: r.Rules, Climate: r.Climate}
	if r.Layout != nil {
		walls := r.Layout.SetWalls
		out.Walls = &walls
	}
	for _, it := range itemsOf(st, id) {
		out.Items = append(out.Items, Item{Key: it.ID, Name: it.Name, Spec: joblog.Scope{Room: r, Item: it}.SpecNow(), Rules: it.Rules})
	}
	return out, true
}

// itemsOf lists the items of a room that are on the job, in the order they were added.
func itemsOf(st *joblog.State, room string) []*joblog.Item {
	var out []*joblog.Item
	for _, it := range st.Items {
		if it.RoomID != room || it.Removed != nil {
			continue
		}
		at := len(out)
		out = append(out, it)
		for ; at > 0 && out[at-1].AddedSeq > it.AddedSeq; at-- {
			out[at] = out[at-1]
		}
		out[at] = it
	}
	return out
}

// roomsOf lists the rooms of a job in the order they were added.
func roomsOf(st *joblog.State) []*joblog.Room {
	var out []*joblog.Room
	for _, r := range st.Rooms {
		at := len(out)
		out = append(out, r)
		for ; at > 0 && out[at-1].AddedSeq > r.AddedSeq; at-- {
			out[at] = out[at-1]
		}
		out[at] = r
	}
	return out
}

// RoomsOf takes one room, or every room of the job with an empty id.
func RoomsOf(st *joblog.State, id string) []Room {
	var out []Room
	for _, r := range roomsOf(st) {
		if id == "" || id == r.ID {
			room, _ := RoomOf(st, r.ID)
			out = append(out, room)
		}
	}
	return out
}

// Copies are the commands that add rooms to a job. Where there is one room it is called name;
// of several each has name before its own. An empty name leaves them as they are called, an
// empty level where they are. An item that has its room's name in front takes the new one.
func Copies(rooms []Room, job, name string, level joblog.Level, mint func(string) string) []joblog.Command {
	m := maker{job: job, mint: mint}
	for i, r := range rooms {
		called := r.Name
		switch {
		case name == "":
		case len(rooms) == 1:
			called = name
		default:
			called = name + " " + r.Name
		}
		if level != "" {
			r.Level = level
		}
		m.room(r, called, number(i))
	}
	return m.out
}

func (m *maker) room(r Room, called, at string) {
	id := m.mint("room " + at)
	m.add(joblog.Command{Kind: joblog.AddRoomKind, RoomID: id, AddRoom: &joblog.AddRoom{Name: called, Level: r.Level}})
	if len(r.Rules) > 0 {
		m.add(joblog.Command{Kind: joblog.SetRulesKind, RoomID: id, SetRules: &joblog.SetRules{Set: r.Rules}})
	}
	if r.Climate != nil {
		m.add(joblog.Command{Kind: joblog.SetClimateKind, RoomID: id, SetClimate: &joblog.SetClimate{Climate: r.Climate}})
	}
	ids := map[string]string{}
	for i, it := range r.Items {
		ids[it.Key] = m.mint("item " + at + " " + number(i))
	}
	if r.Walls != nil {
		walls := *r.Walls
		walls.Features = append([]trim.Feature(nil), walls.Features...)
		for i, f := range walls.Features {
			if now, ok := ids[f.ID]; ok {
				walls.Features[i].ID = now
			}
		}
		m.add(joblog.Command{Kind: joblog.SetWallsKind, RoomID: id, SetWalls: &walls})
	}
	for _, it := range r.Items {
		name := it.Name
		if rest, ok := strings.CutPrefix(name, r.Name); ok {
			name = called + rest
		}
		m.add(joblog.Command{Kind: joblog.AddItemKind, RoomID: id, ItemID: ids[it.Key], AddItem: &joblog.AddItem{Name: name, Spec: it.Spec}})
		if len(it.Rules) > 0 {
			m.add(joblog.Command{Kind: joblog.SetRulesKind, ItemID: ids[it.Key], SetRules: &joblog.SetRules{Set: it.Rules}})
		}
	}
}
