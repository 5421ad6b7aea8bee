package storetest

import (
	"context"
	"encoding/json"
	"maps"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// recordEnv names a file that every statement the suite's stores send as the service's role is written to: what a
// release is remembered by (tests/upgrade).
const recordEnv = "LONGPOINT_RECORD_SQL"

var recorded = recorder{seen: map[string]bool{}}

// recorder takes statements down, each once.
type recorder struct {
	mu   sync.Mutex
	seen map[string]bool
}

var _ pgx.BatchTracer = (*recorder)(nil)

func (r *recorder) tune(cfg *pgxpool.Config) { cfg.ConnConfig.Tracer = r }

func (r *recorder) take(sql string) {
	sql = strings.Join(strings.Fields(sql), " ")
	first, _, _ := strings.Cut(strings.ToLower(sql), " ")
	if !slices.Contains([]string{"select", "insert", "update", "delete", "with"}, first) {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.seen[sql] = true
}

func (r *recorder) TraceQueryStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	sql := d.SQL
	if len(d.Args) == 1 {
		if named, ok := d.Args[0].(pgx.QueryRewriter); ok {
			if plain, _, err := named.RewriteQuery(ctx, nil, sql, nil); err == nil {
				sql = plain
			}
		}
	}
	r.take(sql)
	return ctx
}

func (r *recorder) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (r *recorder) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	return ctx
}

func (r *recorder) TraceBatchQuery(_ context.Context, _ *pgx.Conn, d pgx.TraceBatchQueryData) {
	r.take(d.SQL)
}

func (r *recorder) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// write keeps the recording once the suite has passed. A release's is never written over.
func (r *recorder) write(t *testing.T) {
	file := os.Getenv(recordEnv)
	if file == "" || t.Failed() {
		return
	}
	text, err := json.MarshalIndent(slices.Sorted(maps.Keys(r.seen)), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write(append(text, '\n')); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}
