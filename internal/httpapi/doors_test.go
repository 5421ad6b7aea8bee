package httpapi_test

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"

	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
)

// who may come to a door, and so what those who may not are told.
type who int

const (
	ofTheJob  who = iota // people on the job: to all others it is not there
	leadOfJob            // leads of its company; an installer of it is told that, or that it is not there
	lead                 // leads of a company, about people and things of theirs by id
	leadOwn              // leads of a company, about the company as a whole
	crewOwn              // anyone of a company, about it as a whole or about themselves
	everybody            // no sign-in: what is asked for is in a secret, or nobody's
	guestKey             // a homeowner's key, and only its own walk
)

// door is what the test has to know of one operation.
type door struct {
	for_ who
	// body is one that would be taken from somebody who may; nil sends none.
	body func(*rooms) any
	// header goes along with it; bytes in place of a body.
	part bool
	// commands are always answered, each with its outcome.
	commands bool
	// ours is for what a homeowner's key asks by the id of a thing of our walk: not there for another's.
	ours bool
	// gone is for what answers 204 for a thing that is not there, and so for one of others'.
	gone bool
	// reason is why somebody who is not of the job may get an answer; for crewOwn and leadOwn
	// an answer about their own company.
	reason string
}

// rooms is what there is to be found: a house of ours with everything in it.
type rooms struct {
	house
	b        *bundle
	link     httpapi.WalkLink
	photo    shot
	invite   httpapi.InviteLine
	session  string
	passkey  string
	template string
	message  string
	phone    string // a lost one, with an entry that waits
	marker   string
	installs string // our installer's id
}

func anything(v any) func(*rooms) any { return func(*rooms) any { return v } }

// whoMayCome lists every operation of the API. One that is not here fails the test: whoever adds
// it says who may come, and the test then tries everyone else.
var whoMayCome = map[string]door{
	"get-job":             {for_: ofTheJob},
	"list-entries":        {for_: ofTheJob},
	"stream-events":       {for_: ofTheJob},
	"get-item":            {for_: ofTheJob},
	"list-item-entries":   {for_: ofTheJob},
	"get-log":             {for_: ofTheJob},
	"list-photos":         {for_: ofTheJob},
	"get-photo":           {for_: ofTheJob},
	"get-photo-thumbnail": {for_: ofTheJob},
	"ask-upload":          {for_: ofTheJob},
	"send-part":           {for_: ofTheJob, part: true},
	"pre-walk":            {for_: ofTheJob},
	"list-refused":        {for_: ofTheJob},
	"get-state":           {for_: ofTheJob},
	"get-opening-card":    {for_: ofTheJob},
	"get-log-sheet":       {for_: ofTheJob},
	"get-cut-sheet":       {for_: ofTheJob},
	"get-punch-list":      {for_: ofTheJob},
	"get-sign-off-record": {for_: ofTheJob},
	"get-stock":           {for_: ofTheJob},
	"get-forecast":        {for_: ofTheJob},
	"get-stock-csv":       {for_: ofTheJob},
	"look-through-log":    {for_: ofTheJob},
	"export-log-csv":      {for_: ofTheJob},
	"export-log-jsonl":    {for_: ofTheJob},
	"get-stock-pdf":       {for_: ofTheJob},
	"plan-stock":          {for_: ofTheJob, body: anything(map[string]any{})},
	"list-walks":          {for_: ofTheJob},
	"get-walk":            {for_: ofTheJob},
	"send-commands":       {for_: ofTheJob, commands: true},

	"set-job-stock-list": {for_: leadOfJob, body: anything(map[string]any{"lines": []any{}})},
	"preview-schedule":   {for_: leadOfJob, body: anything(httpapi.ScheduleSheet{Sheet: []byte("room,mark,width,height\nHall,D2,30,80\n")})},
	"import-schedule": {for_: leadOfJob, body: func(*rooms) any {
		return httpapi.ScheduleImport{TogetherParams: asked(newID()), ScheduleSheet: httpapi.ScheduleSheet{Sheet: []byte("room,mark,width,height\nHall,D2,30,80\n")}}
	}},
	"copy-room":         {for_: leadOfJob, body: func(*rooms) any { return httpapi.RoomCopy{TogetherParams: asked(newID()), Name: "Hall two"} }},
	"use-template":      {for_: leadOfJob, body: func(*rooms) any { return httpapi.TemplateUse{TogetherParams: asked(newID())} }},
	"open-walk":         {for_: leadOfJob, body: anything(map[string]any{"guest_name": "Nobody", "language": "en", "address": walkAddress})},
	"end-walk-link":     {for_: leadOfJob},
	"get-walk-contacts": {for_: leadOfJob},
	"set-walk-contacts": {for_: leadOfJob, body: anything(map[string]any{"language": "en"})},
	"make-walk-link":    {for_: leadOfJob, body: anything(map[string]any{"address": walkAddress})},

	"remove-person":     {for_: lead},
	"get-access":        {for_: lead},
	"remove-passkey":    {for_: lead},
	"end-session":       {for_: lead},
	"lose-phone":        {for_: lead},
	"phone-is-back":     {for_: lead},
	"settle-held":       {for_: lead, body: anything(map[string]any{"take": true, "commands": []string{newID()}})},
	"set-role":          {for_: lead, body: anything(map[string]any{"role": "lead"})},
	"end-invite":        {for_: lead},
	"try-message-again": {for_: lead},
	"invite": {for_: lead, body: func(r *rooms) any {
		return map[string]any{"person": r.b.ours.lead.ID, "address": walkAddress}
	}},

	"drop-template": {for_: lead, gone: true}, // taking away what is not there is done already
	"make-template": {for_: lead, body: func(r *rooms) any {
		return httpapi.TemplateNew{ID: newID(), Name: "Taken", Kind: "rooms", Job: r.job}
	}},

	"list-templates":   {for_: leadOwn, reason: "what a company has put by"},
	"list-lost-phones": {for_: leadOwn, reason: "a company's own phones"},
	"list-messages":    {for_: leadOwn, reason: "whom a company wrote to"},
	"list-invites":     {for_: leadOwn, reason: "a company's own invitations"},
	"set-rules":        {for_: leadOwn, body: anything(map[string]any{"set": map[string]int64{}}), reason: "a company's own house rules"},
	"set-stock-list":   {for_: leadOwn, body: anything(map[string]any{"lines": []any{}}), reason: "a company's own list"},

	"list-people":    {for_: crewOwn, reason: "the crew one is of"},
	"list-jobs":      {for_: crewOwn, reason: "the jobs one is on"},
	"search":         {for_: crewOwn, reason: "the jobs one is on"},
	"get-rules":      {for_: crewOwn, reason: "the house rules one works by"},
	"get-stock-list": {for_: crewOwn, reason: "what one's company buys"},
	"get-session":    {for_: crewOwn, reason: "oneself"},
	"set-settings":   {for_: crewOwn, body: anything(map[string]any{"language": "en", "unit": "in"}), reason: "oneself"},
	"set-passphrase": {for_: crewOwn, body: anything(map[string]any{"old": passphrase, "new": passphrase}), reason: "oneself, by one's own passphrase"},
	"begin-passkey":  {for_: crewOwn, reason: "oneself"},
	"make-calendar":  {for_: crewOwn, body: anything(map[string]any{"zone": "UTC"}), reason: "one's own days"},
	"end-calendar":   {for_: crewOwn, reason: "one's own days"},
	"get-push":       {for_: crewOwn, reason: "one's own phone"},
	"drop-push":      {for_: crewOwn, reason: "one's own phone"},
	"set-push": {for_: crewOwn, body: anything(map[string]any{"endpoint": "https://push.example/x",
		"p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4", "auth": "BTBZMqHH6r4Tts7J_aSIgg"}), reason: "one's own phone"},
	"add-passkey": {for_: crewOwn, body: anything(map[string]any{"secret": "x", "answer": map[string]any{}}), reason: "oneself"},

	"sign-in":               {for_: everybody, body: anything(map[string]any{"sign_in": "ines", "passphrase": "no"}), reason: "one has to come in"},
	"sign-out":              {for_: everybody, reason: "ends what one has oneself"},
	"begin-passkey-sign-in": {for_: everybody, reason: "a question that names nobody"},
	"sign-in-by-passkey":    {for_: everybody, body: anything(map[string]any{"secret": "x", "answer": map[string]any{}}), reason: "one has to come in"},
	"look-at-invite":        {for_: everybody, body: anything(map[string]any{"token": "x"}), reason: "by the secret alone"},
	"join-with-passkey":     {for_: everybody, body: anything(map[string]any{"token": "x"}), reason: "by the secret alone"},
	"join":                  {for_: everybody, body: anything(map[string]any{"token": "x", "name": "N", "sign_in": "n", "passphrase": passphrase}), reason: "by the secret alone"},
	"get-calendar":          {for_: everybody, reason: "by the secret alone"},
	"enter-walk":            {for_: everybody, body: anything(map[string]any{"token": "x"}), reason: "by the secret alone"},
	"cut-door":              {for_: everybody, body: anything(map[string]any{"unit": map[string]any{"kind": "door"}, "readings": map[string]string{"width_botom": "30"}}), reason: "a calculation of what was sent"},

	"get-walk-page":            {for_: guestKey},
	"send-walk-commands":       {for_: guestKey, commands: true},
	"get-walk-punch-list":      {for_: guestKey},
	"get-walk-record":          {for_: guestKey},
	"get-walk-photo":           {for_: guestKey, ours: true},
	"get-walk-photo-thumbnail": {for_: guestKey, ours: true},
	"ask-walk-upload":          {for_: guestKey, ours: true},
	"send-walk-part":           {for_: guestKey, part: true, ours: true},
}

func furnish(b *bundle) *rooms {
	r := &rooms{b: b, marker: "Quillfeather", installs: b.ours.installer.ID}
	r.house = buildHouse(b, b.ours, r.marker+" Lane")
	r.lead.send(r.house, r.house.take("width_bottom", "3")) // refused, and kept
	r.lead.send(r.house, joblog.Command{Kind: joblog.NoteKind, ItemID: r.item, Note: &joblog.Note{Text: r.marker + " said so."}})
	r.link = openWalk(b, r.house, map[string]any{"guest_name": r.marker + " Brandt"})
	r.photo = r.lead.take(r.house, camera(64, 48))
	r.lead.part(r.photo, 0, len(r.photo.data)).want(http.StatusNoContent)
	r.lead.do(http.MethodPut, r.path("/stock/list"), encode(b.t, map[string]any{"lines": []any{}}), nil).want(http.StatusOK)
	var made httpapi.InviteLink
	r.lead.post("/api/v1/invites", map[string]any{"name": r.marker, "address": walkAddress}).want(http.StatusOK).into(&made)
	r.invite = made.Invite
	r.template = newID()
	r.lead.post("/api/v1/templates", httpapi.TemplateNew{ID: r.template, Name: r.marker, Kind: "rooms", Job: r.job}).want(http.StatusOK)
	device := newAuthenticator(b.t)
	device.add(r.lead)
	var access httpapi.Access
	r.lead.get("/api/v1/people/" + b.ours.lead.ID + "/access").want(http.StatusOK).into(&access)
	r.message = r.failedMessage()
	r.phone = r.lostPhone()
	r.session, r.passkey = access.Sessions[0].ID, access.Passkeys[0].ID
	return r
}

// TestNobodyElseGetsIn walks every operation of the description with the real ids of our
// house, as a stranger, as another company's lead, as our installer who is not on the job and
// as a homeowner of another job of ours. Each is told that nothing is there, or that it is not
// theirs to do; not a byte of the house, its people or its photo is in any answer, and
// afterwards everything is as it was.
func TestNobodyElseGetsIn(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 1000 })
	r := furnish(b)
	doc, err := description()
	if err != nil {
		t.Fatal(err)
	}
	// Another installer is on another job only, and there is the homeowner's walk.
	elsewhere := buildHouse(b, b.ours, "Next Door")
	var sol httpapi.Me
	installer := b.client()
	join(installer, invite(b, r.lead, nil), nil).want(http.StatusOK).into(&sol)
	r.lead.send(elsewhere, joblog.Command{Kind: joblog.AssignKind, RoomID: elsewhere.room, Assign: &joblog.Assign{PersonID: sol.PersonID}})
	ada, _ := enter(b, secretOf(t, openWalk(b, elsewhere, nil)), "")
	before := r.snapshot()

	visitors := []struct {
		name   string
		c      *client
		header http.Header
		role   string
	}{
		{"nobody", b.client(), nil, "nobody"},
		{"another company's lead", b.as(b.strangers.lead), nil, "stranger"},
		{"our installer, not on the job", installer, nil, "installer"},
		{"a homeowner of another job", ada.client, ada.header(), "guest"},
	}
	seen := map[string]bool{}
	var last []func() // what is sent as a command is the sender's to see from then on
	for template, item := range doc.Paths.Map() {
		path := strings.NewReplacer("{job}", r.job, "{item}", r.item, "{room}", r.room, "{walk}", r.link.WalkID, "{photo}", r.photo.id,
			"{person}", b.ours.lead.ID, "{invite}", r.invite.ID, "{session}", r.session, "{passkey}", r.passkey,
			"{template}", r.template, "{message}", r.message, "{phone}", r.phone, "{token}", "x").Replace(template)
		if strings.Contains(path, "{") {
			t.Errorf("%s: give what stands in braces a real id here", template)
			continue
		}
		for method, op := range item.Operations() {
			d, ok := whoMayCome[op.OperationID]
			if !ok {
				t.Errorf("%s %s (%s) is not in the list of doors: say who may come", method, template, op.OperationID)
				continue
			}
			seen[op.OperationID] = true
			if open := op.Security != nil && len(*op.Security) == 0; open != (d.for_ == everybody || d.for_ == guestKey) {
				t.Errorf("%s: open to everybody %v by the description, which is not what the list says", op.OperationID, open)
			}
			for _, v := range visitors {
				if op.OperationID == "sign-out" || op.OperationID == "set-passphrase" && v.role != "nobody" {
					continue // of one's own only: tried elsewhere, and it would end the visit
				}
				try := func() {
					what := v.name + " at " + method + " " + template
					a := knock(r, d, v.c, method, path, v.header)
					d.judge(t, what, v.role, a)
					r.wantNothingOf(what, v.role, d, a)
				}
				if d.commands {
					last = append(last, try)
					continue
				}
				try()
			}
		}
	}
	for _, try := range last {
		try()
	}
	for id := range whoMayCome {
		if !seen[id] {
			t.Errorf("%s is in the list of doors and not in the description", id)
		}
	}
	for i, after := range r.snapshot() {
		if after != before[i] {
			t.Errorf("afterwards: got %s, want %s", after, before[i])
		}
	}
}

// knock sends what somebody who may come would send.
func knock(r *rooms, d door, c *client, method, path string, header http.Header) answer {
	var body io.Reader
	switch {
	case d.part:
		body = bytes.NewReader(r.photo.data[:10])
		h := partHeader(0)
		for k, v := range header {
			h[k] = v
		}
		header = h
	case d.commands:
		body = encode(r.b.t, r.batch(r.house.take("width_top", "30")))
		path += "?view=" + r.item
		if strings.HasSuffix(path, "/walk/commands?view="+r.item) {
			path = "/api/v1/walk/commands"
		}
	case d.body != nil:
		body = encode(r.b.t, d.body(r))
	}
	return c.do(method, path, body, header)
}

func (d door) judge(t *testing.T, what, role string, a answer) {
	t.Helper()
	want := func(statuses ...int) {
		t.Helper()
		if !slices.Contains(statuses, a.status) {
			t.Errorf("%s: got %d %.200s, want one of %v", what, a.status, a.body, statuses)
		}
	}
	signedIn := role == "stranger" || role == "installer"
	switch {
	case d.for_ == everybody:
		if a.status >= 500 {
			t.Errorf("%s: got %d %s", what, a.status, a.body)
		}
	case d.for_ == guestKey:
		if role == "guest" && d.ours {
			want(http.StatusNotFound)
			break
		}
		if role == "guest" {
			want(http.StatusOK)
			break
		}
		want(http.StatusUnauthorized)
	case !signedIn:
		want(http.StatusUnauthorized)
	case d.commands:
		// A command is always answered: refused, as for a job that is not there.
		want(http.StatusOK)
	case d.for_ == ofTheJob:
		want(http.StatusNotFound)
	case d.gone && role == "stranger":
		want(http.StatusNoContent)
	case d.for_ == leadOfJob, d.for_ == lead:
		want(http.StatusNotFound, http.StatusForbidden)
	case d.for_ == leadOwn && role == "installer":
		want(http.StatusForbidden)
	default:
		if d.reason == "" {
			t.Errorf("%s: an answer about one's own company needs its reason", what)
		}
		if a.status >= 500 {
			t.Errorf("%s: got %d %s", what, a.status, a.body)
		}
	}
}

// wantNothingOf looks for the house in an answer.
func (r *rooms) wantNothingOf(what, role string, d door, a answer) {
	r.b.t.Helper()
	secrets := []string{r.marker, r.room, r.item, r.link.WalkID, r.photo.id, r.session, r.passkey, r.invite.ID, r.phone}
	if !d.commands { // an outcome names the command, and nothing else
		secrets = append(secrets, r.job)
	}
	if role != "installer" && role != "guest" { // those two are of the company, or its customer
		secrets = append(secrets, r.b.ours.company.ID, r.b.ours.company.Name, r.b.ours.lead.ID, r.installs)
	}
	for _, secret := range secrets {
		if bytes.Contains(a.body, []byte(secret)) {
			r.b.t.Errorf("%s: the answer holds %q: %.300s", what, secret, a.body)
		}
	}
	own := role == "guest" && d.for_ == guestKey && !d.ours // a paper of their own walk
	if !own && bytes.HasPrefix(a.body, []byte("\xff\xd8")) || !own && bytes.HasPrefix(a.body, []byte("%PDF")) {
		r.b.t.Errorf("%s: the answer is a file", what)
	}
	if d.commands && a.status == http.StatusOK {
		var out httpapi.CommandOutcomes
		a.into(&out)
		if len(out.Outcomes) != 1 || out.Outcomes[0].Applied || out.View != nil || out.Seq != 0 && role != "guest" {
			r.b.t.Errorf("%s: got %s, want it refused and nothing more", what, a.body)
		}
	}
}

// snapshot is everything the lead sees of the house and the company.
func (r *rooms) snapshot() []string {
	var out []string
	for _, path := range []string{r.path("/log"), r.path("/photos"), r.path("/walks"), r.path("/stock"), "/api/v1/people", "/api/v1/invites", "/api/v1/messages", "/api/v1/lost-phones",
		"/api/v1/rules", "/api/v1/templates", "/api/v1/stock/list", "/api/v1/people/" + r.b.ours.lead.ID + "/access"} {
		a := r.lead.get(path).want(http.StatusOK)
		var v map[string]any
		a.into(&v)
		delete(v, "server_time")
		b, err := json.Marshal(v)
		if err != nil {
			r.b.t.Fatal(err)
		}
		out = append(out, path+" "+string(b))
	}
	return out
}

// The list is no use if the one who may come is turned away too.
func TestWhoMayComeGetsIn(t *testing.T) {
	t.Parallel()
	b := setup(t)
	r := furnish(b)
	for _, path := range []string{r.path(""), r.path("/items/" + r.item), r.path("/photos/" + r.photo.id + "/full.jpg"), r.path("/walks/" + r.link.WalkID),
		"/api/v1/people/" + b.ours.lead.ID + "/access", "/api/v1/invites"} {
		if a := r.lead.get(path).want(http.StatusOK); len(a.body) == 0 {
			t.Errorf("%s is empty", path)
		}
	}
	b.as(b.ours.installer).get(r.path("")).want(http.StatusOK)
	r.lead.send(r.house, joblog.Command{Kind: joblog.AssignKind, RoomID: r.room, Assign: &joblog.Assign{}})
	bo := b.as(b.ours.installer)
	bo.get(r.path("")).refused(http.StatusNotFound, "not_found")
}

// lostPhone is our installer's, with an entry of the house that waits for a lead's word.
func (r *rooms) lostPhone() string {
	r.b.t.Helper()
	r.b.onDevice(r.b.ours.installer)
	r.lead.lose(r.installs)
	said := joblog.Command{Kind: joblog.NoteKind, ItemID: r.item, Note: &joblog.Note{Text: r.marker + " waits."}}
	r.b.onDevice(r.b.ours.installer).post(r.path("/commands"), r.batch(said)).want(http.StatusOK)
	return r.lead.lostPhones()[0].ID
}

// failedMessage is an e-mail of ours that did not go out, by its id: one who could try it again would find it.
func (r *rooms) failedMessage() string {
	r.b.t.Helper()
	id := newID()
	if _, err := r.b.db.Owner.Exec(r.b.t.Context(), `
		insert into messages (company_id, message_id, job_id, about_id, kind, email, language, says, made_at, begun_at, due_at, tries, state, trouble, settled_at)
		values ($1, $2, $3, $4, 'walk_ready', $5, 'en', '{}', now(), now(), now(), 3, 'failed', 'no_answer', now())`,
		r.b.ours.company.ID, id, r.job, r.link.WalkID, strings.ToLower(r.marker)+"@example.com"); err != nil {
		r.b.t.Fatal(err)
	}
	return id
}
