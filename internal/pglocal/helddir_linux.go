package pglocal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// heldMark is the file inside a held directory whose lock says that its process lives.
const heldMark = "held"

// HeldDir is a temporary directory that is recognized as abandoned once its process has died,
// however it died: the kernel drops the lock.
type HeldDir struct {
	Path string
	lock *os.File
}

// HoldTempDir makes a directory in parent (empty: os.TempDir) named prefix and a random part, open to this user
// alone for reading but passable by all, and removes those of the same prefix that dead processes of this user (of any, for root) left.
func HoldTempDir(parent, prefix string) (*HeldDir, error) {
	if parent == "" {
		parent = os.TempDir()
	}
	sweep(parent, prefix)
	dir, err := os.MkdirTemp(parent, prefix+"*")
	if err != nil {
		return nil, fmt.Errorf("making a temporary directory: %w", err)
	}
	h := &HeldDir{Path: dir}
	if err := h.hold(); err != nil {
		_ = os.RemoveAll(dir)
		return nil, fmt.Errorf("holding %s: %w", dir, err)
	}
	return h, nil
}

// hold locks the mark before it bears its name, so a sweep never sees it unlocked.
func (h *HeldDir) hold() error {
	if err := os.Chmod(h.Path, 0o711); err != nil {
		return err
	}
	early := filepath.Join(h.Path, heldMark+".new")
	f, err := os.OpenFile(early, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		return errors.Join(err, f.Close())
	}
	if err := os.Rename(early, filepath.Join(h.Path, heldMark)); err != nil {
		return errors.Join(err, f.Close())
	}
	h.lock = f
	return nil
}

// Release removes the directory and all in it.
func (h *HeldDir) Release() error {
	return errors.Join(os.RemoveAll(h.Path), h.lock.Close())
}

// sweep is best effort: what it cannot remove stays for the next one.
func sweep(parent, prefix string) {
	entries, err := os.ReadDir(parent)
	if err != nil {
		return
	}
	for _, e := range entries {
		if !e.IsDir() || len(e.Name()) <= len(prefix) || e.Name()[:len(prefix)] != prefix {
			continue
		}
		dir := filepath.Join(parent, e.Name())
		f, err := os.OpenFile(filepath.Join(dir, heldMark), os.O_RDWR|syscall.O_NOFOLLOW, 0)
		if err != nil {
			continue
		}
		info, err := f.Stat()
		ours := err == nil && (os.Geteuid() == 0 || ownerOf(info) == os.Geteuid())
		if ours && syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil {
			_ = os.RemoveAll(dir)
		}
		_ = f.Close()
	}
}

func ownerOf(info os.FileInfo) int {
	return int(info.Sys().(*syscall.Stat_t).Uid)
}
