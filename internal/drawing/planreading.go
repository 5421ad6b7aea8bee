package drawing

import (
	"math"
	"strconv"

	"longpoint/internal/trim"
)

// readings adds a dimension for every reading in walking order: a wall's length outside the
// room, the corner at its right end, a stud and the bow beside its number, a taped stretch
// inside. What the cuts do without and nobody took is left out where the wall is too short
// to hold it.
func (p *plan) readings() {
	s := p.s
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.Wall < 1 || r.Wall > len(p.walls) {
			continue
		}
		d := Shape{Key: r.Spec.Name, Text: r.Text, Name: r.Label, State: r.State}
		missing := r.State == "missing"
		if missing {
			d.Optional = !r.Spec.Required
			if i == p.next {
				d.State = "next"
			}
		}
		w := &p.walls[r.Wall-1]
		roomy := w.long >= float64(p.at(roomyFor))
		switch r.Quantity {
		case trim.ReadLength:
			if missing {
				d.Text = s.term("wall") + " " + strconv.Itoa(r.Wall)
				d.Name = heard(d.Text, r.Label)
			}
			p.along(d, w, 0, w.long, float64(p.at(lengthAt)))
		case trim.ReadAngle:
			p.angleRead(d, r.Wall-1, missing)
		case trim.ReadStud:
			p.beside(d, r, w, "drawn_stud", 0.08, missing, roomy)
		case trim.ReadBow:
			p.beside(d, r, w, "drawn_bow", 0.66, missing, roomy)
		case trim.ReadTaped:
			p.stretchRead(d, r, w, missing)
		}
	}
}

// along lays a dimension on a wall, out of the room by off.
func (p *plan) along(d Shape, w *wallLine, from, to, off float64) {
	p.dim(d, w.at(from, 0), w.at(max(to, from+1), 0), int(math.Round(off)))
}

// beside is a small reading of a wall next to its number. A stud found is dimensioned where
// it stands.
func (p *plan) beside(d Shape, r *ReadingMark, w *wallLine, term string, share float64, missing, roomy bool) {
	if missing && !roomy {
		return
	}
	from, to := w.long*share, w.long*(share+0.26)
	if missing {
		d.Text = p.s.term(term)
		d.Name = heard(d.Text, r.Label)
	}
	if stud := p.rs.Walls.Walls[r.Wall-1].Stud; r.Quantity == trim.ReadStud && !missing && stud != nil {
		from, to = 0, w.on(*stud)
		p.line("stud", w.at(to, 0), w.at(to, p.deep))
	}
	p.along(d, w, from, to, float64(p.at(nearAt)))
}

// angleRead is the corner at a wall's right end; one that is square because nobody read it
// is an arc without a value.
func (p *plan) angleRead(d Shape, wall int, missing bool) {
	n := len(p.walls)
	if !p.closed && wall == n-1 {
		return
	}
	if missing {
		d.Text = ""
		if a := gauge(p.walls[wall].angle); a != 90 {
			d.Text, d.Optional, d.State = degreesText(a), false, "computed"
		}
	}
	p.corner(d, wall)
}

// gauge is what an angle gauge reads at a corner: under 180°, from the room or round it.
func gauge(a trim.Angle) float64 {
	if d := a.Degrees(); d > 180 {
		return 360 - d
	}
	return a.Degrees()
}

// corner draws an angle shape at a wall's right end.
func (p *plan) corner(d Shape, wall int) {
	w, next := &p.walls[wall], &p.walls[(wall+1)%len(p.walls)]
	arm := float64(p.at(30))
	a, b := min(arm, w.long/2), min(arm, next.long/2)
	p.angle(d, w.at(w.long-a, 0), w.at(w.long, 0), next.at(b, 0))
}

// stretchRead is a stretch between two stops as taped; until then as worked out.
func (p *plan) stretchRead(d Shape, r *ReadingMark, w *wallLine, missing bool) {
	if p.rs.Run == nil {
		return
	}
	for i := range p.rs.Run.Stretches {
		st := &p.rs.Run.Stretches[i]
		if st.Wall != r.Wall || st.Number != r.Stretch {
			continue
		}
		if missing {
			d.Text, d.State, d.Optional = p.s.print(st.Value.Length), "computed", false
		}
		p.along(d, w, w.on(st.From), w.on(st.To), -p.thick-float64(p.at(18)))
	}
}
