package httpapi

import (
	"context"
	"net/http"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
)

// JobPath names a job. The library sees only exported parts of an input.
type JobPath struct {
	Job string `path:"job" format:"uuid" doc:"The job's id"`
}

// ItemPath names an opening of a job.
type ItemPath struct {
	JobPath
	Item string `path:"item" format:"uuid" doc:"The opening's id"`
}

// PageParams ask for part of a log.
type PageParams struct {
	After int64 `query:"after" minimum:"0" doc:"Only entries numbered above this"`
	Limit int   `query:"limit" minimum:"1" maximum:"1000" default:"200"`
}

// JobList is the jobs a person may see.
type JobList struct {
	Jobs []JobLine `json:"jobs" doc:"The newest first"`
}

// EntryList is part of a job's log in words.
type EntryList struct {
	Entries []joblog.EntryView `json:"entries"`
	Seq     int64              `json:"seq" doc:"Last number in the job's log"`
	More    bool               `json:"more" doc:"There are more after the last of these"`
}

// LogParams ask for part of a log as it stands. Such pages are large: each costs a round trip
// on a bad signal.
type LogParams struct {
	After int64 `query:"after" minimum:"0" doc:"Only entries numbered above this"`
	Limit int   `query:"limit" minimum:"1" maximum:"5000" default:"2000"`
}

// Log is part of a job's log as it stands, for a device that keeps its own copy.
type Log struct {
	Entries    []joblog.Entry `json:"entries"`
	Seq        int64          `json:"seq" doc:"Last number in the job's log"`
	More       bool           `json:"more" doc:"There are more after the last of these"`
	ServerTime time.Time      `json:"server_time" doc:"The service's clock, for a device to see how far its own is off"`
}

// JobState is all that a device needs of a job to work it out by itself. It goes on from
// here by the entries after seq.
type JobState struct {
	Seq        int64          `json:"seq" doc:"Last number of the log that is in the state"`
	State      *joblog.State  `json:"state"`
	Company    houserules.Set `json:"company" doc:"The company's house rules"`
	People     []Person       `json:"people" doc:"Everyone in the company"`
	ServerTime time.Time      `json:"server_time" doc:"The service's clock, for a device to see how far its own is off"`
}

// RefusedList is what a person sent for a job and the rules refused.
type RefusedList struct {
	Refused []joblog.RefusedView `json:"refused" doc:"The newest first"`
}

type (
	jobInput struct {
		JobPath
		ReaderParams
	}
	itemInput struct {
		ItemPath
		ReaderParams
	}
	entriesInput struct {
		JobPath
		ReaderParams
		PageParams
		Item string `query:"item" format:"uuid" doc:"Only entries about this opening"`
	}
	itemEntriesInput struct {
		ItemPath
		ReaderParams
		PageParams
	}
	stateInput struct{ JobPath }
	logInput   struct {
		JobPath
		LogParams
	}
	jobsOutput    struct{ Body JobList }
	itemOutput    struct{ Body joblog.ItemView }
	entriesOutput struct{ Body EntryList }
	logOutput     struct{ Body Log }
	stateOutput   struct{ Body JobState }
	refusedOutput struct{ Body RefusedList }
)

func (s *Server) registerJobs() {
	add(s, operation("list-jobs", http.MethodGet, "/jobs", "The jobs the person may see"), s.jobs)
	s.registerBoard()
	add(s, operation("get-item", http.MethodGet, "/jobs/{job}/items/{item}", "One opening: readings, cuts, stages, findings, drawing"),
		func(ctx context.Context, in *itemInput) (*itemOutput, error) {
			view, err := s.itemView(ctx, in.Job, in.Item, in.ReaderParams)
			if err != nil {
				return nil, err
			}
			return &itemOutput{Body: *view}, nil
		})
	add(s, operation("list-item-entries", http.MethodGet, "/jobs/{job}/items/{item}/entries", "The log of one opening in words"),
		func(ctx context.Context, in *itemEntriesInput) (*entriesOutput, error) {
			// The opening's absence shows; an empty log would hide it.
			if v, err := s.viewer(ctx); err != nil {
				return nil, err
			} else if _, err := s.cfg.Store.Scope(ctx, v, in.Job, in.Item); err != nil {
				return nil, err
			}
			return s.entries(ctx, in.Job, in.Item, in.PageParams, in.ReaderParams)
		})
	add(s, operation("list-entries", http.MethodGet, "/jobs/{job}/entries", "A job's log in words"),
		func(ctx context.Context, in *entriesInput) (*entriesOutput, error) {
			return s.entries(ctx, in.Job, in.Item, in.PageParams, in.ReaderParams)
		})
	add(s, operation("get-log", http.MethodGet, "/jobs/{job}/log", "A job's log as it stands, for a device that keeps a copy"), s.rawLog)
	add(s, operation("get-state", http.MethodGet, "/jobs/{job}/state", "A whole job with house rules and people, for a device that keeps a copy"), s.state)
	add(s, operation("list-refused", http.MethodGet, "/jobs/{job}/refused", "What the person sent for a job and the rules refused"), s.refused)
}

func (s *Server) jobs(ctx context.Context, _ *struct{}) (*jobsOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	jobs, err := s.cfg.Store.Jobs(ctx, v)
	if err != nil {
		return nil, err
	}
	return &jobsOutput{Body: JobList{Jobs: orEmpty(jobs)}}, nil
}

func (s *Server) itemView(ctx context.Context, job, item string, q ReaderParams) (*joblog.ItemView, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	scope, err := s.cfg.Store.Scope(ctx, v, job, item)
	if err != nil {
		return nil, err
	}
	view := joblog.ViewItem(scope, s.reader(ctx, q))
	view.Drawing.Shapes = orEmpty(view.Drawing.Shapes)
	return &view, nil
}

// page reads part of a log; more says whether there is more behind it.
func (s *Server) page(ctx context.Context, v account.Viewer, job, item string, p PageParams) (es []joblog.Entry, last int64, more bool, err error) {
	// One too many is asked for, to see whether there are more. At the store's own bound
	// that one does not come; then a full page means more.
	es, last, err = s.cfg.Store.Entries(ctx, v, job, p.After, item, p.Limit+1)
	switch {
	case err != nil:
		return nil, 0, false, err
	case len(es) > p.Limit:
		return es[:p.Limit], last, true, nil
	case len(es) == p.Limit && len(es) > 0:
		return es, last, es[len(es)-1].Seq < last, nil
	}
	return es, last, false, nil
}

func (s *Server) entries(ctx context.Context, job, item string, p PageParams, q ReaderParams) (*entriesOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	es, last, more, err := s.page(ctx, v, job, item, p)
	if err != nil {
		return nil, err
	}
	names, err := s.names(ctx, v)
	if err != nil {
		return nil, err
	}
	r := s.reader(ctx, q)
	out := EntryList{Entries: make([]joblog.EntryView, 0, len(es)), Seq: last, More: more}
	for _, e := range es {
		out.Entries = append(out.Entries, logbook.View(e, names, r))
	}
	return &entriesOutput{Body: out}, nil
}

func (s *Server) rawLog(ctx context.Context, in *logInput) (*logOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	es, last, more, err := s.page(ctx, v, in.Job, "", PageParams(in.LogParams))
	if err != nil {
		return nil, err
	}
	return &logOutput{Body: Log{Entries: orEmpty(es), Seq: last, More: more, ServerTime: s.clock().UTC()}}, nil
}

func (s *Server) state(ctx context.Context, in *stateInput) (*stateOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	state, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	people, err := s.people(ctx, v)
	if err != nil {
		return nil, err
	}
	if company == nil {
		company = houserules.Set{}
	}
	return &stateOutput{Body: JobState{Seq: state.Seq, State: state, Company: company, People: people, ServerTime: s.clock().UTC()}}, nil
}

// refused shows a person what they sent, also for a job that is no longer theirs to see;
// where they sent nothing, a job that is not theirs is not there.
func (s *Server) refused(ctx context.Context, in *jobInput) (*refusedOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	kept, err := s.cfg.Store.RefusedCommands(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	if len(kept) == 0 {
		if _, _, err := s.cfg.Store.Entries(ctx, v, in.Job, 0, "", 1); err != nil {
			return nil, err
		}
	}
	r := s.reader(ctx, in.ReaderParams)
	out := RefusedList{Refused: make([]joblog.RefusedView, 0, len(kept))}
	for _, k := range kept {
		out.Refused = append(out.Refused, joblog.ViewRefused(k.Command, k.Findings, k.At, r))
	}
	return &refusedOutput{Body: out}, nil
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
