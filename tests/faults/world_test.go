package faults

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/pglocal"
	"longpoint/internal/photo/phototest"
	"longpoint/internal/testdb"
	"longpoint/migrations"
	"longpoint/tests/crew"
)

func TestMain(m *testing.M) {
	if os.Getenv(serveEnv) != "" {
		os.Exit(serveAsNode())
	}
	os.Exit(testdb.LeakFree(m))
}

const database = "longpoint"

// world is a whole set-up on this machine: phones, a proxy, two nodes, a PostgreSQL with fsync on and its standby, a storage
// of objects for photos, and a way between each pair that can be broken.
//
//	phones —street— proxy —door[i]— node[i] —cellar[i]— PostgreSQL —loft— standby
//	                                node[i] —yard[i]— object storage
type world struct {
	t      *testing.T
	dir    string
	data   string // PostgreSQL's
	photos string // their folder; empty where they go to the object storage

	pgMu    sync.Mutex
	pg      *pglocal.Server
	standby *pglocal.Server
	loft    *link
	cellar  [2]*link
	objects *phototest.Objects
	yard    [2]*link
	nodes   [2]*node
	door    [2]*link
	proxy   *exec.Cmd
	street  *link

	phones  []*phone
	cameras []*camera
}

// newWorld brings it up. data and photos are folders of their own where the test wants them on a small disk; without one
// for photos they go to the object storage.
func newWorld(t *testing.T, data, photos string, phones int) *world {
	t.Helper()
	w := &world{t: t, data: data, photos: photos}
	held, err := pglocal.HoldTempDir("", "lp-faults-")
	if err != nil {
		t.Fatal(err)
	}
	w.dir = held.Path
	t.Cleanup(func() { _ = held.Release() })
	if w.data == "" {
		w.data = filepath.Join(w.dir, "data")
	}
	t.Cleanup(w.close)
	if err := w.startDatabase(); err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	if err := w.pg.EnsureDatabase(ctx, database); err != nil {
		t.Fatal(err)
	}
	if err := migrations.Up(ctx, w.owner()); err != nil {
		t.Fatal(err)
	}
	if w.photos == "" {
		w.startObjects()
	}
	for i := range w.nodes {
		if w.cellar[i], err = newLink(w.dialDatabase); err != nil {
			t.Fatal(err)
		}
		log, err := os.Create(filepath.Join(w.dir, fmt.Sprintf("node%d.log", i+1)))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = log.Close() })
		w.nodes[i] = &node{name: fmt.Sprintf("node %d", i+1), photos: w.photos, log: log,
			database: "postgres://" + testdb.AppRole + "@" + w.cellar[i].addr() + "/" + database + "?sslmode=disable&connect_timeout=5"}
		if w.yard[i] != nil {
			w.nodes[i].objects = "http://" + w.yard[i].addr()
		}
		if err := w.nodes[i].start(); err != nil {
			t.Fatal(err)
		}
		if w.door[i], err = newLink(to("tcp", w.nodes[i].addr)); err != nil {
			t.Fatal(err)
		}
	}
	w.startProxy()
	w.settle(phones)
	return w
}

// settings are both PostgreSQLs'. One that hears nothing from the other for two seconds, a minute in life, takes the way for
// broken.
var settings = map[string]string{"shared_buffers": "32MB", "max_wal_size": "64MB", "min_wal_size": "32MB",
	"wal_sender_timeout": "2s", "wal_receiver_timeout": "2s", "wal_retrieve_retry_interval": "500ms"}

func (w *world) startDatabase() error {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	pg, err := pglocal.Start(ctx, pglocal.Config{DataDir: w.data, Fsync: true,
		Settings: settings})
	if err != nil {
		return err
	}
	w.pgMu.Lock()
	w.pg = pg
	w.pgMu.Unlock()
	return nil
}

func (w *world) database() *pglocal.Server {
	w.pgMu.Lock()
	defer w.pgMu.Unlock()
	return w.pg
}

// dialDatabase goes to the socket of whichever PostgreSQL runs now: its folder changes with every start.
func (w *world) dialDatabase(ctx context.Context) (net.Conn, error) {
	pg := w.database()
	return to("unix", filepath.Join(pg.SocketDir(), fmt.Sprintf(".s.PGSQL.%d", pg.Port())))(ctx)
}

// killDatabase kills PostgreSQL with the signal that nothing can catch, and starts it again.
func (w *world) killDatabase() error {
	pg := w.database()
	if err := syscall.Kill(pg.PID(), syscall.SIGKILL); err != nil {
		return err
	}
	<-pg.Done()
	return w.reviveDatabase()
}

func (w *world) reviveDatabase() error {
	_ = w.database().Stop(context.Background()) // gone; this clears up after it
	var err error
	for range 20 {
		if err = w.startDatabase(); err == nil {
			return nil
		}
		pause(500 * time.Millisecond)
	}
	return err
}

func (w *world) owner() string   { return w.database().DSN(database, pglocal.Superuser) }
func (w *world) service() string { return w.database().DSN(database, testdb.AppRole) }

// startProxy runs the proxy of deploy/ over plain HTTP.
func (w *world) startProxy() {
	w.t.Helper()
	program, err := exec.LookPath("caddy")
	if err != nil {
		w.t.Fatal("the proxy that deploy/ uses is not installed: on Debian, apt-get install caddy (deploy/need.sh all)")
	}
	config, err := filepath.Abs("../../deploy/proxy/Caddyfile")
	if err != nil {
		w.t.Fatal(err)
	}
	port, err := freePort()
	if err != nil {
		w.t.Fatal(err)
	}
	log, err := os.Create(filepath.Join(w.dir, "proxy.log"))
	if err != nil {
		w.t.Fatal(err)
	}
	w.t.Cleanup(func() { _ = log.Close() })
	w.proxy = exec.Command(program, "run", "--adapter", "caddyfile", "--config", config)
	w.proxy.Env = append(os.Environ(), fmt.Sprintf("LONGPOINT_SITE=http://127.0.0.1:%d", port), "LONGPOINT_NODES="+w.door[0].addr()+" "+w.door[1].addr(),
		"HOME="+w.dir, "XDG_DATA_HOME="+w.dir, "XDG_CONFIG_HOME="+w.dir)
	w.proxy.Stdout, w.proxy.Stderr = log, log
	w.proxy.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := w.proxy.Start(); err != nil {
		w.t.Fatal(err)
	}
	at := fmt.Sprintf("127.0.0.1:%d", port)
	if w.street, err = newLink(to("tcp", at)); err != nil {
		w.t.Fatal(err)
	}
	for range 100 {
		if c, err := net.Dial("tcp", at); err == nil {
			_ = c.Close()
			return
		}
		pause(100 * time.Millisecond)
	}
	w.t.Fatal("the proxy does not listen")
}

func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer func() { _ = l.Close() }()
	return l.Addr().(*net.TCPAddr).Port, nil
}

// settle makes a company and lets phones sign in, two to a job.
func (w *world) settle(phones int) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	lead, err := crew.Company(ctx, w.service(), "lead")
	if err != nil {
		w.t.Fatal(err)
	}
	for i := range phones {
		p, err := crew.SignIn(ctx, "http://"+w.street.addr(), lead.SignIn, nil)
		if err != nil {
			w.t.Fatal(err)
		}
		if i%2 == 0 {
			err = p.Build(ctx, "")
		} else {
			first := w.phones[i-1].p
			p.Job, p.Room, p.Item = first.Job, first.Room, first.Item
		}
		if err != nil {
			w.t.Fatal(err)
		}
		w.phones = append(w.phones, newPhone(p, uint64(i)))
	}
	for i := 0; w.objects != nil && i < phones; i += 4 { // a photographer to every second job
		p, err := crew.SignIn(ctx, "http://"+w.street.addr(), lead.SignIn, nil)
		if err != nil {
			w.t.Fatal(err)
		}
		first := w.phones[i].p
		p.Job, p.Room, p.Item = first.Job, first.Room, first.Item
		w.cameras = append(w.cameras, newCamera(p, uint64(i)))
	}
}

// ways are all that can be broken.
func (w *world) ways() []*link {
	return []*link{w.street, w.door[0], w.door[1], w.cellar[0], w.cellar[1], w.yard[0], w.yard[1], w.loft}
}

// heal takes every fault away.
func (w *world) heal() {
	for _, k := range w.ways() {
		if k != nil {
			k.set(false, false, 0)
		}
	}
}

func (w *world) close() {
	if w.t.Failed() {
		for _, name := range []string{"node1.log", "node2.log", "proxy.log"} {
			b, _ := os.ReadFile(filepath.Join(w.dir, name))
			w.t.Logf("%s ends:\n%s", name, b[max(0, len(b)-3000):])
		}
	}
	for _, p := range w.phones {
		p.p.HTTP.CloseIdleConnections()
	}
	for _, c := range w.cameras {
		c.p.HTTP.CloseIdleConnections()
	}
	if w.proxy != nil && w.proxy.Process != nil {
		_ = w.proxy.Process.Signal(syscall.SIGTERM)
		_ = w.proxy.Wait()
	}
	for i := range w.nodes {
		if w.nodes[i] != nil {
			w.nodes[i].kill()
		}
	}
	for _, k := range w.ways() {
		if k != nil {
			k.close()
		}
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	for _, pg := range []*pglocal.Server{w.standby, w.pg} {
		if pg != nil {
			_ = pg.Stop(ctx)
		}
	}
}

// rebuild compares the projections with a fold of every log.
func (w *world) rebuild() (int, error) {
	rep, err := app.Rebuild(context.Background(), w.owner(), "", true)
	return len(rep.Differences), err
}
