package observe

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"

	"longpoint/internal/request"
)

// Watch watches every request. It stands within the router, which knows the route once the request was answered.
func (o *Observer) Watch(next http.Handler) http.Handler {
	if o == nil {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		stream := strings.HasSuffix(r.URL.Path, "/events")
		if stream && o.streams != nil {
			o.streams.Inc()
			defer o.streams.Dec()
		}
		ctx := r.Context()
		var span trace.Span
		if o.tracer != nil {
			if o.trust {
				ctx = propagation.TraceContext{}.Extract(ctx, propagation.HeaderCarrier(r.Header))
			}
			ctx, span = o.tracer.Start(ctx, r.Method, trace.WithSpanKind(trace.SpanKindServer),
				trace.WithAttributes(attribute.String("http.request.method", r.Method), attribute.String("longpoint.request", request.ID(ctx))))
			r = r.WithContext(ctx)
		}
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		defer func() { // also when the handler's panic cuts the answer off
			status := ww.Status()
			if status == 0 {
				status = http.StatusOK
			}
			// The route and not the path: a path names jobs, and there are as many as jobs.
			route := "none"
			if c := chi.RouteContext(r.Context()); c != nil && c.RoutePattern() != "" {
				route = c.RoutePattern()
			}
			if o.requests != nil {
				o.requests.WithLabelValues(r.Method, route, strconv.Itoa(status)).Inc()
				if !stream {
					o.took.WithLabelValues(r.Method, route).Observe(time.Since(began).Seconds())
				}
			}
			if span != nil {
				span.SetName(r.Method + " " + route)
				span.SetAttributes(attribute.String("http.route", route), attribute.Int("http.response.status_code", status))
				if status >= http.StatusInternalServerError {
					span.SetStatus(codes.Error, "")
				}
				span.End()
			}
		}()
		next.ServeHTTP(ww, r)
	})
}
