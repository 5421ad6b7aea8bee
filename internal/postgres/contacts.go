package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/message"
)

const readContacts = `
	select
		g.language,
		coalesce(theirs.email, ''),
		coalesce(own.email, '')
	from walks w
	join people g on (g.company_id, g.person_id) = (w.company_id, w.guest_id)
	left join walk_contacts theirs on (theirs.company_id, theirs.job_id, theirs.walk_id, theirs.person_id) = (w.company_id, w.job_id, w.walk_id, w.guest_id)
	left join walk_contacts own on (own.company_id, own.job_id, own.walk_id) = (w.company_id, w.job_id, w.walk_id) and own.person_id = @viewer
	where w.company_id = @company
		and w.job_id = @job
		and w.walk_id = @walk`

// Contacts returns who is told about a walk, of the leads the viewer alone. Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID; not_found; unavailable; internal.
func (s *Store) Contacts(ctx context.Context, v account.Viewer, job, walk string) (c account.Contacts, err error) {
	defer fault.In(&err, "reading who is told of walk", walk)
	if err := s.leadOfWalk(v, job, walk); err != nil {
		return c, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		b.one(errNotThere("walkthrough"), readContacts, pgx.NamedArgs{"company": w.company, "job": job, "walk": walk, "viewer": v.PersonID},
			&c.Language, &c.GuestEmail, &c.LeadEmail)
		b.commit()
		return w.send(ctx, b)
	})
	return c, err
}

const setGuestLanguage = `
	update people p
	set language = @language
	from walks w
	where w.company_id = @company
		and w.job_id = @job
		and w.walk_id = @walk
		and (p.company_id, p.person_id) = (w.company_id, w.guest_id)
		and p.role = 'guest'
	returning p.person_id`

const dropContact = `
	delete from walk_contacts c
	using walks w
	where w.company_id = @company
		and w.job_id = @job
		and w.walk_id = @walk
		and (c.company_id, c.job_id, c.walk_id) = (w.company_id, w.job_id, w.walk_id)
		and c.person_id = coalesce(@person, w.guest_id)`

// What has not got through goes to the new address; without one it is not sent any more. Only what was for the old one:
// another lead's stays theirs.
const readdress = `
	update messages
	set email = case when @email = '' then email else @email end,
		language = coalesce(@language, language),
		state = case when @email = '' then 'overtaken' when email <> @email then 'waiting' else state end,
		says = case when @email = '' then '{}' else says end,
		settled_at = case when @email = '' then @now when email <> @email then null else settled_at end,
		begun_at = case when email <> @email then @now else begun_at end,
		due_at = case when email <> @email then greatest(due_at, @now) else due_at end,
		tries = case when email <> @email then 0 else tries end
	where company_id = @company
		and about_id = @walk
		and kind = any (@kinds)
		and state in ('waiting', 'failed')
		and email = any (
			select c.email
			from walk_contacts c
			join walks w on (w.company_id, w.job_id, w.walk_id) = (c.company_id, c.job_id, c.walk_id)
			where c.company_id = @company
				and c.walk_id = @walk
				and c.person_id = coalesce(@person, w.guest_id)
		)`

// SetContacts changes who is told about a walk from now on; what has not got through goes to the new address. Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID; not_found; unavailable; internal.
func (s *Store) SetContacts(ctx context.Context, v account.Viewer, job, walk string, c account.Contacts) (err error) {
	defer fault.In(&err, "changing who is told of walk", walk)
	if err := s.leadOfWalk(v, job, walk); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		var guest string
		b := w.batch()
		b.one(errNotThere("walkthrough"), setGuestLanguage, pgx.NamedArgs{"company": w.company, "job": job, "walk": walk, "language": c.Language}, &guest)
		for _, one := range []struct {
			person   *string
			email    string
			language *string
			kinds    []string
		}{
			{nil, c.GuestEmail, &c.Language, []string{string(message.WalkReady), string(message.WalkFixed), string(message.WalkRecord)}},
			{&v.PersonID, c.LeadEmail, nil, []string{string(message.WalkSigned)}},
		} {
			args := pgx.NamedArgs{"company": w.company, "job": job, "walk": walk, "person": one.person, "email": one.email, "language": one.language,
				"kinds": one.kinds, "now": w.now}
			b.exec(readdress, args)
			if one.email == "" {
				b.exec(dropContact, args)
			} else {
				b.exec(keepContact, args)
			}
		}
		return w.send(ctx, b)
	})
}
