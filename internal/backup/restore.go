package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/jackc/pgx/v5"

	"longpoint/migrations"
)

// ErrNotEmpty is what a restore says of a database that holds something.
var ErrNotEmpty = errors.New("the database is not empty")

const countRelations = `
	select
		count(*)
	from pg_class
	where relnamespace = 'public'::regnamespace
		and relkind in ('r', 'p', 'v', 'm', 'S')`

// Restore puts a backup into the empty database at owner, signed in to as its owner, and its photos into the
// storage, and brings the schema to this program's. Every row and every photo is compared with what was written
// down before anything of it can be seen. photos nil leaves them where they are.
//
// Roles belong to the server, not to the database: longpoint_app is made where it is missing, without a password.
func Restore(ctx context.Context, owner, folder string, photos Photos) (Manifest, error) {
	m, stored, err := Check(folder)
	if err != nil {
		return m, err
	}
	if m.Schema > migrations.Head() {
		return m, fmt.Errorf("the backup is of schema %d and this program knows %d: use the program it was made with, or a newer one", m.Schema, migrations.Head())
	}
	if err := emptied(ctx, owner); err != nil {
		return m, err
	}
	if err := migrations.To(ctx, owner, m.Schema); err != nil {
		return m, err
	}
	if photos != nil {
		for key, sum := range stored {
			if err := putBack(ctx, photos, folder, key, sum); err != nil {
				return m, fmt.Errorf("photo %s: %w", key, err)
			}
		}
	}
	if err := m.fill(ctx, owner, folder); err != nil {
		return m, err
	}
	return m, migrations.Up(ctx, owner)
}

// emptied refuses a database that holds anything, but for a schema of ours without a company in it, which a service
// that was started first may have made.
func emptied(ctx context.Context, owner string) error {
	conn, err := connect(ctx, owner)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	var relations, companies int
	if err := conn.QueryRow(ctx, countRelations).Scan(&relations); err != nil || relations == 0 {
		return err
	}
	if conn.QueryRow(ctx, `select count(*) from companies`).Scan(&companies) != nil || companies > 0 {
		return ErrNotEmpty
	}
	at, _, err := migrations.Version(ctx, owner)
	if err != nil || at == 0 {
		return ErrNotEmpty
	}
	return migrations.Down(ctx, owner, migrations.Through(at))
}

func putBack(ctx context.Context, photos Photos, folder, key, sum string) error {
	data, err := os.ReadFile(filepath.Join(folder, filepath.FromSlash(photoFile(key))))
	if err != nil {
		return err
	}
	if err := photos.Put(ctx, key, data); err != nil {
		return err
	}
	back, err := photos.Read(ctx, key)
	if err != nil {
		return err
	}
	if sumOf(back) != sum {
		return errors.New("the storage gave back other bytes than it was given")
	}
	return nil
}

// fill loads every table in one transaction and reads it back.
func (m Manifest) fill(ctx context.Context, owner, folder string) error {
	conn, err := connect(ctx, owner)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		for _, set := range plainText {
			if _, err := tx.Exec(ctx, set); err != nil {
				return err
			}
		}
		there, err := m.sameTables(ctx, conn)
		if err != nil {
			return err
		}
		// COPY does not go into a table that policies bind. The owner may lift that for the length of a
		// transaction that nobody else sees. Triggers of our own saw these rows when they were made.
		each := func(forms ...string) error {
			for _, t := range there {
				for _, form := range forms {
					if _, err := tx.Exec(ctx, "alter table public."+pgx.Identifier{t.name}.Sanitize()+" "+form); err != nil {
						return err
					}
				}
			}
			return nil
		}
		if err := each("no force row level security", "disable trigger user"); err != nil {
			return err
		}
		for _, t := range m.Tables {
			if err := loadFile(ctx, conn, t, folder); err != nil {
				return fmt.Errorf("table %s: %w", t.Name, err)
			}
		}
		companies, err := readCompanies(ctx, conn)
		if err != nil {
			return err
		}
		for i, t := range there {
			rows, sum, err := dump(ctx, conn, t, companies, io.Discard)
			if err != nil {
				return fmt.Errorf("reading table %s back: %w", t.name, err)
			}
			if want := m.Tables[i]; rows != want.Rows || sum != want.SHA256 {
				return fmt.Errorf("table %s came out with %d rows of sum %s, want %d of %s", t.name, rows, sum, want.Rows, want.SHA256)
			}
		}
		// Checks of foreign keys wait until here otherwise, and a table with events pending cannot be altered.
		if _, err := tx.Exec(ctx, `set constraints all immediate`); err != nil {
			return err
		}
		return each("enable trigger user", "force row level security")
	})
}

// sameTables lists the tables in the manifest's order, and refuses a schema that differs from the manifest's.
func (m Manifest) sameTables(ctx context.Context, conn *pgx.Conn) ([]table, error) {
	all, err := tables(ctx, conn)
	if err != nil {
		return nil, err
	}
	byName := map[string]table{}
	for _, t := range all {
		byName[t.name] = t
	}
	var out []table
	for _, t := range m.Tables {
		there, ok := byName[t.Name]
		if !ok || !slices.Equal(there.columns, t.Columns) {
			return nil, fmt.Errorf("table %s has columns %v here and %v in the backup", t.Name, there.columns, t.Columns)
		}
		out = append(out, there)
	}
	if len(out) != len(all) {
		return nil, fmt.Errorf("the schema has %d tables and the backup %d", len(all), len(out))
	}
	return out, nil
}

func loadFile(ctx context.Context, conn *pgx.Conn, t Table, folder string) error {
	f, err := os.Open(filepath.Join(folder, filepath.FromSlash(tableFile(t.Name))))
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }()
	return load(ctx, conn, t, f)
}
