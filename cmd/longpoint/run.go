package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"longpoint/internal/app"
	"longpoint/internal/cutsheet"
	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

const runHelp = `
The walls are read from left to right as one faces them, each with the corner at its right
end. Lengths are text, in the unit of --unit unless it says in, mm or the like, or nanometers
without quotes; angles are thousandths of a degree, 90000 for a square corner and 135000 for
135°; they print in degrees. A room 12 ft by 10 ft with a door on its first wall:
    {
      "room": {"walls": [
        {"length": "12'", "stud": "8"}, {"length": "10'"}, {"length": "12'"},
        {"length": "10'", "turn": "inside", "angle": 90000}]},
      "features": [{"wall": 1, "kind": "opening", "offset": "40", "width": "30", "main": true,
        "casing_left": "2 3/4", "casing_right": "2 3/4", "casing_thickness": "3/4"}],
      "profile": {"kind": "base", "height": "5 1/4", "thickness": "9/16", "stock_length": "16'"},
      "corners": {"inside": "cope"}
    }
"along": [2, 3] has it go along those walls alone, counted from 1.
"rules" may set house rules, by key, as cut door takes them.`

func cutRun(ctx context.Context, c *call) error {
	p := c.printing("`unit` of a bare number in quotes, and that lengths print in: in or mm")
	asJSON, explain := c.Bool("json", false, "print JSON"), c.Bool("explain", false, "show the arithmetic of every value")
	strict := c.Bool("strict", false, "exit with 1 when a stop stands against the run")
	if err := c.parse(0, 1); err != nil {
		return err
	}
	style, err := p.style()
	if err != nil {
		return err
	}
	name := "-"
	if len(c.args) == 1 {
		name = c.args[0]
	}
	data, err := c.read(ctx, name, mostInput)
	if err != nil {
		return err
	}
	req, err := cutsheet.DecodeRun(data, style.Unit)
	if err != nil {
		return err
	}
	language, err := p.language()
	if err != nil {
		return err
	}
	sheet, refused := cutsheet.WorkRun(req, cutsheet.Reader{Language: language, Style: style})
	if len(refused) > 0 {
		return &app.Problem{Sentence: refused[0].Sentence + " " + refused[0].Remedy}
	}
	if *asJSON {
		err = c.printJSON(sheet)
	} else {
		err = c.printRun(sheet, style, *explain)
	}
	if err == nil && *strict && finding.HasStop(sheet.Findings) {
		err = &app.Problem{Sentence: "A stop stands against this run: see the findings before cutting."}
	}
	return err
}

func (c *call) printRun(s cutsheet.RunSheet, style length.Style, explain bool) error {
	cuts := make(map[string]joblog.CutView, len(s.Cuts))
	for _, cut := range s.Cuts {
		cuts[cut.Piece] = cut
	}
	var rows [][]string
	for _, p := range s.Pieces {
		rows = append(rows, []string{p.Label, p.Tape.Text, cuts[p.Name].Exact, p.BackText, runEnd(p.LeftEnd), runEnd(p.RightEnd)})
		for _, m := range cuts[p.Name].Notes {
			rows = append(rows, []string{"   " + m.Label, m.Text, "", "", "", ""})
		}
		for _, side := range []string{"left", "right"} {
			if cut, has := cuts[p.Name+"_return_"+side]; has {
				rows = append(rows, []string{"   " + cut.Label, cut.Tape.Text, cut.Exact, "", "", ""})
			}
		}
	}
	t := tables{out: c.out}
	if err := t.print("piece\tlength\texact\tback\tleft\tright", rows); err != nil {
		return err
	}
	if s.Position != "" {
		fmt.Fprintf(c.out, "\nThe saw's angles are for crown lying %s.\n", s.Position)
	}
	rows = nil
	for _, p := range s.Pieces {
		rows = append(rows, []string{p.Label, nailsOf(p)})
	}
	if err := t.print("piece\tnails", rows); err != nil {
		return err
	}
	rows = nil
	for _, k := range s.Corners {
		rows = append(rows, []string{fmt.Sprintf("after wall %d", k.After), degrees(k.Angle.Degrees()), orDash(k.LeftLabel), orDash(k.RightLabel),
			sawOf(k.Saw.Miter, style), sawOf(k.Saw.Bevel, style)})
	}
	if err := t.print("corner\tangle\tleft piece\tright piece\tmiter\tbevel", rows); err != nil {
		return err
	}
	rows = nil
	for _, v := range s.Values {
		rows = append(rows, []string{v.Label, v.Text})
	}
	if s.Plan != nil && s.Plan.Area > 0 {
		rows = append(rows, []string{"area", areaText(s.Plan.Area, style.Unit)})
	}
	if s.Plan != nil && s.Plan.Ratio > 0 {
		rows = append(rows, []string{"closes", fmt.Sprintf("1 in %d", s.Plan.Ratio)})
	}
	if err := t.print("", rows); err != nil {
		return err
	}
	if explain {
		c.explain(cutsheet.Sheet{Values: append(s.Values[:len(s.Values):len(s.Values)], worked(s.Corners)...), Cuts: s.Cuts})
	}
	if len(s.Findings) > 0 {
		fmt.Fprintln(c.out)
	}
	for _, f := range s.Findings {
		fmt.Fprintf(c.out, "%-4s  %s %s\n      Basis: %s\n", f.Severity, f.Sentence, f.Remedy, f.Basis)
	}
	c.caution(s.Cautions)
	return nil
}

// tables prints tables with a blank line between them; one without rows is left out.
type tables struct {
	out     io.Writer
	printed bool
}

func (t *tables) print(heading string, rows [][]string) error {
	if len(rows) == 0 {
		return nil
	}
	if t.printed {
		fmt.Fprintln(t.out)
	}
	t.printed = true
	w := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
	if heading != "" {
		fmt.Fprintln(w, heading)
	}
	for _, row := range rows {
		fmt.Fprintln(w, strings.Join(row, "\t"))
	}
	return w.Flush()
}

func runEnd(e cutsheet.RunEnd) string {
	if e.Miter == 0 && e.Bevel == 0 {
		return e.Label
	}
	return e.Label + ": " + e.Saw
}

func nailsOf(p cutsheet.RunPiece) string {
	n := p.Nailing
	switch {
	case n.Unknown:
		return "no stud found on this wall yet"
	case n.Adhesive:
		return fmt.Sprintf("%d in %d opposing pairs, with adhesive: no stud behind", n.Nails, n.ToePairs)
	case len(n.Studs) == 0:
		return strconv.Itoa(n.Nails)
	}
	return fmt.Sprintf("%d, two at each stud: %s from the wall's left end", n.Nails, strings.Join(p.StudTexts, ", "))
}

// sawOf says one angle against the saw's detents.
func sawOf(s trim.Setting, style length.Style) string {
	want := degrees(rounded(s.Want))
	switch {
	case !s.InReach:
		return want + ", past the saw's reach"
	case s.Detent == nil || rounded(s.Off) == 0:
		return want
	}
	out := fmt.Sprintf("%s, nearest detent %s", want, degrees(*s.Detent))
	if s.Opens != nil {
		out += " opens " + s.Opens.Print(style)
	}
	return out
}

// rounded keeps an angle to a hundredth of a degree, finer than any saw's scale.
func rounded(d float64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(d, 'f', 2, 64), 64)
	return v
}

// areaText prints square millimeters in the reader's unit; a foot is 304.8 mm exactly.
func areaText(mm2 int64, unit length.Unit) string {
	if unit == length.Millimeters {
		return fmt.Sprintf("%.2f m²", float64(mm2)/1e6)
	}
	return fmt.Sprintf("%.1f sq ft", float64(mm2)/(304.8*304.8))
}

// worked lists each corner's allowances as values named by their corner.
func worked(corners []cutsheet.RunCorner) []joblog.ValueView {
	var out []joblog.ValueView
	for _, k := range corners {
		for _, v := range k.Worked {
			v.Label = fmt.Sprintf("corner after wall %d, %s", k.After, v.Label)
			out = append(out, v)
		}
	}
	return out
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
