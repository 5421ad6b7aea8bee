package httpapi_test

import (
	"net/http"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/forecast"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// A forecast moves with the log: a door to do has a date, its measured stage taken in the
// crew's own time changes what is expected, and all it rests on is told with it.
func TestForecastOfAJob(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	ask := func(query string) httpapi.Forecast {
		t.Helper()
		var f httpapi.Forecast
		bo.get(h.path("/forecast?" + query)).want(http.StatusOK).into(&f)
		return f
	}
	before := ask("zone=America/Chicago")
	if before.Items != 1 || before.Stages == 0 || before.People != 1 || before.Even == nil || before.Likely.Before(*before.Even) {
		t.Fatalf("a new door: got %+v", before)
	}
	if len(before.Spread) == 0 || !before.Spread[len(before.Spread)-1].At.After(before.Spread[0].At) {
		t.Errorf("spread: got %+v", before.Spread)
	}
	if ends := before.Likely.In(time.FixedZone("", 0)); ends.Weekday() == time.Saturday || ends.Weekday() == time.Sunday {
		t.Errorf("Monday to Friday: got %s", ends)
	}
	measured := func(f httpapi.Forecast) httpapi.PaceLine {
		t.Helper()
		for _, l := range f.Pace {
			if l.Group == forecast.Door && l.Stage == stage.Measured {
				return l
			}
		}
		t.Fatalf("no line for a door's measuring in %+v", f.Pace)
		return httpapi.PaceLine{}
	}
	if l := measured(before); l.Seen != 0 || l.Minutes != l.Assumed {
		t.Errorf("nothing is logged: got %+v", l)
	}

	tick := joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: stage.Measured}}
	chain := append(h.chain(), tick)
	first := time.Now().Add(-time.Hour)
	for i := range chain { // the whole chain within half an hour
		chain[i].At = first.Add(time.Duration(i) * 30 * time.Minute / time.Duration(len(chain)-1))
	}
	bo.send(h, chain...)
	after := ask("zone=America/Chicago")
	if l := measured(after); l.Seen != 1 || l.Minutes <= l.Assumed {
		t.Errorf("half an hour's measuring: got %+v", l)
	}
	if after.Stages != before.Stages-1 || after.Seq <= before.Seq || after.Minutes >= before.Minutes {
		t.Errorf("one stage fewer is left: got %+v after %+v", after, before)
	}
	if again := ask("zone=America/Chicago"); !again.Likely.Equal(*after.Likely) {
		t.Errorf("asked again: %s, was %s", again.Likely, after.Likely)
	}
	if more := ask("people=3"); more.People != 3 {
		t.Errorf("three people: got %d", more.People)
	}

	for query, code := range map[string]int{
		"zone=Mars/Base": 422, "zone=Local": 422, "from=16:00&to=08:00": 422, "days=9": 422, "people=-1": 422, "from=7am": 422,
	} {
		bo.get(h.path("/forecast?" + query)).want(code)
	}
	b.as(b.strangers.lead).get(h.path("/forecast")).refused(http.StatusNotFound, "not_found")
}

// A forecast that is kept is for one company, whose devices make a job's id, and for the house
// rules it was made by, which the company changes without the job's log.
func TestAForecastIsOfOneCompanyAndItsRules(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	ask := func(c *client) (f httpapi.Forecast) {
		t.Helper()
		c.get(h.path("/forecast?people=1")).want(http.StatusOK).into(&f)
		return f
	}
	before := ask(h.lead)

	theirs := b.as(b.strangers.lead)
	door := joblog.Spec{Unit: trim.UnitForDoor(28*length.Inch, 80*length.Inch, length.In(1, 3, 4))}
	room := newID()
	theirs.send(h, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Far Street", Unit: length.Inches}},
		joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Hall", Level: finish.Ground}},
		joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: newID(), AddItem: &joblog.AddItem{Name: "First", Spec: door}},
		joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: newID(), AddItem: &joblog.AddItem{Name: "Second", Spec: door}})
	if other := ask(theirs); other.Seq != before.Seq || other.Items != 2 {
		t.Errorf("a job of the same id and number in another company: got %d items at %d, want its own 2 at %d", other.Items, other.Seq, before.Seq)
	}

	rule := before.Waits.Recoat + 60
	h.lead.put("/api/v1/rules", map[string]any{"set": map[string]int64{"recoat": rule}}).want(http.StatusOK)
	if after := ask(h.lead); after.Seq != before.Seq || after.Waits.Recoat != rule {
		t.Errorf("after the company's rule changed: %d minutes to recoat at %d, want %d at %d", after.Waits.Recoat, after.Seq, rule, before.Seq)
	}
}
