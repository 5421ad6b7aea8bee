package joblog

import (
	"time"

	"longpoint/internal/finding"
)

// mostPhotosOfAWalk bounds what a homeowner's link may bring: twelve remarks with six photos
// each are a long punch list.
const mostPhotosOfAWalk = 72

// onOwnWalk reports whether a homeowner adds a photo within their walkthrough: it is the one
// thing beside remarks and signatures that is theirs to add.
func onOwnWalk(c Command, by Role) bool {
	return by == Guest && c.Kind == AddPhotoKind && c.WalkID != ""
}

// checkWalkPhoto judges a photo that names a walkthrough.
func checkWalkPhoto(s Scope, c Command, by Actor, now time.Time) []finding.Finding {
	switch {
	case c.WalkID == "":
		return nil
	case s.Walk == nil || by.Role == Guest && s.Walk.GuestID != by.PersonID:
		return refuse("walk_gone")
	case s.Walk.Sealed != nil:
		return refuse("walk_sealed")
	case s.Walk.Closed != nil || by.Role == Guest && now.After(s.Walk.ExpiresAt):
		return refuse("walk_over")
	case s.Room == nil || !s.Walk.goesThrough(s.Room.ID):
		return refuse("room_not_walked")
	case len(s.Walk.Photos) >= mostPhotosOfAWalk:
		return []finding.Finding{finding.New("photo_too_many", finding.Stop).Num("most", mostPhotosOfAWalk)}
	}
	return nil
}

// checkShown refuses photos that are not of the place the remark is about: whoever may read
// the remark sees them. A homeowner shows only what they took on this walk.
func checkShown(s Scope, ids []string, by Role) []finding.Finding {
	for _, id := range ids {
		there := false
		if s.Item != nil || s.Room != nil {
			for _, p := range s.photos() {
				there = there || p.PhotoID == id
			}
		}
		if !there || by == Guest && !contains(s.Walk.Photos, id) {
			return refuse("photo_not_here")
		}
	}
	return nil
}

// checkMarks refuses a place on a photo that is not one of the remark's.
func checkMarks(b SayRemark) []finding.Finding {
	marks := b.Marks
	if b.Spot != nil && b.Spot.On != "" {
		marks = append([]Spot{*b.Spot}, marks...)
	}
	for _, m := range marks {
		if !contains(b.Photos, m.On) {
			return refuse("photo_not_here")
		}
	}
	return nil
}

// Shows reports whether the homeowner may look at a photo: their own of this walk, and what
// the crew showed them with an answer.
func (w *Walk) Shows(photo string) bool {
	if contains(w.Photos, photo) {
		return true
	}
	for i := range w.Remarks {
		r := &w.Remarks[i]
		if r.PersonID != w.GuestID && contains(r.SayRemark.Photos, photo) {
			return true
		}
		for j := range r.Moves {
			if m := &r.Moves[j]; m.PersonID != w.GuestID && contains(m.Photos, photo) {
				return true
			}
		}
	}
	return false
}

func (w *Walk) shown(photos []string) []string {
	var out []string
	for _, id := range photos {
		if w.Shows(id) {
			out = append(out, id)
		}
	}
	return out
}
