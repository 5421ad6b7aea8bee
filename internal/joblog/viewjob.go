package joblog

import (
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/stage"
)

// ViewJob makes a job's board from its state: rooms in the order they were added, each
// with its items' poles.
func ViewJob(st *State, company houserules.Set, r Reader) JobView {
	b := NewBoard(st, company, r)
	v := b.Heading()
	if n := len(b.Rooms); n > 0 {
		v.Rooms = make([]RoomView, n)
		all, turns := make([]int, n), make([]Turn, n)
		for i := range all {
			all[i] = i
		}
		b.View(all, func(i int, p RoomPart) { v.Rooms[i], turns[i] = p.View, p.Turn })
		v.Next = First(turns)
	}
	return v
}

// Board is a job's board that is made room by room, for who has made some of the rooms before.
type Board struct {
	Rooms   []BoardRoom // in the order they were added
	state   *State
	company houserules.Set
	reader  Reader
	w       writer
}

// BoardRoom is what a room's part of a board is made of. Besides these it hangs on the job, the
// company's house rules and the reader, and on the reader's clock as its RoomPart says: where
// all of them are the same, the part is.
type BoardRoom struct {
	Room  *Room
	Items []*Item // in the order they were added
}

// RoomPart is a room's part of a board.
type RoomPart struct {
	View  RoomView
	Turn  Turn
	Until time.Time // from when on waiting alone makes it another; zero for never
}

// Turn is what to do next in a room, and how soon that can be worked on.
type Turn struct {
	Next *ItemNext
	rank int
}

// NewBoard lays a board out and works nothing out yet.
func NewBoard(st *State, company houserules.Set, r Reader) *Board {
	b := &Board{state: st, company: company, reader: r, w: writer{catalog: r.words(), style: r.Style}}
	items := itemsByRoom(st.Items)
	for _, room := range sortedRooms(st.Rooms) {
		b.Rooms = append(b.Rooms, BoardRoom{room, items[room.ID]})
	}
	return b
}

// Heading is the board without its rooms and without what is next.
func (b *Board) Heading() JobView {
	v := JobView{Seq: b.state.Seq}
	if b.state.Job != nil {
		v.Job, v.Moisture = *b.state.Job, moisture(b.state.Job.Climate)
	}
	for _, s := range stage.All() {
		v.Stages = append(v.Stages, PoleMark{Stage: s, Label: b.w.term("stage_" + string(s)), Status: stage.Open})
	}
	return v
}

// View works the rooms at these places of Rooms out, on all the processors there are; done may
// be called for several at once.
func (b *Board) View(places []int, done func(place int, p RoomPart)) {
	each(len(places), func(i int) {
		at := places[i]
		done(at, b.w.room(b.state.Job, b.Rooms[at], b.company, b.reader))
	})
}

// First is the turn of a board that comes soonest, of several that are as soon the first.
func First(turns []Turn) *ItemNext {
	var best Turn
	for _, t := range turns {
		if t.Next != nil && (best.Next == nil || t.rank < best.rank) {
			best = t
		}
	}
	return best.Next
}

func (w writer) room(job *Job, of BoardRoom, company houserules.Set, r Reader) RoomPart {
	room := of.Room
	rv := RoomView{Room: *room, LevelLabel: w.term("level_" + string(room.Level)), Items: []PoleView{}, Moisture: moisture(room.Climate)}
	var until time.Time
	for _, it := range of.Items {
		if it.Removed != nil {
			rv.Removed = append(rv.Removed, RemovedView{ID: it.ID, Name: it.Name, Kind: w.term(it.kindTerm()), Removal: *it.Removed})
			continue
		}
		pole, same := w.pole(Scope{Company: company, Job: job, Room: room, Item: it}, r)
		rv.Items, until = append(rv.Items, pole), sooner(until, same)
	}
	rv.Plan = w.roomPlan(Scope{Company: company, Job: job, Room: room}, rv.Items)
	turn := nextOf(rv.Items)
	rv.Next = turn.Next
	return RoomPart{rv, turn, until}
}

// each does something n times, on all the processors there are: the rooms of a large job know
// nothing of each other. A phone's rule book has one processor and goes through them in order.
func each(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers < 2 {
		for i := range n {
			do(i)
		}
		return
	}
	var (
		next atomic.Int64
		wait sync.WaitGroup
		fell atomic.Value
	)
	for range workers {
		wait.Go(func() {
			// What a rule trips over is the caller's to catch, as it is on one processor.
			defer func() {
				if v := recover(); v != nil {
					fell.Store([1]any{v})
				}
			}()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
	if v, did := fell.Load().([1]any); did {
		panic(v[0])
	}
}

// moisture is what wood swings between in the air of a climate; nil without one.
func moisture(c *finish.Climate) *finish.Moisture {
	if c == nil {
		return nil
	}
	m, fs := finish.MoistureChange(*c)
	if finding.HasStop(fs) {
		return nil
	}
	return &m
}

// rank ranks an item by how soon it can be worked on: now, then when somebody has settled
// what holds it, then when it has dried. Painted items have no turn.
func rank(p PoleView) (int, bool) {
	switch {
	case p.Next == "":
		return 0, false
	case p.ClearsAt != nil:
		return 2, true
	case p.Held:
		return 1, true
	}
	return 0, true
}

// nextOf picks the first item of a room that can be worked on soonest.
func nextOf(items []PoleView) Turn {
	var best Turn
	for _, p := range items {
		if at, has := rank(p); has && (best.Next == nil || at < best.rank) {
			best = Turn{&ItemNext{ItemID: p.ID, Name: p.Name, Stage: p.Next, Sentence: p.Sentence}, at}
		}
	}
	return best
}

// A person's day goes by PoleView.Turn: what can be done now, what is held until somebody settles
// it, and last what dries, the soonest first, since nobody can hurry it. Within a turn it goes
// room by room, so that a room is left only when what is ready in it is done.
const (
	turnReady = iota
	turnRedo
	turnGoing
	turnHeld
)

// pole is an item's pole, and from when on waiting alone makes it another; zero for never.
func (w writer) pole(s Scope, r Reader) (PoleView, time.Time) {
	a := assess(s, r.Now)
	it := s.Item
	p := PoleView{ID: it.ID, RoomID: it.RoomID, Name: it.Name, KindLabel: w.term(it.kindTerm()),
		AssignedTo: it.AssignedTo, ThroughSeq: it.ThroughSeq}
	if p.AssignedTo == "" && s.Room != nil {
		p.AssignedTo = s.Room.AssignedTo
	}
	p.Marks = make([]PoleMark, 0, len(a.list))
	p.Turn = turnGoing
	for _, x := range a.list {
		st := a.status(x)
		switch {
		case st == stage.Held:
			p.Held = true
		case st == stage.Redone:
			p.Turn = turnRedo
		case st == stage.Ready && p.Turn == turnGoing:
			p.Turn = turnReady
		}
		p.Marks = append(p.Marks, PoleMark{Stage: x, Label: w.term("stage_" + string(x)), Status: st})
	}
	if n := w.next(a); n != nil {
		p.Next, p.NextLabel, p.Sentence = n.Stage, w.term("stage_"+string(n.Stage)), n.Sentence
		if f := a.blocking(n.Stage); f != nil {
			p.ClearsAt = f.ClearsAt
		}
	}
	switch {
	case p.ClearsAt != nil:
		p.Turn = p.ClearsAt.Unix()
	case p.Held:
		p.Turn = turnHeld
	}
	return p, a.until
}

func sortedRooms(rooms map[string]*Room) []*Room {
	out := make([]*Room, 0, len(rooms))
	for _, x := range rooms {
		at := len(out)
		out = append(out, x)
		for ; at > 0 && out[at-1].AddedSeq > x.AddedSeq; at-- {
			out[at] = out[at-1]
		}
		out[at] = x
	}
	return out
}

// itemsByRoom lists each room's items in the order they were added.
func itemsByRoom(items map[string]*Item) map[string][]*Item {
	out := map[string][]*Item{}
	for _, x := range items {
		list := append(out[x.RoomID], x)
		at := len(list) - 1
		for ; at > 0 && list[at-1].AddedSeq > x.AddedSeq; at-- {
			list[at] = list[at-1]
		}
		list[at] = x
		out[x.RoomID] = list
	}
	return out
}
