package drawing

import (
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// read gathers an opening's true lengths: as taped, as worked out, else what is usual for
// the unit (2 in over the slab both ways, common practice).
func read(s *Scene) measures {
	u, r, ru := &s.Unit, &s.Values, &s.Rules
	size := func(l length.Length) int { return tenths(l, 0, mostDrawn) }
	var m measures
	m.jamb, m.head = min(size(u.JambThickness), 4*inch), min(size(u.HeadThickness), 6*inch)
	if m.head == 0 {
		m.head = m.jamb
	}
	gapMost := 3 * length.Inch
	m.gap, m.meet = tenths(ru.HingeGap, 0, gapMost), tenths(ru.StrikeGap, 0, gapMost)
	m.topGap, m.foot = tenths(ru.TopGap, 0, gapMost), tenths(ru.BottomGap, 0, gapMost)
	if isSliding(u.Kind) {
		m.gap, m.meet = 0, 0
		m.topGap = tenths(u.TrackAllowance, 0, 8*length.Inch)
	}
	if u.Kind == trim.Pair {
		m.astragal = tenths(u.Astragal, 0, gapMost)
		if u.MeetingGap > 0 {
			m.meet = tenths(u.MeetingGap, 0, gapMost)
		}
	}
	if u.Kind == trim.CasedOpening {
		m.gap, m.meet, m.topGap, m.foot = 0, 0, 0, 0
	}

	n := panels(u)
	if n > 0 && u.SlabWidth > 0 {
		m.slab = tenths(u.SlabWidth, leastDrawn, 10*length.Foot)
	}
	m.lap = min(size(u.Lap), m.slab/2)
	if u.Kind == trim.Bifold {
		m.spread = tenths(u.WidthAllowance, 0, 6*length.Inch)
	}
	m.inside = insideOf(u, &m, n)
	usual := m.inside + 2*m.jamb + inch/2
	switch {
	case u.Kind == trim.Pocket:
		usual = m.pocketFrame(s) + inch/2
	case m.inside == 0:
		usual = 36 * inch
	case u.Kind == trim.Door || u.Kind == trim.Pair:
		usual = n*m.slab + 2*inch
	}
	m.widths(r, usual)
	lean := r.LeanHinge
	if lean != nil {
		m.lean = tenths(*lean, -12*length.Inch, 12*length.Inch)
	}
	room := min(m.width[0], m.width[1], m.width[2]) - max(0, m.lean) + min(0, m.lean)
	if m.inside == 0 || u.Kind == trim.CasedOpening && u.ClearWidth == 0 {
		m.inside = max(room-2*m.jamb-inch/2, 3*inch)
	}
	m.heights(s)
	return m
}

// insideOf is jamb to jamb as the unit asks for it; zero when it does not.
func insideOf(u *trim.Unit, m *measures, n int) int {
	switch {
	case u.Kind == trim.CasedOpening:
		if u.ClearWidth > 0 {
			return tenths(u.ClearWidth, leastDrawn, mostDrawn)
		}
	case m.slab == 0:
	case u.Kind == trim.Door:
		return m.slab + m.gap + m.meet
	case u.Kind == trim.Pair:
		return 2*m.slab + 2*m.gap + m.meet + m.astragal
	case u.Kind == trim.Pocket:
		return m.slab - m.lap
	case u.Kind == trim.Bifold:
		return n*m.slab + m.spread
	case u.Kind == trim.Bypass:
		return n*m.slab - (n-1)*m.lap
	}
	return 0
}

// widths takes the taped widths; one that is missing takes after the one below or above it.
func (m *measures) widths(r *trim.Readings, usual int) {
	taped := [3]*length.Length{r.WidthBottom, r.WidthMiddle, r.WidthTop}
	last := max(usual, 3*inch)
	for i := range taped {
		if taped[i] != nil {
			last = tenths(*taped[i], leastDrawn, mostDrawn)
			break
		}
	}
	for i := range taped {
		if taped[i] != nil {
			last = tenths(*taped[i], leastDrawn, mostDrawn)
		}
		m.width[i] = last
	}
}

// heights places floor, header, head and slab above the datum.
func (m *measures) heights(s *Scene) {
	u, r, ru := &s.Unit, &s.Values, &s.Rules
	if r.FloorToCome != nil {
		m.toCome = tenths(*r.FloorToCome, 0, 6*length.Inch)
	} else {
		m.toCome = tenths(ru.FloorToCome, 0, 6*length.Inch)
	}
	if r.FloorStrikeUp != nil {
		up := tenths(*r.FloorStrikeUp, -6*length.Inch, 6*length.Inch)
		m.floor = [2]int{min(0, -up), min(0, up)}
	}
	usual := 80 * inch
	if u.SlabHeight > 0 {
		usual = tenths(u.SlabHeight, 20*length.Inch, mostDrawn)
	}
	usual += 2*inch + m.toCome
	hinge, strike := r.HeightHinge, r.HeightStrike
	high := [2]int{usual + m.floor[0], usual + m.floor[1]}
	least := 20 * length.Inch
	if hinge != nil {
		high[0] = m.floor[0] + tenths(*hinge, least, mostDrawn)
		high[1] = high[0]
	}
	if strike != nil {
		high[1] = m.floor[1] + tenths(*strike, least, mostDrawn)
		if hinge == nil {
			high[0] = high[1]
		}
	}
	for i := range high {
		m.headerHigh[i] = max(high[i]-m.toCome, 8*inch)
	}
	allowance := tenths(ru.TopAllowance, 0, 4*length.Inch)
	if u.JambThickness == 0 && isSliding(u.Kind) {
		allowance = 0 // the board returned is the finished head
	}
	m.headTop = min(m.headerHigh[0], m.headerHigh[1]) - allowance

	var swing, under length.Length
	known := false
	for i := range s.Cuts.Values {
		v := &s.Cuts.Values[i]
		switch v.Name {
		case "head_top":
			m.headTop = tenths(v.Value.Length, 4*length.Inch, mostDrawn)
		case "bottom_gap_actual":
			under, known = v.Value.Length, true
		case "floor_in_swing":
			swing = v.Value.Length
		}
	}
	if swing == 0 && r.FloorHighest != nil {
		swing = *r.FloorHighest
	}
	if u.Kind == trim.CasedOpening {
		swing = 0
	}
	foot := m.foot
	if known {
		foot = tenths(under, 0, 6*length.Foot)
	}
	m.foot = foot + tenths(swing, 0, 6*length.Inch)
	m.slabHeight = max(m.headTop-m.head-m.topGap-m.foot, 4*inch)
	if c := s.cut("slab"); c != nil {
		m.slabHeight = tenths(c.Value.Length, 4*length.Inch, mostDrawn)
	} else if u.SlabHeight > 0 {
		m.slabHeight = min(m.slabHeight, usual-2*inch-m.toCome)
	}
}

// measureWindow is a set window: readings run inside the unit's jambs, from the sill.
func measureWindow(s *Scene) geometry {
	r := &s.Values
	m := measures{jamb: min(tenths(s.Unit.JambThickness, 0, 4*length.Inch), 4*inch)}
	if m.jamb == 0 {
		m.jamb = 3 * inch / 4
	}
	m.widths(r, 36*inch)
	high := [2]int{48 * inch, 48 * inch}
	if r.HeightHinge != nil {
		high[0] = tenths(*r.HeightHinge, 6*length.Inch, mostDrawn)
		high[1] = high[0]
	}
	if r.HeightStrike != nil {
		high[1] = tenths(*r.HeightStrike, 6*length.Inch, mostDrawn)
		if r.HeightHinge == nil {
			high[0] = high[1]
		}
	}
	g := geometry{times: 1, jamb: m.jamb, head: m.jamb, header: high}
	g.headUnder = max(high[0], high[1])
	g.headTop = g.headUnder + g.head
	// Widths at sill and head, one about the other.
	wide := max(m.width[0], m.width[2])
	for i, w := range [3]int{m.width[0], (m.width[0] + m.width[2]) / 2, m.width[2]} {
		g.left[i] = m.jamb + (wide-w)/2
		g.right[i] = g.left[i] + w
	}
	g.inside = [2]int{m.jamb, m.jamb + wide}
	return g
}
