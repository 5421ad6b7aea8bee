package logbook

import (
	"strconv"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
)

// Names are what ids stand for: people, rooms, items.
type Names map[string]string

// NamesOf are the names of a job's rooms and items.
func NamesOf(st *joblog.State) (names Names, roomOf map[string]string) {
	names, roomOf = Names{}, map[string]string{}
	for _, r := range st.Rooms {
		names[r.ID] = r.Name
	}
	for _, it := range st.Items {
		names[it.ID], roomOf[it.ID] = it.Name, it.RoomID
	}
	return names, roomOf
}

// Line is one entry as it is handed out: what it says in words, and the command as it was given.
type Line struct {
	Seq      int64          `json:"seq"`
	DidAt    time.Time      `json:"did_at"`
	LoggedAt time.Time      `json:"logged_at"`
	PersonID string         `json:"person_id"`
	Person   string         `json:"person,omitempty"`
	Role     joblog.Role    `json:"role"`
	RoomID   string         `json:"room_id,omitempty"`
	Room     string         `json:"room,omitempty"`
	ItemID   string         `json:"item_id,omitempty"`
	Item     string         `json:"item,omitempty"`
	Stage    stage.Stage    `json:"stage,omitempty"`
	Kind     joblog.Kind    `json:"kind"`
	Sentence string         `json:"sentence"`
	Device   string         `json:"device,omitempty"`
	RuleBook string         `json:"rule_book"`
	Command  joblog.Command `json:"command"`
}

// View puts an entry in words, and says by name whom something was given to: an entry by itself has only an id.
func View(e joblog.Entry, names Names, r joblog.Reader) joblog.EntryView {
	v := joblog.ViewEntry(e, r)
	if c := e.Command; c.Assign != nil && names[c.Assign.PersonID] != "" {
		f := finding.New("log_assign_to", finding.Note).Text("name", names[c.Assign.PersonID])
		v.Sentence = joblog.Words(r.Language).Render(f, r.Style).Sentence
	}
	return v
}

// LineOf puts an entry in words and names what it is about.
func LineOf(e joblog.Entry, names Names, roomOf map[string]string, r joblog.Reader) Line {
	v := View(e, names, r)
	room := v.RoomID
	if of := roomOf[v.ItemID]; of != "" {
		room = of
	}
	return Line{Seq: e.Seq, DidAt: e.DidAt, LoggedAt: e.LoggedAt, PersonID: e.PersonID, Person: names[e.PersonID], Role: e.Role,
		RoomID: room, Room: names[room], ItemID: v.ItemID, Item: names[v.ItemID], Stage: StageOf(e.Command), Kind: v.Kind,
		Sentence: v.Sentence, Device: v.Device, RuleBook: e.RuleBook, Command: e.Command}
}

// Columns are the names over a log's table. They are names of fields, the same in every language.
var Columns = []string{"seq", "did_at", "logged_at", "person", "role", "room", "item", "stage", "kind", "sentence", "device", "person_id", "room_id", "item_id"}

// Cells are a line's cells under Columns.
func (l Line) Cells() []string {
	return []string{strconv.FormatInt(l.Seq, 10), l.DidAt.UTC().Format(time.RFC3339), l.LoggedAt.UTC().Format(time.RFC3339), l.Person, string(l.Role), l.Room, l.Item,
		string(l.Stage), string(l.Kind), l.Sentence, l.Device, l.PersonID, l.RoomID, l.ItemID}
}
