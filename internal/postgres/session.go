package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

// Sessions keeps sessions for the session manager (account.NewSessions). A session is a
// row with its person, not a bag of bytes: a changed role counts at once, and a person's
// sessions can be listed and ended. Somebody who has not signed in is never stored.
type Sessions struct{ store *Store }

var _ scs.CtxStore = Sessions{}

// Sessions returns the session manager's store.
func (s *Store) Sessions() Sessions { return Sessions{s} }

const findSession = `
	select
		company_id,
		person_id,
		name,
		sign_in,
		role,
		language,
		unit,
		fine,
		expires_at,
		coalesce(lost_phone::text, '')
	from session_find(@token, @now)`

// FindCtx returns a live session with its person as they are now. The token is the
// manager's hash of it.
//
// Errors: unavailable; internal. A session that is not there is not an error, as scs wants
// it.
func (x Sessions) FindCtx(ctx context.Context, token string) (_ []byte, found bool, err error) {
	defer fault.In(&err, "finding a session")
	var (
		p       account.Person
		expires time.Time
		lost    string
	)
	err = x.store.ask(ctx, findSession, pgx.NamedArgs{"token": token, "now": x.store.now()}, append(personColumns(&p), &expires, &lost)...)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, translate(err)
	}
	b, err := account.EncodeSession(expires.UTC(), p, lost)
	return b, err == nil, err
}

// A session that was ended stays ended: the row keeps its ended_at.
const saveSession = `
	insert into sessions (
		company_id,
		token_hash,
		person_id,
		session_id,
		device_id,
		device_name,
		created_at,
		last_seen_at,
		expires_at
	)
	values (
		@company,
		@token,
		@person,
		@session,
		@device,
		@device_name,
		@now,
		@now,
		@expires
	)
	on conflict on constraint sessions_pkey do update
	set person_id = excluded.person_id,
		last_seen_at = excluded.last_seen_at,
		expires_at = excluded.expires_at`

// CommitCtx stores a signed-in session and ignores one of nobody.
//
// Errors: unauthorized when the person is gone; unavailable; internal.
func (x Sessions) CommitCtx(ctx context.Context, token string, b []byte, expiry time.Time) (err error) {
	defer fault.In(&err, "saving a session")
	_, p, on, err := account.DecodeSession(b)
	if err != nil || p == nil {
		return err
	}
	return x.store.inCompany(ctx, p.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(saveSession, pgx.NamedArgs{
			"company":     p.CompanyID,
			"token":       token,
			"person":      p.ID,
			"session":     uuid.Must(uuid.NewV7()).String(),
			"device":      orNull(on.ID),
			"device_name": on.Name,
			"now":         w.now,
			"expires":     expiry.UTC(),
		})
		b.commit()
		return w.send(ctx, b)
	})
}

const endSession = `select session_end(@token, @now)`

// DeleteCtx ends a session.
//
// Errors: unavailable; internal.
func (x Sessions) DeleteCtx(ctx context.Context, token string) (err error) {
	defer fault.In(&err, "ending a session")
	err = x.store.ask(ctx, endSession, pgx.NamedArgs{"token": token, "now": x.store.now()})
	return translate(err)
}

const sweepSessions = `select sessions_sweep(@now)`

// Sweep deletes the sessions that have expired, of every company, and says how many. It is
// for the program to call now and then.
//
// Errors: unavailable; internal.
func (x Sessions) Sweep(ctx context.Context) (gone int64, err error) {
	defer fault.In(&err, "sweeping sessions")
	err = x.store.ask(ctx, sweepSessions, pgx.NamedArgs{"now": x.store.now()}, &gone)
	return gone, translate(err)
}

// Find, Commit and Delete are part of the manager's interface; it calls their namesakes
// with a context where there are any.

// Find is FindCtx without a context.
func (x Sessions) Find(token string) ([]byte, bool, error) {
	return x.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (x Sessions) Commit(token string, b []byte, expiry time.Time) error {
	return x.CommitCtx(context.Background(), token, b, expiry)
}

// Delete is DeleteCtx without a context.
func (x Sessions) Delete(token string) error { return x.DeleteCtx(context.Background(), token) }
