package app

import (
	"context"
	"net/url"

	"github.com/jackc/pgx/v5"

	"longpoint/migrations"
)

// MigrateForService brings the schema up as the database's owner and gives the service's
// role the password in the service's own address, so that one machine needs no step by
// hand. Several nodes may do so at once: migrations run under a lock.
//
// Errors are a *Problem.
func MigrateForService(ctx context.Context, owner, service string) error {
	if owner == "" {
		return problem(nil, "LONGPOINT_OWNER_URL is not set: serve --migrate needs the database's address as its owner.")
	}
	if err := checkHome(ctx, owner); err != nil {
		return err
	}
	if err := migrations.Up(ctx, owner); err != nil {
		return databaseProblem(err)
	}
	u, err := url.Parse(service)
	if err != nil || u.User.Username() != serviceRole {
		return nil // another role: its password is not ours to set
	}
	password, ok := u.User.Password()
	if !ok {
		return nil
	}
	conn, err := connect(ctx, owner)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	// The name and the literal are quoted by the server; ALTER ROLE takes no parameters.
	var alter string
	if err := conn.QueryRow(ctx, `select format('alter role %I with login password %L', $1::text, $2::text)`, serviceRole, password).Scan(&alter); err != nil {
		return databaseProblem(err)
	}
	if _, err := conn.Exec(ctx, alter, pgx.QueryExecModeSimpleProtocol); err != nil {
		return problem(err, "The owner may not set the password of role %s: have an administrator set it, then start without --migrate.", serviceRole)
	}
	return nil
}
