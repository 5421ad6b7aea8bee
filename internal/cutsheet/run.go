package cutsheet

import (
	"cmp"
	"fmt"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// Run is a run of trim along the walls of a room, as specified and as taped.
type Run struct {
	trim.RunInput
	Rules houserules.Set `json:"rules,omitempty" doc:"House rules other than the built-in ones, by key"`
}

// RunSheet is what there is to cut for a run, and what the rules have to say about it.
// Pieces of walls whose readings are missing are left out; a finding says which.
type RunSheet struct {
	RuleBook  string                 `json:"rule_book" doc:"Version of the rules"`
	Unit      length.Unit            `json:"unit" enum:"in,mm" doc:"Unit lengths are printed in"`
	Position  string                 `json:"position,omitempty" doc:"How crown lies in the saw, in words: its angles hold only so"`
	Pieces    []RunPiece             `json:"pieces" doc:"Where each piece goes, in the order of the walls"`
	Cuts      []joblog.CutView       `json:"cuts" doc:"Every piece as it is cut, and the returns"`
	Stretches []trim.Stretch         `json:"stretches"`
	Corners   []RunCorner            `json:"corners"`
	Values    []joblog.ValueView     `json:"values"`
	Plan      *trim.Plan             `json:"plan,omitempty" doc:"Not there while a wall is not read"`
	Findings  []finding.Finding      `json:"findings" doc:"Stops first"`
	Cautions  []string               `json:"cautions"`
	Rules     []houserules.Effective `json:"rules" doc:"House rules in force and where each came from"`
}

// RunPiece is a piece with its length and its ends in words.
type RunPiece struct {
	trim.Piece
	Label     string        `json:"label"`
	Length    length.Length `json:"length" doc:"Long point to long point, as it is cut"`
	Tape      length.Tape   `json:"tape" doc:"The same as printed, rounded the safe way"`
	LeftEnd   RunEnd        `json:"left_end"`
	RightEnd  RunEnd        `json:"right_end"`
	BackText  string        `json:"back_text" doc:"Length along the back as printed"`
	StudTexts []string      `json:"stud_texts,omitempty" doc:"Stud centers as printed, from the wall's left end"`
}

// RunEnd is one end of a piece as it is cut.
type RunEnd struct {
	trim.End
	Label string `json:"label" doc:"The joint in words"`
	Saw   string `json:"saw" doc:"The saw's setting in words"`
}

// RunCorner is a corner with its joints and its arithmetic in words.
type RunCorner struct {
	trim.Corner
	LeftLabel  string             `json:"left_label,omitempty"`
	RightLabel string             `json:"right_label,omitempty"`
	Worked     []joblog.ValueView `json:"worked,omitempty" doc:"The allowances in words"`
}

// impossibleChoices are the stops of a run that refuse what was asked for. Its other stops
// are about the room as read, and stand on the sheet.
var impossibleChoices = map[string]bool{
	"run_choice_unknown": true, "scarf_angle_unusual": true, "taped_impossible": true, "feature_wall_unknown": true, "run_wall_unknown": true,
}

// WorkRun makes the sheet of a run. When something given cannot be, there is no sheet and
// refused says what, in words.
func WorkRun(req Run, r Reader) (sheet RunSheet, refused []finding.Finding) {
	words := joblog.Words(r.Language)
	rules, bad := houserules.Resolve(houserules.Layer{Origin: houserules.Company, Set: req.Rules})
	in := req.RunInput
	in.Rules = rules
	said := append(ruleFindings(bad), checkRun(in)...)
	out := trim.Run(in)
	for _, f := range out.Findings {
		if impossibleChoices[f.Code] {
			said = append(said, f)
		}
	}
	for _, f := range words.RenderAll(said, r.Style) {
		if f.Holds() && !f.Wanted {
			refused = append(refused, f)
		}
	}
	if len(refused) > 0 {
		return RunSheet{}, refused
	}

	view := joblog.ViewItem(runScope(req), joblog.Reader{Language: r.Language, Style: r.Style})
	w := runWriter{words: words, style: r.Style}
	sheet = RunSheet{
		RuleBook:  joblog.RuleBook,
		Unit:      view.Unit,
		Pieces:    w.pieces(out.Pieces, view.Cuts),
		Cuts:      orEmpty(view.Cuts),
		Stretches: orEmpty(out.Stretches),
		Corners:   w.corners(out.Corners),
		Values:    orEmpty(view.Values),
		Plan:      out.Plan,
		Findings:  orEmpty(words.RenderAll(stopsFirst(said, out.Findings), r.Style)),
		Cautions:  append([]string{words.Term("caution_saw"), words.Term("caution_dust")}, view.Cautions...),
		Rules:     view.Rules,
	}
	if in.Profile.Kind == trim.CrownRun {
		sheet.Position = words.Term(string(cmp.Or(in.Profile.Position, trim.Flat)))
	}
	if p := out.Plan; p != nil {
		sheet.Values = append(sheet.Values, w.value("perimeter", p.Perimeter))
		if !in.Room.Open {
			sheet.Values = append(sheet.Values, w.value("closing_error", p.ClosingError), w.value("closing_error_allowed", p.Allowed))
		}
	}
	return sheet, nil
}

// checkRun says what in the room and the stock cannot be.
func checkRun(in trim.RunInput) []finding.Finding {
	said := append(trim.CheckRoom(in.Room), trim.CheckProfile(in.Profile)...)
	for i, f := range in.Features {
		if f.Wall >= 1 && f.Wall <= len(in.Room.Walls) {
			said = append(said, trim.CheckFeature(i+1, in.Room.Walls[f.Wall-1], f)...)
		}
	}
	return said
}

// runScope makes the run an item of a room of its own, each reading that bears on a cut
// taken once. Corners stand in the layout; bows and taped stretches bear on findings only,
// and those are taken from the rule book itself.
func runScope(req Run) joblog.Scope {
	room := joblog.Room{Layout: &joblog.Layout{SetWalls: joblog.SetWalls{Walls: req.Room, Features: req.Features}}}
	take := func(wall int, what trim.RunQuantity, v length.Length) {
		name := fmt.Sprintf("wall_%d_%s", wall, what)
		room.Layout.Takes = append(room.Layout.Takes, joblog.Take{Stamp: joblog.Stamp{CommandID: name}, Reading: name, Value: v})
	}
	for i, wall := range req.Room.Walls {
		if wall.Length != 0 {
			take(i+1, trim.ReadLength, wall.Length)
		}
		if wall.Stud != nil {
			take(i+1, trim.ReadStud, *wall.Stud)
		}
	}
	item := joblog.Item{Spec: joblog.Spec{
		Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint},
		Run:  &joblog.RunSpec{Profile: req.Profile, Corners: req.Corners, Registers: req.Registers},
	}}
	return joblog.Scope{Company: req.Rules, Room: &room, Item: &item}
}
