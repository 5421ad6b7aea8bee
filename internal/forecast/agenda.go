package forecast

import (
	"cmp"
	"math"
	"slices"
	"time"

	"longpoint/internal/stage"
)

// Task is the next stage of one item for one person.
type Task struct {
	JobID  string
	ItemID string
	Group  Group
	Stage  stage.Stage
	From   time.Time // not before; zero for at once
}

// Slot is when a task is likely to have its turn.
type Slot struct {
	Task
	Begin, End time.Time
}

// slack is by how much a moment may fall short of a minute that was reckoned from it: minutes are floats, and a task that waits for
// the last nanosecond of its own moment would wait for ever.
const slack = time.Second

// Agenda lays tasks one after another into working hours from start on, each as long as it is
// expected to take, in the order given but for what has to wait until it is dry: that comes
// when it may, and what is ready goes before it. Slots that would begin after the horizon are
// left out.
func Agenda(tasks []Task, pace Pace, hours Hours, start, horizon time.Time) []Slot {
	c := hours.clock(start)
	left := slices.Clone(tasks)
	var out []Slot
	at := 0.0
	for len(left) > 0 {
		begin := c.opens(at)
		i := slices.IndexFunc(left, func(t Task) bool { return t.From.Sub(c.moment(begin)) < slack })
		if i < 0 {
			soonest := slices.MinFunc(left, func(a, b Task) int { return cmp.Compare(a.From.UnixNano(), b.From.UnixNano()) })
			if soonest.From.After(horizon) {
				break
			}
			at = math.Ceil(soonest.From.Sub(start).Minutes())
			continue
		}
		if c.moment(begin).After(horizon) {
			break
		}
		at = c.work(begin, max(pace.Mean(left[i].Group, left[i].Stage), 1))
		out = append(out, Slot{Task: left[i], Begin: c.moment(begin), End: c.moment(at)})
		left = slices.Delete(left, i, i+1)
	}
	return out
}
