package httpapi_test

import (
	"net/http"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/mail"
	"longpoint/internal/walk"
)

// homeowner is a browser that holds a key and no session.
type homeowner struct {
	*client
	key string
}

func (h homeowner) header() http.Header { return http.Header{"Authorization": {"Bearer " + h.key}} }

func (h homeowner) page() httpapi.WalkPage {
	h.t.Helper()
	var p httpapi.WalkPage
	h.do(http.MethodGet, "/api/v1/walk", nil, h.header()).want(http.StatusOK).into(&p)
	return p
}

func (h homeowner) say(of house, cmds ...joblog.Command) httpapi.CommandOutcomes {
	h.t.Helper()
	var out httpapi.CommandOutcomes
	h.do(http.MethodPost, "/api/v1/walk/commands", encode(h.t, of.batch(cmds...)), h.header()).want(http.StatusOK).into(&out)
	return out
}

const walkAddress = "https://trim.example/w"

func openWalk(b *bundle, h house, more map[string]any) httpapi.WalkLink {
	b.t.Helper()
	body := map[string]any{"guest_name": "Ada Brandt", "language": "en", "address": walkAddress}
	for k, v := range more {
		body[k] = v
	}
	var link httpapi.WalkLink
	h.lead.post(h.path("/walks"), body).want(http.StatusOK).into(&link)
	return link
}

func secretOf(t testing.TB, link httpapi.WalkLink) string {
	t.Helper()
	page, secret, ok := strings.Cut(link.Link, "#")
	if !ok || page != walkAddress || len(secret) != 43 {
		t.Fatalf("link: got %q, want %s, # and a secret of 43 characters", link.Link, walkAddress)
	}
	return secret
}

func enter(b *bundle, token, passphrase string) (homeowner, answer) {
	b.t.Helper()
	h := homeowner{client: b.client()}
	a := h.post("/api/v1/walk/enter", map[string]string{"token": token, "passphrase": passphrase})
	var e httpapi.Entered
	if a.status == http.StatusOK {
		a.into(&e)
	}
	h.key = e.Key
	return h, a
}

// A homeowner comes by a link, says what they see, and reads what the lead answers.
func TestAHomeownerWalksThrough(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	link := openWalk(b, h, nil)
	if n := len(link.QR); n < 21 || len(link.QR[0]) != n || strings.Trim(strings.Join(link.QR, ""), "01") != "" {
		t.Errorf("the QR code has %d rows, want a square of 0 and 1", n)
	}
	ada, _ := enter(b, secretOf(t, link), "")
	p := ada.page()
	if p.GuestName != "Ada Brandt" || p.CompanyName != "Plumb & Level" || len(p.View.Rooms) != 1 || p.View.Rooms[0].Items[0].Name != "Hall door" || p.View.State != joblog.WalkGoing {
		t.Fatalf("the page: got %+v, want Ada in the hall of Plumb & Level's job", p)
	}
	said := joblog.Command{ID: newID(), At: time.Now().UTC().Truncate(time.Millisecond), Kind: joblog.SayRemarkKind, WalkID: link.WalkID, RoomID: h.room, ItemID: h.item,
		SayRemark: &joblog.SayRemark{About: walk.Rubs, Text: "at the top", Spot: &joblog.Spot{X: 900, Y: 80}}}
	out := ada.say(h, said)
	if len(out.Outcomes) != 1 || !out.Outcomes[0].Applied {
		t.Fatalf("the remark: got %+v, want it taken", out)
	}
	if again := ada.say(h, said); !again.Outcomes[0].Repeated {
		t.Errorf("the same again: got %+v, want the first answer", again.Outcomes[0])
	}
	h.lead.send(h, joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: link.WalkID, ItemID: h.item,
		MoveRemark: &joblog.MoveRemark{RemarkID: said.ID, Act: walk.Ask, Text: "On the hinge side?"}})
	r := ada.page().View.Rooms[0].Remarks[0]
	if r.State != walk.Asked || r.Moves[0].Sentence != "Asked: On the hinge side?" || r.Moves[0].PersonID != "" || r.Sentence != "It rubs or sticks: at the top" {
		t.Errorf("the homeowner reads %+v, want the lead's question and no name of the crew's", r)
	}
	var lines struct{ Walks []httpapi.WalkLine }
	h.lead.get(h.path("/walks")).want(http.StatusOK).into(&lines)
	if len(lines.Walks) != 1 || lines.Walks[0].GuestName != "Ada Brandt" || len(lines.Walks[0].Open) != 1 {
		t.Errorf("the lead's list: got %+v, want Ada's walk with one open remark", lines.Walks)
	}
	var seen joblog.WalkView
	h.lead.get(h.path("/walks/" + link.WalkID)).want(http.StatusOK).into(&seen)
	if got := seen.Rooms[0].Remarks[0]; got.Moves[0].PersonID != b.ours.lead.ID || got.Stage != "hung" {
		t.Errorf("the lead reads %+v, want who asked and the stage it belongs to", got)
	}
	var look struct {
		LookAt []joblog.LookAt `json:"look_at"`
	}
	h.lead.get(h.path("/pre-walk?room=" + h.room)).want(http.StatusOK).into(&look)
	if len(look.LookAt) != 1 || look.LookAt[0].Code != "look_not_finished" {
		t.Errorf("before the walk: got %+v, want that the door is not finished", look.LookAt)
	}
	if strings.Contains(b.log.String(), secretOf(t, link)) || strings.Contains(b.log.String(), ada.key) {
		t.Error("a secret stands in the log")
	}
}

// A key opens its own walkthrough and nothing else; a link ends when the lead says so.
func TestAKeyOpensNothingElse(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	next := buildHouse(b, b.ours, "Next Door")
	link := openWalk(b, h, nil)
	ada, _ := enter(b, secretOf(t, link), "")
	doc, err := description()
	if err != nil {
		t.Fatal(err)
	}
	for template, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			if op.Security != nil && len(*op.Security) == 0 {
				continue // for everybody
			}
			for _, job := range []string{h.job, next.job} {
				path := strings.NewReplacer("{job}", job, "{item}", h.item, "{walk}", link.WalkID, "{room}", h.room, "{person}", b.ours.lead.ID).Replace(template)
				if strings.Contains(path, "{") {
					path = path[:strings.IndexByte(path, '{')] + newID() + path[strings.IndexByte(path, '}')+1:]
				}
				a := ada.do(method, path, strings.NewReader("{}"), ada.header())
				if a.status < 400 || strings.Contains(string(a.body), "Hall") {
					t.Errorf("%s %s with a homeowner's key: got %d %.200s, want it refused", method, path, a.status, a.body)
				}
			}
		}
	}
	c := joblog.Command{Kind: joblog.SayRemarkKind, WalkID: link.WalkID, RoomID: next.room, SayRemark: &joblog.SayRemark{About: walk.Dent}}
	if out := ada.say(next, c); out.Outcomes[0].Applied {
		t.Error("a remark in the house next door was taken")
	}
	h.lead.do(http.MethodDelete, h.path("/walks/"+link.WalkID+"/link"), nil, nil).want(http.StatusNoContent)
	ada.do(http.MethodGet, "/api/v1/walk", nil, ada.header()).refused(http.StatusUnauthorized, "unauthorized")
	_, a := enter(b, secretOf(t, link), "")
	a.refused(http.StatusNotFound, "not_found")
	ada.do(http.MethodGet, "/api/v1/walk", nil, nil).refused(http.StatusUnauthorized, "unauthorized")
}

func TestALinkWithAPassphrase(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	link := openWalk(b, h, map[string]any{"passphrase": "blue door", "days": 1})
	if left := time.Until(link.ExpiresAt); left > 24*time.Hour || left < 23*time.Hour {
		t.Errorf("the link lasts %s, want a day", left)
	}
	token := secretOf(t, link)
	if h, a := enter(b, token, ""); h.key != "" || !strings.Contains(string(a.want(http.StatusOK).body), `"needs_passphrase":true`) {
		t.Errorf("without the passphrase: got %s, want to be asked for it", a.body)
	}
	_, a := enter(b, token, "red door")
	a.refused(http.StatusUnauthorized, "unauthorized")
	if ada, a := enter(b, token, "blue door"); a.status != http.StatusOK || ada.page().GuestName != "Ada Brandt" {
		t.Errorf("with the passphrase: got %d %s, want to be let in", a.status, a.body)
	}
	for range 3 {
		_, a = enter(b, token, "green door")
	}
	if a.refused(http.StatusTooManyRequests, "rate_limited"); a.header.Get("Retry-After") == "" {
		t.Error("throttled without saying for how long")
	}
}

func TestOpeningAWalkIsALeads(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	body := map[string]any{"guest_name": "Ada Brandt", "language": "en", "address": walkAddress}
	b.as(b.ours.installer).post(h.path("/walks"), body).refused(http.StatusForbidden, "forbidden")
	for _, address := range []string{"", "javascript:alert(1)", "https://trim.example/w#mine", "https://me@trim.example/w", "//trim.example"} {
		body["address"] = address
		h.lead.post(h.path("/walks"), body).refused(http.StatusUnprocessableEntity, "invalid")
	}
	body["address"], body["rooms"] = walkAddress, []string{"kitchen"}
	h.lead.post(h.path("/walks"), body).refused(http.StatusUnprocessableEntity, "invalid")
	if _, err := url.Parse(openWalk(b, h, map[string]any{"rooms": []string{h.room}}).Link); err != nil {
		t.Errorf("the link is no address: %v", err)
	}
}

// A link is made anew after the walkthrough's day, and once more before the next: the homeowner goes on where they were.
func TestANewLinkGoesOnWhereTheLastEnded(t *testing.T) {
	t.Parallel()
	var ahead atomic.Int64
	b := setup(t, func(c *app.Config) { c.Clock = func() time.Time { return time.Now().Add(time.Duration(ahead.Load())) } })
	h := buildHouse(b, b.ours, "Sill Street")
	days := func(n int64) { ahead.Add(n * int64(24*time.Hour)) }
	first := openWalk(b, h, map[string]any{"days": 5})
	ada, _ := enter(b, secretOf(t, first), "")
	dent := joblog.Command{Kind: joblog.SayRemarkKind, WalkID: first.WalkID, RoomID: h.room, ItemID: h.item, SayRemark: &joblog.SayRemark{About: walk.Dent}}
	ada.say(h, dent)
	another := func() httpapi.WalkLink {
		t.Helper()
		var link httpapi.WalkLink
		h.lead.post(h.path("/walks/"+first.WalkID+"/link"), map[string]any{"address": walkAddress, "days": 5}).want(http.StatusOK).into(&link)
		return link
	}
	goesOn := func(when string, link httpapi.WalkLink) {
		t.Helper()
		ada, _ = enter(b, secretOf(t, link), "")
		p := ada.page()
		if p.View.State != joblog.WalkGoing || p.View.ExpiresAt.Sub(link.ExpiresAt).Abs() > time.Millisecond || len(p.View.Rooms[0].Remarks) == 0 {
			t.Errorf("%s: the page is %s until %s, want it going on until %s with what was said", when, p.View.State, p.View.ExpiresAt, link.ExpiresAt)
		}
		if out := ada.say(h, dent); !out.Outcomes[0].Applied {
			t.Errorf("%s: a remark: got %+v, want it taken", when, out.Outcomes[0].Findings)
		}
	}

	days(6)
	ada.do(http.MethodGet, "/api/v1/walk", nil, ada.header()).refused(http.StatusUnauthorized, "unauthorized")
	goesOn("on day 6, by a new link", another())
	days(3)
	early := another()
	days(3)
	goesOn("on day 12, by a link made on day 9", early)

	// A link that ends before the walkthrough moves nothing, nor does one to what a lead has closed.
	h.lead.post(h.path("/walks/"+first.WalkID+"/link"), map[string]any{"address": walkAddress, "days": 1}).want(http.StatusOK)
	h.lead.send(h, joblog.Command{Kind: joblog.CloseWalkKind, WalkID: first.WalkID, CloseWalk: &joblog.CloseWalk{Reason: "They moved."}})
	ada, _ = enter(b, secretOf(t, another()), "")
	if p := ada.page(); p.View.State != joblog.WalkOver {
		t.Errorf("closed, the page by another link is %s, want it over", p.View.State)
	}
	var log httpapi.LogPage
	h.lead.get(h.path("/history?kind=extend_walk")).want(http.StatusOK).into(&log)
	if len(log.Entries) != 2 || log.Entries[0].Sentence != "Walkthrough extended." || log.Entries[0].PersonID != b.ours.lead.ID {
		t.Errorf("the log: got %+v, want the lead's two extensions", log.Entries)
	}
	for path, want := range map[string]string{"/history.csv?kind=extend_walk": "Walkthrough extended.", "/history.jsonl?kind=extend_walk&language=es": "Recorrido prolongado."} {
		if a := h.lead.get(h.path(path)).want(http.StatusOK); strings.Count(string(a.body), want) != 2 {
			t.Errorf("%s: got %s, want two lines", path, a.body)
		}
	}
	installers := joblog.Command{Kind: joblog.ExtendWalkKind, WalkID: first.WalkID, ExtendWalk: &joblog.ExtendWalk{ExpiresAt: time.Now().Add(1000 * time.Hour)}}
	bo := b.as(b.ours.installer)
	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, ItemID: h.item, Assign: &joblog.Assign{PersonID: b.ours.installer.ID}})
	if out := bo.send(h, installers); out.Outcomes[0].Applied || out.Outcomes[0].Findings[0].Code != "lead_only" {
		t.Errorf("an installer's extension: got %+v, want it refused", out.Outcomes[0])
	}
}

// opened counts what opening walkthroughs has left.
func (b *bundle) opened() (n struct{ walks, guests, links, messages, refused int64 }) {
	b.t.Helper()
	if err := b.db.Owner.QueryRow(b.t.Context(), `select (select count(*) from walks), (select count(*) from people where role = 'guest'),
		(select count(*) from walk_links where ended_at is null), (select count(*) from messages), (select count(*) from commands where outcome = 'refused')`).
		Scan(&n.walks, &n.guests, &n.links, &n.messages, &n.refused); err != nil {
		b.t.Fatal(err)
	}
	return n
}

// The answer is lost and the lead presses again: there is one walkthrough, one homeowner and one e-mail, and a link to it.
func TestOpeningAWalkTwiceOpensOne(t *testing.T) {
	t.Parallel()
	sink, err := mail.OpenSink(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = sink.Close() })
	b := setup(t, func(c *app.Config) {
		c.Mail = mail.Config{URL: sink.URL(), From: "Longpoint <jobs@trim.example>"}
	})
	h := buildHouse(b, b.ours, "Sill Street")
	asked := map[string]any{"walk_id": newID(), "email": "ada@example.com"}
	first := openWalk(b, h, asked)
	again := openWalk(b, h, asked)
	if first.WalkID != asked["walk_id"] || again.WalkID != first.WalkID || again.ExpiresAt.Sub(first.ExpiresAt).Abs() > time.Millisecond {
		t.Errorf("opened again: got %s until %s, want %s until %s", again.WalkID, again.ExpiresAt, first.WalkID, first.ExpiresAt)
	}
	// The first is in the homeowner's mailbox, the other before the lead's eyes.
	for name, link := range map[string]httpapi.WalkLink{"first": first, "other": again} {
		if ada, a := enter(b, secretOf(t, link), ""); a.status != http.StatusOK || ada.page().View.ID != first.WalkID {
			t.Errorf("by the %s link: got %d %s, want the walkthrough", name, a.status, a.body)
		}
	}
	if got := b.opened(); got.walks != 1 || got.guests != 1 || got.links != 2 || got.messages != 1 {
		t.Errorf("twice the same: got %+v, want one of each and two links", got)
	}
	// Another request by that id.
	for name, more := range map[string]map[string]any{"another homeowner": {"guest_name": "Dana Whitfield"}, "other rooms": {"rooms": []string{h.room}}} {
		body := map[string]any{"walk_id": first.WalkID, "guest_name": "Ada Brandt", "language": "en", "address": walkAddress}
		for k, v := range more {
			body[k] = v
		}
		if h.lead.post(h.path("/walks"), body).refused(http.StatusConflict, "conflict"); b.opened().links != 2 {
			t.Errorf("%s under the id of another's walkthrough has a link", name)
		}
	}

	// All at once, and as apps from before ask.
	asked["walk_id"] = newID()
	var at sync.WaitGroup
	var went atomic.Int64
	for range 4 {
		at.Go(func() {
			a := h.lead.post(h.path("/walks"), map[string]any{"walk_id": asked["walk_id"], "guest_name": "Ada Brandt", "language": "en", "address": walkAddress})
			if a.status == http.StatusOK {
				went.Add(1)
			}
		})
	}
	at.Wait()
	if got := b.opened(); went.Load() != 4 || got.walks != 2 || got.guests != 2 {
		t.Errorf("four at once: got %d answers and %+v, want each answered and one more", went.Load(), got)
	}
	if one, other := openWalk(b, h, nil), openWalk(b, h, nil); one.WalkID == other.WalkID {
		t.Error("without an id, two requests opened one walkthrough")
	}
}

// What cannot be opened leaves nothing: no homeowner, no entry, no link.
func TestAWalkIsOpenedWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	body := map[string]any{"walk_id": newID(), "guest_name": "Ada Brandt", "language": "en", "address": walkAddress, "rooms": []string{"kitchen"}}
	h.lead.post(h.path("/walks"), body).refused(http.StatusUnprocessableEntity, "invalid")
	if got := b.opened(); got.guests != 0 || got.refused != 0 {
		t.Errorf("refused by the rules: got %+v left, want nothing", got)
	}
	if _, err := b.db.Owner.Exec(t.Context(), `
		create function give_way() returns trigger language plpgsql as $$ begin raise exception 'no room'; end $$;
		create trigger give_way before insert on walk_links for each row execute function give_way()`); err != nil {
		t.Fatal(err)
	}
	delete(body, "rooms")
	h.lead.post(h.path("/walks"), body).refused(http.StatusInternalServerError, "internal")
	if got := b.opened(); got.walks != 0 || got.guests != 0 {
		t.Errorf("without a link: got %+v left, want nothing", got)
	}
	if _, err := b.db.Owner.Exec(t.Context(), `drop trigger give_way on walk_links`); err != nil {
		t.Fatal(err)
	}
	var link httpapi.WalkLink
	h.lead.post(h.path("/walks"), body).want(http.StatusOK).into(&link)
	if ada, _ := enter(b, secretOf(t, link), ""); ada.page().View.ID != body["walk_id"] {
		t.Error("pressed again, the link does not open the walkthrough")
	}
	h.lead.post("/api/v1/jobs/"+newID()+"/walks", body).refused(http.StatusNotFound, "not_found")
}
