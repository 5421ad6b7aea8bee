package walk

import (
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// allowed is the table written a second time, by state, as the crew would tell it.
var allowed = map[State]map[Act]struct {
	side Side
	to   State
}{
	Said:     {Ask: {Lead, Asked}, Agree: {Lead, Agreed}, Decline: {Lead, Declined}, TakeBack: {Homeowner, TakenBack}},
	Asked:    {Agree: {Lead, Agreed}, Decline: {Lead, Declined}, Reply: {Homeowner, Said}, TakeBack: {Homeowner, TakenBack}},
	Agreed:   {Agree: {Lead, Agreed}, Decline: {Lead, Declined}, Fix: {Crew, Fixed}, TakeBack: {Homeowner, TakenBack}},
	Declined: {Agree: {Lead, Agreed}, Accept: {Homeowner, LetBe}, Insist: {Homeowner, Said}, TakeBack: {Homeowner, TakenBack}},
	Fixed:    {Accept: {Homeowner, Accepted}, StillThere: {Homeowner, Agreed}},
}

func TestNextIsTheTable(t *testing.T) {
	t.Parallel()
	for _, s := range States() {
		for _, a := range Acts() {
			for _, by := range Sides() {
				row, in := allowed[s][a]
				may := in && (row.side == by || by == Lead && row.side == Crew)
				want := s
				if may {
					want = row.to
				}
				if got, ok := Next(s, a, by); got != want || ok != may {
					t.Errorf("%s, %s by %s: got %s %v, want %s %v", s, a, by, got, ok, want, may)
				}
			}
		}
	}
}

// Whatever three people do in whatever order: nobody accepts what was not fixed, work is only
// what a lead has agreed to, and a settled remark stays as it is.
func TestNoOrderOfActsBreaksTheWalk(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s, agreed, fixedSince, declinedSince := Said, false, false, false
		for range rapid.IntRange(1, 40).Draw(t, "acts") {
			by := rapid.SampledFrom(Sides()).Draw(t, "by")
			a := rapid.SampledFrom(Acts()).Draw(t, "act")
			to, ok := Next(s, a, by)
			if !ok {
				if to != s {
					t.Fatalf("%s refused by %s in %s, and yet became %s", a, by, s, to)
				}
				continue
			}
			if s.Settled() {
				t.Fatalf("settled as %s, then %s by %s made it %s", s, a, by, to)
			}
			if by == Lead && to == Accepted || by == Crew && to != Fixed {
				t.Fatalf("%s by %s made it %s", a, by, to)
			}
			switch to {
			case Agreed:
				if a == Agree {
					agreed = true
				}
				if !agreed {
					t.Fatalf("work that no lead agreed to, by %s", a)
				}
				fixedSince = false
			case Fixed:
				fixedSince = true
			case Declined:
				declinedSince = true
			case Accepted:
				if !fixedSince {
					t.Fatalf("accepted without being fixed")
				}
			case LetBe:
				if !declinedSince {
					t.Fatalf("let be without being declined")
				}
			}
			s = to
		}
	})
}

// From every state that is not settled the homeowner and the lead can bring a remark to an end.
func TestEveryRemarkCanBeSettled(t *testing.T) {
	t.Parallel()
	for _, from := range States() {
		reached, todo := map[State]bool{from: true}, []State{from}
		for len(todo) > 0 {
			s := todo[0]
			todo = todo[1:]
			for _, a := range Acts() {
				for _, by := range Sides() {
					if to, ok := Next(s, a, by); ok && !reached[to] {
						reached[to] = true
						todo = append(todo, to)
					}
				}
			}
		}
		if !from.Settled() && !reached[Accepted] {
			t.Errorf("%s never leads to accepted", from)
		}
		if from.Settled() && len(reached) > 1 {
			t.Errorf("%s is settled but leads on to %v", from, reached)
		}
	}
}

func TestOpenListsWhatNextAllows(t *testing.T) {
	t.Parallel()
	if got, want := Open(Fixed, Homeowner), []Act{Accept, StillThere}; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("homeowner before a fixed remark: got %v, want %v", got, want)
	}
	if got := Open(Fixed, Crew); got != nil {
		t.Errorf("crew before a fixed remark: got %v, want nothing", got)
	}
	if got, want := Open(Agreed, Crew), []Act{Fix}; len(got) != 1 || got[0] != want[0] {
		t.Errorf("crew before agreed work: got %v, want %v", got, want)
	}
}

func TestStageATroubleBelongsTo(t *testing.T) {
	t.Parallel()
	door := stage.ForOpening(trim.Door, trim.Paint)
	stained := stage.ForOpening(trim.Door, trim.Stain)
	cased := stage.ForOpening(trim.CasedOpening, trim.Paint)
	run := stage.ForRun(trim.Paint)
	for _, c := range []struct {
		about About
		list  []stage.Stage
		want  stage.Stage
	}{
		{NailHole, door, stage.Filled},
		{NailHole, stained, stage.Filled},
		{Crack, door, stage.Caulked},
		{Crack, stained, stage.Filled}, // nothing is caulked under stain
		{Rubs, door, stage.Hung},
		{Rubs, cased, stage.Trimmed}, // nothing hangs there
		{OpenJoint, door, stage.Cased},
		{OpenJoint, run, stage.Trimmed}, // a run is not cased
		{Loose, run, stage.Nailed},
		{Paint, run, stage.Painted},
		{Other, door, ""},
	} {
		if got := StageOf(c.about, c.list); got != c.want {
			t.Errorf("%s among %v: got %q, want %q", c.about, c.list, got, c.want)
		}
	}
}

func TestNothingIsSaidOfHangingWhereNothingHangs(t *testing.T) {
	t.Parallel()
	for _, a := range Suggestions(trim.WallRun) {
		if a == Rubs || a == Latch || a == UnevenGap {
			t.Errorf("a wall run offers %s", a)
		}
	}
	if got, want := len(Suggestions(trim.Door)), len(Abouts()); got != want {
		t.Errorf("a door offers %d suggestions, want all %d", got, want)
	}
}
