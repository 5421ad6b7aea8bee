// Package postgres keeps the job log in PostgreSQL: it takes commands, lets the rules
// decide on them, appends what they let through and keeps the projections beside it.
//
// Whatever reads or writes a company's rows runs in a transaction that has told the server
// which company it is for; row-level security shows it nothing else. The store signs in as
// a role that owns nothing (longpoint_app). No method returns a driver's error: all are
// faults, with the driver's error as the cause.
package postgres

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/fault"
)

// Options are what a store may be given beside the address. The zero value is usable.
type Options struct {
	// MaxConns bounds the pool; 0 leaves it to the address (pool_max_conns) or pgx.
	MaxConns int32
	// ListenURL is the same database for Listen, which needs a connection of its own; empty is the store's address. A
	// pooler that hands out connections by the transaction loses what was listened for.
	ListenURL string
	// Clock gives the time; nil is time.Now. It is read once a transaction.
	Clock func() time.Time
	// Logger takes what has no caller to be returned to: a listening connection lost. Nil
	// drops it.
	Logger *slog.Logger
	// Mail makes messages of what people are to be told by e-mail; somebody has to send them.
	Mail bool
	// Push makes messages of what the crew is to be told on their phones; somebody has to send them.
	Push bool
	// Tune changes the pool's configuration before it opens; for tracing and tests.
	Tune func(*pgxpool.Config)
}

// Store is a pool of connections to one database. It is safe for concurrent use; Close it
// when done.
type Store struct {
	pool   *pgxpool.Pool
	listen *pgx.ConnConfig
	clock  func() time.Time
	log    *slog.Logger
	mail   bool
	push   bool
	// decoded is what boards are made from without reading it again.
	decoded *decoded
}

// Open connects to the database at url and asks it once whether it answers. The schema is
// the migrations' business: Open changes nothing.
//
// Errors: unavailable when the server does not answer; invalid for an address that cannot
// be read.
func Open(ctx context.Context, url string, opts Options) (*Store, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fault.Because(fault.Invalid, "The database's address cannot be read.", err)
	}
	if opts.MaxConns > 0 {
		cfg.MaxConns = opts.MaxConns
	}
	if opts.Tune != nil {
		opts.Tune(cfg)
	}
	listen := cfg.ConnConfig
	if opts.ListenURL != "" {
		pooled, err := pgxpool.ParseConfig(opts.ListenURL)
		if err != nil {
			return nil, fault.Because(fault.Invalid, "The address for listening cannot be read.", err)
		}
		listen = pooled.ConnConfig
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("opening the database: %w", translate(err))
	}
	s := &Store{pool: pool, listen: listen, clock: opts.Clock, log: opts.Logger, mail: opts.Mail, push: opts.Push, decoded: newDecoded()}
	if s.clock == nil {
		s.clock = time.Now
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if err := s.Ping(ctx); err != nil {
		pool.Close()
		return nil, err
	}
	return s, nil
}

// Close waits for the connections in use and closes them all.
func (s *Store) Close() { s.pool.Close() }

// Ping asks the database for an answer. Anyone may call it.
//
// Errors: unavailable.
func (s *Store) Ping(ctx context.Context) (err error) {
	defer fault.In(&err, "asking the database for an answer")
	return translate(s.pool.Ping(ctx))
}

// Pool is how the store's connections are doing.
type Pool struct {
	Busy, Idle, Most int32
	Waits            int64 // times nobody was free and a request waited
	Waited           time.Duration
}

// Pool tells it.
func (s *Store) Pool() Pool {
	st := s.pool.Stat()
	return Pool{Busy: st.AcquiredConns(), Idle: st.IdleConns(), Most: st.MaxConns(), Waits: st.EmptyAcquireCount(), Waited: st.EmptyAcquireWaitTime()}
}

// now is the moment a transaction stands for: UTC, and to the microsecond that the
// database keeps, so that what is stored and what was decided on are the same.
func (s *Store) now() time.Time { return s.clock().UTC().Truncate(time.Microsecond) }

// errNotThere is what a caller gets for a thing that does not exist and for one that is
// not theirs to see.
func errNotThere(what string) error {
	return fault.New(fault.NotFound, "There is no such "+what+".")
}

// errLeadsOnly refuses what only an owner or a lead may do.
func errLeadsOnly() error {
	return fault.New(fault.Forbidden, "Only a lead may do that.")
}

var errNoCompany = errors.New("the company of the session is not in the database")
