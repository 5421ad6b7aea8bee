package drawing

// plainEdge is what is left about a plain drawing, tenths of a millimeter.
const plainEdge = 300

// Plain leaves out what only the crew reads: dimensions, angles, labels, marks, the framing
// behind the trim, and the section under an elevation. It is for somebody who looks at the
// work and does not do it. What stays is drawn as it was, and the sheet is cut to it. Spots
// stay: they are what a plan's reader touches.
func Plain(d Drawing) Drawing {
	out := Drawing{Title: d.Title, Exaggerated: d.Exaggerated, Shapes: make([]Shape, 0, len(d.Shapes))}
	under := underFloor(d)
	first := true
	var least, most Point
	for _, s := range d.Shapes {
		if !seen(s) || top(s) > under {
			continue
		}
		if s.Kind != "spot" {
			s.State, s.Text = "", ""
		}
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

// seen reports whether a shape shows in the finished room, or is there to be touched.
func seen(s Shape) bool {
	switch s.Kind {
	case "dim", "angle", "label":
		return false
	}
	switch s.Role {
	case "plumb", "level", "mark", "stud", "header", "hatch", "gap", "stop":
		return false
	}
	return true
}

// underFloor is the lowest line of an elevation's floor; below it a section is drawn. A plan
// has no floor line.
func underFloor(d Drawing) int {
	for _, s := range d.Shapes {
		if s.Role == "floor" {
			lowest := s.Points[0][1]
			for _, p := range s.Points {
				lowest = max(lowest, p[1])
			}
			return lowest
		}
	}
	return d.Height
}

func top(s Shape) int {
	if len(s.Points) == 0 {
		return 0
	}
	highest := s.Points[0][1]
	for _, p := range s.Points {
		highest = min(highest, p[1])
	}
	return highest
}
