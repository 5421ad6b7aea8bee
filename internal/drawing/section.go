package drawing

import (
	"strconv"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// detail is the section at the floor: cut through the slab and the floor, looking at the
// framing of the side beyond, enlarged so that a wall fills its place.
type detail struct {
	times       int // enlarged against the elevation
	left, right int // the wall's faces
	top, floor  int // cut end of the wall; the finished floor
	stands      int // the floor as it stands
	swing       int // how far the floor rises in the swing
	swingRight  bool
}

// detailWide is what the wall takes of a phone, so that its reading's name fits over it.
const detailWide = 116

func (e *elevation) detail() detail {
	wall := 4*inch + 9*inch/16
	if b := e.s.Values.WallBuildUp; b != nil {
		wall = tenths(*b, length.Inch, 30*length.Inch)
	} else if w := e.s.Unit.JambWidth; w > 0 {
		wall = tenths(w, length.Inch, 30*length.Inch)
	}
	d := detail{times: max(1, min(12, e.at(detailWide)/wall))}
	wide := min(wall*d.times, e.at(190))
	d.left = (e.width - wide) / 2
	d.right = d.left + wide
	band := e.height - e.at(underBand)
	d.top = band + e.at(54)
	d.stands = band + e.at(118)
	d.floor = d.stands - min(e.at(24), e.g.toCome*d.times)
	if h := e.s.Values.FloorHighest; h != nil {
		d.swing = min(e.at(30), tenths(*h, 0, 6*length.Inch)*d.times)
	}
	// Face A lies on the hinge side of the sheet.
	d.swingRight = e.s.Unit.SwingsTo == trim.FaceB
	return d
}

// section draws the wall's build-up, the floor and what stands on it.
func (e *elevation) section() {
	d, s := e.detail(), e.s
	l, r := e.at(8), e.width-e.at(8)
	if d.swing > 0 {
		// The floor climbs to its highest in the swing.
		far := l
		if d.swingRight {
			far = r
		}
		mid := (far + d.left) / 2
		if d.swingRight {
			mid = (far + d.right) / 2
		}
		quarter := (far - mid) / 2
		e.polygon("floor", "", Point{mid - quarter, d.floor}, Point{mid, d.floor - d.swing}, Point{far, d.floor - d.swing}, Point{far, d.floor})
	}
	e.box("floor", s.term("drawn_section"), l, d.stands, r, d.stands+e.at(10))
	e.line("floor", Point{l, d.stands}, Point{r, d.stands})
	if d.stands > d.floor {
		e.box("stop", "", l, d.floor, r, d.stands)
	}
	onA, onB := d.layers(&s.Values)
	// The cut end of the wall is broken off.
	jog := e.at(4)
	m := (d.left + d.right) / 2
	e.polygon("stud", "", Point{d.left + onA, d.stands}, Point{d.left + onA, d.top},
		Point{m - jog, d.top}, Point{m - jog/3, d.top - jog}, Point{m + jog/3, d.top + jog}, Point{m + jog, d.top},
		Point{d.right - onB, d.top}, Point{d.right - onB, d.stands})
	if onA > 0 {
		e.box("wall", "", d.left, d.top, d.left+onA, d.stands)
	}
	if onB > 0 {
		e.box("wall", "", d.right-onB, d.top, d.right, d.stands)
	}
	e.cutSlab(&d)
	a, b := s.term("face_a"), s.term("face_b")
	title := s.term("drawn_section")
	if d.times > 1 {
		title += ", " + strconv.Itoa(d.times) + "×"
	}
	row := e.height - e.at(underBand-9)
	e.label(a, e.at(8), row, "start")
	e.label(b, e.width-e.at(8), row, "end")
	e.label(title, e.width/2, row, "middle")
}

// layers is what covers the stud on either face: as read, else what the build-up leaves.
func (d *detail) layers(r *trim.Readings) (onA, onB int) {
	wide := d.right - d.left
	guess := wide / 9
	if r.WallBuildUp != nil {
		guess = layerOf(*r.WallBuildUp) * d.times
	}
	of := func(read *length.Length) int {
		l := guess
		if read != nil {
			l = tenths(*read, 0, 4*length.Inch) * d.times
		}
		return max(0, min(l, wide/3))
	}
	return of(r.LayersA), of(r.LayersB)
}

// layerOf is the board on one face: what the deepest common stud leaves (PS 20: a 2x4 is
// 3-1/2 in deep, a 2x6 5-1/2).
func layerOf(wall length.Length) int {
	depth := 7 * length.Half
	if wall >= 11*length.Half {
		depth = 11 * length.Half
	}
	return tenths((wall-depth)/2, 0, 3*length.Inch)
}

// cutSlab shows the closed slab's foot at the wall's edge it is hinged on, and the line its
// stop is set to.
func (e *elevation) cutSlab(d *detail) {
	s := e.s
	if e.g.slabCount == 0 || s.Unit.SlabThickness <= 0 || isSliding(s.Unit.Kind) {
		return
	}
	wide := d.right - d.left
	thick := min(wide*2/3, tenths(s.Unit.SlabThickness, 0, 4*length.Inch)*d.times)
	line := min(wide-1, thick+max(1, tenths(s.Rules.StopClearance, 0, length.Quarter)*d.times))
	stop := min(wide-line, max(e.at(10), e.at(22)))
	foot := min(e.at(30), tenths(s.Rules.BottomGap, 0, 3*length.Inch)*d.times) + d.swing
	edge, to := d.left, 1
	if d.swingRight {
		edge, to = d.right, -1
	}
	bottom := max(d.top, d.floor-foot)
	e.box("slab", "", edge, d.top-e.at(8), edge+to*thick, bottom)
	e.box("hatch", "", edge, d.top-e.at(8), edge+to*thick, bottom)
	e.outline("stop", edge+to*line, d.top-e.at(8), edge+to*(line+stop), d.floor)
}
