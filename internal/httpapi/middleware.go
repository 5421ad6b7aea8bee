package httpapi

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
	"go.opentelemetry.io/otel/trace"

	"longpoint/internal/fault"
	"longpoint/internal/request"
)

var (
	errNoSuchPlace = newProblem(http.StatusNotFound, fault.NotFound, "There is nothing at this address.")
	errWrongMethod = newProblem(http.StatusMethodNotAllowed, fault.Invalid, "That cannot be done at this address.")
	errElsewhere   = newProblem(http.StatusForbidden, fault.Forbidden, "This was sent from another site, so it was not taken.")
	errOurs        = newProblem(http.StatusInternalServerError, fault.Internal, fault.SentenceOf(nil))
)

type contextKey int

const (
	clientAddress contextKey = iota
	arrivedAt
	workTimer
	asksFor
	overTLS
)

// identify gives every request a number of its own, for the log and for a person to quote.
// One that a client sent is not taken over: it would stand in the log as sent. The answer's
// date is by the clock the rules go by: a phone learns from it how far its own is off.
func (s *Server) identify(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := rand.Text()
		w.Header().Set("X-Request-Id", id)
		w.Header().Set("Date", s.clock().UTC().Format(http.TimeFormat))
		ctx := request.With(r.Context(), id)
		ctx = context.WithValue(ctx, overTLS, s.overTLS(r))
		if strings.HasPrefix(strings.ToLower(r.Header.Get("Accept-Language")), "es") {
			ctx = context.WithValue(ctx, asksFor, "es")
		}
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// watch lets whoever runs the service count and trace requests.
func (s *Server) watch(next http.Handler) http.Handler {
	if s.cfg.Watch == nil {
		return next
	}
	return s.cfg.Watch(next)
}

// record writes one line a request: no address, no person, no body, and the route in place
// of the path.
func (s *Server) record(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		next.ServeHTTP(ww, r)
		status := ww.Status()
		if status == 0 {
			status = http.StatusOK
		}
		level := slog.LevelInfo
		if status >= http.StatusInternalServerError {
			level = slog.LevelError
		}
		fields := []slog.Attr{
			slog.String("id", request.ID(r.Context())),
			slog.String("method", r.Method),
			slog.String("route", chi.RouteContext(r.Context()).RoutePattern()),
			slog.Int("status", status),
			slog.Int("bytes", ww.BytesWritten()),
			slog.Duration("took", time.Since(began)),
		}
		if t := trace.SpanContextFromContext(r.Context()); t.IsValid() {
			fields = append(fields, slog.String("trace", t.TraceID().String()))
		}
		s.log.LogAttrs(r.Context(), level, "request", fields...)
	})
}

// recover answers for a handler that panicked. http.ErrAbortHandler is meant.
func (s *Server) recover(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			v := recover()
			if v == nil {
				return
			}
			if err, ok := v.(error); ok && errors.Is(err, http.ErrAbortHandler) {
				panic(v)
			}
			s.log.ErrorContext(r.Context(), "panic", "id", request.ID(r.Context()), "panic", v, "stack", string(debug.Stack()))
			if ww, ok := w.(middleware.WrapResponseWriter); ok && ww.Status() != 0 {
				panic(http.ErrAbortHandler) // the answer has begun: cut it off rather than let it pass for whole
			}
			writeProblem(w, errOurs)
		}()
		next.ServeHTTP(w, r)
	})
}

// policy lets the page load its own files and WebAssembly, and nothing inline or foreign.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; font-src 'self'; " +
	"img-src 'self' blob: data:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; " +
	"base-uri 'none'; frame-ancestors 'none'; form-action 'self'"

func secure(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self), microphone=(), geolocation=(), payment=(), usb=()")
		if strings.HasPrefix(r.URL.Path, "/api/") {
			h.Set("Cache-Control", "no-store")
		}
		next.ServeHTTP(w, r)
	})
}

// sameOrigin refuses what another site made a browser send. Programs that send neither
// Origin nor Sec-Fetch-Site are no browsers and pass.
func (s *Server) sameOrigin(next http.Handler) http.Handler {
	p := http.NewCrossOriginProtection()
	p.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { writeProblem(w, errElsewhere) }))
	return p.Handler(next)
}

// hasBody reports whether there is anything to come with a request beside its headers.
func hasBody(r *http.Request) bool { return r.Body != nil && r.Body != http.NoBody }

// limitBody is the outermost bound; operations have their own, lower.
func limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if hasBody(r) { // what has none stays known for it
			r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) methodNotAllowed(routes chi.Routes) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var allowed []string
		for _, m := range []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete} {
			if !routes.Match(chi.NewRouteContext(), m, r.URL.Path) {
				continue
			}
			allowed = append(allowed, m)
			if m == http.MethodGet {
				allowed = append(allowed, http.MethodHead)
			}
		}
		w.Header().Set("Allow", strings.Join(allowed, ", "))
		writeProblem(w, errWrongMethod)
	}
}

// refuse turns a fault into its answer and logs what is ours.
func (s *Server) refuse(ctx context.Context, err error) error {
	p := problemOf(err)
	var withHeaders huma.HeadersError
	switch {
	case errors.As(err, &withHeaders):
		return err
	case p.Status == http.StatusServiceUnavailable:
		s.log.WarnContext(ctx, "unavailable", "id", request.ID(ctx), "error", err)
		return huma.ErrorWithHeaders(p, http.Header{"Retry-After": {retrySoon}})
	case p.Status >= http.StatusInternalServerError:
		s.log.ErrorContext(ctx, "internal error", "id", request.ID(ctx), "error", err)
	}
	return p
}

func (s *Server) healthy(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = w.Write([]byte("ok\n"))
}

// ready asks the database, so that a proxy sends nobody here while it does not answer.
func (s *Server) ready(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), readyTime)
	defer cancel()
	if err := s.cfg.Store.Ping(ctx); err != nil {
		s.log.WarnContext(ctx, "not ready", "id", request.ID(ctx), "error", err)
		writeProblem(w, newProblem(http.StatusServiceUnavailable, fault.Unavailable, "The database does not answer."))
		return
	}
	s.healthy(w, r)
}

// readyTime is less than the time a proxy usually gives a probe (common practice: 5 s).
const readyTime = 3 * time.Second
