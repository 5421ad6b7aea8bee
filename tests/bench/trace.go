package main

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// trace takes down the statements of one tick, by round trip.
type trace struct {
	mu    sync.Mutex
	on    bool
	trips [][]statement
}

type statement struct {
	sql  string
	args []any
}

func (t *trace) tune(cfg *pgxpool.Config) { cfg.ConnConfig.Tracer = t }

func (t *trace) record(on bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.on = on
}

func (t *trace) statements() int {
	n := 0
	for _, trip := range t.trips {
		n += len(trip)
	}
	return n
}

func (t *trace) trip(s ...statement) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.on {
		t.trips = append(t.trips, s)
	}
}

// TraceQueryStart begins a round trip of one statement.
func (t *trace) TraceQueryStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	s := statement{d.SQL, d.Args}
	if len(d.Args) == 1 {
		if r, ok := d.Args[0].(pgx.QueryRewriter); ok {
			if sql, args, err := r.RewriteQuery(ctx, nil, d.SQL, nil); err == nil {
				s = statement{sql, args}
			}
		}
	}
	t.trip(s)
	return ctx
}

// TraceQueryEnd is of no interest.
func (t *trace) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

// TraceBatchStart begins a round trip.
func (t *trace) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	t.trip()
	return ctx
}

// TraceBatchQuery takes down one statement of the batch under way.
func (t *trace) TraceBatchQuery(_ context.Context, _ *pgx.Conn, d pgx.TraceBatchQueryData) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.on {
		last := len(t.trips) - 1
		t.trips[last] = append(t.trips[last], statement{d.SQL, d.Args})
	}
}

// TraceBatchEnd is of no interest.
func (t *trace) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// script writes the traced tick for pgbench. Values that a tick has of its own are replaced
// by what swap gives for them; numbers and times within documents stay the traced tick's.
func (t *trace) script(begin string, swap map[string]string) (string, error) {
	var b strings.Builder
	b.WriteString(begin)
	for _, trip := range t.trips {
		if len(trip) > 1 {
			b.WriteString("\\startpipeline\n")
		}
		for _, s := range trip {
			text, err := inline(s, swap)
			if err != nil {
				return "", err
			}
			b.WriteString(text + ";\n")
		}
		if len(trip) > 1 {
			b.WriteString("\\endpipeline\n")
		}
	}
	return b.String(), nil
}

// inline writes the arguments into the statement.
func inline(s statement, swap map[string]string) (string, error) {
	sql := strings.Join(strings.Fields(s.sql), " ")
	for i := len(s.args); i > 0; i-- {
		text, err := literal(s.args[i-1], swap)
		if err != nil {
			return "", fmt.Errorf("argument %d of %.60s: %w", i, sql, err)
		}
		sql = strings.ReplaceAll(sql, "$"+strconv.Itoa(i), text)
	}
	return sql, nil
}

func literal(v any, swap map[string]string) (string, error) {
	rv := reflect.ValueOf(v)
	for rv.Kind() == reflect.Pointer {
		if rv.IsNil() {
			return "null", nil
		}
		rv = rv.Elem()
	}
	if !rv.IsValid() || rv.Kind() == reflect.Slice && rv.IsNil() {
		return "null", nil
	}
	switch x := rv.Interface().(type) {
	case time.Time:
		return quote(x.UTC().Format(time.RFC3339Nano)) + "::timestamptz", nil
	case json.RawMessage:
		return document(string(x), swap), nil
	case []byte:
		return document(string(x), swap), nil
	}
	switch rv.Kind() {
	case reflect.String:
		if to, ok := swap[rv.String()]; ok {
			return to, nil
		}
		return document(rv.String(), swap), nil
	case reflect.Bool:
		return strconv.FormatBool(rv.Bool()), nil
	case reflect.Int, reflect.Int32, reflect.Int64:
		n := strconv.FormatInt(rv.Int(), 10)
		if to, ok := swap[n]; ok {
			return to, nil
		}
		return n, nil
	case reflect.Slice:
		var items []string
		for i := range rv.Len() {
			text, err := literal(rv.Index(i).Interface(), swap)
			if err != nil {
				return "", err
			}
			items = append(items, text)
		}
		return "array[" + strings.Join(items, ", ") + "]", nil
	}
	return "", fmt.Errorf("a %T cannot be written out", v)
}

// document writes text, with the ids in it swapped. A space after each colon keeps pgbench
// from taking the word that follows for one of its variables.
func document(text string, swap map[string]string) string {
	out := quote(strings.ReplaceAll(text, `":`, `": `))
	if !strings.HasPrefix(text, "{") && !strings.HasPrefix(text, "[") {
		return out
	}
	for _, from := range slices.Sorted(maps.Keys(swap)) {
		if len(from) == len(uuid.Nil.String()) && strings.Contains(text, from) {
			out = "replace(" + out + ", " + quote(from) + ", " + swap[from] + "::text)"
		}
	}
	return out + "::jsonb"
}

func quote(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }
