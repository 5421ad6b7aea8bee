package storetest

import (
	"crypto/sha256"
	"encoding/hex"
	"sync"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/postgres"
)

// whole is what every photo of the suite holds.
const whole = "the first half and the second"

func addPhoto(item string) joblog.Command {
	sum := sha256.Sum256([]byte(whole))
	return joblog.Command{Kind: joblog.AddPhotoKind, ItemID: item, AddPhoto: &joblog.AddPhoto{PhotoID: newID(),
		SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(whole)), Width: 2048, Height: 1536}}
}

// photo logs a photo of an item, or of the house's room where item is empty.
func (s *site) photo(by account.Person, h house, item string) postgres.Photo {
	s.t.Helper()
	c := addPhoto(item)
	if item == "" {
		c.RoomID = h.room
	}
	s.do(by, h.job, c)
	return s.own(by, h.job, c.AddPhoto.PhotoID)
}

func (s *site) own(by account.Person, job, id string) postgres.Photo {
	s.t.Helper()
	p, err := s.store.OwnPhoto(ctx(s.t), by.Viewer(), job, id)
	s.must(err)
	return p
}

// arrive keeps a part that follows on what is there.
func (s *site) arrive(by account.Person, p postgres.Photo, part string) postgres.Photo {
	s.t.Helper()
	s.must(s.store.AddPhotoPart(ctx(s.t), by.Viewer(), p, p.Received, []byte(part)))
	return s.own(by, p.JobID, p.ID)
}

func testPhotos(t *testing.T) {
	t.Run("a photo waits, arrives in parts and is kept", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		p := s.photo(s.rosa, h, h.door)
		if p.State != postgres.PhotoWaiting || p.Received != 0 || p.Bytes != int64(len(whole)) || p.ItemID != h.door || p.RoomID != h.room {
			t.Fatalf("logged: got %+v, want it waiting on the door", p)
		}
		seen, err := s.store.Photos(ctx(t), s.lead.Viewer(), h.job)
		s.must(err)
		if len(seen) != 1 || seen[0] != p {
			t.Errorf("the lead sees %+v, want %+v", seen, p)
		}
		p = s.arrive(s.rosa, p, "the first half")
		p = s.arrive(s.rosa, p, " and the second")
		if p.Received != p.Bytes {
			t.Fatalf("received: got %d of %d", p.Received, p.Bytes)
		}
		got, err := s.store.PhotoParts(ctx(t), s.rosa.Viewer(), p)
		s.must(err)
		if string(got) != whole {
			t.Errorf("parts: got %q, want %q", got, whole)
		}
		s.clock.Move(time.Minute)
		kept := postgres.KeptPhoto{FullSHA256: p.SHA256, ThumbSHA256: p.SHA256, Width: 1024, Height: 768}
		s.must(s.store.KeepPhoto(ctx(t), s.rosa.Viewer(), p, kept))
		p, err = s.store.Photo(ctx(t), s.lead.Viewer(), h.job, p.ID)
		s.must(err)
		if p.State != postgres.PhotoStored || p.FullSHA256 != kept.FullSHA256 || p.Width != 1024 || p.SettledAt == nil || !p.SettledAt.Equal(s.clock.Now()) {
			t.Errorf("kept: got %+v", p)
		}
		if n := value[int64](s, `select count(*) from photo_parts`); n != 0 {
			t.Errorf("parts left: want 0, got %d", n)
		}
		// Settled is settled.
		for name, err := range map[string]error{
			"a part":     s.store.AddPhotoPart(ctx(t), s.rosa.Viewer(), p, p.Received, []byte("more")),
			"a refusal":  s.store.RefusePhoto(ctx(t), s.rosa.Viewer(), p, "damaged"),
			"a restart":  s.store.RestartPhoto(ctx(t), s.rosa.Viewer(), p),
			"kept again": s.store.KeepPhoto(ctx(t), s.rosa.Viewer(), p, kept),
		} {
			if !fault.Is(err, fault.Conflict) {
				t.Errorf("%s after it was kept: want conflict, got %v", name, err)
			}
		}
		s.wantClean()
	})

	t.Run("of parts that begin at one byte, one counts", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		p := s.photo(s.rosa, h, h.door)
		var all sync.WaitGroup
		errs := make([]error, 6)
		for i := range errs {
			all.Go(func() { errs[i] = s.store.AddPhotoPart(ctx(t), s.rosa.Viewer(), p, 0, []byte("the first half")) })
		}
		all.Wait()
		through := 0
		for _, err := range errs {
			if err == nil {
				through++
			} else if !fault.Is(err, fault.Conflict) {
				t.Errorf("want conflict, got %v", err)
			}
		}
		if n := value[int64](s, `select count(*) from photo_parts`); through != 1 || n != 1 {
			t.Errorf("let through %d, kept %d: want one", through, n)
		}
		if err := s.store.AddPhotoPart(ctx(t), s.rosa.Viewer(), p, 5, []byte("x")); !fault.Is(err, fault.Conflict) {
			t.Errorf("a part with a hole before it: want conflict, got %v", err)
		}
	})

	t.Run("refused and sent again", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		p := s.arrive(s.rosa, s.photo(s.rosa, h, h.door), "something else")
		s.must(s.store.RestartPhoto(ctx(t), s.rosa.Viewer(), p))
		p = s.own(s.rosa, h.job, p.ID)
		if n := value[int64](s, `select count(*) from photo_parts`); p.Received != 0 || p.State != postgres.PhotoWaiting || n != 0 {
			t.Errorf("begun again: got %+v and %d parts", p, n)
		}
		p = s.arrive(s.rosa, p, "the first half")
		s.must(s.store.RefusePhoto(ctx(t), s.rosa.Viewer(), p, "damaged"))
		p = s.own(s.rosa, h.job, p.ID)
		if p.State != postgres.PhotoRefused || p.Reason != "damaged" {
			t.Errorf("refused: got %+v", p)
		}
		s.wantClean()
	})

	t.Run("who may deliver and who may see", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		p := s.photo(s.rosa, h, h.door)
		_, stranger, _, _ := s.crew("inland")
		for name, who := range map[string]account.Person{"the lead": s.lead, "ivan": s.ivan, "another company's lead": stranger} {
			if _, err := s.store.OwnPhoto(ctx(t), who.Viewer(), h.job, p.ID); !fault.Is(err, fault.NotFound) {
				t.Errorf("%s asks how far rosa's photo is: want not_found, got %v", name, err)
			}
			if err := s.store.AddPhotoPart(ctx(t), who.Viewer(), p, 0, []byte("mine")); !fault.Is(err, fault.Conflict) {
				t.Errorf("%s sends a part of rosa's photo: want it not taken, got %v", name, err)
			}
			if got, err := s.store.PhotoParts(ctx(t), who.Viewer(), p); err != nil || len(got) != 0 {
				t.Errorf("%s reads the parts: got %q, %v", name, got, err)
			}
		}
		for name, who := range map[string]account.Person{"ivan": s.ivan, "another company's lead": stranger} {
			if _, err := s.store.Photo(ctx(t), who.Viewer(), h.job, p.ID); !fault.Is(err, fault.NotFound) {
				t.Errorf("%s reads the photo: want not_found, got %v", name, err)
			}
			if _, err := s.store.Photos(ctx(t), who.Viewer(), h.job); !fault.Is(err, fault.NotFound) {
				t.Errorf("%s lists the photos: want not_found, got %v", name, err)
			}
		}
		// Taken off the job, rosa delivers what she took before she knew, and sees nothing.
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		s.arrive(s.rosa, p, "the first half")
		if _, err := s.store.Photo(ctx(t), s.rosa.Viewer(), h.job, p.ID); !fault.Is(err, fault.NotFound) {
			t.Errorf("rosa reads it after leaving: want not_found, got %v", err)
		}
		if _, err := s.store.Photo(ctx(t), s.ivan.Viewer(), h.job, p.ID); err != nil {
			t.Errorf("ivan reads it once he is on the job: %v", err)
		}
	})

	t.Run("taken back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		c := addPhoto(h.door)
		c.ID = newID()
		s.do(s.rosa, h.job, c)
		s.do(s.rosa, h.job, joblog.Command{Kind: joblog.WithdrawKind, ItemID: h.door, Withdraw: &joblog.Withdraw{CommandID: c.ID, Reason: "Wrong door."}})
		if _, err := s.store.Photo(ctx(t), s.lead.Viewer(), h.job, c.AddPhoto.PhotoID); !fault.Is(err, fault.NotFound) {
			t.Errorf("a photo taken back: want not_found, got %v", err)
		}
		if got, err := s.store.Photos(ctx(t), s.lead.Viewer(), h.job); err != nil || len(got) != 0 {
			t.Errorf("photos: want none, got %+v, %v", got, err)
		}
		s.wantClean()
	})

	t.Run("one photo, two items", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		other := newID()
		s.addDoor(h.job, h.room, other, "Hall door")
		c := addPhoto(h.door)
		s.do(s.rosa, h.job, c)
		again := c
		again.ItemID = other
		if _, err := s.store.Submit(ctx(t), s.lead.Viewer(), s.command(h.job, again), s.clock.Now()); !fault.Is(err, fault.Conflict) {
			t.Errorf("the same photo on another item: want conflict, got %v", err)
		}
		bad := addPhoto(h.door)
		bad.AddPhoto.PhotoID = "018F0000-0000-7000-8000-00000000ABCD"
		if _, err := s.store.Submit(ctx(t), s.lead.Viewer(), s.command(h.job, bad), s.clock.Now()); !fault.Is(err, fault.Invalid) {
			t.Errorf("an id in capitals: want invalid, got %v", err)
		}
		s.wantClean()
	})

	t.Run("a rebuild puts the log's half right and leaves the bytes' half", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		p := s.arrive(s.rosa, s.photo(s.rosa, h, h.door), "the first half")
		s.exec(`update photos set bytes = bytes + 1, withdrawn = true where photo_id = $1`, p.ID)
		room := s.photo(s.rosa, h, "")
		s.exec(`delete from photos where photo_id = $1`, room.ID)
		rep, err := s.store.Rebuild(ctx(t), postgres.Rebuilding{CompanyID: s.company.ID})
		s.must(err)
		if len(rep.Differences) != 2 {
			t.Errorf("differences: want two photos, got %v", rep.Differences)
		}
		s.wantClean()
		if got := s.own(s.rosa, h.job, p.ID); got != p {
			t.Errorf("after the rebuild: got %+v, want %+v", got, p)
		}
		if got := s.own(s.rosa, h.job, room.ID); got.State != postgres.PhotoWaiting {
			t.Errorf("the room's photo: got %+v, want it waiting again", got)
		}
	})
}
