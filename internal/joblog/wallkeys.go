package joblog

import (
	"longpoint/internal/finding"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// WallKeys tell a room's walls apart once walls have been put in or taken out among them. Until
// then, and in every log of an app that did not say which wall was which, a wall is known by
// its number.
type WallKeys struct {
	Now   []int `json:"now" doc:"Each wall's key, from the left"`
	First int   `json:"first" doc:"How many walls there were while each was known by its number"`
	Last  int   `json:"last" doc:"Highest key given"`
}

// lay lays the walls out anew. What a run chose about walls and corners is kept by number: where
// the command says which wall is which, the keys let it be found again.
func (l *Layout) lay(b SetWalls) {
	was, before := b.Was, len(l.Walls.Walls)
	b.Was = nil
	l.SetWalls = b
	n := len(b.Walls.Walls)
	if len(was) != n {
		was = nil
	}
	if l.Keys == nil {
		if was == nil || before == 0 || unmoved(was, before) {
			return
		}
		l.Keys = &WallKeys{Now: upTo(before), First: before, Last: before}
	}
	next := &WallKeys{Now: make([]int, n), First: l.Keys.First, Last: l.Keys.Last}
	for i := range next.Now {
		at := i
		if was != nil {
			at = was[i] - 1
		}
		if at >= 0 && at < len(l.Keys.Now) && place(next.Now[:i], l.Keys.Now[at]) < 0 {
			next.Now[i] = l.Keys.Now[at]
		} else {
			next.Last++
			next.Now[i] = next.Last
		}
	}
	l.Keys = next
}

// unmoved reports whether the walls are those that were there, in their order.
func unmoved(was []int, before int) bool {
	for i, w := range was {
		if w != i+1 {
			return false
		}
	}
	return len(was) == before
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i + 1
	}
	return out
}

func place(keys []int, key int) int {
	for i, k := range keys {
		if k == key {
			return i
		}
	}
	return -1
}

// badWas reports whether a layout says of its walls what cannot be: not of all, or one twice.
func (b *SetWalls) badWas() bool {
	if len(b.Was) > 0 && len(b.Was) != len(b.Walls.Walls) {
		return true
	}
	for i, w := range b.Was {
		if w < 0 || w > 0 && place(b.Was[:i], w) >= 0 {
			return true
		}
	}
	return false
}

// wallsGone is what of a run's choices the room's walls no longer bear.
type wallsGone struct {
	along, corners int
	all            bool // the run went along some walls and none of them is left
}

// RunNow is the item's run by the numbers its room's walls have now: a corner's choice stays
// with the two walls it was made for, and falls away when they no longer meet; a wall the run
// goes along is the same wall wherever it now stands.
func (s Scope) RunNow() *RunSpec {
	run, _ := s.runNow()
	return run
}

func (s Scope) runNow() (*RunSpec, wallsGone) {
	keys := s.layout().Keys
	if s.Item == nil || s.Item.Run == nil || keys == nil {
		if s.Item == nil {
			return nil, wallsGone{}
		}
		return s.Item.Run, wallsGone{}
	}
	on := s.Item.OnWalls
	walls := len(on)
	if on == nil {
		walls = keys.First
	}
	at := func(number int) int { // where the wall of that number then now stands
		switch {
		case number < 1 || number > walls:
			return -1
		case on == nil:
			return place(keys.Now, number)
		}
		return place(keys.Now, on[number-1])
	}
	var gone wallsGone
	run := *s.Item.Run
	run.Along, run.Corners.Choices = nil, nil
	for _, wall := range s.Item.Run.Along {
		if i := at(wall); i >= 0 {
			run.Along = append(run.Along, i+1)
		} else {
			gone.along++
		}
	}
	gone.all = gone.along > 0 && len(run.Along) == 0
	for _, c := range s.Item.Run.Corners.Choices {
		left, right := at(c.After), -1
		if left >= 0 {
			right = at(c.After%walls + 1)
		}
		if right < 0 || (left+1)%len(keys.Now) != right || s.layout().Walls.Open && right == 0 {
			gone.corners++
			continue
		}
		c.After = left + 1
		run.Corners.Choices = append(run.Corners.Choices, c)
	}
	return &run, gone
}

// SpecNow is what the item is to be, by the numbers its room's walls have now.
func (s Scope) SpecNow() Spec {
	sp := s.Item.Spec
	sp.Run = s.RunNow()
	return sp
}

// findings say what fell away, until the run is set anew.
func (g wallsGone) findings() []finding.Finding {
	var out []finding.Finding
	switch {
	case g.all:
		out = append(out, finding.New("run_walls_gone", finding.Stop).On(string(stage.Measured)).At("along"))
	case g.along > 0:
		out = append(out, finding.New("run_wall_gone", finding.Warn).On(string(stage.Measured)).At("along").Num("walls", int64(g.along)))
	}
	if g.corners > 0 {
		out = append(out, finding.New("corner_choice_gone", finding.Warn).On(string(stage.Trimmed)).At("corners").Num("corners", int64(g.corners)))
	}
	return out
}

// nowhereAlong is a run whose walls are all gone: it goes along none, where an empty list would be all.
func nowhereAlong(in *trim.RunInput) { in.Along = []int{-1} }
