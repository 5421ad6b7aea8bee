package model

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/http"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/wire"
)

// phone is one person's device. It keeps to the written protocol:
//
//   - a command is in the outbox before anything else happens, and leaves it only when its
//     own outcome is on the disk;
//   - the outbox is sent in order, from the front, and not again before an answer or its loss;
//   - entries are pulled by number and folded in order: those it has are passed over, and
//     where one is missing it takes none and asks again;
//   - what the rules refused, and what the service could not keep, stays with its author.
type phone struct {
	w    *world
	who  account.Person
	rng  *rand.Rand
	net  *network
	skew time.Duration

	disk disk
	// In memory, and lost when the phone dies. book is the phone's own rule book as the app
	// has it; confirmed is the same job for the test to look into; local has the outbox
	// folded in and shares with confirmed what no waiting command touches.
	book      *wire.Book
	confirmed *joblog.State
	local     *joblog.State
	held      []byte // an answer to a pull that comes late

	focus  string // the opening at hand
	signal bool
}

// disk is what outlives the phone's death. Each field is written whole or not at all, as a
// database on the phone does.
type disk struct {
	state    []byte // the job as pulled
	outbox   []waiting
	outcomes map[string]joblog.Outcome
	turned   map[string]joblog.Outcome // what the service could not keep
}

type waiting struct {
	id      string
	body    []byte
	command joblog.Command
}

const replica = "job"

func newPhone(w *world, n int, who account.Person, skew time.Duration) *phone {
	rng := rand.New(rand.NewPCG(w.seed, uint64(n)+1))
	p := &phone{w: w, who: who, rng: rng, skew: skew, signal: true,
		disk: disk{outcomes: map[string]joblog.Outcome{}, turned: map[string]joblog.Outcome{}}}
	p.net = newNetwork(w, rng)
	p.wake()
	return p
}

func (p *phone) now() time.Time { return p.w.clock.now().Add(p.skew) }

func (p *phone) fatal(format string, args ...any) {
	p.w.t.Errorf("%s's phone: %s", p.who.Name, fmt.Sprintf(format, args...))
}

// wake starts the app from what is on the disk.
func (p *phone) wake() {
	p.book, p.confirmed, p.held = wire.NewBook(), joblog.NewState(), nil
	in := `{"as":"` + replica + `"}`
	if p.disk.state != nil {
		in = `{"as":"` + replica + `","state":` + string(p.disk.state) + `}`
		if err := json.Unmarshal(p.disk.state, p.confirmed); err != nil {
			p.fatal("reading its own state: %v", err)
		}
		fill(p.confirmed)
	}
	p.call("open", in)
	p.rebase()
}

// fill makes a state without rooms or items fit to fold entries into.
func fill(st *joblog.State) {
	if st.Rooms == nil {
		st.Rooms = map[string]*joblog.Room{}
	}
	if st.Items == nil {
		st.Items = map[string]*joblog.Item{}
	}
}

func (p *phone) call(name, in string) json.RawMessage {
	out := p.book.Call(name, in)
	var said struct {
		OK       bool            `json:"ok"`
		Code     string          `json:"code"`
		Sentence string          `json:"sentence"`
		State    json.RawMessage `json:"state"`
	}
	if err := json.Unmarshal([]byte(out), &said); err != nil || !said.OK && said.Code != "gap" {
		p.fatal("%s: %v %s", name, err, said.Sentence)
	}
	return said.State
}

// actor is who the phone decides for.
func (p *phone) actor() joblog.Actor { return joblog.Actor{PersonID: p.who.ID, Role: p.who.Role} }

// rebase folds the outbox into what is confirmed.
func (p *phone) rebase() {
	local := *p.confirmed
	local.Rooms, local.Items, local.Walks = maps.Clone(p.confirmed.Rooms), maps.Clone(p.confirmed.Items), maps.Clone(p.confirmed.Walks)
	p.local = &local
	for _, x := range p.disk.outbox {
		p.foldLocally(x.command)
	}
}

// foldLocally lets the phone's rules decide, as it would before there is an answer.
func (p *phone) foldLocally(c joblog.Command) {
	if c.Version != joblog.CommandVersion {
		return
	}
	now := p.w.clock.now()
	d := joblog.Decide(p.local.Scope(p.w.rules, c), c, p.actor(), now, now)
	for _, e := range d.Entries {
		p.own(e.Command)
		e.Seq = p.local.Seq + 1
		p.local.Apply(e)
	}
}

// own makes what a command changes the local state's own.
func (p *phone) own(c joblog.Command) {
	if it := p.local.Items[c.ItemID]; it != nil && it == p.confirmed.Items[c.ItemID] {
		p.local.Items[c.ItemID] = deepCopy(it)
	}
	if r := p.local.Rooms[c.RoomID]; r != nil && r == p.confirmed.Rooms[c.RoomID] {
		p.local.Rooms[c.RoomID] = deepCopy(r)
	}
	if w := p.local.Walks[c.WalkID]; w != nil && w == p.confirmed.Walks[c.WalkID] {
		p.local.Walks[c.WalkID] = deepCopy(w)
	}
	if p.local.Job != nil && p.local.Job == p.confirmed.Job {
		p.local.Job = deepCopy(p.local.Job)
	}
}

func deepCopy[T any](v *T) *T {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	out := new(T)
	if err := json.Unmarshal(b, out); err != nil {
		panic(err)
	}
	return out
}

// do makes a command: the outbox has it before anything else happens.
func (p *phone) do(c joblog.Command) {
	c.ID, c.Version, c.JobID, c.At, c.Device = p.w.newID(p.rng), joblog.CommandVersion, p.w.job, p.now().Truncate(time.Millisecond), p.who.Name+"'s phone"
	p.put(c, nil, false)
}

// put takes a command as it is; raw is what is sent in its stead, by an app of another day.
func (p *phone) put(c joblog.Command, raw []byte, homeless bool) {
	if raw == nil {
		var err error
		if raw, err = json.Marshal(c); err != nil {
			p.fatal("writing a command: %v", err)
			return
		}
	}
	p.w.ledger.Lock()
	p.w.made[c.ID] = &made{id: c.ID, by: p, kind: c.Kind, true: c.At.Add(-p.skew), homeless: homeless}
	p.w.order = append(p.w.order, c.ID)
	p.w.ledger.Unlock()
	p.disk.outbox = append(p.disk.outbox, waiting{c.ID, raw, c})
	if !homeless {
		p.foldLocally(c)
	}
}

// step is a while in the day of a phone's owner.
func (p *phone) step() {
	p.w.clock.move(time.Duration(p.rng.IntN(15)) * time.Minute)
	if p.who.Name == crew[stranger].name && p.rng.IntN(4) > 0 {
		return
	}
	switch roll := p.rng.IntN(200); {
	case roll < 2:
		p.wake() // the battery was out
	case roll < 12:
		p.signal = !p.signal
	case roll == 12 && len(p.disk.outbox) == 0:
		p.disk.state = nil // the browser threw the copy away
		p.wake()
	case roll == 13: // someone sets the clock, wrongly
		p.skew += time.Duration(p.rng.IntN(600)-300) * time.Minute
	}
	if len(p.disk.outbox) < 60 {
		p.act()
		for range p.rng.IntN(6) {
			if p.local.Job != nil { // one who sees nothing soon gives up
				p.act()
			}
		}
	} else {
		p.signal = true // goes up to the street
	}
	if p.signal {
		p.push()
		if p.rng.IntN(3) > 0 {
			p.pull()
		}
	}
}

// drain syncs until nothing waits and nothing is behind.
func (p *phone) drain() {
	for tries := 0; len(p.disk.outbox) > 0; tries++ {
		if tries == 1000 {
			p.fatal("%d commands still wait", len(p.disk.outbox))
			return
		}
		p.push()
	}
	for tries := 0; !p.pull(); tries++ {
		if tries == 1000 {
			p.fatal("the log cannot be pulled to its end")
			return
		}
	}
}

func (p *phone) signIn() {
	body, _ := json.Marshal(map[string]string{"sign_in": p.who.SignIn, "passphrase": passphrase})
	a, err := p.net.do(request{http.MethodPost, "/api/v1/session", body})
	if err == nil && a.status != http.StatusOK {
		p.fatal("signing in: %d %s", a.status, a.body)
	}
}

// path is a place under the job's.
func (p *phone) path(rest string) string { return "/api/v1/jobs/" + p.w.job + rest }

// push sends the front of the outbox.
func (p *phone) push() {
	if len(p.disk.outbox) == 0 {
		return
	}
	n := min(len(p.disk.outbox), 1+p.rng.IntN(40))
	commands := make([]json.RawMessage, n)
	for i := range n {
		commands[i] = p.disk.outbox[i].body
	}
	body, err := json.Marshal(map[string]any{"sent_at": p.now(), "commands": commands})
	if err != nil {
		p.fatal("writing its outbox: %v", err)
		return
	}
	a, err := p.net.do(request{http.MethodPost, p.path("/commands"), body})
	switch {
	case err != nil:
		return
	case a.status == http.StatusUnauthorized:
		p.signIn()
		return
	case a.status != http.StatusOK:
		p.fatal("sending commands: %d %s", a.status, a.body)
		return
	}
	var out struct {
		Outcomes []joblog.Outcome `json:"outcomes"`
	}
	if err := json.Unmarshal(a.body, &out); err != nil || len(out.Outcomes) > n {
		p.fatal("the outcomes of %d commands: %v, %d", n, err, len(out.Outcomes))
		return
	}
	for _, o := range out.Outcomes {
		if p.rng.IntN(400) == 0 {
			p.wake() // dies with the answer half taken
			return
		}
		p.take(o)
	}
	p.rebase()
}

// take writes an outcome down and lets its command go.
func (p *phone) take(o joblog.Outcome) {
	front := p.disk.outbox[0]
	if o.CommandID != front.id {
		p.fatal("an outcome is of %s, want the next in order, %s", o.CommandID, front.id)
		return
	}
	m := p.w.of(front.id)
	o.Repeated = false
	switch {
	case m.homeless:
		if o.Applied {
			p.fatal("%s was applied, which could not be kept", front.id)
		}
		p.disk.turned[front.id] = o
	default:
		if before, twice := p.disk.outcomes[front.id]; twice {
			p.fatal("%s left the outbox twice: %+v, %+v", front.id, before, o)
		}
		p.disk.outcomes[front.id] = o
	}
	p.disk.outbox = p.disk.outbox[1:]
}

// pull folds in what is new and reports whether it got to the log's end.
func (p *phone) pull() bool {
	if p.confirmed.Job == nil && p.rng.IntN(2) == 0 {
		p.pullState()
	}
	for {
		after := p.confirmed.Seq
		limit := 1 + p.rng.IntN(400)
		a, err := p.net.do(request{http.MethodGet, p.path(fmt.Sprintf("/log?after=%d&limit=%d", after, limit)), nil})
		switch {
		case err != nil:
			return false
		case a.status == http.StatusUnauthorized:
			p.signIn()
			return false
		case a.status == http.StatusNotFound:
			return true // not, or no longer, on the job: what it has stays as it is
		case a.status != http.StatusOK:
			p.fatal("pulling the log: %d %s", a.status, a.body)
			return false
		}
		if !p.net.kind && p.rng.IntN(12) == 0 {
			p.held = a.body // it comes later than the next
			return false
		}
		more := p.fold(a.body)
		if p.held != nil {
			late := p.held
			p.held = nil
			p.fold(late)
		}
		if !more {
			return true
		}
	}
}

// fold takes a page of entries, whatever came before it.
func (p *phone) fold(body []byte) (more bool) {
	var page struct {
		Entries json.RawMessage `json:"entries"`
		More    bool            `json:"more"`
	}
	var entries []joblog.Entry
	if err := json.Unmarshal(body, &page); err != nil {
		p.fatal("a page of the log: %v", err)
		return false
	}
	if err := json.Unmarshal(page.Entries, &entries); err != nil {
		p.fatal("entries: %v", err)
		return false
	}
	if len(entries) > 0 && entries[0].Seq > p.confirmed.Seq+1 {
		return true // some are missing before it
	}
	p.call("apply", `{"as":"`+replica+`","entries":`+string(page.Entries)+`}`)
	for _, e := range entries {
		if e.Seq > p.confirmed.Seq {
			p.confirmed.Apply(e)
		}
	}
	p.disk.state = p.call("state", `{"as":"`+replica+`"}`)
	p.rebase()
	return page.More
}

// pullState begins from the job as it stands.
func (p *phone) pullState() {
	a, err := p.net.do(request{http.MethodGet, p.path("/state"), nil})
	if err != nil || a.status != http.StatusOK {
		return
	}
	var body struct {
		State json.RawMessage `json:"state"`
	}
	if err := json.Unmarshal(a.body, &body); err != nil {
		p.fatal("the state: %v", err)
		return
	}
	p.disk.state = body.State
	p.wake()
}
