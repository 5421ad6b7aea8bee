package app

import (
	"context"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/postgres"
)

// stopAfter is a store whose power is cut after some commands.
type stopAfter struct {
	*postgres.Store
	after int
	cut   context.CancelFunc
	n     *int
}

func (s stopAfter) Submit(ctx context.Context, v account.Viewer, c joblog.Command, at time.Time) (joblog.Outcome, error) {
	if *s.n++; *s.n > s.after {
		s.cut()
	}
	return s.Store.Submit(ctx, v, c, at)
}

func hasher(t *testing.T) *account.Hasher {
	t.Helper()
	h, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	return h
}
