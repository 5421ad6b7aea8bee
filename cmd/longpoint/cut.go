package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"longpoint/internal/app"
	"longpoint/internal/cutsheet"
	"longpoint/internal/finding"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/words"
)

// mostInput bounds what is read from a file or standard input.
const mostInput = 1 << 20

func (s system) printJSON(v any) error {
	e := json.NewEncoder(s.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

func (s system) caution(cautions []string) {
	fmt.Fprintln(s.out)
	for _, line := range cautions {
		fmt.Fprintln(s.out, line)
	}
}

// printing are the flags that say how lengths print.
type printing struct{ unit, step, lang *string }

func (c *call) printing(unit string) printing {
	return printing{
		unit: c.String("unit", "in", unit),
		step: c.String("step", "", "distance of the tape's `marks`: 16 or 32 (of an inch), 1 or 0.5 (mm)"),
		lang: c.String("lang", systemLanguage(c.setting("LANG")), "`language` of what the rule book says: en or es"),
	}
}

// systemLanguage is the language of a locale such as es_US.UTF-8, English where there are no
// words for it.
func systemLanguage(locale string) string {
	for _, l := range words.Languages() {
		if strings.HasPrefix(locale, l) {
			return l
		}
	}
	return words.Languages()[0]
}

// language is the one asked for.
func (p printing) language() (string, error) {
	if !slices.Contains(words.Languages(), *p.lang) {
		return "", misused("The language is one of %s.", strings.Join(words.Languages(), ", "))
	}
	return *p.lang, nil
}

func (p printing) style() (length.Style, error) {
	st := length.Style{Unit: length.Unit(*p.unit), Language: *p.lang}
	switch st.Unit {
	case length.Inches:
		switch *p.step {
		case "", "16":
			st.Step = length.Sixteenth
			return st, nil
		case "32":
			st.Step = length.ThirtySecond
			return st, nil
		}
		return st, misused("In inches the step is 16 or 32.")
	case length.Millimeters:
		switch *p.step {
		case "", "1":
			st.Step = length.Millimeter
			return st, nil
		case "0.5":
			st.Step = length.Millimeter / 2
			return st, nil
		}
		return st, misused("In millimeters the step is 1 or 0.5.")
	}
	return st, misused("The unit is in or mm.")
}

// lengthAnswer is one length every way it is said.
type lengthAnswer struct {
	Input  string      `json:"input"`
	NM     int64       `json:"nm"`
	Inches json.Number `json:"inches"`
	MM     json.Number `json:"mm"`
	Tape   length.Tape `json:"tape"`
}

func cutLength(_ context.Context, c *call) error {
	p := c.printing("`unit` of a bare number, and that the length prints in: in or mm")
	asJSON, explain := c.Bool("json", false, "print JSON"), c.Bool("explain", false, "show the arithmetic")
	if err := c.parse(1, -1); err != nil {
		return err
	}
	style, err := p.style()
	if err != nil {
		return err
	}
	input := strings.Join(c.args, " ")
	language, err := p.language()
	if err != nil {
		return err
	}
	l, err := length.Parse(input, style.Unit)
	var no *length.ParseError
	if errors.As(err, &no) {
		return &app.Problem{Sentence: no.In(words.In(language))}
	}
	if err != nil {
		return err
	}
	a := lengthAnswer{
		Input:  input,
		NM:     int64(l),
		Inches: json.Number(strconv.FormatFloat(l.Inches(), 'f', -1, 64)),
		MM:     json.Number(millimeters(l)),
		Tape:   l.Tape(style),
	}
	if *asJSON {
		return c.printJSON(a)
	}
	fmt.Fprintf(c.out, "%s\n  tape    %s\n  inches  %s\n  mm      %s\n", input, a.Tape.Text, a.Inches, a.MM)
	if *explain {
		fmt.Fprintf(c.out, "\n%d nm ÷ 25400000 nm = %s in\n%d nm ÷ 1000000 nm = %s mm\n", a.NM, a.Inches, a.NM, a.MM)
		fmt.Fprintln(c.out, "Basis: an inch is 25.4 mm exactly (international yard and pound agreement, 1959); heavy and light are 1/32 in, or 0.5 mm (common practice).")
	}
	return nil
}

// millimeters writes a length exactly: a nanometer is six places of a millimeter.
func millimeters(l length.Length) string {
	whole, part := l/length.Millimeter, l.Abs()%length.Millimeter
	if part == 0 {
		return strconv.FormatInt(int64(whole), 10)
	}
	s := fmt.Sprintf("%d.%06d", whole.Abs(), part)
	if l < 0 {
		s = "-" + s
	}
	return strings.TrimRight(s, "0")
}

func cutDoor(_ context.Context, c *call) error {
	p := c.printing("`unit` of a bare number in quotes, and that lengths print in: in or mm")
	asJSON, explain := c.Bool("json", false, "print JSON"), c.Bool("explain", false, "show the arithmetic of every value")
	strict := c.Bool("strict", false, "exit with 1 when a stop stands against the opening")
	if err := c.parse(0, 1); err != nil {
		return err
	}
	style, err := p.style()
	if err != nil {
		return err
	}
	data, err := c.input()
	if err != nil {
		return err
	}
	opening, err := cutsheet.Decode(data, style.Unit)
	if err != nil {
		return err
	}
	language, err := p.language()
	if err != nil {
		return err
	}
	sheet, refused := cutsheet.Work(opening, cutsheet.Reader{Language: language, Style: style})
	if len(refused) > 0 {
		return &app.Problem{Sentence: refused[0].Sentence + " " + refused[0].Remedy}
	}
	if *asJSON {
		err = c.printJSON(sheet)
	} else {
		err = c.printSheet(sheet, *explain)
	}
	if err == nil && *strict && finding.HasStop(sheet.Findings) {
		err = &app.Problem{Sentence: "A stop stands against this opening: see the findings before cutting."}
	}
	return err
}

// input reads the file that was named, else standard input.
func (c *call) input() ([]byte, error) {
	from := c.in
	if len(c.args) == 1 && c.args[0] != "-" {
		f, err := os.Open(c.args[0])
		if err != nil {
			return nil, &app.Problem{Sentence: fmt.Sprintf("The file %s cannot be read.", c.args[0]), Err: err}
		}
		defer func() { _ = f.Close() }()
		from = f
	}
	data, err := io.ReadAll(io.LimitReader(from, mostInput+1))
	switch {
	case err != nil:
		return nil, &app.Problem{Sentence: "The readings cannot be read.", Err: err}
	case len(data) > mostInput:
		return nil, &app.Problem{Sentence: "That is more than one opening's readings: at most 1 MiB is read."}
	}
	return data, nil
}

func (c *call) printSheet(s cutsheet.Sheet, explain bool) error {
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "piece\tlength\texact\tcount\tends")
	for _, cut := range s.Cuts {
		fmt.Fprintf(w, "%s\t%s\t%s\t%d\t%s\n", cut.Label, cut.Tape.Text, cut.Exact, max(1, cut.Quantity), strings.Join(cut.Saw, "; "))
		if cut.Rip != "" {
			fmt.Fprintf(w, "   %s\t\t\t\t\n", cut.Rip)
		}
		for _, m := range cut.Notes {
			fmt.Fprintf(w, "   %s\t%s\t\t\t\n", m.Label, m.Text)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(c.out)
	w = tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	for _, v := range s.Values {
		fmt.Fprintf(w, "%s\t%s\n", v.Label, v.Text)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if explain {
		c.explain(s)
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

// explain prints how every value came about: the line, each term with where it is from, and
// the basis.
func (c *call) explain(s cutsheet.Sheet) {
	say := func(label string, e joblog.Explanation) {
		fmt.Fprintf(c.out, "\n%s: %s\n", label, e.Line)
		for _, t := range e.Terms {
			fmt.Fprintf(c.out, "    %s  %s (%s)\n", t.Text, t.Label, t.Source)
		}
		if e.How != "" {
			fmt.Fprintf(c.out, "    How: %s\n", e.How)
		}
		if e.Basis != "" {
			fmt.Fprintf(c.out, "    Basis: %s\n", e.Basis)
		}
	}
	for _, v := range s.Values {
		say(v.Label, v.Explain)
	}
	for _, cut := range s.Cuts {
		say(cut.Label, cut.Explain)
		for _, m := range cut.Notes {
			say(cut.Label+", "+m.Label, m.Explain)
		}
	}
}
