package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
)

const insertGuest = `
	insert into people (
		company_id,
		person_id,
		name,
		role,
		language,
		unit,
		created_at
	)
	values (
		@company,
		@person,
		@name,
		'guest',
		@language,
		@unit,
		@now
	)
	on conflict on constraint people_pkey do nothing`

// AddGuest adds a homeowner to the viewer's company: somebody the log can name, who cannot
// sign in. The same id again changes nothing. Leads only.
//
// Errors: forbidden; invalid for an id, name, language or unit that cannot be; unavailable;
// internal.
func (s *Store) AddGuest(ctx context.Context, v account.Viewer, g account.Person) (err error) {
	defer fault.In(&err, "adding guest", g.ID)
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("person", g.ID); err != nil {
		return err
	}
	if g.Name, err = account.Name(g.Name); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(insertGuest, guestArgs(w, g))
		b.commit()
		return w.send(ctx, b)
	})
}

func guestArgs(w *work, g account.Person) pgx.NamedArgs {
	return pgx.NamedArgs{
		"company":  w.company,
		"person":   g.ID,
		"name":     g.Name,
		"language": g.Language,
		"unit":     string(g.Unit),
		"now":      w.now,
	}
}

func (s *Store) leadOfWalk(v account.Viewer, job, walk string) error {
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("job", job); err != nil {
		return err
	}
	return checkID("walkthrough", walk)
}

const findLink = `
	select
		company_id,
		job_id,
		walk_id,
		guest_id,
		coalesce(passphrase_hash, '')
	from walk_link_find(@token, @now)`

// FindLink returns what a link opens and the hash of its passphrase, empty for none: before
// anyone is known.
//
// Errors: not_found, also for a link that has ended; unavailable; internal.
func (s *Store) FindLink(ctx context.Context, tokenHash string) (l account.Link, passphraseHash string, err error) {
	defer fault.In(&err, "finding a link")
	err = s.ask(ctx, findLink, pgx.NamedArgs{"token": tokenHash, "now": s.now()},
		&l.CompanyID, &l.JobID, &l.WalkID, &l.GuestID, &passphraseHash)
	return l, passphraseHash, foundLink(err)
}

const findKey = `
	select
		company_id,
		job_id,
		walk_id,
		guest_id
	from walk_key_find(@key, @now)`

// FindKey returns what a key opens.
//
// Errors: not_found, also for a key whose link has ended; unavailable; internal.
func (s *Store) FindKey(ctx context.Context, keyHash string) (l account.Link, err error) {
	defer fault.In(&err, "finding a key")
	err = s.ask(ctx, findKey, pgx.NamedArgs{"key": keyHash, "now": s.now()},
		&l.CompanyID, &l.JobID, &l.WalkID, &l.GuestID)
	return l, foundLink(err)
}

func foundLink(err error) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return errNotThere("walkthrough")
	}
	return translate(err)
}

const insertKey = `
	insert into walk_keys (
		company_id,
		key_hash,
		token_hash,
		created_at
	)
	values (
		@company,
		@key,
		@token,
		@now
	)`

// AddKey keeps a key given for a link.
//
// Errors: not_found when the link is gone; unavailable; internal.
func (s *Store) AddKey(ctx context.Context, l account.Link, tokenHash, keyHash string) (err error) {
	defer fault.In(&err, "keeping a key")
	return s.inCompany(ctx, l.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(insertKey, pgx.NamedArgs{"company": l.CompanyID, "key": keyHash, "token": tokenHash, "now": w.now})
		b.commit()
		return w.send(ctx, b)
	})
}

const readGuest = `
	select
		company_id,
		person_id,
		name,
		coalesce(sign_in, ''),
		role,
		language,
		unit,
		fine
	from people
	where company_id = @company
		and person_id = @person`

// Guest returns the guest a link is for.
//
// Errors: not_found; unavailable; internal.
func (s *Store) Guest(ctx context.Context, l account.Link) (p account.Person, err error) {
	defer fault.In(&err, "reading guest", l.GuestID)
	err = s.inCompany(ctx, l.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		b.one(errNotThere("person"), readGuest, pgx.NamedArgs{"company": l.CompanyID, "person": l.GuestID}, personColumns(&p)...)
		b.commit()
		return w.send(ctx, b)
	})
	return p, err
}

// WalkJob returns the whole job a link is about, for the view the guest is shown: it is the
// view that leaves out what is not theirs.
//
// Errors: not_found when the job is gone; unavailable; internal.
func (s *Store) WalkJob(ctx context.Context, l account.Link) (*JobState, error) {
	return s.Job(ctx, account.Viewer{CompanyID: l.CompanyID, PersonID: l.GuestID, Role: joblog.Lead}, l.JobID)
}

const walksOfJob = `
	select
		walk_id,
		guest_id,
		state
	from walks
	where company_id = @company
		and job_id = @job`

const upsertWalks = `
	insert into walks (
		company_id,
		job_id,
		walk_id,
		guest_id,
		state
	)
	select
		@company,
		@job,
		r.walk_id,
		r.guest_id,
		r.state
	from jsonb_to_recordset(@rows::jsonb) as r (
		walk_id uuid,
		guest_id uuid,
		state jsonb
	)
	on conflict on constraint walks_pkey do update
	set guest_id = excluded.guest_id,
		state = excluded.state`

const deleteWalks = `
	delete from walks t
	using jsonb_to_recordset(@rows::jsonb) as r (walk_id uuid)
	where t.company_id = @company
		and t.job_id = @job
		and t.walk_id = r.walk_id`

func scanWalkRow(rows pgx.CollectableRow) (walkRow, error) {
	var r walkRow
	err := rows.Scan(
		&r.WalkID,
		&r.GuestID,
		(*[]byte)(&r.State),
	)
	return r, err
}

func scanWalk(rows pgx.CollectableRow) (*joblog.Walk, error) {
	r, err := scanWalkRow(rows)
	if err != nil {
		return nil, err
	}
	var x *joblog.Walk
	return x, decode("a walkthrough", r.State, &x)
}
