package httpapi_test

import (
	"bytes"
	"io"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func (c *client) board(h house) joblog.JobView {
	c.t.Helper()
	var v joblog.JobView
	c.get(h.path("")).want(http.StatusOK).into(&v)
	return v
}

func asked(id string) httpapi.TogetherParams {
	now := time.Now().UTC().Truncate(time.Millisecond)
	return httpapi.TogetherParams{ID: id, At: now, SentAt: now}
}

// A lead pastes a schedule: one row is bad and nothing is taken, it is mended and all is, and
// sending it once more adds nothing.
func TestAScheduleIsTakenWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	text := "Room,Level,Mark,Kind,Width,Height,Note\nHall,,Hall door,door,28,80,\nKitchen,main,D1,door,30,80,\"Ask about the sill, please\"\nKitchen,,D2,pocket,=A1*2,80,\nLoft,upper,W1,window,36,48,\n"
	sheet := httpapi.ScheduleSheet{Sheet: []byte(text)}
	var p httpapi.SchedulePreview
	h.lead.post(h.path("/schedule/preview"), sheet).want(http.StatusOK).into(&p)
	if p.Between != "comma" || !p.Named || p.Bad != 1 || p.There != 1 || p.NewItems != 2 || p.NewRooms != 2 || len(p.Rows) != 4 {
		t.Fatalf("preview: got %+v", p)
	}
	if bad := p.Rows[2]; bad.State != "bad" || bad.Line != 4 || len(bad.Problems) != 1 || bad.Problems[0].Column != 4 || !strings.Contains(bad.Problems[0].Sentence, "is a formula, =A1*2") {
		t.Errorf("the bad row: got %+v", bad)
	}
	if says := p.Rows[1].Says; says != "Door, 30 × 80" {
		t.Errorf("the good row says %q", says)
	}
	before := h.lead.board(h).Seq
	ask := httpapi.ScheduleImport{TogetherParams: asked(newID()), ScheduleSheet: sheet}
	refusal := h.lead.post(h.path("/schedule"), ask).refused(http.StatusUnprocessableEntity, "invalid")
	if len(refusal.Errors) != 1 || refusal.Errors[0].Where != "line 4" {
		t.Errorf("refusal: got %+v", refusal.Errors)
	}
	if now := h.lead.board(h).Seq; now != before {
		t.Errorf("a refused import left entries: %d, then %d", before, now)
	}

	ask.Sheet = []byte(strings.Replace(text, "=A1*2", "30", 1))
	var first, again httpapi.SetUpOutcome
	h.lead.post(h.path("/schedule"), ask).want(http.StatusOK).into(&first)
	ask.SentAt = ask.SentAt.Add(time.Minute)
	h.lead.post(h.path("/schedule"), ask).want(http.StatusOK).into(&again)
	// Two rooms, three openings and a note.
	if first.FirstSeq != before+1 || first.LastSeq != before+6 || first.Repeated || !again.Repeated || again.FirstSeq != first.FirstSeq || again.LastSeq != first.LastSeq {
		t.Errorf("got %+v, then %+v", first, again)
	}
	v := h.lead.board(h)
	var names []string
	for _, r := range v.Rooms {
		for _, it := range r.Items {
			names = append(names, r.Name+"/"+it.Name)
		}
	}
	if got := strings.Join(names, " "); v.Seq != first.LastSeq || got != "Hall/Hall door Kitchen/D1 Kitchen/D2 Loft/W1" {
		t.Errorf("the board: %d, %s", v.Seq, got)
	}
	// Under the id of a request stands that request alone; under another id everything is there.
	ask.Sheet = []byte(text + "Loft,,W2,window,36,48,\n")
	h.lead.post(h.path("/schedule"), ask).refused(http.StatusConflict, "conflict")
	ask.TogetherParams, ask.Sheet = asked(newID()), []byte(strings.Replace(text, "=A1*2", "30", 1))
	h.lead.post(h.path("/schedule"), ask).refused(http.StatusUnprocessableEntity, "invalid")
	if now := h.lead.board(h).Seq; now != v.Seq {
		t.Errorf("an import of what is there added entries: %d, then %d", v.Seq, now)
	}
}

// What the rules of the trade refuse of a row is said of the row, in the reader's language.
func TestARowTheRulesRefuse(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	var p httpapi.SchedulePreview
	h.lead.post(h.path("/schedule/preview?language=es"), httpapi.ScheduleSheet{Sheet: []byte("room;mark;width;height\nHall;D2;300';80\nHall;D3;30;80\n")}).want(http.StatusOK).into(&p)
	if p.Bad != 1 || p.Rows[0].State != "bad" || len(p.Rows[0].Problems) != 1 || p.Rows[0].Problems[0].Column != 2 || p.Rows[1].State != "new" || p.Rows[1].Says != "Puerta, 30 × 80" {
		t.Fatalf("got %+v", p.Rows)
	}
	h.lead.post(h.path("/schedule/preview"), httpapi.ScheduleSheet{Sheet: []byte("room,mark,size\nHall,D2,2x80\n")}).want(http.StatusOK).into(&p)
	if p.Rows[0].State != "bad" || p.Rows[0].Problems[0].Column != 2 {
		t.Errorf("a slab 2 in wide: got %+v", p.Rows[0])
	}
	h.lead.post(h.path("/schedule/preview"), httpapi.ScheduleSheet{Sheet: []byte("Hall,D2\nHall,D3\n")}).want(http.StatusOK).into(&p)
	if len(p.Wrong) != 2 || p.Rows[0].State != "unread" || len(p.Rows) != 2 || p.Named {
		t.Errorf("without names over the columns: got %+v", p)
	}
}

// What is no schedule is turned away before it is read.
func TestScheduleFilesThatAreTurnedAway(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	for name, sheet := range map[string]string{"a workbook": "PK\x03\x04", "old letters": "room,mark\nBa\xf1o,D1", "an open quote": "room,mark\n\"Hall,D1\n"} {
		if p := h.lead.post(h.path("/schedule/preview"), httpapi.ScheduleSheet{Sheet: []byte(sheet)}).refused(http.StatusUnprocessableEntity, "invalid"); len(p.Detail) < 30 {
			t.Errorf("%s: got %q", name, p.Detail)
		}
	}
	// 100 MB: the answer comes although most of it was never sent.
	read := &counted{from: io.LimitReader(zeros{}, 100<<20)}
	r, err := http.NewRequest(http.MethodPost, h.lead.base+h.path("/schedule/preview"), io.MultiReader(strings.NewReader(`{"sheet":"`), read))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.ContentLength = 100<<20 + 10
	got, err := h.lead.http.Do(r)
	if err == nil {
		defer func() { _ = got.Body.Close() }()
		if body, _ := io.ReadAll(got.Body); got.StatusCode != http.StatusRequestEntityTooLarge || !bytes.Contains(body, []byte("more than can be sent at once")) {
			t.Errorf("100 MB: got %d %s", got.StatusCode, body)
		}
	}
	if n := read.bytes.Load(); n > 40<<20 {
		t.Errorf("100 MB: %d bytes were taken", n)
	}
	sheet := httpapi.ScheduleSheet{Sheet: []byte("room,mark\nHall,D2\n")}
	b.as(b.ours.installer).post(h.path("/schedule/preview"), sheet).refused(http.StatusForbidden, "forbidden")
	b.as(b.ours.installer).post(h.path("/schedule"), httpapi.ScheduleImport{TogetherParams: asked(newID()), ScheduleSheet: sheet}).refused(http.StatusForbidden, "forbidden")
	far := b.as(b.strangers.lead)
	far.post(h.path("/schedule/preview"), sheet).refused(http.StatusNotFound, "not_found")
	far.post(h.path("/schedule"), httpapi.ScheduleImport{TogetherParams: asked(newID()), ScheduleSheet: sheet}).refused(http.StatusNotFound, "not_found")
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'A'
	}
	return len(p), nil
}

type counted struct {
	from  io.Reader
	bytes atomic.Int64 // the client may still be sending when its answer is there
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	c.bytes.Add(int64(n))
	return n, err
}

// A room is copied with its walls, openings and rules, not with what was read or done in it;
// its trim is put by and laid over another room.
func TestCopiesAndTemplates(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	h.lead.send(h,
		joblog.Command{Kind: joblog.SetWallsKind, RoomID: h.room, SetWalls: &joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{}, {}, {}, {}}},
			Features: []trim.Feature{{ID: h.item, Wall: 1, Kind: trim.OpeningFeature, Offset: 20 * length.Inch, Width: 30 * length.Inch}}}},
		joblog.Command{Kind: joblog.SetRulesKind, RoomID: h.room, SetRules: &joblog.SetRules{Set: map[string]int64{"reveal": int64(length.Quarter)}}})
	b.as(b.ours.installer).send(h, append(h.chain(), h.note("Sticks in the rain"))...)

	ask := httpapi.RoomCopy{TogetherParams: asked(newID()), Name: "North hall", Level: "upper"}
	var out httpapi.SetUpOutcome
	h.lead.post(h.path("/rooms/"+h.room+"/copy"), ask).want(http.StatusOK).into(&out)
	h.lead.post(h.path("/rooms/"+h.room+"/copy"), ask).want(http.StatusOK).into(&out)
	v := h.lead.board(h)
	if !out.Repeated || len(v.Rooms) != 2 {
		t.Fatalf("copied twice: %+v, %d rooms", out, len(v.Rooms))
	}
	copied := v.Rooms[1]
	if copied.Name != "North hall" || copied.Level != finish.Upper || copied.Rules["reveal"] != int64(length.Quarter) || copied.AssignedTo != "" || len(copied.Items) != 1 {
		t.Errorf("the copy: got %+v", copied)
	}
	if f := copied.Layout.Features; len(f) != 1 || f[0].ID != copied.Items[0].ID || f[0].ID == h.item {
		t.Errorf("its walls name %+v, its opening is %s", f, copied.Items[0].ID)
	}
	var item joblog.ItemView
	h.lead.get(h.path("/items/" + copied.Items[0].ID)).want(http.StatusOK).into(&item)
	for _, r := range item.Readings {
		if len(r.Takes) > 0 {
			t.Errorf("the copy has a reading of %s", r.Name)
		}
	}

	// Its trim, on a room that was set up otherwise, in another job.
	other := buildHouse(b, b.ours, "Mill Street")
	plain := trim.CommonCasing()
	other.lead.send(other, joblog.Command{Kind: joblog.SetItemKind, ItemID: other.item, SetItem: &joblog.SetItem{Name: "Hall door",
		Spec: joblog.Spec{Unit: trim.UnitForDoor(32*length.Inch, 84*length.Inch, length.In(1, 3, 8)), CasingA: &plain}}})
	var list httpapi.TemplateList
	pack := httpapi.TemplateNew{ID: newID(), Name: "Butt head 2 3/4", Kind: "trim", Job: h.job, Room: h.room}
	h.lead.post("/api/v1/templates", pack).want(http.StatusOK)
	unit := httpapi.TemplateNew{ID: newID(), Name: "Unit A", Kind: "rooms", Job: h.job}
	h.lead.post("/api/v1/templates", unit).want(http.StatusOK).into(&list)
	if len(list.Templates) != 2 || list.Templates[0].Kind != "rooms" || len(list.Templates[0].Rooms) != 2 || list.Templates[0].Items != 2 {
		t.Fatalf("templates: got %+v", list)
	}
	use := httpapi.TemplateUse{TogetherParams: asked(newID()), Room: other.room}
	h.lead.post(other.path("/templates/"+pack.ID), use).want(http.StatusOK)
	item = joblog.ItemView{}
	h.lead.get(other.path("/items/" + other.item)).want(http.StatusOK).into(&item)
	if c := item.Spec.CasingA; c == nil || c.Style != trim.ButtHead || c.Width != length.In(2, 3, 4) || item.Spec.CasingB != nil || item.Spec.Unit.SlabWidth != 32*length.Inch {
		t.Errorf("the package on another door: got %+v, %+v", item.Spec.CasingA, item.Spec.Unit)
	}
	if v := h.lead.board(other); v.Rooms[0].Rules["reveal"] != int64(length.Quarter) {
		t.Errorf("the package's rules: got %v", v.Rooms[0].Rules)
	}
	use = httpapi.TemplateUse{TogetherParams: asked(newID()), Name: "Unit 12"}
	h.lead.post(other.path("/templates/"+unit.ID), use).want(http.StatusOK)
	if v := h.lead.board(other); len(v.Rooms) != 3 || v.Rooms[1].Name != "Unit 12 Hall" || v.Rooms[2].Name != "Unit 12 North hall" {
		t.Errorf("the unit's rooms: got %+v", v.Rooms)
	}
	// A schedule takes what it leaves unsaid from a package.
	var p httpapi.SchedulePreview
	sheet := httpapi.ScheduleSheet{Sheet: []byte("room,mark,width,height\nDen,D7,30,80\n"), Template: pack.ID}
	h.lead.post(other.path("/schedule/preview"), sheet).want(http.StatusOK).into(&p)
	h.lead.post(other.path("/schedule"), httpapi.ScheduleImport{TogetherParams: asked(newID()), ScheduleSheet: sheet}).want(http.StatusOK)
	den := h.lead.board(other).Rooms[3].Items[0]
	item = joblog.ItemView{}
	h.lead.get(other.path("/items/" + den.ID)).want(http.StatusOK).into(&item)
	if item.Spec.CasingA.Style != trim.ButtHead || item.Spec.CasingB == nil || item.Spec.CasingB.Width != length.In(2, 3, 4) {
		t.Errorf("a schedule with a package: got %+v", item.Spec.CasingA)
	}

	bo, far := b.as(b.ours.installer), b.as(b.strangers.lead)
	bo.get("/api/v1/templates").refused(http.StatusForbidden, "forbidden")
	bo.post(h.path("/rooms/"+h.room+"/copy"), httpapi.RoomCopy{TogetherParams: asked(newID()), Name: "X"}).refused(http.StatusForbidden, "forbidden")
	far.get("/api/v1/templates").want(http.StatusOK).into(&list)
	if len(list.Templates) != 0 {
		t.Errorf("strangers see %+v", list)
	}
	far.post(other.path("/templates/"+unit.ID), use).refused(http.StatusNotFound, "not_found")
	far.post(h.path("/rooms/"+h.room+"/copy"), ask).refused(http.StatusNotFound, "not_found")
	h.lead.do(http.MethodDelete, "/api/v1/templates/"+unit.ID, nil, nil).want(http.StatusNoContent)
	h.lead.post(other.path("/templates/"+unit.ID), httpapi.TemplateUse{TogetherParams: asked(newID())}).refused(http.StatusNotFound, "not_found")
}

func (h house) note(text string) joblog.Command {
	return joblog.Command{Kind: joblog.NoteKind, ItemID: h.item, Note: &joblog.Note{Text: text}}
}
