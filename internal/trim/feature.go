package trim

import (
	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
)

// FeatureKind is what stands on a wall.
type FeatureKind string

// The kinds of feature.
const (
	OpeningFeature FeatureKind = "opening"  // a door or cased opening
	WindowFeature  FeatureKind = "window"   // with or without casing
	BuiltIn        FeatureKind = "built_in" // a cabinet, a hearth, a stair skirt
	Register       FeatureKind = "register" // an air register or grille
	Box            FeatureKind = "box"      // an electrical box
)

// RegisterRule says what a run does at registers.
type RegisterRule string

// The register rules.
const (
	CutRound RegisterRule = "cut_round"
	RunOver  RegisterRule = "run_over"
)

// Feature is a thing on a wall, nanometers from the wall's left end.
type Feature struct {
	ID              string        `json:"id,omitempty" maxLength:"40" doc:"The opening's own id, or any name"`
	Wall            int           `json:"wall" minimum:"1" doc:"Wall it is on, counted from 1"`
	Kind            FeatureKind   `json:"kind" enum:"opening,window,built_in,register,box"`
	Offset          length.Length `json:"offset" doc:"Wall's left end to the feature's left edge"`
	Width           length.Length `json:"width" doc:"Left edge to right edge, without casing unless that is how it was taped"`
	CasingLeft      length.Length `json:"casing_left,omitempty" doc:"How far the casing's outside edge stands left of the left edge"`
	CasingRight     length.Length `json:"casing_right,omitempty" doc:"How far the casing's outside edge stands right of the right edge"`
	CasingThickness length.Length `json:"casing_thickness,omitempty" doc:"How far the casing stands out from the wall"`
	Bottom          length.Length `json:"bottom,omitempty" doc:"Floor to its lower edge, casing and all"`
	Top             length.Length `json:"top,omitempty" doc:"Floor to its upper edge, casing and all; zero when not said"`
	ToCeiling       bool          `json:"to_ceiling,omitempty" doc:"Reaches the ceiling, so crown stops at it"`
	Main            bool          `json:"main,omitempty" doc:"The door one comes in by: coped ends hide from it"`
}

// left and right are the outside edges.
func (f Feature) left() length.Length  { return f.Offset - f.CasingLeft }
func (f Feature) right() length.Length { return f.Offset + f.Width + f.CasingRight }

// leftTerms and rightTerms are how an edge comes about.
func (f Feature) leftTerms() []derive.Term {
	ts := []derive.Term{derive.Plus("feature_offset", f.Offset, derive.Reading)}
	if f.CasingLeft != 0 {
		ts = append(ts, derive.Minus("casing_beyond", f.CasingLeft, derive.Reading))
	}
	return ts
}

func (f Feature) rightTerms() []derive.Term {
	ts := []derive.Term{
		derive.Plus("feature_offset", f.Offset, derive.Reading),
		derive.Plus("feature_width", f.Width, derive.Reading),
	}
	if f.CasingRight != 0 {
		ts = append(ts, derive.Plus("casing_beyond", f.CasingRight, derive.Reading))
	}
	return ts
}

// CheckFeature refuses at the door what cannot stand on the wall. Number counts features
// from 1. The wall's length may still be missing (zero).
func CheckFeature(number int, w Wall, f Feature) []finding.Finding {
	var fs []finding.Finding
	say := func(code string, s finding.Severity) finding.Finding {
		return finding.New(code, s).On("measured").At(featureReading(number)).
			Num("feature", int64(number)).Num("wall", int64(f.Wall))
	}
	switch f.Kind {
	case OpeningFeature, WindowFeature, BuiltIn, Register, Box:
	default:
		return append(fs, say("feature_kind_unknown", finding.Stop).Text("kind", string(f.Kind)))
	}
	kind := string(f.Kind)
	for _, l := range []length.Length{f.CasingLeft, f.CasingRight, f.CasingThickness, f.Bottom, f.Top} {
		if l < 0 || l > MostWall {
			fs = append(fs, say("feature_size_impossible", finding.Stop).Term("kind", kind).Len("length", l).Len("most", MostWall))
		}
	}
	if f.Width <= 0 || f.Width > MostWall || f.Offset < 0 || f.Offset > MostWall {
		return append(fs, say("feature_off_wall", finding.Stop).Term("kind", kind).
			Len("offset", f.Offset).Len("width", f.Width).Len("length", w.Length))
	}
	if f.Top != 0 && f.Top <= f.Bottom {
		fs = append(fs, say("feature_upside_down", finding.Stop).Term("kind", kind).Len("bottom", f.Bottom).Len("top", f.Top))
	}
	if w.Length == 0 || len(fs) > 0 {
		return fs
	}
	switch {
	case f.Offset+f.Width > w.Length:
		fs = append(fs, say("feature_off_wall", finding.Stop).Term("kind", kind).
			Len("offset", f.Offset).Len("width", f.Width).Len("length", w.Length))
	case f.left() < 0:
		fs = append(fs, say("feature_casing_at_corner", finding.Warn).Term("kind", kind).Len("over", -f.left()))
	case f.right() > w.Length:
		fs = append(fs, say("feature_casing_at_corner", finding.Warn).Term("kind", kind).Len("over", f.right()-w.Length))
	}
	return fs
}

// breaks reports whether the run stops at the feature's edges.
func (f Feature) breaks(p Profile, registers RegisterRule) bool {
	low, high, known := p.band()
	switch {
	case p.Kind == CrownRun:
		return f.ToCeiling
	case f.Kind == Box:
		return false
	case f.Kind == Register:
		// A register lower than the run is notched into it; a taller one, or one whose
		// height was not said, parts it.
		return registers != RunOver && f.meets(low, high, known) && (f.Top == 0 || f.Top >= high || p.Kind == Shoe)
	case f.Kind == WindowFeature && f.Bottom == 0 && f.Top == 0:
		return p.Kind == ChairRail // its height was not said: rails meet windows, base seldom does
	}
	return f.meets(low, high, known)
}

// meets reports whether the feature and a band of wall overlap; an unknown band is met by
// everything but boxes and registers.
func (f Feature) meets(low, high length.Length, known bool) bool {
	if !known {
		return f.Kind != Box && f.Kind != Register
	}
	return f.Bottom < high && (f.Top == 0 || f.Top > low)
}

// marked reports whether the feature leaves a notch or hole in the run that passes it.
func (f Feature) marked(p Profile, registers RegisterRule) bool {
	low, high, known := p.band()
	if p.Kind == CrownRun || !known || f.breaks(p, registers) || !f.meets(low, high, known) {
		return false
	}
	if f.Kind == Box {
		return p.Kind == Base || p.Kind == ChairRail && f.Top > 0
	}
	return f.Kind == Register && registers != RunOver
}

// onWall returns the features of a wall by number (from 0), left to right.
func onWall(fs []Feature, wall int) []int {
	var out []int
	for i := range fs {
		if fs[i].Wall != wall {
			continue
		}
		at := len(out)
		out = append(out, i)
		for ; at > 0 && fs[out[at-1]].left() > fs[i].left(); at-- {
			out[at] = out[at-1]
		}
		out[at] = i
	}
	return out
}
