package httpapi_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
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
