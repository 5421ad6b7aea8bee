package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/length"
)

// slotPlay is the room each side of a slab in a pocket's slot where the maker's sheet says
// nothing (common practice).
const slotPlay = 3 * length.Sixteenth

// splitJambs cuts the strips of a pocket door's frame. The pocket lies on the hinge side.
// The strike side has a full leg; the pocket side and the head have a strip each side of
// the slot the slab runs in.
func (l *layout) splitJambs() {
	u := &l.u
	if u.JambWidth == 0 || u.SlabThickness == 0 {
		return
	}
	slot := []derive.Term{minusUnit("slot_width", u.SlotWidth)}
	if u.SlotWidth == 0 {
		slot = []derive.Term{minusUnit("slab_thickness", u.SlabThickness),
			derive.Minus("slot_play", slotPlay, derive.Rule), derive.Minus("slot_play", slotPlay, derive.Rule)}
	}
	both := derive.Sum(byPractice, append([]derive.Term{unitSize("jamb_width", u.JambWidth)}, slot...)...)
	l.name("split_jambs_together", both)
	rip := derive.By("half_of", byPractice, half(both.Length), computed("split_jambs_together", &both))
	strip := func(piece string, v derive.Value) {
		w := rip
		l.cut(stageTrimmed, Cut{Piece: piece, Profile: "jamb", Value: v, Rounding: length.Down, Width: &w, Ends: squareEnds(), Quantity: 2})
	}
	if l.underside != nil {
		strip("split_leg", derive.Sum(byPractice, computed("head_underside", l.underside), minusComputed("floor_hinge", l.floorHinge)))
	}
	if l.inside != nil {
		strip("split_head", derive.Sum(byPractice, computed("inside_width", l.inside)))
	}
}
