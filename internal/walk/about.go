package walk

import (
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// About is what a remark is about, from the plain suggestions a homeowner is offered.
type About string

// The suggestions. Other has no words but the homeowner's own.
const (
	NailHole  About = "nail_hole"  // a nail hole shows
	Dent      About = "dent"       // a dent or scratch
	Crack     About = "crack"      // a joint has cracked open
	WallGap   About = "wall_gap"   // a gap along the wall or the floor
	OpenJoint About = "open_joint" // two pieces do not meet
	Loose     About = "loose"      // a piece is loose
	Rubs      About = "rubs"       // it rubs or sticks
	Latch     About = "latch"      // it does not latch or swings by itself
	UnevenGap About = "uneven_gap" // the gap round the door is uneven
	Paint     About = "paint"      // paint is thin, rough or missed
	Other     About = "other"
)

// Abouts lists every suggestion.
func Abouts() []About {
	return []About{Rubs, Latch, UnevenGap, NailHole, Dent, Crack, WallGap, OpenJoint, Loose, Paint, Other}
}

// Known reports whether a is one of the suggestions.
func (a About) Known() bool {
	for _, x := range Abouts() {
		if a == x {
			return true
		}
	}
	return false
}

// Suggestions lists what a homeowner is offered at an item of this kind: nothing is said of
// hanging where nothing hangs.
func Suggestions(k trim.Kind) []About {
	out := make([]About, 0, len(Abouts()))
	for _, a := range Abouts() {
		if hangs := a == Rubs || a == Latch || a == UnevenGap; hangs && !stage.HasSlab(k) {
			continue
		}
		out = append(out, a)
	}
	return out
}

// wanted is the stage that a trouble belongs to (common practice): a hole that shows was not
// filled well, a crack and a gap are the caulk's, an open joint is the casing's, or the cutting's in a run.
func (a About) wanted() stage.Stage {
	switch a {
	case Rubs, Latch, UnevenGap:
		return stage.Hung
	case OpenJoint:
		return stage.Cased
	case Loose:
		return stage.Nailed
	case NailHole, Dent:
		return stage.Filled
	case Crack, WallGap:
		return stage.Caulked
	case Paint:
		return stage.Painted
	}
	return ""
}

// StageOf says which of the stages an item passes is to be done again for a trouble. Where
// the item skips the one it belongs to, it is the last before it: under stain a crack goes
// back to filled, since nothing is caulked. Other has no stage: the lead says it.
func StageOf(a About, list []stage.Stage) stage.Stage {
	want := a.wanted()
	if want == "" {
		return ""
	}
	var last stage.Stage
	for _, s := range stage.All() {
		for _, x := range list {
			if x == s {
				last = x
			}
		}
		if s == want {
			break
		}
	}
	return last
}
