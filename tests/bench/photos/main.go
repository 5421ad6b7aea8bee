// Command photos takes many photos of 12 megapixels in, several at a time, as the service
// does, and prints how long it took and how much memory the process ever held. It fails when
// that is over the limit.
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"longpoint/internal/photo"
	"longpoint/internal/photo/phototest"
)

func main() {
	count := flag.Int("n", 500, "how many photos")
	atOnce := flag.Int("at-once", 8, "how many arrive at a time")
	limit := flag.Int("limit", 400, "most memory the process may hold, in MB")
	flag.Parse()
	if err := run(*count, *atOnce, *limit); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// A phone's usual photo (4:3).
const width, height = 4032, 3024

func run(count, atOnce, limit int) (err error) {
	debug.SetGCPercent(400) // as the service runs
	dir, err := os.MkdirTemp("", "longpoint-photos-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	storage, err := photo.OpenFolder(dir)
	if err != nil {
		return err
	}
	defer func() { _ = storage.Close() }()
	const kinds = 4
	files := make([][]byte, kinds)
	for i := range files {
		files[i] = phototest.Camera(phototest.Noisy(width, height, uint64(i)), uint16([]int{1, 3, 6, 8}[i]))
	}
	runtime.GC()
	debug.FreeOSMemory()
	if err := forgetPeak(); err != nil {
		return err
	}
	began := time.Now()
	in := photo.NewIngester()
	var next atomic.Int64
	var all sync.WaitGroup
	failures := make(chan error, atOnce)
	for range atOnce {
		all.Go(func() {
			for i := int(next.Add(1)); i <= count; i = int(next.Add(1)) {
				// Each upload has its own copy, as each arrives by itself.
				if err := take(in, storage, bytes.Clone(files[i%kinds])); err != nil {
					failures <- fmt.Errorf("photo %d: %w", i, err)
					return
				}
			}
		})
	}
	all.Wait()
	select {
	case err := <-failures:
		return err
	default:
	}
	took := time.Since(began)
	peak, err := peakMB()
	if err != nil {
		return err
	}
	fmt.Printf("%d photos of %.1f megapixels (%.1f MB each), %d at a time on %d processors: %.1f s, %.2f s a photo, at most %d MB of memory\n",
		count, float64(width*height)/1e6, float64(len(files[0]))/1e6, atOnce, runtime.GOMAXPROCS(0), took.Seconds(), took.Seconds()/float64(count), peak)
	if peak > limit {
		return fmt.Errorf("the process held %d MB, want at most %d", peak, limit)
	}
	return nil
}

func take(in *photo.Ingester, storage photo.Storage, data []byte) error {
	ctx := context.Background()
	p, err := in.Take(ctx, data)
	if err != nil {
		return err
	}
	const company = "018f0000-0000-7000-8000-00000000c0de"
	for hash, b := range map[string][]byte{p.FullHash: p.Full, p.ThumbHash: p.Thumb} {
		if err := storage.Put(ctx, photo.KeyOf(company, hash), b); err != nil {
			return err
		}
	}
	return nil
}

// forgetPeak lets the kernel count the most resident memory afresh (proc(5), clear_refs).
func forgetPeak() error { return os.WriteFile("/proc/self/clear_refs", []byte("5"), 0o200) }

// peakMB is the most memory the process held, by the kernel (proc(5), VmHWM).
func peakMB() (int, error) {
	b, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(b)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			return kb / 1000, err
		}
	}
	return 0, errors.New("the kernel does not say how much memory the process held")
}
