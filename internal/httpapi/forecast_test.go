package httpapi_test

import (
	"net/http"
	"testing"
	"time"

	"longpoint/internal/forecast"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
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
