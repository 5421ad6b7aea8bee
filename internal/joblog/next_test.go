package joblog_test

import (
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// TestNextOfRoomAndJob turns first to what can be worked on, then to what is held.
func TestNextOfRoomAndJob(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.item
	second := s.id()
	s.do(lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: s.room, ItemID: second, AddItem: &joblog.AddItem{Name: "Hall door", Spec: chainSpec()}})
	next := func() *joblog.ItemNext {
		v := joblog.ViewJob(s.state, nil, joblog.Reader{Style: style, Now: s.now})
		if len(v.Rooms) != 1 || (v.Next == nil) != (v.Rooms[0].Next == nil) || v.Next != nil && *v.Next != *v.Rooms[0].Next {
			t.Fatalf("the one room says %+v, the job %+v", v.Rooms[0].Next, v.Next)
		}
		return v.Next
	}
	if n := next(); n == nil || n.ItemID != first || n.Sentence == "" {
		t.Errorf("next is %+v, want the first door with a reason", n)
	}
	s.item = first
	s.take("width_top", in(30, 0, 0))
	s.take("width_top", in(30, 1, 2)) // disagree: held
	if n := next(); n == nil || n.ItemID != second {
		t.Errorf("next is %+v, want the second door while the first is held", n)
	}
	s.item = second
	s.take("width_top", in(30, 0, 0))
	s.take("width_top", in(30, 1, 2))
	if n := next(); n == nil || n.ItemID != first {
		t.Errorf("next is %+v, want the first door when both are held", n)
	}
	if got := joblog.ViewJob(joblog.NewState(), nil, joblog.Reader{Style: length.Style{}}).Next; got != nil {
		t.Errorf("an empty job says %+v", got)
	}
}
