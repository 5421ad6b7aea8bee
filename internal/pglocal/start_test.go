//go:build linux

package pglocal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

func TestRowsOutliveARestart(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(place(t), "made", "data")
	first := mustStart(t, Config{DataDir: dir, Fsync: true})
	if err := writeRow(ctx, first, "kept"); err != nil {
		t.Fatalf("writing: %v", err)
	}
	stop(t, first)
	if _, err := os.Stat(first.SocketDir()); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("socket directory after Stop: got %v, want it gone", err)
	}
	if _, _, lives := lookUp(first.PID()); lives {
		t.Errorf("postmaster %d after Stop: still runs", first.PID())
	}
	again := mustStart(t, Config{DataDir: dir, Fsync: true})
	if got, want := readRows(t, again), []string{"kept"}; !slices.Equal(got, want) {
		t.Errorf("rows after a restart: got %q, want %q", got, want)
	}
}

func TestRowsOutliveAKilledPostmaster(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(place(t), "data")
	first := mustStart(t, Config{DataDir: dir, Fsync: true})
	if err := writeRow(ctx, first, "kept"); err != nil {
		t.Fatalf("writing: %v", err)
	}
	if err := syscall.Kill(first.PID(), syscall.SIGKILL); err != nil {
		t.Fatalf("killing the postmaster: %v", err)
	}
	<-first.Done()
	again := mustStart(t, Config{DataDir: dir, Fsync: true}) // before Stop: its children may still be ending
	if got, want := readRows(t, again), []string{"kept"}; !slices.Equal(got, want) {
		t.Errorf("rows after kill -9 of the postmaster: got %q, want %q", got, want)
	}
	if !slices.ContainsFunc(again.proc.log.tail(), func(l string) bool { return strings.Contains(l, "automatic recovery in progress") }) {
		t.Errorf("the server's log tells of no recovery, so nothing was tested: %q", again.proc.log.tail())
	}
}

// signalOn is a log handler that says when the server's log has a line with text in it.
type signalOn struct {
	slog.Handler
	text string
	once *sync.Once
	seen chan struct{}
}

func (h signalOn) Enabled(context.Context, slog.Level) bool { return true }

func (h signalOn) Handle(_ context.Context, r slog.Record) error {
	r.Attrs(func(a slog.Attr) bool {
		if strings.Contains(a.Value.String(), h.text) {
			h.once.Do(func() { close(h.seen) })
		}
		return true
	})
	return nil
}

// A session that has not noticed its postmaster's death holds the shared memory, and PostgreSQL refuses to start beside it.
func TestASurvivingSessionIsWaitedFor(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(place(t), "data")
	first := mustStart(t, Config{DataDir: dir, Fsync: true})
	conn, err := pgx.Connect(ctx, first.DSN("postgres", Superuser))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(ctx) }()
	session := int(conn.PgConn().PID())
	if err := errors.Join(syscall.Kill(session, syscall.SIGSTOP), syscall.Kill(first.PID(), syscall.SIGKILL)); err != nil {
		t.Fatalf("stopping the session, killing the postmaster: %v", err)
	}
	<-first.Done()
	h := signalOn{slog.DiscardHandler, "pre-existing shared memory block", new(sync.Once), make(chan struct{})}
	resumed := make(chan error, 1)
	go func() {
		select {
		case <-h.seen:
			resumed <- syscall.Kill(session, syscall.SIGCONT)
		case <-time.After(20 * time.Second):
			resumed <- errors.Join(errors.New("PostgreSQL was not refused, so nothing was tested"), syscall.Kill(session, syscall.SIGCONT))
		}
	}()
	mustStart(t, Config{DataDir: dir, Fsync: true, Logger: slog.New(h)})
	if err := <-resumed; err != nil {
		t.Error(err)
	}
}

func TestRowsOutliveAKilledProgram(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(place(t), "data")
	program := exec.Command(os.Args[0])
	postmaster := helper(t, dir, program)
	if err := program.Process.Kill(); err != nil {
		t.Fatalf("killing the program: %v", err)
	}
	_ = program.Wait()
	s := mustStart(t, Config{DataDir: dir, Fsync: true})
	if got, want := readRows(t, s), []string{"the helper's"}; !slices.Equal(got, want) {
		t.Errorf("rows after kill -9 of the program: got %q, want %q", got, want)
	}
	if p, _, lives := lookUp(postmaster); lives && p.serves(dir) && postmaster != s.PID() {
		t.Errorf("postmaster %d of the killed program still runs", postmaster)
	}
}

// The kernel does it: nobody starts another server here.
func TestTheServerEndsWithItsProgram(t *testing.T) {
	t.Parallel()
	program := exec.Command(os.Args[0])
	postmaster := helper(t, filepath.Join(place(t), "data"), program)
	if err := program.Process.Kill(); err != nil {
		t.Fatalf("killing the program: %v", err)
	}
	_ = program.Wait()
	until(t, "the postmaster to end", func() bool { _, _, lives := lookUp(postmaster); return !lives })
}

// A zombie answers kill(pid, 0), by which PostgreSQL judges: left to itself it would refuse to start for ever.
func TestAZombiePostmasterIsDead(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(place(t), "data")
	first := mustStart(t, Config{DataDir: dir, Fsync: true})
	if err := writeRow(ctx, first, "kept"); err != nil {
		t.Fatalf("writing: %v", err)
	}
	stop(t, first)
	pidFile := filepath.Join(dir, "postmaster.pid")
	zombie := first.account.command(0, dir, filepath.Join(first.bin, "postgres"), "-D", dir, "-c", "listen_addresses=", "-c", "unix_socket_directories="+dir)
	if err := zombie.Start(); err != nil {
		t.Fatalf("starting the postmaster to be: %v", err)
	}
	pid := zombie.Process.Pid
	until(t, "the postmaster to be ready", func() bool { pf, err := readPIDFile(dir); return err == nil && pf.ready && pf.pid == pid })
	if err := zombie.Process.Kill(); err != nil {
		t.Fatalf("killing it: %v", err)
	}
	until(t, "it to be a zombie", func() bool { _, exists, lives := lookUp(pid); return exists && !lives })
	t.Cleanup(func() { _ = zombie.Wait() })
	if _, err := os.Stat(pidFile); err != nil {
		t.Fatalf("the zombie left no postmaster.pid, so nothing is tested: %v", err)
	}
	s := mustStart(t, Config{DataDir: dir, Fsync: true})
	if got, want := readRows(t, s), []string{"kept"}; !slices.Equal(got, want) {
		t.Errorf("rows after a zombie: got %q, want %q", got, want)
	}
}

// The number in postmaster.pid may belong to anything by now.
func TestAReusedPIDIsNotAServer(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(place(t), "data")
	first := mustStart(t, Config{DataDir: dir})
	left, err := os.ReadFile(filepath.Join(dir, "postmaster.pid"))
	if err != nil {
		t.Fatalf("reading postmaster.pid: %v", err)
	}
	stop(t, first)
	_, rest, _ := strings.Cut(string(left), "\n")
	other := first.account.command(0, dir, "/bin/sleep", "300") // of the same user, or PostgreSQL would know better
	if err := other.Start(); err != nil {
		t.Fatalf("starting another program: %v", err)
	}
	t.Cleanup(func() { _ = other.Process.Kill(); _ = other.Wait() })
	if err := os.WriteFile(filepath.Join(dir, "postmaster.pid"), []byte(strconv.Itoa(other.Process.Pid)+"\n"+rest), 0o600); err != nil {
		t.Fatalf("writing postmaster.pid: %v", err)
	}
	if err := first.account.give(filepath.Join(dir, "postmaster.pid")); err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, Config{DataDir: dir})
	if s.PID() == other.Process.Pid {
		t.Errorf("postmaster: got the other program's number %d", s.PID())
	}
}

// A server cut off between making the file and writing to it, which PostgreSQL never gets over by itself.
func TestAnEmptyPIDFileIsNotAServer(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(place(t), "data")
	first := mustStart(t, Config{DataDir: dir})
	stop(t, first)
	path := filepath.Join(dir, "postmaster.pid")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	minuteAgo := time.Now().Add(-time.Minute)
	if err := errors.Join(first.account.give(path), os.Chtimes(path, minuteAgo, minuteAgo)); err != nil {
		t.Fatal(err)
	}
	mustStart(t, Config{DataDir: dir})
}

func TestABusyDataDirectoryNamesItsHolder(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(place(t), "data")
	holder := mustStart(t, Config{DataDir: dir})
	_, err := Start(context.Background(), Config{DataDir: dir})
	want := fmt.Sprintf("The data directory %s is in use by a running PostgreSQL (process %d): stop the program that started it first (process %d), or choose another data directory.",
		dir, holder.PID(), os.Getpid())
	wantSentence(t, err, Busy, want)
	if _, _, lives := lookUp(holder.PID()); !lives {
		t.Errorf("the holder %d was ended by the second Start", holder.PID())
	}
}

func TestTwoFirstStartsAtOnce(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(place(t), "data")
	type result struct {
		s   *Server
		err error
	}
	results := make(chan result, 2)
	for range 2 {
		go func() {
			s, err := Start(context.Background(), Config{DataDir: dir})
			results <- result{s, err}
		}()
	}
	running := 0
	for range 2 {
		r := <-results
		var e *Error
		switch {
		case r.err == nil:
			running++
			t.Cleanup(func() { stop(t, r.s) })
		case !errors.As(r.err, &e) || e.Code != Busy:
			t.Errorf("the slower start: got %v, want it to find the directory busy", r.err)
		}
	}
	if running != 1 {
		t.Errorf("servers running on one directory: got %d, want 1", running)
	}
}

func TestAnotherMajorIsRefusedUntouched(t *testing.T) {
	t.Parallel()
	bin, major, err := FindBinaries()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(place(t), "data")
	stop(t, mustStart(t, Config{DataDir: dir}))
	version := filepath.Join(dir, "PG_VERSION")
	if err := os.WriteFile(version, []byte("9\n"), 0o600); err != nil {
		t.Fatalf("writing PG_VERSION: %v", err)
	}
	before := listing(t, dir)
	_, err = Start(context.Background(), Config{DataDir: dir})
	want := fmt.Sprintf("The data in %s was made by PostgreSQL 9 and the programs in %s are PostgreSQL %d: set LONGPOINT_PG_BIN to the bin directory of PostgreSQL 9, or choose an empty data directory; nothing was changed.",
		dir, bin, major)
	wantSentence(t, err, WrongMajor, want)
	if after := listing(t, dir); !slices.Equal(before, after) {
		t.Errorf("files of the other version's cluster: got %d, want the %d before", len(after), len(before))
	}
}

func TestMissingBinaries(t *testing.T) {
	t.Parallel()
	empty := t.TempDir()
	_, err := Start(context.Background(), Config{BinDir: empty, DataDir: filepath.Join(empty, "data")})
	wantSentence(t, err, NoBinaries, empty+" has no initdb to run: install PostgreSQL's server programs (on Debian or Ubuntu, apt-get install postgresql) or set LONGPOINT_PG_BIN to the directory that holds initdb and postgres.")
}

func TestAStrangersFilesAreRefused(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "invoice.txt"), []byte("dear"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Start(context.Background(), Config{DataDir: dir})
	wantSentence(t, err, NotACluster, dir+" holds files but no PostgreSQL data (there is invoice.txt and no PG_VERSION): choose an empty or new data directory.")
}

// A start killed during initdb must not leave a half-made cluster that later ones take for a whole one.
func TestAKilledInitdbIsDoneAgain(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(place(t), "data")
	if err := os.Mkdir(dir+".initdb", 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir+".initdb", "PG_VERSION"), []byte("15\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, Config{DataDir: dir})
	if err := writeRow(context.Background(), s, "x"); err != nil {
		t.Errorf("writing to the new cluster: %v", err)
	}
	if _, err := os.Stat(dir + ".initdb"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what the killed start left: got %v, want it gone", err)
	}
}

func TestStopWithinALimit(t *testing.T) {
	t.Parallel()
	s := mustStart(t, Config{DataDir: filepath.Join(place(t), "data")})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := s.stop(ctx); err != nil && !errors.Is(err, context.Canceled) {
		t.Errorf("Stop out of time: got %v, want the context's end or nil", err)
	}
	if _, _, lives := lookUp(s.PID()); lives {
		t.Errorf("postmaster %d still runs", s.PID())
	}
	s.stop = func(context.Context) error { return nil } // the cleanup's Stop returns the same error again
}

// until polls a fact of the operating system that sends no signal.
func until(t *testing.T, what string, ok func() bool) {
	t.Helper()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	limit := time.After(30 * time.Second)
	for !ok() {
		select {
		case <-tick.C:
		case <-limit:
			t.Fatalf("waited too long for %s", what)
		}
	}
}

func listing(t *testing.T, dir string) []string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		all = append(all, fmt.Sprintf("%s %d %v", path, info.Size(), info.ModTime()))
		return nil
	})
	if err != nil {
		t.Fatalf("listing %s: %v", dir, err)
	}
	return all
}

func wantSentence(t *testing.T, err error, code Code, want string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("got error %v, want one with code %d", err, code)
	}
	if e.Code != code || e.Sentence != want {
		t.Errorf("error:\n got %d %q\nwant %d %q", e.Code, e.Sentence, code, want)
	}
}
