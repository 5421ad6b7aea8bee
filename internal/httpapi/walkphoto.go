package httpapi

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
)

type (
	walkPhotoInput struct {
		GuestKey
		Photo string `path:"photo" format:"uuid"`
	}
	walkPartInput struct {
		GuestKey
		Photo string `path:"photo" format:"uuid"`
		Part
	}
)

// registerWalkPhotos opens the photo door to a homeowner's key: they bring photos of their own
// walk, and look at those that its remarks show.
func (s *Server) registerWalkPhotos() {
	for _, size := range []struct {
		id, name string
		small    bool
	}{
		{"get-walk-photo", "full.jpg", false},
		{"get-walk-photo-thumbnail", "thumb.jpg", true},
	} {
		op := public(operation(size.id, http.MethodGet, "/walk/photos/{photo}/"+size.name, "A photo that the walkthrough shows"))
		op.Description = "Of this walkthrough's remarks and answers only; every other photo is not there. 409 while it is not all here."
		op.Responses = map[string]*huma.Response{"200": {Description: "The picture", Content: map[string]*huma.MediaType{
			"image/jpeg": {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}}}}
		add(s, op, func(ctx context.Context, in *walkPhotoInput) (*huma.StreamResponse, error) {
			l, v, err := s.shownTo(ctx, in)
			if err != nil {
				return nil, err
			}
			return s.picture(ctx, v, l.JobID, in.Photo, size.small)
		})
	}
	head := public(operation("ask-walk-upload", http.MethodHead, "/walk/uploads/{photo}", "How much of a homeowner's photo has arrived"))
	head.Description = "As /jobs/{job}/uploads/{photo}, for who holds the key of the walkthrough the photo was added by."
	head.DefaultStatus = http.StatusOK
	add(s, head, func(ctx context.Context, in *walkPhotoInput) (*uploadOutput, error) {
		l, err := s.guest(ctx, in.GuestKey)
		if err != nil {
			return nil, err
		}
		return s.askUpload(ctx, l.Viewer(), l.JobID, in.Photo)
	})
	patch := public(operation("send-walk-part", http.MethodPatch, "/walk/uploads/{photo}", "Bytes of a homeowner's photo"))
	patch.DefaultStatus = http.StatusNoContent
	patch.RequestBody = tusBody()
	add(s, patch, func(ctx context.Context, in *walkPartInput) (*partOutput, error) {
		l, err := s.guest(ctx, in.GuestKey)
		if err != nil {
			return nil, err
		}
		return s.sendPart(ctx, l.Viewer(), l.JobID, in.Photo, &in.Part)
	})
}

// shownTo is who looks at a photo by a key, once the walkthrough shows it. A photo of the
// job that it does not show is not there.
func (s *Server) shownTo(ctx context.Context, in *walkPhotoInput) (account.Link, account.Viewer, error) {
	l, err := s.guest(ctx, in.GuestKey)
	if err != nil {
		return l, account.Viewer{}, err
	}
	state, _, err := s.cfg.Store.WalkJob(ctx, l)
	if err != nil {
		return l, account.Viewer{}, err
	}
	if w := state.Walks[l.WalkID]; w == nil || !w.Shows(in.Photo) {
		return l, account.Viewer{}, fault.New(fault.NotFound, "There is no such photo.")
	}
	v := l.Viewer()
	v.Role = joblog.Lead // the walkthrough has said that this one may be read
	return l, v, nil
}
