package model

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"sync"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/joblog"
	"longpoint/internal/wire"
)

func (w *world) of(id string) *made {
	w.ledger.Lock()
	defer w.ledger.Unlock()
	if m := w.made[id]; m != nil {
		return m
	}
	return &made{}
}

// check holds the end of the story against what was promised.
func (w *world) check() {
	entries := w.wholeLog()
	w.checkReplicas(entries)
	w.checkAccounts(entries)
	w.checkTimes(entries)
	w.checkVariety(entries)
	rep, err := app.Rebuild(context.Background(), w.service.ownerURL(), w.company.ID, true)
	if err != nil {
		w.t.Errorf("rebuilding: %v", err)
	}
	for i, d := range rep.Differences {
		if i == 5 {
			w.t.Errorf("and %d more", len(rep.Differences)-i)
			break
		}
		w.t.Errorf("a rebuild differs: %s", d)
	}
}

// wholeLog is the log as anybody may pull it, which has no holes.
func (w *world) wholeLog() []joblog.Entry {
	var all []joblog.Entry
	for more := true; more; {
		a := w.phones[0].get(fmt.Sprintf("/log?after=%d&limit=5000", len(all)))
		var page struct {
			Entries []joblog.Entry `json:"entries"`
			More    bool           `json:"more"`
		}
		if err := json.Unmarshal(a, &page); err != nil {
			w.t.Fatalf("the log: %v", err)
		}
		all, more = append(all, page.Entries...), page.More
	}
	for i, e := range all {
		if e.Seq != int64(i)+1 {
			w.t.Fatalf("entry %d has number %d: want no holes", i+1, e.Seq)
		}
	}
	return all
}

func (p *phone) get(path string) []byte {
	a, err := p.net.do(request{http.MethodGet, p.path(path), nil})
	if err != nil || a.status != http.StatusOK {
		p.w.t.Fatalf("%s gets %s: %v, %d %s", p.who.Name, path, err, a.status, a.body)
	}
	return a.body
}

// checkReplicas compares, to the byte, the server's state, the log folded anew and what each
// phone has, which is also what it would read again after its death.
func (w *world) checkReplicas(entries []joblog.Entry) {
	var served struct {
		State json.RawMessage `json:"state"`
	}
	if err := json.Unmarshal(w.phones[0].get("/state"), &served); err != nil {
		w.t.Fatal(err)
	}
	log, err := json.Marshal(entries)
	if err != nil {
		w.t.Fatal(err)
	}
	fresh := phone{w: w, who: w.phones[0].who, book: wire.NewBook()}
	fresh.call("open", `{"as":"`+replica+`"}`)
	fresh.call("apply", `{"as":"`+replica+`","entries":`+string(log)+`}`)
	want := fresh.call("state", `{"as":"`+replica+`"}`)
	differ(w, "the server's state", served.State, want)
	for i, p := range w.phones {
		if i == stranger {
			if p.confirmed.Seq != 0 {
				p.fatal("was never on the job and has its entries up to %d", p.confirmed.Seq)
			}
			continue
		}
		differ(w, p.who.Name+"'s replica", p.call("state", `{"as":"`+replica+`"}`), want)
		differ(w, p.who.Name+"'s disk", p.disk.state, want)
		var typed bytes.Buffer
		enc := json.NewEncoder(&typed)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(p.confirmed); err != nil {
			w.t.Fatal(err)
		}
		differ(w, p.who.Name+"'s state in Go", bytes.TrimSpace(typed.Bytes()), want)
	}
}

func differ(w *world, what string, got, want []byte) {
	if bytes.Equal(got, want) {
		return
	}
	at := 0
	for at < min(len(got), len(want)) && got[at] == want[at] {
		at++
	}
	around := func(b []byte) []byte { return b[max(0, min(len(b), at)-120):min(len(b), at+120)] }
	w.t.Errorf("%s differs at byte %d of %d:\n got …%s…\nwant …%s…", what, at, len(want), around(got), around(want))
}

// checkAccounts finds every command ever made exactly once: in the log, among what was
// refused and is shown to its author, or still on the phone where nobody could keep it. What
// the phone was told must agree.
func (w *world) checkAccounts(entries []joblog.Entry) {
	applied := map[string]joblog.Entry{}
	for _, e := range entries {
		if _, twice := applied[e.Command.ID]; twice {
			w.t.Errorf("command %s is in the log twice", e.Command.ID)
		}
		applied[e.Command.ID] = e
	}
	refused := map[string]joblog.RefusedView{}
	for _, p := range w.phones {
		var list struct {
			Refused []joblog.RefusedView `json:"refused"`
		}
		if a, err := p.net.do(request{http.MethodGet, p.path("/refused"), nil}); err != nil || a.status != http.StatusOK {
			p.fatal("asking for what was refused: %v, %d", err, a.status)
		} else if err := json.Unmarshal(a.body, &list); err != nil {
			p.fatal("what was refused: %v", err)
		}
		for _, r := range list.Refused {
			if _, twice := refused[r.Command.ID]; twice {
				w.t.Errorf("command %s was refused twice", r.Command.ID)
			}
			refused[r.Command.ID] = r
			if m := w.of(r.Command.ID); m.by != p {
				w.t.Errorf("command %s is shown to %s, who did not make it", r.Command.ID, p.who.Name)
			}
			if len(r.Findings) == 0 || r.Findings[0].Sentence == "" {
				w.t.Errorf("command %s was refused without a word", r.Command.ID)
			}
		}
	}
	lost := 0
	for _, id := range w.order {
		m := w.made[id]
		e, isApplied := applied[id]
		r, isRefused := refused[id]
		_, isTurned := m.by.disk.turned[id]
		told, wasTold := m.by.disk.outcomes[id]
		switch n := count(isApplied, isRefused, isTurned); {
		case n == 0:
			if lost++; lost <= 5 {
				w.t.Errorf("%s's %s %s is nowhere", m.by.who.Name, m.kind, id)
			}
		case n > 1:
			w.t.Errorf("%s's %s %s: in the log %v, refused %v, turned back %v; want one", m.by.who.Name, m.kind, id, isApplied, isRefused, isTurned)
		case isTurned != m.homeless:
			w.t.Errorf("%s's %s %s: turned back %v, want %v", m.by.who.Name, m.kind, id, isTurned, m.homeless)
		case isTurned:
		case !wasTold || told.Applied != isApplied:
			w.t.Errorf("%s's %s %s: the phone was told %+v, and it is in the log: %v", m.by.who.Name, m.kind, id, told, isApplied)
		case isApplied && (told.FirstSeq != e.Seq || e.PersonID != m.by.who.ID):
			w.t.Errorf("%s's %s %s: the phone was told number %d, it is %d by %s", m.by.who.Name, m.kind, id, told.FirstSeq, e.Seq, e.PersonID)
		case isRefused && told.Findings[0].Code != r.Findings[0].Code:
			w.t.Errorf("%s's %s %s: the phone was told %s, the list says %s", m.by.who.Name, m.kind, id, told.Findings[0].Code, r.Findings[0].Code)
		}
	}
	if lost > 5 {
		w.t.Errorf("%d commands are nowhere", lost)
	}
	if extra := len(applied) + len(refused) - len(w.order); extra > 0 {
		w.t.Errorf("%d more commands than were made", extra)
	}
}

func count(yes ...bool) int {
	n := 0
	for _, y := range yes {
		if y {
			n++
		}
	}
	return n
}

// checkTimes holds that nothing is dated before it was done, by the true clock, nor after it
// was logged, however wrong the phone's clock was, unless that was set in between.
func (w *world) checkTimes(entries []joblog.Entry) {
	early := 0
	for _, e := range entries {
		if e.DidAt.After(e.LoggedAt) {
			w.t.Errorf("entry %d: done at %v, after it was logged at %v", e.Seq, e.DidAt, e.LoggedAt)
		}
		m := w.of(e.Command.ID)
		if m.by.skew == crew[slices.Index(w.phones, m.by)].skew && e.DidAt.Before(m.true.Add(-2*time.Second)) {
			if early++; early <= 3 {
				w.t.Errorf("entry %d of %s: dated %v, really done at %v", e.Seq, m.by.who.Name, e.DidAt, m.true)
			}
		}
	}
}

// longStory is how many commands it takes for a door to be painted for certain.
const longStory = 3000

// kinds are all that a phone of the crew sends. A signature is the homeowner's alone, from a page that has no outbox of a phone's.
func kinds() []joblog.Kind {
	field, _ := reflect.TypeFor[joblog.Command]().FieldByName("Kind")
	var all []joblog.Kind
	for _, name := range strings.Split(field.Tag.Get("enum"), ",") {
		if k := joblog.Kind(name); k != joblog.SignOffKind {
			all = append(all, k)
		}
	}
	return all
}

// tally counts what went through in all stories of a run together.
type tally struct {
	mu       sync.Mutex
	commands int
	applied  map[joblog.Kind]int
}

var went = tally{applied: map[joblog.Kind]int{}}

func (y *tally) add(applied map[joblog.Kind]int, commands int) {
	y.mu.Lock()
	defer y.mu.Unlock()
	y.commands += commands
	for k, n := range applied {
		y.applied[k] += n
	}
}

// wholeRun is how many commands a run of all stories makes.
const wholeRun = 10_000

// missing are the kinds of which none went through, in a run that was long enough for each.
func (y *tally) missing() []joblog.Kind {
	y.mu.Lock()
	defer y.mu.Unlock()
	var none []joblog.Kind
	for _, k := range kinds() {
		if y.applied[k] == 0 && y.commands >= wholeRun {
			none = append(none, k)
		}
	}
	return none
}

// checkVariety holds the story to having been one: a generator that only makes what is
// refused, or never something, would prove little.
func (w *world) checkVariety(entries []joblog.Entry) {
	appliedKinds := map[joblog.Kind]int{}
	for _, e := range entries {
		appliedKinds[e.Command.Kind]++
	}
	codes := map[string]int{}
	for _, p := range w.phones {
		for _, o := range p.disk.outcomes {
			if !o.Applied {
				codes[o.Findings[0].Code]++
			}
		}
	}
	var said []string
	for _, k := range kinds() {
		said = append(said, fmt.Sprintf("%s %d", k, appliedKinds[k]))
	}
	went.add(appliedKinds, len(w.order))
	w.t.Logf("in the log: %s", strings.Join(said, ", "))
	refusals := make([]string, 0, len(codes))
	for c, n := range codes {
		refusals = append(refusals, fmt.Sprintf("%s %d", c, n))
	}
	slices.Sort(refusals)
	w.t.Logf("refused: %s", strings.Join(refusals, ", "))
	for _, c := range []string{"already_done", "lead_only", "job_gone", "item_gone", "command_too_new", "reading_unknown", "earlier_stage_open"} {
		if codes[c] == 0 && len(w.order) >= longStory {
			w.t.Errorf("nothing was refused for %s in %d commands", c, len(w.order))
		}
	}
}
