package cutsheet

import (
	"strings"
	"testing"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Where nothing is hinged a sheet has left and right in every word of it: pieces, values, how they
// came about, findings and what the drawings are called. A door keeps its hinge side.
func TestSidesAreWhatTheKindHas(t *testing.T) {
	t.Parallel()
	inch := func(n int64) *length.Length { v := length.In(n, 0, 1); return &v }
	for _, lang := range []string{"en", "es"} {
		hinge, left := "hinge side", "left side"
		if lang == "es" {
			hinge, left = "lado de bisagras", "lado izquierdo"
		}
		for _, kind := range []trim.Kind{trim.Door, trim.Window, trim.CasedOpening, trim.Bifold, trim.Bypass} {
			casing := trim.CommonCasing()
			o := Opening{OpeningInput: trim.OpeningInput{Unit: trim.CommonUnit(kind), CasingA: &casing}}
			r := &o.Readings
			r.WidthBottom, r.WidthTop, r.HeightHinge, r.HeightStrike = inch(36), inch(36), inch(82), inch(82)
			r.SpaceAHinge, r.SpaceAStrike = inch(1), inch(1)
			if kind == trim.Window {
				o.Unit.ExtensionJambs, o.Unit.JambThickness = true, length.In(0, 3, 4)
				r.DepthTopHinge, r.DepthTopStrike, r.DepthBottomHinge, r.DepthBottomStrike = inch(1), inch(1), inch(2), inch(2)
			} else {
				r.WidthMiddle, r.LeanHinge, r.FloorStrikeUp, r.WallBuildUp = inch(36), inch(0), inch(0), inch(5)
				o.Unit.JambThickness, o.Unit.JambWidth = length.In(0, 5, 8), length.In(4, 9, 16)
				o.Unit.WidthAllowance, o.Unit.Lap, o.Unit.TrackAllowance = length.Half, length.Inch, length.Inch
				if kind == trim.Door || kind == trim.CasedOpening {
					o.Unit.WidthAllowance, o.Unit.Lap, o.Unit.TrackAllowance = 0, 0, 0
				}
			}
			sheet, refused := Work(o, Reader{Language: lang, Style: inches.Style})
			if len(refused) > 0 || len(sheet.Cuts) == 0 {
				t.Fatalf("%s: refused %+v with %d cuts", kind, refused, len(sheet.Cuts))
			}
			var said []string
			for _, c := range sheet.Cuts {
				said = append(said, c.Label, c.Drawing.Title)
				if (c.Rip != "") != (c.Width != nil) || !strings.Contains(c.Drawing.Title, c.Rip) {
					t.Errorf("%s, %s: the drawing is called %q, want it to say %q", kind, c.Piece, c.Drawing.Title, c.Rip)
				}
				for _, term := range c.Explain.Terms {
					said = append(said, term.Label)
				}
			}
			for _, v := range sheet.Values {
				said = append(said, v.Label)
				for _, term := range v.Explain.Terms {
					said = append(said, term.Label)
				}
			}
			for _, f := range sheet.Findings {
				said = append(said, f.Sentence, f.Remedy)
			}
			if all := strings.Join(said, "\n"); strings.Contains(all, hinge) != (kind == trim.Door) || strings.Contains(all, left) == (kind == trim.Door) || strings.Contains(all, "_") {
				t.Errorf("%s in %s: says\n%s", kind, lang, all)
			}
		}
	}
}
