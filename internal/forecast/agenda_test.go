package forecast_test

import (
	"testing"
	"time"

	"longpoint/internal/forecast"
	"longpoint/internal/stage"
)

// From two hours before Friday's end: an hour's hanging, 45 minutes' casing, a door whose
// filler dries over the weekend's first night goes after one that is ready, and what does not
// fit runs on on Monday.
func TestADayInOrder(t *testing.T) {
	t.Parallel()
	at := func(day, hour, minute int) time.Time { return time.Date(2026, 3, day, hour, minute, 0, 0, time.UTC) }
	friday := at(6, 13, 30)
	tasks := []forecast.Task{
		{ItemID: "a", Group: forecast.Door, Stage: stage.Hung},
		{ItemID: "b", Group: forecast.Door, Stage: stage.Caulked, From: at(6, 18, 0)},
		{ItemID: "c", Group: forecast.Door, Stage: stage.Cased},
		{ItemID: "d", Group: forecast.Door, Stage: stage.Trimmed},
		{ItemID: "e", Group: forecast.Door, Stage: stage.Painted, From: at(20, 8, 0)},
	}
	got := forecast.Agenda(tasks, nil, forecast.Usual, friday, friday.AddDate(0, 0, 7))
	want := []struct {
		item       string
		begin, end time.Time
	}{
		{"a", at(6, 13, 30), at(6, 14, 30)},
		{"c", at(6, 14, 30), at(6, 15, 15)},
		{"d", at(6, 15, 15), at(9, 7, 50)}, // 15 minutes on Friday, 20 on Monday
		{"b", at(9, 7, 50), at(9, 8, 5)},
	}
	if len(got) != len(want) {
		t.Fatalf("got %d slots, want %d: %+v", len(got), len(want), got)
	}
	for i, w := range want {
		if got[i].ItemID != w.item || !got[i].Begin.Equal(w.begin) || !got[i].End.Equal(w.end) {
			t.Errorf("slot %d: got %s %s–%s, want %s %s–%s", i, got[i].ItemID, got[i].Begin, got[i].End, w.item, w.begin, w.end)
		}
	}
}

// What is dry at noon has its turn at noon when nothing else is there.
func TestWaitingForTheFirstToDry(t *testing.T) {
	t.Parallel()
	noon := monday.Add(12 * time.Hour)
	got := forecast.Agenda([]forecast.Task{{ItemID: "a", Group: forecast.Run, Stage: stage.Caulked, From: noon}}, nil, forecast.Usual, monday, monday.AddDate(0, 0, 2))
	if len(got) != 1 || !got[0].Begin.Equal(noon) || !got[0].End.Equal(noon.Add(25*time.Minute)) {
		t.Errorf("got %+v, want it from noon for 25 minutes", got)
	}
}

// What is dry at any nanosecond has its turn in the minute after, and the agenda comes to an end.
func TestWhatDriesWithinAMinuteHasItsTurn(t *testing.T) {
	t.Parallel()
	for n := range 5000 {
		dry := monday.Add(8*time.Hour + time.Duration(n)*3_141_592_653*time.Nanosecond)
		got := forecast.Agenda([]forecast.Task{{ItemID: "a", Group: forecast.Run, Stage: stage.Caulked, From: dry}}, nil, forecast.Usual, monday, monday.AddDate(0, 0, 7))
		if len(got) != 1 || got[0].Begin.Before(dry) || dry.Before(monday.Add(15*time.Hour)) && got[0].Begin.Sub(dry) > time.Minute {
			t.Fatalf("dry at %v: got %+v", dry, got)
		}
	}
}
