package drawing_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"longpoint/internal/drawing"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

var (
	style   = length.Style{Unit: length.Inches, Step: length.ThirtySecond}
	catalog = finding.In("en")
)

func casing(style trim.CasingStyle) *trim.Casing {
	return &trim.Casing{Style: style, Width: in(2, 3, 4), Thickness: in(0, 3, 4), Overhang: in(1, 0, 0), Block: in(3, 1, 4), PlinthHeight: in(6, 0, 0)}
}

// chain is the worked chain: slab 28 × 80 × 1 3/4, gaps 1/8, jamb and head 5/8, opening 30
// wide, heights 80 3/8 and 80 1/2, floor 1/8 high at the hinge side (common practice).
func chain() (trim.Unit, map[string]length.Length) {
	u := trim.UnitForDoor(in(28, 0, 0), in(80, 0, 0), in(1, 3, 4))
	u.Core = trim.Solid
	return u, map[string]length.Length{
		"width_bottom": in(30, 0, 0), "width_middle": in(30, 0, 0), "width_top": in(30, 0, 0),
		"height_hinge": in(80, 3, 8), "height_strike": in(80, 1, 2), "floor_strike_up": -in(0, 1, 8),
		"lean_hinge": 0, "wall_build_up": in(4, 9, 16),
	}
}

// scene is what a view makes of a unit and its readings.
func scene(u trim.Unit, c *trim.Casing, read map[string]length.Length) drawing.Scene {
	s := drawing.Scene{Name: "Closet door", Unit: u, CasingA: c, CasingB: c, Rules: houserules.Defaults(), Face: trim.FaceA,
		Term:  func(k string) string { return catalog.Term(trim.TermFor(u, k)) },
		Print: func(l length.Length) string { return l.Print(style) }}
	for _, sp := range trim.ReadingSpecs(u) {
		m := drawing.ReadingMark{Spec: sp, Label: s.Term(sp.Name), State: "missing"}
		if v, ok := read[sp.Name]; ok {
			s.Values.Set(sp.Name, v)
			m.State, m.Text = "taken", v.Abs().Print(style)
			if sp.Angle {
				m.Text = "89.5°"
			}
		}
		s.Readings = append(s.Readings, m)
	}
	s.Cuts = trim.Opening(trim.OpeningInput{Unit: u, Readings: s.Values, CasingA: c, CasingB: c, Rules: s.Rules})
	for _, cut := range s.Cuts.Cuts {
		s.Pieces = append(s.Pieces, drawing.PieceMark{Label: s.Term(cut.Piece), Text: cut.Value.Length.Print(style), State: "computed"})
	}
	return s
}

func chainScene() drawing.Scene {
	u, read := chain()
	return scene(u, casing(trim.ButtHead), read)
}

// full adds every optional reading to the chain, none of them zero.
func full() map[string]length.Length {
	_, read := chain()
	for name, v := range map[string]length.Length{
		"width_bottom": in(30, 1, 4), "width_middle": in(30, 1, 8), "width_top": in(30, 3, 8),
		"lean_hinge": in(0, 1, 4), "lean_strike": -in(0, 3, 8), "diagonal_rise": in(85, 7, 8), "diagonal_fall": in(85, 5, 8),
		"wall_build_up": in(4, 3, 4), "layers_a": in(0, 1, 2), "layers_b": in(0, 3, 4), "floor_to_come": in(0, 3, 4), "floor_highest": in(0, 3, 16), "height_hinge": in(81, 1, 8), "height_strike": in(81, 1, 4),
		"space_a_hinge": in(4, 1, 2), "space_a_strike": in(41, 0, 0), "space_b_hinge": in(6, 0, 0), "space_b_strike": in(50, 0, 0),
		"corner_hinge": length.Length(89500), "corner_strike": length.Length(90500),
	} {
		read[name] = v
	}
	return read
}

// scenes are drawings worth looking at, by name.
func scenes() map[string]drawing.Scene {
	u, read := chain()
	out := map[string]drawing.Scene{
		"chain":  chainScene(),
		"empty":  scene(u, casing(trim.ButtHead), nil),
		"full":   scene(u, casing(trim.Mitered), full()),
		"blocks": scene(u, casing(trim.CornerBlocks), read),
	}
	half := map[string]length.Length{"width_bottom": read["width_bottom"], "width_middle": read["width_middle"], "height_hinge": read["height_hinge"]}
	out["half"] = scene(u, casing(trim.Mitered), half)
	back := out["full"]
	back.Face = trim.FaceB
	out["back"] = back

	co := trim.Unit{Kind: trim.CasedOpening, Grade: trim.Paint, JambThickness: in(0, 3, 4), JambWidth: in(4, 9, 16), HeadThickness: in(0, 3, 4)}
	wide := map[string]length.Length{"width_bottom": in(50, 0, 0), "width_middle": in(49, 7, 8), "width_top": in(50, 1, 8), "height_hinge": in(82, 0, 0),
		"height_strike": in(81, 3, 4), "floor_strike_up": in(0, 1, 4), "lean_hinge": -in(0, 1, 8), "wall_build_up": in(6, 1, 2)}
	out["cased"] = scene(co, casing(trim.ButtHead), wide)

	pair := u
	pair.Kind, pair.SlabWidth = trim.Pair, in(30, 0, 0)
	two := map[string]length.Length{"width_bottom": in(62, 0, 0), "width_middle": in(62, 0, 0), "width_top": in(62, 1, 8), "height_hinge": in(82, 0, 0),
		"height_strike": in(82, 0, 0), "floor_strike_up": 0, "lean_hinge": in(0, 1, 16), "wall_build_up": in(4, 1, 2)}
	out["pair"] = scene(pair, casing(trim.Mitered), two)

	pocket := u
	pocket.Kind, pocket.Lap, pocket.TrackAllowance, pocket.FrameWidth = trim.Pocket, in(1, 0, 0), in(1, 1, 2), in(58, 0, 0)
	two2 := map[string]length.Length{"width_bottom": in(59, 0, 0), "width_middle": in(59, 0, 0), "width_top": in(59, 0, 0), "height_hinge": in(84, 0, 0),
		"height_strike": in(84, 0, 0), "floor_strike_up": 0, "lean_hinge": 0, "wall_build_up": in(4, 1, 2)}
	out["pocket"] = scene(pocket, casing(trim.ButtHead), two2)

	bifold := u
	bifold.Kind, bifold.SlabWidth, bifold.Panels, bifold.WidthAllowance, bifold.TrackAllowance = trim.Bifold, in(14, 3, 4), 4, in(1, 0, 0), in(1, 1, 8)
	out["bifold"] = scene(bifold, casing(trim.ButtHead), two)
	bypass := u
	bypass.Kind, bypass.SlabWidth, bypass.Panels, bypass.Lap, bypass.TrackAllowance = trim.Bypass, in(30, 0, 0), 2, in(1, 0, 0), in(1, 3, 8)
	out["bypass"] = scene(bypass, casing(trim.ButtHead), two)

	win := trim.Unit{Kind: trim.Window, Grade: trim.Paint, JambThickness: in(0, 3, 4), Surround: trim.StoolApron, Horn: in(1, 0, 0), ExtensionJambs: true}
	wr := map[string]length.Length{"width_top": in(35, 3, 4), "width_bottom": in(35, 7, 8), "height_hinge": in(52, 0, 0), "height_strike": in(52, 1, 8),
		"depth_top_hinge": in(0, 3, 8), "depth_top_strike": in(0, 1, 2), "depth_bottom_hinge": in(0, 3, 8), "depth_bottom_strike": in(0, 7, 16),
		"layers_a": in(0, 5, 8)}
	out["window"] = scene(win, casing(trim.Mitered), wr)
	win.Surround = trim.PictureFrame
	out["picture"] = scene(win, casing(trim.Mitered), nil)
	return out
}

// TestLook writes every scene's drawings as JSON into LOOK_DIR, for the eye.
func TestLook(t *testing.T) {
	t.Parallel()
	dir := os.Getenv("LOOK_DIR")
	if dir == "" {
		t.Skip("LOOK_DIR is not set")
	}
	out := map[string]drawing.Drawing{}
	for name, s := range scenes() {
		out[name] = drawing.Opening(s)
		out[name+"-cuts"] = drawing.Cuts(s)
		for _, c := range s.Cuts.Cuts {
			out[name+"-"+c.Piece] = drawing.Piece(s, c.Piece)
		}
	}
	for name, s := range planScenes() {
		out["plan-"+name] = drawing.Room(s)
		out["plan-"+name+"-pieces"] = drawing.RunPieces(s)
		if s.Run == nil {
			continue
		}
		for _, c := range s.Run.Corners {
			out["plan-"+name+"-corner-"+strconv.Itoa(c.After)] = drawing.Corner(s, c.After)
		}
	}
	b, err := json.Marshal(out)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "look.json"), b, 0o600); err != nil {
		t.Fatal(err)
	}
}
