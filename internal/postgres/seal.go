package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/seal"
)

const lastSeal = `
	select
		through_seq,
		substring(links from octet_length(links) - 31)
	from seals
	where company_id = @company
		and job_id = @job
	order by through_seq desc
	limit 1`

const entriesToSeal = `
	select
		seq,
		command_id,
		kind,
		coalesce(room_id::text, ''),
		coalesce(item_id::text, ''),
		person_id,
		role,
		did_at,
		logged_at,
		device,
		rule_book,
		command
	from entries
	where company_id = @company
		and job_id = @job
		and seq > @after
		and seq <= @through
	order by seq`

const insertSeal = `
	insert into seals (
		company_id,
		job_id,
		walk_id,
		from_seq,
		through_seq,
		links,
		sealed_at
	)
	values (
		@company,
		@job,
		@walk,
		@from,
		@through,
		@links,
		@now
	)`

func scanSealEntry(rows pgx.CollectableRow) (seal.Entry, error) {
	var e seal.Entry
	err := rows.Scan(&e.Seq, &e.CommandID, &e.Kind, &e.RoomID, &e.ItemID, &e.PersonID, &e.Role, &e.DidAt, &e.LoggedAt, &e.Device, &e.RuleBook,
		(*[]byte)(&e.Command))
	return e, err
}

// sealsWalk reports whether the command is the signature under a whole walkthrough.
func sealsWalk(c joblog.Command) bool { return c.SignOff != nil && c.RoomID == "" }

// seal closes the chain over the log through the signature, in the signature's transaction:
// either both are there or neither is.
func (sub *submission) seal(ctx context.Context, through int64) error {
	args := pgx.NamedArgs{"company": sub.company, "job": sub.command.JobID, "walk": sub.command.WalkID, "now": sub.now, "through": through}
	var (
		sealed bool
		after  int64
		last   []byte
		log    []seal.Entry
	)
	b := sub.batch()
	b.maybe(&sealed, lastSeal, args, &after, &last)
	if err := sub.send(ctx, b); err != nil {
		return err
	}
	before := seal.Start(sub.company, sub.command.JobID)
	if sealed {
		before = seal.Link(last)
	}
	args["after"], args["from"] = after, after+1
	b = sub.batch()
	list(b, &log, scanSealEntry, entriesToSeal, args)
	if err := sub.send(ctx, b); err != nil {
		return err
	}
	links, err := seal.Chain(before, log)
	if err != nil {
		return fault.Because(fault.Internal, "", err)
	}
	args["links"] = links
	b = sub.batch()
	b.exec(insertSeal, args)
	return sub.send(ctx, b)
}

const readSeal = `
	select
		substring(links from octet_length(links) - 31)
	from seals
	where company_id = @company
		and job_id = @job
		and walk_id = @walk`

// Seal returns the value of a walkthrough's seal in hexadecimal, empty while it has none. It
// is for whoever may see the walkthrough.
//
// Errors: invalid for an id that is no UUID; unavailable; internal.
func (s *Store) Seal(ctx context.Context, v account.Viewer, job, walk string) (value string, err error) {
	defer fault.In(&err, "reading the seal of walk", walk)
	if err := errors.Join(checkID("job", job), checkID("walkthrough", walk)); err != nil {
		return "", err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var there bool
		var last []byte
		b := w.batch()
		b.maybe(&there, readSeal, pgx.NamedArgs{"company": v.CompanyID, "job": job, "walk": walk}, &last)
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if there {
			value = seal.Link(last).String()
		}
		return nil
	})
	return value, err
}

// Verifying says which seals to check.
type Verifying struct {
	CompanyID string // empty: all, which only the tables' owner can list
	JobID     string // empty: every job of the company
}

// Sealed is one seal as it was checked.
type Sealed struct {
	CompanyID, JobID, WalkID string
	Through                  int64
	At                       time.Time
	Value                    string
	// Wrong names the entries that are not what was sealed. None and no Unsealed is right.
	Wrong []seal.Wrong
	// Unsealed says that the log has the signature and there is no seal to it.
	Unsealed bool
}

// Right reports whether everything is as it was sealed.
func (s Sealed) Right() bool { return len(s.Wrong) == 0 && !s.Unsealed }

const sealsOfJob = `
	select
		walk_id,
		from_seq,
		through_seq,
		links,
		sealed_at
	from seals
	where company_id = @company
		and job_id = @job
	order by through_seq`

const signaturesOfJob = `
	select
		e.seq,
		e.command ->> 'walk_id',
		e.logged_at
	from entries e
	where e.company_id = @company
		and e.job_id = @job
		and e.kind = 'sign_off'
		and e.room_id is null
		and not exists (
			select
			from seals s
			where s.company_id = e.company_id
				and s.job_id = e.job_id
				and s.through_seq = e.seq
		)
	order by e.seq`

type sealRow struct {
	WalkID        string
	From, Through int64
	Links         []byte
	At            time.Time
}

// Verify checks seals against the log, each against every entry it covers. It changes
// nothing. It is for the program's owner, not for a viewer.
//
// Errors: as Rebuild.
func (s *Store) Verify(ctx context.Context, which Verifying) (out []Sealed, err error) {
	defer fault.In(&err, "verifying")
	companies := []string{which.CompanyID}
	if which.CompanyID == "" {
		companies, err = s.allCompanies(ctx)
	} else {
		err = checkID("company", which.CompanyID)
	}
	if err != nil {
		return nil, err
	}
	if which.JobID != "" {
		if err := checkID("job", which.JobID); err != nil {
			return nil, err
		}
	}
	for _, company := range companies {
		err := s.inCompany(ctx, company, toRead, func(w *work) error {
			jobs := []string{which.JobID}
			if which.JobID == "" {
				b := w.batch()
				list(b, &jobs, pgx.RowTo[string], jobIDs, pgx.NamedArgs{"company": company})
				if err := w.send(ctx, b); err != nil {
					return err
				}
			}
			for _, job := range jobs {
				found, err := w.verifyJob(ctx, job)
				if err != nil {
					return fmt.Errorf("job %s: %w", job, err)
				}
				out = append(out, found...)
			}
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("company %s: %w", company, err)
		}
	}
	return out, nil
}

func (w *work) verifyJob(ctx context.Context, job string) ([]Sealed, error) {
	args := pgx.NamedArgs{"company": w.company, "job": job}
	var rows []sealRow
	var out []Sealed
	b := w.batch()
	list(b, &rows, func(r pgx.CollectableRow) (s sealRow, err error) {
		return s, r.Scan(&s.WalkID, &s.From, &s.Through, &s.Links, &s.At)
	}, sealsOfJob, args)
	list(b, &out, func(r pgx.CollectableRow) (s Sealed, err error) {
		s = Sealed{CompanyID: w.company, JobID: job, Unsealed: true}
		return s, r.Scan(&s.Through, &s.WalkID, &s.At)
	}, signaturesOfJob, args)
	if err := w.send(ctx, b); err != nil {
		return nil, err
	}
	before, next := seal.Start(w.company, job), int64(1)
	for _, r := range rows {
		var log []seal.Entry
		args["after"], args["through"] = r.From-1, r.Through
		b := w.batch()
		list(b, &log, scanSealEntry, entriesToSeal, args)
		if err := w.send(ctx, b); err != nil {
			return nil, err
		}
		wrong, err := seal.Check(before, r.From, r.Links, log)
		if err != nil {
			return nil, fault.Because(fault.Internal, "", err)
		}
		// A seal between that was taken away leaves entries that nothing covers.
		for seq := next; seq < r.From; seq++ {
			wrong = append(wrong, seal.Wrong{Seq: seq, Missing: true})
		}
		before, next = seal.Last(r.Links), r.Through+1
		out = append(out, Sealed{CompanyID: w.company, JobID: job, WalkID: r.WalkID, Through: r.Through, At: r.At, Value: before.String(), Wrong: wrong})
	}
	return out, nil
}
