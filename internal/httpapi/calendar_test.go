package httpapi_test

import (
	"cmp"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"longpoint/internal/account"
	"longpoint/internal/demo"
	"longpoint/internal/finish"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
)

// An installer's days come to their calendar by a link of their own: what they can do, in
// working hours, in their words; a new link ends the old one, and nobody else's days are in it.
func TestCalendarOfAnInstaller(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	link := func(c *client) string {
		t.Helper()
		var l httpapi.CalendarLink
		c.post("/api/v1/calendar", httpapi.NewCalendar{Zone: "America/Denver"}).want(http.StatusOK).into(&l)
		return l.Path
	}
	fetch := func(path string) []*ics.VEvent {
		t.Helper()
		a := b.client().get(path).want(http.StatusOK)
		if got := a.header.Get("Content-Type"); got != "text/calendar; charset=utf-8" {
			t.Errorf("content type: got %q", got)
		}
		cal, err := ics.ParseCalendar(strings.NewReader(string(a.body)))
		if err != nil {
			t.Fatalf("parsing: %v in\n%s", err, a.body)
		}
		for _, line := range strings.Split(strings.TrimSuffix(string(a.body), "\r\n"), "\r\n") {
			if len(line) > 75 || strings.Contains(line, "\n") {
				t.Errorf("RFC 5545 3.1: a line of %d octets: %q", len(line), line)
			}
		}
		return cal.Events()
	}

	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, ItemID: h.item, Assign: &joblog.Assign{PersonID: b.ours.installer.ID}})
	path := link(bo)
	events := fetch(path)
	if len(events) != 1 {
		t.Fatalf("one door to measure: got %d events", len(events))
	}
	e := events[0]
	begin, err := e.GetStartAt()
	if err != nil {
		t.Fatal(err)
	}
	end, err := e.GetEndAt()
	if err != nil {
		t.Fatal(err)
	}
	zone, _ := time.LoadLocation("America/Denver")
	if at := begin.In(zone); at.Weekday() == time.Saturday || at.Weekday() == time.Sunday || at.Hour() < 7 || at.Hour() > 15 || !end.After(begin) {
		t.Errorf("in working hours: got %s to %s", begin.In(zone), end.In(zone))
	}
	if got := e.GetProperty(ics.ComponentPropertySummary).Value; got != "Hall door, Hall → measured" {
		t.Errorf("summary: got %q", got)
	}

	bo.send(h, append(h.chain(), joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: stage.Measured}})...)
	if got := fetch(path)[0].GetProperty(ics.ComponentPropertySummary).Value; !strings.HasSuffix(got, " → trimmed") {
		t.Errorf("after measuring: got %q", got)
	}
	if others := fetch(link(b.as(b.strangers.installer))); len(others) != 0 {
		t.Errorf("another company's days: got %d events", len(others))
	}
	if leads := fetch(link(h.lead)); len(leads) != 0 {
		t.Errorf("the lead has nothing to do: got %d events", len(leads))
	}
	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, ItemID: h.item, Assign: &joblog.Assign{PersonID: b.ours.lead.ID}})
	if leads := fetch(link(h.lead)); len(leads) != 1 {
		t.Errorf("the lead takes the door on: got %d events", len(leads))
	}
	if left := fetch(path); len(left) != 0 {
		t.Errorf("and the installer has it no more: got %d events", len(left))
	}

	again := link(bo)
	b.client().get(path).refused(http.StatusNotFound, "not_found")
	bo.do(http.MethodDelete, "/api/v1/calendar", nil, nil).want(http.StatusNoContent)
	b.client().get(again).refused(http.StatusNotFound, "not_found")
	b.client().get("/api/v1/calendar/nothing.ics").refused(http.StatusNotFound, "not_found")
	bo.post("/api/v1/calendar", httpapi.NewCalendar{Zone: "Mars/Base"}).refused(http.StatusUnprocessableEntity, "invalid")
	b.client().post("/api/v1/calendar", httpapi.NewCalendar{Zone: "UTC"}).want(http.StatusUnauthorized)
}

// A person's calendar has their work in the board's order (PoleView.Turn), whatever is ready, to be done again, going on or drying;
// what somebody has to settle is on the board alone.
func TestTheCalendarGoesInTheBoardsOrder(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ctx := t.Context()
	clock := &demo.Clock{}
	pg, err := postgres.Open(ctx, b.db.AppURL, postgres.Options{Clock: clock.Now, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer pg.Close()
	hasher, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := demo.Load(ctx, pg, nil, clock, hasher, time.Now()); err != nil {
		t.Fatal(err)
	}
	tess, _, err := pg.FindSignIn(ctx, "tess")
	if err != nil {
		t.Fatal(err)
	}
	c := b.client()
	c.post("/api/v1/session", map[string]string{"sign_in": tess.SignIn, "passphrase": demo.Passphrase}).want(http.StatusOK)
	h := house{lead: c}
	day := func() (out []joblog.PoleView) {
		t.Helper()
		var jobs httpapi.JobList
		c.get("/api/v1/jobs").want(http.StatusOK).into(&jobs)
		h.job = jobs.Jobs[0].ID
		var v joblog.JobView
		c.get(h.path("")).want(http.StatusOK).into(&v)
		for _, room := range v.Rooms {
			for _, pole := range room.Items {
				if pole.AssignedTo == tess.ID && pole.Next != "" {
					out = append(out, pole)
				}
			}
		}
		slices.SortStableFunc(out, func(a, b joblog.PoleView) int { return cmp.Compare(a.Turn, b.Turn) })
		return out
	}
	do := func(commands ...joblog.Command) {
		t.Helper()
		for _, o := range c.send(h, commands...).Outcomes {
			if !o.Applied {
				t.Fatalf("refused: %+v", o.Findings)
			}
		}
	}
	for _, pole := range day() {
		h.item = pole.ID
		switch pole.Name {
		case "Mudroom base": // painted, and a last bead is wet
			ago := func(hours int, c joblog.Command) joblog.Command {
				c.ItemID, c.At = pole.ID, time.Now().UTC().Truncate(time.Millisecond).Add(-time.Duration(hours)*time.Hour)
				return c
			}
			bead := joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.TopEdge, Width: length.Sixteenth,
				Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Product: "acrylic", Class: finish.Class25}}}}
			coat := joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{Product: "satin enamel"}}
			do(ago(60, bead), ago(59, joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: stage.Caulked}}),
				ago(40, coat), ago(20, coat), ago(0, bead))
		case "Dining room base":
			do(joblog.Command{Kind: joblog.ReopenStageKind, ItemID: h.item, ReopenStage: &joblog.ReopenStage{Stage: stage.Trimmed, Reason: "The corner opened"}})
		}
	}
	var board, turns []string
	for _, pole := range day() {
		switch {
		case pole.ClearsAt != nil:
			turns = append(turns, "dries")
		case pole.Held:
			turns = append(turns, "held")
			continue
		case slices.ContainsFunc(pole.Marks, func(m joblog.PoleMark) bool { return m.Status == stage.Redone }):
			turns = append(turns, "redo")
		case slices.ContainsFunc(pole.Marks, func(m joblog.PoleMark) bool { return m.Status == stage.Ready }):
			turns = append(turns, "ready")
		default:
			turns = append(turns, "going")
		}
		board = append(board, pole.ID)
	}
	if got := slices.Compact(slices.Clone(turns)); !slices.Equal(got, []string{"ready", "redo", "going", "held", "dries"}) {
		t.Fatalf("the board's order: %v", turns)
	}
	var l httpapi.CalendarLink
	c.post("/api/v1/calendar", httpapi.NewCalendar{Zone: "America/Denver"}).want(http.StatusOK).into(&l)
	cal, err := ics.ParseCalendar(strings.NewReader(string(b.client().get(l.Path).want(http.StatusOK).body)))
	if err != nil {
		t.Fatal(err)
	}
	events := cal.Events()
	began := func(e *ics.VEvent) time.Time {
		at, err := e.GetStartAt()
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	slices.SortStableFunc(events, func(a, b *ics.VEvent) int { return began(a).Compare(began(b)) })
	var calendar []string
	for _, e := range events {
		id, _, _ := strings.Cut(e.Id(), ".")
		calendar = append(calendar, id)
	}
	if !slices.Equal(calendar, board) {
		t.Errorf("the calendar's order is not the board's:\n got %v\nwant %v", calendar, board)
	}
}
