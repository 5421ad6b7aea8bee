package schedule

import (
	"strconv"
	"unicode/utf8"

	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	"longpoint/internal/words"
)

// Reading says how the cells are read.
type Reading struct {
	Columns []string // what each column means; "" passes it over
	Named   bool     // the first line holds the columns' names
	Unit    length.Unit
	// Words are those of the rule book, for what a length has wrong with it.
	Words *words.Catalog
	// Base gives what the schedule leaves unsaid of an opening of a kind.
	Base func(trim.Kind) joblog.Spec
}

// Row is what one row asks for. Problems say why it cannot be taken; each is about a field.
type Row struct {
	Line     int
	Cells    []string
	Room     string
	Level    finish.Level // "" where the row does not say
	Name     string
	Count    int
	Spec     joblog.Spec
	Note     string
	Problems []finding.Finding
}

// mostCount is how many openings one row may ask for: more is a slip, or a price list.
const mostCount = 50

// Common is what an opening is made of where neither schedule nor trim package says it.
func Common(k trim.Kind) joblog.Spec {
	casing, other := trim.CommonCasing(), trim.CommonCasing()
	s := joblog.Spec{Unit: trim.CommonUnit(k), CasingA: &casing}
	if k != trim.Window {
		s.CasingB = &other
	}
	return s
}

// Rows reads every row below the names.
func Rows(s Sheet, how Reading) []Row {
	lines := s.Lines
	if how.Named && len(lines) > 0 {
		lines = lines[1:]
	}
	if how.Base == nil {
		how.Base = Common
	}
	out := make([]Row, 0, len(lines))
	for _, l := range lines {
		out = append(out, how.row(l))
	}
	return out
}

func (how *Reading) row(l Line) Row {
	c := cellsOf{how: how, row: Row{Line: l.Number, Cells: l.Cells, Count: 1}, at: map[string]string{}}
	for i, field := range how.Columns {
		if field == "" || i >= len(l.Cells) {
			continue
		}
		cell := l.Cells[i]
		switch r, is := hidden(cell); {
		case is:
			c.bad(field, finding.New("cell_hidden", finding.Stop).Text("character", codePoint(r)))
		case formula(cell):
			c.bad(field, finding.New("cell_formula", finding.Stop).Text("value", clip(cell)))
		case !nothing(cell):
			c.at[field] = cell
		}
	}
	c.names()
	c.spec()
	return c.row
}

// cellsOf is a row while it is read.
type cellsOf struct {
	how *Reading
	row Row
	at  map[string]string // cells that say something, by field
}

func (c *cellsOf) bad(field string, f finding.Finding) {
	c.row.Problems = append(c.row.Problems, f.At(field).Term("field", "column_"+field))
}

func (c *cellsOf) faulty(field string) bool {
	for i := range c.row.Problems {
		if c.row.Problems[i].About == field {
			return true
		}
	}
	return false
}

func (c *cellsOf) names() {
	c.row.Room = c.text("room", 80)
	mark, name := c.text("mark", 80), c.text("name", 80)
	switch {
	case mark == "":
		c.row.Name = name
	case name == "":
		c.row.Name = mark
	default:
		c.row.Name = mark + " " + name
	}
	if c.row.Room == "" && !c.faulty("room") {
		c.bad("room", finding.New("row_no_room", finding.Stop))
	}
	if c.row.Name == "" && !c.faulty("mark") && !c.faulty("name") {
		c.bad("mark", finding.New("row_no_mark", finding.Stop))
	}
	if utf8.RuneCountInString(c.row.Name) > 80 {
		c.bad("name", finding.New("cell_long", finding.Stop).Num("most", 80))
	}
	if n := c.number("count", 1, mostCount); n > 0 {
		c.row.Count = int(n)
	}
	c.row.Note = c.text("note", 400)
	c.row.Level = choose(c, "level", levels)
}

func (c *cellsOf) spec() {
	kind := choose(c, "kind", kinds)
	if kind == "" {
		kind = trim.Door
	}
	s := c.how.Base(kind)
	u := &s.Unit
	u.Kind = kind
	if said, ok := c.at["size"]; ok {
		w, h, f := size(said, c.how.Unit, c.how.Words)
		if f != nil {
			c.bad("size", *f)
		}
		c.take(&u.SlabWidth, w)
		c.take(&u.SlabHeight, h)
	}
	// A wall's thickness is what its jamb is as wide as, where the jamb's own width is not said (common practice).
	for _, d := range []struct {
		field string
		into  *length.Length
	}{{"width", &u.SlabWidth}, {"height", &u.SlabHeight}, {"thickness", &u.SlabThickness}, {"wall", &u.JambWidth}, {"jamb", &u.JambWidth}} {
		c.take(d.into, c.length(d.field))
	}
	set(&u.Core, choose(c, "core", cores))
	set(&u.Grade, choose(c, "grade", grades))
	if hand := choose(c, "hand", hands); hand.side != "" {
		u.HingeOn = hand.side
		if hand.to != "" {
			u.SwingsTo = trim.Face(hand.to)
		}
	}
	set(&u.SwingsTo, choose(c, "swing", swings))
	if label := c.text("label", 60); label != "" {
		u.FireLabel, u.Core = label, trim.FireRated
	}
	u.Exit = c.yes("exit") || u.Exit
	u.Accessible = c.yes("accessible") || u.Accessible
	if n := c.number("panels", 1, 8); n > 0 {
		u.Panels = n
	}
	c.casing(&s)
	c.row.Spec = s
}

func (c *cellsOf) casing(s *joblog.Spec) {
	style := choose(c, "casing", casings)
	width, thick := c.length("casing_width"), c.length("casing_thickness")
	for _, side := range []*trim.Casing{s.CasingA, s.CasingB} {
		if side == nil {
			continue
		}
		set(&side.Style, style)
		c.take(&side.Width, width)
		c.take(&side.Thickness, thick)
	}
}

func (c *cellsOf) take(into *length.Length, l length.Length) {
	if l != 0 {
		*into = l
	}
}

func set[T comparable](into *T, said T) {
	var unsaid T
	if said != unsaid {
		*into = said
	}
}

func (c *cellsOf) text(field string, most int) string {
	s := c.at[field]
	if utf8.RuneCountInString(s) > most {
		c.bad(field, finding.New("cell_long", finding.Stop).Num("most", int64(most)))
		return ""
	}
	return s
}

func (c *cellsOf) length(field string) length.Length {
	said, ok := c.at[field]
	if !ok {
		return 0
	}
	l, f := measure(said, c.how.Unit, c.how.Words)
	if f != nil {
		c.bad(field, *f)
	} else if l == 0 {
		c.bad(field, finding.New("cell_zero", finding.Stop))
	}
	return l
}

func (c *cellsOf) number(field string, least, most int64) int64 {
	said, ok := c.at[field]
	if !ok {
		return 0
	}
	n, err := strconv.ParseInt(said, 10, 64)
	if err != nil || n < least || n > most {
		c.bad(field, finding.New("cell_number", finding.Stop).Text("value", clip(said)).Num("least", least).Num("most", most))
		return 0
	}
	return n
}

func (c *cellsOf) yes(field string) bool {
	said, ok := c.at[field]
	if !ok {
		return false
	}
	yes, known := yeses[plain(said)]
	if !known {
		c.bad(field, finding.New("cell_yes", finding.Stop).Text("value", clip(said)))
	}
	return yes
}

// choose reads a cell that holds one of a few words.
func choose[T any](c *cellsOf, field string, among map[string]T) T {
	said, ok := c.at[field]
	var v T
	if !ok {
		return v
	}
	v, known := among[plain(said)]
	if !known {
		c.bad(field, finding.New("cell_choice", finding.Stop).Text("value", clip(said)).Term("choices", "choices_"+field))
	}
	return v
}
