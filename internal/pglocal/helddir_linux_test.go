package pglocal

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestOnlyAbandonedDirectoriesAreSwept(t *testing.T) {
	t.Parallel()
	parent := t.TempDir()
	dead, err := HoldTempDir(parent, "x-")
	if err != nil {
		t.Fatal(err)
	}
	alive, err := HoldTempDir(parent, "x-")
	if err != nil {
		t.Fatal(err)
	}
	strange := filepath.Join(parent, "x-strange")
	if err := os.Mkdir(strange, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := dead.lock.Close(); err != nil { // what the kernel does for a killed process
		t.Fatal(err)
	}
	next, err := HoldTempDir(parent, "x-")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dead.Path); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the abandoned directory: got %v, want it gone", err)
	}
	for _, dir := range []string{alive.Path, strange, next.Path} {
		if _, err := os.Stat(dir); err != nil {
			t.Errorf("directory in use, or none of ours: got %v, want it left", err)
		}
	}
	if err := errors.Join(alive.Release(), next.Release()); err != nil {
		t.Errorf("Release: %v", err)
	}
}
