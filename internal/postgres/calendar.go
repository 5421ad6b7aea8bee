package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

const endCalendarLinks = `
	update calendar_links
	set ended_at = @now
	where company_id = @company
		and person_id = @person
		and ended_at is null`

const insertCalendarLink = `
	insert into calendar_links (
		company_id,
		token_hash,
		person_id,
		zone,
		created_at
	)
	values (
		@company,
		@token,
		@person,
		@zone,
		@now
	)`

// MakeCalendarLink gives the viewer a link to their own days and ends the one they had. An
// empty hash ends it and makes none.
//
// Errors: unavailable; internal.
func (s *Store) MakeCalendarLink(ctx context.Context, v account.Viewer, tokenHash, zone string) (err error) {
	defer fault.In(&err, "making a calendar link for", v.PersonID)
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": w.company, "person": v.PersonID, "token": tokenHash, "zone": zone, "now": w.now}
		b := w.batch()
		b.exec(endCalendarLinks, args)
		if tokenHash != "" {
			b.exec(insertCalendarLink, args)
		}
		return w.send(ctx, b)
	})
}

const findCalendarLink = `
	select
		company_id,
		person_id,
		zone
	from calendar_link_find(@token)`

// CalendarOf returns whose days a link opens, and the time zone they are in.
//
// Errors: not_found, also for a link that has ended; unavailable; internal.
func (s *Store) CalendarOf(ctx context.Context, tokenHash string) (p account.Person, zone string, err error) {
	defer fault.In(&err, "finding a calendar link")
	var company, person string
	err = s.ask(ctx, findCalendarLink, pgx.NamedArgs{"token": tokenHash}, &company, &person, &zone)
	if errors.Is(err, pgx.ErrNoRows) {
		return p, "", errNotThere("calendar")
	}
	if err != nil {
		return p, "", translate(err)
	}
	p, err = s.Guest(ctx, account.Link{CompanyID: company, GuestID: person})
	return p, zone, err
}
