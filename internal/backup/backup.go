// Package backup writes the database and the photos down together and puts them back.
//
// A backup is a folder that stands alone:
//
//	manifest.json       what is in it, and of which schema
//	tables/NAME.copy.gz each table's rows in PostgreSQL's own text form, as COPY writes them
//	photos/…            each stored photo under its key
//	SHA256SUMS          of every file above; `sha256sum -c SHA256SUMS` checks it without this program
//
// The tables are read in one snapshot. Photos are kept under the hash of their bytes, are stored before a row
// names them and are never taken away, so what the snapshot names is there whenever it is read.
//
// The rows are read with COPY over the service's own driver and not with pg_dump: the image holds nothing but
// the program, and pg_dump refuses an owner whom row-level security binds, as it binds ours.
package backup

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Photos is where photos are kept. Keys are the storage's own.
type Photos interface {
	// Key is where bytes of a company with this hash are kept.
	Key(company, sha256 string) string
	// Read returns what is under a key. Errors: not_found when the storage answers that it has nothing there.
	Read(ctx context.Context, key string) ([]byte, error)
	// Put keeps data under a key; the same again does nothing.
	Put(ctx context.Context, key string, data []byte) error
}

// Manifest says what a backup holds.
type Manifest struct {
	Format  int       `json:"format"`
	MadeAt  time.Time `json:"made_at"`
	Schema  uint      `json:"schema"` // the step of the migrations
	Server  string    `json:"server"` // PostgreSQL's version, for whoever reads it later
	Tables  []Table   `json:"tables"` // in an order in which they can be put back
	Photos  int       `json:"photos"`
	Missing []string  `json:"missing,omitempty"` // photos that the database names and the storage did not have
	Harmed  []string  `json:"harmed,omitempty"`  // photos of which the storage had other bytes than were put there
}

// Rows is how many rows the backup holds.
func (m Manifest) Rows() int64 {
	var n int64
	for _, t := range m.Tables {
		n += t.Rows
	}
	return n
}

// Table is one table of a backup.
type Table struct {
	Name    string   `json:"name"`
	Columns []string `json:"columns"`
	Rows    int64    `json:"rows"`
	SHA256  string   `json:"sha256"` // of the rows as text, companies and keys in order
}

// format is raised when an older program could not read what is written.
const format = 1

const (
	manifestName = "manifest.json"
	sumsName     = "SHA256SUMS"
	nameForm     = "20060102T150405Z" // a finished backup's folder
	partialMark  = ".partial-"        // before the name of one that is being written
)

func tableFile(name string) string { return "tables/" + name + ".copy.gz" }

// Latest returns the newest finished backup under dir, "" where there is none.
func Latest(dir string) (string, error) {
	names, err := finished(dir)
	if err != nil || len(names) == 0 {
		return "", err
	}
	return filepath.Join(dir, names[len(names)-1]), nil
}

// MadeAt is when a backup was made, by its folder's name.
func MadeAt(folder string) (time.Time, bool) {
	at, err := time.Parse(nameForm, filepath.Base(folder))
	return at, err == nil
}

// finished lists the finished backups under dir, the oldest first.
func finished(dir string) ([]string, error) {
	all, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range all {
		if _, ok := MadeAt(e.Name()); ok && e.IsDir() {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

// sums collects the hash of every file as it is written.
type sums map[string]string

func (s sums) text() []byte {
	var b strings.Builder
	for _, name := range slices.Sorted(maps.Keys(s)) {
		fmt.Fprintf(&b, "%s  %s\n", s[name], name)
	}
	return []byte(b.String())
}

func hexOf(h hash.Hash) string { return hex.EncodeToString(h.Sum(nil)) }

func sumOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// Check reads every file of a backup and holds it against its sum. It returns the manifest and the sums of the
// photos by key.
func Check(folder string) (Manifest, map[string]string, error) {
	var m Manifest
	root, err := os.OpenRoot(folder)
	if err != nil {
		return m, nil, err
	}
	defer func() { _ = root.Close() }()
	text, err := root.ReadFile(sumsName)
	if err != nil {
		return m, nil, fmt.Errorf("this is no finished backup: %w", err)
	}
	photos := map[string]string{}
	listed := map[string]bool{sumsName: true}
	for line := range strings.Lines(string(text)) {
		sum, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		if !ok || !fs.ValidPath(name) {
			return m, nil, fmt.Errorf("%s: a line that is none: %q", sumsName, line)
		}
		got, err := fileSum(root, name)
		if err != nil {
			return m, nil, err
		}
		if got != sum {
			return m, nil, fmt.Errorf("%s is not as it was written: its sum is %s, want %s", name, got, sum)
		}
		listed[name] = true
		if key, ok := strings.CutPrefix(name, "photos/"); ok {
			photos[key] = sum
		}
	}
	if !listed[manifestName] {
		return m, nil, fmt.Errorf("%s does not name %s", sumsName, manifestName)
	}
	if text, err = root.ReadFile(manifestName); err != nil {
		return m, nil, err
	}
	if err := json.Unmarshal(text, &m); err != nil {
		return m, nil, fmt.Errorf("%s: %w", manifestName, err)
	}
	if m.Format != format {
		return m, nil, fmt.Errorf("the backup is of format %d and this program reads %d", m.Format, format)
	}
	for _, t := range m.Tables {
		if !listed[tableFile(t.Name)] {
			return m, nil, fmt.Errorf("%s is not in the backup", tableFile(t.Name))
		}
	}
	if m.Photos != len(photos) {
		return m, nil, fmt.Errorf("the backup holds %d photos, its manifest says %d", len(photos), m.Photos)
	}
	return m, photos, nil
}

func fileSum(root *os.Root, name string) (string, error) {
	f, err := root.Open(name)
	if err != nil {
		return "", err
	}
	defer func() { _ = f.Close() }()
	h := sha256.New()
	if _, err := f.WriteTo(h); err != nil {
		return "", err
	}
	return hexOf(h), nil
}

// write keeps data as a file of the backup that outlives a power cut.
func write(folder, name string, data []byte, s sums) error {
	f, err := create(folder, name)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	if s != nil {
		s[name] = sumOf(data)
	}
	return nil
}

func create(folder, name string) (*os.File, error) {
	at := filepath.Join(folder, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(at), 0o700); err != nil {
		return nil, err
	}
	return os.OpenFile(at, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
}

// syncDirs makes the names of a folder and of all below it last.
func syncDirs(folder string) error {
	return filepath.WalkDir(folder, func(at string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		f, err := os.Open(at)
		if err != nil {
			return err
		}
		return errors.Join(f.Sync(), f.Close())
	})
}

// photoFile is where the photo under a key lies in a backup.
func photoFile(key string) string { return path.Join("photos", key) }
