package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
)

const readRole = `
	select role
	from people
	where company_id = @company
		and person_id = @person
		and role <> 'guest'`

// mayManage says whether the viewer may look after that person's role, sessions and
// passkeys: their own, and those of whom they manage. It is a round trip of its own, so that
// what follows is not sent at all.
func (w *work) mayManage(ctx context.Context, v account.Viewer, person string, self bool) error {
	var role joblog.Role
	b := w.batch()
	b.one(errNotThere("person"), readRole, pgx.NamedArgs{"company": w.company, "person": person}, &role)
	if err := w.send(ctx, b); err != nil {
		return err
	}
	if self && v.PersonID == person {
		return nil
	}
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if !account.Manages(v.Role, role) {
		return fault.New(fault.Forbidden, "Only an owner may do that to an owner.")
	}
	return nil
}

const listSessions = `
	select
		session_id,
		coalesce(device_id::text, ''),
		device_name,
		created_at,
		last_seen_at,
		token_hash
	from sessions
	where company_id = @company
		and person_id = @person
		and ended_at is null
		and expires_at > @now
	order by last_seen_at desc, session_id`

const listPasskeys = `
	select
		passkey_id,
		person_id,
		name,
		credential,
		created_at,
		last_used_at
	from passkeys
	where company_id = @company
		and person_id = @person
	order by created_at, passkey_id`

func scanPasskey(rows pgx.CollectableRow) (account.Passkey, error) {
	var k account.Passkey
	err := rows.Scan(&k.ID, &k.PersonID, &k.Name, (*[]byte)(&k.Credential), &k.CreatedAt, &k.LastUsedAt)
	return k, err
}

func scanSession(rows pgx.CollectableRow) (account.Session, error) {
	var s account.Session
	err := rows.Scan(&s.ID, &s.DeviceID, &s.DeviceName, &s.CreatedAt, &s.LastSeenAt, &s.TokenHash)
	return s, err
}

// Access is where a person is signed in, the latest first, and the passkeys they sign in
// with. Their own, or for who manages them.
//
// Errors: forbidden; not_found; unavailable; internal.
func (s *Store) Access(ctx context.Context, v account.Viewer, person string) (sessions []account.Session, keys []account.Passkey, err error) {
	defer fault.In(&err, "reading where", person, "is signed in")
	if err := checkID("person", person); err != nil {
		return nil, nil, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		if err := w.mayManage(ctx, v, person, true); err != nil {
			return err
		}
		args := pgx.NamedArgs{"company": v.CompanyID, "person": person, "now": w.now}
		b := w.batch()
		list(b, &sessions, scanSession, listSessions, args)
		list(b, &keys, scanPasskey, listPasskeys, args)
		b.commit()
		return w.send(ctx, b)
	})
	return sessions, keys, err
}

const endOneSession = `
	update sessions
	set ended_at = @now
	where company_id = @company
		and person_id = @person
		and session_id = @session
		and ended_at is null
	returning session_id`

// EndSession signs a person out on one device. Their own, or for who manages them.
//
// Errors: forbidden; not_found, also for one that has ended; unavailable; internal.
func (s *Store) EndSession(ctx context.Context, v account.Viewer, person, session string) (err error) {
	defer fault.In(&err, "ending session", session, "of", person)
	if err := checkIDsOf("person", person, "session", session); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		if err := w.mayManage(ctx, v, person, true); err != nil {
			return err
		}
		var ended string
		b := w.batch()
		b.one(errNotThere("session"), endOneSession,
			pgx.NamedArgs{"company": v.CompanyID, "person": person, "session": session, "now": w.now}, &ended)
		return w.send(ctx, b)
	})
}

const endSessionsBut = `
	update sessions
	set ended_at = @now
	where company_id = @company
		and person_id = @person
		and token_hash <> @but
		and ended_at is null`

const setPassphrase = `
	update people
	set passphrase_hash = @hash
	where company_id = @company
		and person_id = @person
		and role <> 'guest'
	returning person_id`

// SetPassphrase gives a person another passphrase, by its hash, and signs them out
// everywhere but where butToken is the session's token hash. The caller sees to it who asks.
//
// Errors: not_found; unavailable; internal.
func (s *Store) SetPassphrase(ctx context.Context, company, person, hash, butToken string) (err error) {
	defer fault.In(&err, "setting the passphrase of", person)
	return s.inCompany(ctx, company, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": company, "person": person, "hash": hash, "but": butToken, "now": w.now}
		var set string
		b := w.batch()
		b.one(errNotThere("person"), setPassphrase, args, &set)
		b.exec(endSessionsBut, args)
		return w.send(ctx, b)
	})
}

const setRole = `
	update people
	set role = @role
	where company_id = @company
		and person_id = @person
		and left_at is null
	returning person_id`

const countLeads = `
	select count(*)
	from people
	where company_id = @company
		and role in ('owner', 'lead')
		and left_at is null`

// endInvitesBeyond ends what nobody could make as things stand: the person's own invitations
// to what is above them now, and those for them of who may no longer manage them.
const endInvitesBeyond = `
	update invites
	set ended_at = @now
	where company_id = @company
		and @person in (invited_by, person_id)
		and used_at is null
		and ended_at is null
		and not ` + stillManages

// SetRole makes somebody a lead, an installer or an owner, and ends the invitations that are
// beyond who made them from then on. Leads only, for whom they manage, and to no more than they
// are; never themselves.
//
// Errors: forbidden; conflict when nobody would lead; not_found; unavailable; internal.
func (s *Store) SetRole(ctx context.Context, v account.Viewer, person string, role joblog.Role) (err error) {
	defer fault.In(&err, "setting the role of", person)
	if !account.Manages(v.Role, role) {
		return fault.New(fault.Forbidden, "Nobody can give a role above their own.")
	}
	return s.changeLeads(ctx, v, person, func(b *batch, args pgx.NamedArgs) {
		args["role"] = string(role)
		var set string
		b.one(errNotThere("person"), setRole, args, &set)
		b.exec(endInvitesBeyond, args)
		b.exec(overtakeEndedInvites, args)
	})
}

const leave = `
	update people
	set left_at = @now
	where company_id = @company
		and person_id = @person
		and left_at is null
	returning person_id`

const endInvitesOf = `
	update invites
	set ended_at = @now
	where company_id = @company
		and @person in (invited_by, person_id)
		and used_at is null
		and ended_at is null`

// overtakeEndedInvites keeps back the e-mails of invitations that ended in this transaction.
const overtakeEndedInvites = `
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
				and i.ended_at = @now
		)`

const dropPasskeys = `
	delete from passkeys
	where company_id = @company
		and person_id = @person`

// RemovePerson takes somebody out of the company: signed out everywhere, their passkeys and
// the invitations they made ended. The log keeps their name. Leads only, for whom they
// manage; never themselves.
//
// Errors: forbidden; conflict when nobody would lead; not_found, also for who has left;
// unavailable; internal.
func (s *Store) RemovePerson(ctx context.Context, v account.Viewer, person string) (err error) {
	defer fault.In(&err, "removing", person)
	return s.changeLeads(ctx, v, person, func(b *batch, args pgx.NamedArgs) {
		args["but"] = ""
		var gone string
		b.one(errNotThere("person"), leave, args, &gone)
		b.exec(endSessionsBut, args)
		b.exec(dropPasskeys, args)
		b.exec(endInvitesOf, args)
		b.exec(overtakeEndedInvites, args)
	})
}

func (s *Store) changeLeads(ctx context.Context, v account.Viewer, person string, change func(*batch, pgx.NamedArgs)) error {
	if err := checkID("person", person); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": v.CompanyID, "person": person, "now": w.now}
		b := w.batch()
		b.exec(lockCompany, args) // those who change who leads take turns
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if err := w.mayManage(ctx, v, person, false); err != nil {
			return err
		}
		if v.PersonID == person {
			return fault.New(fault.Forbidden, "Somebody else who leads has to do that for you.")
		}
		var leads int
		b = w.batch()
		change(b, args)
		b.one(nil, countLeads, args, &leads)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if leads == 0 {
			return fault.New(fault.Conflict, "A company needs somebody who leads.")
		}
		return nil
	})
}

func checkIDsOf(pairs ...string) error {
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := checkID(pairs[i], pairs[i+1]); err != nil {
			return err
		}
	}
	return nil
}
