package photo

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"

	"longpoint/internal/fault"
)

// Folder is storage in a folder of this machine, or of one that several machines share. A
// key is never opened outside of it, whatever links lie in it.
type Folder struct{ root *os.Root }

var _ Storage = (*Folder)(nil)

// OpenFolder opens the folder dir, making it where it is not there. Only this user may look
// into what it makes. Close the storage when done.
func OpenFolder(dir string) (*Folder, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	return &Folder{root}, nil
}

// Close lets go of the folder.
func (s *Folder) Close() error { return s.root.Close() }

// Put writes a file beside the place, makes it last, and moves it there: a reader finds all
// of it or nothing, and so does whoever comes after a power cut.
func (s *Folder) Put(ctx context.Context, key string, data []byte) (err error) {
	defer fault.In(&err, "keeping", key)
	if err := checkKey(key); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return errStorage(err)
	}
	if i, err := s.root.Stat(key); err == nil && i.Size() == int64(len(data)) {
		return nil
	}
	dir := path.Dir(key)
	fresh, err := s.makeDir(dir)
	if err != nil {
		return errStorage(err)
	}
	beside := dir + "/." + rand.Text()
	if err := s.write(beside, data); err != nil {
		_ = s.root.Remove(beside)
		return errStorage(err)
	}
	if err := s.root.Rename(beside, key); err != nil {
		_ = s.root.Remove(beside)
		return errStorage(err)
	}
	// The names last once their folders do: the file's, and those of folders just made.
	for _, d := range append(fresh, dir) {
		if err := s.sync(d); err != nil {
			return errStorage(err)
		}
	}
	return nil
}

// makeDir makes the folders of a key and lists the parents of those it made.
func (s *Folder) makeDir(dir string) (parents []string, err error) {
	for d := dir; ; d = path.Dir(d) {
		if _, err := s.root.Stat(d); err == nil {
			break
		}
		parents = append(parents, path.Dir(d))
		if path.Dir(d) == "." {
			break
		}
	}
	return parents, s.root.MkdirAll(dir, 0o700)
}

func (s *Folder) write(name string, data []byte) error {
	f, err := s.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}

func (s *Folder) sync(dir string) error {
	d, err := s.root.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Open opens the file of a key.
func (s *Folder) Open(_ context.Context, key string) (_ Object, err error) {
	defer fault.In(&err, "opening", key)
	if err := checkKey(key); err != nil {
		return nil, err
	}
	f, err := s.root.Open(key)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errGone(err)
	}
	if err != nil {
		return nil, errStorage(err)
	}
	i, err := f.Stat()
	if err != nil || !i.Mode().IsRegular() {
		_ = f.Close()
		return nil, errStorage(errors.Join(err, fmt.Errorf("not a file")))
	}
	return file{f, i.Size()}, nil
}

// file is an open file with its size.
type file struct {
	*os.File
	size int64
}

func (f file) Size() int64 { return f.size }

// Remove deletes the file of a key.
func (s *Folder) Remove(_ context.Context, key string) (err error) {
	defer fault.In(&err, "removing", key)
	if err := checkKey(key); err != nil {
		return err
	}
	if err := s.root.Remove(key); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return errStorage(err)
	}
	return nil
}

// Check tries the folder out.
func (s *Folder) Check(ctx context.Context) error { return checkRound(ctx, s) }
