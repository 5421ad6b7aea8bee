package joblog_test

import (
	"slices"
	"testing"

	"longpoint/internal/joblog"
)

// TestRemovedItem: an opening taken off the job leaves the board, takes nothing but a note,
// and comes back as it was.
func TestRemovedItem(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.take("width_top", in(30, 0, 0))
	before := s.state.Items[s.item].Takes
	remove := joblog.Command{Kind: joblog.RemoveItemKind, RemoveItem: &joblog.RemoveItem{Reason: "the owner keeps the old one"}}
	restore := joblog.Command{Kind: joblog.RestoreItemKind, RestoreItem: &joblog.RestoreItem{}}
	take := joblog.Command{Kind: joblog.TakeReadingKind, TakeReading: &joblog.TakeReading{Reading: "width_top", Value: in(30, 0, 0)}}
	poles := func() (names, removed []string) {
		for _, r := range joblog.ViewJob(s.state, nil, joblog.Reader{Style: style, Now: s.now}).Rooms {
			for _, p := range r.Items {
				names = append(names, p.ID)
			}
			for _, x := range r.Removed {
				removed = append(removed, x.ID+": "+x.Removal.Reason)
			}
		}
		return names, removed
	}

	s.refused(lead, restore, "not_removed")
	s.refused(installer, remove, "lead_only")
	s.refused(lead, joblog.Command{Kind: joblog.RemoveItemKind, RemoveItem: &joblog.RemoveItem{Reason: " "}}, "text_bad")
	s.do(lead, remove)
	s.refused(lead, remove, "item_removed")
	if f := s.refused(installer, take, "item_removed"); joblog.Words("en").Render(f, style).Sentence != "This opening was taken off the job: the owner keeps the old one" {
		t.Errorf("refused with %q", joblog.Words("en").Render(f, style).Sentence)
	}
	s.do(installer, joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "Width at the top was 30."}})
	if names, removed := poles(); len(names) != 0 || !slices.Equal(removed, []string{s.item + ": the owner keeps the old one"}) {
		t.Errorf("removed: poles %v, removed %v", names, removed)
	}
	if v := s.view(); v.Removed == nil || len(v.Readings) == 0 {
		t.Error("a removed item does not show what was logged of it, and that it is removed")
	}

	s.do(lead, restore)
	if names, removed := poles(); !slices.Equal(names, []string{s.item}) || len(removed) != 0 {
		t.Errorf("put back: poles %v, removed %v", names, removed)
	}
	if got := s.state.Items[s.item].Takes; len(got) != len(before) || got[0].CommandID != before[0].CommandID {
		t.Errorf("put back with takes %v, want %v", got, before)
	}
	s.do(installer, take)
}
