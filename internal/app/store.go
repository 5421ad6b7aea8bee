package app

import (
	"context"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/houserules"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/observe"
	"longpoint/internal/postgres"
)

// store is the database as the HTTP service asks for it.
type store struct {
	*postgres.Store
	watch *observe.Observer
}

var _ httpapi.Store = store{}

func (s store) Submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error) {
	out, err := s.Store.Submit(ctx, v, c, sentAt)
	s.count(c, out, err)
	return out, err
}

func (s store) OpenWalk(ctx context.Context, v account.Viewer, g account.Person, c joblog.Command, l account.NewLink) (joblog.Outcome, time.Time, error) {
	out, ends, err := s.Store.OpenWalk(ctx, v, g, c, l)
	s.count(c, out, err)
	return out, ends, err
}

func (s store) count(c joblog.Command, out joblog.Outcome, err error) {
	kind, outcome := string(c.Kind), "applied"
	switch {
	case err != nil:
		// The kind is the sender's word, which may be anything; what was decided has one of the rules' own.
		kind, outcome = "any", "failed"
	case out.Repeated:
		outcome = "repeated"
	case !out.Applied:
		kind, outcome = "any", "refused"
	}
	s.watch.Command(kind, outcome)
}

func (s store) Jobs(ctx context.Context, v account.Viewer) ([]httpapi.JobLine, error) {
	lines, err := s.Store.Jobs(ctx, v)
	if err != nil {
		return nil, err
	}
	out := make([]httpapi.JobLine, 0, len(lines))
	for _, l := range lines {
		out = append(out, httpapi.JobLine{ID: l.Job.ID, Name: l.Job.Name, Address: l.Job.Address, Seq: l.Seq,
			Rooms: l.Rooms, Items: l.Items, ChangedAt: l.ChangedAt})
	}
	return out, nil
}

func (s store) Job(ctx context.Context, v account.Viewer, job string) (*joblog.State, houserules.Set, error) {
	j, err := s.Store.Job(ctx, v, job)
	if err != nil {
		return nil, nil, err
	}
	return j.State, j.Company, nil
}

func (s store) RefusedCommands(ctx context.Context, v account.Viewer, job string) ([]httpapi.Refused, error) {
	kept, err := s.Store.RefusedCommands(ctx, v, job)
	if err != nil {
		return nil, err
	}
	out := make([]httpapi.Refused, 0, len(kept))
	for _, k := range kept {
		out = append(out, httpapi.Refused{Command: k.Command, Findings: k.Findings, At: k.ReceivedAt})
	}
	return out, nil
}

func (s store) WalkJob(ctx context.Context, l account.Link) (*joblog.State, houserules.Set, error) {
	j, err := s.Store.WalkJob(ctx, l)
	if err != nil {
		return nil, nil, err
	}
	return j.State, j.Company, nil
}

func (s store) SubmitTogether(ctx context.Context, v account.Viewer, t httpapi.Together) (httpapi.TogetherOutcome, error) {
	out, err := s.Store.SubmitTogether(ctx, v, postgres.Bundle{ID: t.ID, JobID: t.Job, Digest: t.Digest, At: t.At, SentAt: t.SentAt, Make: t.Make})
	return httpapi.TogetherOutcome(out), err
}

func (s store) Search(ctx context.Context, v account.Viewer, typed string) ([]httpapi.Hit, httpapi.Sought, error) {
	hits, err := s.Store.Search(ctx, v, typed)
	if err != nil {
		return nil, httpapi.Sought{}, err
	}
	out := make([]httpapi.Hit, 0, len(hits))
	for _, h := range hits {
		out = append(out, httpapi.Hit(h))
	}
	words := postgres.Asked(typed)
	for i, w := range words {
		words[i] = postgres.Plain(w)
	}
	return out, httpapi.Sought{Words: words, Plain: postgres.Plain}, nil
}
