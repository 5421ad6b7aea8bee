package drawing

import (
	"strconv"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Bands of the sheet, in pixels of a phone. The sides hold the heights' values and the
// spaces to the next wall; over the header lie the leans.
const (
	sideBand   = 92
	leanRow    = 15
	headerTop  = 32
	headerTall = 36
	floorBand  = 54
	underBand  = 134 // the section at the floor
)

// elevation draws one opening as its face is seen.
type elevation struct {
	sheet
	g       geometry
	originX int // of g's x on the sheet
	datum   int // of g's y on the sheet
	next    int
}

func (e *elevation) x(x int) int { return e.originX + x }
func (e *elevation) y(y int) int { return e.datum - y }

// Opening draws the elevation of an opening from one face by its own readings, with a
// dimension for every reading, and under it a section at the floor (of a window: its
// stool). Lengths are tenths of a millimeter. It takes any scene.
func Opening(s Scene) Drawing {
	e := elevation{sheet: newSheet(&s, 66, 224), g: measure(&s), next: s.next()}
	below := floorBand + underBand
	if s.Unit.Kind == trim.Window {
		below = 96
	}
	e.layOut(headerTop+headerTall, below)
	if s.Unit.Kind == trim.Window {
		e.window()
	} else {
		e.neighbors()
		e.framing()
		e.ground()
		e.gaps()
		e.frame()
		e.slabs()
		e.casing()
		e.section()
		e.sideWords()
	}
	e.readings()
	d := e.done(e.title())
	if e.g.times > 1 {
		d.Exaggerated = e.g.times
	}
	return d
}

// layOut picks the scale at which opening and bands fit the phone, and places the opening
// in the middle of the width.
func (e *elevation) layOut(above, below int) {
	g := &e.g
	minX, maxX := min(g.left[0], g.left[1], g.left[2]), max(g.right[0], g.right[1], g.right[2])
	foot := min(g.floor[0], g.floor[1]) - g.toCome
	top := max(g.header[0], g.header[1])
	across, up := maxX-minX, top-foot
	ceil := func(a, b int) int { return (a + b - 1) / b }
	e.px = max(1, ceil(across, phoneWide-2*sideBand), ceil(up, phoneTall-above-below))
	// Casing too wide for the bands asks for a smaller scale.
	if past := e.s.casingReach(); past > 0 {
		e.px = max(e.px, ceil(across+2*past, phoneWide), ceil(past, above))
		if e.s.Unit.Kind == trim.Window {
			e.px = max(e.px, ceil(past+inch, below))
		}
	}
	e.width = e.at(phoneWide)
	e.originX = (e.width-across)/2 - minX
	e.datum = e.at(above) + top
	e.height = e.at(above+below) + up
}

// king and jack studs are 1-1/2 in thick (PS 20, American softwood lumber: a dressed 2 by).
const stud = 3 * inch / 2

func (e *elevation) framing() {
	g := &e.g
	for side := range 2 {
		edge, out, name := g.left, -stud, "drawn_studs_hinge"
		if side == 1 {
			edge, out, name = g.right, stud, "drawn_studs_strike"
		}
		foot, top := e.y(g.floor[side]-g.toCome), e.y(g.header[side])
		mid := (foot + top) / 2
		x0, x1, x2 := e.x(edge[0]), e.x(edge[1]), e.x(edge[2])
		e.polygon("stud", e.s.term(trim.TermFor(e.s.Unit, name)),
			Point{x0, foot}, Point{x1, mid}, Point{x2, top},
			Point{x2 + out, top}, Point{x1 + out, mid}, Point{x0 + out, foot})
		x0, x1, x2 = x0+out, x1+out, x2+out
		b := e.at(headerTop - 8)
		e.polygon("stud", "",
			Point{x0, foot}, Point{x1, mid}, Point{x2, top},
			Point{x2, b}, Point{x2 + out*2/5, b + e.at(4)}, Point{x2 + out*3/5, b - e.at(4)}, Point{x2 + out, b},
			Point{x2 + out, top}, Point{x1 + out, mid}, Point{x0 + out, foot})
	}
	l, r := e.x(g.left[2])-stud, e.x(g.right[2])+stud
	b, m := e.at(headerTop), (l+r)/2
	e.polygon("header", e.s.term("drawn_header"),
		Point{l, e.y(g.header[0])}, Point{l, b},
		Point{m - e.at(5), b}, Point{m - e.at(2), b - e.at(5)}, Point{m + e.at(2), b + e.at(5)}, Point{m + e.at(5), b},
		Point{r, b}, Point{r, e.y(g.header[1])},
		Point{e.x(g.right[2]), e.y(g.header[1])}, Point{e.x(g.left[2]), e.y(g.header[0])})
}

// floorAt is the finished floor's height at a place: straight from side to side, and on as
// far again beyond them.
func (e *elevation) floorAt(x int) int {
	g := &e.g
	run := max(1, g.right[0]-g.left[0])
	x = max(-run, min(x-g.left[0], 2*run))
	return g.floor[0] + (g.floor[1]-g.floor[0])*x/run
}

func (e *elevation) ground() {
	g := &e.g
	l, r := e.at(30), e.width-e.at(30)
	fl, fr := e.y(e.floorAt(l-e.originX)), e.y(e.floorAt(r-e.originX))
	deep := e.at(11)
	e.polygon("floor", e.s.term("drawn_floor"),
		Point{l, fl + g.toCome}, Point{r, fr + g.toCome}, Point{r, fr + g.toCome + deep}, Point{l, fl + g.toCome + deep})
	e.line("floor", Point{l, fl + g.toCome}, Point{r, fr + g.toCome})
	if g.toCome > 0 {
		e.polygon("stop", e.s.term("floor_to_come"), Point{l, fl}, Point{r, fr}, Point{r, fr + g.toCome}, Point{l, fl + g.toCome})
	}
	for side, edge := range [2][3]int{g.left, g.right} {
		x := e.x(edge[0])
		e.line("plumb", Point{x, e.at(leanRow - 7)}, Point{x, e.y(g.floor[side]) + e.at(8)})
	}
	e.line("level", Point{e.at(20), e.datum}, Point{e.width - e.at(20), e.datum})
}

// gaps shades the shim spaces, the space over the head and the gaps round the slabs.
func (e *elevation) gaps() {
	g := &e.g
	head := e.y(g.headTop)
	for side := range 2 {
		edge, jamb, name := g.left, e.x(0), "shim_hinge"
		if side == 1 {
			edge, jamb, name = g.right, e.x(g.reach()), "shim_strike"
		}
		if e.s.Unit.Kind == trim.Pocket && side == 0 {
			continue // the pocket is there, not shims
		}
		foot, top := e.y(g.floor[side]), e.y(g.header[side])
		e.polygon("gap", e.s.term(trim.TermFor(e.s.Unit, name)),
			Point{jamb, foot}, Point{jamb, head}, Point{e.x(edge[2]), top}, Point{e.x(edge[1]), (foot + top) / 2}, Point{e.x(edge[0]), foot})
	}
	e.polygon("gap", "", Point{e.x(0), head}, Point{e.x(g.left[2]), e.y(g.header[0])},
		Point{e.x(g.right[2]), e.y(g.header[1])}, Point{e.x(g.reach()), head})
	if g.slabCount > 0 {
		e.polygon("gap", "", Point{e.x(g.inside[0]), e.y(g.floor[0])}, Point{e.x(g.inside[0]), e.y(g.headUnder)},
			Point{e.x(g.inside[1]), e.y(g.headUnder)}, Point{e.x(g.inside[1]), e.y(g.floor[1])})
	}
}

func (e *elevation) frame() {
	g := &e.g
	if g.jamb == 0 {
		return
	}
	s := e.s
	under, top := e.y(g.headUnder), e.y(g.headTop)
	e.polygon("jamb", s.term(trim.TermFor(s.Unit, "leg_hinge")), Point{e.x(0), e.y(g.floor[0])}, Point{e.x(0), top},
		Point{e.x(g.inside[0]), top}, Point{e.x(g.inside[0]), e.y(g.floor[0])})
	e.polygon("jamb", s.term(trim.TermFor(s.Unit, "leg_strike")), Point{e.x(g.reach()), e.y(g.floor[1])}, Point{e.x(g.reach()), top},
		Point{e.x(g.inside[1]), top}, Point{e.x(g.inside[1]), e.y(g.floor[1])})
	e.box("head", s.term("head"), e.x(g.inside[0]), top, e.x(g.inside[1]), under)
	if s.Unit.Kind == trim.Pocket {
		e.pocket()
	}
}

// pocket shows the pocket's studs and the slab's place in it as hidden edges.
func (e *elevation) pocket() {
	g := &e.g
	back := min(g.left[0], g.left[1], g.left[2])
	if wide := -back; wide > 2*inch {
		for _, x := range [...]int{back + wide/3, back + 2*wide/3} {
			e.line("stop", Point{e.x(x), e.y(g.floor[0])}, Point{e.x(x), e.y(g.headTop)})
		}
	}
}

// slabName says a slab in a word and two lengths.
func (e *elevation) slabName() string {
	u := &e.s.Unit
	h := u.SlabHeight
	if c := e.s.cut("slab"); c != nil {
		h = c.Value.Length
	}
	return e.s.term("slab") + " " + e.s.print(u.SlabWidth) + " × " + e.s.print(h)
}

func (e *elevation) slabs() {
	g := &e.g
	top, foot := e.y(g.slabTop), e.y(g.slabFoot)
	kind := e.s.Unit.Kind
	for i := range g.slabCount {
		x0, x1 := e.x(g.slabs[i][0]), e.x(g.slabs[i][1])
		name := ""
		if i == 0 {
			name = e.slabName()
		}
		if kind == trim.Pocket {
			// What stays in the pocket is hidden.
			in := e.x(g.inside[0])
			if x0 < in {
				e.outline("stop", x0, top, in, foot)
				x0 = in
			}
		}
		e.box("slab", name, x0, top, max(x1, x0), foot)
	}
	if kind == trim.Bypass {
		// Every other slab runs behind: its hidden edges.
		for i := 1; i < g.slabCount; i++ {
			x := e.x(g.slabs[i-1][1])
			if i%2 == 0 {
				x = e.x(g.slabs[i][0])
			}
			e.line("stop", Point{x, top}, Point{x, foot})
		}
	}
	if g.slabCount == 0 {
		return
	}
	switch kind {
	case trim.Door:
		e.hung(g.slabs[0], true)
	case trim.Pair:
		e.hung(g.slabs[0], true)
		e.hung(g.slabs[1], false)
	case trim.Bifold:
		// Each couple of slabs folds toward the middle where its hinges are.
		for i := 0; i+1 < g.slabCount; i += 2 {
			e.swing(g.slabs[i], true)
			e.swing(g.slabs[i+1], false)
		}
	}
	if kind == trim.Door || kind == trim.Pair {
		e.stop()
	}
}

// swing is the carpenter's hinge triangle: its point lies on the hinged edge.
func (e *elevation) swing(slab [2]int, hingedLeft bool) {
	hinge, free := e.x(slab[0]), e.x(slab[1])
	if !hingedLeft {
		hinge, free = free, hinge
	}
	top, foot := e.y(e.g.slabTop), e.y(e.g.slabFoot)
	e.line("stop", Point{free, top}, Point{hinge, (top + foot) / 2}, Point{free, foot})
}

// hung draws a hinged slab's triangle and its hinges at their worked-out heights.
func (e *elevation) hung(slab [2]int, hingedLeft bool) {
	e.swing(slab, hingedLeft)
	c := e.s.cut("slab")
	if c == nil {
		return
	}
	tall := max(inch, tenths(e.s.Rules.HingeHeight, 0, 8*length.Inch))
	gap := e.g.gap
	x0, x1 := e.x(slab[0])-gap-inch/2, e.x(slab[0])+inch/2
	if !hingedLeft {
		x0, x1 = e.x(slab[1])-inch/2, e.x(slab[1])+gap+inch/2
	}
	for i := range c.Marks {
		down := tenths(c.Marks[i].Value.Length, 0, mostDrawn)
		if c.Marks[i].From != "top" || down+tall > e.g.slabTop-e.g.slabFoot {
			continue
		}
		y := e.y(e.g.slabTop) + down
		e.box("mark", e.s.term(c.Marks[i].Name), x0, y, x1, y+tall)
	}
}

// stop is the hidden edge of the stop behind or before the slab, lapping it by what the
// stop is thicker than the gap.
func (e *elevation) stop() {
	g := &e.g
	thick := tenths(e.s.Unit.StopThickness, 0, 2*length.Inch)
	lap := thick - tenths(e.s.Rules.StrikeGap, 0, length.Inch)
	if lap <= 0 {
		return
	}
	l, r := e.x(g.slabs[0][0])+lap, e.x(g.slabs[g.slabCount-1][1])-lap
	top := e.y(g.slabTop) + lap
	e.line("stop", Point{l, e.y(g.floor[0])}, Point{l, top}, Point{r, top}, Point{r, e.y(g.floor[1])})
}

// sideWords name the two sides under the floor.
func (e *elevation) sideWords() {
	g := &e.g
	y := e.y(min(g.floor[0], g.floor[1])-g.toCome) + e.at(28)
	u := e.s.Unit
	e.label(e.s.term(trim.TermFor(u, "drawn_hinge")), e.x(g.left[0])-e.at(2), y, "end")
	e.label(e.s.term(trim.TermFor(u, "drawn_strike")), e.x(g.right[0])+e.at(2), y, "start")
}

// title sums the drawing up for a person who hears it.
func (e *elevation) title() string {
	s := e.s
	out := s.Name
	if out == "" {
		out = s.term(string(s.Unit.Kind))
	}
	face := "face_a"
	if s.Face == trim.FaceB {
		face = "face_b"
	}
	out += ", " + s.term("drawn_elevation_from") + " " + s.term(face) + ": " + s.term(string(s.Unit.Kind))
	if w := s.Unit.SlabWidth; w > 0 && e.g.slabCount > 0 {
		out += " " + s.print(w) + " × " + s.print(s.Unit.SlabHeight)
	}
	taken, disagree := 0, 0
	for i := range s.Readings {
		switch s.Readings[i].State {
		case "taken":
			taken++
		case "disagree":
			disagree++
		}
	}
	out += ". " + s.term("drawn_taken") + ": " + strconv.Itoa(taken) + "."
	if disagree > 0 {
		out += " " + s.term("drawn_disagree") + ": " + strconv.Itoa(disagree) + "."
	}
	if e.next >= 0 {
		out += " " + s.term("drawn_next") + ": " + s.Readings[e.next].Label + "."
	}
	return out
}
