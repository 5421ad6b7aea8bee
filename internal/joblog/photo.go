package joblog

import "longpoint/internal/finding"

// AddPhoto says that a photo was taken of the item, or of the room where no item is named.
// The log holds what the phone kept: its bytes travel apart from the log and are known by
// their SHA-256.
type AddPhoto struct {
	PhotoID string `json:"photo_id" format:"uuid" doc:"UUIDv7 made by the device"`
	SHA256  string `json:"sha256" pattern:"^[0-9a-f]{64}$" doc:"Of the file the device kept and sends"`
	Bytes   int64  `json:"bytes" minimum:"1" maximum:"12582912" doc:"Length of that file"`
	Width   int64  `json:"width" minimum:"1" maximum:"20000" doc:"Pixels, as the picture is to be seen"`
	Height  int64  `json:"height" minimum:"1" maximum:"20000"`
	Caption string `json:"caption,omitempty" maxLength:"200"`
	Spot    *Spot  `json:"spot,omitempty" doc:"Where on the item's drawing it was taken"`
}

// PhotoEntry is a photo of an item or a room.
type PhotoEntry struct {
	Stamp
	AddPhoto
}

// The limits of a photo. A phone of the common kind takes 12 to 50 million pixels; the app
// makes a photo smaller before it is kept.
const (
	MostPhotoBytes = 12 << 20
	mostPhotoSide  = 20_000
	mostPhotos     = 200
	mostCaption    = 200
	spotScale      = 1000
)

// checkPhoto refuses what no picture could be, and a photo that is there already.
func checkPhoto(s Scope, p AddPhoto) []finding.Finding {
	if !isUUID(p.PhotoID) || !isSHA256(p.SHA256) || p.Bytes < 1 || p.Bytes > MostPhotoBytes ||
		p.Width < 1 || p.Width > mostPhotoSide || p.Height < 1 || p.Height > mostPhotoSide || !p.Spot.onDrawing() {
		return refuse("photo_impossible")
	}
	there := s.photos()
	if len(there) >= mostPhotos {
		return []finding.Finding{finding.New("photo_too_many", finding.Stop).Num("most", mostPhotos)}
	}
	for i := range there {
		if there[i].PhotoID == p.PhotoID {
			return refuse("already_there")
		}
	}
	return nil
}

// photos are those of the item, or of the room where the scope has no item.
func (s Scope) photos() []PhotoEntry {
	if s.Item != nil {
		return s.Item.Photos
	}
	return s.Room.Photos
}

// onDrawing reports whether the spot is on the item's own drawing; no spot is.
func (s *Spot) onDrawing() bool {
	return s == nil || s.On == "" && s.X >= 0 && s.X <= spotScale && s.Y >= 0 && s.Y <= spotScale
}

// isSHA256 reports whether s is a SHA-256 in lower-case hexadecimal.
func isSHA256(s string) bool {
	if len(s) != 64 {
		return false
	}
	for i := range len(s) {
		if c := s[i]; !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f') {
			return false
		}
	}
	return true
}

// applyPhotos folds an entry about the photos of the room itself.
func (r *Room) applyPhotos(e Entry) {
	switch c := e.Command; {
	case c.AddPhoto != nil:
		stamp := Stamp{CommandID: c.ID, Seq: e.Seq, PersonID: e.PersonID, At: e.DidAt}
		r.Photos = append(r.Photos, PhotoEntry{stamp, *c.AddPhoto})
	case c.Withdraw != nil:
		if at := locatePhoto(r.Photos, c.Withdraw.CommandID); at >= 0 {
			r.Photos = withoutPhoto(r.Photos, at)
		}
	}
}

func locatePhoto(photos []PhotoEntry, id string) int {
	for i := range photos {
		if photos[i].CommandID == id {
			return i
		}
	}
	return -1
}

func withoutPhoto(photos []PhotoEntry, at int) []PhotoEntry {
	return append(append([]PhotoEntry(nil), photos[:at]...), photos[at+1:]...)
}
