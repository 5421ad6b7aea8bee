package cutsheet

import (
	"strconv"
	"strings"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// runWriter puts a run's pieces and corners into one reader's words.
type runWriter struct {
	words finding.Catalog
	style length.Style
}

func (w runWriter) pieces(ps []trim.Piece, cuts []joblog.CutView) []RunPiece {
	byName := make(map[string]*joblog.CutView, len(cuts))
	for i := range cuts {
		byName[cuts[i].Piece] = &cuts[i]
	}
	out := make([]RunPiece, 0, len(ps))
	for _, p := range ps {
		cut := byName[p.Name]
		if cut == nil {
			continue
		}
		v := RunPiece{Piece: p, Label: cut.Label, Length: cut.Value.Length, Tape: cut.Tape, BackText: p.Back.Length.Print(w.style),
			LeftEnd: w.end(p.Left, cut.Ends[0]), RightEnd: w.end(p.Right, cut.Ends[1])}
		for _, s := range p.Nailing.Studs {
			v.StudTexts = append(v.StudTexts, s.Print(w.style))
		}
		out = append(out, v)
	}
	return out
}

func (w runWriter) end(j trim.Joint, e trim.End) RunEnd {
	return RunEnd{End: e, Label: w.words.Term(string(j)), Saw: w.saw(e.Miter, e.Bevel)}
}

// saw says a setting: "square", "miter 45°", "miter 31.62°, bevel 33.86°".
func (w runWriter) saw(miter, bevel float64) string {
	switch {
	case miter == 0 && bevel == 0:
		return w.words.Term("square")
	case bevel == 0:
		return w.words.Term("miter") + " " + degrees(miter)
	}
	return w.words.Term("miter") + " " + degrees(miter) + ", " + w.words.Term("bevel") + " " + degrees(bevel)
}

// degrees prints an angle to a hundredth, without needless zeros.
func degrees(d float64) string {
	s := strconv.FormatFloat(d, 'f', 2, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".") + "°"
}

func (w runWriter) corners(cs []trim.Corner) []RunCorner {
	out := make([]RunCorner, 0, len(cs))
	for _, c := range cs {
		v := RunCorner{Corner: c}
		if c.Left != "" {
			v.LeftLabel = w.words.Term(string(c.Left))
		}
		if c.Right != "" {
			v.RightLabel = w.words.Term(string(c.Right))
		}
		for _, a := range c.Allowances {
			v.Worked = append(v.Worked, w.value(a.Name, a.Value))
		}
		out = append(out, v)
	}
	return out
}

func (w runWriter) value(name string, v derive.Value) joblog.ValueView {
	return joblog.ValueView{Name: name, Label: w.words.Term(name), Value: v.Length, Text: v.Length.Print(w.style), Explain: w.explain(v)}
}

// explain writes how a value of the plan or of a corner came about.
func (w runWriter) explain(v derive.Value) joblog.Explanation {
	out := joblog.Explanation{Line: v.Length.Print(w.style), Exact: v.Length, Terms: make([]joblog.TermView, 0, len(v.Terms))}
	joiner := " = "
	for _, t := range v.Terms {
		text := t.Length.Abs().Print(w.style)
		if t.Length < 0 {
			text = "−" + text
		}
		if v.Formula == "" {
			out.Line += joiner + text
			joiner = " + "
		}
		out.Terms = append(out.Terms, joblog.TermView{Label: w.words.Term(t.Name), Text: text, Value: t.Length,
			Origin: t.Origin, Source: w.words.Term("origin_" + string(t.Origin))})
	}
	if v.Formula != "" {
		out.How = w.words.Term(v.Formula)
		out.Line += ": " + out.How
	}
	if v.Basis != "" {
		out.Basis = w.words.Term(v.Basis)
	}
	return out
}
