package forecast_test

import (
	"math"
	"testing"
	"time"

	"longpoint/internal/forecast"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

func mark(person, item string, tick stage.Stage, minute int) forecast.Mark {
	return forecast.Mark{
		PersonID: person, JobID: "job", ItemID: item, Group: forecast.Door, Tick: tick,
		At: monday.Add(time.Duration(minute) * time.Minute),
	}
}

func seen(t *testing.T, p forecast.Pace, s stage.Stage, count int, minutes float64) {
	t.Helper()
	got := p[forecast.Door][s]
	if got.Count != count || math.Abs(got.Minutes-minutes) > 1e-9 {
		t.Errorf("%s: seen %d times in %.3f minutes, want %d in %.3f", s, got.Count, got.Minutes, count, minutes)
	}
}

func TestPaceIsTheTimeBetweenEntries(t *testing.T) {
	t.Parallel()
	p := forecast.PaceOf([]forecast.Mark{
		mark("ana", "", "", 0), // looked at the job
		mark("ana", "north", "", 6),
		mark("ana", "north", stage.Measured, 10),
		mark("ben", "south", "", 11), // his own first entry: nothing before it
		mark("ana", "north", "", 30),
		mark("ben", "south", stage.Measured, 31),
		mark("ana", "north", stage.Trimmed, 50),
	})
	seen(t, p, stage.Measured, 2, 10+20)
	seen(t, p, stage.Trimmed, 1, 40)
}

func TestABreakIsNoWork(t *testing.T) {
	t.Parallel()
	p := forecast.PaceOf([]forecast.Mark{
		mark("ana", "north", "", 0),
		mark("ana", "north", stage.Measured, 12),
		mark("ana", "north", "", 12+91), // after the drive
		mark("ana", "north", stage.Trimmed, 12+91+25),
	})
	seen(t, p, stage.Measured, 1, 12)
	seen(t, p, stage.Trimmed, 1, 25)
}

// Two stages ticked together at the end share their time as the assumptions do: 60 and 45
// minutes of 105.
func TestTicksTogetherShareTheirTime(t *testing.T) {
	t.Parallel()
	p := forecast.PaceOf([]forecast.Mark{
		mark("ana", "north", "", 0),
		mark("ana", "north", "", 70),
		mark("ana", "north", stage.Hung, 70),
		mark("ana", "north", stage.Cased, 70),
	})
	seen(t, p, stage.Hung, 1, 40)
	seen(t, p, stage.Cased, 1, 30)
}

func TestATickWithNothingBeforeItIsNotCounted(t *testing.T) {
	t.Parallel()
	p := forecast.PaceOf([]forecast.Mark{mark("ana", "north", stage.Measured, 0), mark("ana", "south", "", 40)})
	seen(t, p, stage.Measured, 0, 0)
	if got, want := p.Mean(forecast.Door, stage.Measured), forecast.Assumed(forecast.Door, stage.Measured); got != want {
		t.Errorf("the mean is %v, want the assumed %v", got, want)
	}
}

// Four assumed doors at 60 minutes and twelve of the crew's own at 40: (4·60 + 12·40)/16.
func TestTheMeanLeansToTheCrewsOwn(t *testing.T) {
	t.Parallel()
	p := forecast.Pace{forecast.Door: {stage.Hung: {Count: 12, Minutes: 480}}}
	if got := p.Mean(forecast.Door, stage.Hung); got != 45 {
		t.Errorf("mean %v, want 45", got)
	}
}

// Every stage that a kind passes has assumed minutes, and no other has.
func TestEveryStageOfEveryKindIsAssumed(t *testing.T) {
	t.Parallel()
	kinds := []trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window, trim.WallRun}
	for _, k := range kinds {
		passes := map[stage.Stage]bool{}
		for _, s := range stage.For(stage.Work{Kind: k, Grade: trim.Paint, Cased: true, Jambs: true}) {
			passes[s] = true
		}
		for _, s := range stage.All() {
			if got := forecast.Assumed(forecast.GroupOf(k), s) > 0; got != passes[s] {
				t.Errorf("%s of a %s: assumed %v, passed %v", s, k, got, passes[s])
			}
		}
	}
}
