package migrations

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
	"time"

	"github.com/golang-migrate/migrate/v4"
	migratepgx "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgerrcode"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
)

// waitKey is our own advisory lock, taken before the migration library's. Several nodes starting together wait here, by
// asking again: the library waits inside a statement, for 15 seconds at most and deaf to the context, and a statement that
// waits holds a snapshot, which a CREATE INDEX CONCURRENTLY of the node at work would wait for in turn.
const waitKey = 0x6c6f6e67706f696e // "longpoin"

// waitBetween is how often a waiting node asks whether the one at work is done.
const waitBetween = 100 * time.Millisecond

// Up brings the database to Head, as its owner, one program at a time. A database already beyond Head is left alone: a
// newer program has been there, and the schema still serves this one. When ctx ends, Up stops after the step at work,
// never within one.
func Up(ctx context.Context, databaseURL string) error {
	return run(ctx, databaseURL, func(m *migrate.Migrate) error {
		at, _, err := m.Version()
		if err != nil && !errors.Is(err, migrate.ErrNilVersion) {
			return err
		}
		if at > Head() {
			return nil
		}
		if err := m.Up(); !errors.Is(err, migrate.ErrNoChange) {
			return err
		}
		return nil
	})
}

// To brings a database that stands at or before a step up to it, as the database's owner: a backup of an older schema goes
// into tables of that schema first.
func To(ctx context.Context, databaseURL string, step uint) error {
	return run(ctx, databaseURL, func(m *migrate.Migrate) error {
		at, _, err := m.Version()
		if err != nil && !errors.Is(err, migrate.ErrNilVersion) {
			return err
		}
		if at > step {
			return fmt.Errorf("the schema is at step %d already", at)
		}
		if err := m.Migrate(step); !errors.Is(err, migrate.ErrNoChange) {
			return err
		}
		return nil
	})
}

// Down takes back the last steps, at least one, as the database's owner. It is for development and tests: taking a step
// back drops the columns and tables that the step made, with their rows.
func Down(ctx context.Context, databaseURL string, steps int) error {
	if steps < 1 {
		return fmt.Errorf("migrating down: %d steps asked for, want at least 1", steps)
	}
	return run(ctx, databaseURL, func(m *migrate.Migrate) error { return m.Steps(-steps) })
}

// Version reads which step the database is at, 0 before the first, and whether a step failed part way. It changes
// nothing, and the service's role may call it.
func Version(ctx context.Context, databaseURL string) (version uint, dirty bool, err error) {
	conn, err := connect(ctx, databaseURL)
	if err != nil {
		return 0, false, fmt.Errorf("reading the schema's version: %w", err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	var at int64
	err = conn.QueryRow(ctx, `select version, dirty from schema_migrations limit 1`).Scan(&at, &dirty)
	var pgErr *pgconn.PgError
	switch {
	case errors.Is(err, pgx.ErrNoRows),
		errors.As(err, &pgErr) && pgErr.Code == pgerrcode.UndefinedTable:
		return 0, false, nil
	case err != nil:
		return 0, false, fmt.Errorf("reading the schema's version: %w", err)
	}
	if at < 0 { // the library's mark for a failed way back from the first step
		at = 0
	}
	return uint(at), dirty, nil
}

// Head is the number of the last step this program knows.
func Head() uint {
	var head uint64
	names, _ := fs.Glob(FS, "*.up.sql") // the pattern is well formed
	for _, name := range names {
		number, _, _ := strings.Cut(name, "_")
		if n, err := strconv.ParseUint(number, 10, 32); err == nil && n > head {
			head = n
		}
	}
	return uint(head)
}

// Through is how many of the steps this program knows lead to a step, itself included.
func Through(step uint) int {
	names, _ := fs.Glob(FS, "*.up.sql") // the pattern is well formed
	n := 0
	for _, name := range names {
		number, _, _ := strings.Cut(name, "_")
		if k, err := strconv.ParseUint(number, 10, 32); err == nil && uint(k) <= step {
			n++
		}
	}
	return n
}

// Count is how many steps this program knows.
func Count() int {
	names, _ := fs.Glob(FS, "*.up.sql")
	return len(names)
}

func run(ctx context.Context, databaseURL string, work func(*migrate.Migrate) error) (err error) {
	unlock, err := takeTurn(ctx, databaseURL)
	if err != nil {
		return fmt.Errorf("waiting for the turn to migrate: %w", err)
	}
	defer func() { err = errors.Join(err, unlock()) }()

	m, err := open(databaseURL)
	if err != nil {
		return fmt.Errorf("opening the migrations: %w", err)
	}
	defer func() {
		sourceErr, databaseErr := m.Close()
		err = errors.Join(err, sourceErr, databaseErr)
	}()
	release := context.AfterFunc(ctx, func() {
		select {
		case m.GracefulStop <- true:
		default:
		}
	})
	defer release()

	err = work(m)
	var dirty migrate.ErrDirty
	if errors.As(err, &dirty) {
		return fmt.Errorf("migration %d failed part way at an earlier try: see what it left, set right both the schema and schema_migrations, and migrate again: %w", dirty.Version, err)
	}
	if err != nil {
		return fmt.Errorf("migrating: %w", err)
	}
	if ctx.Err() != nil {
		return fmt.Errorf("migrating, stopped between two steps: %w", ctx.Err())
	}
	return nil
}

// connect makes one connection. The address may be a pool's, with the pool's own settings in it, which no server knows.
func connect(ctx context.Context, databaseURL string) (*pgx.Conn, error) {
	pooled, err := pgxpool.ParseConfig(databaseURL)
	if err != nil {
		return nil, err
	}
	return pgx.ConnectConfig(ctx, pooled.ConnConfig)
}

// takeTurn waits, between statements, for the database's turn. The turn ends with the connection at the latest.
func takeTurn(ctx context.Context, databaseURL string) (end func() error, err error) {
	conn, err := connect(ctx, databaseURL)
	if err != nil {
		return nil, err
	}
	end = func() error { return conn.Close(context.WithoutCancel(ctx)) }
	tick := time.NewTicker(waitBetween)
	defer tick.Stop()
	for {
		var ours bool
		if err := conn.QueryRow(ctx, `select pg_try_advisory_lock($1)`, int64(waitKey)).Scan(&ours); err != nil {
			return nil, errors.Join(err, end())
		}
		if ours {
			return end, nil
		}
		select {
		case <-ctx.Done():
			return nil, errors.Join(ctx.Err(), end())
		case <-tick.C:
		}
	}
}

// open gives the library a database handle of its own: it pins a connection until closed.
func open(databaseURL string) (*migrate.Migrate, error) {
	pooled, err := pgxpool.ParseConfig(databaseURL)
	if err != nil {
		return nil, err
	}
	source, err := iofs.New(FS, ".")
	if err != nil {
		return nil, err
	}
	db := sql.OpenDB(stdlib.GetConnector(*pooled.ConnConfig))
	driver, err := migratepgx.WithInstance(db, &migratepgx.Config{})
	if err != nil {
		return nil, errors.Join(err, source.Close(), db.Close())
	}
	m, err := migrate.NewWithInstance("iofs", source, "pgx5", driver)
	if err != nil {
		return nil, errors.Join(err, source.Close(), driver.Close())
	}
	return m, nil
}
