package httpapi

import (
	"context"
	"encoding/json"
	"io"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
	"longpoint/internal/request"
	"longpoint/internal/stage"
	"longpoint/internal/table"
)

// LogFilter is what is asked of a job's log.
type LogFilter struct {
	Person string `query:"person" format:"uuid" doc:"Only what this person did"`
	Room   string `query:"room" format:"uuid" doc:"Only entries about this room and what is in it"`
	Item   string `query:"item" format:"uuid" doc:"Only entries about this opening"`
	Stage  string `query:"stage" enum:"measured,trimmed,hung,cased,nailed,filled,caulked,painted" doc:"Only work of this stage, and its ticks, reopenings and passes"`
	Kind   string `query:"kind" maxLength:"40" doc:"Only entries of this kind"`
}

func (f LogFilter) filter() logbook.Filter {
	return logbook.Filter{Person: f.Person, Room: f.Room, Item: f.Item, Stage: stage.Stage(f.Stage), Kind: joblog.Kind(f.Kind)}
}

// LogEntry is an entry in words with the stage it is about.
type LogEntry struct {
	joblog.EntryView
	Stage string `json:"stage,omitempty"`
}

// LogPage is part of a filtered log, the last entry first.
type LogPage struct {
	Entries []LogEntry `json:"entries" doc:"The last first"`
	Seq     int64      `json:"seq" doc:"Last number in the job's log"`
	More    bool       `json:"more" doc:"There are older ones; ask before the last of these"`
}

type (
	historyInput struct {
		JobPath
		ReaderParams
		LogFilter
		Before int64 `query:"before" minimum:"0" doc:"Only entries numbered below this; 0 begins with the last"`
		Limit  int   `query:"limit" minimum:"1" maximum:"500" default:"60"`
	}
	historyOutput struct{ Body LogPage }
	exportInput   struct {
		JobPath
		ReaderParams
		LogFilter
	}
)

// exportPage is how many entries are in memory at once while a log is handed out.
const exportPage = 1000

func (s *Server) registerLogbook() {
	add(s, operation("look-through-log", http.MethodGet, "/jobs/{job}/history", "A job's log in words, the last entry first, by person, room, opening, stage or kind"), s.history)
	s.registerExport("export-log-csv", "/jobs/{job}/history.csv", "The log as a table, filtered the same way", contentCSV, "job-log.csv",
		func(w io.Writer) func([]logbook.Line) error {
			began := false
			return func(lines []logbook.Line) error {
				rows := make([][]string, 0, len(lines)+1)
				if !began {
					rows, began = append(rows, logbook.Columns), true
				}
				for _, l := range lines {
					rows = append(rows, l.Cells())
				}
				return table.Write(w, rows)
			}
		})
	s.registerExport("export-log-jsonl", "/jobs/{job}/history.jsonl", "The log as JSON lines, filtered the same way, each with the command as it was given", "application/jsonl", "job-log.jsonl",
		func(w io.Writer) func([]logbook.Line) error {
			out := json.NewEncoder(w)
			out.SetEscapeHTML(false)
			return func(lines []logbook.Line) error {
				for _, l := range lines {
					if err := out.Encode(l); err != nil {
						return err
					}
				}
				return nil
			}
		})
}

func (s *Server) history(ctx context.Context, in *historyInput) (*historyOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	f := in.filter()
	f.Before, f.Newest, f.Limit = in.Before, true, in.Limit+1
	es, last, err := s.cfg.Store.Log(ctx, v, in.Job, f)
	if err != nil {
		return nil, err
	}
	out := LogPage{Entries: make([]LogEntry, 0, in.Limit), Seq: last, More: len(es) > in.Limit}
	names, err := s.names(ctx, v)
	if err != nil {
		return nil, err
	}
	r := s.reader(ctx, in.ReaderParams)
	for _, e := range es[:min(len(es), in.Limit)] {
		out.Entries = append(out.Entries, LogEntry{logbook.View(e, names, r), string(logbook.StageOf(e.Command))})
	}
	return &historyOutput{Body: out}, nil
}

// registerExport hands a log out page by page as it is read. An answer that has begun and
// cannot go on is cut off, so that it does not pass for the whole.
func (s *Server) registerExport(id, path, summary, kind, name string, writer func(io.Writer) func([]logbook.Line) error) {
	op := operation(id, http.MethodGet, path, summary)
	op.Responses = map[string]*huma.Response{"200": {Description: "The file", Content: map[string]*huma.MediaType{kind: {Schema: &huma.Schema{Type: "string"}}}}}
	add(s, op, func(ctx context.Context, in *exportInput) (*huma.StreamResponse, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		names, roomOf, err := s.logNames(ctx, v, in.Job)
		if err != nil {
			return nil, err
		}
		f := in.filter()
		f.Limit = exportPage
		first, last, err := s.cfg.Store.Log(ctx, v, in.Job, f)
		if err != nil {
			return nil, err
		}
		r := s.reader(ctx, in.ReaderParams)
		return &huma.StreamResponse{Body: func(hc huma.Context) {
			hc.SetHeader("Content-Type", kind)
			hc.SetHeader("Content-Disposition", `attachment; filename="`+name+`"`)
			takeTime(hc.Context(), fileTime)
			write := writer(hc.BodyWriter())
			for page := first; ; {
				lines := make([]logbook.Line, 0, len(page))
				for _, e := range page {
					if e.Seq <= last { // what comes in meanwhile is not in this one
						lines = append(lines, logbook.LineOf(e, names, roomOf, r))
					}
				}
				if err := write(lines); err != nil {
					panic(http.ErrAbortHandler)
				}
				if len(page) < exportPage {
					return
				}
				f.After = page[len(page)-1].Seq
				if page, err = s.logPage(hc.Context(), v, in.Job, f); err != nil {
					s.log.ErrorContext(ctx, "handing out a log", "id", request.ID(ctx), "error", err)
					panic(http.ErrAbortHandler)
				}
			}
		}}, nil
	})
}

// logPage reads one more page of a log that is handed out, in the time of a request of its own.
func (s *Server) logPage(ctx context.Context, v account.Viewer, job string, f logbook.Filter) ([]joblog.Entry, error) {
	ctx, cancel := context.WithTimeout(ctx, requestTime)
	defer cancel()
	page, _, err := s.cfg.Store.Log(ctx, v, job, f)
	return page, err
}

// logNames are what the ids in a job's log stand for, and which room each item is in.
func (s *Server) logNames(ctx context.Context, v account.Viewer, job string) (logbook.Names, map[string]string, error) {
	st, _, err := s.cfg.Store.Job(ctx, v, job)
	if err != nil {
		return nil, nil, err
	}
	people, err := s.names(ctx, v)
	if err != nil {
		return nil, nil, err
	}
	names, roomOf := logbook.NamesOf(st)
	for id, name := range people {
		names[id] = name
	}
	return names, roomOf, nil
}
