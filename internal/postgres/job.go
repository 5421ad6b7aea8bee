package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
)

// JobLine is a job in a list.
type JobLine struct {
	Job       joblog.Job
	Seq       int64 // last log number
	Rooms     int
	Items     int // without those taken off the job
	CreatedAt time.Time
	ChangedAt time.Time
}

// JobState is a whole job with the company's house rules, as of its last log number.
type JobState struct {
	State   *joblog.State
	Company houserules.Set
}

// mayRead follows a condition on jobs j: leads read every job, an installer those in which
// something is assigned to them.
const mayRead = `
	and (
		@leads
		or exists (
			select
			from job_people p
			where p.company_id = j.company_id
				and p.job_id = j.job_id
				and p.person_id = @person
				and p.present
		)
	)`

func readArgs(v account.Viewer, more pgx.NamedArgs) pgx.NamedArgs {
	args := pgx.NamedArgs{"company": v.CompanyID, "person": v.PersonID, "leads": v.Role.Leads()}
	for name, value := range more {
		args[name] = value
	}
	return args
}

const listJobs = `
	select
		j.state,
		j.next_seq - 1,
		(
			select count(*)
			from rooms r
			where r.company_id = j.company_id
				and r.job_id = j.job_id
		),
		(
			select count(*)
			from items i
			where i.company_id = j.company_id
				and i.job_id = j.job_id
				and i.state -> 'removed' is null
		),
		j.created_at,
		j.changed_at
	from jobs j
	where j.company_id = @company` + mayRead + `
	order by j.created_at desc, j.job_id`

// Jobs lists the jobs the viewer may see, the newest first: a lead's are all the
// company's, an installer's those in which something is assigned to them.
//
// Errors: unavailable; internal.
func (s *Store) Jobs(ctx context.Context, v account.Viewer) (out []JobLine, err error) {
	defer fault.In(&err, "listing jobs")
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanJobLine, listJobs, readArgs(v, nil))
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

func scanJobLine(rows pgx.CollectableRow) (JobLine, error) {
	var (
		l     JobLine
		state []byte
	)
	err := rows.Scan(
		&state,
		&l.Seq,
		&l.Rooms,
		&l.Items,
		&l.CreatedAt,
		&l.ChangedAt,
	)
	if err != nil {
		return l, err
	}
	l.CreatedAt, l.ChangedAt = l.CreatedAt.UTC(), l.ChangedAt.UTC()
	return l, decode("a job", state, &l.Job)
}

const readJob = `
	select
		j.state,
		j.next_seq - 1,
		c.rules
	from jobs j
	join companies c
		on c.company_id = j.company_id
	where j.company_id = @company
		and j.job_id = @job` + mayRead

// Job returns a job with all its rooms and items, at one moment. Leads may read every job,
// installers the jobs in which something is assigned to them. The job, its rooms and items are
// shared with other callers: they are for reading, and what is the same by its pointer as in an
// answer before is the same.
//
// Errors: invalid for an id that is no UUID; not_found, also for a job that is not the
// viewer's to see; unavailable; internal.
func (s *Store) Job(ctx context.Context, v account.Viewer, jobID string) (out *JobState, err error) {
	defer fault.In(&err, "reading job", jobID)
	if err := checkID("job", jobID); err != nil {
		return nil, err
	}
	out = &JobState{State: joblog.NewState()}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var (
			job, rules []byte
			rooms      []*joblog.Room
			items      []*joblog.Item
			walks      []*joblog.Walk
		)
		args := readArgs(v, pgx.NamedArgs{"job": jobID})
		held := s.decoded.read(v.CompanyID, jobID)
		held.name(args)
		b := w.batch()
		b.one(errNotThere("job"), readJob, args, &job, &out.State.Seq, &rules)
		list(b, &rooms, held.room, roomsOfBoard, args)
		list(b, &items, held.item, itemsOfBoard, args)
		list(b, &walks, scanWalk, walksOfJob, args)
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		out.State.Job, err = held.job(job)
		if err != nil {
			return err
		}
		held.keep()
		for _, r := range rooms {
			out.State.Rooms[r.ID] = r
		}
		for _, it := range items {
			out.State.Items[it.ID] = it
		}
		for _, wk := range walks {
			out.State.Walks[wk.ID] = wk
		}
		return decode("the company's house rules", rules, &out.Company)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

const readScope = `
	select
		c.rules,
		j.state,
		r.state,
		i.state
	from jobs j
	join companies c
		on c.company_id = j.company_id
	join items i
		on i.company_id = j.company_id
		and i.job_id = j.job_id
		and i.item_id = @item
	join rooms r
		on r.company_id = i.company_id
		and r.job_id = i.job_id
		and r.room_id = i.room_id
	where j.company_id = @company
		and j.job_id = @job` + mayRead

// Scope returns one item with its room, its job and the company's house rules: what a view
// of the item is made from. Who may read a job may read its items.
//
// Errors: as Job, and not_found for an item that is not in the job.
func (s *Store) Scope(ctx context.Context, v account.Viewer, jobID, itemID string) (sc joblog.Scope, err error) {
	defer fault.In(&err, "reading job", jobID, "item", itemID)
	if err := checkID("job", jobID); err != nil {
		return sc, err
	}
	if err := checkID("item", itemID); err != nil {
		return sc, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var rules, job, room, item []byte
		b := w.batch()
		b.one(errNotThere("item"), readScope, readArgs(v, pgx.NamedArgs{"job": jobID, "item": itemID}), &rules, &job, &room, &item)
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		for _, part := range []struct {
			what string
			from []byte
			into any
		}{{"house rules", rules, &sc.Company}, {"a job", job, &sc.Job}, {"a room", room, &sc.Room}, {"an item", item, &sc.Item}} {
			if err := decode(part.what, part.from, part.into); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return joblog.Scope{}, err
	}
	return sc, nil
}

// MostEntries is the most entries one read returns.
const MostEntries = 5000

const entryColumns = `
	select
		e.seq,
		e.person_id,
		e.role,
		e.did_at,
		e.logged_at,
		e.rule_book,
		e.command
	from entries e`

const readEntries = entryColumns + `
	join jobs j
		on j.company_id = e.company_id
		and j.job_id = e.job_id
	where e.company_id = @company
		and e.job_id = @job
		and e.seq > @after
		and (@item::uuid is null or e.item_id = @item)` + mayRead + `
	order by e.seq
	limit @limit`

const jobIsThere = `
	select
		j.next_seq - 1
	from jobs j
	where j.company_id = @company
		and j.job_id = @job` + mayRead

func scanEntry(rows pgx.CollectableRow) (joblog.Entry, error) {
	var (
		e    joblog.Entry
		body []byte
	)
	err := rows.Scan(
		&e.Seq,
		&e.PersonID,
		&e.Role,
		&e.DidAt,
		&e.LoggedAt,
		&e.RuleBook,
		&body,
	)
	if err != nil {
		return e, err
	}
	e.DidAt, e.LoggedAt = e.DidAt.UTC(), e.LoggedAt.UTC()
	return e, decode("a command", body, &e.Command)
}

// Entries returns the job's entries with numbers above after, in order, at most limit of
// them and never more than MostEntries; only those about one item when itemID is not
// empty. last is the job's last number, so that a phone knows whether there is more.
// Who may read a job may read its log.
//
// Errors: as Job.
func (s *Store) Entries(ctx context.Context, v account.Viewer, jobID string, after int64, itemID string, limit int) (out []joblog.Entry, last int64, err error) {
	defer fault.In(&err, "reading the log of job", jobID)
	if err := checkID("job", jobID); err != nil {
		return nil, 0, err
	}
	if itemID != "" {
		if err := checkID("item", itemID); err != nil {
			return nil, 0, err
		}
	}
	if limit <= 0 || limit > MostEntries {
		limit = MostEntries
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		args := readArgs(v, pgx.NamedArgs{"job": jobID, "after": after, "item": orNull(itemID), "limit": limit})
		b := w.batch()
		b.one(errNotThere("job"), jobIsThere, args, &last)
		list(b, &out, scanEntry, readEntries, args)
		b.commit()
		return w.send(ctx, b)
	})
	if err != nil {
		return nil, 0, err
	}
	return out, last, nil
}

// Refused is a command the rules refused, kept for its author.
type Refused struct {
	Command    joblog.Command
	Findings   []finding.Finding
	DidAt      time.Time
	ReceivedAt time.Time
}

const readRefused = `
	select
		command,
		findings,
		did_at,
		received_at
	from commands
	where company_id = @company
		and job_id = @job
		and person_id = @person
		and outcome = 'refused'
	order by received_at desc, command_id desc
	limit @limit`

// RefusedCommands returns what the viewer sent for the job and the rules refused, the
// newest first, at most MostEntries. Each person sees their own, also for a job that is no
// longer or never was theirs to see: what they typed is not lost to them.
//
// Errors: invalid for an id that is no UUID; unavailable; internal.
func (s *Store) RefusedCommands(ctx context.Context, v account.Viewer, jobID string) (out []Refused, err error) {
	defer fault.In(&err, "reading the refused commands of job", jobID)
	if err := checkID("job", jobID); err != nil {
		return nil, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanRefused, readRefused, readArgs(v, pgx.NamedArgs{"job": jobID, "limit": MostEntries}))
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

func scanRefused(rows pgx.CollectableRow) (Refused, error) {
	var (
		r              Refused
		body, findings []byte
	)
	if err := rows.Scan(&body, &findings, &r.DidAt, &r.ReceivedAt); err != nil {
		return r, err
	}
	r.DidAt, r.ReceivedAt = r.DidAt.UTC(), r.ReceivedAt.UTC()
	if err := decode("findings", findings, &r.Findings); err != nil {
		return r, err
	}
	return r, decode("a command", body, &r.Command)
}
