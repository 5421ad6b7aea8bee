package joblog

import "longpoint/internal/finding"

// RemoveItem takes an opening or run off the job: it leaves the rooms and the board. Its log
// stays, and so does whatever somebody enters about it who had not heard: as a note.
type RemoveItem struct {
	Reason string `json:"reason" minLength:"1" maxLength:"400"`
}

// RestoreItem puts a removed item back as it was.
type RestoreItem struct{}

// Removal says who took an item off the job, when and why.
type Removal struct {
	Stamp
	Reason string `json:"reason"`
}

// RemovedView is a removed item in its room.
type RemovedView struct {
	ID      string  `json:"id" format:"uuid"`
	Name    string  `json:"name"`
	Kind    string  `json:"kind_label"`
	Removal Removal `json:"removal"`
}

// removedStop refuses work on a removed item. A note and a photo are taken, so that what was
// done there meanwhile can be told.
func removedStop(it *Item, k Kind) (finding.Finding, bool) {
	switch {
	case it == nil:
		return finding.Finding{}, false
	case k == RestoreItemKind && it.Removed == nil:
		return finding.New("not_removed", finding.Stop), true
	case it.Removed != nil && k != RestoreItemKind && k != NoteKind && k != AddPhotoKind:
		return finding.New("item_removed", finding.Stop).Text("reason", it.Removed.Reason), true
	}
	return finding.Finding{}, false
}
