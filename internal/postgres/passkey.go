package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

const insertPasskey = `
	insert into passkeys (
		company_id,
		passkey_id,
		credential_id,
		person_id,
		name,
		credential,
		created_at
	)
	values (
		@company,
		@passkey,
		@credential_id,
		@person,
		@name,
		@credential,
		@now
	)`

func (w *work) insertPasskey(b *batch, k account.Passkey) error {
	id, err := k.CredentialID()
	if err != nil {
		return err
	}
	b.exec(insertPasskey, pgx.NamedArgs{"company": w.company, "passkey": k.ID, "credential_id": id, "person": k.PersonID,
		"name": k.Name, "credential": []byte(k.Credential), "now": w.now})
	return nil
}

// AddPasskey gives the viewer another passkey.
//
// Errors: conflict when it is there already; unavailable; internal.
func (s *Store) AddPasskey(ctx context.Context, v account.Viewer, k account.Passkey) (err error) {
	defer fault.In(&err, "adding a passkey")
	k.PersonID = v.PersonID
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		if err := w.insertPasskey(b, k); err != nil {
			return err
		}
		b.commit()
		return w.send(ctx, b)
	})
}

const dropPasskey = `
	delete from passkeys
	where company_id = @company
		and person_id = @person
		and passkey_id = @passkey
	returning passkey_id`

const hasOtherWayIn = `
	select exists (
		select
		from people
		where company_id = @company
			and person_id = @person
			and passphrase_hash is not null
	) or exists (
		select
		from passkeys
		where company_id = @company
			and person_id = @person
	)`

// RemovePasskey ends a passkey. Their own, or for who manages them; the last way a person
// has of signing in stays, unless who manages them takes it.
//
// Errors: forbidden; conflict; not_found; unavailable; internal.
func (s *Store) RemovePasskey(ctx context.Context, v account.Viewer, person, passkey string) (err error) {
	defer fault.In(&err, "removing passkey", passkey, "of", person)
	if err := checkIDsOf("person", person, "passkey", passkey); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		if err := w.mayManage(ctx, v, person, true); err != nil {
			return err
		}
		args := pgx.NamedArgs{"company": v.CompanyID, "person": person, "passkey": passkey}
		var (
			gone  string
			other bool
		)
		b := w.batch()
		b.one(errNotThere("passkey"), dropPasskey, args, &gone)
		b.one(nil, hasOtherWayIn, args, &other)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if !other && v.PersonID == person {
			return fault.New(fault.Conflict, "That is the only way you have of signing in. Make another passkey first.")
		}
		return nil
	})
}

const findPasskey = `
	select
		company_id,
		person_id,
		name,
		sign_in,
		role,
		language,
		unit,
		fine,
		passkey_id,
		credential
	from passkey_find(@credential_id)`

// FindPasskey returns the passkey a device calls so, with its person: before anyone is known.
//
// Errors: not_found; unavailable; internal.
func (s *Store) FindPasskey(ctx context.Context, credentialID string) (p account.Person, k account.Passkey, err error) {
	defer fault.In(&err, "finding a passkey")
	err = s.ask(ctx, findPasskey, pgx.NamedArgs{"credential_id": credentialID},
		append(personColumns(&p), &k.ID, (*[]byte)(&k.Credential))...)
	if errors.Is(err, pgx.ErrNoRows) {
		return p, k, errNotThere("passkey")
	}
	k.PersonID = p.ID
	return p, k, translate(err)
}

const usePasskey = `
	update passkeys
	set
		credential = @credential,
		last_used_at = @now
	where company_id = @company
		and passkey_id = @passkey`

// UsedPasskey keeps what a passkey's use changed: its counter, and when it was.
//
// Errors: unavailable; internal.
func (s *Store) UsedPasskey(ctx context.Context, p account.Person, k account.Passkey) (err error) {
	defer fault.In(&err, "keeping a passkey's use")
	return s.inCompany(ctx, p.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(usePasskey, pgx.NamedArgs{"company": p.CompanyID, "passkey": k.ID, "credential": []byte(k.Credential), "now": w.now})
		b.commit()
		return w.send(ctx, b)
	})
}

const (
	keepCeremony = `select ceremony_keep(@secret, @asked, @until)`
	takeCeremony = `select ceremony_take(@secret, @now)`
)

// KeepCeremony keeps what a device was asked, under the hash of a secret that the asker has,
// for as long as an answer may take.
//
// Errors: unavailable; internal.
func (s *Store) KeepCeremony(ctx context.Context, secretHash string, asked account.Asked, lasts time.Duration) (err error) {
	defer fault.In(&err, "keeping a ceremony")
	b, err := encode("a ceremony", asked)
	if err != nil {
		return err
	}
	err = s.ask(ctx, keepCeremony, pgx.NamedArgs{"secret": secretHash, "asked": b, "until": s.now().Add(lasts)})
	return translate(err)
}

// TakeCeremony returns what was asked, once.
//
// Errors: not_found, also after its time; unavailable; internal.
func (s *Store) TakeCeremony(ctx context.Context, secretHash string) (asked account.Asked, err error) {
	defer fault.In(&err, "taking a ceremony")
	var b []byte
	if err := s.ask(ctx, takeCeremony, pgx.NamedArgs{"secret": secretHash, "now": s.now()}, &b); err != nil {
		return asked, translate(err)
	}
	if b == nil {
		return asked, errNotThere("ceremony")
	}
	return asked, decode("a ceremony", b, &asked)
}
