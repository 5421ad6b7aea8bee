package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/message"
)

const endLinks = `
	update walk_links
	set ended_at = @now
	where company_id = @company
		and job_id = @job
		and walk_id = @walk
		and ended_at is null`

const insertLink = `
	insert into walk_links (
		company_id,
		token_hash,
		job_id,
		walk_id,
		guest_id,
		passphrase_hash,
		created_at,
		expires_at
	)
	select
		@company,
		@token,
		w.job_id,
		w.walk_id,
		w.guest_id,
		@passphrase_hash,
		@now,
		@expires
	from walks w
	where w.company_id = @company
		and w.job_id = @job
		and w.walk_id = @walk
	returning token_hash`

// OpenWalk opens a walkthrough: guest, entry and link, all or none, and has the homeowner told where an address is known.
// c is its command. What the rules refuse is returned and not kept. A walk that is there already by such a request has only
// one more link, beside the one that nobody may have seen; nobody is told twice, and the outcome is marked Repeated. ends is
// when the link ends. Leads only.
//
// Errors: forbidden; invalid for an id, name, language or unit that cannot be; not_found for the job; conflict for a walk
// that was opened by another request; unavailable; internal.
func (s *Store) OpenWalk(ctx context.Context, v account.Viewer, g account.Person, c joblog.Command, l account.NewLink) (out joblog.Outcome, ends time.Time, err error) {
	defer fault.In(&err, "opening walk", c.WalkID, "job", c.JobID)
	if err := s.leadOfWalk(v, c.JobID, c.WalkID); err != nil {
		return out, ends, err
	}
	if err := checkIDs(c); err != nil {
		return out, ends, err
	}
	if g.Name, err = account.Name(g.Name); err != nil {
		return out, ends, err
	}
	l.JobID, l.WalkID = c.JobID, c.WalkID
	err = s.triedInCompany(ctx, v.CompanyID, func(w *work) error {
		sub := &submission{work: w, store: s, viewer: v, command: c, didAt: didAt(c.At, time.Time{}, w.now)}
		if _, err := sub.load(ctx); err != nil {
			return err
		}
		if sub.scope.Job == nil {
			return errNotThere("job")
		}
		if there := sub.scope.Walk; there != nil {
			l.ExpiresAt, ends = there.ExpiresAt, there.ExpiresAt
			out = joblog.Outcome{CommandID: there.Opened.CommandID, Applied: true, Repeated: true, FirstSeq: there.Opened.Seq, LastSeq: there.Opened.Seq}
			return w.linkAgain(ctx, there, g, c, l)
		}
		d := joblog.Decide(sub.scope, c, v.Actor(), sub.didAt, w.now)
		out, ends = joblog.Outcome{CommandID: c.ID, Applied: !d.Refused, Findings: d.Findings}, l.ExpiresAt
		if d.Refused {
			return nil
		}
		out.FirstSeq, out.LastSeq = sub.nextSeq, sub.nextSeq
		b := w.batch()
		b.exec(insertGuest, guestArgs(w, g))
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if b, err = sub.append(ctx, d, out); err != nil {
			return err
		}
		b.exec(insertLink, linkArgs(w, l))
		if err := s.tellOfLink(w, b, v, l); err != nil {
			return err
		}
		return w.send(ctx, b)
	})
	return out, ends, err
}

// linkAgain gives a walk one more link for the same request that opened it.
func (w *work) linkAgain(ctx context.Context, there *joblog.Walk, g account.Person, c joblog.Command, l account.NewLink) error {
	var was account.Person
	b := w.batch()
	b.one(errNotThere("person"), readGuest, pgx.NamedArgs{"company": w.company, "person": there.GuestID}, personColumns(&was)...)
	b.exec(insertLink, linkArgs(w, l))
	if err := w.send(ctx, b); err != nil {
		return err
	}
	if was.Name != g.Name || !slices.Equal(there.Rooms, c.OpenWalk.Rooms) {
		return fault.New(fault.Conflict, "Another walkthrough has that id already.")
	}
	return nil
}

// triedInCompany is inCompany for what takes a command beside other things: tried again where another stood in its way.
func (s *Store) triedInCompany(ctx context.Context, company string, do func(w *work) error) (err error) {
	for range submitTries {
		if err = s.inCompany(ctx, company, toWrite, do); !gaveWay(err) {
			break
		}
	}
	return err
}

func linkArgs(w *work, l account.NewLink) pgx.NamedArgs {
	return pgx.NamedArgs{
		"company":         w.company,
		"job":             l.JobID,
		"walk":            l.WalkID,
		"token":           l.TokenHash,
		"passphrase_hash": orNull(l.PassphraseHash),
		"now":             w.now,
		"expires":         l.ExpiresAt.UTC(),
	}
}

// MakeLink gives a walk a link, ends the one it had, and has the homeowner told where an address is known. A walk that
// would end before its link goes on as long (l.ExtendID), unless it was closed or signed: then there is only to be read.
// Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID; not_found for the walk; unavailable;
// internal.
func (s *Store) MakeLink(ctx context.Context, v account.Viewer, l account.NewLink) (err error) {
	defer fault.In(&err, "making a link to walk", l.WalkID)
	if err := s.leadOfWalk(v, l.JobID, l.WalkID); err != nil {
		return err
	}
	return s.triedInCompany(ctx, v.CompanyID, func(w *work) error {
		b, err := s.extendWalk(ctx, w, v, l)
		if err != nil {
			return err
		}
		var made string
		b.exec(endLinks, linkArgs(w, l))
		b.one(errNotThere("walkthrough"), insertLink, linkArgs(w, l), &made)
		if err := s.tellOfLink(w, b, v, l); err != nil {
			return err
		}
		return w.send(ctx, b)
	})
}

// extendWalk begins the batch that makes a link with the entry that moves the walk's day, where the rules let it be moved.
func (s *Store) extendWalk(ctx context.Context, w *work, v account.Viewer, l account.NewLink) (*batch, error) {
	if l.ExtendID == "" {
		return w.batch(), nil
	}
	c := joblog.Command{ID: l.ExtendID, Version: joblog.CommandVersion, Kind: joblog.ExtendWalkKind, JobID: l.JobID, WalkID: l.WalkID,
		At: didAt(w.now, time.Time{}, w.now), ExtendWalk: &joblog.ExtendWalk{ExpiresAt: l.ExpiresAt.UTC()}}
	if err := checkIDs(c); err != nil {
		return nil, err
	}
	sub := &submission{work: w, store: s, viewer: v, command: c, didAt: c.At}
	if _, err := sub.load(ctx); err != nil {
		return nil, err
	}
	d := joblog.Decide(sub.scope, c, v.Actor(), sub.didAt, w.now)
	if d.Refused {
		return w.batch(), nil
	}
	return sub.append(ctx, d, joblog.Outcome{CommandID: c.ID, Applied: true, FirstSeq: sub.nextSeq, LastSeq: sub.nextSeq})
}

const walkIsThere = `
	select walk_id
	from walks
	where company_id = @company
		and job_id = @job
		and walk_id = @walk`

// EndLinks ends a walk's link and whatever was opened with it. Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID; not_found for the walk; unavailable;
// internal.
func (s *Store) EndLinks(ctx context.Context, v account.Viewer, job, walk string) (err error) {
	defer fault.In(&err, "ending the links to walk", walk)
	if err := s.leadOfWalk(v, job, walk); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": v.CompanyID, "job": job, "walk": walk, "now": w.now}
		var there string
		b := w.batch()
		b.one(errNotThere("walkthrough"), walkIsThere, args, &there)
		b.exec(endLinks, args)
		w.overtake(b, message.WalkReady, walk)
		return w.send(ctx, b)
	})
}
