package joblog_test

import (
	"testing"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/walk"
)

// byWalk is a photo that a homeowner takes on the walk.
func (s *site) byWalk() joblog.Command {
	c := s.photo("")
	c.WalkID = walkID
	return c
}

func showing(c joblog.Command, photos ...string) joblog.Command {
	switch {
	case c.SayRemark != nil:
		c.SayRemark.Photos = photos
	case c.MoveRemark != nil:
		c.MoveRemark.Photos = photos
	}
	return c
}

// A homeowner adds photos to what they say and marks a place on one; the crew answers with a
// photo. Each side sees what the remark shows, and the homeowner nothing else.
func TestPhotosOfAWalk(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.openWalk()
	private := s.photo("Behind the wall.")
	s.do(installer, private)
	mine := s.byWalk()
	s.do(homeowner, mine)
	said := showing(s.said(walk.Dent, ""), mine.AddPhoto.PhotoID)
	said.SayRemark.Marks = []joblog.Spot{{On: mine.AddPhoto.PhotoID, X: 250, Y: 700}}
	id := s.do(homeowner, said).Entries[0].Command.ID
	for _, role := range []joblog.Role{joblog.Guest, joblog.Lead} {
		if got := s.remarkFor(role, id); len(got.Photos) != 1 || len(got.Marks) != 1 || got.Marks[0].X != 250 {
			t.Errorf("%s sees %+v, want the photo with its mark", role, got)
		}
	}
	item := s.view()
	if got := item.Remarks; len(item.Photos) != 2 || len(got[0].Photos) != 1 || len(got[0].Marks) != 1 {
		t.Errorf("the installer sees %+v and %d photos, want the remark's photo with its mark among two", got, len(item.Photos))
	}
	w := s.state.Walks[walkID]
	if !w.Shows(mine.AddPhoto.PhotoID) || w.Shows(private.AddPhoto.PhotoID) {
		t.Errorf("their own: %v, the crew's: %v; want true and false", w.Shows(mine.AddPhoto.PhotoID), w.Shows(private.AddPhoto.PhotoID))
	}

	// What the crew shows with an answer is the homeowner's to see from then on.
	proof := s.photo("")
	s.do(installer, proof)
	s.do(lead, showing(move(id, walk.Agree, ""), proof.AddPhoto.PhotoID))
	if got := s.remark(id).Moves[0].Photos; len(got) != 1 || !w.Shows(proof.AddPhoto.PhotoID) {
		t.Errorf("the homeowner sees %v, want the crew's photo", got)
	}
}

// Nobody shows a photo of another place, and a homeowner none that is the crew's own.
func TestPhotosThatAreNotTheirs(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.openWalk()
	crews, mine := s.photo(""), s.byWalk()
	s.do(installer, crews)
	s.do(homeowner, mine)
	own, theirs := mine.AddPhoto.PhotoID, crews.AddPhoto.PhotoID
	s.refused(homeowner, showing(s.said(walk.Dent, ""), theirs), "photo_not_here")
	s.refused(homeowner, showing(s.said(walk.Dent, ""), photo), "photo_not_here")
	off := showing(s.said(walk.Dent, ""), own)
	off.SayRemark.Marks = []joblog.Spot{{On: theirs, X: 1, Y: 1}}
	s.refused(homeowner, off, "photo_not_here")
	spot := showing(s.said(walk.Dent, ""), own)
	spot.SayRemark.Spot = &joblog.Spot{On: theirs, X: 1, Y: 1}
	s.refused(homeowner, spot, "photo_not_here")
	off.SayRemark.Marks[0] = joblog.Spot{On: own, X: 1001}
	s.refused(homeowner, off, "choice_bad")

	// Another item's photo is not this one's.
	other := s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: other, AddItem: &joblog.AddItem{Name: "Closet", Spec: chainSpec()}})
	there := s.photo("")
	there.ItemID = other
	s.do(installer, there)
	id := s.do(homeowner, s.said(walk.Dent, "")).Entries[0].Command.ID
	s.do(lead, move(id, walk.Agree, ""))
	s.refused(lead, showing(move(id, walk.Decline, "No."), there.AddPhoto.PhotoID), "photo_not_here")

	s.refused(neighbor, s.byWalk(), "walk_gone")
	s.refused(homeowner, s.photo(""), "not_on_crew")
	for range 80 {
		if d := s.give(homeowner, s.byWalk()); d.Refused {
			if code, want := d.Findings[0].Code, "photo_too_many"; code != want {
				t.Errorf("the last photo: %s, want %s", code, want)
			}
			break
		}
	}
	if got, want := len(s.state.Walks[walkID].Photos), 72; got != want {
		t.Errorf("the walk took %d photos, want it to stop at %d", got, want)
	}
	s.now = s.now.Add(8 * 24 * time.Hour)
	s.refused(homeowner, s.byWalk(), "walk_over")
}

// A day is one that the calendar has.
func TestADayIsOfTheCalendar(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.openWalk()
	id := s.do(homeowner, s.said(walk.Dent, "")).Entries[0].Command.ID
	for day, want := range map[string]bool{"2026-02-31": false, "2026-02-29": false, "2028-02-29": true, "2100-02-29": false, "2000-02-29": true,
		"2026-04-31": false, "2026-12-31": true, "2026-00-10": false, "2026-01-00": false} {
		c := move(id, walk.Agree, "")
		c.MoveRemark.Day = day
		if d := s.give(lead, c); d.Refused == want {
			t.Errorf("%s: taken %v, want %v", day, !d.Refused, want)
		}
	}
}
