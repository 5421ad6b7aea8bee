package joblog_test

import (
	"strings"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/joblog"
)

// photo is an entry for a picture of 2048 by 1536 pixels.
func (s *site) photo(caption string) joblog.Command {
	return joblog.Command{Kind: joblog.AddPhotoKind, AddPhoto: &joblog.AddPhoto{PhotoID: s.id(), SHA256: strings.Repeat("0a", 32),
		Bytes: 412_000, Width: 2048, Height: 1536, Caption: caption}}
}

// TestPhotosOfAnItem logs two, sees both with their captions and takes one back.
func TestPhotosOfAnItem(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.photo("Split at the head casing.")
	first.AddPhoto.Spot = &joblog.Spot{X: 0, Y: 1000}
	d := s.do(installer, first)
	s.do(installer, s.photo(""))
	got := s.view().Photos
	if len(got) != 2 || got[0].PhotoID != first.AddPhoto.PhotoID || got[0].Caption != first.AddPhoto.Caption || *got[0].Spot != *first.AddPhoto.Spot {
		t.Fatalf("photos of the item: got %+v, want the two logged, the first with its caption and spot", got)
	}
	for i, want := range []string{"Photo taken: Split at the head casing.", "Photo taken."} {
		e := joblog.ViewEntry(s.log[len(s.log)-2+i], joblog.Reader{Style: style})
		if e.Sentence != want || !e.CanTake {
			t.Errorf("the log says %q, can be taken back %v; want %q and true", e.Sentence, e.CanTake, want)
		}
	}
	id := d.Entries[0].Command.ID
	s.do(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: id, Reason: "Wrong door."}})
	if got := s.view().Photos; len(got) != 1 || got[0].CommandID == id {
		t.Errorf("photos after one was taken back: got %+v, want the other alone", got)
	}
	s.refused(installer, joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: id, Reason: "Again."}}, "nothing_to_withdraw")
}

// TestPhotosOfARoom stand on the room and on none of its items.
func TestPhotosOfARoom(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	about := func(c joblog.Command) joblog.Decision {
		c.ID, c.Version, c.JobID, c.At, c.RoomID = s.id(), joblog.CommandVersion, jobID, s.now, s.room
		d := joblog.Decide(s.state.Scope(nil, c), c, installer, s.now, s.now)
		for _, e := range d.Entries {
			e.Seq = s.state.Seq + 1
			s.state.Apply(e)
		}
		return d
	}
	d := about(s.photo("The floor falls to the window."))
	if d.Refused {
		t.Fatalf("a photo of the room was refused: %s", words(d.Findings))
	}
	board := joblog.ViewJob(s.state, nil, joblog.Reader{Style: style, Now: s.now})
	if got := board.Rooms[0].Photos; len(got) != 1 || len(s.view().Photos) != 0 {
		t.Fatalf("photos of the room: got %+v and %d of the item, want one and none", got, len(s.view().Photos))
	}
	back := joblog.Command{Kind: joblog.WithdrawKind, Withdraw: &joblog.Withdraw{CommandID: d.Entries[0].Command.ID, Reason: "Blurred."}}
	if d := about(back); d.Refused || len(s.state.Rooms[s.room].Photos) != 0 {
		t.Errorf("taking it back: refused %v, %d left, want it gone", d.Refused, len(s.state.Rooms[s.room].Photos))
	}
	if d := about(back); !d.Refused {
		t.Error("taking it back twice was let through")
	}
}

// TestPhotosNobodyTook refuses descriptions that fit no picture.
func TestPhotosNobodyTook(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		change func(*joblog.AddPhoto)
		want   string
	}{
		"no id":                    {func(p *joblog.AddPhoto) { p.PhotoID = "1" }, "photo_impossible"},
		"no hash":                  {func(p *joblog.AddPhoto) { p.SHA256 = "" }, "photo_impossible"},
		"a hash in capitals":       {func(p *joblog.AddPhoto) { p.SHA256 = strings.Repeat("AB", 32) }, "photo_impossible"},
		"no bytes":                 {func(p *joblog.AddPhoto) { p.Bytes = 0 }, "photo_impossible"},
		"more bytes than are sent": {func(p *joblog.AddPhoto) { p.Bytes = joblog.MostPhotoBytes + 1 }, "photo_impossible"},
		"no width":                 {func(p *joblog.AddPhoto) { p.Width = 0 }, "photo_impossible"},
		"a height past any camera": {func(p *joblog.AddPhoto) { p.Height = 20_001 }, "photo_impossible"},
		"a spot off the drawing":   {func(p *joblog.AddPhoto) { p.Spot = &joblog.Spot{X: 1001} }, "photo_impossible"},
		"a spot on another photo":  {func(p *joblog.AddPhoto) { p.Spot = &joblog.Spot{On: jobID} }, "photo_impossible"},
		"a caption that hides":     {func(p *joblog.AddPhoto) { p.Caption = "fine\u202e" }, "text_bad"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			c := s.photo("")
			tc.change(c.AddPhoto)
			s.refused(installer, c, tc.want)
		})
	}
	s := newSite(t)
	c := s.photo("")
	s.do(installer, c)
	again := c
	again.ID = s.id()
	s.refused(installer, again, "already_there")
	for range 199 {
		s.do(installer, s.photo(""))
	}
	s.refused(installer, s.photo(""), "photo_too_many")
}

// TestAPhotoChangesNoStage holds the pole where it stood.
func TestAPhotoChangesNoStage(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.takeAll()
	before := s.view().Stages
	s.now = s.now.Add(time.Minute)
	s.do(installer, s.photo("Before."))
	s.do(installer, joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{Fastener: finish.Fastener{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 1, Where: finish.JambEdge}}})
	for i, after := range s.view().Stages[:2] {
		if after.Status != before[i].Status {
			t.Errorf("%s went from %s to %s", after.Stage, before[i].Status, after.Status)
		}
	}
}
