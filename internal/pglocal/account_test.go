//go:build linux

package pglocal

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
)

func nobody(t *testing.T) (uid, gid int) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("only root can become another user")
	}
	u, err := user.Lookup("nobody")
	if err != nil {
		t.Skipf("this system has no user nobody: %v", err)
	}
	uid, _ = strconv.Atoi(u.Uid)
	gid, _ = strconv.Atoi(u.Gid)
	return uid, gid
}

func TestRootRunsTheServerAsTheDataDirectorysOwner(t *testing.T) {
	t.Parallel()
	uid, gid := nobody(t)
	dir := filepath.Join(place(t), "data")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(dir, uid, gid); err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, Config{DataDir: dir})
	if err := writeRow(context.Background(), s, "x"); err != nil {
		t.Errorf("writing: %v", err)
	}
	info, err := os.Stat(fmt.Sprintf("/proc/%d", s.PID()))
	if err != nil {
		t.Fatal(err)
	}
	if got := ownerOf(info); got != uid {
		t.Errorf("the postmaster's user: got %d, want nobody's %d", got, uid)
	}
}

// A cluster that root copied or restored belongs to root, as whom PostgreSQL will not run.
func TestRootsCopyOfAClusterIsAdopted(t *testing.T) {
	t.Parallel()
	nobody(t)
	dir := filepath.Join(place(t), "data")
	first := mustStart(t, Config{DataDir: dir})
	if err := writeRow(context.Background(), first, "kept"); err != nil {
		t.Fatal(err)
	}
	stop(t, first)
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Chown(path, 0, 0)
	})
	if err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, Config{DataDir: dir})
	if got, want := readRows(t, s), []string{"kept"}; !slices.Equal(got, want) {
		t.Errorf("rows of root's copy: got %q, want %q", got, want)
	}
}

func TestABlockingParentIsNamed(t *testing.T) {
	t.Parallel()
	nobody(t)
	closed := filepath.Join(place(t), "closed")
	if err := os.Mkdir(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(closed, "within", "data")
	a, err := accountFor(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Start(context.Background(), Config{DataDir: dir})
	wantSentence(t, err, Blocked, fmt.Sprintf("PostgreSQL runs as user %s, who cannot pass through %s (drwx------) to reach %s: choose a place open to that user or open the directory (chmod o+x %[2]s).",
		a.name, closed, dir))
}

// The whole way as a normal user, killed too; root tests it by becoming one.
func TestANormalUser(t *testing.T) {
	t.Parallel()
	uid, gid := nobody(t)
	at := place(t)
	home := filepath.Join(at, "home")
	if err := os.Mkdir(home, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(home, uid, gid); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(home, "data")
	path := copyOfProgram(t, at)
	run := func() int {
		program := exec.Command(path)
		program.Dir = home
		program.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}} //nolint:gosec // ids fit
		postmaster := helper(t, dir, program)
		if err := program.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = program.Wait()
		return postmaster
	}
	first := run()
	if second := run(); second == first {
		t.Errorf("postmaster of the second run: got the first's number %d", first)
	}
	s := mustStart(t, Config{DataDir: dir, Fsync: true})
	if got, want := readRows(t, s), []string{"the helper's", "the helper's"}; !slices.Equal(got, want) {
		t.Errorf("rows of two killed runs: got %q, want %q", got, want)
	}
}
