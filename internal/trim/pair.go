package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/length"
)

// meetingGap is the gap between the slabs of a pair: as specified, else the strike gap.
func (l *layout) meetingGap() length.Length {
	if l.u.MeetingGap > 0 {
		return l.u.MeetingGap
	}
	return l.ru.StrikeGap
}

// pairTerms is the inside of a pair's frame: both slabs hang on hinges, so each side has
// the hinge gap; between them stand the meeting gap and the astragal, when there is one.
func (l *layout) pairTerms() []derive.Term {
	u := &l.u
	terms := []derive.Term{
		unitSize("slab_width", u.SlabWidth), unitSize("slab_width", u.SlabWidth),
		rule("hinge_gap", l.ru.HingeGap), rule("hinge_gap", l.ru.HingeGap), l.meetingTerm(),
	}
	if u.Astragal > 0 {
		terms = append(terms, unitSize("astragal", u.Astragal))
	}
	return terms
}

func (l *layout) meetingTerm() derive.Term {
	if l.u.MeetingGap > 0 {
		return unitSize("meeting_gap", l.u.MeetingGap)
	}
	return rule("strike_gap", l.ru.StrikeGap)
}

// pairClear is the way through one slab of a pair, the other closed: no stop stands at the
// meeting edge, an astragal's lap does. That is the width a rule asks of a pair; with both
// open the way is wider.
func (l *layout) pairClear() *derive.Value {
	u := &l.u
	if u.SlabThickness == 0 {
		return nil
	}
	l.name("clear_width_both", derive.Sum(byWidth, computed("inside_width", l.inside),
		minusUnit("slab_thickness", u.SlabThickness), minusUnit("slab_thickness", u.SlabThickness)))
	terms := []derive.Term{rule("hinge_gap", l.ru.HingeGap), unitSize("slab_width", u.SlabWidth), l.meetingTerm(),
		minusUnit("slab_thickness", u.SlabThickness)}
	if u.Astragal > 0 {
		terms = append(terms, minusUnit("astragal_lap", u.AstragalLap))
	}
	return l.name("clear_width", derive.Sum(byWidth, terms...))
}
