package httpapi_test

import (
	"context"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/request"
)

// numbered watches every statement that a test's service sends, and fails the test when one goes to the database without
// the number of its request. It looks at what is sent: that PostgreSQL then shows the number is
// TestARequestsNumberReachesSQL's.
type numbered struct{ t testing.TB }

var _ pgx.BatchTracer = numbered{}

func (n numbered) tune(cfg *pgxpool.Config) {
	if cfg.ConnConfig.Tracer == nil { // traces are the subject of their own test
		cfg.ConnConfig.Tracer = n
	}
}

// ofNobody is what the service asks by itself.
func ofNobody(sql string) bool {
	return sql == "-- ping" || strings.HasPrefix(sql, "listen ") || strings.Contains(sql, "sessions_sweep(") || strings.Contains(sql, "messages_take(") || strings.Contains(sql, "pushes_take(")
}

// inTransaction says that a transaction is open: it began with a batch that was looked at.
func inTransaction(conn *pgx.Conn) bool { return conn.PgConn().TxStatus() != 'I' }

func (n numbered) TraceQueryStart(ctx context.Context, conn *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	if !inTransaction(conn) && !ofNobody(d.SQL) {
		n.t.Errorf("a statement without its request's number: %s", d.SQL)
	}
	return ctx
}

func (n numbered) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (n numbered) TraceBatchStart(ctx context.Context, conn *pgx.Conn, d pgx.TraceBatchStartData) context.Context {
	if inTransaction(conn) {
		return ctx
	}
	id := request.ID(ctx)
	for _, q := range d.Batch.QueuedQueries {
		if strings.HasPrefix(q.SQL, "begin") || id == "" && ofNobody(q.SQL) {
			continue
		}
		last := len(q.Arguments) - 1
		if id == "" || !strings.Contains(q.SQL, "set_config('application_name'") || q.Arguments[last] != "longpoint "+id {
			n.t.Errorf("a statement without its request's number (%q): %s", id, q.SQL)
		}
		break
	}
	return ctx
}

func (n numbered) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {}
func (n numbered) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData)     {}

// complaints takes what numbered has to say.
type complaints struct {
	testing.TB
	n int
}

func (c *complaints) Errorf(string, ...any) { c.n++ }

// The watch itself can complain: of a statement that names no request, and of one that names another's.
func TestAStatementWithoutANumberIsNoticed(t *testing.T) {
	t.Parallel()
	b := setup(t)
	heard := &complaints{TB: t}
	cfg, err := pgxpool.ParseConfig(b.db.AppURL)
	if err != nil {
		t.Fatal(err)
	}
	numbered{heard}.tune(cfg)
	ctx := request.With(t.Context(), "ONE")
	conn, err := pgx.ConnectConfig(ctx, cfg.ConnConfig)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(context.Background()) }()
	for i, step := range []struct {
		name   string
		queue  func(*pgx.Batch)
		wanted int
	}{
		{"its own", func(q *pgx.Batch) { q.Queue(`select set_config('application_name', $1, true)`, "longpoint ONE") }, 0},
		{"another's", func(q *pgx.Batch) { q.Queue(`select set_config('application_name', $1, true)`, "longpoint TWO") }, 1},
		{"none", func(q *pgx.Batch) { q.Queue(`select 1`) }, 1},
	} {
		heard.n = 0
		q := &pgx.Batch{}
		step.queue(q)
		if err := conn.SendBatch(ctx, q).Close(); err != nil {
			t.Fatal(err)
		}
		if heard.n != step.wanted {
			t.Errorf("%d, %s: got %d complaints, want %d", i, step.name, heard.n, step.wanted)
		}
	}
	heard.n = 0
	if _, err := conn.Exec(ctx, `select 1`); err != nil || heard.n != 1 {
		t.Errorf("a statement alone: got %d complaints, %v, want 1", heard.n, err)
	}
}
