package faults

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/photo"
	"longpoint/internal/photo/phototest"
	"longpoint/tests/crew"
)

const roundsEnv = "LONGPOINT_FAULT_ROUNDS"

// rounds is how often each fault is made: once in CI, more with `make test-faults`.
func rounds(t *testing.T) int {
	n, err := strconv.Atoi(os.Getenv(roundsEnv))
	if err != nil {
		n = 1
	}
	if testing.Short() {
		t.Skip("faults take a whole set-up: left out of -short")
	}
	return n
}

// check wants a stretch of work to have lost and doubled nothing, and prints its figures.
func (w *world) check(name string, fault func() error) {
	w.t.Helper()
	c, err := w.during(fault)
	if err != nil {
		w.t.Errorf("%s: %v", name, err)
	}
	fmt.Printf("faults: %s: %v\n", name, c)
	if c.answered == 0 || c.found != c.answered || c.lost != 0 || c.twice != 0 || c.holes != 0 || c.differences != 0 {
		w.t.Errorf("%s: %v: want every command found once and no difference", name, c)
	}
}

// TestFaults kills, cuts and slows down while eight phones work, two to a job.
func TestFaults(t *testing.T) {
	many := rounds(t)
	w := newWorld(t, "", "", 8)
	for round := range many {
		first, second := w.nodes[round%2], w.nodes[(round+1)%2]
		w.check("nothing", func() error { pause(time.Second); return nil })
		w.check("kill -9 of a node, started again", func() error {
			first.kill()
			return first.revive()
		})
		w.check("kill -9 of a node behind the proxy, gone for 3 s", func() error {
			second.kill()
			pause(3 * time.Second)
			return second.revive()
		})
		w.check("kill -9 of both nodes at once", func() error {
			first.kill()
			second.kill()
			return errors.Join(first.revive(), second.revive())
		})
		w.check("kill -9 of PostgreSQL, fsync on", w.killDatabase)
		ways := map[string][]*link{
			"phones and proxy":           {w.street},
			"proxy and all nodes":        {w.door[0], w.door[1]},
			"all nodes and the database": {w.cellar[0], w.cellar[1]},
		}
		if os.Getenv(roundsEnv) != "" { // CI does with the worse half
			ways["proxy and one node"] = []*link{w.door[round%2]}
			ways["one node and the database"] = []*link{w.cellar[round%2]}
		}
		for name, links := range ways {
			w.check("cut for a second between "+name, func() error {
				for _, k := range links {
					k.set(true, false, 0)
				}
				pause(time.Second)
				return nil
			})
			w.check("silence for 2 s between "+name, func() error {
				for _, k := range links {
					k.set(false, true, 0)
				}
				pause(2 * time.Second)
				return nil
			})
			w.check("80 ms slower between "+name, func() error {
				for _, k := range links {
					k.set(false, false, 80*time.Millisecond)
				}
				pause(2 * time.Second)
				return nil
			})
		}
		w.check("one node's clock jumps by hours, ahead and back", func() error {
			for _, by := range []time.Duration{5 * time.Hour, -3 * time.Hour, -11 * time.Hour, 0} {
				if err := first.jump(by); err != nil {
					return err
				}
				pause(400 * time.Millisecond)
			}
			return nil
		})
	}
}

// smallDisk mounts a file system in memory of so many megabytes.
func smallDisk(t *testing.T, megabytes int) string {
	t.Helper()
	if os.Getuid() != 0 {
		t.Skip("SKIPPED: a full disk is tried out on a small file system, which only root can mount")
	}
	dir, err := os.MkdirTemp("", "lp-disk-")
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dm,mode=0755", megabytes)); err != nil {
		t.Skipf("SKIPPED: this machine lets nobody mount a small file system: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Errorf("unmounting %s: %v", dir, err)
			_ = syscall.Unmount(dir, syscall.MNT_DETACH)
		}
		_ = os.Remove(dir)
	})
	return dir
}

// fillUp writes until nothing more fits.
func fillUp(dir string) (string, error) {
	at := filepath.Join(dir, "filler")
	f, err := os.Create(at)
	if err != nil {
		return "", err
	}
	piece := make([]byte, 64<<10)
	for {
		if _, err := f.Write(piece); err != nil {
			break
		}
	}
	return at, f.Close()
}

// TestTheDatabasesDiskIsFull lets the disk of PostgreSQL run full while phones work. What cannot be kept is not answered
// for; once there is room it all goes on.
func TestTheDatabasesDiskIsFull(t *testing.T) {
	many := rounds(t)
	disk := smallDisk(t, 256)
	w := newWorld(t, filepath.Join(disk, "data"), "", 4)
	for range many {
		w.check("the database's disk full for 3 s", func() error {
			filler, err := fillUp(disk)
			if err != nil {
				return err
			}
			pause(3 * time.Second)
			if err := os.Remove(filler); err != nil {
				return err
			}
			select {
			case <-w.database().Done(): // it could not write its log: it starts again once there is room
				return w.reviveDatabase()
			default:
				return nil
			}
		})
	}
}

// TestThePhotosDiskIsFull brings photos while there is room for none. None is answered for as kept; each arrives once
// there is room, and comes back as the picture it was made into.
func TestThePhotosDiskIsFull(t *testing.T) {
	rounds(t)
	disk := smallDisk(t, 8)
	w := newWorld(t, "", filepath.Join(disk, "photos"), 2)
	p := w.phones[0].p
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	filler, err := fillUp(disk)
	if err != nil {
		t.Fatal(err)
	}
	type waiting struct {
		id   string
		data []byte
	}
	var photos []waiting
	refused, kept := 0, 0
	part := func(q waiting) error {
		return p.Do(ctx, http.MethodPatch, "/api/v1/jobs/"+p.Job+"/uploads/"+q.id, bytes.NewReader(q.data), http.Header{
			"Tus-Resumable": {"1.0.0"}, "Upload-Offset": {"0"}, "Content-Type": {"application/offset+octet-stream"}}, nil)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 6 {
		q := waiting{crew.NewID(), phototest.Noisy(160, 120, r.Uint64())}
		if err := p.Send(ctx, joblog.Command{Kind: joblog.AddPhotoKind, ItemID: p.Item, AddPhoto: &joblog.AddPhoto{PhotoID: q.id,
			SHA256: photo.Hash(q.data), Bytes: int64(len(q.data)), Width: 160, Height: 120}}); err != nil {
			t.Fatal(err)
		}
		if err := part(q); crew.StatusOf(err) == http.StatusServiceUnavailable {
			refused++
		} else {
			t.Errorf("a photo with no room left: got %v, want 503", err)
		}
		photos = append(photos, q)
	}
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	for _, q := range photos {
		if err := part(q); err != nil {
			t.Errorf("with room again: %v", err)
			continue
		}
		var back []byte
		if err := p.Do(ctx, http.MethodGet, "/api/v1/jobs/"+p.Job+"/photos/"+q.id+"/full.jpg", nil, nil, &back); err != nil {
			t.Errorf("the photo: %v", err)
			continue
		}
		if c, err := jpeg.DecodeConfig(bytes.NewReader(back)); err != nil || c.Width != 160 || c.Height != 120 {
			t.Errorf("the photo came back as %+v, %v", c, err)
			continue
		}
		kept++
	}
	fmt.Printf("faults: the photos' disk full: %d photos refused with 503, %d kept once there was room\n", refused, kept)
	if kept != len(photos) {
		t.Errorf("kept %d of %d", kept, len(photos))
	}
	w.check("after the photos' disk was full", func() error { return nil })
}
