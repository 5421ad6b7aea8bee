package backup

import (
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/fault"
	"longpoint/migrations"
)

// staleAfter is when a backup that was never finished is taken away: its program is gone.
const staleAfter = 24 * time.Hour

// Make writes a backup of the database at owner, signed in to as its owner, and of the photos it names, into a new
// folder under dir, and returns the folder. Photos that lie in the newest backup there are linked, not copied again:
// each backup stands alone all the same. A backup that fails leaves none behind.
func Make(ctx context.Context, owner string, photos Photos, dir string, now time.Time) (folder string, m Manifest, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", m, err
	}
	removeStale(dir, now)
	name := now.UTC().Format(nameForm)
	partial := filepath.Join(dir, partialMark+name)
	folder = filepath.Join(dir, name)
	if _, err := os.Lstat(folder); err == nil {
		return "", m, fmt.Errorf("%s is there already", folder)
	}
	last, err := Latest(dir)
	if err != nil {
		return "", m, err
	}
	if err := os.Mkdir(partial, 0o700); err != nil {
		return "", m, err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.RemoveAll(partial))
		}
	}()
	s := sums{}
	m = Manifest{Format: format, MadeAt: now.UTC().Truncate(time.Second)}
	keys, err := m.readDatabase(ctx, owner, photos, partial, s)
	if err != nil {
		return "", m, err
	}
	for _, key := range keys {
		if err := m.keepPhoto(ctx, photos, last, partial, key, s); err != nil {
			return "", m, err
		}
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return "", m, err
	}
	if err := write(partial, manifestName, append(text, '\n'), s); err != nil {
		return "", m, err
	}
	if err := write(partial, sumsName, s.text(), nil); err != nil {
		return "", m, err
	}
	if err := syncDirs(partial); err != nil {
		return "", m, err
	}
	if err := os.Rename(partial, folder); err != nil {
		return "", m, err
	}
	return folder, m, syncDirs(folder)
}

func removeStale(dir string, now time.Time) {
	all, _ := filepath.Glob(filepath.Join(dir, partialMark+"*")) // the pattern is well formed
	for _, at := range all {
		if i, err := os.Stat(at); err == nil && now.Sub(i.ModTime()) > staleAfter {
			_ = os.RemoveAll(at)
		}
	}
}

const storedPhotos = `
	select
		full_sha256
	from photos
	where company_id = $1
		and state = 'stored'
	union
	select
		thumb_sha256
	from photos
	where company_id = $1
		and state = 'stored'
	order by 1`

// readDatabase writes every table down in one snapshot and lists the photos that it names.
func (m *Manifest) readDatabase(ctx context.Context, owner string, photos Photos, folder string, s sums) (keys []string, err error) {
	conn, err := connect(ctx, owner)
	if err != nil {
		return nil, err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	at, failed, err := migrations.Version(ctx, owner)
	switch {
	case err != nil:
		return nil, err
	case failed || at == 0:
		return nil, fmt.Errorf("the schema is not whole: it is at step %d", at)
	}
	m.Schema = at
	tx, err := conn.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly})
	if err != nil {
		return nil, err
	}
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	for _, set := range plainText {
		if _, err := tx.Exec(ctx, set); err != nil {
			return nil, err
		}
	}
	if err := tx.QueryRow(ctx, `select version()`).Scan(&m.Server); err != nil {
		return nil, err
	}
	all, err := tables(ctx, conn)
	if err != nil {
		return nil, err
	}
	// A migration waits until the backup has read them all, and the backup for one under way.
	for _, t := range all {
		if _, err := tx.Exec(ctx, `lock table public.`+pgx.Identifier{t.name}.Sanitize()+` in access share mode`); err != nil {
			return nil, err
		}
	}
	companies, err := readCompanies(ctx, conn)
	if err != nil {
		return nil, err
	}
	for _, t := range all {
		if err := m.writeTable(ctx, conn, t, companies, folder, s); err != nil {
			return nil, fmt.Errorf("table %s: %w", t.name, err)
		}
	}
	for _, company := range companies {
		if _, err := tx.Exec(ctx, `select set_config('app.company', $1, true)`, company); err != nil {
			return nil, err
		}
		rows, err := tx.Query(ctx, storedPhotos, company)
		if err != nil {
			return nil, err
		}
		hashes, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			return nil, err
		}
		for _, h := range hashes {
			keys = append(keys, photos.Key(company, h))
		}
	}
	return keys, nil
}

func (m *Manifest) writeTable(ctx context.Context, conn *pgx.Conn, t table, companies []string, folder string, s sums) error {
	f, err := create(folder, tableFile(t.name))
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }()
	h := sha256.New()
	zipped := gzip.NewWriter(io.MultiWriter(f, h))
	rows, sum, err := dump(ctx, conn, t, companies, zipped)
	if err != nil {
		return err
	}
	if err := errors.Join(zipped.Close(), f.Sync(), f.Close()); err != nil {
		return err
	}
	s[tableFile(t.name)] = hexOf(h)
	m.Tables = append(m.Tables, Table{Name: t.name, Columns: t.columns, Rows: rows, SHA256: sum})
	return nil
}

// keepPhoto links a photo from the last backup where it lies there unharmed, and else reads it from the storage. What is
// not what its key says is not kept: it would be taken for the photo.
func (m *Manifest) keepPhoto(ctx context.Context, photos Photos, last, folder, key string, s sums) error {
	name := photoFile(key)
	at := filepath.Join(folder, filepath.FromSlash(name))
	if last != "" {
		before := filepath.Join(last, filepath.FromSlash(name))
		data, err := os.ReadFile(before)
		if sum := sumOf(data); err == nil && strings.Contains(key, sum) {
			if err := os.MkdirAll(filepath.Dir(at), 0o700); err != nil {
				return err
			}
			if os.Link(before, at) == nil {
				m.Photos++
				s[name] = sum
				return nil
			}
		}
	}
	data, err := photos.Read(ctx, key)
	if fault.Is(err, fault.NotFound) {
		m.Missing = append(m.Missing, key)
		return nil
	}
	if err != nil { // a storage that does not answer may have it
		return fmt.Errorf("photo %s: %w", key, err)
	}
	if !strings.Contains(key, sumOf(data)) {
		m.Harmed = append(m.Harmed, key)
		return nil
	}
	m.Photos++
	return write(folder, name, data, s)
}
