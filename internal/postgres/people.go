package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

const insertCompany = `
	insert into companies (
		company_id,
		name,
		created_at
	)
	values (
		@company,
		@name,
		@now
	)`

// CreateCompany adds a company, for whoever sets up the service; no viewer may.
//
// Errors: invalid for the id or the name; conflict when the id is taken; unavailable;
// internal.
func (s *Store) CreateCompany(ctx context.Context, c account.Company) (err error) {
	defer fault.In(&err, "creating company", c.ID)
	if err := checkID("company", c.ID); err != nil {
		return err
	}
	if c.Name, err = account.Name(c.Name); err != nil {
		return err
	}
	return s.inCompany(ctx, c.ID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(insertCompany, pgx.NamedArgs{"company": c.ID, "name": c.Name, "now": w.now})
		b.commit()
		return w.send(ctx, b)
	})
}

const insertPerson = `
	insert into people (
		company_id,
		person_id,
		name,
		sign_in,
		passphrase_hash,
		role,
		language,
		unit,
		fine,
		created_at
	)
	values (
		@company,
		@person,
		@name,
		@sign_in,
		@passphrase_hash,
		@role,
		@language,
		@unit,
		@fine,
		@now
	)`

func (w *work) insertPerson(b *batch, p account.Person, passphraseHash string) {
	b.exec(insertPerson, pgx.NamedArgs{
		"company":         p.CompanyID,
		"person":          p.ID,
		"name":            p.Name,
		"sign_in":         p.SignIn,
		"passphrase_hash": orNull(passphraseHash),
		"role":            string(p.Role),
		"language":        p.Language,
		"unit":            string(p.Unit),
		"fine":            p.Fine,
		"now":             w.now,
	})
}

// AddPerson adds someone to the company p.CompanyID, with the hash of the passphrase they
// sign in with (account.Hasher.Hash). Names are written as account.Name and SignInName write
// them.
// For whoever sets up the service; the caller sees to it that nobody else gets here.
//
// Errors: invalid for an id, name, sign-in name, role, language or unit that cannot be;
// conflict when the sign-in name or the id is taken; not_found for the company;
// unavailable; internal.
func (s *Store) AddPerson(ctx context.Context, p account.Person, passphraseHash string) (err error) {
	defer fault.In(&err, "adding person", p.ID, "to company", p.CompanyID)
	if err := checkID("company", p.CompanyID); err != nil {
		return err
	}
	if err := checkID("person", p.ID); err != nil {
		return err
	}
	if p, err = written(p); err != nil {
		return err
	}
	return s.inCompany(ctx, p.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		w.insertPerson(b, p, passphraseHash)
		b.commit()
		return w.send(ctx, b)
	})
}

// written is the person with both names as they are stored.
func written(p account.Person) (account.Person, error) {
	var err error
	if p.SignIn, err = account.SignInName(p.SignIn); err != nil {
		return p, err
	}
	p.Name, err = account.Name(p.Name)
	return p, err
}

const updateSettings = `
	update people
	set
		name = @name,
		language = @language,
		unit = @unit,
		fine = @fine
	where company_id = @company
		and person_id = @person
	returning person_id`

// SetSettings sets what the viewer is called and how they read. Their own only.
//
// Errors: invalid for a name that cannot be and a language or a unit that there is none of;
// unauthorized when the person is gone; unavailable; internal.
func (s *Store) SetSettings(ctx context.Context, v account.Viewer, set account.Settings) (err error) {
	defer fault.In(&err, "setting a person's name, language and unit")
	if set.Name, err = account.Name(set.Name); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		var id string
		b := w.batch()
		b.one(fault.New(fault.Unauthorized, "Sign in again."), updateSettings,
			pgx.NamedArgs{"company": v.CompanyID, "person": v.PersonID, "name": set.Name, "language": set.Language, "unit": string(set.Unit), "fine": set.Fine}, &id)
		b.commit()
		return w.send(ctx, b)
	})
}

const listPeople = `
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
		and role <> 'guest'
	order by name, person_id`

const readCompany = `
	select
		company_id,
		name
	from companies
	where company_id = @company`

// Company is the viewer's own company. Anyone signed in may read it.
//
// Errors: unauthorized when the company is gone; unavailable; internal.
func (s *Store) Company(ctx context.Context, v account.Viewer) (c account.Company, err error) {
	defer fault.In(&err, "reading the company")
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		b.one(fault.Because(fault.Unauthorized, "Sign in again.", errNoCompany), readCompany, readArgs(v, nil), &c.ID, &c.Name)
		b.commit()
		return w.send(ctx, b)
	})
	return c, err
}

// People lists the crew of the viewer's company, by name, and who has left it: the log names
// them. Anyone signed in may read it.
//
// Errors: unavailable; internal.
func (s *Store) People(ctx context.Context, v account.Viewer) (out []account.Member, err error) {
	defer fault.In(&err, "listing people")
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanMember, listPeople, readArgs(v, nil))
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

func scanMember(rows pgx.CollectableRow) (account.Member, error) {
	var m account.Member
	err := rows.Scan(append(personColumns(&m.Person), &m.Left)...)
	return m, err
}

// personColumns are where the columns of a person go, in the order they are always listed.
func personColumns(p *account.Person) []any {
	return []any{
		&p.CompanyID,
		&p.ID,
		&p.Name,
		&p.SignIn,
		&p.Role,
		&p.Language,
		&p.Unit,
		&p.Fine,
	}
}

const findSignIn = `
	select
		company_id,
		person_id,
		name,
		sign_in,
		role,
		language,
		unit,
		fine,
		passphrase_hash
	from find_sign_in(@name)`

// FindSignIn returns the person with that sign-in name, whatever their company, and the
// hash of their passphrase: for account.Hasher.SignIn, before anyone is signed in.
//
// Errors: not_found; unavailable; internal.
func (s *Store) FindSignIn(ctx context.Context, name string) (p account.Person, hash string, err error) {
	defer fault.In(&err, "finding a sign-in name")
	err = s.ask(ctx, findSignIn, pgx.NamedArgs{"name": name}, append(personColumns(&p), &hash)...)
	if errors.Is(err, pgx.ErrNoRows) {
		return account.Person{}, "", errNotThere("person")
	}
	if err != nil {
		return account.Person{}, "", translate(err)
	}
	return p, hash, nil
}
