package faults

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"path"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/photo"
	"longpoint/internal/photo/phototest"
	"longpoint/tests/crew"
)

const bucket = "photos"

// startObjects brings up the storage of objects and each node's way to it.
func (w *world) startObjects() {
	w.t.Helper()
	var err error
	if w.objects, err = phototest.NewObjects(bucket); err != nil {
		w.t.Fatal(err)
	}
	server := httptest.NewServer(w.objects)
	w.t.Cleanup(server.Close)
	for i := range w.yard {
		if w.yard[i], err = newLink(to("tcp", server.Listener.Addr().String())); err != nil {
			w.t.Fatal(err)
		}
	}
}

// camera is one person who takes photos: of each the entry first and then its bytes, from where the service has them.
type camera struct {
	p      *crew.Person
	rng    *rand.Rand
	made   *photo.Ingester
	outbox []*shot
	kept   []*shot // answered for in this stretch of work
	before []*shot // and in those before

	acks         atomic.Int64 // photos answered for, ever
	again        int          // tries that were refused or broke off
	read, unread int          // pictures looked at meanwhile, and looks that were refused or broke off
	wrong        int          // pictures that came back as others
}

// shot is one photo: what the phone has, and what the service is to make of it.
type shot struct {
	entry  joblog.Command
	data   []byte
	full   []byte
	thumb  []byte
	logged bool
}

func (s *shot) id() string { return s.entry.AddPhoto.PhotoID }

func newCamera(p *crew.Person, seed uint64) *camera {
	return &camera{p: p, rng: rand.New(rand.NewPCG(seed, 12)), made: photo.NewIngester()}
}

func (c *camera) shoot(ctx context.Context) (*shot, error) {
	data := phototest.Noisy(160, 120, c.rng.Uint64())
	made, err := c.made.Take(ctx, data)
	if err != nil {
		return nil, err
	}
	entry := joblog.Command{Kind: joblog.AddPhotoKind, ItemID: c.p.Item, AddPhoto: &joblog.AddPhoto{PhotoID: crew.NewID(),
		SHA256: photo.Hash(data), Bytes: int64(len(data)), Width: 160, Height: 120}}
	c.p.Sign(&entry)
	return &shot{entry: entry, data: data, full: made.Full, thumb: made.Thumb}, nil
}

func (c *camera) empty() bool { return len(c.outbox) == 0 }

func (c *camera) begin() {
	c.before, c.kept = append(c.before, c.kept...), nil
	c.again, c.read, c.unread, c.wrong = 0, 0, 0, 0
}

// turn takes a photo, brings the oldest that is not answered for, and looks at one that is.
func (c *camera) turn(ctx context.Context, more bool) (answered bool) {
	if more && len(c.outbox) < 10 {
		if s, err := c.shoot(ctx); err == nil {
			c.outbox = append(c.outbox, s)
		}
	}
	if len(c.outbox) == 0 {
		return true
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	s := c.outbox[0]
	if err := c.bring(ctx, s); err != nil {
		c.again++
		return false
	}
	c.acks.Add(1)
	c.outbox = c.outbox[1:]
	c.kept = append(c.kept, s)
	c.look(ctx, c.kept[c.rng.IntN(len(c.kept))])
	return true
}

// bring sends the entry, then the bytes from where the service has them.
func (c *camera) bring(ctx context.Context, s *shot) error {
	if !s.logged {
		out, err := c.p.Try(ctx, []joblog.Command{s.entry})
		if err != nil {
			return err
		}
		if len(out.Outcomes) != 1 || !out.Outcomes[0].Applied {
			return fmt.Errorf("the photo's entry was not taken: %+v", out.Outcomes)
		}
		s.logged = true
	}
	at := "/api/v1/jobs/" + c.p.Job + "/uploads/" + s.id()
	r, err := http.NewRequestWithContext(ctx, http.MethodHead, c.p.Base+at, nil)
	if err != nil {
		return err
	}
	answer, err := c.p.HTTP.Do(r)
	if err != nil {
		return err
	}
	_ = answer.Body.Close()
	from, err := strconv.Atoi(answer.Header.Get("Upload-Offset"))
	if answer.StatusCode != http.StatusOK || err != nil || from > len(s.data) {
		return fmt.Errorf("how far the photo is: %d, %w", answer.StatusCode, err)
	}
	if from == len(s.data) {
		return nil // an answer that was lost
	}
	return c.p.Do(ctx, http.MethodPatch, at, bytes.NewReader(s.data[from:]), http.Header{"Tus-Resumable": {"1.0.0"},
		"Upload-Offset": {strconv.Itoa(from)}, "Content-Type": {"application/offset+octet-stream"}}, nil)
}

// look reads a photo that was answered for. It may be refused while something is broken, and must never be another.
func (c *camera) look(ctx context.Context, s *shot) {
	var back []byte
	err := c.p.Get(ctx, "/api/v1/jobs/"+c.p.Job+"/photos/"+s.id()+"/full.jpg", &back)
	switch {
	case err != nil:
		c.unread++
	case bytes.Equal(back, s.full):
		c.read++
	default:
		c.wrong++
	}
}

// album is what came of photos.
type album struct {
	answered, found, lost, twice int
	again                        int
	read, unread, wrong          int
}

func (a album) String() string {
	return fmt.Sprintf("photos acknowledged %d after %d tries in vain, found byte for byte %d, lost %d, objects nobody asked for %d; looked at meanwhile %d, refused or broken off %d, other pictures %d",
		a.answered, a.again, a.found, a.lost, a.twice, a.read, a.unread, a.wrong)
}

func (a album) right() bool { return a.found == a.answered && a.lost+a.twice+a.wrong == 0 }

// reckonPhotos reads the photos that were answered for, full and small, byte for byte, and counts the objects: two a photo,
// each what its name says.
func (w *world) reckonPhotos() (a album) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	all, err := w.objects.All()
	if err != nil {
		w.t.Fatal(err)
	}
	for name, data := range all {
		if photo.Hash(data) != strings.TrimSuffix(path.Base(name), ".jpg") {
			w.t.Errorf("object %s holds something else than its name says", name)
		}
	}
	earlier := 0
	for _, c := range w.cameras {
		if !c.empty() {
			w.t.Errorf("%d photos could not be delivered in the end", len(c.outbox))
		}
		a.again, a.read, a.unread, a.wrong, earlier = a.again+c.again, a.read+c.read, a.unread+c.unread, a.wrong+c.wrong, earlier+len(c.before)
		for _, s := range c.kept {
			a.answered++
			if c.has(ctx, "full.jpg", s, s.full) && c.has(ctx, "thumb.jpg", s, s.thumb) {
				a.found++
			} else {
				a.lost++
			}
		}
	}
	a.twice = max(0, len(all)-2*(a.answered+earlier))
	return a
}

func (c *camera) has(ctx context.Context, name string, s *shot, want []byte) bool {
	var back []byte
	err := c.p.Get(ctx, "/api/v1/jobs/"+c.p.Job+"/photos/"+s.id()+"/"+name, &back)
	return err == nil && bytes.Equal(back, want)
}

// allPhotos makes every photo of the cameras one to be reckoned with again.
func (w *world) allPhotos() {
	for _, c := range w.cameras {
		c.kept, c.before = append(c.before, c.kept...), nil
	}
}
