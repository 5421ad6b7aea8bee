package joblog

import (
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// fastenerContext is what a logged fastener is judged by. Which side or face it went into
// is not logged, so the side that asks more of the nail decides.
func (a *assessment) fastenerContext() finish.Context {
	c := finish.Context{Stage: stage.Nailed, Grade: a.item.Unit.Grade, Rules: a.rules}
	if run := a.item.Run; a.item.IsRun() {
		c.CasingThickness, c.Material = &run.Profile.Thickness, run.Material
		if run.WallLayers > 0 {
			c.WallLayers = &run.WallLayers
		}
		if run.Profile.StandsOff > 0 {
			c.Behind = &run.Profile.StandsOff
		}
	} else {
		a.throughCasing(&c)
	}
	if t := a.item.Unit.JambThickness; t > 0 {
		c.JambThickness = &t
	}
	for _, side := range []string{"shim_hinge", "shim_strike"} {
		if v, ok := a.value(side); ok && (c.ShimSpace == nil || v.Length > *c.ShimSpace) {
			l := max(v.Length, 0)
			c.ShimSpace = &l
		}
	}
	return c
}

// throughCasing says what a nail goes through from either face. The thickest casing decides at
// the jamb's edge, and the face with the most before the stud at the stud: the layers given are
// what that leaves beside the thickest casing. A face whose layers are not known is asked for.
func (a *assessment) throughCasing(c *finish.Context) {
	var thickest, most length.Length
	for _, on := range [...]struct {
		casing *trim.Casing
		face   trim.Face
	}{{a.item.CasingA, trim.FaceA}, {a.item.CasingB, trim.FaceB}} {
		if on.casing == nil {
			continue
		}
		thickest = max(thickest, on.casing.Thickness)
		c.CasingThickness = &thickest
		if on.casing.Material == "mdf" {
			c.Material = on.casing.Material
		}
		switch layers, reading := a.wallLayers(on.face); {
		case layers != nil:
			most = max(most, on.casing.Thickness+*layers)
		case c.LayersOf == "":
			c.LayersOf = reading
		}
	}
	if c.CasingThickness != nil && c.LayersOf == "" {
		layers := most - thickest
		c.WallLayers = &layers
	}
}

// wallLayers is what covers the studs on a face, and the reading that says so: as read, else
// what an ordinary wall of that build-up has, else nil. A window has but one face to read.
func (a *assessment) wallLayers(face trim.Face) (*length.Length, string) {
	r := &a.current
	own, other, name := r.LayersA, r.LayersB, "layers_a"
	if face == trim.FaceB && a.item.Unit.Kind != trim.Window {
		own, other, name = r.LayersB, r.LayersA, "layers_b"
	}
	if own == nil && r.WallBuildUp != nil {
		own = ordinaryLayer(*r.WallBuildUp, other)
	}
	return own, name
}

// ordinaryLayer is the board on one face of an ordinary wall, and nil for any other: a 2x4 or
// 2x6 (3 1/2 and 5 1/2, American Softwood Lumber Standard PS 20) with one board of 1/2 or 5/8
// on each face (common practice), so about 4 1/2 to 4 3/4 or 6 1/2 to 6 3/4, with 1/16 for
// joint compound and paint. Between the two the thicker board is taken. Where the other face's
// layers are read, what they leave is judged. A 2x3 with two boards a face is 4 1/2 too; such
// a wall's layers are to be read.
func ordinaryLayer(buildUp length.Length, other *length.Length) *length.Length {
	const off = length.Sixteenth / 2
	for _, stud := range [...]length.Length{7 * length.Half, 11 * length.Half} {
		l := (buildUp - stud) / 2
		if other != nil {
			l = buildUp - stud - *other
		}
		if l < length.Half-off || l > 5*length.Eighth+off {
			continue
		}
		if l = max(l, length.Half); l > length.Half+off {
			l = max(l, 5*length.Eighth)
		}
		return &l
	}
	return nil
}

func (it *Item) fastenersDriven() []finish.Fastener {
	out := make([]finish.Fastener, len(it.Fasteners))
	for i, f := range it.Fasteners {
		out[i] = f.Fastener
	}
	return out
}

// placesToNail lists where an item must show fasteners before it counts as nailed.
func (it *Item) placesToNail() []finish.Where {
	if it.isShoe() {
		return []finish.Where{finish.Base}
	}
	if it.IsRun() {
		return []finish.Where{finish.Stud}
	}
	if it.CasingA != nil || it.CasingB != nil {
		return []finish.Where{finish.JambEdge, finish.Stud}
	}
	return nil
}

func (a *assessment) nailFindings() []finding.Finding {
	out := finish.CheckNailing(a.item.fastenersDriven(), a.item.placesToNail(), stage.Nailed)
	ctx := a.fastenerContext()
	for _, e := range a.item.Fasteners {
		for _, f := range finish.CheckFastener(e.Fastener, ctx) {
			if f.Code == "toe_unglued" && e.ProductID != "" {
				continue
			}
			out = append(out, f.At(e.CommandID))
		}
	}
	return out
}
