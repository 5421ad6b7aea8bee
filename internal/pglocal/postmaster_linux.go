package pglocal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// starterSetting is a made-up server setting by which a postmaster names the process that started it.
const starterSetting = "longpoint.started_by"

// orphanGrace is how long a postmaster whose starter died may take to end: its shutdown checkpoint writes and syncs.
const orphanGrace = 20 * time.Second

// pidFile is postmaster.pid as PostgreSQL writes it (miscadmin.h: pid, data directory, start, port, socket directory,
// listen address, shared memory, status, one a line).
type pidFile struct {
	pid   int
	ready bool
}

// errEmptyPIDFile is a server at its very start, or one cut off there.
var errEmptyPIDFile = errors.New("postmaster.pid is empty")

// emptyIsDead is how old an empty postmaster.pid must be to be a dead server's: PostgreSQL writes to it in the next
// instruction after making it.
const emptyIsDead = 2 * time.Second

func readPIDFile(dir string) (pidFile, error) {
	b, err := os.ReadFile(filepath.Join(dir, "postmaster.pid"))
	if err != nil {
		return pidFile{}, err
	}
	if len(b) == 0 {
		return pidFile{}, errEmptyPIDFile
	}
	lines := strings.Split(string(b), "\n")
	pid, err := strconv.Atoi(strings.TrimSpace(lines[0]))
	if err != nil {
		return pidFile{}, fmt.Errorf("reading postmaster.pid: %w", err)
	}
	const status = 7
	return pidFile{pid: pid, ready: len(lines) > status && strings.TrimSpace(lines[status]) == "ready"}, nil
}

// running is what /proc tells of a process that lives. A zombie does not, though it answers kill(pid, 0).
type running struct {
	name    string
	parent  int
	cwd     string // "" when it belongs to another user
	starter int    // 0 when it is none of ours
}

func lookUp(pid int) (p running, exists, lives bool) {
	proc := filepath.Join("/proc", strconv.Itoa(pid))
	b, err := os.ReadFile(filepath.Join(proc, "stat"))
	if err != nil {
		return running{}, false, false
	}
	_, tail, _ := strings.Cut(string(b), "(")
	end := strings.LastIndexByte(tail, ')') // a name may hold parentheses
	if end < 0 {
		return running{}, false, false
	}
	fields := strings.Fields(tail[end+1:])
	if len(fields) < 2 {
		return running{}, false, false
	}
	if fields[0] == "Z" || fields[0] == "X" {
		return running{}, true, false
	}
	p.name = tail[:end]
	p.parent, _ = strconv.Atoi(fields[1])
	p.cwd, _ = os.Readlink(filepath.Join(proc, "cwd"))
	args, _ := os.ReadFile(filepath.Join(proc, "cmdline"))
	for arg := range strings.SplitSeq(string(args), "\x00") {
		if v, ok := strings.CutPrefix(arg, starterSetting+"="); ok {
			p.starter, _ = strconv.Atoi(v)
		}
	}
	return p, true, true
}

// serves reports whether the process can be a server on dir. Every PostgreSQL process works in its data directory.
func (p running) serves(dir string) bool {
	if p.name != "postgres" && p.name != "postmaster" {
		return false
	}
	return p.cwd == "" || p.cwd == dir
}

// orphan reports whether we started it and the process that did is gone.
func (p running) orphan() bool { return p.starter != 0 && p.parent != p.starter }

// settlePredecessor deals with the postmaster.pid an earlier run left. A live server is reported, unless its starter was
// killed: then the kernel has told it to end, and it is waited for. The file of a dead one is removed where PostgreSQL
// itself would be fooled, by a zombie or by another process that has the number now. PostgreSQL still refuses to start
// beside surviving children of the dead server, by their shared memory.
func settlePredecessor(ctx context.Context, dir string) error {
	pf, err := readPIDFile(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if errors.Is(err, errEmptyPIDFile) {
		info, err := os.Stat(filepath.Join(dir, "postmaster.pid"))
		if err == nil && time.Since(info.ModTime()) > emptyIsDead {
			return removePIDFile(dir)
		}
		return nil // PostgreSQL refuses, and the start is tried again
	}
	if err != nil {
		return err
	}
	resolved, err := filepath.EvalSymlinks(dir) // as /proc shows it
	if err != nil {
		return fmt.Errorf("resolving the data directory: %w", err)
	}
	p, exists, lives := lookUp(pf.pid)
	if lives && p.serves(resolved) {
		if !p.orphan() {
			return busy(dir, pf.pid, p)
		}
		return awaitOrphan(ctx, dir, resolved, pf.pid)
	}
	if exists {
		return removePIDFile(dir)
	}
	return nil
}

func removePIDFile(dir string) error {
	if err := os.Remove(filepath.Join(dir, "postmaster.pid")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("removing a dead server's postmaster.pid: %w", err)
	}
	return nil
}

func busy(dir string, pid int, p running) error {
	holder := "stop it first (kill -INT " + strconv.Itoa(pid) + ")"
	if p.starter != 0 {
		holder = fmt.Sprintf("stop the program that started it first (process %d)", p.starter)
	}
	return &Error{
		Code:     Busy,
		Sentence: fmt.Sprintf("The data directory %s is in use by a running PostgreSQL (process %d): %s, or choose another data directory.", dir, pid, holder),
	}
}

func awaitOrphan(ctx context.Context, dir, resolved string, pid int) error {
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	insist := time.NewTimer(2 * time.Second)
	defer insist.Stop()
	limit := time.NewTimer(orphanGrace)
	defer limit.Stop()
	for {
		p, _, lives := lookUp(pid)
		if !lives || !p.serves(resolved) {
			return nil
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("waiting for the last server (process %d) on %s to end: %w", pid, dir, ctx.Err())
		case <-insist.C:
			_ = syscall.Kill(pid, syscall.SIGINT) // again, in case the kernel's signal came before it could listen
		case <-limit.C:
			return &Error{
				Code:     Busy,
				Sentence: fmt.Sprintf("The last PostgreSQL on %s (process %d) outlived its program and does not end: stop it (kill -QUIT %[2]d) and start again.", dir, pid),
			}
		case <-tick.C:
		}
	}
}
