package joblog

import (
	"runtime"
	"sync"
	"sync/atomic"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/stage"
)

// ViewJob makes a job's board from its state: rooms in the order they were added, each
// with its items' poles.
func ViewJob(st *State, company houserules.Set, r Reader) JobView {
	w := writer{catalog: r.words(), style: r.Style}
	v := JobView{Seq: st.Seq}
	if st.Job != nil {
		v.Job, v.Moisture = *st.Job, moisture(st.Job.Climate)
	}
	for _, s := range stage.All() {
		v.Stages = append(v.Stages, PoleMark{Stage: s, Label: w.term("stage_" + string(s)), Status: stage.Open})
	}
	items := itemsByRoom(st.Items)
	rooms := sortedRooms(st.Rooms)
	if len(rooms) > 0 {
		v.Rooms = make([]RoomView, len(rooms))
		each(len(rooms), func(i int) { v.Rooms[i] = w.room(st.Job, rooms[i], items[rooms[i].ID], company, r) })
	}
	v.Next = nextInJob(v.Rooms)
	return v
}

func (w writer) room(job *Job, room *Room, items []*Item, company houserules.Set, r Reader) RoomView {
	rv := RoomView{Room: *room, LevelLabel: w.term("level_" + string(room.Level)), Items: []PoleView{}, Moisture: moisture(room.Climate)}
	for _, it := range items {
		if it.Removed != nil {
			rv.Removed = append(rv.Removed, RemovedView{ID: it.ID, Name: it.Name, Kind: w.term(it.kindTerm()), Removal: *it.Removed})
			continue
		}
		rv.Items = append(rv.Items, w.pole(Scope{Company: company, Job: job, Room: room, Item: it}, r))
	}
	rv.Plan = w.roomPlan(Scope{Company: company, Job: job, Room: room}, rv.Items)
	rv.Next = nextOf(rv.Items)
	return rv
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

// turn ranks an item by how soon it can be worked on: now, then when somebody has settled
// what holds it, then when it has dried. Painted items have no turn.
func turn(p PoleView) (int, bool) {
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
func nextOf(items []PoleView) *ItemNext {
	best := -1
	for i, p := range items {
		at, has := turn(p)
		if !has {
			continue
		}
		if best >= 0 {
			if before, _ := turn(items[best]); before <= at {
				continue
			}
		}
		best = i
	}
	if best < 0 {
		return nil
	}
	p := items[best]
	return &ItemNext{ItemID: p.ID, Name: p.Name, Stage: p.Next, Sentence: p.Sentence}
}

// nextInJob picks among all rooms as nextOf does within one.
func nextInJob(rooms []RoomView) *ItemNext {
	var all []PoleView
	for _, r := range rooms {
		all = append(all, r.Items...)
	}
	return nextOf(all)
}

func (w writer) pole(s Scope, r Reader) PoleView {
	a := assess(s, r.Now)
	it := s.Item
	p := PoleView{ID: it.ID, RoomID: it.RoomID, Name: it.Name, KindLabel: w.term(it.kindTerm()),
		AssignedTo: it.AssignedTo, ThroughSeq: it.ThroughSeq}
	if p.AssignedTo == "" && s.Room != nil {
		p.AssignedTo = s.Room.AssignedTo
	}
	p.Marks = make([]PoleMark, 0, len(a.list))
	for _, x := range a.list {
		st := a.status(x)
		p.Held = p.Held || st == stage.Held
		p.Marks = append(p.Marks, PoleMark{Stage: x, Label: w.term("stage_" + string(x)), Status: st})
	}
	if n := w.next(a); n != nil {
		p.Next, p.NextLabel, p.Sentence = n.Stage, w.term("stage_"+string(n.Stage)), n.Sentence
		if f := a.blocking(n.Stage); f != nil {
			p.ClearsAt = f.ClearsAt
		}
	}
	return p
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
