package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/backup"
	"longpoint/internal/demo"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/pglocal"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"
	"longpoint/migrations"
)

// filled is a database with the invented house, its photos, a session, and a second company in it.
type filled struct {
	db     *testdb.DB
	photos string
	store  *postgres.Store
	lead   account.Person
	job    string
}

func fill(t *testing.T) filled {
	t.Helper()
	ctx := context.Background()
	f := filled{db: testdb.New(t), photos: t.TempDir()}
	clock := &demo.Clock{}
	pg, err := postgres.Open(ctx, f.db.AppURL, postgres.Options{Clock: clock.Now, MaxConns: 4})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(pg.Close)
	storage, err := openPhotos(PhotoConfig{Dir: f.photos})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = storage.Close() }()
	if _, err := demo.Load(ctx, pg, newPhotos(pg, storage).deliver, clock, hasher(t), time.Now()); err != nil {
		t.Fatal(err)
	}
	if f.lead, err = demo.Lead(ctx, pg); err != nil {
		t.Fatal(err)
	}
	jobs, err := pg.Jobs(ctx, f.lead.Viewer())
	if err != nil || len(jobs) == 0 {
		t.Fatalf("jobs: %v (%v)", jobs, err)
	}
	f.store, f.job = pg, jobs[0].Job.ID
	other := account.Company{ID: uuid.Must(uuid.NewV7()).String(), Name: "Tab\tand \\ backslash, línea\nand line"}
	if err := pg.CreateCompany(ctx, other); err != nil {
		t.Fatal(err)
	}
	hash, err := hasher(t).Hash(ctx, demo.Passphrase)
	if err != nil {
		t.Fatal(err)
	}
	if err := pg.AddPerson(ctx, account.Person{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: other.ID, Name: "José", SignIn: "jose", Role: joblog.Lead,
		Language: "es", Unit: length.Millimeters}, hash); err != nil {
		t.Fatal(err)
	}
	return f
}

// asOwner is a connection as the owner, for as long as the test runs.
func asOwner(t *testing.T, owner string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), owner)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(context.Background()) })
	return conn
}

// contents says of every table how many rows it has and what they hash to, by SQL that shares nothing with a backup.
func contents(t *testing.T, owner string) map[string]string {
	t.Helper()
	ctx := context.Background()
	conn := asOwner(t, owner)
	rows, err := conn.Query(ctx, `select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind in ('r', 'p')`)
	if err != nil {
		t.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, name := range names {
		var is string
		err := conn.QueryRow(ctx, `select count(*) || ' rows, ' || coalesce(md5(string_agg(t::text, E'\n' order by t::text collate "C")), 'none') from public.`+
			pgx.Identifier{name}.Sanitize()+` t`).Scan(&is)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = is
	}
	return out
}

// files reads every file under dir.
func files(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(at string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(filepath.Join(dir, at))
		out[at] = b
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A backup is restored into a server that has never heard of Longpoint, and every table and photo compared.
func TestABackupComesBackWhole(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	f := fill(t)
	dir := t.TempDir()
	rep, err := Backup(ctx, BackupConfig{OwnerURL: f.db.OwnerURL, Photos: PhotoConfig{Dir: f.photos}, Dir: dir, Try: true})
	if err != nil || !rep.Tried {
		t.Fatalf("backup: %+v, %v", rep, err)
	}

	held, err := pglocal.HoldTempDir("", "longpoint-restore-test-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = held.Release() })
	server, err := pglocal.Start(ctx, pglocal.Config{DataDir: filepath.Join(held.Path, "data")})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = server.Stop(context.Background()) })
	if err := server.EnsureDatabase(ctx, "longpoint"); err != nil {
		t.Fatal(err)
	}
	owner, photos := server.DSN("longpoint", pglocal.Superuser), t.TempDir()
	m, err := Restore(ctx, owner, PhotoConfig{Dir: photos}, dir, "latest")
	if err != nil {
		t.Fatalf("restore: %v", err)
	}

	want, got := contents(t, f.db.OwnerURL), contents(t, owner)
	for name, is := range want {
		if got[name] != is {
			t.Errorf("table %s: got %s, want %s", name, got[name], is)
		}
	}
	if len(got) != len(want) || len(m.Tables) != len(want)-1 { // all but the migrations' own
		t.Errorf("tables: got %d restored and %d in the manifest, want %d", len(got), len(m.Tables), len(want))
	}
	for at, data := range files(t, f.photos) {
		back, err := os.ReadFile(filepath.Join(photos, at))
		if err != nil || !bytes.Equal(back, data) {
			t.Errorf("photo %s: %v, want it as it was", at, err)
		}
	}
	if n := len(files(t, photos)); n != m.Photos || n == 0 {
		t.Errorf("photos: got %d, want the manifest's %d, and some", n, m.Photos)
	}
	wantGuarded(t, owner)
	if rep, err := Rebuild(ctx, owner, "", true); err != nil || len(rep.Differences) != 0 || rep.Entries == 0 {
		t.Errorf("rebuild --check: %+v, %v", rep, err)
	}
	// The service works on it, as the role that was made with it.
	a, err := Run(ctx, Config{Addr: "127.0.0.1:0", DatabaseURL: server.DSN("longpoint", serviceRole), Photos: PhotoConfig{Dir: photos}})
	if err != nil {
		t.Fatal(err)
	}
	if p, _, err := a.store.FindSignIn(ctx, "jose"); err != nil || p.Name != "José" {
		t.Errorf("signing in: got %+v, %v", p, err)
	}
	if err := a.Close(); err != nil {
		t.Error(err)
	}
	// It is not empty any more.
	if _, err := Restore(ctx, owner, PhotoConfig{Dir: photos}, dir, "latest"); !errors.Is(err, backup.ErrNotEmpty) {
		t.Errorf("restoring over it: got %v, want it refused", err)
	}
}

// wantGuarded wants row-level security and triggers as the migrations made them.
func wantGuarded(t *testing.T, owner string) {
	t.Helper()
	ctx := context.Background()
	conn := asOwner(t, owner)
	var open, off int
	err := conn.QueryRow(ctx, `
		select
			(select count(*) from pg_class where relnamespace = 'public'::regnamespace and relkind in ('r', 'p')
				and relname <> 'schema_migrations' and not (relrowsecurity and relforcerowsecurity)),
			(select count(*) from pg_trigger where not tgisinternal and tgenabled <> 'O')`).Scan(&open, &off)
	if err != nil || open != 0 || off != 0 {
		t.Errorf("got %d tables without forced row-level security and %d triggers off (%v), want none", open, off, err)
	}
}

// People go on working while it is made: its tables are of one moment all the same.
func TestABackupIsOfOneMoment(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	f := fill(t)
	stop, stopped := make(chan struct{}), make(chan int)
	go func() {
		n := 0
		defer func() { stopped <- n }()
		for {
			select {
			case <-stop:
				return
			default:
			}
			c := joblog.Command{ID: uuid.Must(uuid.NewV7()).String(), Version: joblog.CommandVersion, Kind: joblog.AddRoomKind, JobID: f.job,
				RoomID: uuid.Must(uuid.NewV7()).String(), At: time.Now(), AddRoom: &joblog.AddRoom{Name: fmt.Sprint("Room ", n), Level: "ground"}}
			if out, err := f.store.Submit(ctx, f.lead.Viewer(), c, time.Time{}); err != nil || !out.Applied {
				t.Errorf("a room meanwhile: %+v, %v", out, err)
				return
			}
			n++
		}
	}()
	dir := t.TempDir()
	var sizes []int64
	for i := range 3 {
		at := time.Now().Add(time.Duration(i) * time.Second)
		rep, err := Backup(ctx, BackupConfig{OwnerURL: f.db.OwnerURL, Photos: PhotoConfig{Dir: f.photos}, Dir: dir, Try: true, Now: func() time.Time { return at }})
		if err != nil {
			t.Error(err)
		}
		sizes = append(sizes, rep.Manifest.Rows())
	}
	close(stop)
	if n := <-stopped; n == 0 || sizes[0] == sizes[2] {
		t.Errorf("rooms meanwhile: %d, rows %v: want the house to grow between backups", n, sizes)
	}
	// The second takes the photos over from the first.
	all, err := filepath.Glob(filepath.Join(dir, "*", "photos", "*", "*", "*.jpg"))
	if err != nil || len(all) < 2 {
		t.Fatalf("photos in backups: %v, %v", all, err)
	}
	first, err1 := os.Stat(all[0])
	other, err2 := os.Stat(strings.Replace(all[len(all)-1], filepath.Base(all[len(all)-1]), filepath.Base(all[0]), 1))
	if err1 == nil && err2 == nil && !os.SameFile(first, other) {
		t.Errorf("%s is kept twice, want it once", all[0])
	}
}

func TestABackupThatIsHarmedIsRefused(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	f := fill(t)
	for name, harm := range map[string]func(folder string) error{
		"a byte of a table": func(folder string) error { return flip(filepath.Join(folder, "tables", "entries.copy.gz")) },
		"a byte of a photo": func(folder string) error {
			all, _ := filepath.Glob(filepath.Join(folder, "photos", "*", "*", "*.jpg"))
			return flip(all[0])
		},
		"a file that is gone": func(folder string) error { return os.Remove(filepath.Join(folder, "tables", "takes.copy.gz")) },
		"no sums":             func(folder string) error { return os.Remove(filepath.Join(folder, "SHA256SUMS")) },
		"another manifest":    func(folder string) error { return flip(filepath.Join(folder, "manifest.json")) },
	} {
		dir := t.TempDir()
		rep, err := Backup(ctx, BackupConfig{OwnerURL: f.db.OwnerURL, Photos: PhotoConfig{Dir: f.photos}, Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		if err := harm(rep.Folder); err != nil {
			t.Fatal(err)
		}
		empty := testdb.Empty(t)
		if _, err := Restore(ctx, empty.OwnerURL, PhotoConfig{Dir: t.TempDir()}, dir, "latest"); err == nil {
			t.Errorf("%s: restored, want it refused", name)
		}
		if at, _, err := migrations.Version(ctx, empty.OwnerURL); err != nil || at != 0 {
			t.Errorf("%s: the database was touched: step %d, %v", name, at, err)
		}
	}
}

// What the photo storage has harmed is not taken for the photo: it is named, and whatever else there is is kept.
func TestAHarmedPhotoIsNamed(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	f := fill(t)
	all := slices.Sorted(maps.Keys(files(t, f.photos)))
	if len(all) < 2 {
		t.Fatalf("photos: got %v, want two at least", all)
	}
	harmed, gone := all[0], all[1]
	if err := errors.Join(flip(filepath.Join(f.photos, harmed)), os.Remove(filepath.Join(f.photos, gone))); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	rep, err := Backup(ctx, BackupConfig{OwnerURL: f.db.OwnerURL, Photos: PhotoConfig{Dir: f.photos}, Dir: dir, Try: true})
	if err == nil || !strings.Contains(err.Error(), "1 are not in the photo storage, the first "+gone) || !strings.Contains(err.Error(), "1 are harmed there, the first "+harmed) {
		t.Errorf("got %v, want both named", err)
	}
	if m := rep.Manifest; !slices.Equal(m.Harmed, []string{harmed}) || !slices.Equal(m.Missing, []string{gone}) || m.Photos != len(all)-2 {
		t.Errorf("manifest: got harmed %v, missing %v, %d photos, want %s, %s and the other %d", m.Harmed, m.Missing, m.Photos, harmed, gone, len(all)-2)
	}
	if _, err := os.Stat(filepath.Join(rep.Folder, "photos", harmed)); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the harmed bytes in the backup: %v, want them not there", err)
	}
}

// A storage that does not answer says nothing of what it has: there is no backup, and none that seems to be one.
func TestABackupWaitsForThePhotoStorage(t *testing.T) {
	t.Parallel()
	f := fill(t)
	storage, err := openPhotos(PhotoConfig{Dir: f.photos})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = storage.Close() }()
	dir := t.TempDir()
	out := fault.Because(fault.Unavailable, "The photo storage does not answer.", errors.New("connection refused"))
	if _, m, err := backup.Make(t.Context(), f.db.OwnerURL, outage{backupPhotos{storage}, out}, dir, time.Now()); !errors.Is(err, out) {
		t.Errorf("got %v with %d missing, want the outage told", err, len(m.Missing))
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 0 {
		t.Errorf("left over: %v (%v), want nothing", left, err)
	}
}

// outage is a storage that no longer answers.
type outage struct {
	backupPhotos
	err error
}

func (o outage) Read(context.Context, string) ([]byte, error) { return nil, o.err }

func flip(file string) error {
	b, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	b[len(b)/2] ^= 1
	if err := os.Remove(file); err != nil { // a link may hold the same bytes for another backup
		return err
	}
	return os.WriteFile(file, b, 0o600)
}

func TestBackupsThatCannotBe(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	f := fill(t)
	dir := t.TempDir()
	for name, tc := range map[string]struct {
		cfg  BackupConfig
		says string
	}{
		"no database": {BackupConfig{Dir: dir}, "LONGPOINT_OWNER_URL"},
		"no place":    {BackupConfig{OwnerURL: f.db.OwnerURL}, "LONGPOINT_BACKUP_DIR"},
		"no photos":   {BackupConfig{OwnerURL: f.db.OwnerURL, Photos: PhotoConfig{Dir: t.TempDir()}, Dir: dir}, "not in the photo storage"},
	} {
		if _, err := Backup(ctx, tc.cfg); err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s: got %v, want it to say %q", name, err, tc.says)
		}
	}
	// What a newer program made is not for this one.
	latest, err := backup.Latest(dir)
	if err != nil || latest == "" {
		t.Fatalf("the backup without photos: %q, %v", latest, err)
	}
	at := filepath.Join(latest, "manifest.json")
	text, err := os.ReadFile(at)
	if err != nil {
		t.Fatal(err)
	}
	var m backup.Manifest
	if err := json.Unmarshal(text, &m); err != nil {
		t.Fatal(err)
	}
	if m.Schema != migrations.Head() || len(m.Missing) == 0 {
		t.Errorf("manifest: got schema %d with %d missing, want %d and some", m.Schema, len(m.Missing), migrations.Head())
	}
	if _, err := Restore(ctx, testdb.Empty(t).OwnerURL, PhotoConfig{}, t.TempDir(), "latest"); err == nil || !strings.Contains(err.Error(), "no backup") {
		t.Errorf("no backup: got %v", err)
	}
}
