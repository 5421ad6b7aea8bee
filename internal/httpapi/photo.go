package httpapi

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

// Photos is what the service asks of whoever keeps the photos that the log names. Errors
// are faults; a photo that is not there, was taken back, or is not the viewer's to see is
// not_found.
type Photos interface {
	// Photos lists a job's photos to who may read the job.
	Photos(ctx context.Context, v account.Viewer, job string) ([]PhotoLine, error)
	// Picture opens one that is stored. Close it. Errors: conflict while it is not stored.
	Picture(ctx context.Context, v account.Viewer, job, photo string, small bool) (Picture, error)
	// Upload says how far a photo of the viewer's own is.
	Upload(ctx context.Context, v account.Viewer, job, photo string) (PhotoLine, error)
	// Append keeps the bytes that follow on the first from of the viewer's own photo, and
	// with the last of them the whole photo. Errors: conflict when the photo is not at from;
	// invalid and too_large when it is whole and cannot be taken.
	Append(ctx context.Context, v account.Viewer, job, photo string, from int64, content []byte) (PhotoLine, error)
}

// PhotoLine says what became of the bytes of one photo that the log names.
type PhotoLine struct {
	PhotoID  string     `json:"photo_id" format:"uuid"`
	ItemID   string     `json:"item_id,omitempty" format:"uuid" doc:"The opening it is of; else it is of the room"`
	RoomID   string     `json:"room_id,omitempty" format:"uuid"`
	PersonID string     `json:"person_id" format:"uuid" doc:"Who took it"`
	State    string     `json:"state" enum:"waiting,stored,refused" doc:"waiting: its bytes are not all here yet"`
	Reason   string     `json:"reason,omitempty" enum:"empty,too_heavy,too_big,heic,not_a_picture,damaged,changed_on_way" doc:"Why it was refused"`
	Sentence string     `json:"sentence,omitempty" doc:"The reason in words"`
	Received int64      `json:"received" doc:"Bytes that are here"`
	Bytes    int64      `json:"bytes" doc:"Bytes that the device has"`
	Width    int64      `json:"width"`
	Height   int64      `json:"height"`
	Settled  *time.Time `json:"settled_at,omitempty" doc:"When it was stored or refused"`
}

// Picture is a stored photo being read.
type Picture struct {
	io.ReadSeekCloser
	Tag string // changes with the bytes
}

// PhotoList is a job's photos.
type PhotoList struct {
	Photos []PhotoLine `json:"photos"`
}

const (
	// onePart is how much of a photo is held in memory before it is kept.
	onePart  = 1 << 20
	keepTime = 30 * time.Second
	// photoCache: a photo never changes under its id, and is the crew's alone.
	photoCache = "private, max-age=86400, immutable"
	tusVersion = "1.0.0"
	tusPart    = "application/offset+octet-stream"
)

type (
	// PhotoPath names a photo of a job.
	PhotoPath struct {
		JobPath
		Photo string `path:"photo" format:"uuid"`
	}
	photosOutput struct{ Body PhotoList }
	pictureInput struct {
		PhotoPath
	}
	uploadInput struct {
		PhotoPath
	}
	uploadOutput struct {
		Offset  int64  `header:"Upload-Offset" doc:"Bytes that are here"`
		Length  int64  `header:"Upload-Length" doc:"Bytes that the device has"`
		Version string `header:"Tus-Resumable"`
	}
	partInput struct {
		PhotoPath
		Part
	}
	// Part is bytes of a photo as a request brings them.
	Part struct {
		Offset  int64  `header:"Upload-Offset" required:"true" minimum:"0" doc:"Where these bytes begin"`
		Version string `header:"Tus-Resumable" doc:"1.0.0"`
		request *http.Request
	}
	partOutput struct {
		Offset  int64  `header:"Upload-Offset" doc:"Bytes that are here now"`
		Version string `header:"Tus-Resumable"`
	}
)

// Resolve takes the request as it is: its body is read as it arrives, so that what came
// before a signal was lost is kept.
func (in *Part) Resolve(ctx huma.Context) []error {
	in.request, _ = humachi.Unwrap(ctx)
	return nil
}

func (s *Server) registerPhotos() {
	add(s, operation("list-photos", http.MethodGet, "/jobs/{job}/photos", "A job's photos and what became of their bytes"), s.photos)
	for _, size := range []struct {
		id, name, says string
		small          bool
	}{
		{"get-photo", "full.jpg", "A photo, as it was made ready to be looked at", false},
		{"get-photo-thumbnail", "thumb.jpg", "A photo, small", true},
	} {
		op := operation(size.id, http.MethodGet, "/jobs/{job}/photos/{photo}/"+size.name, size.says)
		op.Description = "Upright, without anything the camera wrote beside the pixels. The file that was sent is not kept. 409 while it is not all here."
		op.Responses = map[string]*huma.Response{"200": {Description: "The picture", Content: map[string]*huma.MediaType{
			"image/jpeg": {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}}}}
		add(s, op, func(ctx context.Context, in *pictureInput) (*huma.StreamResponse, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return s.picture(ctx, v, in.Job, in.Photo, size.small)
		})
	}
	head := operation("ask-upload", http.MethodHead, "/jobs/{job}/uploads/{photo}", "How much of a photo has arrived")
	head.Description = "The core of tus 1.0.0 (tus.io), the open protocol of resumable uploads: HEAD and PATCH. An upload is created by the entry add_photo, " +
		"not by a request of its own. Who took the photo delivers it; to anyone else it is not there."
	head.DefaultStatus = http.StatusOK
	add(s, head, func(ctx context.Context, in *uploadInput) (*uploadOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return s.askUpload(ctx, v, in.Job, in.Photo)
	})
	patch := operation("send-part", http.MethodPatch, "/jobs/{job}/uploads/{photo}", "Bytes of a photo that follow on those that are here")
	patch.Description = "As tus 1.0.0 has it. What arrives before the connection breaks is kept. With the last byte the photo is checked against its SHA-256, " +
		"made ready and stored: 422 or 413 with a sentence when it cannot be, after which list-photos says whether it was refused or has to be sent again."
	patch.DefaultStatus = http.StatusNoContent
	patch.RequestBody = tusBody()
	add(s, patch, func(ctx context.Context, in *partInput) (*partOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return s.sendPart(ctx, v, in.Job, in.Photo, &in.Part)
	})
}

func tusBody() *huma.RequestBody {
	return &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{tusPart: {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}}}
}

// keeper is who keeps the photos; a service may run without.
func (s *Server) keeper() (Photos, error) {
	if s.cfg.Photos == nil {
		return nil, fault.New(fault.Unavailable, "This service has no photo storage. Whoever runs it has to set one.")
	}
	return s.cfg.Photos, nil
}

func (s *Server) photos(ctx context.Context, in *jobInput) (*photosOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	k, err := s.keeper()
	if err != nil {
		return nil, err
	}
	lines, err := k.Photos(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	return &photosOutput{Body: PhotoList{Photos: orEmpty(lines)}}, nil
}

// picture answers with a stored photo that v may read.
func (s *Server) picture(ctx context.Context, v account.Viewer, job, photo string, small bool) (*huma.StreamResponse, error) {
	k, err := s.keeper()
	if err != nil {
		return nil, err
	}
	p, err := k.Picture(ctx, v, job, photo, small)
	if err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		defer func() { _ = p.Close() }()
		r, w := humachi.Unwrap(hc)
		h := w.Header()
		h.Set("Content-Type", "image/jpeg")
		h.Set("Content-Disposition", `inline; filename="photo-`+photo+`.jpg"`)
		h.Set("Cache-Control", photoCache)
		h.Set("Vary", "Cookie, Authorization")
		h.Set("ETag", `"`+p.Tag+`"`)
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(fileTime))
		takeTime(hc.Context(), fileTime) // the storage is read under it
		http.ServeContent(w, r, "", time.Time{}, p)
	}}, nil
}

func (s *Server) askUpload(ctx context.Context, v account.Viewer, job, photo string) (*uploadOutput, error) {
	k, err := s.keeper()
	if err != nil {
		return nil, err
	}
	p, err := k.Upload(ctx, v, job, photo)
	if err != nil {
		return nil, err
	}
	if p.State == "refused" {
		return nil, errRefusedPhoto(p.Sentence)
	}
	return &uploadOutput{Offset: p.Received, Length: p.Bytes, Version: tusVersion}, nil
}

// errRefusedPhoto answers for a photo that arrived and was not taken: 410, there is nothing
// more to be done with this upload.
func errRefusedPhoto(sentence string) error {
	return newProblem(http.StatusGone, fault.Invalid, sentence)
}

func (s *Server) sendPart(ctx context.Context, v account.Viewer, job, photo string, in *Part) (*partOutput, error) {
	k, err := s.keeper()
	if err != nil {
		return nil, err
	}
	if err := checkTus(in); err != nil {
		return nil, err
	}
	p, err := k.Upload(ctx, v, job, photo)
	switch {
	case err != nil:
		return nil, err
	case p.State == "refused":
		return nil, errRefusedPhoto(p.Sentence)
	case p.Received != in.Offset:
		return nil, at(p.Received, fault.New(fault.Conflict, "The photo is further or less far than this part begins."))
	case in.request.ContentLength > p.Bytes-p.Received:
		return nil, at(p.Received, fault.New(fault.TooLarge, "That is more than the photo has."))
	case p.State == "stored":
		return &partOutput{Offset: p.Received, Version: tusVersion}, nil
	}
	keep := func(ctx context.Context, from int64, content []byte) (PhotoLine, error) {
		return k.Append(ctx, v, job, photo, from, content)
	}
	p, err = s.receive(ctx, keep, in, p)
	if err != nil {
		return nil, at(p.Received, s.refuse(ctx, err))
	}
	return &partOutput{Offset: p.Received, Version: tusVersion}, nil
}

func checkTus(in *Part) error {
	if v := in.Version; v != tusVersion {
		p := newProblem(http.StatusPreconditionFailed, fault.Invalid, "This service speaks version 1.0.0 of tus.")
		return huma.ErrorWithHeaders(p, http.Header{"Tus-Version": {tusVersion}})
	}
	if in.request.Header.Get("Content-Type") != tusPart {
		return newProblem(http.StatusUnsupportedMediaType, fault.Invalid, "Send parts of a photo as "+tusPart+".")
	}
	return nil
}

// receive reads the body and keeps it in parts as it comes. A body that breaks off has
// brought what it has brought.
func (s *Server) receive(ctx context.Context, keepPart func(context.Context, int64, []byte) (PhotoLine, error), in *Part, p PhotoLine) (PhotoLine, error) {
	buf := make([]byte, min(onePart, max(1, p.Bytes-p.Received)))
	for p.Received < p.Bytes {
		n, readErr := fill(in.request.Body, buf[:min(int64(len(buf)), p.Bytes-p.Received)])
		if n > 0 {
			// The connection that broke must not take along what it has brought.
			keep, cancel := context.WithTimeout(context.WithoutCancel(ctx), keepTime)
			next, err := keepPart(keep, p.Received, buf[:n])
			cancel()
			if err != nil {
				return p, err
			}
			p = next
		}
		switch {
		case errors.Is(readErr, io.EOF):
			return p, nil
		case readErr != nil && p.Received < p.Bytes:
			return p, broken(readErr)
		}
	}
	return p, nil
}

// fill reads until buf is full or the body ends: io.EOF at its end, anything else before.
func fill(body io.Reader, buf []byte) (n int, err error) {
	for n < len(buf) && err == nil {
		var read int
		read, err = body.Read(buf[n:])
		n += read
	}
	return n, err
}

// broken says why a body ended before its time, to who may still be listening.
func broken(err error) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return fault.Because(fault.TooLarge, "That is more than can be sent at once. What came is kept: go on from there.", err)
	}
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return newProblem(http.StatusBadRequest, fault.Invalid, "The part is shorter than it said. What came is kept: go on from there.")
	}
	return newProblem(http.StatusRequestTimeout, fault.Unavailable, "The part did not arrive in time. What came is kept: go on from there.")
}

// at tells along with a refusal how far the photo is.
func at(received int64, err error) error {
	var withHeaders huma.HeadersError
	if errors.As(err, &withHeaders) {
		return err
	}
	return huma.ErrorWithHeaders(problemOf(err), http.Header{"Upload-Offset": {strconv.FormatInt(received, 10)}, "Tus-Resumable": {tusVersion}})
}
