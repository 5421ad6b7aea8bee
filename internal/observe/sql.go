package observe

import (
	"context"
	"strings"

	"github.com/jackc/pgx/v5"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/trace"
)

// SQL makes a span of every round trip to the database; nil when there are no traces. Statements are shown as they
// are written, without their values.
func (o *Observer) SQL() pgx.QueryTracer {
	if o == nil || o.tracer == nil {
		return nil
	}
	return sqlTracer{o.tracer}
}

type sqlTracer struct{ tracer trace.Tracer }

var _ pgx.BatchTracer = sqlTracer{}

func (t sqlTracer) start(ctx context.Context, name string, attributes ...attribute.KeyValue) context.Context {
	if !trace.SpanFromContext(ctx).IsRecording() {
		return ctx // of no request, like listening: a trace of its own would tell nothing
	}
	attributes = append(attributes, attribute.String("db.system.name", "postgresql"))
	ctx, _ = t.tracer.Start(ctx, name, trace.WithSpanKind(trace.SpanKindClient), trace.WithAttributes(attributes...))
	return context.WithValue(ctx, ownSpan{}, true)
}

// ownSpan marks a context whose span is a round trip's: others are not ours to end.
type ownSpan struct{}

func (t sqlTracer) end(ctx context.Context, err error) {
	if ctx.Value(ownSpan{}) == nil {
		return
	}
	span := trace.SpanFromContext(ctx)
	if err != nil {
		span.SetStatus(codes.Error, "") // an error's text may hold what somebody wrote
	}
	span.End()
}

func (t sqlTracer) TraceQueryStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	return t.start(ctx, "query", attribute.String("db.query.text", oneLine(d.SQL)))
}

func (t sqlTracer) TraceQueryEnd(ctx context.Context, _ *pgx.Conn, d pgx.TraceQueryEndData) {
	t.end(ctx, d.Err)
}

func (t sqlTracer) TraceBatchStart(ctx context.Context, _ *pgx.Conn, d pgx.TraceBatchStartData) context.Context {
	return t.start(ctx, "batch", attribute.Int("db.operation.batch.size", d.Batch.Len()))
}

func (t sqlTracer) TraceBatchQuery(ctx context.Context, _ *pgx.Conn, d pgx.TraceBatchQueryData) {
	if ctx.Value(ownSpan{}) != nil {
		trace.SpanFromContext(ctx).AddEvent("statement", trace.WithAttributes(attribute.String("db.query.text", oneLine(d.SQL))))
	}
}

func (t sqlTracer) TraceBatchEnd(ctx context.Context, _ *pgx.Conn, d pgx.TraceBatchEndData) {
	t.end(ctx, d.Err)
}

func oneLine(sql string) string { return strings.Join(strings.Fields(sql), " ") }
