// Package nodes tries out what deploy/compose.nodes.yml is made of, with the same scripts and files: the service behind a
// pooler that hands out connections by the transaction, and a standby that follows and takes over.
package nodes

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/app"
	"longpoint/internal/pglocal"
	"longpoint/internal/testdb"
	"longpoint/internal/testport"
	"longpoint/migrations"
	"longpoint/tests/crew"
)

func TestMain(m *testing.M) { os.Exit(testdb.LeakFree(m)) }

const (
	database = "longpoint"
	password = "plumb-and-level-7"
	upLimit  = 2 * time.Minute
)

// primary is a PostgreSQL that also listens on TCP, with the service's role and its password in it.
func primary(t *testing.T) *pglocal.Server {
	t.Helper()
	ctx := context.Background()
	held, err := pglocal.HoldTempDir("", "lp-nodes-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = held.Release() })
	pg, err := pglocal.Start(ctx, pglocal.Config{DataDir: filepath.Join(held.Path, "data"), Port: testport.Free(t),
		Settings: map[string]string{"wal_level": "replica", "max_wal_senders": "4"}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = pg.Stop(context.Background()) })
	if err := pg.EnsureDatabase(ctx, database); err != nil {
		t.Fatal(err)
	}
	owner := pg.DSN(database, pglocal.Superuser)
	if err := migrations.Up(ctx, owner); err != nil {
		t.Fatal(err)
	}
	sql(t, owner, `alter role longpoint_app password '`+password+`'`)
	return pg
}

func sql(t *testing.T, address, statement string) (out string) {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(context.Background()) }()
	if strings.HasPrefix(statement, "select") {
		if err := conn.QueryRow(context.Background(), statement).Scan(&out); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
		return out
	}
	if _, err := conn.Exec(context.Background(), statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
	return ""
}

// asPostgres runs a program as the user that PostgreSQL's programs want: not root.
func asPostgres(t *testing.T, dir string, env []string, program string, args ...string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Dir = dir
	cmd.Env = append([]string{"PATH=" + os.Getenv("PATH") + ":" + binaries(t), "LC_ALL=C.UTF-8", "TMPDIR=" + dir}, env...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
	if os.Getuid() == 0 {
		u, err := user.Lookup("postgres")
		if err != nil {
			t.Fatal(err)
		}
		uid, _ := strconv.Atoi(u.Uid)
		gid, _ := strconv.Atoi(u.Gid)
		if err := filepath.Walk(dir, func(at string, _ os.FileInfo, err error) error {
			if err != nil {
				return err
			}
			return os.Chown(at, uid, gid)
		}); err != nil {
			t.Fatal(err)
		}
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	}
	log, err := os.Create(filepath.Join(t.TempDir(), "log"))
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGQUIT)
		_ = cmd.Wait()
		if b, _ := os.ReadFile(log.Name()); t.Failed() {
			t.Logf("%s said:\n%s", filepath.Base(program), b[max(0, len(b)-3000):])
		}
		_ = log.Close()
	})
	return cmd
}

func binaries(t *testing.T) string {
	t.Helper()
	bin, _, err := pglocal.FindBinaries()
	if err != nil {
		t.Fatal(err)
	}
	return bin
}

// openDir is a folder that another user may go into.
func openDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "lp-nodes-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// copied puts a file of deploy/ into dir with some of its text replaced.
func copied(t *testing.T, dir, name string, mode os.FileMode, replace ...string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("../../deploy", name))
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(dir, filepath.Base(name))
	text := string(b)
	for i := 0; i+1 < len(replace); i += 2 {
		if !strings.Contains(text, replace[i]) {
			t.Fatalf("%s does not say %q", name, replace[i])
		}
		text = strings.ReplaceAll(text, replace[i], replace[i+1])
	}
	if err := os.WriteFile(to, []byte(text), mode); err != nil {
		t.Fatal(err)
	}
	return to
}

// answers waits until a database does.
func answers(t *testing.T, address string) {
	t.Helper()
	limit := time.After(upLimit)
	for {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		conn, err := pgx.Connect(ctx, address)
		if err == nil {
			_ = conn.Close(ctx)
			cancel()
			return
		}
		cancel()
		select {
		case <-limit:
			t.Fatalf("it does not answer: %v", err)
		case <-time.After(100 * time.Millisecond):
		}
	}
}

// TestBehindThePooler runs two nodes through the pooler of deploy/, as its compose file tells them to: six phones' work is
// all taken, each node hears what the other changed, and the doctor says what is wrong when listening goes through the
// pooler too.
func TestBehindThePooler(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("pgbouncer"); err != nil {
		t.Fatal("pgbouncer is not installed: deploy/need.sh all")
	}
	ctx := context.Background()
	pg := primary(t)
	dir, port := openDir(t), testport.Free(t)
	copied(t, dir, "pooler/pooler.ini", 0o644, "listen_addr = 0.0.0.0", "listen_addr = 127.0.0.1", "listen_port = 6432", fmt.Sprintf("listen_port = %d", port),
		"default_pool_size = 20", "default_pool_size = 4")
	start := copied(t, dir, "pooler/start.sh", 0o755)
	asPostgres(t, dir, []string{"POOLER_USER=longpoint_app", "POOLER_PASSWORD=" + password,
		fmt.Sprintf("POOLER_DATABASE=host=127.0.0.1 port=%d dbname=%s", pg.Port(), database)}, start)
	pooled := fmt.Sprintf("postgres://longpoint_app:%s@127.0.0.1:%d/%s?sslmode=disable&default_query_exec_mode=cache_describe", password, port, database)
	direct := fmt.Sprintf("postgres://longpoint_app:%s@127.0.0.1:%d/%s?sslmode=disable", password, pg.Port(), database)
	answers(t, pooled)

	lead, err := crew.Company(ctx, direct, "lead")
	if err != nil {
		t.Fatal(err)
	}
	var people []*crew.Person
	for i := range 2 {
		a, err := app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: pooled, ListenURL: direct})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = a.Close() })
		for range 3 {
			p, err := crew.SignIn(ctx, "http://"+a.Addr().String(), lead.SignIn, nil)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(p.HTTP.CloseIdleConnections)
			if i == 0 && len(people) == 0 {
				if err := p.Build(ctx, ""); err != nil {
					t.Fatal(err)
				}
			} else {
				p.Job, p.Room, p.Item = people[0].Job, people[0].Room, people[0].Item
			}
			people = append(people, p)
		}
	}
	// The last phone's node hears of what the first phone's changes.
	far := people[len(people)-1]
	listen, stop := context.WithCancel(ctx)
	defer stop()
	r, err := http.NewRequestWithContext(listen, http.MethodGet, far.Base+"/api/v1/jobs/"+far.Job+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	stream, err := far.HTTP.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = stream.Body.Close() }()

	const each = 25
	var wait sync.WaitGroup
	for i, p := range people {
		wait.Go(func() {
			for n := range each {
				c, err := crew.Take(p.Item, "width_top", fmt.Sprintf("30 %d/16", (i+n)%15+1))
				if err == nil {
					err = p.Send(ctx, c)
				}
				if err != nil {
					t.Error(err)
					return
				}
			}
		})
	}
	wait.Wait()
	last := 0
	for _, p := range people {
		last = max(last, int(p.Seq))
	}
	heard := make([]byte, 64<<10)
	var text string
	for limit := time.Now().Add(upLimit); !strings.Contains(text, fmt.Sprintf(`{"seq":%d}`, last)) && time.Now().Before(limit); {
		n, err := stream.Body.Read(heard)
		text += string(heard[:n])
		if err != nil {
			t.Fatalf("the stream ended: %v after %q", err, text)
		}
	}
	owner := pg.DSN(database, pglocal.Superuser)
	rep, err := app.Rebuild(ctx, owner, "", true)
	if err != nil || len(rep.Differences) != 0 || rep.Entries != len(people)*each+11 {
		t.Errorf("rebuild --check: %+v, %v; want %d entries and no differences", rep, err, len(people)*each+11)
	}
	for through, wrong := range map[string]bool{direct: false, pooled: true} {
		for _, f := range app.Examine(ctx, app.Examined{DatabaseURL: pooled, ListenURL: through, OwnerURL: owner, Addr: "127.0.0.1:0"}) {
			if f.What == "live" && f.Wrong != wrong {
				t.Errorf("listening at %s: got %+v, want it wrong: %t", through, f, wrong)
			}
			if f.What == "database" && f.Wrong {
				t.Errorf("database: %s", f.Sentence)
			}
		}
	}
	fmt.Printf("nodes: %d commands from %d phones through two nodes and a pooler of 4 connections; the other node heard up to number %d\n", rep.Entries, len(people), last)
}

// TestTheStandbyFollowsAndTakesOver makes a standby with the scripts of deploy/, writes at the primary, kills it, and goes
// on with the standby: everything that was answered for and had reached it is there.
func TestTheStandbyFollowsAndTakesOver(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	pg := primary(t)
	owner := pg.DSN(database, pglocal.Superuser)
	// What primary.sh does inside the container.
	script, err := os.ReadFile("../../deploy/standby/primary.sh")
	if err != nil || !strings.Contains(string(script), "login replication password") || !strings.Contains(string(script), "host replication longpoint_standby all scram-sha-256") {
		t.Fatalf("primary.sh: %v", err)
	}
	sql(t, owner, `create role longpoint_standby login replication password '`+password+`'`)
	hba := sql(t, owner, `select current_setting('hba_file')`)
	f, err := os.OpenFile(hba, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fmt.Fprintln(f, "host replication longpoint_standby all scram-sha-256"); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	sql(t, owner, `select pg_reload_conf()::text`)

	dir, port := openDir(t), testport.Free(t)
	start := copied(t, dir, "standby/start.sh", 0o755)
	asPostgres(t, dir, []string{"PGDATA=" + filepath.Join(dir, "data"), "PRIMARY=127.0.0.1", "PGPORT=" + strconv.Itoa(pg.Port()), "STANDBY_PASSWORD=" + password},
		start, "-c", "listen_addresses=127.0.0.1", "-c", fmt.Sprintf("port=%d", port), "-c", "unix_socket_directories="+dir, "-c", "unix_socket_permissions=0700")
	there := func(role string) string {
		q := fmt.Sprintf("?host=%s&port=%d&sslmode=disable", strings.ReplaceAll(dir, "/", "%2F"), port)
		return "postgres://" + role + "@/" + database + q
	}
	answers(t, there(pglocal.Superuser))

	lead, err := crew.Company(ctx, pg.DSN(database, testdb.AppRole), "lead")
	if err != nil {
		t.Fatal(err)
	}
	a, err := app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: pg.DSN(database, testdb.AppRole)})
	if err != nil {
		t.Fatal(err)
	}
	p, err := crew.SignIn(ctx, "http://"+a.Addr().String(), lead.SignIn, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer p.HTTP.CloseIdleConnections()
	if err := p.Build(ctx, ""); err != nil {
		t.Fatal(err)
	}
	mark := sql(t, owner, `select pg_current_wal_lsn()::text`)
	limit := time.Now().Add(upLimit)
	for sql(t, there(pglocal.Superuser), `select (pg_last_wal_replay_lsn() >= '`+mark+`')::text`) != "true" {
		if time.Now().After(limit) {
			t.Fatal("the standby does not follow")
		}
	}
	// A standby takes nothing, and the doctor says so.
	for _, f := range app.Examine(ctx, app.Examined{DatabaseURL: there(testdb.AppRole), OwnerURL: there(pglocal.Superuser), Addr: "127.0.0.1:0"}) {
		if f.What == "durability" && !strings.Contains(f.Sentence, "standby") {
			t.Errorf("the doctor of a standby: %+v", f)
		}
	}
	if err := a.Close(); err != nil {
		t.Error(err)
	}
	if err := syscall.Kill(pg.PID(), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	<-pg.Done()
	sql(t, there(pglocal.Superuser), `select pg_promote()::text`)
	a, err = app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: there(testdb.AppRole)})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = a.Close() }()
	p.Base = "http://" + a.Addr().String() // the session is there too
	c, err := crew.Take(p.Item, "width_top", "30")
	if err != nil {
		t.Fatal(err)
	}
	before := p.Seq
	if err := p.Send(ctx, c); err != nil {
		t.Fatal(err)
	}
	if p.Seq != before+1 {
		t.Errorf("the log after the change of primary: got number %d, want %d", p.Seq, before+1)
	}
	if rep, err := app.Rebuild(ctx, there(pglocal.Superuser), "", true); err != nil || len(rep.Differences) != 0 {
		t.Errorf("rebuild --check: %+v, %v", rep, err)
	}
	fmt.Printf("nodes: the standby took over at number %d, the next command is number %d\n", before, p.Seq)
}
