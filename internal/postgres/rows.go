package postgres

import (
	"bytes"
	"encoding/json"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// The rows of the projections. A row's JSON has the names of its columns: that is how many
// rows reach the server in one parameter, how two rows are compared, and how a difference
// is printed.

type jobRow struct {
	Name      string          `json:"name"`
	NextSeq   int64           `json:"next_seq"`
	ChangedAt time.Time       `json:"changed_at"`
	State     json.RawMessage `json:"state"`
}

func (r jobRow) key() string { return "" }

type roomRow struct {
	RoomID     string          `json:"room_id"`
	Name       string          `json:"name"`
	Level      string          `json:"level"`
	AssignedTo *string         `json:"assigned_to"`
	AddedSeq   int64           `json:"added_seq"`
	State      json.RawMessage `json:"state"`
}

func (r roomRow) key() string { return r.RoomID }

func newRoomRow(x *joblog.Room) (roomRow, error) {
	state, err := encode("a room", x)
	return roomRow{RoomID: x.ID, Name: x.Name, Level: string(x.Level), AssignedTo: orNull(x.AssignedTo),
		AddedSeq: x.AddedSeq, State: state}, err
}

type itemRow struct {
	ItemID      string          `json:"item_id"`
	RoomID      string          `json:"room_id"`
	Name        string          `json:"name"`
	Kind        string          `json:"kind"`
	AssignedTo  *string         `json:"assigned_to"`
	AddedSeq    int64           `json:"added_seq"`
	ThroughSeq  int64           `json:"through_seq"`
	ProjectedAt time.Time       `json:"projected_at"`
	State       json.RawMessage `json:"state"`
}

func (r itemRow) key() string { return r.ItemID }

func newItemRow(x *joblog.Item, at time.Time) (itemRow, error) {
	state, err := encode("an item", x)
	return itemRow{ItemID: x.ID, RoomID: x.RoomID, Name: x.Name, Kind: string(x.Unit.Kind), AssignedTo: orNull(x.AssignedTo),
		AddedSeq: x.AddedSeq, ThroughSeq: x.ThroughSeq, ProjectedAt: at.UTC(), State: state}, err
}

type jobPersonRow struct {
	PersonID string `json:"person_id"`
	Present  bool   `json:"present"`
}

func (r jobPersonRow) key() string { return r.PersonID }

type walkRow struct {
	WalkID  string          `json:"walk_id"`
	GuestID string          `json:"guest_id"`
	State   json.RawMessage `json:"state"`
}

func (r walkRow) key() string { return r.WalkID }

func newWalkRow(x *joblog.Walk) (walkRow, error) {
	state, err := encode("a walkthrough", x)
	return walkRow{WalkID: x.ID, GuestID: x.GuestID, State: state}, err
}

type takeRow struct {
	ItemID   string    `json:"item_id"`
	TakeID   string    `json:"take_id"`
	Seq      int64     `json:"seq"`
	Reading  string    `json:"reading"`
	ValueNM  int64     `json:"value_nm"`
	Tool     string    `json:"tool"`
	PersonID string    `json:"person_id"`
	TakenAt  time.Time `json:"taken_at"`
}

func (r takeRow) key() string { return r.ItemID + " " + r.TakeID }

func takeRows(item string, takes []joblog.Take) []takeRow {
	out := make([]takeRow, 0, len(takes))
	for _, t := range takes {
		out = append(out, takeRow{ItemID: item, TakeID: t.CommandID, Seq: t.Seq, Reading: t.Reading, ValueNM: int64(t.Value),
			Tool: t.Tool, PersonID: t.PersonID, TakenAt: t.At.UTC()})
	}
	return out
}

type cutRow struct {
	ItemID   string   `json:"item_id"`
	Piece    string   `json:"piece"`
	ValueNM  int64    `json:"value_nm"`
	TakeIDs  []string `json:"take_ids"`
	RuleBook string   `json:"rule_book"`
	CutForNM *int64   `json:"cut_for_nm"`
	AsCutNM  *int64   `json:"as_cut_nm"`
	Stale    bool     `json:"stale"`
}

func (r cutRow) key() string { return r.ItemID + " " + r.Piece }

func cutRows(item string, cuts []joblog.CutRow) []cutRow {
	out := make([]cutRow, 0, len(cuts))
	for _, c := range cuts {
		out = append(out, cutRow{ItemID: item, Piece: c.Piece, ValueNM: int64(c.Value), TakeIDs: append([]string{}, c.TakeIDs...),
			RuleBook: c.RuleBook, CutForNM: nanometers(c.CutFor), AsCutNM: nanometers(c.AsCut), Stale: c.Stale})
	}
	return out
}

func nanometers(l *length.Length) *int64 {
	if l == nil {
		return nil
	}
	n := int64(*l)
	return &n
}

type stageRow struct {
	ItemID string            `json:"item_id"`
	Stage  string            `json:"stage"`
	Status string            `json:"status"`
	DoneAt *time.Time        `json:"done_at"`
	DoneBy *string           `json:"done_by"`
	Held   []finding.Finding `json:"held"`
}

func (r stageRow) key() string { return r.ItemID + " " + r.Stage }

func stageRows(item string, stages []joblog.StageRow) []stageRow {
	out := make([]stageRow, 0, len(stages))
	for _, s := range stages {
		row := stageRow{ItemID: item, Stage: string(s.Stage), Status: string(s.Status), DoneBy: orNull(s.DoneBy),
			Held: append([]finding.Finding{}, s.Findings...)}
		if s.DoneAt != nil {
			at := s.DoneAt.UTC()
			row.DoneAt = &at
		}
		out = append(out, row)
	}
	return out
}

// row is a projection's row; its key is unique in its job.
type row interface{ key() string }

// change is what must be done to a table's rows to make them as they should be.
type change[R row] struct {
	put  []R // to insert or overwrite
	gone []R // to delete
	was  map[string]R
}

// differ compares the rows a table should have with those it has.
func differ[R row](want, got []R) (change[R], error) {
	c := change[R]{was: make(map[string]R, len(got))}
	for _, g := range got {
		c.was[g.key()] = g
	}
	wanted := make(map[string]bool, len(want))
	for _, w := range want {
		wanted[w.key()] = true
		g, there := c.was[w.key()]
		if there {
			same, err := equal(w, g)
			if err != nil {
				return c, err
			}
			if same {
				continue
			}
		}
		c.put = append(c.put, w)
	}
	for _, g := range got {
		if !wanted[g.key()] {
			c.gone = append(c.gone, g)
		}
	}
	return c, nil
}

func equal[R row](a, b R) (bool, error) {
	left, err := encode("a row", a)
	if err != nil {
		return false, err
	}
	right, err := encode("a row", b)
	if err != nil {
		return false, err
	}
	if bytes.Equal(left, right) {
		return true, nil
	}
	// The server gives jsonb back with its keys in another order.
	left, err = canonical(left)
	if err != nil {
		return false, err
	}
	right, err = canonical(right)
	return bytes.Equal(left, right), err
}

// canonical writes JSON with sorted keys and no spaces; numbers keep their digits.
func canonical(b []byte) ([]byte, error) {
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	return json.Marshal(v)
}
