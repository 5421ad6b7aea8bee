// Package testdb gives every test a PostgreSQL database of its own, cloned from a migrated template.
//
// The server is the one that LONGPOINT_TEST_DATABASE_URL names, else one started from installed PostgreSQL programs for
// the life of the test process. Without either the test fails; it is never skipped.
//
// A named server must let the URL's role create databases and roles; a superuser does. Its role longpoint_app gets the
// URL's password, so do not point it at a server that matters. On our own server nobody needs a password.
package testdb

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/url"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/peterldowns/pgtestdb"

	"longpoint/migrations"
)

// AppRole is the service's role, bound by row-level security.
const AppRole = "longpoint_app"

// poolSize bounds each pool, so that many parallel tests with two pools each fit a server's connections.
const poolSize = 8

// DB is one test's database, dropped when the test ends. A failed test's database is kept on a named server, and its
// address logged.
type DB struct {
	Owner    *pgxpool.Pool // the owner, whom row-level security may not bind
	App      *pgxpool.Pool // the service's role: what the program itself would use
	OwnerURL string
	AppURL   string
}

// New returns a database migrated to the head. A connection the test leaves open fails it.
func New(t testing.TB) *DB {
	t.Helper()
	return create(t, toHead{})
}

// Empty returns a database without any migration, for testing these. The roles exist.
func Empty(t testing.TB) *DB {
	t.Helper()
	return create(t, untouched{})
}

func create(t testing.TB, m pgtestdb.Migrator) *DB {
	t.Helper()
	srv, err := shared()
	if err != nil {
		t.Fatalf("testdb: %v", err)
	}
	made := pgtestdb.Custom(t, srv.config(), m)
	db := &DB{OwnerURL: srv.ownerURL(made.Database), AppURL: srv.appURL(made.Database)}
	db.Owner = open(t, db.OwnerURL)
	db.App = open(t, db.AppURL)
	return db
}

// PlainOwner gives a database without migrations to a role that is no superuser, as who installs the service has one, and
// returns its address: row-level security binds it.
func (db *DB) PlainOwner(t testing.TB) string {
	t.Helper()
	ctx := context.Background()
	owner, err := url.Parse(db.OwnerURL)
	if err != nil {
		t.Fatalf("testdb: reading the database's address: %v", err)
	}
	role := "plain_" + strings.ToLower(rand.Text())
	password, _ := owner.User.Password()
	for _, statement := range []string{
		fmt.Sprintf(`create role %s login createrole createdb nosuperuser password '%s'`, role, password),
		fmt.Sprintf(`alter database %q owner to %s`, strings.TrimPrefix(owner.Path, "/"), role),
		fmt.Sprintf(`alter schema public owner to %s`, role),
	} {
		if _, err := db.Owner.Exec(ctx, statement); err != nil {
			t.Fatalf("testdb: %s: %v", statement, err)
		}
	}
	t.Cleanup(func() {
		for _, statement := range []string{`reassign owned by ` + role + ` to current_user`, `drop owned by ` + role, `drop role ` + role} {
			if _, err := db.Owner.Exec(ctx, statement); err != nil {
				t.Errorf("testdb: %s: %v", statement, err)
			}
		}
	})
	owner.User = url.UserPassword(role, password)
	return owner.String()
}

func open(t testing.TB, url string) *pgxpool.Pool {
	t.Helper()
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		t.Fatalf("testdb: reading the database's address: %v", err)
	}
	cfg.MaxConns = poolSize
	pool, err := pgxpool.NewWithConfig(context.Background(), cfg)
	if err != nil {
		t.Fatalf("testdb: opening the database: %v", err)
	}
	t.Cleanup(pool.Close) // before the drop, which was registered earlier
	return pool
}

// toHead migrates the template that New's databases are cloned from.
type toHead struct{}

// Hash names the template, so an edited migration makes another.
func (toHead) Hash() (string, error) {
	sum := sha256.New()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		return "", err
	}
	for _, name := range names {
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(sum, "%s %d\n%s", name, len(text), text)
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

// Migrate works over connections of its own: one left open would keep the template from being cloned.
func (toHead) Migrate(ctx context.Context, _ *sql.DB, conf pgtestdb.Config) error {
	return migrations.Up(ctx, conf.URL())
}

type untouched struct{}

func (untouched) Hash() (string, error) { return "untouched", nil }

func (untouched) Migrate(context.Context, *sql.DB, pgtestdb.Config) error { return nil }
