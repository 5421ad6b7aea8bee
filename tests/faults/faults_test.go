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

// thorough is `make test-faults`; CI does with the worse half.
func thorough() bool { return os.Getenv(roundsEnv) != "" }

// check wants a stretch of work to have lost and doubled nothing, and prints its figures.
func (w *world) check(name string, fault func() error) count {
	w.t.Helper()
	c, err := w.during(fault)
	if err != nil {
		w.t.Errorf("%s: %v", name, err)
	}
	fmt.Printf("faults: %s: %v\n", name, c)
	if !c.right() {
		w.t.Errorf("%s: %v %v: want every command and photo found once, and no difference", name, c, c.differ)
	}
	return c
}

// aside is a fault that the phones' commands have nothing to do with: they are acknowledged all the while.
func (w *world) aside(name string, fault func() error) count {
	w.t.Helper()
	c := w.check(name, fault)
	if c.meanwhile == 0 {
		w.t.Errorf("%s: no command was acknowledged while it lasted", name)
	}
	return c
}

// TestFaults kills, cuts and slows down while eight phones work, two to a job, and two people take photos.
func TestFaults(t *testing.T) {
	many := rounds(t)
	w := newWorld(t, "", "", 8)
	if err := w.startStandby(); err != nil {
		t.Fatal(err)
	}
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
		w.breakWay("phones and proxy", w.check, w.street)
		w.breakWay("proxy and all nodes", w.check, w.door[:]...)
		w.breakWay("all nodes and the database", w.check, w.cellar[:]...)
		w.breakWay("all nodes and the photos' storage", w.aside, w.yard[:]...)
		w.breakWay("the primary and its standby", w.aside, w.loft)
		if thorough() {
			w.breakWay("proxy and one node", w.check, w.door[round%2])
			w.breakWay("one node and the database", w.check, w.cellar[round%2])
			w.breakWay("one node and the photos' storage", w.aside, w.yard[round%2])
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
	w.check("the primary lost for good, its synchronous standby promoted", w.losePrimary)
	w.allPhotos()
	if a := w.reckonPhotos(); a.right() && a.answered > 0 {
		fmt.Printf("faults: at the end: %v\n", a)
	} else {
		t.Errorf("at the end: %v", a)
	}
}

// breakWay cuts one way, silences it and slows it down: each in a stretch of its own, or one after another in one where
// there is less time.
func (w *world) breakWay(name string, check func(string, func() error) count, links ...*link) {
	w.t.Helper()
	fault := func(cut, held bool, delay, lasts time.Duration) func() error {
		return func() error {
			for _, k := range links {
				k.set(cut, held, delay)
			}
			photos, commands := w.photosKept(), w.acks()
			pause(lasts)
			if delay > 0 {
				return nil
			}
			// Nothing may have found a way round.
			switch photos = w.photosKept() - photos; {
			case links[0] == w.loft:
				for limit := time.Now().Add(catchUpLimit); w.acks() == commands && time.Now().Before(limit); { // there must be something to miss
					pause(50 * time.Millisecond)
				}
				behind, err := w.behind(context.Background())
				if err == nil && behind <= 0 {
					err = errors.New("the standby followed all the same")
				}
				return err
			case len(links) == len(w.yard) && links[0] == w.yard[0] && photos > int64(len(w.cameras)): // more than were under way
				return fmt.Errorf("%d photos were acknowledged without their storage", photos)
			}
			return nil
		}
	}
	cut, silence, slow := fault(true, false, 0, time.Second), fault(false, true, 0, 2*time.Second), fault(false, false, 80*time.Millisecond, 2*time.Second)
	if !thorough() {
		check("cut for a second, silence for 2 s, 80 ms slower, between "+name, func() error { return errors.Join(cut(), silence(), slow()) })
		return
	}
	check("cut for a second between "+name, cut)
	check("silence for 2 s between "+name, silence)
	check("80 ms slower between "+name, slow)
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
