package drawing

import (
	"strconv"
	"strings"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// laid is one piece as drawn on its wall: where its back and its face begin and end. Its
// thickness is drawn more than it is, so its joints are worked for that.
type laidPiece struct {
	backL, faceL, backR, faceR float64
	returnL, returnR           bool
}

// jointDrawn is how far an end's back stops short of its stop, and its face beyond its back,
// at most what still looks like a joint: a nearly straight corner would run off the sheet.
func (p *plan) jointDrawn(j trim.Joint, c trim.Angle, end *trim.End) (off, beyond float64) {
	off, beyond = p.joint(j, c, end)
	most := 4 * p.thick
	return max(-most, min(off, most)), max(-most, min(beyond, most))
}

func (p *plan) joint(j trim.Joint, c trim.Angle, end *trim.End) (off, beyond float64) {
	t, deg := p.thick, c.Degrees()
	acute := 0.0
	if deg < 90 {
		acute = t / tan(deg)
	}
	switch j {
	case trim.ButtFirst, trim.CopeFirst, trim.ButtWall:
		return acute, 0
	case trim.ButtSecond, trim.Cope:
		if deg == 90 {
			return t, 0
		}
		// Cut to the first piece's face.
		return t * half(deg), -t / tan(deg)
	case trim.MiterInside, trim.MiterOutside:
		return 0, -t / tan(deg/2)
	case trim.ScarfOver:
		h := t * tan(end.Miter+end.Bevel) / 2
		return h, 2 * h
	case trim.ScarfUnder:
		h := t * tan(end.Miter+end.Bevel) / 2
		return -h, -2 * h
	case trim.Return:
		return t, t
	}
	return 0, 0
}

// half is one over the sine, by half angles.
func half(deg float64) float64 { t := tan(deg / 2); return (1 + t*t) / (2 * t) }

func (p *plan) layPiece(k int) (laidPiece, *wallLine) {
	pc := &p.rs.Run.Pieces[k]
	w := &p.walls[pc.Wall-1]
	n := len(p.walls)
	var ends [2]trim.End
	if c := p.s.cut(pc.Name); c != nil && len(c.Ends) == 2 {
		ends = [2]trim.End{c.Ends[0], c.Ends[1]}
	}
	from, to := w.on(pc.From), w.on(pc.To)
	for i := range p.rs.Run.Stretches {
		if st := &p.rs.Run.Stretches[i]; st.Wall == pc.Wall && st.Number == pc.Stretch {
			if !scarfed(pc.Left) {
				from = w.on(st.From)
			}
			if !scarfed(pc.Right) {
				to = w.on(st.To)
			}
		}
	}
	offL, beyondL := p.jointDrawn(pc.Left, p.walls[(pc.Wall+n-2)%n].angle, &ends[0])
	offR, beyondR := p.jointDrawn(pc.Right, w.angle, &ends[1])
	l := laidPiece{backL: from + offL, backR: to - offR, returnL: pc.Left == trim.Return, returnR: pc.Right == trim.Return}
	if l.backL > l.backR { // drawn too thick for so short a piece
		l.backL = (l.backL + l.backR) / 2
		l.backR = l.backL
	}
	l.faceL, l.faceR = l.backL-beyondL, l.backR+beyondR
	if l.faceL > l.faceR {
		l.faceL = (l.faceL + l.faceR) / 2
		l.faceR = l.faceL
	}
	return l, w
}

func scarfed(j trim.Joint) bool { return j == trim.ScarfOver || j == trim.ScarfUnder }

// run draws the pieces along the walls, a coped end with its curve, a return with its stub.
func (p *plan) run(named bool) {
	r := p.rs.Run
	if r == nil {
		return
	}
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		if pc.Wall < 1 || pc.Wall > len(p.walls) {
			continue
		}
		l, w := p.layPiece(k)
		pts := []Point{w.at(l.backL, 0), w.at(l.backR, 0)}
		if pc.Right == trim.Cope {
			pts = append(pts, p.cope(w, l.backR, l.faceR, 1)...)
		}
		pts = append(pts, w.at(l.faceR, -p.thick), w.at(l.faceL, -p.thick))
		if pc.Left == trim.Cope {
			c := p.cope(w, l.backL, l.faceL, -1)
			for k := len(c) - 1; k >= 0; k-- {
				pts = append(pts, c[k])
			}
		}
		name := ""
		if named {
			name = p.pieceName(pc)
		}
		p.polygon("casing", name, pts...)
		if l.returnL {
			p.polygon("casing", "", w.at(l.backL, 0), w.at(l.faceL, -p.thick), w.at(l.faceL, 0))
		}
		if l.returnR {
			p.polygon("casing", "", w.at(l.backR, 0), w.at(l.faceR, -p.thick), w.at(l.faceR, 0))
		}
	}
}

// copeCurve is a coped end from back to face: how far across the stock, and how far the
// profile bulges there, by its thickness.
var copeCurve = [...][2]float64{{0.2, 0.1}, {0.4, 0.1}, {0.6, -0.1}, {0.8, -0.1}}

func (p *plan) cope(w *wallLine, back, face, out float64) []Point {
	pts := make([]Point, 0, len(copeCurve))
	for _, k := range copeCurve {
		pts = append(pts, w.at(back+(face-back)*k[0]+out*k[1]*p.thick, -p.thick*k[0]))
	}
	return pts
}

// pieceName says a piece with its joints.
func (p *plan) pieceName(pc *trim.Piece) string {
	return p.label1(pc.Name) + ": " + p.s.term("left") + " " + p.s.term(string(pc.Left)) + ", " + p.s.term("right") + " " + p.s.term(string(pc.Right))
}

func (p *plan) label1(piece string) string {
	for i := range p.s.Cuts.Cuts {
		if p.s.Cuts.Cuts[i].Piece == piece {
			_, m := p.s.piece(i)
			return m.Label
		}
	}
	return p.s.term(piece)
}

// pieces dimensions every piece inside the room, long point to long point, and one that is
// mitered outside too, from short point to short point.
func (p *plan) pieces() {
	for i := range p.s.Cuts.Cuts {
		c, m := p.s.piece(i)
		for k := range p.rs.Run.Pieces {
			pc := &p.rs.Run.Pieces[k]
			if pc.Name != c.Piece || pc.Wall < 1 || pc.Wall > len(p.walls) {
				continue
			}
			l, w := p.layPiece(k)
			from, to := min(l.backL, l.faceL), max(l.backR, l.faceR)
			row := -p.thick - float64(p.at(18))
			d := Shape{Key: c.Piece, Text: m.Text, Name: m.Label, State: m.State}
			short := ShortPoints(c)
			if short < c.Value.Length {
				d.Name += ", " + p.s.term("drawn_short_points") + " " + p.s.print(short)
			}
			p.along(d, w, from, to, row)
			if short < c.Value.Length && mitered(pc) {
				p.along(Shape{Text: p.s.print(short), Name: m.Label + ", " + p.s.term("drawn_short_points"), State: "computed"},
					w, max(l.backL, l.faceL), min(l.backR, l.faceR), float64(p.at(lengthAt)))
			}
		}
	}
}

func mitered(pc *trim.Piece) bool {
	for _, j := range [2]trim.Joint{pc.Left, pc.Right} {
		switch j {
		case trim.MiterInside, trim.MiterOutside, trim.ScarfOver, trim.ScarfUnder, trim.Return:
			return true
		}
	}
	return false
}

// ShortPoints is a piece's length from short point to short point.
func ShortPoints(c *trim.Cut) length.Length {
	l := c.Value.Length
	for i := range c.Marks {
		if strings.HasPrefix(c.Marks[i].Name, "short_point_") {
			l -= c.Marks[i].Value.Length
		}
	}
	return l
}

// corners marks how each corner is made; touched it opens to its section.
func (p *plan) corners() {
	for i := range p.rs.Run.Corners {
		c := &p.rs.Run.Corners[i]
		if c.After < 1 || c.After > len(p.walls) || c.Angle == 180*trim.Degree || !p.closed && c.After == len(p.walls) {
			continue
		}
		p.corner(Shape{Key: cornerKey(c.After), Text: p.cornerText(c), Name: p.cornerName(c), State: "computed"}, c.After-1)
	}
}

func cornerKey(after int) string { return "corner_" + strconv.Itoa(after) }

// cornerText is the joint in a word, or a miter in degrees from square.
func (p *plan) cornerText(c *trim.Corner) string {
	switch {
	case c.Left == trim.Cope || c.Right == trim.Cope:
		return p.s.term("drawn_cope")
	case c.Left == trim.ButtSecond || c.Right == trim.ButtSecond:
		return p.s.term("drawn_butt")
	case c.Left == trim.MiterInside || c.Left == trim.MiterOutside:
		return degreesText(c.Saw.Miter.Want)
	}
	return ""
}

func (p *plan) cornerName(c *trim.Corner) string { return p.s.cornerName(c) }

func (s *Scene) cornerName(c *trim.Corner) string {
	out := s.term("drawn_corner") + " " + strconv.Itoa(c.After) + ", " + degreesText(c.Angle.Degrees())
	if c.Left != "" {
		out += ": " + s.term("left") + " " + s.term(string(c.Left))
	}
	if c.Right != "" {
		out += ", " + s.term("right") + " " + s.term(string(c.Right))
	}
	return out
}

func (p *plan) piecesTitle() string {
	s := p.s
	open := 0
	for i := range s.Cuts.Cuts {
		if _, m := s.piece(i); m.State == "computed" || m.State == "stale" {
			open++
		}
	}
	return s.Name + ", " + s.term("drawn_plan") + ". " + s.term("drawn_pieces") + ": " + strconv.Itoa(len(s.Cuts.Cuts)) + ", " +
		s.term("drawn_to_cut") + ": " + strconv.Itoa(open) + "."
}
