package drawing

// plainEdge is what is left about a plain drawing, tenths of a millimeter.
const plainEdge = 300

// Plain leaves a drawing's numbers out: no dimensions, angles, labels or marks, for somebody
// who looks at the work and does not do it. What stays is drawn as it was, and the sheet is
// cut to it. Spots stay: they are what a plan's reader touches.
func Plain(d Drawing) Drawing {
	out := Drawing{Title: d.Title, Exaggerated: d.Exaggerated, Shapes: make([]Shape, 0, len(d.Shapes))}
	first := true
	var least, most Point
	for _, s := range d.Shapes {
		switch {
		case s.Kind == "dim", s.Kind == "angle", s.Kind == "label", s.Role == "plumb", s.Role == "level", s.Role == "mark":
			continue
		}
		s.State, s.Text = "", ""
		for _, p := range s.Points {
			if first {
				least, most, first = p, p, false
			}
			for i := range p {
				least[i], most[i] = min(least[i], p[i]), max(most[i], p[i])
			}
		}
		out.Shapes = append(out.Shapes, s)
	}
	if first {
		return Drawing{Title: d.Title, Shapes: []Shape{}}
	}
	for i := range out.Shapes {
		points := make([]Point, len(out.Shapes[i].Points))
		for j, p := range out.Shapes[i].Points {
			points[j] = Point{p[0] - least[0] + plainEdge, p[1] - least[1] + plainEdge}
		}
		out.Shapes[i].Points = points
	}
	out.Width, out.Height = most[0]-least[0]+2*plainEdge, most[1]-least[1]+2*plainEdge
	return out
}
