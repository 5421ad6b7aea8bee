package wire

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"longpoint/internal/demo"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

var now = time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)

// scenario is the demo house's commands, with ids that are the same at every run.
func scenario() (steps []demo.Step, people map[string]joblog.Actor) {
	n := 0
	id := func() string { n++; return fmt.Sprintf("018f0000-0000-7000-8000-%012d", n) }
	ids := map[string]string{}
	people = map[string]joblog.Actor{}
	for _, p := range demo.Crew() {
		ids[p.SignIn] = id()
		people[p.SignIn] = joblog.Actor{PersonID: ids[p.SignIn], Role: p.Role}
	}
	return demo.Scenario(now, ids, id), people
}

// call makes a call of members given as values, and takes the answer apart.
func call(t *testing.T, b *Book, name string, in map[string]any) map[string]json.RawMessage {
	t.Helper()
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]json.RawMessage
	answer := b.Call(name, string(text))
	if err := json.Unmarshal([]byte(answer), &out); err != nil {
		t.Fatalf("%s answered %s: %v", name, answer, err)
	}
	return out
}

func want(t *testing.T, what string, got json.RawMessage, wanted any) {
	t.Helper()
	if w := reference(t, wanted); !bytes.Equal(got, w) {
		t.Fatalf("%s:\ngot  %s\nwant %s", what, got, w)
	}
}

// TestDemoHouse plays the demo's commands through a Book and compares each answer, byte for
// byte, with what encoding/json makes of the rule book's own.
func TestDemoHouse(t *testing.T) {
	t.Parallel()
	steps, people := scenario()
	company := houserules.Set{"coats": 3, "top_gap": int64(length.In(0, 3, 32))}
	reader := joblog.Reader{Language: "en", Style: length.Style{Unit: length.Millimeters, Step: length.Millimeter / 2}, Now: now}
	sentReader := map[string]any{"language": "en", "unit": "mm", "step": length.Millimeter / 2, "now": now}
	b, st := NewBook(), joblog.NewState()
	call(t, b, "open", map[string]any{"as": "shown"})
	var log []joblog.Entry
	refused := 0
	for i, step := range steps {
		c, by := step.Command, people[step.By]
		d := joblog.Decide(st.Scope(company, c), c, by, step.At, step.At)
		got := call(t, b, "decide", map[string]any{"as": "shown", "company": company, "command": c,
			"actor": map[string]any{"person_id": by.PersonID, "role": by.Role}, "did_at": step.At, "now": step.At, "keep": true, "reader": sentReader})
		for k := range d.Entries {
			d.Entries[k].Seq = st.Seq + 1
			st.Apply(d.Entries[k])
		}
		log = append(log, d.Entries...)
		want(t, fmt.Sprintf("step %d %s: refused", i, c.Kind), got["refused"], d.Refused)
		want(t, fmt.Sprintf("step %d %s: entries", i, c.Kind), got["entries"], append([]joblog.Entry{}, d.Entries...))
		want(t, fmt.Sprintf("step %d %s: findings", i, c.Kind), got["findings"],
			append([]finding.Finding{}, joblog.Words("en").RenderAll(d.Findings, reader.Style)...))
		if d.Refused {
			refused++
		}
		if c.ItemID != "" {
			got := call(t, b, "view_item", map[string]any{"as": "shown", "company": company, "item": c.ItemID, "reader": sentReader})
			want(t, fmt.Sprintf("step %d %s: view", i, c.Kind), got["view"], joblog.ViewItem(st.Scope(company, joblog.Command{ItemID: c.ItemID}), reader))
		}
	}
	if len(log) < 100 || refused == 0 {
		t.Fatalf("the demo has %d entries and %d refused commands: too few to mean much", len(log), refused)
	}
	got := call(t, b, "view_job", map[string]any{"as": "shown", "company": company, "reader": sentReader})
	want(t, "view_job", got["view"], joblog.ViewJob(st, company, reader))
	want(t, "state", call(t, b, "state", map[string]any{"as": "shown"})["state"], st)

	views := make([]joblog.EntryView, len(log))
	for i, e := range log {
		views[i] = joblog.ViewEntry(e, reader)
	}
	want(t, "view_entries", call(t, b, "view_entries", map[string]any{"entries": log, "reader": sentReader})["entries"], views)

	// The log pulled in two overlapping parts gives the same job as the commands did.
	call(t, b, "open", map[string]any{"as": "pulled"})
	call(t, b, "apply", map[string]any{"as": "pulled", "entries": log[:60]})
	applied := call(t, b, "apply", map[string]any{"as": "pulled", "entries": log[40:]})
	want(t, "seq after the pull", applied["seq"], len(log))
	want(t, "pulled state", call(t, b, "state", map[string]any{"as": "pulled"})["state"], st)

	// A state that was kept opens as it was.
	call(t, b, "open", map[string]any{"as": "kept", "state": st})
	want(t, "kept state", call(t, b, "state", map[string]any{"as": "kept"})["state"], st)
}

func TestLengthCalls(t *testing.T) {
	t.Parallel()
	b := NewBook()
	for in, wanted := range map[string]string{
		`{"text":"79 5/8 +","unit":"in","step":1587500}`: `{"ok":true,"nm":2023268750,"text":"79 5/8 heavy",`,
		`{"text":"2018","unit":"mm"}`:                    `{"ok":true,"nm":2018000000,"text":"2018 mm",`,
		`{"text":"-1/16","unit":"in","signed":true}`:     `{"ok":true,"nm":-1587500,`,
		`{"text":"-1/16","unit":"in"}`:                   `{"ok":false,"sentence":"`,
		`{"text":"","unit":"in"}`:                        `{"ok":false,"sentence":"`,
	} {
		if got := b.Call("parse_length", in); !strings.HasPrefix(got, wanted) {
			t.Errorf("%s:\ngot  %s\nwant %s…", in, got, wanted)
		}
	}
	l := length.In(79, 5, 8)
	got := call(t, b, "print_length", map[string]any{"nm": l, "unit": "in", "step": length.Sixteenth})
	want(t, "text", got["text"], "79 5/8")
	want(t, "tape", got["tape"], l.Tape(length.Style{Unit: length.Inches, Step: length.Sixteenth}))
}

// opened returns a Book with the demo house open as "job", and the house.
func opened(t *testing.T) (*Book, []joblog.Entry) {
	t.Helper()
	steps, people := scenario()
	b, st := NewBook(), joblog.NewState()
	var log []joblog.Entry
	for _, step := range steps {
		for _, e := range joblog.Decide(st.Scope(nil, step.Command), step.Command, people[step.By], step.At, step.At).Entries {
			e.Seq = st.Seq + 1
			st.Apply(e)
			log = append(log, e)
		}
	}
	call(t, b, "open", map[string]any{"as": "job", "state": st})
	return b, log
}

func code(out map[string]json.RawMessage) string {
	return string(out["ok"]) + " " + string(out["code"])
}

// TestRefusalsChangeNothing goes through what a caller can get wrong.
func TestRefusalsChangeNothing(t *testing.T) {
	t.Parallel()
	b, log := opened(t)
	before := b.Call("state", `{"as":"job"}`)
	after := func(i int) joblog.Entry { e := log[i]; e.Seq = int64(len(log) + 1 + i); return e }
	for _, tt := range []struct {
		name string
		in   map[string]any
		code string
	}{
		{"teleport", map[string]any{"as": "job"}, "unknown_call"},
		{"teleport", map[string]any{"as": "elsewhere"}, "unknown_call"},
		{"view_job", map[string]any{"as": "elsewhere"}, "not_open"},
		{"copy", map[string]any{"as": "job", "from": "elsewhere"}, "not_open"},
		{"copy", map[string]any{"from": "job"}, "bad_input"},
		{"open", map[string]any{}, "bad_input"},
		{"view_item", map[string]any{"as": "job", "item": "nowhere"}, "not_there"},
		{"apply", map[string]any{"as": "job", "entries": []joblog.Entry{after(0), after(2)}}, "gap"},
		{"apply", map[string]any{"as": "job", "entries": 5}, "bad_input"},
		{"decide", map[string]any{"as": "job", "now": "noon"}, "bad_input"},
	} {
		got := call(t, b, tt.name, tt.in)
		if c := code(got); c != `false "`+tt.code+`"` || len(got["sentence"]) < 10 {
			t.Errorf("%s %v: got %s %s, want %s", tt.name, tt.in, c, got["sentence"], tt.code)
		}
	}
	if got := b.Call("view_job", `{"as":"job"`); !strings.HasPrefix(got, `{"ok":false,"code":"bad_input"`) {
		t.Errorf("half a call: got %s", got)
	}
	if now := b.Call("state", `{"as":"job"}`); now != before {
		t.Error("a refused call has changed the job")
	}
}

// TestCopyIsAJobOfItsOwn: what waits in the outbox is folded into a copy and never into what
// the server has confirmed.
func TestCopyIsAJobOfItsOwn(t *testing.T) {
	t.Parallel()
	b, log := opened(t)
	before := b.Call("state", `{"as":"job"}`)
	want(t, "seq", call(t, b, "copy", map[string]any{"as": "shown", "from": "job"})["seq"], len(log))
	if got := b.Call("state", `{"as":"shown"}`); got != before {
		t.Fatal("the copy differs from what it was made of")
	}
	var item string
	for _, e := range log {
		if r := e.Command.TakeReading; r != nil && r.Reading == "width_top" {
			item = e.Command.ItemID
		}
	}
	decided := call(t, b, "decide", map[string]any{"as": "shown", "keep": true, "actor": map[string]any{"person_id": log[0].PersonID, "role": "lead"},
		"did_at": now, "now": now, "command": joblog.Command{ID: "018f0000-0000-7000-8000-0000000fffff", Version: 1, Kind: joblog.TakeReadingKind, JobID: log[0].Command.JobID,
			ItemID: item, At: now, TakeReading: &joblog.TakeReading{Reading: "width_top", Value: length.In(50, 1, 8)}}})
	want(t, "refused", decided["refused"], false)
	if got := b.Call("state", `{"as":"shown"}`); got == before {
		t.Error("the kept command is not in the copy")
	}
	if got := b.Call("state", `{"as":"job"}`); got != before {
		t.Error("the kept command is in what the copy was made of")
	}
	// Nor does what the server has confirmed since reach a copy made before, whichever part it changes.
	call(t, b, "copy", map[string]any{"as": "before", "from": "job"})
	seq := int64(len(log))
	for _, c := range []joblog.Command{
		{ItemID: item, Note: &joblog.Note{Text: "x"}},
		{ItemID: item, SetRules: &joblog.SetRules{Set: houserules.Set{"coats": 1}}},
		{RoomID: log[1].Command.RoomID, SetRules: &joblog.SetRules{Set: houserules.Set{"coats": 1}}},
		{SetRules: &joblog.SetRules{Set: houserules.Set{"coats": 1}}},
	} {
		seq++
		call(t, b, "apply", map[string]any{"as": "job", "entries": []joblog.Entry{{Seq: seq, Command: c}}})
	}
	if got := b.Call("state", `{"as":"before"}`); got != before {
		t.Error("what was applied to the job has changed a copy made before")
	}
	call(t, b, "close", map[string]any{"as": "shown"})
	if c := code(call(t, b, "state", map[string]any{"as": "shown"})); c != `false "not_open"` {
		t.Errorf("after close: got %s", c)
	}
}

// TestTouched: a room's rules reach each of its items, a note its own.
func TestTouched(t *testing.T) {
	t.Parallel()
	b, log := opened(t)
	room, inRoom := "", map[string]bool{}
	for _, e := range log {
		if e.Command.AddItem != nil && (room == "" || e.Command.RoomID == room) {
			room = e.Command.RoomID
			inRoom[e.Command.ItemID] = true
		}
	}
	e := joblog.Entry{Seq: int64(len(log) + 1), Command: joblog.Command{JobID: log[0].Command.JobID, RoomID: room, SetRules: &joblog.SetRules{Set: houserules.Set{"coats": 1}}}}
	var touched []string
	if err := json.Unmarshal(call(t, b, "apply", map[string]any{"as": "job", "entries": []joblog.Entry{e}})["touched"], &touched); err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, id := range touched {
		got[id] = true
	}
	if len(inRoom) < 2 || !reflect.DeepEqual(got, inRoom) {
		t.Errorf("touched %v, want the room's %v", got, inRoom)
	}
}

// FuzzBook opens any state and asks everything of it. Nothing may panic, every answer is
// JSON, and a state that opens is kept and opened again as it was.
func FuzzBook(f *testing.F) {
	steps, people := scenario()
	st := joblog.NewState()
	for _, step := range steps {
		for _, e := range joblog.Decide(st.Scope(nil, step.Command), step.Command, people[step.By], step.At, step.At).Entries {
			e.Seq = st.Seq + 1
			st.Apply(e)
		}
	}
	for id, it := range st.Items {
		one := joblog.State{Job: st.Job, Rooms: map[string]*joblog.Room{it.RoomID: st.Rooms[it.RoomID]}, Items: map[string]*joblog.Item{id: it}, Seq: st.Seq}
		text, err := json.Marshal(one)
		if err != nil {
			f.Fatal(err)
		}
		command, err := json.Marshal(steps[int(it.AddedSeq)%len(steps)].Command)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text), string(command))
	}
	f.Add(`{"rooms":{"r":null,"s":{"layout":{"walls":{"walls":[{"length":-1,"angle":99}]}}}},"items":{"i":null,"j":{"unit":{"kind":"run"},"run":{},"room_id":"s"}}}`, `{"kind":"set_walls"}`)
	f.Fuzz(func(t *testing.T, state, command string) {
		b := NewBook()
		for name, in := range map[string]string{"open": `{"as":"a","state":` + state + `}`, "view_entries": `{"entries":[{"command":` + command + `}]}`} {
			if got := b.Call(name, in); !json.Valid([]byte(got)) {
				t.Fatalf("%s answered %q", name, got)
			} else if strings.HasPrefix(got, `{"ok":true`) && !json.Valid([]byte(in)) {
				t.Fatalf("%s took what is not JSON: %q", name, in)
			}
		}
		if b.open["a"] == nil {
			return
		}
		st := b.open["a"].st
		kept := b.Call("state", `{"as":"a"}`)
		if strings.HasPrefix(kept, `{"ok":true,`) {
			b.Call("open", `{"as":"b",`+strings.TrimPrefix(kept, `{"ok":true,`))
			if again := b.Call("state", `{"as":"b"}`); again != kept {
				t.Fatalf("kept   %s\nopened %s", kept, again)
			}
		}
		calls := []string{"view_job", "decide"}
		for range st.Items {
			calls = append(calls, "view_item")
		}
		ids := make([]string, 0, len(st.Items))
		for id := range st.Items {
			ids = append(ids, id)
		}
		for i, name := range calls {
			item := ""
			if i >= 2 {
				item = ids[i-2]
			}
			in, err := json.Marshal(map[string]any{"as": "a", "item": item, "actor": map[string]string{"role": "lead"}, "now": now, "did_at": now, "keep": true})
			if err != nil {
				t.Fatal(err)
			}
			text := strings.TrimSuffix(string(in), "}") + `,"command":` + command + `}`
			if got := b.Call(name, text); !json.Valid([]byte(got)) {
				t.Fatalf("%s answered %q", name, got)
			}
		}
	})
}
