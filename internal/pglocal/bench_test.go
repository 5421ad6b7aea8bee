//go:build linux

package pglocal

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
)

// BenchmarkStart starts and stops a server: on a new data directory, initdb included, and on one that exists.
func BenchmarkStart(b *testing.B) {
	for _, fsync := range []bool{false, true} {
		for _, fresh := range []bool{true, false} {
			b.Run(fmt.Sprintf("fsync=%v/new=%v", fsync, fresh), func(b *testing.B) {
				h, err := HoldTempDir("", "longpoint-pglocal-test-")
				if err != nil {
					b.Fatal(err)
				}
				defer func() { _ = h.Release() }()
				cfg := Config{DataDir: filepath.Join(h.Path, "data"), Fsync: fsync}
				if !fresh {
					startAndStop(b, cfg)
				}
				for i := 0; b.Loop(); i++ {
					if fresh {
						cfg.DataDir = filepath.Join(h.Path, fmt.Sprint(i))
					}
					startAndStop(b, cfg)
				}
			})
		}
	}
}

func startAndStop(b *testing.B, cfg Config) {
	b.Helper()
	s, err := Start(context.Background(), cfg)
	if err != nil {
		b.Fatal(err)
	}
	if err := s.Stop(context.Background()); err != nil {
		b.Fatal(err)
	}
}
