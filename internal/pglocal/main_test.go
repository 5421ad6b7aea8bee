//go:build linux

package pglocal

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"go.uber.org/goleak"
)

// helperEnv makes this test binary play a program that holds a server; its value is the data directory.
const helperEnv = "LONGPOINT_PGLOCAL_HOLD"

func TestMain(m *testing.M) {
	if dir := os.Getenv(helperEnv); dir != "" {
		holdServer(dir)
	}
	goleak.VerifyTestMain(m)
}

// holdServer starts a durable server, writes a row, says so and waits to be killed.
func holdServer(dir string) {
	ctx := context.Background()
	s, err := Start(ctx, Config{DataDir: dir, Fsync: true})
	if err == nil {
		err = writeRow(ctx, s, "the helper's")
	}
	if err != nil {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
	fmt.Println("ready", s.PID())
	select {}
}

func writeRow(ctx context.Context, s *Server, note string) error {
	conn, err := pgx.Connect(ctx, s.DSN("postgres", Superuser))
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(ctx) }()
	_, err = conn.Exec(ctx, `create table if not exists notes (note text not null)`)
	if err == nil {
		_, err = conn.Exec(ctx, `insert into notes (note) values ($1)`, note)
	}
	return err
}

func readRows(t *testing.T, s *Server) []string {
	t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, s.DSN("postgres", Superuser))
	if err != nil {
		t.Fatalf("connecting: %v", err)
	}
	defer func() { _ = conn.Close(ctx) }()
	rows, err := conn.Query(ctx, `select note from notes order by note`)
	if err != nil {
		t.Fatalf("reading notes: %v", err)
	}
	notes, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatalf("reading notes: %v", err)
	}
	return notes
}

// place is a directory that the server's user can reach, which t.TempDir of root is not.
func place(t *testing.T) string {
	t.Helper()
	h, err := HoldTempDir("", "longpoint-pglocal-test-")
	if err != nil {
		t.Fatalf("making a place for data: %v", err)
	}
	t.Cleanup(func() {
		if err := h.Release(); err != nil {
			t.Errorf("removing %s: %v", h.Path, err)
		}
	})
	return h.Path
}

func mustStart(t *testing.T, cfg Config) *Server {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	s, err := Start(ctx, cfg)
	if err != nil {
		t.Fatalf("Start: %v", err)
	}
	t.Cleanup(func() { stop(t, s) })
	return s
}

func stop(t *testing.T, s *Server) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if err := s.Stop(ctx); err != nil {
		t.Errorf("Stop: %v", err)
	}
}

// copyOfProgram puts the running test binary where any user can run it.
func copyOfProgram(t *testing.T, dir string) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatalf("finding the test binary: %v", err)
	}
	text, err := os.ReadFile(self)
	if err != nil {
		t.Fatalf("reading the test binary: %v", err)
	}
	path := filepath.Join(dir, "program")
	if err := os.WriteFile(path, text, 0o755); err != nil { //nolint:gosec // another user runs it
		t.Fatalf("copying the test binary: %v", err)
	}
	return path
}

// helper runs program as a holder of a server on dir and returns it with the postmaster's pid.
func helper(t *testing.T, dir string, cmd *exec.Cmd) (postmaster int) {
	t.Helper()
	cmd.Env = append(os.Environ(), helperEnv+"="+dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatalf("piping the helper: %v", err)
	}
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatalf("starting the helper: %v", err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	if _, err := fmt.Fscanf(out, "ready %d\n", &postmaster); err != nil {
		t.Fatalf("the helper did not get a server (%v): run it by hand with %s set", err, helperEnv)
	}
	return postmaster
}
