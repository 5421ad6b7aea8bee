package wire

import "longpoint/internal/joblog"

// held is an open job. One that was copied shares its parts with the copy; each then makes a
// part its own before it changes it. A phone copies its job at every tick, and a job of some
// megabytes takes a fifth of a second to copy whole.
type held struct {
	st     *joblog.State
	shares bool
	// What is its own by now, where it shares: "" for the job itself, else the id.
	owns map[string]bool
}

func (b *Book) copyJob(c *codec, q *request, from *held) *refusal {
	if q.as == "" {
		return &refusal{"bad_input", "A job is copied to a name."}
	}
	st := joblog.NewState()
	st.Job, st.Seq = from.st.Job, from.st.Seq
	for id, x := range from.st.Rooms {
		st.Rooms[id] = x
	}
	for id, x := range from.st.Items {
		st.Items[id] = x
	}
	for id, x := range from.st.Walks {
		st.Walks[id] = x
	}
	from.shares, from.owns = true, map[string]bool{}
	b.open[q.as] = &held{st: st, shares: true, owns: map[string]bool{}}
	c.whole("seq", &st.Seq)
	return nil
}

// own makes what a command changes the job's own. An entry changes nothing but the job, the
// room, the item and the walkthrough of its scope.
func (h *held) own(c joblog.Command) {
	if !h.shares {
		return
	}
	s := h.st.Scope(nil, c)
	if s.Job != nil && h.first("") {
		x := &joblog.Job{}
		again(func(c *codec) { joblogJob(c, s.Job) }, func(c *codec) { joblogJob(c, x) })
		h.st.Job = x
	}
	room := c.RoomID
	if s.Item != nil {
		room = s.Item.RoomID
	}
	if s.Room != nil && h.first(room) {
		x := &joblog.Room{}
		again(func(c *codec) { joblogRoom(c, s.Room) }, func(c *codec) { joblogRoom(c, x) })
		h.st.Rooms[room] = x
	}
	if s.Item != nil && h.first(c.ItemID) {
		x := &joblog.Item{}
		again(func(c *codec) { joblogItem(c, s.Item) }, func(c *codec) { joblogItem(c, x) })
		h.st.Items[c.ItemID] = x
	}
	if s.Walk != nil && h.first(c.WalkID) {
		x := &joblog.Walk{}
		again(func(c *codec) { joblogWalk(c, s.Walk) }, func(c *codec) { joblogWalk(c, x) })
		h.st.Walks[c.WalkID] = x
	}
}

func (h *held) first(id string) bool {
	if h.owns[id] {
		return false
	}
	h.owns[id] = true
	return true
}

// again copies a part by writing and reading it. What the codec wrote it reads; a state with a
// number it could not write was never opened.
func again(write, read func(*codec)) {
	text := newWriter(1 << 14)
	write(text)
	read(newReader(string(text.w.buf)))
}
