package report_test

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/demo"
	"longpoint/internal/joblog"
)

// noon is when the tests' sheets are made.
var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

// told is the invented house as its log has made it.
type told struct {
	*joblog.State
	ids    map[string]string
	log    []joblog.Entry
	photos map[string][]byte
}

func house(t *testing.T) told {
	t.Helper()
	newID := func() string { return uuid.Must(uuid.NewV7()).String() }
	h := told{State: joblog.NewState(), ids: map[string]string{}, photos: map[string][]byte{}}
	roles := map[string]joblog.Role{}
	for _, p := range append(demo.Crew(), demo.Homeowner) {
		h.ids[p.SignIn], roles[p.SignIn] = newID(), p.Role
	}
	for _, step := range demo.Scenario(noon, h.ids, newID) {
		h.give(t, step.Command, joblog.Actor{PersonID: h.ids[step.By], Role: roles[step.By]}, step.At)
		if step.Photo != nil {
			h.photos[step.Command.AddPhoto.PhotoID] = step.Photo
		}
	}
	return h
}

func (h *told) give(t *testing.T, c joblog.Command, by joblog.Actor, at time.Time) joblog.Decision {
	t.Helper()
	d := joblog.Decide(h.Scope(nil, c), c, by, at, at)
	for _, e := range d.Entries {
		e.Seq = h.Seq + 1
		h.Apply(e)
		h.log = append(h.log, e)
	}
	return d
}
