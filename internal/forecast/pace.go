package forecast

import (
	"cmp"
	"slices"
	"time"

	"longpoint/internal/stage"
)

// longestSpell is the longest time between two entries of one person that still counts as
// work on the later one's item: over that there was a break, a drive or the night between.
const longestSpell = 90 * time.Minute

// Mark is one entry of a log, as far as pace is read from it.
type Mark struct {
	PersonID string
	JobID    string
	ItemID   string // empty for an entry about no item: it ends a spell and gives nothing
	Group    Group
	Tick     stage.Stage // the stage it ticks; empty for any other work
	At       time.Time   // when it was done
}

// Pace is what a crew's log says of minutes a stage, by group and stage.
type Pace map[Group]map[stage.Stage]Seen

// Seen is how often a stage was seen and how many minutes of one person it took in all.
type Seen struct {
	Count   int
	Minutes float64
}

// PaceOf reads a crew's pace from marks in any order. The time from a person's last entry to
// their next, when it is no longer than an hour and a half, is work on the next one's item.
// A tick takes what has gathered on its item since the last tick there; stages ticked with no
// time between them share it in the proportion of the assumed minutes. A tick that nothing
// gathered for says nothing and is not counted.
func PaceOf(marks []Mark) Pace {
	marks = slices.Clone(marks)
	slices.SortStableFunc(marks, func(a, b Mark) int {
		return cmp.Or(cmp.Compare(a.PersonID, b.PersonID), a.At.Compare(b.At))
	})
	gathered := make([]tickTime, 0, len(marks))
	for i, m := range marks {
		t := tickTime{Mark: m}
		if i > 0 && marks[i-1].PersonID == m.PersonID {
			if d := m.At.Sub(marks[i-1].At); d <= longestSpell {
				t.minutes = d.Minutes()
			}
		}
		if m.ItemID != "" {
			gathered = append(gathered, t)
		}
	}
	slices.SortStableFunc(gathered, func(a, b tickTime) int {
		return cmp.Or(cmp.Compare(a.JobID, b.JobID), cmp.Compare(a.ItemID, b.ItemID), a.At.Compare(b.At))
	})
	p := Pace{}
	for len(gathered) > 0 {
		n := 1
		for n < len(gathered) && gathered[n].JobID == gathered[0].JobID && gathered[n].ItemID == gathered[0].ItemID {
			n++
		}
		p.item(gathered[:n])
		gathered = gathered[n:]
	}
	return p
}

type tickTime struct {
	Mark
	minutes float64
}

// item adds what one item's marks, in order of time, say.
func (p Pace) item(marks []tickTime) {
	var spent float64
	var burst []stage.Stage
	give := func(g Group) {
		var whole float64
		for _, s := range burst {
			whole += Assumed(g, s)
		}
		if spent > 0 && whole > 0 {
			for _, s := range burst {
				p.add(g, s, spent*Assumed(g, s)/whole)
			}
		}
		spent, burst = 0, nil
	}
	for _, m := range marks {
		if len(burst) > 0 && m.minutes >= 1 {
			give(m.Group)
		}
		spent += m.minutes
		if m.Tick != "" && Assumed(m.Group, m.Tick) > 0 {
			burst = append(burst, m.Tick)
		}
	}
	if len(burst) > 0 {
		give(marks[0].Group)
	}
}

func (p Pace) add(g Group, s stage.Stage, minutes float64) {
	if p[g] == nil {
		p[g] = map[stage.Stage]Seen{}
	}
	seen := p[g][s]
	p[g][s] = Seen{Count: seen.Count + 1, Minutes: seen.Minutes + minutes}
}

// Mean returns the minutes a stage is now expected to take: the assumed minutes, counted
// Weight times, and the crew's own.
func (p Pace) Mean(g Group, s stage.Stage) float64 {
	seen := p[g][s]
	return (Weight*Assumed(g, s) + seen.Minutes) / float64(Weight+seen.Count)
}
