package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/message"
)

const insertInvite = `
	insert into invites (
		company_id,
		invite_id,
		token_hash,
		person_id,
		role,
		name,
		language,
		invited_by,
		created_at,
		expires_at
	)
	values (
		@company,
		@invite,
		@token,
		@person,
		@role,
		@name,
		@language,
		@by,
		@now,
		@expires
	)`

const endInvitesFor = `
	update invites
	set ended_at = @now
	where company_id = @company
		and person_id = @person
		and used_at is null
		and ended_at is null`

const overtakeInvitesFor = `
	update messages
	set state = 'overtaken',
		says = '{}',
		settled_at = @now
	where company_id = @company
		and kind = 'invite'
		and state in ('waiting', 'failed')
		and about_id in (
			select i.invite_id
			from invites i
			where i.company_id = @company
				and i.person_id = @person
				and i.used_at is null
				and i.ended_at is null
		)`

const readMember = `
	select
		company_id,
		person_id,
		name,
		sign_in,
		role,
		language,
		unit,
		fine,
		left_at is not null
	from people
	where company_id = @company
		and person_id = @person
		and role <> 'guest'`

// MakeInvite keeps an invitation under its token's hash. For somebody who is there, i.PersonID,
// role and name are theirs, and it ends the one they had. Leads only, and to no more than they are.
//
// Errors: forbidden; invalid; not_found for the person; unavailable; internal.
func (s *Store) MakeInvite(ctx context.Context, v account.Viewer, i account.Invite, tokenHash string) (made account.Invite, err error) {
	defer fault.In(&err, "making an invitation")
	if !v.Role.Leads() {
		return i, errLeadsOnly()
	}
	if err := checkID("invitation", i.ID); err != nil {
		return i, err
	}
	if i.PersonID != "" {
		if err := checkID("person", i.PersonID); err != nil {
			return i, err
		}
	} else if !account.Manages(v.Role, i.Role) {
		return i, fault.New(fault.Forbidden, "Nobody can give a role above their own.")
	}
	if i.PersonID == "" && i.Name != "" {
		if i.Name, err = account.Name(i.Name); err != nil {
			return i, err
		}
	}
	err = s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": v.CompanyID, "person": orNull(i.PersonID), "now": w.now}
		if i.PersonID != "" {
			if err := w.mayManage(ctx, v, i.PersonID, false); err != nil {
				return err
			}
			var m account.Member
			b := w.batch()
			b.one(errNotThere("person"), readMember, args, append(personColumns(&m.Person), &m.Left)...)
			b.exec(overtakeInvitesFor, args)
			b.exec(endInvitesFor, args)
			if err := w.send(ctx, b); err != nil {
				return err
			}
			i.Role, i.Name, i.Language = m.Role, m.Name, m.Language
		}
		b := w.batch()
		args["invite"], args["token"], args["role"], args["name"] = i.ID, tokenHash, string(i.Role), i.Name
		args["language"], args["by"], args["expires"] = i.Language, v.PersonID, i.ExpiresAt.UTC()
		b.exec(insertInvite, args)
		s.tellOfInvite(w, b, i)
		return w.send(ctx, b)
	})
	return i, err
}

const listInvites = `
	select
		invite_id,
		company_id,
		coalesce(person_id::text, ''),
		role,
		name,
		language,
		invited_by,
		created_at,
		expires_at
	from invites
	where company_id = @company
		and used_at is null
		and ended_at is null
		and expires_at > @now
	order by created_at desc, invite_id`

// Invites lists the invitations that can still be used, the newest first. Leads only.
//
// Errors: forbidden; unavailable; internal.
func (s *Store) Invites(ctx context.Context, v account.Viewer) (out []account.Invite, err error) {
	defer fault.In(&err, "listing invitations")
	if !v.Role.Leads() {
		return nil, errLeadsOnly()
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanInvite, listInvites, pgx.NamedArgs{"company": v.CompanyID, "now": w.now})
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

func scanInvite(rows pgx.CollectableRow) (account.Invite, error) {
	var i account.Invite
	err := rows.Scan(&i.ID, &i.CompanyID, &i.PersonID, &i.Role, &i.Name, &i.Language, &i.InvitedBy, &i.CreatedAt, &i.ExpiresAt)
	return i, err
}

const endInvite = `
	update invites
	set ended_at = @now
	where company_id = @company
		and invite_id = @invite
		and used_at is null
		and ended_at is null
	returning invite_id`

// EndInvite takes an invitation back. Leads only.
//
// Errors: forbidden; not_found, also for one that was used; unavailable; internal.
func (s *Store) EndInvite(ctx context.Context, v account.Viewer, invite string) (err error) {
	defer fault.In(&err, "ending invitation", invite)
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("invitation", invite); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		var ended string
		b := w.batch()
		b.one(errNotThere("invitation"), endInvite, pgx.NamedArgs{"company": v.CompanyID, "invite": invite, "now": w.now}, &ended)
		w.overtake(b, message.Invite, invite)
		return w.send(ctx, b)
	})
}

const findInvite = `
	select
		company_id,
		invite_id,
		coalesce(person_id::text, ''),
		role,
		name,
		language,
		company_name,
		invited_by,
		expires_at,
		used,
		ended
	from invite_find(@token)`

// FindInvite returns the invitation with that token's hash, as it is: before anyone is known.
// Whether it may still be used is in what it returns.
//
// Errors: not_found; unavailable; internal.
func (s *Store) FindInvite(ctx context.Context, tokenHash string) (i account.Welcome, err error) {
	defer fault.In(&err, "finding an invitation")
	err = s.ask(ctx, findInvite, pgx.NamedArgs{"token": tokenHash}, &i.CompanyID, &i.ID, &i.PersonID, &i.Role, &i.Name,
		&i.Language, &i.CompanyName, &i.InvitedByName, &i.ExpiresAt, &i.Used, &i.Ended)
	if errors.Is(err, pgx.ErrNoRows) {
		return i, errNotThere("invitation")
	}
	return i, translate(err)
}

// stillManages holds for an invitation that who made it could make today (account.Manages). For
// somebody who is there it goes by what they are now, and not by what they were then.
const stillManages = `exists (
			select
			from people maker
			left join people whom
				on whom.company_id = invites.company_id
				and whom.person_id = invites.person_id
			where maker.company_id = invites.company_id
				and maker.person_id = invites.invited_by
				and maker.left_at is null
				and (
					maker.role = 'owner'
					or maker.role = 'lead' and coalesce(whom.role, invites.role) <> 'owner'
				)
		)`

const useInvite = `
	update invites
	set
		used_at = @now,
		used_by = @person
	where company_id = @company
		and invite_id = @invite
		and used_at is null
		and ended_at is null
		and expires_at > @now
		and ` + stillManages + `
	returning invite_id`

const comeBack = `
	update people
	set
		passphrase_hash = coalesce(@passphrase_hash, passphrase_hash),
		left_at = null
	where company_id = @company
		and person_id = @person
	returning person_id`

// UseInvite joins the company by an invitation, once: as a new person, or as the one it is
// for, who is signed out everywhere else. passphraseHash or key may be empty, not both.
//
// Errors: conflict when the invitation was used, has ended, run out or become more than who made
// it may give meanwhile, and when
// the sign-in name is taken; invalid; unavailable; internal.
func (s *Store) UseInvite(ctx context.Context, i account.Invite, p account.Person, passphraseHash string, key *account.Passkey) (err error) {
	defer fault.In(&err, "using invitation", i.ID)
	if p, err = written(p); err != nil {
		return err
	}
	return s.inCompany(ctx, i.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": i.CompanyID, "invite": i.ID, "person": p.ID, "passphrase_hash": orNull(passphraseHash),
			"but": "", "now": w.now}
		var done string
		b := w.batch()
		if i.PersonID == "" {
			w.insertPerson(b, p, passphraseHash)
		} else {
			b.one(errNotThere("person"), comeBack, args, &done)
			b.exec(endSessionsBut, args)
		}
		b.one(fault.New(fault.Conflict, "This invitation was used or taken back meanwhile. Ask for a new one."), useInvite, args, &done)
		if key != nil {
			if err := w.insertPasskey(b, *key); err != nil {
				return err
			}
		}
		return w.send(ctx, b)
	})
}
