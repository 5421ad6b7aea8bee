package joblog

import (
	"longpoint/internal/drawing"
	"longpoint/internal/trim"
)

// draw puts the drawings into a view whose readings and cuts are written already: the
// opening from its face A, its pieces pulled apart, and each piece on its own; of a run the
// room's plan, the same with its pieces, and the section of each corner.
func (w writer) draw(sc Scope, a *assessment, v *ItemView) {
	s := w.scene(a, v)
	if a.item.IsRun() {
		room := w.runScene(sc, a, s)
		v.Drawing, v.CutDrawing, v.Run = drawing.Room(room), drawing.RunPieces(room), w.run(a, &room)
	} else {
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
		m, value := w.readingMark(&a.readings[i], &v.Readings[i])
		if value != nil && m.Wall == 0 {
			s.Values.Set(m.Spec.Name, *value)
		}
		s.Readings = append(s.Readings, m)
	}
	for i := range v.Cuts {
		c := &v.Cuts[i]
		s.Pieces = append(s.Pieces, drawing.PieceMark{Label: c.Label, Text: c.Tape.Text, Rip: c.Rip, State: drawnState(c.State), Saw: c.Saw})
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
