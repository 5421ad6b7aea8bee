package pglocal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// accountFor decides who runs the server on dir. PostgreSQL refuses to run as root, and wants to own its data.
func accountFor(dir string) (account, error) {
	self := account{uid: os.Geteuid(), gid: os.Getegid(), name: nameOf(os.Geteuid())}
	info, err := os.Stat(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return account{}, blocked(self, err, dir)
	}
	if self.uid != 0 {
		if err == nil && ownerOf(info) != self.uid {
			return account{}, &Error{
				Code: Blocked,
				Sentence: fmt.Sprintf("The data directory %s belongs to user %s, and this program runs as %s: run it as %[2]s or choose another data directory.",
					dir, nameOf(ownerOf(info)), self.name),
			}
		}
		return self, nil
	}
	if err == nil && ownerOf(info) != 0 {
		gid := int(info.Sys().(*syscall.Stat_t).Gid)
		if u, err := user.LookupId(strconv.Itoa(ownerOf(info))); err == nil {
			gid, _ = strconv.Atoi(u.Gid) // numeric on Linux
		}
		return account{uid: ownerOf(info), gid: gid, name: nameOf(ownerOf(info)), drop: true}, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.Atoi(u.Uid)
		gid, err2 := strconv.Atoi(u.Gid)
		if err1 == nil && err2 == nil && uid != 0 {
			return account{uid: uid, gid: gid, name: name, drop: true}, nil
		}
	}
	return account{}, &Error{
		Code:     Blocked,
		Sentence: "PostgreSQL will not run as root and there is no user postgres or nobody to run it as: add one (useradd --system postgres) or run this program as a normal user.",
	}
}

func nameOf(uid int) string {
	if u, err := user.LookupId(strconv.Itoa(uid)); err == nil {
		return u.Username
	}
	return strconv.Itoa(uid)
}

// give makes path the account's, where we are root and it has to be.
func (a account) give(path string) error {
	if !a.drop {
		return nil
	}
	return os.Lchown(path, a.uid, a.gid)
}

// command prepares a server program to run as the account, in dir, with a plain environment, and to be told
// by the kernel when the thread that starts it ends. Start it on a locked thread.
func (a account) command(deathSignal syscall.Signal, dir, program string, args ...string) *exec.Cmd {
	cmd := exec.Command(program, args...)
	cmd.Dir = dir // ours may be closed to the account, or gone later
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C.UTF-8", "TZ=UTC"}
	if v, ok := os.LookupEnv("LD_LIBRARY_PATH"); ok {
		cmd.Env = append(cmd.Env, "LD_LIBRARY_PATH="+v)
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Pdeathsig: deathSignal,
		Setpgid:   true, // Ctrl-C in the terminal is for the program, which then stops the server in order
	}
	if a.drop {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)} //nolint:gosec // ids fit by definition
	}
	return cmd
}

// blocked turns a refused permission into the sentence that names the directory at fault.
func blocked(a account, cause error, paths ...string) error {
	if !errors.Is(cause, fs.ErrPermission) {
		return cause
	}
	for _, path := range paths {
		if at, mode, ok := a.firstBarred(path); ok {
			return &Error{
				Code: Blocked,
				Sentence: fmt.Sprintf("PostgreSQL runs as user %s, who cannot pass through %s (%s) to reach %s: choose a place open to that user or open the directory (chmod o+x %[2]s).",
					a.name, at, mode, path),
				Cause: cause,
			}
		}
	}
	return &Error{
		Code:     Blocked,
		Sentence: fmt.Sprintf("User %s, who runs PostgreSQL, was refused (%v): open that place to the user or choose another.", a.name, cause),
		Cause:    cause,
	}
}

// firstBarred walks down to path and returns the first directory whose mode bars the account.
// Access lists beyond the mode are not read: it only explains a refusal that has happened.
func (a account) firstBarred(path string) (string, os.FileMode, bool) {
	var downward []string
	for p := filepath.Dir(path); ; p = filepath.Dir(p) {
		downward = append(downward, p)
		if p == filepath.Dir(p) {
			break
		}
	}
	for i := len(downward) - 1; i >= 0; i-- {
		info, err := os.Stat(downward[i])
		if err != nil {
			return "", 0, false
		}
		st := info.Sys().(*syscall.Stat_t)
		need := os.FileMode(0o001)
		switch {
		case int(st.Uid) == a.uid:
			need = 0o100
		case int(st.Gid) == a.gid:
			need = 0o010
		}
		if info.Mode()&need == 0 {
			return downward[i], info.Mode(), true
		}
	}
	return "", 0, false
}
