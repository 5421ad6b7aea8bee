package model

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/pglocal"
	"longpoint/internal/testdb"
	"longpoint/migrations"
)

// service is the program the phones talk to. kill gives it no time for anything.
type service interface {
	start() (base string, err error)
	kill()
	// killDatabase kills PostgreSQL and starts it again; the service lives on.
	killDatabase() error
	close()
	clock() *clock
	ownerURL() string
	appURL() string
}

// kind says how a world's service runs.
type kind int

const (
	inProcess kind = iota
	ownProcess
)

func newService(t *testing.T, k kind) service {
	t.Helper()
	if k == inProcess {
		db := testdb.New(t)
		return &within{db: db, time: &clock{}}
	}
	p := &process{time: &clock{began: time.Now(), speed: childSpeed}}
	if err := p.startDatabase(); err != nil {
		t.Fatal(err)
	}
	return p
}

// within runs the service in this process.
type within struct {
	db   *testdb.DB
	time *clock
	app  *app.App
	stop context.CancelFunc
}

func (s *within) start() (string, error) {
	ctx, stop := context.WithCancel(context.Background())
	a, err := app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: s.db.AppURL, Clock: s.time.now, Grace: time.Nanosecond})
	if err != nil {
		stop()
		return "", err
	}
	s.app, s.stop = a, stop
	return "http://" + a.Addr().String(), nil
}

func (s *within) kill() {
	s.stop()
	_ = s.app.Close() // requests under way are cut off: that is the point
}

func (s *within) killDatabase() error { return fmt.Errorf("this world's database is shared") }
func (s *within) close()              {}
func (s *within) clock() *clock       { return s.time }
func (s *within) ownerURL() string    { return s.db.OwnerURL }
func (s *within) appURL() string      { return s.db.AppURL }

// process runs the service as a child, beside a PostgreSQL of its own.
type process struct {
	time  *clock
	dir   *pglocal.HeldDir
	pg    *pglocal.Server
	child *exec.Cmd
	life  io.Closer // the child ends when this is closed
}

// The child is this test program, told by these to serve.
const (
	childEnv   = "LONGPOINT_MODEL_SERVE"
	childBegan = "LONGPOINT_MODEL_BEGAN"
	// childSpeed lets caulk dry within a test.
	childSpeed = 600
	listening  = "listening on "
	database   = "longpoint"
	startLimit = 2 * time.Minute
)

func serveAsChild() int {
	began, err := strconv.ParseInt(os.Getenv(childBegan), 10, 64)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	c := &clock{began: time.Unix(0, began), speed: childSpeed}
	ctx, stop := context.WithCancel(context.Background())
	go func() {
		_, _ = io.Copy(io.Discard, os.Stdin) // the parent is gone
		stop()
	}()
	a, err := app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: os.Getenv(childEnv), Clock: c.now})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	fmt.Println(listening + a.Addr().String())
	<-a.Done()
	return 0
}

func (p *process) start() (string, error) {
	program, err := os.Executable()
	if err != nil {
		return "", err
	}
	p.child = exec.Command(program)
	p.child.Env = append(os.Environ(), childEnv+"="+p.appURL(), childBegan+"="+strconv.FormatInt(p.time.began.UnixNano(), 10))
	p.child.Stderr = os.Stderr
	if p.life, err = p.child.StdinPipe(); err != nil {
		return "", err
	}
	out, err := p.child.StdoutPipe()
	if err != nil {
		return "", err
	}
	if err := p.child.Start(); err != nil {
		return "", err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	addr, said := strings.CutPrefix(strings.TrimSpace(line), listening)
	if err != nil || !said {
		p.kill()
		return "", fmt.Errorf("the service did not start: %q, %v", line, err)
	}
	return "http://" + addr, nil
}

func (p *process) kill() {
	_ = p.child.Process.Signal(syscall.SIGKILL)
	_ = p.child.Wait()
	_ = p.life.Close()
}

// socketLink is where the service finds PostgreSQL's socket, whose folder changes with every
// start.
func (p *process) socketLink() string { return p.dir.Path + "/socket" }

func (p *process) startDatabase() error {
	var err error
	if p.dir, err = pglocal.HoldTempDir("", "lp-model-"); err != nil {
		return err
	}
	if err := p.launchDatabase(); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.Background(), startLimit)
	defer cancel()
	if err := p.pg.EnsureDatabase(ctx, database); err != nil {
		return err
	}
	return migrations.Up(ctx, p.ownerURL())
}

func (p *process) launchDatabase() error {
	ctx, cancel := context.WithTimeout(context.Background(), startLimit)
	defer cancel()
	var err error
	p.pg, err = pglocal.Start(ctx, pglocal.Config{DataDir: p.dir.Path + "/data", Fsync: true})
	if err != nil {
		return err
	}
	_ = os.Remove(p.socketLink())
	return os.Symlink(p.pg.SocketDir(), p.socketLink())
}

func (p *process) killDatabase() error {
	if err := syscall.Kill(p.pg.PID(), syscall.SIGKILL); err != nil {
		return err
	}
	<-p.pg.Done()
	_ = p.pg.Stop(context.Background()) // it is gone; this clears up after it
	return p.launchDatabase()
}

func (p *process) close() {
	ctx, cancel := context.WithTimeout(context.Background(), startLimit)
	defer cancel()
	_ = p.pg.Stop(ctx)
	_ = p.dir.Release()
}

func (p *process) clock() *clock    { return p.time }
func (p *process) ownerURL() string { return p.url(pglocal.Superuser) }
func (p *process) appURL() string   { return p.url(testdb.AppRole) }

func (p *process) url(user string) string {
	return strings.ReplaceAll(p.pg.DSN(database, user), escaped(p.pg.SocketDir()), escaped(p.socketLink()))
}

func escaped(path string) string { return strings.ReplaceAll(path, "/", "%2F") }
