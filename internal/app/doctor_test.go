package app

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"longpoint/internal/testdb"
)

// wellSet is a set-up with nothing wrong but what a test database is not asked to do: fsync.
func wellSet(t *testing.T) Examined {
	t.Helper()
	db := testdb.New(t)
	return Examined{DatabaseURL: db.AppURL, OwnerURL: db.OwnerURL, Addr: "127.0.0.1:0", Photos: PhotoConfig{Dir: t.TempDir()},
		WebApp: fstest.MapFS{"index.html": {}}}
}

// finding is what the doctor says of one thing.
func finding(t *testing.T, e Examined, what string) Found {
	t.Helper()
	for _, f := range Examine(context.Background(), e) {
		if f.What == what {
			return f
		}
	}
	t.Fatalf("the doctor does not look at %s", what)
	return Found{}
}

func TestTheDoctorFindsNothingWrong(t *testing.T) {
	t.Parallel()
	e := wellSet(t)
	for _, f := range Examine(context.Background(), e) {
		if f.Wrong && f.What != "durability" { // the test server does not wait for the disk
			t.Errorf("%s: %s", f.What, f.Sentence)
		}
	}
}

// Each thing the doctor looks at is set wrong once, and what it says is to name the way out.
func TestTheDoctorSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "20200101T000000Z"), 0o700); err != nil {
		t.Fatal(err)
	}
	stranger := httptest.NewServer(http.NotFoundHandler())
	t.Cleanup(stranger.Close)
	for name, tc := range map[string]struct {
		what string
		set  func(*testing.T, *Examined)
		says string
		note bool
	}{
		"a slip in a name": {"settings", func(_ *testing.T, e *Examined) { e.Unknown = []string{"LONGPOINT_ADRR"} }, "LONGPOINT_ADRR", false},
		"an old schema": {"schema", func(t *testing.T, e *Examined) { run(t, e.OwnerURL, `update schema_migrations set version = 1`) },
			"longpoint migrate up", false},
		"a newer schema": {"schema", func(t *testing.T, e *Examined) { run(t, e.OwnerURL, `update schema_migrations set version = 9000`) },
			"bring this one up to date", true},
		"no owner":            {"schema", func(_ *testing.T, e *Examined) { e.OwnerURL = "" }, "LONGPOINT_OWNER_URL", false},
		"no database":         {"database", func(_ *testing.T, e *Examined) { e.DatabaseURL = "" }, "DATABASE_URL", false},
		"the owner serving":   {"database", func(_ *testing.T, e *Examined) { e.DatabaseURL = e.OwnerURL }, "row-level security", false},
		"nobody at the port":  {"database", func(_ *testing.T, e *Examined) { e.DatabaseURL = "postgres://longpoint_app@127.0.0.1:1/x" }, "does not answer", false},
		"a table left open":   {"guard", func(t *testing.T, e *Examined) { run(t, e.OwnerURL, `alter table takes no force row level security`) }, "takes", false},
		"no waiting for disk": {"durability", func(*testing.T, *Examined) {}, "fsync off", false},
		"a clock of its own": {"clock", func(_ *testing.T, e *Examined) {
			e.Now = func() time.Time { return time.Now().Add(-time.Hour) }
		}, "apart", false},
		"nowhere to listen": {"live", func(_ *testing.T, e *Examined) { e.ListenURL = "postgres://longpoint_app@127.0.0.1:1/x" }, "does not answer", false},
		"a stranger's ear":  {"live", func(t *testing.T, e *Examined) { e.ListenURL = testdb.Empty(t).AppURL }, "DATABASE_LISTEN_URL", false},
		"no photo folder":   {"photos", func(_ *testing.T, e *Examined) { e.Photos = PhotoConfig{} }, "LONGPOINT_PHOTO_DIR", false},
		"no backups named":  {"backups", func(*testing.T, *Examined) {}, "LONGPOINT_BACKUP_DIR", true},
		"no backup":         {"backups", func(t *testing.T, e *Examined) { e.BackupDir = t.TempDir() }, "longpoint backup", false},
		"an old backup":     {"backups", func(_ *testing.T, e *Examined) { e.BackupDir = dir }, "hours old", false},
		"a taken port": {"address", func(_ *testing.T, e *Examined) {
			u, _ := url.Parse(stranger.URL)
			e.Addr = u.Host
		}, "LONGPOINT_ADDR", false},
		"metrics for all":    {"metrics", func(_ *testing.T, e *Examined) { e.MetricsAddr = ":9090" }, "LONGPOINT_METRICS_ADDR", true},
		"no metrics address": {"metrics", func(_ *testing.T, e *Examined) { e.MetricsAddr = "9090" }, "LONGPOINT_METRICS_ADDR", false},
		"no mail server":     {"e-mail", func(_ *testing.T, e *Examined) { e.Mail.URL, e.Mail.From = "smtp+plain://127.0.0.1:1", "a@example.com" }, "does not answer", false},
		"no sender":          {"e-mail", func(_ *testing.T, e *Examined) { e.Mail.URL = "smtp://127.0.0.1:1" }, "LONGPOINT_MAIL_FROM", false},
		"no key for phones":  {"phones", func(_ *testing.T, e *Examined) { e.Push.Key, e.Push.Contact = "x", "a@example.com" }, "longpoint push-key", false},
		"no contact":         {"phones", func(_ *testing.T, e *Examined) { e.Push.Key = aPushKey }, "LONGPOINT_PUSH_CONTACT", false},
		"no mail address":    {"e-mail", func(_ *testing.T, e *Examined) { e.Mail.URL = "127.0.0.1:25" }, "LONGPOINT_SMTP_URL", false},
		"no web app":         {"web app", func(_ *testing.T, e *Examined) { e.WebApp = nil }, "make build", false},
		"another folder":     {"web app", func(_ *testing.T, e *Examined) { e.WebApp = fstest.MapFS{} }, "index.html", false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			e := wellSet(t)
			tc.set(t, &e)
			f := finding(t, e, tc.what)
			if f.Wrong == tc.note || f.Noted != tc.note || !strings.Contains(f.Sentence, tc.says) || !strings.HasSuffix(f.Sentence, ".") {
				t.Errorf("%s: got %+v, want a sentence that names %s, only noted: %t", tc.what, f, tc.says, tc.note)
			}
		})
	}
}

// The service itself at its address is no stranger.
func TestTheDoctorKnowsTheService(t *testing.T) {
	t.Parallel()
	e := wellSet(t)
	a, err := Run(context.Background(), Config{Addr: "127.0.0.1:0", DatabaseURL: e.DatabaseURL})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = a.Close() }()
	defer http.DefaultClient.CloseIdleConnections()
	e.Addr = a.Addr().String()
	if f := finding(t, e, "address"); f.Wrong || !strings.Contains(f.Sentence, "answers at") {
		t.Errorf("address: got %+v, want the service found there", f)
	}
}

func TestHostsWithoutANetworkBefore(t *testing.T) {
	t.Parallel()
	for host, want := range map[string]bool{"": true, "127.0.0.1": true, "::1": true, "db": true, "localhost": true, "db.example.com": false, "10.0.0.7": false} {
		if got := near(host); got != want {
			t.Errorf("%q: got %t, want %t", host, got, want)
		}
	}
}

func run(t *testing.T, owner, sql string) {
	t.Helper()
	conn, err := connect(context.Background(), owner)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(context.Background()) }()
	if _, err := conn.Exec(context.Background(), sql); err != nil {
		t.Fatal(err)
	}
}
