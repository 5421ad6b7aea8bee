package joblog

import (
	"strconv"
	"strings"

	"longpoint/internal/drawing"
	"longpoint/internal/trim"
	"longpoint/internal/words"
)

// RunView is what a wall run has beyond an opening: its pieces by wall, its corners.
type RunView struct {
	Pieces  []RunPieceView  `json:"pieces"`
	Corners []RunCornerView `json:"corners"`
}

// RunPieceView is one piece of a run beside its cut, whose piece it names.
type RunPieceView struct {
	Piece   string     `json:"piece"`
	Wall    int        `json:"wall"`
	Left    RunEndView `json:"left"`
	Right   RunEndView `json:"right"`
	Back    string     `json:"back" doc:"Along the back"`
	Face    string     `json:"face" doc:"Along the face; of crown, the ceiling edge"`
	Short   string     `json:"short" doc:"Short point to short point"`
	Sprung  bool       `json:"sprung,omitempty" doc:"Cut long to spring into place"`
	Worked  string     `json:"worked" doc:"The wall between the piece's two stops, worked out"`
	Taped   string     `json:"taped,omitempty" doc:"The same, taped directly"`
	Apart   string     `json:"apart,omitempty" doc:"How far the two lie apart"`
	Reading string     `json:"reading" doc:"The reading that tapes it"`
	Studs   []string   `json:"studs,omitempty" doc:"Studs behind it, from the wall's left end"`
	Nails   int        `json:"nails,omitempty"`
	Toe     int        `json:"toe_pairs,omitempty" doc:"Pairs of nails driven at opposing angles, with adhesive, where there is no stud"`
}

// RunEndView is one end of a piece in words.
type RunEndView struct {
	Joint trim.Joint `json:"joint"`
	Label string     `json:"label"`
	Saw   string     `json:"saw"`
}

// RunCornerView is one corner and its section.
type RunCornerView struct {
	Key     string          `json:"key" doc:"What the plan of the pieces calls it"`
	After   int             `json:"after" doc:"Wall whose right end is the corner"`
	Label   string          `json:"label"`
	Angle   string          `json:"angle" doc:"Between the walls, on the room's side"`
	Left    string          `json:"left,omitempty" doc:"Joint of the piece left of it"`
	Right   string          `json:"right,omitempty"`
	Inside  bool            `json:"inside,omitempty" doc:"Two pieces meet in an inside corner: how is a choice"`
	Saw     string          `json:"saw"`
	Drawing drawing.Drawing `json:"drawing"`
}

// run puts a run's pieces and corners into words; nil for an opening.
func (w writer) run(a *assessment, scene *drawing.RoomScene) *RunView {
	if a.runCuts == nil {
		return nil
	}
	out := &RunView{Pieces: make([]RunPieceView, 0, len(a.runCuts.Pieces)), Corners: make([]RunCornerView, 0, len(a.runCuts.Corners))}
	for i := range a.runCuts.Pieces {
		p := &a.runCuts.Pieces[i]
		v := RunPieceView{Piece: p.Name, Wall: p.Wall, Back: w.print(p.Back.Length), Face: w.print(p.Face), Sprung: p.Sprung,
			Left: RunEndView{Joint: p.Left, Label: w.term(string(p.Left))}, Right: RunEndView{Joint: p.Right, Label: w.term(string(p.Right))},
			Nails: p.Nailing.Nails, Toe: p.Nailing.ToePairs, Reading: trim.StretchReading(p.Wall, p.Stretch)}
		for j := range a.cuts.Cuts {
			if c := &a.cuts.Cuts[j]; c.Piece == p.Name && len(c.Ends) == 2 {
				v.Left.Saw, v.Right.Saw, v.Short = w.saw(c.Ends[0]), w.saw(c.Ends[1]), w.print(drawing.ShortPoints(c))
			}
		}
		for j := range a.runCuts.Stretches {
			st := &a.runCuts.Stretches[j]
			if st.Wall != p.Wall || st.Number != p.Stretch {
				continue
			}
			v.Worked = w.print(st.Value.Length)
			if st.Taped != nil {
				v.Taped = w.print(*st.Taped)
				if d := (*st.Taped - st.Value.Length).Abs(); d > 0 {
					v.Apart = w.print(d)
				}
			}
		}
		for _, s := range p.Nailing.Studs {
			v.Studs = append(v.Studs, w.print(s))
		}
		out.Pieces = append(out.Pieces, v)
	}
	for i := range a.runCuts.Corners {
		c := &a.runCuts.Corners[i]
		v := RunCornerView{Key: "corner_" + strconv.Itoa(c.After), After: c.After, Angle: degrees(c.Angle.Degrees()),
			Inside: c.Left != "" && c.Right != "" && c.Angle < 180*trim.Degree,
			Label:  w.term("drawn_corner") + " " + strconv.Itoa(c.After), Saw: w.saw(trim.End{Joint: "miter", Miter: c.Saw.Miter.Want, Bevel: c.Saw.Bevel.Want}),
			Drawing: drawing.Corner(*scene, c.After)}
		if c.Saw.Miter.Want == 0 && c.Saw.Bevel.Want == 0 {
			v.Saw = w.term("square")
		}
		if c.Left != "" {
			v.Left = w.term(string(c.Left))
		}
		if c.Right != "" {
			v.Right = w.term(string(c.Right))
		}
		out.Corners = append(out.Corners, v)
	}
	return out
}

// pieceLabel names a piece of a run by its wall: "wall 2, piece 1", "… , return, left".
func (w writer) pieceLabel(piece string) string {
	if !strings.HasPrefix(piece, "wall_") {
		return w.term(piece)
	}
	parts := strings.Split(piece, "_")
	if len(parts) < 4 || parts[2] != "piece" {
		return w.term(piece)
	}
	if len(parts) == 6 {
		return w.fill("label_return", "wall", parts[1], "piece", parts[3], "side", w.term(parts[5]))
	}
	return w.fill("label_piece", "wall", parts[1], "piece", parts[3])
}

// fill writes a term with the texts of its names, each name followed by its text.
func (w writer) fill(key string, texts ...string) string {
	return w.catalog.Fill(w.term(key), func(name string) (words.Value, bool) {
		for i := 0; i+1 < len(texts); i += 2 {
			if texts[i] == name {
				return words.Value{Text: texts[i+1]}, true
			}
		}
		return words.Value{}, false
	})
}

// runScene is the room's plan with the run on it.
func (w writer) runScene(s Scope, a *assessment, scene drawing.Scene) drawing.RoomScene {
	l := s.layout()
	in := withReadings(s.runInput(a.rules), a.readings)
	out := drawing.RoomScene{Scene: scene, Walls: in.Room, Features: l.Features, Run: a.runCuts, Profile: a.item.Run.Profile}
	for i := range out.Readings {
		for _, f := range a.findings {
			if f.Code == "taped_apart" && f.About == out.Readings[i].Spec.Name {
				out.Readings[i].State = "disagree"
			}
		}
	}
	return out
}
