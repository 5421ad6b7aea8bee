package httpapi_test

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image/jpeg"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"longpoint/internal/account"
	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/photo"
	"longpoint/internal/photo/phototest"
)

// shot is a photo as a phone has it, and where it is on the service.
type shot struct {
	data []byte
	id   string
	h    house
}

// camera is a photo taken with the phone on its side, in a place that is nobody's business.
func camera(w, h int) []byte {
	return phototest.Camera(phototest.JPEG(phototest.Corners(w, h)), 6)
}

// take logs a photo of the house's door, as of the data it has.
func (c *client) take(h house, data []byte) shot {
	c.t.Helper()
	return c.takeAs(h, data, photo.Hash(data))
}

func (c *client) takeAs(h house, data []byte, hash string) shot {
	c.t.Helper()
	s := shot{data: data, id: newID(), h: h}
	out := c.send(h, joblog.Command{Kind: joblog.AddPhotoKind, ItemID: h.item, AddPhoto: &joblog.AddPhoto{PhotoID: s.id,
		SHA256: hash, Bytes: int64(len(data)), Width: 480, Height: 640, Caption: "The head."}})
	if !out.Outcomes[0].Applied {
		c.t.Fatalf("logging a photo: %+v", out.Outcomes[0].Findings)
	}
	return s
}

func (s shot) upload() string  { return s.h.path("/uploads/" + s.id) }
func (s shot) picture() string { return s.h.path("/photos/" + s.id + "/full.jpg") }
func (s shot) thumb() string   { return s.h.path("/photos/" + s.id + "/thumb.jpg") }

func partHeader(offset int) http.Header {
	return http.Header{"Content-Type": {"application/offset+octet-stream"}, "Upload-Offset": {strconv.Itoa(offset)}, "Tus-Resumable": {"1.0.0"}}
}

func (c *client) part(s shot, from, to int) answer {
	c.t.Helper()
	return c.do(http.MethodPatch, s.upload(), bytes.NewReader(s.data[from:to]), partHeader(from))
}

func (c *client) offset(s shot) int {
	c.t.Helper()
	a := c.do(http.MethodHead, s.upload(), nil, nil).want(http.StatusOK)
	n, err := strconv.Atoi(a.header.Get("Upload-Offset"))
	if err != nil || a.header.Get("Upload-Length") != strconv.Itoa(len(s.data)) || a.header.Get("Tus-Resumable") != "1.0.0" || a.header.Get("Cache-Control") != "no-store" {
		c.t.Fatalf("HEAD of an upload: %v", a.header)
	}
	return n
}

func (c *client) photoLine(s shot) httpapi.PhotoLine {
	c.t.Helper()
	var list httpapi.PhotoList
	c.get(s.h.path("/photos")).want(http.StatusOK).into(&list)
	for _, l := range list.Photos {
		if l.PhotoID == s.id {
			return l
		}
	}
	c.t.Fatalf("photo %s is not in %+v", s.id, list.Photos)
	return httpapi.PhotoLine{}
}

// files lists what the storage holds.
func files(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			out = append(out, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestAPhotoFromThePhoneToTheLead(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	b := setup(t, func(c *app.Config) { c.Photos.Dir = dir })
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	s := bo.take(h, camera(640, 480))

	// Until it arrives it is seen waiting, by the lead too.
	var view joblog.ItemView
	h.lead.get(h.path("/items/" + h.item)).want(http.StatusOK).into(&view)
	if len(view.Photos) != 1 || view.Photos[0].PhotoID != s.id || view.Photos[0].Caption != "The head." {
		t.Fatalf("photos of the door: got %+v", view.Photos)
	}
	if l := h.lead.photoLine(s); l.State != "waiting" || l.Received != 0 || l.Bytes != int64(len(s.data)) || l.ItemID != h.item {
		t.Errorf("before it arrives: got %+v, want it waiting", l)
	}
	h.lead.get(s.thumb()).refused(http.StatusConflict, "conflict")

	third := len(s.data) / 3
	for i, cut := range [][2]int{{0, third}, {third, 2 * third}, {2 * third, len(s.data)}} {
		if got := bo.offset(s); got != cut[0] {
			t.Fatalf("before part %d: at %d, want %d", i, got, cut[0])
		}
		a := bo.part(s, cut[0], cut[1]).want(http.StatusNoContent)
		if got := a.header.Get("Upload-Offset"); got != strconv.Itoa(cut[1]) {
			t.Errorf("after part %d: at %s, want %d", i, got, cut[1])
		}
	}
	l := h.lead.photoLine(s)
	if l.State != "stored" || l.Width != 480 || l.Height != 640 || l.Settled == nil {
		t.Errorf("when it is here: got %+v, want it stored and upright", l)
	}
	// All of it again is nothing new.
	bo.part(s, len(s.data), len(s.data)).want(http.StatusNoContent)

	full := h.lead.get(s.picture()).want(http.StatusOK)
	m, err := jpeg.Decode(bytes.NewReader(full.body))
	if err != nil || m.Bounds().Dx() != 480 || m.Bounds().Dy() != 640 {
		t.Fatalf("the picture: %v, %v", m, err)
	}
	if r, g, bl, _ := m.At(470, 10).RGBA(); r>>8 < 200 || g>>8 > 60 || bl>>8 > 60 {
		t.Errorf("the stored first row is at the right when orientation is 6: the upper right is %d %d %d, want red", r>>8, g>>8, bl>>8)
	}
	small := h.lead.get(s.thumb()).want(http.StatusOK)
	if len(small.body) >= len(full.body) {
		t.Errorf("the thumbnail has %d bytes, the picture %d", len(small.body), len(full.body))
	}
	for name, want := range map[string]string{"Content-Type": "image/jpeg", "Cache-Control": "private, max-age=86400, immutable", "X-Content-Type-Options": "nosniff",
		"Content-Disposition": `inline; filename="photo-` + s.id + `.jpg"`, "Cross-Origin-Resource-Policy": "same-origin"} {
		if got := full.header.Get(name); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
	h.lead.do(http.MethodGet, s.picture(), nil, http.Header{"If-None-Match": {full.header.Get("Etag")}}).want(http.StatusNotModified)
	if got := h.lead.do(http.MethodGet, s.picture(), nil, http.Header{"Range": {"bytes=0-9"}}).want(http.StatusPartialContent); len(got.body) != 10 {
		t.Errorf("ten bytes of it: got %d", len(got.body))
	}
	if a := h.lead.do(http.MethodHead, s.picture(), nil, nil).want(http.StatusOK); a.header.Get("Content-Length") != strconv.Itoa(len(full.body)) {
		t.Errorf("HEAD of the picture: length %s, want %d", a.header.Get("Content-Length"), len(full.body))
	}

	// Nowhere is anything of what the camera wrote, or the file as it was sent.
	place := binary.LittleEndian.AppendUint32(nil, phototest.Latitude[2][0])
	kept := files(t, dir)
	if len(kept) != 2 {
		t.Errorf("the storage holds %v, want the picture and its thumbnail", kept)
	}
	for _, name := range kept {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if photo.Hash(data)+".jpg" != filepath.Base(name) {
			t.Errorf("%s is not named by what it holds", name)
		}
		for _, no := range []string{phototest.Maker, phototest.Artist, "Exif", "GPS", string(place)} {
			if bytes.Contains(data, []byte(no)) || bytes.Contains(full.body, []byte(no)) {
				t.Errorf("%q is still in %s", no, name)
			}
		}
	}

	// Taken back, it is gone for everyone.
	h.lead.send(h, joblog.Command{Kind: joblog.WithdrawKind, ItemID: h.item, Withdraw: &joblog.Withdraw{CommandID: view.Photos[0].CommandID, Reason: "Wrong door."}})
	h.lead.get(s.picture()).refused(http.StatusNotFound, "not_found")
	bo.get(s.thumb()).refused(http.StatusNotFound, "not_found")
}

func TestWhoMaySeeAndSendPhotos(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	s := bo.take(h, camera(64, 48))
	bo.part(s, 0, len(s.data)).want(http.StatusNoContent)
	waiting := bo.take(h, camera(96, 64))
	everything := []string{s.picture(), s.thumb(), h.path("/photos")}
	for _, path := range everything {
		b.client().get(path).refused(http.StatusUnauthorized, "unauthorized")
	}
	b.client().part(waiting, 0, 10).refused(http.StatusUnauthorized, "unauthorized")
	for _, who := range []account.Person{b.strangers.lead, b.strangers.installer} {
		c := b.as(who)
		for _, path := range everything {
			c.get(path).refused(http.StatusNotFound, "not_found")
		}
		c.do(http.MethodHead, waiting.upload(), nil, nil).want(http.StatusNotFound)
		c.part(waiting, 0, 10).refused(http.StatusNotFound, "not_found")
	}
	// The lead sees bo's photos and does not send them.
	h.lead.get(s.picture()).want(http.StatusOK)
	h.lead.part(waiting, 0, 10).refused(http.StatusNotFound, "not_found")
	// Bo leaves the job: what he took he delivers, what is there he no longer sees.
	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{}})
	bo.get(s.picture()).refused(http.StatusNotFound, "not_found")
	bo.part(waiting, 0, len(waiting.data)).want(http.StatusNoContent)
	h.lead.get(waiting.picture()).want(http.StatusOK)
	// The same id under another job is nothing.
	other := buildHouse(b, b.ours, "Other Street")
	h.lead.get(other.path("/photos/"+s.id+"/full.jpg")).refused(http.StatusNotFound, "not_found")
}

// TestAnUploadCutInTheMiddle breaks the connection inside a part and goes on from what came.
func TestAnUploadCutInTheMiddle(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	s := bo.take(h, phototest.Noisy(900, 700, 1))
	if len(s.data) < 100_000 {
		t.Fatalf("the test's photo has %d bytes", len(s.data))
	}
	u, err := url.Parse(b.base)
	if err != nil {
		t.Fatal(err)
	}
	cookie := bo.http.Jar.Cookies(u)[0]
	const sent = 40_000
	conn, err := net.Dial("tcp", u.Host)
	if err != nil {
		t.Fatal(err)
	}
	_, err = fmt.Fprintf(conn, "PATCH %s HTTP/1.1\r\nHost: %s\r\nCookie: %s=%s\r\nTus-Resumable: 1.0.0\r\nUpload-Offset: 0\r\nContent-Type: application/offset+octet-stream\r\nContent-Length: %d\r\n\r\n",
		s.upload(), u.Host, cookie.Name, cookie.Value, len(s.data))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := conn.Write(s.data[:sent]); err != nil {
		t.Fatal(err)
	}
	// Half closed: the service reads the end of what was sent and answers nobody in particular.
	if err := conn.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	answered, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatalf("waiting until the service has noticed: %v", err)
	}
	_, _ = io.Copy(io.Discard, answered.Body)
	_ = answered.Body.Close()
	_ = conn.Close()
	if got := bo.offset(s); got != sent {
		t.Fatalf("after the cut: at %d, want the %d that were sent", got, sent)
	}
	// A part from elsewhere is refused, and says where to go on.
	a := bo.part(s, 0, 10)
	a.refused(http.StatusConflict, "conflict")
	if got := a.header.Get("Upload-Offset"); got != strconv.Itoa(sent) {
		t.Errorf("the refusal says %q, want %d", got, sent)
	}
	bo.part(s, sent, len(s.data)).want(http.StatusNoContent)
	if l := bo.photoLine(s); l.State != "stored" {
		t.Errorf("got %+v, want it stored", l)
	}
}

func TestPhotosThatCannotBeTaken(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	b := setup(t, func(c *app.Config) { c.Photos.Dir = dir })
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	for name, tc := range map[string]struct {
		data   []byte
		status int
		code   string
		reason string
	}{
		"a web page":  {[]byte("<!doctype html><script>alert(document.cookie)</script>"), 422, "invalid", "not_a_picture"},
		"HEIC":        {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), 422, "invalid", "heic"},
		"a bomb":      {bomb(), 413, "too_large", "too_big"},
		"half a JPEG": {camera(640, 480)[:3000], 422, "invalid", "damaged"},
	} {
		s := bo.take(h, tc.data)
		p := bo.part(s, 0, len(s.data)).refused(tc.status, tc.code)
		l := h.lead.photoLine(s)
		if l.State != "refused" || l.Reason != tc.reason || l.Sentence != p.Detail {
			t.Errorf("%s: got %+v after %q, want it refused for %s in the same words", name, l, p.Detail, tc.reason)
		}
		bo.do(http.MethodHead, s.upload(), nil, nil).want(http.StatusGone)
		bo.part(s, 0, len(s.data)).want(http.StatusGone)
		h.lead.get(s.picture()).refused(http.StatusConflict, "conflict")
	}
	if kept := files(t, dir); len(kept) != 0 {
		t.Errorf("the storage holds %v of what was refused", kept)
	}

	// What arrived is not what was logged: it begins again.
	data := camera(64, 48)
	s := bo.takeAs(h, data, photo.Hash([]byte("another")))
	p := bo.part(s, 0, len(data)).refused(http.StatusUnprocessableEntity, "invalid")
	if l := bo.photoLine(s); l.State != "waiting" || l.Received != 0 || !strings.Contains(p.Detail, "sent again") {
		t.Errorf("another file than was logged: got %+v and %q, want it waiting from the start", l, p.Detail)
	}

	s = bo.take(h, data)
	part := func(header http.Header, body []byte) answer {
		return bo.do(http.MethodPatch, s.upload(), bytes.NewReader(body), header)
	}
	without := func(name string) http.Header {
		h := partHeader(0)
		h.Del(name)
		return h
	}
	part(partHeader(0), append(bytes.Clone(data), 0)).refused(http.StatusRequestEntityTooLarge, "too_large")
	part(without("Upload-Offset"), data).refused(http.StatusUnprocessableEntity, "invalid")
	part(without("Tus-Resumable"), data).refused(http.StatusPreconditionFailed, "invalid")
	part(without("Content-Type"), data).refused(http.StatusUnsupportedMediaType, "invalid")
	part(partHeader(-1), data).refused(http.StatusUnprocessableEntity, "invalid")
	bo.do(http.MethodPatch, h.path("/uploads/"+newID()), bytes.NewReader(data), partHeader(0)).refused(http.StatusNotFound, "not_found")
	bo.do(http.MethodPatch, s.upload(), bytes.NewReader(data), http.Header{"Content-Type": {"application/offset+octet-stream"}, "Upload-Offset": {"0"},
		"Tus-Resumable": {"1.0.0"}, "Sec-Fetch-Site": {"cross-site"}}).refused(http.StatusForbidden, "forbidden")
	if got := bo.offset(s); got != 0 {
		t.Errorf("after all that was refused: at %d, want 0", got)
	}
	// Told in advance to be too heavy, it is not even logged.
	out := bo.send(h, joblog.Command{Kind: joblog.AddPhotoKind, ItemID: h.item, AddPhoto: &joblog.AddPhoto{PhotoID: newID(),
		SHA256: photo.Hash(nil), Bytes: 13 << 20, Width: 10, Height: 10}})
	if out.Outcomes[0].Applied || out.Outcomes[0].Findings[0].Code != "photo_impossible" {
		t.Errorf("13 MB: got %+v, want it refused", out.Outcomes[0])
	}
}

// bomb is a PNG of a few hundred bytes that announces 2.5 billion pixels.
func bomb() []byte {
	be := binary.BigEndian
	chunk := func(name string, body []byte) []byte {
		out := append(be.AppendUint32(nil, uint32(len(body))), name...)
		out = append(out, body...)
		return be.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
	}
	out := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(be.AppendUint32(be.AppendUint32(nil, 50_000), 50_000), 8, 2, 0, 0, 0))...)
	return append(append(out, chunk("IDAT", []byte{0x78, 0x9c})...), chunk("IEND", nil)...)
}

// TestManyPartsAtOnce: two phones of one person, or a request tried again while the first
// still runs, bring the same part; the photo comes out whole.
func TestManyPartsAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	s := bo.take(h, camera(640, 480))
	half := len(s.data) / 2
	for _, cut := range [][2]int{{0, half}, {half, len(s.data)}} {
		answers := make(chan int, 6)
		for range cap(answers) {
			go func() {
				r, _ := http.NewRequest(http.MethodPatch, b.base+s.upload(), bytes.NewReader(s.data[cut[0]:cut[1]]))
				r.Header = partHeader(cut[0])
				got, err := bo.http.Do(r)
				if err != nil {
					answers <- 0
					return
				}
				_, _ = io.Copy(io.Discard, got.Body)
				_ = got.Body.Close()
				answers <- got.StatusCode
			}()
		}
		through := 0
		for range cap(answers) {
			switch status := <-answers; status {
			case http.StatusNoContent:
				through++
			case http.StatusConflict:
			default:
				t.Errorf("got %d, want 204 or 409", status)
			}
		}
		if through < 1 {
			t.Error("none got through")
		}
		if got := bo.offset(s); got != cut[1] {
			t.Fatalf("at %d, want %d", got, cut[1])
		}
	}
	if l := bo.photoLine(s); l.State != "stored" {
		t.Errorf("got %+v, want it stored", l)
	}
}

func TestWithoutAPhotoStorage(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Photos = app.PhotoConfig{} })
	h := buildHouse(b, b.ours, "Sill Street")
	p := h.lead.get(h.path("/photos")).refused(http.StatusServiceUnavailable, "unavailable")
	if !strings.Contains(p.Detail, "photo storage") {
		t.Errorf("got %q", p.Detail)
	}
}
