package httpapi

import (
	"context"
	"net/http"
	"strconv"
	"strings"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/schedule"
	"longpoint/internal/setup"
	"longpoint/internal/trim"
	"longpoint/internal/words"
)

// scheduleBody has room for the most bytes a schedule may have, as base64, and what goes with them.
const scheduleBody = schedule.MostBytes*4/3 + 16<<10

// ScheduleSheet is a table of openings as it was pasted or saved, and how to read it.
type ScheduleSheet struct {
	Sheet    []byte   `json:"sheet" doc:"The file's own bytes: CSV, or a table as pasted, at most 1 MB"`
	Columns  []string `json:"columns,omitempty" maxItems:"60" doc:"What each column means; guessed from the first line when left out. Empty for a column to pass over"`
	Named    *bool    `json:"named,omitempty" doc:"The first line holds the columns' names; guessed when left out"`
	Unit     string   `json:"unit,omitempty" enum:"in,mm" doc:"Unit of bare numbers; the job's when left out"`
	Template string   `json:"template_id,omitempty" format:"uuid" doc:"Trim package for what the schedule does not say"`
}

// ScheduleImport is a schedule to be taken up.
type ScheduleImport struct {
	TogetherParams
	ScheduleSheet
}

// SchedulePreview is what an import would do.
type SchedulePreview struct {
	Between  string           `json:"between" enum:"comma,semicolon,tab"`
	Named    bool             `json:"named"`
	Unit     length.Unit      `json:"unit" enum:"in,mm"`
	Columns  []ScheduleColumn `json:"columns"`
	Fields   []ScheduleField  `json:"fields" doc:"What a column can mean"`
	Wrong    []string         `json:"wrong" doc:"What stands against reading the columns so; the rows are not read then"`
	Rows     []ScheduleRow    `json:"rows"`
	NewRooms int              `json:"new_rooms"`
	NewItems int              `json:"new_items"`
	Bad      int              `json:"bad" doc:"Rows that have to be mended or left out: nothing is imported while there are any"`
	There    int              `json:"there" doc:"Rows that are on the job already and are left as they are"`
}

// ScheduleColumn is one column and what it is taken for.
type ScheduleColumn struct {
	Field string `json:"field" doc:"Empty where it is passed over"`
	Name  string `json:"name,omitempty" doc:"In the first line"`
}

// ScheduleField is something a column can mean, in the reader's words.
type ScheduleField struct {
	Field string `json:"field"`
	Label string `json:"label"`
}

// ScheduleRow is one row and what becomes of it.
type ScheduleRow struct {
	Line     int               `json:"line" doc:"In the file"`
	Cells    []string          `json:"cells"`
	State    string            `json:"state" enum:"new,there,bad,unread"`
	Room     string            `json:"room,omitempty"`
	Name     string            `json:"name,omitempty"`
	Says     string            `json:"says,omitempty" doc:"What it is read as"`
	Problems []ScheduleProblem `json:"problems,omitempty"`
}

// ScheduleProblem is what is wrong with a row, and in which column.
type ScheduleProblem struct {
	Column   int    `json:"column" doc:"From 0; -1 where it is about no one column"`
	Sentence string `json:"sentence"`
}

type (
	previewInput struct {
		JobPath
		ReaderParams
		Body ScheduleSheet
	}
	previewOutput struct{ Body SchedulePreview }
	importInput   struct {
		JobPath
		ReaderParams
		Body ScheduleImport
	}
)

func (s *Server) registerSchedules() {
	look := operation("preview-schedule", http.MethodPost, "/jobs/{job}/schedule/preview", "Read a door-and-window schedule and say what importing it would do; leads only")
	look.MaxBodyBytes = scheduleBody
	add(s, look, s.previewSchedule)
	take := operation("import-schedule", http.MethodPost, "/jobs/{job}/schedule", "Import a door-and-window schedule, all of it or nothing; leads only")
	take.MaxBodyBytes = scheduleBody
	add(s, take, s.importSchedule)
}

// scheduled is a schedule as it was read for a job.
type scheduled struct {
	sheet   schedule.Sheet
	columns []string
	named   bool
	unit    length.Unit
	wrong   []finding.Finding
	rows    []schedule.Row
}

func (s *Server) readSchedule(ctx context.Context, v account.Viewer, in ScheduleSheet, unit length.Unit, r joblog.Reader) (*scheduled, error) {
	if !v.Role.Leads() {
		return nil, fault.New(fault.Forbidden, "Only a lead may do that.")
	}
	sheet, bad := schedule.Read(in.Sheet)
	if bad != nil {
		return nil, newProblem(http.StatusUnprocessableEntity, fault.Invalid, spokenSchedule(*bad, r))
	}
	out := &scheduled{sheet: sheet, unit: unit}
	out.columns, out.named = schedule.Guess(sheet)
	if in.Unit != "" {
		out.unit = length.Unit(in.Unit)
	}
	if in.Named != nil {
		out.named = *in.Named
	}
	if in.Columns != nil {
		out.columns = make([]string, sheet.Columns)
		copy(out.columns, in.Columns)
	}
	if out.wrong = schedule.CheckColumns(out.columns); len(out.wrong) > 0 {
		return out, nil
	}
	how := schedule.Reading{Columns: out.columns, Named: out.named, Unit: out.unit, Words: words.In(r.Language)}
	if in.Template != "" {
		t, err := s.cfg.Store.Template(ctx, v, in.Template)
		if err != nil {
			return nil, err
		}
		if t.Trim != nil {
			how.Base = func(k trim.Kind) joblog.Spec { return t.Trim.On(schedule.Common(k)) }
		}
	}
	out.rows = schedule.Rows(sheet, how)
	return out, nil
}

func spokenSchedule(f finding.Finding, r joblog.Reader) string {
	return schedule.Render(f, r.Language, joblog.Words(r.Language), r.Style)
}

func (s *Server) previewSchedule(ctx context.Context, in *previewInput) (*previewOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	st, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	r := s.reader(ctx, in.ReaderParams)
	read, err := s.readSchedule(ctx, v, in.Body, st.Job.Unit, r)
	if err != nil {
		return nil, err
	}
	out := previewOf(read, r)
	if len(read.wrong) > 0 {
		for _, l := range below(read) {
			out.Rows = append(out.Rows, ScheduleRow{Line: l.Number, Cells: l.Cells, State: "unread"})
		}
		return &previewOutput{Body: out}, nil
	}
	plan := schedule.PlanRows(read.rows, st, in.Job, setup.Mint(in.Job))
	now := s.clock().UTC()
	for i := range plan.Commands {
		plan.Commands[i].At = now
	}
	_, refused := setup.Together(st, company, plan.Commands, v.Actor(), now, now)
	out.fill(plan, refused, read.columns, r)
	return &previewOutput{Body: out}, nil
}

func below(read *scheduled) []schedule.Line {
	if read.named && len(read.sheet.Lines) > 0 {
		return read.sheet.Lines[1:]
	}
	return read.sheet.Lines
}

func previewOf(read *scheduled, r joblog.Reader) SchedulePreview {
	catalog := schedule.Words(r.Language)
	out := SchedulePreview{Between: read.sheet.Between, Named: read.named, Unit: read.unit, Columns: []ScheduleColumn{}, Fields: []ScheduleField{}, Wrong: []string{}, Rows: []ScheduleRow{}}
	for i, field := range read.columns {
		c := ScheduleColumn{Field: field}
		if read.named && i < len(read.sheet.Lines[0].Cells) {
			c.Name = read.sheet.Lines[0].Cells[i]
		}
		out.Columns = append(out.Columns, c)
	}
	for _, f := range schedule.Fields {
		out.Fields = append(out.Fields, ScheduleField{Field: f, Label: words.Capital(catalog.Term("column_" + f))})
	}
	for _, f := range read.wrong {
		out.Wrong = append(out.Wrong, spokenSchedule(f, r))
	}
	return out
}

// fill puts the plan's rows in words, with what the rules refuse of them.
func (p *SchedulePreview) fill(plan schedule.Plan, refused []setup.Refusal, columns []string, r joblog.Reader) {
	against := map[int][]finding.Finding{}
	for _, one := range refused {
		against[one.At] = one.Findings
	}
	column := func(field string) int {
		for i, f := range columns {
			if f == field && f != "" {
				return i
			}
		}
		return -1
	}
	said := joblog.Words(r.Language)
	for _, row := range plan.Rows {
		out := ScheduleRow{Line: row.Line, Cells: row.Cells, State: string(row.State), Room: row.Room, Name: row.Name}
		for _, f := range row.Problems {
			out.Problems = append(out.Problems, ScheduleProblem{Column: column(f.About), Sentence: spokenSchedule(f, r)})
		}
		for _, at := range row.Commands {
			for _, f := range against[at] {
				out.State = string(schedule.Bad)
				out.Problems = append(out.Problems, ScheduleProblem{Column: column(fieldOf(f.About, columns)), Sentence: spokenSchedule(f, r)})
			}
		}
		if u := row.Spec.Unit; out.State != string(schedule.Bad) {
			parts := []string{said.Term("kind_" + string(u.Kind))}
			if u.SlabWidth > 0 && u.SlabHeight > 0 {
				parts = append(parts, u.SlabWidth.Print(r.Style)+" × "+u.SlabHeight.Print(r.Style))
			}
			out.Says = words.Capital(strings.Join(parts, ", "))
		}
		switch out.State {
		case string(schedule.Bad):
			p.Bad++
		case string(schedule.There):
			p.There++
		}
		p.Rows = append(p.Rows, out)
	}
	p.NewRooms, p.NewItems = plan.NewRooms, plan.NewItems
}

// fieldOf is the column a finding of the rule book is about, by the size it names.
func fieldOf(about string, columns []string) string {
	field := map[string]string{"slab_width": "width", "slab_height": "height", "slab_thickness": "thickness", "jamb_width": "jamb", "casing_width": "casing_width",
		"casing_thickness": "casing_thickness", "panels": "panels", "core": "core"}[about]
	has := func(f string) bool {
		for _, c := range columns {
			if c == f {
				return true
			}
		}
		return false
	}
	switch {
	case (field == "width" || field == "height") && !has(field):
		return "size"
	case field == "jamb" && !has(field):
		return "wall"
	}
	return field
}

func (s *Server) importSchedule(ctx context.Context, in *importInput) (*setUpOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	r := s.reader(ctx, in.ReaderParams)
	return s.together(ctx, v, in.Job, in.Body.TogetherParams, in.Body.ScheduleSheet, r, func(st *joblog.State, company houserules.Set) ([]joblog.Command, error) {
		read, err := s.readSchedule(ctx, v, in.Body.ScheduleSheet, st.Job.Unit, r)
		if err != nil {
			return nil, err
		}
		var parts []ProblemPart
		for _, f := range read.wrong {
			parts = append(parts, ProblemPart{Where: "columns", What: spokenSchedule(f, r)})
		}
		plan := schedule.PlanRows(read.rows, st, in.Job, setup.Mint(in.Body.ID))
		for _, row := range plan.Rows {
			for _, f := range row.Problems {
				parts = append(parts, ProblemPart{Where: "line " + strconv.Itoa(row.Line), What: spokenSchedule(f, r)})
			}
		}
		if len(parts) > 0 {
			return nil, nothingTaken(parts)
		}
		return plan.Commands, nil
	})
}
