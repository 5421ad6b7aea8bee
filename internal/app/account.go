package app

import (
	"context"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
)

// NewAccount is a company with the first person in it.
type NewAccount struct {
	Company, Name, SignIn string
	Role                  joblog.Role
	Language              string
	Unit                  length.Unit
	Passphrase            string
}

// Check says what cannot be, but for the passphrase, before anybody is asked for one.
func (n NewAccount) Check() error {
	for _, name := range []string{n.Company, n.Name} {
		if _, err := account.Name(name); err != nil {
			return err
		}
	}
	if _, err := account.SignInName(n.SignIn); err != nil {
		return err
	}
	switch {
	case n.Language != "en" && n.Language != "es":
		return fault.New(fault.Invalid, "The language is English (en) or Spanish (es).")
	case n.Unit != length.Inches && n.Unit != length.Millimeters:
		return fault.New(fault.Invalid, "The unit is inches (in) or millimeters (mm).")
	}
	return nil
}

// CreateAccount makes a company and its first person, for whoever sets up the service: all
// others are invited. It works as the service's role.
//
// Errors: invalid; conflict when the sign-in name is taken; a *Problem about the database.
func CreateAccount(ctx context.Context, address string, n NewAccount) (account.Person, error) {
	if err := n.Check(); err != nil {
		return account.Person{}, err
	}
	if err := account.CheckPassphrase(n.Passphrase, n.SignIn); err != nil {
		return account.Person{}, err
	}
	pg, hasher, err := atDesk(ctx, address)
	if err != nil {
		return account.Person{}, err
	}
	defer pg.Close()
	signIn, err := account.SignInName(n.SignIn)
	if err != nil {
		return account.Person{}, err
	}
	if _, _, err := pg.FindSignIn(ctx, signIn); !fault.Is(err, fault.NotFound) {
		if err == nil {
			err = fault.New(fault.Conflict, "That sign-in name is taken.")
		}
		return account.Person{}, err
	}
	hash, err := hasher.Hash(ctx, n.Passphrase)
	if err != nil {
		return account.Person{}, err
	}
	c := account.Company{ID: uuid.Must(uuid.NewV7()).String(), Name: n.Company}
	p := account.Person{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: c.ID, Name: n.Name, SignIn: signIn, Role: n.Role, Language: n.Language, Unit: n.Unit}
	if err := pg.CreateCompany(ctx, c); err != nil {
		return account.Person{}, err
	}
	return p, pg.AddPerson(ctx, p, hash)
}

// ResetPassphrase gives the person with that sign-in name another passphrase and signs them
// out everywhere.
//
// Errors: invalid; not_found; a *Problem about the database.
func ResetPassphrase(ctx context.Context, address, signIn, passphrase string) (account.Person, error) {
	name, err := account.SignInName(signIn)
	if err != nil {
		return account.Person{}, err
	}
	if err := account.CheckPassphrase(passphrase, name); err != nil {
		return account.Person{}, err
	}
	pg, hasher, err := atDesk(ctx, address)
	if err != nil {
		return account.Person{}, err
	}
	defer pg.Close()
	p, _, err := pg.FindSignIn(ctx, name)
	if fault.Is(err, fault.NotFound) {
		return account.Person{}, problem(err, "Nobody signs in as %s.", name)
	}
	if err != nil {
		return account.Person{}, err
	}
	hash, err := hasher.Hash(ctx, passphrase)
	if err != nil {
		return account.Person{}, err
	}
	return p, pg.SetPassphrase(ctx, p.CompanyID, p.ID, hash, "")
}

// atDesk opens the database for one command of whoever runs the program.
func atDesk(ctx context.Context, address string) (*postgres.Store, *account.Hasher, error) {
	if err := checkService(ctx, address); err != nil {
		return nil, nil, err
	}
	pg, err := postgres.Open(ctx, address, postgres.Options{MaxConns: 1})
	if err != nil {
		return nil, nil, databaseProblem(err)
	}
	hasher, err := account.NewHasher(1)
	if err != nil {
		pg.Close()
		return nil, nil, err
	}
	return pg, hasher, nil
}
