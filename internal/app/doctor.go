package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/url"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/backup"
	"longpoint/internal/mail"
	"longpoint/internal/message"
	"longpoint/internal/push"
)

// Examined is what the doctor looks at.
type Examined struct {
	DatabaseURL, ListenURL, OwnerURL, Addr, MetricsAddr string

	Photos    PhotoConfig
	Mail      mail.Config
	Push      push.Config
	BackupDir string
	WebApp    fs.FS
	// Unknown are settings that are set and that nothing reads.
	Unknown []string
	Now     func() time.Time // nil is time.Now
}

// Found is one thing the doctor looked at. What is Wrong keeps the service from working as it should; what is only
// Noted runs, and somebody ought to know.
type Found struct {
	What         string
	Wrong, Noted bool
	Sentence     string
}

// Limits of what the doctor takes for well.
const (
	leastServer  = 150000          // PostgreSQL 15: the tests run there
	clockApart   = 5 * time.Second // drying times are in minutes
	leastFree    = 1 << 30         // bytes where photos or backups go
	backupOldest = 36 * time.Hour  // a daily one, late by half a day
	hearWithin   = 5 * time.Second
)

// note is a finding that does not keep the service from running.
type note struct{ sentence string }

func (n note) Error() string { return n.sentence }

func noted(sentence string, args ...any) error { return note{fmt.Sprintf(sentence, args...)} }

// Examine looks over the set-up without changing anything: each check says in a sentence what is wrong and what to do.
func Examine(ctx context.Context, e Examined) []Found {
	if e.Now == nil {
		e.Now = time.Now
	}
	var out []Found
	for _, c := range []struct {
		what string
		look func(context.Context) (fine string, err error)
	}{
		{"settings", e.settings},
		{"schema", e.schema},
		{"database", e.database},
		{"guard", e.guard},
		{"durability", e.durability},
		{"clock", e.clock},
		{"live", e.live},
		{"photos", e.photoStorage},
		{"space", e.space},
		{"backups", e.backups},
		{"address", e.address},
		{"metrics", e.metrics},
		{"e-mail", e.mailServer},
		{"phones", e.phones},
		{"web app", e.webApp},
	} {
		f := Found{What: c.what}
		fine, err := c.look(ctx)
		f.Sentence = fine
		if err != nil {
			var n note
			f.Noted = errors.As(err, &n)
			f.Wrong, f.Sentence = !f.Noted, err.Error()
		}
		out = append(out, f)
	}
	return out
}

func (e Examined) settings(context.Context) (string, error) {
	if len(e.Unknown) > 0 {
		return "", problem(nil, "%s is set and nothing reads it: look for a slip in the name in the table of deploy/README.md.", strings.Join(e.Unknown, ", "))
	}
	return "each one that is set is known", nil
}

func (e Examined) schema(ctx context.Context) (string, error) {
	at, err := MigrateVersion(ctx, e.OwnerURL)
	switch {
	case err != nil:
		return "", err
	case at < SchemaNeeded():
		return "", problem(nil, "The schema is at step %d and this program needs %d: run longpoint migrate up.", at, SchemaNeeded())
	case at > SchemaNeeded():
		return "", noted("The schema is at step %d and this program knows %d: a newer program was here, so bring this one up to date soon.", at, SchemaNeeded())
	}
	return fmt.Sprintf("at step %d", at), nil
}

func (e Examined) database(ctx context.Context) (string, error) {
	if err := checkService(ctx, e.DatabaseURL); err != nil {
		return "", err
	}
	// Names, phone numbers and passphrases' hashes cross this line.
	if u, err := url.Parse(e.DatabaseURL); err == nil && u.Query().Get("sslmode") == "disable" && !near(u.Hostname()) {
		return "", noted("DATABASE_URL goes to %s without TLS: set sslmode=verify-full in it, unless that network is private.", u.Hostname())
	}
	return "answers, as a role that row-level security binds", nil
}

// near is a host that no network lies before. A name without a dot is a container's neighbor.
func near(host string) bool {
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback() || !strings.Contains(host, ".") && ip == nil
}

const readUnguarded = `
	select
		coalesce(string_agg(relname, ', ' order by relname), '')
	from pg_class
	where relnamespace = 'public'::regnamespace
		and relkind in ('r', 'p')
		and relname <> 'schema_migrations'
		and not (relrowsecurity and relforcerowsecurity)`

// guard looks whether every table is closed to strangers.
func (e Examined) guard(ctx context.Context) (string, error) {
	var open string
	if err := e.ask(ctx, readUnguarded, &open); err != nil {
		return "", err
	}
	if open != "" {
		return "", problem(nil, "Row-level security is not forced on %s: run ALTER TABLE … FORCE ROW LEVEL SECURITY on each before anyone signs in.", open)
	}
	return "every table is closed to other companies", nil
}

// ask puts one question to the database as the service.
func (e Examined) ask(ctx context.Context, sql string, dst ...any) error {
	if e.DatabaseURL == "" {
		return problem(nil, "DATABASE_URL is not set.")
	}
	conn, err := connect(ctx, e.DatabaseURL)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	if err := conn.QueryRow(ctx, sql, pgx.QueryExecModeExec).Scan(dst...); err != nil {
		return databaseProblem(err)
	}
	return nil
}

const readDurability = `
	select
		current_setting('server_version_num')::int,
		current_setting('server_version'),
		current_setting('fsync'),
		current_setting('full_page_writes'),
		current_setting('synchronous_commit'),
		current_setting('server_encoding'),
		pg_is_in_recovery()`

// durability looks whether what is answered as kept outlives a power cut.
func (e Examined) durability(ctx context.Context) (string, error) {
	var (
		number                                   int
		version, fsync, pages, commits, encoding string
		standby                                  bool
	)
	if err := e.ask(ctx, readDurability, &number, &version, &fsync, &pages, &commits, &encoding, &standby); err != nil {
		return "", err
	}
	switch {
	case number < leastServer:
		return "", problem(nil, "PostgreSQL is %s: Longpoint needs 15 or later.", version)
	case standby:
		return "", problem(nil, "DATABASE_URL leads to a standby, which takes nothing: point it at the primary.")
	case fsync != "on" || pages != "on" || commits == "off":
		return "", problem(nil, "PostgreSQL may lose what it has answered for (fsync %s, full_page_writes %s, synchronous_commit %s): set all three to on.", fsync, pages, commits)
	case encoding != "UTF8":
		return "", problem(nil, "The database's encoding is %s: make one in UTF8.", encoding)
	}
	return "PostgreSQL " + version + " keeps what it has answered for", nil
}

func (e Examined) clock(ctx context.Context) (string, error) {
	var there time.Time
	before := e.Now()
	if err := e.ask(ctx, `select clock_timestamp()`, &there); err != nil {
		return "", err
	}
	after := e.Now()
	// Anything between asking and answer is no difference.
	apart := max(there.Sub(after), before.Sub(there), 0)
	if apart > clockApart {
		return "", problem(nil, "This machine's clock and the database's are %s apart: let both ask a time server (on Debian, apt-get install systemd-timesyncd).", apart.Round(time.Second))
	}
	return "agrees with the database's", nil
}

const hearing = "longpoint_doctor"

// live looks whether what one connection tells reaches the one that listens: a pooler that hands out connections by
// the transaction swallows it without a word.
func (e Examined) live(ctx context.Context) (string, error) {
	address := e.ListenURL
	if address == "" {
		address = e.DatabaseURL
	}
	if address == "" {
		return "", problem(nil, "DATABASE_URL is not set.")
	}
	ear, err := connect(ctx, address)
	if err != nil {
		return "", err
	}
	defer func() { _ = ear.Close(context.WithoutCancel(ctx)) }()
	if _, err := ear.Exec(ctx, "listen "+hearing); err != nil {
		return "", databaseProblem(err)
	}
	var nothing string
	if err := e.ask(ctx, `select coalesce(pg_notify('`+hearing+`', '')::text, '')`, &nothing); err != nil {
		return "", err
	}
	limit, cancel := context.WithTimeout(ctx, hearWithin)
	defer cancel()
	if _, err := ear.WaitForNotification(limit); err != nil {
		return "", problem(err, "Changes do not reach the connection that listens: set DATABASE_LISTEN_URL to the database itself, past the pooler.")
	}
	return "a change is heard", nil
}

func (e Examined) photoStorage(ctx context.Context) (string, error) {
	where, err := CheckPhotos(ctx, e.Photos)
	return "are kept in " + where, err
}

// space looks at the disks that photos and backups go to.
func (e Examined) space(context.Context) (string, error) {
	dirs := []string{e.BackupDir}
	if e.Photos.Bucket.Endpoint == "" {
		dirs = append(dirs, e.Photos.Dir)
	}
	for _, dir := range dirs {
		var s syscall.Statfs_t
		if dir == "" || syscall.Statfs(dir, &s) != nil {
			continue
		}
		if free := s.Bavail * uint64(max(s.Bsize, 0)); free < leastFree {
			return "", problem(nil, "%s has %d MB left: make room there, or photos and backups will be refused.", dir, free>>20)
		}
	}
	return "there is room for photos and backups", nil
}

func (e Examined) backups(context.Context) (string, error) {
	if e.BackupDir == "" {
		return "", noted("LONGPOINT_BACKUP_DIR is not set, so no backups are looked for here.")
	}
	latest, err := backup.Latest(e.BackupDir)
	if err != nil {
		return "", problem(err, "The backups in %s cannot be looked through: let this user read the folder.", e.BackupDir)
	}
	if latest == "" {
		return "", problem(nil, "There is no backup in %s: run longpoint backup --try, and switch its timer on.", e.BackupDir)
	}
	at, _ := backup.MadeAt(latest)
	if old := e.Now().Sub(at); old > backupOldest {
		return "", problem(nil, "The newest backup is %d hours old: look why longpoint-backup.timer has not run.", int(old.Hours()))
	}
	return "the newest is of " + at.Format("2006-01-02 15:04 UTC"), nil
}

// AskHere asks the service that listens on addr, on this machine, for a path. The answer's body
// is small and is to be closed. Errors: of an addr that is no address (*net.AddrError), and of an
// answer that did not come within the time.
func AskHere(ctx context.Context, addr, path string, within time.Duration) (*http.Response, error) {
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, err
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+net.JoinHostPort(host, port)+path, nil)
	if err != nil {
		return nil, err
	}
	client := http.Client{Timeout: within}
	return client.Do(r)
}

// address looks whether the port is free, or is this service's already.
func (e Examined) address(ctx context.Context) (string, error) {
	l, err := listen(ctx, e.Addr)
	if err == nil {
		return e.Addr + " is free to listen on", l.Close()
	}
	if answer, askErr := AskHere(ctx, e.Addr, "/healthz", hearWithin); askErr == nil {
		_ = answer.Body.Close()
		if answer.StatusCode == http.StatusOK && answer.Header.Get("X-Request-Id") != "" {
			return "the service answers at " + e.Addr, nil
		}
	}
	return "", err
}

func (e Examined) metrics(context.Context) (string, error) {
	if e.MetricsAddr == "" {
		return "are off", nil
	}
	host, _, err := net.SplitHostPort(e.MetricsAddr)
	if err != nil {
		return "", problem(err, "%q is no address: set LONGPOINT_METRICS_ADDR to one like 127.0.0.1:9090.", e.MetricsAddr)
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		return "", noted("LONGPOINT_METRICS_ADDR listens on every address and asks nobody who they are: see that only Prometheus reaches it.")
	}
	return "at " + e.MetricsAddr, nil
}

func (e Examined) mailServer(ctx context.Context) (string, error) {
	if !e.Mail.On() {
		return "is off: links are passed on by hand", nil
	}
	sender, err := mail.New(e.Mail)
	if err != nil {
		return "", problem(err, "%s.", err)
	}
	if err := sender.Look(ctx); err != nil {
		says := map[message.Trouble]string{
			message.NotLetIn:   "does not take name and password",
			message.NotPrivate: "does not make the connection private; smtps:// is for TLS from the start, smtp+plain:// for a server on this machine",
		}[mail.TroubleOf(err)]
		if says == "" {
			says = "does not answer"
		}
		return "", problem(err, "The mail server of LONGPOINT_SMTP_URL %s. Until that is set right, messages wait and links are passed on by hand.", says)
	}
	return "the mail server lets us in", nil
}

func (e Examined) phones(context.Context) (string, error) {
	if !e.Push.On() {
		return "are told nothing: longpoint push-key prints what to set for notifications", nil
	}
	if _, err := push.New(e.Push); err != nil {
		return "", problem(err, "%s.", err)
	}
	return "can be told of work", nil
}

func (e Examined) webApp(context.Context) (string, error) {
	if e.WebApp == nil {
		return "", problem(nil, "The web app is not built into this program: run make build, or set LONGPOINT_WEB_DIR.")
	}
	if _, err := fs.Stat(e.WebApp, "index.html"); err != nil {
		return "", problem(err, "LONGPOINT_WEB_DIR holds no index.html: point it at the built web app.")
	}
	return "is there", nil
}
