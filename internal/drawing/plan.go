package drawing

import (
	"math"
	"strconv"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Bands about a plan, in pixels of a phone: the walls' lengths stand in them.
const (
	planSide = 74
	planOver = 62
	wallThin = 8  // a wall's thickness as drawn
	trimThin = 6  // the least a run's stock is drawn
	lengthAt = 42 // a wall's length from its face
	nearAt   = 19 // its number, and what else is read of it
	roomyFor = 118
	plainBy  = 30 // bands of a plan without readings
)

// Room draws a room's plan to scale from its walls, the first along the top: wall numbers,
// what stands on the walls, the items there, and a dimension for every reading that has a
// place. A walk that does not close is drawn as it was walked, with what is missing.
func Room(s RoomScene) Drawing {
	p, ok := newPlan(&s)
	if !ok {
		return Drawing{Title: s.Name, Shapes: []Shape{}}
	}
	p.ground()
	p.run(false)
	p.readings()
	p.items()
	return p.done(p.title())
}

// RunPieces draws the same plan with a run's pieces along the walls, the length of each to
// be touched by its piece and each corner by corner_1 for the one after wall 1.
func RunPieces(s RoomScene) Drawing {
	p, ok := newPlan(&s)
	if !ok || s.Run == nil {
		return Drawing{Title: s.Name, Shapes: []Shape{}}
	}
	p.ground()
	p.run(true)
	p.pieces()
	p.corners()
	return p.done(p.piecesTitle())
}

type vec [2]float64

// wallLine is one wall's face on the sheet, from its left end.
type wallLine struct {
	from, to, dir vec
	long          float64
	read          length.Length // what is laid off along it
	angle         trim.Angle    // the corner at its right end, on the room's side
}

// at is a place along the wall, out of the room by so much.
func (w *wallLine) at(along, out float64) Point {
	return Point{int(math.Round(w.from[0] + along*w.dir[0] + out*w.dir[1])), int(math.Round(w.from[1] + along*w.dir[1] - out*w.dir[0]))}
}

// on is a distance from the wall's left end on the sheet, kept on the wall.
func (w *wallLine) on(l length.Length) float64 {
	return max(0, min(float64(l)/float64(w.read), 1)) * w.long
}

type plan struct {
	sheet
	rs     *RoomScene
	laid   laidOut
	walls  []wallLine
	closed bool
	deep   float64 // of the walls
	thick  float64 // of the run
	next   int
}

func newPlan(s *RoomScene) (*plan, bool) {
	laid, ok := s.layOut()
	if !ok {
		return nil, false
	}
	p := &plan{sheet: sheet{s: &s.Scene, px: 1}, rs: s, laid: laid, next: s.next()}
	n := len(laid.room.Walls)
	p.closed = !laid.room.Open && (laid.plan.Closes || !laid.known)
	ends := laid.plan.Walked
	if p.closed {
		ends = append(append(make([]trim.Point, 0, n+1), laid.plan.Corners...), laid.plan.Corners[0])
	}
	const unit = float64(length.Millimeter) / 10
	at := make([]vec, n+1)
	low, high := vec{math.Inf(1), math.Inf(1)}, vec{math.Inf(-1), math.Inf(-1)}
	for i := range at {
		at[i] = vec{float64(ends[i].X) / unit, float64(ends[i].Y) / unit}
		for k := range low {
			low[k], high[k] = min(low[k], at[i][k]), max(high[k], at[i][k])
		}
	}
	wide, tall := high[0]-low[0], high[1]-low[1]
	beside, over := planSide, planOver
	if len(s.Readings) == 0 && s.Run == nil {
		beside, over = plainBy, plainBy
	}
	p.px = max(1, int(math.Ceil(max(wide/float64(phoneWide-2*beside), tall/float64(phoneTall-2*over)))))
	p.width, p.height = p.at(phoneWide), p.at(2*over)+int(math.Ceil(tall))
	dx, dy := (float64(p.width)-wide)/2-low[0], float64(p.at(over))-low[1]
	p.walls = make([]wallLine, n)
	shortest := math.Inf(1)
	for i := range p.walls {
		w := &p.walls[i]
		w.from, w.to = vec{at[i][0] + dx, at[i][1] + dy}, vec{at[i+1][0] + dx, at[i+1][1] + dy}
		w.long = max(1, math.Hypot(w.to[0]-w.from[0], w.to[1]-w.from[1]))
		w.dir = vec{(w.to[0] - w.from[0]) / w.long, (w.to[1] - w.from[1]) / w.long}
		w.read = laid.room.Walls[i].Length
		w.angle, _ = laid.room.Walls[i].Corner()
		shortest = min(shortest, w.long)
	}
	p.deep = float64(p.at(wallThin))
	if laid.plan.Column {
		p.deep = min(p.deep, shortest/4)
	}
	p.thick = float64(max(p.at(trimThin), min(tenths(s.Profile.Depth(), 0, 12*length.Inch), p.at(2*trimThin))))
	return p, true
}

// outer is the wall's other side at its left end, or at the right end of the last.
func (p *plan) outer(i int) Point {
	n := len(p.walls)
	if !p.closed && (i == 0 || i == n) {
		w := &p.walls[max(0, i-1)]
		if i == 0 {
			return w.at(0, p.deep)
		}
		return w.at(w.long, p.deep)
	}
	a, b := p.walls[(i+n-1)%n].dir, p.walls[i%n].dir
	// Both walls' normals over one and their product: where the two lines meet. A sharp
	// corner's point is blunted.
	k := p.deep / max(0.35, 1+a[0]*b[0]+a[1]*b[1])
	at := p.walls[i%n].from
	return Point{int(math.Round(at[0] + k*(a[1]+b[1]))), int(math.Round(at[1] - k*(a[0]+b[0])))}
}

// through reports whether the feature is a way through the wall.
func through(f *trim.Feature) bool {
	return f.Kind == trim.OpeningFeature || f.Kind == trim.WindowFeature
}

// stands are the features of a wall, left to right.
func (p *plan) stands(wall int) []*trim.Feature {
	var out []*trim.Feature
	for i := range p.rs.Features {
		f := &p.rs.Features[i]
		if f.Wall != wall+1 || f.Width <= 0 || f.Offset < 0 || f.Width > trim.MostWall || f.Offset > trim.MostWall {
			continue
		}
		at := len(out)
		out = append(out, f)
		for ; at > 0 && out[at-1].Offset > f.Offset; at-- {
			out[at] = out[at-1]
		}
		out[at] = f
	}
	return out
}

// stretch is a piece of wall without a way through, its faces from left to right.
type stretch struct{ inner, outer []Point }

// ground draws the walls, broken at openings, and what stands on them.
func (p *plan) ground() {
	var all []stretch
	var now stretch
	n := len(p.walls)
	for i := range p.walls {
		w := &p.walls[i]
		in, out := w.at(0, 0), p.outer(i)
		from := 0.0
		for _, f := range p.stands(i) {
			if !through(f) {
				continue
			}
			l, r := w.on(f.Offset), w.on(f.Offset+f.Width)
			if r <= from {
				continue
			}
			if l > from {
				all = append(all, stretch{append(now.inner, in, w.at(l, 0)), append(now.outer, out, w.at(l, p.deep))})
			} else if len(now.inner) > 0 {
				all = append(all, stretch{append(now.inner, in), append(now.outer, out)})
			}
			now, from = stretch{}, r
			in, out = w.at(r, 0), w.at(r, p.deep)
		}
		now.inner, now.outer = append(now.inner, in), append(now.outer, out)
	}
	end := p.walls[n-1].at(p.walls[n-1].long, 0)
	now.inner, now.outer = append(now.inner, end), append(now.outer, p.outer(n))
	if p.closed && len(all) > 0 && all[0].inner[0] == p.walls[0].at(0, 0) {
		// The last stretch runs on round the corner the walk began at.
		all[0].inner = append(now.inner[:len(now.inner)-1:len(now.inner)-1], all[0].inner...)
		all[0].outer = append(now.outer[:len(now.outer)-1:len(now.outer)-1], all[0].outer...)
	} else {
		all = append(all, now)
	}
	for _, s := range all {
		pts := s.inner
		for k := len(s.outer) - 1; k >= 0; k-- {
			pts = append(pts, s.outer[k])
		}
		p.polygon("wall", "", pts...)
	}
	for i := range p.walls {
		for _, f := range p.stands(i) {
			p.feature(i, f)
		}
	}
	if !p.laid.room.Open && !p.closed {
		a, b := p.walls[n-1].at(p.walls[n-1].long, 0), p.walls[0].at(0, 0)
		text := p.s.print(p.laid.plan.ClosingError.Length)
		p.shapes = append(p.shapes, Shape{Kind: "dim", Role: "closing", Points: p.keep([]Point{a, b}),
			Text: text, Name: p.s.term("drawn_open_by"), State: "disagree"})
	}
	for i := range p.walls {
		if !p.laid.guessed[i] || p.reading(i+1, trim.ReadLength) == nil {
			w := &p.walls[i]
			at := w.at(w.long/2, float64(p.at(nearAt)))
			p.label(strconv.Itoa(i+1), at[0], at[1], "middle")
			p.shapes[len(p.shapes)-1].Name = p.s.term("wall") + " " + strconv.Itoa(i+1)
		}
	}
}

// feature draws one thing on a wall. Casing is drawn as deep as a run.
func (p *plan) feature(i int, f *trim.Feature) {
	w := &p.walls[i]
	l, r := w.on(f.Offset), w.on(f.Offset+f.Width)
	block := func(role, name string, from, to, low, high float64) {
		p.polygon(role, name, w.at(from, low), w.at(to, low), w.at(to, high), w.at(from, high))
	}
	name := p.s.term(string(f.Kind)) + ", " + p.s.term("wall") + " " + strconv.Itoa(i+1) + ": " +
		p.s.print(f.Offset) + " " + p.s.term("drawn_from_left") + ", " + p.s.print(f.Width) + " " + p.s.term("drawn_wide")
	small := float64(p.at(5))
	switch f.Kind {
	case trim.OpeningFeature:
		block("gap", name, l, r, 0, p.deep)
	case trim.WindowFeature:
		block("glass", name, l, r, 0, p.deep)
		p.line("glass", w.at(l, p.deep/2), w.at(r, p.deep/2))
	case trim.BuiltIn:
		block("built_in", name, l, r, 0, -float64(p.at(12)))
	case trim.Register:
		block("register", name, l, r, 0, -small)
		for k := 1; k < 4; k++ {
			x := l + (r-l)*float64(k)/4
			p.line("register", w.at(x, 0), w.at(x, -small))
		}
	case trim.Box:
		m := max((r-l)/2, small/2)
		l, r = (l+r)/2-m, (l+r)/2+m
		block("box", name, l, r, 0, -small)
		p.line("box", w.at(l, 0), w.at(r, -small))
	}
	left, right := f.Edges()
	if a := w.on(left); a < l && through(f) {
		block("casing", "", a, l, 0, -p.thick)
	}
	if b := w.on(right); b > r && through(f) {
		block("casing", "", r, b, 0, -p.thick)
	}
}

// items puts every item at its opening, well inside the room, and those on no wall in a row
// in the middle of it.
func (p *plan) items() {
	var loose []*PlanItem
	for i := range p.rs.Items {
		it := &p.rs.Items[i]
		wall, f := p.featureOf(it)
		if f == nil {
			loose = append(loose, it)
			continue
		}
		w := &p.walls[wall]
		p.spot(it, w.at((w.on(f.Offset)+w.on(f.Offset+f.Width))/2, -float64(p.at(34))))
	}
	if len(loose) == 0 {
		return
	}
	at := p.middle()
	row := p.at(50)
	for k, it := range loose {
		p.spot(it, Point{at[0], at[1] + row*(2*k-len(loose)+1)/2})
	}
}

func (p *plan) featureOf(it *PlanItem) (int, *trim.Feature) {
	if it.Feature == "" {
		return 0, nil
	}
	for i := range p.walls {
		for _, f := range p.stands(i) {
			if f.ID == it.Feature {
				return i, f
			}
		}
	}
	return 0, nil
}

func (p *plan) spot(it *PlanItem, at Point) {
	name := it.Name
	if it.Says != "" {
		name += ", " + it.Says
	}
	p.shapes = append(p.shapes, Shape{Kind: "spot", Role: "item", Key: it.Key, Text: it.Name, Name: name, Marks: it.Pole, Points: p.keep([]Point{at})})
}

// middle is the place in the room farthest from its walls and from half way to what stands
// there already, on a grid.
func (p *plan) middle() Point {
	low, high := p.walls[0].from, p.walls[0].from
	for i := range p.walls {
		for k := range low {
			low[k], high[k] = min(low[k], p.walls[i].to[k]), max(high[k], p.walls[i].to[k])
		}
	}
	const grid = 12
	best, at := math.Inf(-1), Point{int((low[0] + high[0]) / 2), int((low[1] + high[1]) / 2)}
	if !p.closed || p.laid.plan.Column {
		return at
	}
	for y := 1; y < grid; y++ {
		for x := 1; x < grid; x++ {
			v := vec{low[0] + (high[0]-low[0])*float64(x)/grid, low[1] + (high[1]-low[1])*float64(y)/grid}
			in, near := false, math.Inf(1)
			for i := range p.walls {
				a, b := p.walls[i].from, p.walls[i].to
				if (a[1] > v[1]) != (b[1] > v[1]) && v[0] < a[0]+(v[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
					in = !in
				}
				w := &p.walls[i]
				f := max(0, min((v[0]-a[0])*w.dir[0]+(v[1]-a[1])*w.dir[1], w.long))
				near = min(near, math.Hypot(v[0]-a[0]-f*w.dir[0], v[1]-a[1]-f*w.dir[1]))
			}
			for i := range p.shapes {
				if s := &p.shapes[i]; s.Kind == "spot" {
					near = min(near, math.Hypot(v[0]-float64(s.Points[0][0]), v[1]-float64(s.Points[0][1]))/2)
				}
			}
			// Of places as good the one nearer the middle of the grid, so that a mirrored room mirrors.
			near -= 1e-3 * math.Hypot(v[0]-float64(at[0]), v[1]-float64(at[1]))
			if in && near > best+1 {
				best = near
				at = Point{int(v[0]), int(v[1])}
			}
		}
	}
	return at
}

func (p *plan) title() string {
	s, plan := p.s, p.laid.plan
	out := s.Name + ", " + s.term("drawn_plan") + ", " + strconv.Itoa(len(p.walls)) + " " + s.term("drawn_walls") + "."
	if p.laid.known {
		out += " " + s.term("drawn_round") + ": " + s.print(plan.Perimeter.Length) + "."
		if !p.closed && !p.laid.room.Open {
			out += " " + s.term("drawn_open_by") + ": " + s.print(plan.ClosingError.Length) + "."
		}
	}
	if p.next >= 0 {
		out += " " + s.term("drawn_next") + ": " + s.Readings[p.next].Label + "."
	}
	return out
}

func (p *plan) reading(wall int, q trim.RunQuantity) *ReadingMark {
	for i := range p.s.Readings {
		if r := &p.s.Readings[i]; r.Wall == wall && r.Quantity == q {
			return r
		}
	}
	return nil
}
