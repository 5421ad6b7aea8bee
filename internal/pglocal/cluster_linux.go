package pglocal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// prepareCluster leaves dir holding a cluster of our major version that the account owns.
func prepareCluster(ctx context.Context, cfg Config, bin string, major int, dir string, a account) error {
	found, err := clusterMajor(dir)
	if err != nil {
		return blocked(a, err, dir)
	}
	if found == "" {
		if err := initCluster(ctx, cfg, bin, dir, a); err != nil {
			return err
		}
		if found, err = clusterMajor(dir); err != nil {
			return blocked(a, err, dir)
		}
	}
	if found != strconv.Itoa(major) {
		return &Error{
			Code: WrongMajor,
			Sentence: fmt.Sprintf("The data in %s was made by PostgreSQL %s and the programs in %s are PostgreSQL %d: set %s to the bin directory of PostgreSQL %[2]s, or choose an empty data directory; nothing was changed.",
				dir, found, bin, major, BinEnv),
		}
	}
	return adopt(dir, a)
}

// clusterMajor reads the major version of the cluster in dir, "" when dir is empty or missing.
func clusterMajor(dir string) (string, error) {
	b, err := os.ReadFile(filepath.Join(dir, "PG_VERSION"))
	if err == nil {
		return strings.TrimSpace(string(b)), nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("reading the data directory's version: %w", err)
	}
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", fmt.Errorf("reading the data directory: %w", err)
	}
	if len(entries) > 0 {
		return "", &Error{
			Code:     NotACluster,
			Sentence: fmt.Sprintf("%s holds files but no PostgreSQL data (there is %s and no PG_VERSION): choose an empty or new data directory.", dir, entries[0].Name()),
		}
	}
	return "", nil
}

// adopt gives a cluster that root owns, such as a restored copy, to the account.
func adopt(dir string, a account) error {
	info, err := os.Stat(dir)
	if err != nil {
		return fmt.Errorf("looking at the data directory: %w", err)
	}
	if !a.drop || ownerOf(info) == a.uid {
		return nil
	}
	err = filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return a.give(path)
	})
	if err != nil {
		return fmt.Errorf("giving the data directory to user %s: %w", a.name, err)
	}
	return nil
}

// stagingSuffix marks the place beside the data directory where a cluster is made.
const stagingSuffix = ".initdb"

// initCluster makes the cluster beside dir and moves it into place when whole. initdb writes PG_VERSION first, so one
// killed half way in dir itself would look like a cluster for ever.
func initCluster(ctx context.Context, cfg Config, bin, dir string, a account) error {
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil { //nolint:gosec // the server's user has to pass through it
		return blocked(a, fmt.Errorf("making %s: %w", parent, err), dir)
	}
	unlock, err := lockDir(ctx, parent)
	if err != nil {
		return fmt.Errorf("waiting for another start in %s: %w", parent, err)
	}
	defer unlock()
	if found, err := clusterMajor(dir); err != nil || found != "" {
		return err // another start was quicker
	}
	staging := dir + stagingSuffix
	if err := os.RemoveAll(staging); err != nil { // left by a start that was killed; it never held anyone's rows
		return blocked(a, fmt.Errorf("clearing %s: %w", staging, err), dir)
	}
	if err := os.Mkdir(staging, 0o700); err != nil {
		return blocked(a, fmt.Errorf("making %s: %w", staging, err), dir)
	}
	if err := errors.Join(a.give(staging), runInitdb(ctx, cfg, bin, staging, a)); err != nil {
		return errors.Join(err, os.RemoveAll(staging))
	}
	if err := os.Remove(dir); err != nil && !errors.Is(err, fs.ErrNotExist) { // an empty one: Remove takes no other
		return errors.Join(fmt.Errorf("replacing the empty data directory: %w", err), os.RemoveAll(staging))
	}
	if err := os.Rename(staging, dir); err != nil {
		return fmt.Errorf("moving the new cluster into place: %w", err)
	}
	if cfg.Fsync {
		return syncDir(parent)
	}
	return nil
}

func runInitdb(ctx context.Context, cfg Config, bin, dir string, a account) error {
	args := []string{
		"-D", dir, "-U", Superuser, "--encoding=UTF8", "--locale=C.UTF-8",
		"--auth-local=trust", "--auth-host=scram-sha-256",
	}
	if !cfg.Fsync {
		args = append(args, "--no-sync")
	}
	runtime.LockOSThread() // the death signal belongs to the thread
	defer runtime.UnlockOSThread()
	cmd := a.command(syscall.SIGKILL, dir, filepath.Join(bin, "initdb"), args...)
	var out strings.Builder
	cmd.Stdout, cmd.Stderr = &out, &out
	cmd.WaitDelay = 5 * time.Second
	if err := cmd.Start(); err != nil {
		return blocked(a, fmt.Errorf("running initdb: %w", err), strings.TrimSuffix(dir, stagingSuffix), cmd.Path)
	}
	release := context.AfterFunc(ctx, func() { _ = cmd.Process.Kill() })
	defer release()
	err := cmd.Wait()
	if ctx.Err() != nil {
		return fmt.Errorf("running initdb: %w", ctx.Err())
	}
	if err != nil {
		said := quoted(strings.Split(out.String(), "\n"), "initdb: error:", "FATAL:")
		return &Error{
			Code:     NotStarted,
			Sentence: fmt.Sprintf("PostgreSQL's initdb could not fill %s (%s): put that right and start again.", strings.TrimSuffix(dir, stagingSuffix), said),
			Cause:    err,
		}
	}
	return nil
}

// quoted picks the last line that carries one of the marks, else the last line that says anything.
func quoted(lines []string, marks ...string) string {
	last := "it said nothing"
	for i := len(lines) - 1; i >= 0; i-- {
		line := strings.TrimSpace(lines[i])
		for _, mark := range marks {
			if _, said, ok := strings.Cut(line, mark); ok {
				return strings.TrimSpace(said)
			}
		}
	}
	for _, line := range lines {
		if line = strings.TrimSpace(line); line != "" {
			last = line
		}
	}
	return last
}

// lockDir takes the directory's own lock, which dies with the process and leaves no file.
func lockDir(ctx context.Context, dir string) (unlock func(), err error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if err == nil {
			return func() { _ = f.Close() }, nil
		}
		if !errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, errors.Join(err, f.Close())
		}
		select {
		case <-ctx.Done():
			return nil, errors.Join(ctx.Err(), f.Close())
		case <-tick.C:
		}
	}
}

func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
