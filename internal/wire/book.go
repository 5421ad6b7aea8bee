package wire

import (
	"strconv"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/words"
)

// Book answers calls. It keeps the jobs its caller has opened, each under a name the caller
// chose, so that a job's state crosses once and its entries as they come. Two names may hold
// the same job: what the server has confirmed, and the same with what still waits in the
// outbox folded in. A Book is for one goroutine.
type Book struct {
	open  map[string]*held
	words map[string]finding.Catalog // by language
	says  string                     // the language last handed over, for a call that names none
}

// NewBook returns a Book without any job.
func NewBook() *Book {
	return &Book{open: map[string]*held{}, words: map[string]finding.Catalog{}}
}

// Call answers one call. in and the answer are JSON objects; the answer has ok: true and
// what was asked for, or ok: false and a sentence, with a code where a program should act on
// it. Nothing that is refused has changed anything.
//
//	words         {language, text}                    → {}; a language's catalog, which later calls speak by
//	parse_length  {text, unit, step, signed, language} → {nm, text, tape}
//	print_length  {nm, unit, step}                    → {text, tape}
//	open          {as, state}                         → {seq}; without a state a job before its first entry
//	copy          {as, from}                          → {seq}; as becomes a job of its own, equal to from
//	close         {as}                                → {}
//	state         {as}                                → {state}, to be kept and opened again
//	apply         {as, entries}                       → {seq, touched}: those numbered past the job's last, in order
//	decide        {as, company, command, actor, did_at, now, reader, keep} → {refused, entries, findings}
//	view_item     {as, company, item, reader}         → {view}
//	view_job      {as, company, reader}               → {view}
//	view_entries  {entries, reader}                   → {entries}: the log in words
//
// company is the company's house rules, reader is {language, unit, step, now}, actor is
// {person_id, role}. touched lists the items whose view an entry may have changed. keep folds
// a command's entries into the job at once, numbered on from its last.
//
// Codes: unknown_call, bad_input, not_open, not_there (no such item), gap (entries are missing
// before the first; pull them), not_finite.
func (b *Book) Call(name, in string) string {
	var q request
	if err := q.read(in); err != nil {
		return failure("bad_input", "The call "+name+" cannot be read: "+err.Sentence+" (at byte "+strconv.Itoa(err.At)+").")
	}
	q.style.Language = q.language
	if q.language == "" {
		q.style.Language = b.says
	}
	c := newWriter(4096)
	var no *refusal
	for c.open(); c.pass(); {
		ok := true
		c.flag("ok", &ok)
		no = b.answer(c, name, &q)
	}
	if no == nil && c.w.err != "" {
		no = &refusal{"not_finite", "The answer cannot be written: " + c.w.err + "."}
	}
	if no != nil {
		return failure(no.code, no.sentence)
	}
	return string(c.w.buf)
}

// refusal is an answer that is not one.
type refusal struct{ code, sentence string }

func quoted(name string) string { return "\"" + name + "\"" }

func failure(code, sentence string) string {
	c := newWriter(256)
	for c.open(); c.pass(); {
		ok := false
		c.flag("ok", &ok)
		c.textIf("code", &code)
		c.text("sentence", &sentence)
	}
	return string(c.w.buf)
}

func (b *Book) answer(c *codec, name string, q *request) *refusal {
	switch name {
	case "words":
		return b.learn(q)
	case "parse_length":
		return b.parseLength(c, q)
	case "print_length":
		writeLength(c, q.nm, q.style)
		return nil
	case "open":
		return b.openJob(c, q)
	case "view_entries":
		b.viewEntries(c, q)
		return nil
	}
	at := q.as
	if name == "copy" {
		at = q.from
	}
	h := b.open[at]
	if h == nil {
		if !known(name) {
			return &refusal{"unknown_call", "The rule book has no call " + quoted(name) + "."}
		}
		return &refusal{"not_open", "No job is open as " + quoted(at) + "."}
	}
	st := h.st
	switch name {
	case "copy":
		return b.copyJob(c, q, h)
	case "close":
		delete(b.open, q.as)
	case "state":
		if c.member("state") {
			joblogState(c, st)
		}
	case "apply":
		return apply(c, q, h)
	case "decide":
		b.decide(c, q, h)
	case "view_item":
		return b.viewItem(c, q, st)
	case "view_job":
		v := joblog.ViewJob(st, q.company, b.reader(q))
		if c.member("view") {
			joblogJobView(c, &v)
		}
	default:
		return &refusal{"unknown_call", "The rule book has no call " + quoted(name) + "."}
	}
	return nil
}

// known reports whether a call is one about an open job.
func known(name string) bool {
	switch name {
	case "copy", "close", "state", "apply", "decide", "view_item", "view_job":
		return true
	}
	return false
}

func (b *Book) parseLength(c *codec, q *request) *refusal {
	read := length.Parse
	if q.signed {
		read = length.ParseSigned
	}
	l, err := read(q.text, q.style.Unit)
	if err != nil {
		return &refusal{"", b.typed(q, err)}
	}
	c.length("nm", &l)
	writeLength(c, l, q.style)
	return nil
}

// typed is why a length was refused, in the language asked for.
func (b *Book) typed(q *request, err error) string {
	why, ok := err.(*length.ParseError)
	if !ok {
		return err.Error()
	}
	if r := b.reader(q); r.Words.Catalog != nil {
		return why.In(r.Words.Catalog)
	}
	return why.In(joblog.Words(q.language).Catalog)
}

func writeLength(c *codec, l length.Length, st length.Style) {
	tape := l.Tape(st)
	c.text("text", &tape.Text)
	if c.member("tape") {
		lengthTape(c, &tape)
	}
}

func (b *Book) openJob(c *codec, q *request) *refusal {
	if q.as == "" {
		return &refusal{"bad_input", "A job is opened under a name."}
	}
	st := q.state
	if st == nil {
		st = joblog.NewState()
	}
	whole(st)
	b.open[q.as] = &held{st: st}
	c.whole("seq", &st.Seq)
	return nil
}

// whole makes a state that was sent without rooms or items fit to fold entries into.
func whole(st *joblog.State) {
	blank := joblog.NewState()
	if st.Rooms == nil {
		st.Rooms = blank.Rooms
	}
	if st.Items == nil {
		st.Items = blank.Items
	}
	for id, room := range st.Rooms {
		if room == nil {
			delete(st.Rooms, id)
		}
	}
	for id, it := range st.Items {
		if it == nil {
			delete(st.Items, id)
		}
	}
}

// apply folds in the entries the job has not had. It takes none when one is missing between.
func apply(c *codec, q *request, h *held) *refusal {
	st := h.st
	next := st.Seq + 1
	for i := range q.entries {
		switch seq := q.entries[i].Seq; {
		case seq == next:
			next++
		case seq > next:
			return &refusal{"gap", "Entry " + strconv.FormatInt(next, 10) + " is missing before entry " + strconv.FormatInt(seq, 10) + "."}
		}
	}
	touched := map[string]bool{}
	wide := map[string]*joblog.Entry{} // by room, or "" for the job: one entry that reaches its items
	for i := range q.entries {
		e := &q.entries[i]
		if e.Seq <= st.Seq {
			continue
		}
		h.own(e.Command)
		switch st.Apply(*e); {
		case st.Items[e.Command.ItemID] != nil:
			touched[e.Command.ItemID] = true
		case e.Command.ReachesOthers():
			wide[e.Command.RoomID] = e
		}
	}
	for _, e := range wide {
		for _, it := range st.Touched(*e) {
			touched[it.ID] = true
		}
	}
	c.whole("seq", &st.Seq)
	ids := make([]string, 0, len(touched))
	for id := range touched {
		ids = append(ids, id)
	}
	if sorted(ids); c.member("touched") {
		c.list(true)
		for i := 0; c.item(i, len(ids)); i++ {
			c.textValue(&ids[i])
		}
	}
	return nil
}

func (b *Book) decide(c *codec, q *request, h *held) {
	st := h.st
	d := joblog.Decide(st.Scope(q.company, q.command), q.command, q.actor, q.didAt, q.now)
	if q.keep {
		h.own(q.command)
		for i := range d.Entries {
			d.Entries[i].Seq = st.Seq + 1
			st.Apply(d.Entries[i])
		}
	}
	said := joblog.RenderOutcome(joblog.Outcome{Findings: d.Findings}, b.reader(q)).Findings
	c.flag("refused", &d.Refused)
	if c.member("entries") {
		es := append([]joblog.Entry{}, d.Entries...) // an answer's lists are never null
		joblogEntryList(c, &es)
	}
	if c.member("findings") {
		fs := append([]finding.Finding{}, said...)
		findingFindingList(c, &fs)
	}
}

func (b *Book) viewItem(c *codec, q *request, st *joblog.State) *refusal {
	if st.Items[q.item] == nil {
		return &refusal{"not_there", "There is no such opening in this job."}
	}
	v := joblog.ViewItem(st.Scope(q.company, joblog.Command{ItemID: q.item}), b.reader(q))
	if c.member("view") {
		joblogItemView(c, &v)
	}
	return nil
}

func (b *Book) viewEntries(c *codec, q *request) {
	out := make([]joblog.EntryView, len(q.entries))
	for i := range q.entries {
		out[i] = joblog.ViewEntry(q.entries[i], b.reader(q))
	}
	if c.member("entries") {
		joblogEntryViewList(c, &out)
	}
}

// learn takes in a language's catalog.
func (b *Book) learn(q *request) *refusal {
	c, err := words.Parse(q.text)
	if err != nil {
		return &refusal{"bad_input", err.Error()}
	}
	if q.language == "" {
		return &refusal{"bad_input", "A catalog is of a language."}
	}
	b.words[q.language], b.says = finding.Catalog{Catalog: c}, q.language
	return nil
}

// catalog is the one of the language asked for, else of the one last handed over; empty when
// the caller has handed none.
func (b *Book) catalog(q *request) finding.Catalog {
	if c, ok := b.words[q.language]; ok {
		return c
	}
	return b.words[b.says]
}

func (b *Book) reader(q *request) joblog.Reader {
	return joblog.Reader{Language: q.language, Words: b.catalog(q), Style: q.style, Now: q.readerNow}
}

// request is what a call may bring. Each call uses its own part of it.
type request struct {
	as, from, item string
	text           string
	signed         bool
	nm             length.Length
	style          length.Style
	language       string
	didAt, now     time.Time
	readerNow      time.Time
	keep           bool
	company        houserules.Set
	state          *joblog.State
	entries        []joblog.Entry
	command        joblog.Command
	actor          joblog.Actor
}

func (q *request) read(in string) *Error {
	c := newReader(in)
	q.visit(c)
	c.r.end()
	return c.r.err
}

func (q *request) visit(c *codec) {
	for c.open(); c.pass(); {
		c.text("as", &q.as)
		c.text("from", &q.from)
		c.text("item", &q.item)
		c.text("text", &q.text)
		c.text("language", &q.language)
		c.flag("signed", &q.signed)
		c.length("nm", &q.nm)
		c.text("unit", (*string)(&q.style.Unit))
		c.length("step", &q.style.Step)
		if c.member("company") {
			houserulesSet(c, &q.company)
		}
		if c.some("state", false) {
			q.state = new(joblog.State)
			joblogState(c, q.state)
		}
		if c.member("entries") {
			joblogEntryList(c, &q.entries)
		}
		if c.member("command") {
			joblogCommand(c, &q.command)
		}
		if c.member("actor") {
			for c.open(); c.pass(); {
				c.text("person_id", &q.actor.PersonID)
				c.text("role", (*string)(&q.actor.Role))
			}
		}
		c.time("did_at", &q.didAt)
		c.time("now", &q.now)
		if c.member("reader") {
			for c.open(); c.pass(); {
				c.text("language", &q.language)
				c.text("unit", (*string)(&q.style.Unit))
				c.length("step", &q.style.Step)
				c.time("now", &q.readerNow)
			}
		}
		c.flag("keep", &q.keep)
	}
}
