package joblog

import (
	"longpoint/internal/drawing"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// draw puts the drawings into a view whose readings and cuts are written already: the
// opening from its face A, its pieces pulled apart, and each piece on its own.
func (w writer) draw(a *assessment, v *ItemView) {
	s := w.scene(a, v)
	if !a.item.IsRun() {
		v.Drawing = drawing.Opening(s)
		v.CutDrawing = drawing.Cuts(s)
	}
	for i, d := range drawing.Pieces(s) {
		v.Cuts[i].Drawing = d
	}
}

func (w writer) scene(a *assessment, v *ItemView) drawing.Scene {
	it := a.item
	s := drawing.Scene{Name: it.Name, Unit: it.Unit, CasingA: it.CasingA, CasingB: it.CasingB, Rules: a.rules, Face: trim.FaceA,
		Values: a.current, Cuts: a.cuts, Term: w.term, Print: w.print,
		Readings: make([]drawing.ReadingMark, 0, len(a.readings)), Pieces: make([]drawing.PieceMark, 0, len(v.Cuts))}
	for i := range a.readings {
		r := &a.readings[i]
		m := drawing.ReadingMark{Spec: r.spec, Label: v.Readings[i].Label, State: string(r.state)}
		var value length.Length
		switch {
		case r.current != nil:
			value = r.current.Value
		case len(r.takes) > 0:
			// Takes that disagree: the drawing shows the latest, marked.
			value = r.takes[len(r.takes)-1].Value
			s.Values.Set(r.spec.Name, value)
		}
		if len(r.takes) > 0 {
			m.Text = w.readingText(r.spec, value.Abs())
		}
		s.Readings = append(s.Readings, m)
	}
	for i := range v.Cuts {
		c := &v.Cuts[i]
		s.Pieces = append(s.Pieces, drawing.PieceMark{Label: c.Label, Text: c.Tape.Text, State: drawnState(c.State), Saw: c.Saw})
	}
	return s
}

// drawnState is a piece's state as a drawing marks it: a piece cut right reads like a
// reading taken, one cut off its line like takes that disagree.
func drawnState(s PieceState) string {
	switch s {
	case PieceCutOK:
		return "taken"
	case PieceOff:
		return "disagree"
	case PieceStale:
		return "stale"
	}
	return "computed"
}
