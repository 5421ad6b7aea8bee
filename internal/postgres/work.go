package postgres

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/fault"
	"longpoint/internal/request"
)

// rollbackLimit bounds the rollback after a caller has gone away.
const rollbackLimit = 5 * time.Second

// The transactions there are. A read sees one moment of the whole job, so that the number
// it carries and the states agree.
const (
	toWrite = "begin"
	toRead  = "begin isolation level repeatable read read only"
)

// work is one transaction for one company, at one moment. Statements go to the server in
// batches, one round trip each; the first batch also begins the transaction and names the
// company, and a batch that ends the work carries the commit.
type work struct {
	conn    *pgxpool.Conn
	begin   string
	company string
	request string // the number of the request it is done for; "" for none
	now     time.Time
	begun   bool
}

// inCompany runs do as one transaction for the company: committed when do returns nil,
// rolled back otherwise. do must not keep w.
func (s *Store) inCompany(ctx context.Context, company, begin string, do func(w *work) error) error {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return translate(err)
	}
	defer conn.Release()
	w := &work{conn: conn, begin: begin, company: company, request: request.ID(ctx), now: s.now()}
	if err := do(w); err != nil {
		w.rollback(ctx)
		return translate(err)
	}
	if !w.open() {
		return nil
	}
	if _, err := conn.Exec(ctx, "commit"); err != nil {
		return translate(err)
	}
	return nil
}

func (w *work) open() bool {
	pg := w.conn.Conn().PgConn()
	return !pg.IsClosed() && pg.TxStatus() != 'I'
}

// rollback's own error is of no use: a connection it leaves in a transaction is closed by
// the pool.
func (w *work) rollback(ctx context.Context) {
	if !w.open() {
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), rollbackLimit)
	defer cancel()
	_, _ = w.conn.Exec(ctx, "rollback")
}

// batch is statements that go to the server together. The callbacks run when the results
// come back, after the server has run them all: a batch that commits must not have a
// callback whose refusal should undo it.
type batch struct{ pgx.Batch }

func (w *work) batch() *batch {
	b := &batch{}
	if !w.begun {
		w.begun = true
		b.Queue(w.begin)
		if w.request == "" {
			b.Queue(`select set_config('app.company', $1, true)`, w.company)
			return b
		}
		b.Queue(`select set_config('app.company', $1, true), set_config('application_name', $2, true)`, w.company, requestPrefix+w.request)
	}
	return b
}

// requestPrefix and a request's number are the application_name: the server's own log and pg_stat_activity then say whose
// request a statement is.
const requestPrefix = "longpoint "

// ask sends one statement of no company, which finds the one a caller belongs to, and scans its row into dst; without dst
// the row is passed over. In the same round trip, which is a transaction of its own, it names the request.
//
// Errors: pgx's own, ErrNoRows too.
func (s *Store) ask(ctx context.Context, sql string, args pgx.NamedArgs, dst ...any) error {
	b := &pgx.Batch{}
	if id := request.ID(ctx); id != "" {
		b.Queue(`select set_config('application_name', $1, true)`, requestPrefix+id)
	}
	q := b.Queue(sql, args)
	if len(dst) > 0 {
		q.QueryRow(func(row pgx.Row) error { return row.Scan(dst...) })
	}
	return s.pool.SendBatch(ctx, b).Close()
}

func (w *work) send(ctx context.Context, b *batch) error {
	return w.conn.SendBatch(ctx, &b.Batch).Close()
}

func (b *batch) exec(sql string, args pgx.NamedArgs) { b.Queue(sql, args) }

// commit makes the batch the transaction's last.
func (b *batch) commit() { b.Queue("commit") }

// one scans the single row of a query; without a row it fails with missing.
func (b *batch) one(missing error, sql string, args pgx.NamedArgs, dst ...any) {
	b.Queue(sql, args).QueryRow(func(row pgx.Row) error {
		err := row.Scan(dst...)
		if errors.Is(err, pgx.ErrNoRows) {
			return missing
		}
		return err
	})
}

// maybe scans the row of a query that may have none, and says whether it had.
func (b *batch) maybe(found *bool, sql string, args pgx.NamedArgs, dst ...any) {
	b.Queue(sql, args).QueryRow(func(row pgx.Row) error {
		err := row.Scan(dst...)
		*found = err == nil
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		return err
	})
}

// list collects the rows of a query into *dst.
func list[T any](b *batch, dst *[]T, scan pgx.RowToFunc[T], sql string, args pgx.NamedArgs) {
	b.Queue(sql, args).Query(func(rows pgx.Rows) error {
		var err error
		*dst, err = pgx.CollectRows(rows, scan)
		return err
	})
}

// encode writes what our own types hold; that cannot fail but for a mistake of ours.
func encode(what string, v any) ([]byte, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return nil, fault.Because(fault.Internal, "", fmt.Errorf("writing %s: %w", what, err))
	}
	return b, nil
}

// decode reads a JSON column; null leaves dst alone.
func decode(what string, b []byte, dst any) error {
	if b == nil {
		return nil
	}
	if err := json.Unmarshal(b, dst); err != nil {
		return fault.Because(fault.Internal, "", fmt.Errorf("reading %s: %w", what, err))
	}
	return nil
}

// orNull is how an empty id goes into a column that may be null.
func orNull(id string) *string {
	if id == "" {
		return nil
	}
	return &id
}

// later returns the latest of its arguments.
func later(t time.Time, others ...*time.Time) time.Time {
	for _, o := range others {
		if o != nil && o.After(t) {
			t = *o
		}
	}
	return t.UTC()
}
