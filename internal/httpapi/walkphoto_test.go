package httpapi_test

import (
	"bytes"
	"net/http"
	"strconv"
	"strings"
	"testing"

	"longpoint/internal/joblog"
	"longpoint/internal/photo"
	"longpoint/internal/walk"
)

func (h homeowner) with(more http.Header) http.Header {
	out := h.header()
	for k, v := range more {
		out[k] = v
	}
	return out
}

// adds logs a photo by the walk, of the house's door.
func (h homeowner) adds(of house, walkID string, data []byte) shot {
	h.t.Helper()
	s := shot{data: data, id: newID(), h: of}
	out := h.say(of, joblog.Command{Kind: joblog.AddPhotoKind, WalkID: walkID, ItemID: of.item, AddPhoto: &joblog.AddPhoto{PhotoID: s.id,
		SHA256: photo.Hash(data), Bytes: int64(len(data)), Width: 480, Height: 640}})
	if !out.Outcomes[0].Applied {
		h.t.Fatalf("logging a homeowner's photo: %+v", out.Outcomes[0].Findings)
	}
	return s
}

// A homeowner's photo arrives in parts under their key, and both sides see it on the remark.
func TestAHomeownersPhoto(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	link := openWalk(b, h, nil)
	ada, _ := enter(b, secretOf(t, link), "")
	s := ada.adds(h, link.WalkID, camera(640, 480))
	up := "/api/v1/walk/uploads/" + s.id
	half := len(s.data) / 2
	ada.do(http.MethodPatch, up, bytes.NewReader(s.data[:half]), ada.with(partHeader(0))).want(http.StatusNoContent)
	if got := ada.do(http.MethodHead, up, nil, ada.header()).want(http.StatusOK).header.Get("Upload-Offset"); got != strconv.Itoa(half) {
		t.Fatalf("half way: at %s, want %d", got, half)
	}
	full := "/api/v1/walk/photos/" + s.id + "/full.jpg"
	ada.do(http.MethodGet, full, nil, ada.header()).refused(http.StatusConflict, "conflict")
	ada.do(http.MethodPatch, up, bytes.NewReader(s.data[half:]), ada.with(partHeader(half))).want(http.StatusNoContent)
	said := joblog.Command{Kind: joblog.SayRemarkKind, WalkID: link.WalkID, RoomID: h.room, ItemID: h.item,
		SayRemark: &joblog.SayRemark{About: walk.Dent, Photos: []string{s.id}, Marks: []joblog.Spot{{On: s.id, X: 400, Y: 600}}}}
	if out := ada.say(h, said); !out.Outcomes[0].Applied {
		t.Fatalf("a remark with a photo: %+v", out.Outcomes[0].Findings)
	}
	if r := ada.page().View.Rooms[0].Remarks[0]; len(r.Photos) != 1 || r.Photos[0] != s.id || len(r.Marks) != 1 {
		t.Errorf("the homeowner reads %+v, want the photo and its mark", r)
	}
	for _, picture := range []string{full, "/api/v1/walk/photos/" + s.id + "/thumb.jpg"} {
		a := ada.do(http.MethodGet, picture, nil, ada.header()).want(http.StatusOK)
		if !bytes.HasPrefix(a.body, []byte{0xff, 0xd8}) || bytes.Contains(a.body, []byte("Exif")) {
			t.Errorf("%s: %d bytes, want a JPEG without what the camera wrote beside it", picture, len(a.body))
		}
	}
	h.lead.get(s.picture()).want(http.StatusOK)
}

// A key brings and sees no photo but its own walk's.
func TestAKeySeesNoOtherPhoto(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	next := buildHouse(b, b.ours, "Next Door")
	link, other := openWalk(b, h, nil), openWalk(b, next, nil)
	ada, _ := enter(b, secretOf(t, link), "")
	eve, _ := enter(b, secretOf(t, other), "")
	crews := h.lead.take(h, camera(320, 240))
	h.lead.part(crews, 0, len(crews.data)).want(http.StatusNoContent)
	eves := eve.adds(next, other.WalkID, camera(160, 120))
	eve.do(http.MethodPatch, "/api/v1/walk/uploads/"+eves.id, bytes.NewReader(eves.data), eve.with(partHeader(0))).want(http.StatusNoContent)
	eve.do(http.MethodGet, "/api/v1/walk/photos/"+eves.id+"/full.jpg", nil, eve.header()).want(http.StatusOK)
	for name, id := range map[string]string{"the crew's own": crews.id, "next door's": eves.id, "nobody's": newID()} {
		for _, size := range []string{"full", "thumb"} {
			a := ada.do(http.MethodGet, "/api/v1/walk/photos/"+id+"/"+size+".jpg", nil, ada.header())
			a.refused(http.StatusNotFound, "not_found")
		}
		if a := ada.do(http.MethodHead, "/api/v1/walk/uploads/"+id, nil, ada.header()); a.status != http.StatusNotFound {
			t.Errorf("asking after %s photo: got %d, want 404", name, a.status)
		}
		ada.do(http.MethodPatch, "/api/v1/walk/uploads/"+id, bytes.NewReader([]byte{1}), ada.with(partHeader(0))).refused(http.StatusNotFound, "not_found")
	}
	// Showing the crew's photo in a remark of one's own does not open it.
	c := joblog.Command{Kind: joblog.SayRemarkKind, WalkID: link.WalkID, RoomID: h.room, ItemID: h.item,
		SayRemark: &joblog.SayRemark{About: walk.Dent, Photos: []string{crews.id}}}
	if out := ada.say(h, c); out.Outcomes[0].Applied {
		t.Error("a remark took the crew's photo for its own")
	}
	// Without a key, and with one that has ended, there is nothing.
	h.lead.do(http.MethodDelete, h.path("/walks/"+link.WalkID+"/link"), nil, nil).want(http.StatusNoContent)
	for _, key := range []http.Header{ada.header(), nil} {
		ada.do(http.MethodGet, "/api/v1/walk/photos/"+crews.id+"/full.jpg", nil, key).refused(http.StatusUnauthorized, "unauthorized")
		part := homeowner{key: strings.TrimPrefix(key.Get("Authorization"), "Bearer ")}.with(partHeader(0))
		ada.do(http.MethodPatch, "/api/v1/walk/uploads/"+crews.id, bytes.NewReader([]byte{1}), part).refused(http.StatusUnauthorized, "unauthorized")
	}
}
