package drawing

import (
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// geometry is the opening as drawn, tenths of a millimeter. The hinge side lies left; x
// runs from the hinge jamb's outer face, y up from the datum, the high side of the finished
// floor (of a window: the sill). Slabs, jambs and casing are true, every gap is times its
// size, and the framing lies where that puts it.
type geometry struct {
	times int

	left, right   [3]int // inner edges of the framing at floor, mid height and header
	header, floor [2]int // hinge side, strike side
	toCome        int
	inside        [2]int // inner faces of the jambs
	jamb, head    int    // their thickness
	headTop       int
	headUnder     int
	slabs         [8][2]int // from, to
	slabCount     int
	slabFoot      int
	slabTop       int
	gap           int // drawn beside the slab on the hinge side
}

// reach is the frame's outer face on the strike side.
func (g *geometry) reach() int { return g.inside[1] + g.jamb }

// leftAt is the hinge side's inner edge at a height; the framing's bend lies at half height.
func (g *geometry) leftAt(y int) int  { return along(g.left, g.floor[0], g.header[0], y) }
func (g *geometry) rightAt(y int) int { return along(g.right, g.floor[1], g.header[1], y) }

func along(edge [3]int, foot, top, y int) int {
	mid := (foot + top) / 2
	switch {
	case y <= foot || top <= foot:
		return edge[0]
	case y >= top:
		return edge[2]
	case y < mid:
		return edge[0] + (edge[1]-edge[0])*(y-foot)/max(1, mid-foot)
	}
	return edge[1] + (edge[2]-edge[1])*(y-mid)/max(1, top-mid)
}

// leastDrawn and mostDrawn bound any length of a drawing: past them a reading or a size is
// a slip, which the rule book says; the drawing only has to hold.
const (
	leastDrawn = 3 * length.Inch
	mostDrawn  = 20 * length.Foot
)

// true lengths of an opening, tenths of a millimeter, usual ones in place of missing ones.
type measures struct {
	width            [3]int // floor, mid height, header
	lean             int
	headerHigh       [2]int // header above the datum
	floor            [2]int // below the datum, zero or less
	toCome           int
	inside           int
	jamb, head       int
	headTop          int
	slab             int // width of one; zero when there is none
	slabHeight       int
	topGap, foot     int // over the slab; under it, with the floor it must clear
	gap, meet, lap   int
	spread, astragal int
}

func measure(s *Scene) geometry {
	if s.Unit.Kind == trim.Window {
		return measureWindow(s)
	}
	m := read(s)
	var g geometry
	g.jamb, g.head = m.jamb, m.head

	// Sides as lines through the lean, the frame half the spare width from the tightest.
	left := [3]int{0, m.lean / 2, m.lean}
	right := [3]int{left[0] + m.width[0], left[1] + m.width[1], left[2] + m.width[2]}
	tightL, tightR := max(left[0], left[1], left[2]), min(right[0], right[1], right[2])
	frame := m.inside + 2*m.jamb
	if s.Unit.Kind == trim.Pocket {
		frame = m.pocketFrame(s)
	}
	spare := max(0, tightR-tightL-frame)
	var gapL, gapR [3]int
	for i := range gapL {
		gapL[i] = spare/2 + tightL - left[i]
		gapR[i] = spare - spare/2 + right[i] - tightR
	}
	over := [2]int{max(0, m.headerHigh[0]-m.headTop), max(0, m.headerHigh[1]-m.headTop)}

	across := max(gapL[0], gapL[1], gapL[2]) + max(gapR[0], gapR[1], gapR[2]) + 2*m.gap + m.meet + m.spread
	up := max(over[0], over[1]) + m.foot - min(m.floor[0], m.floor[1])
	if !isSliding(s.Unit.Kind) {
		up += m.topGap
	}
	g.times = 8
	for g.times > 1 && (g.times*across > m.width[0]*3/10 || g.times*up > m.headTop/8) {
		g.times--
	}
	k := g.times

	g.floor = [2]int{k * m.floor[0], k * m.floor[1]}
	g.toCome = m.toCome
	if m.slab > 0 {
		g.slabFoot = k * m.foot
		g.slabTop = g.slabFoot + m.slabHeight
		g.headUnder = g.slabTop + k*m.topGap
		if isSliding(s.Unit.Kind) { // what holds the track is no gap
			g.headUnder = g.slabTop + m.topGap
		}
	} else {
		g.headUnder = max(m.headTop-m.head, inch)
	}
	g.headTop = g.headUnder + g.head
	g.header = [2]int{g.headTop + k*over[0], g.headTop + k*over[1]}
	g.hang(s, &m)
	for i := range gapL {
		g.left[i] = -k * gapL[i]
		g.right[i] = g.reach() + k*gapR[i]
	}
	if s.Unit.Kind == trim.Pocket {
		// The frame is as wide as its sheet says: the pocket lies between it and the hinge side.
		for i := range g.left {
			g.left[i] += min(0, g.reach()-m.pocketFrame(s))
		}
	}
	return g
}

// pocketFrame is the whole width of a pocket door's frame.
func (m *measures) pocketFrame(s *Scene) int {
	if s.Unit.FrameWidth > 0 {
		return tenths(s.Unit.FrameWidth, leastDrawn, mostDrawn)
	}
	return 2*m.slab + inch
}

func isSliding(k trim.Kind) bool { return k == trim.Pocket || k == trim.Bifold || k == trim.Bypass }

// hang places the slabs between the jambs, and the jambs about them.
func (g *geometry) hang(s *Scene, m *measures) {
	k, x := g.times, g.jamb
	g.inside[0] = x
	put := func(from int) { g.slabs[g.slabCount] = [2]int{from, from + m.slab}; g.slabCount++ }
	n := 0
	if m.slab > 0 {
		n = panels(&s.Unit)
	}
	switch s.Unit.Kind {
	case trim.Door, trim.Pair:
		g.gap = k * m.gap
		for i := range n {
			if i > 0 {
				x += k*m.meet + m.astragal
			} else {
				x += g.gap
			}
			put(x)
			x += m.slab
		}
		if n == 0 {
			x += m.inside
		} else if n == 1 {
			x += k * m.meet
		} else {
			x += g.gap
		}
	case trim.Pocket:
		x += m.inside
		if n > 0 {
			put(x - m.slab)
		}
	case trim.Bifold:
		each := m.spread / max(1, n+1)
		for range n {
			x += k * each
			put(x)
			x += m.slab
		}
		x += k * each
	case trim.Bypass:
		for i := range n {
			put(x + i*(m.slab-m.lap))
		}
		x += max(m.inside, n*m.slab-(n-1)*m.lap)
	default:
		x += m.inside
	}
	if n == 0 && x < g.inside[0]+m.inside {
		x = g.inside[0] + m.inside
	}
	g.inside[1] = x
}

func panels(u *trim.Unit) int {
	switch u.Kind {
	case trim.Door, trim.Pocket:
		return 1
	case trim.Pair:
		return 2
	case trim.Bifold, trim.Bypass:
		return int(max(2, min(u.Panels, 8)))
	}
	return 0
}
