package testdb

import "syscall"

// freeBytes is what a user may still write under dir, 0 where that cannot be told.
func freeBytes(dir string) uint64 {
	var fs syscall.Statfs_t
	if err := syscall.Statfs(dir, &fs); err != nil || fs.Bsize < 0 {
		return 0
	}
	return fs.Bavail * uint64(fs.Bsize) //nolint:gosec // not negative: looked at above
}
