package httpapi_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
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

	again := link(bo)
	b.client().get(path).refused(http.StatusNotFound, "not_found")
	bo.do(http.MethodDelete, "/api/v1/calendar", nil, nil).want(http.StatusNoContent)
	b.client().get(again).refused(http.StatusNotFound, "not_found")
	b.client().get("/api/v1/calendar/nothing.ics").refused(http.StatusNotFound, "not_found")
	bo.post("/api/v1/calendar", httpapi.NewCalendar{Zone: "Mars/Base"}).refused(http.StatusUnprocessableEntity, "invalid")
	b.client().post("/api/v1/calendar", httpapi.NewCalendar{Zone: "UTC"}).want(http.StatusUnauthorized)
}
