package httpapi

import (
	"context"
	"errors"
	"io"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/klauspost/compress/gzhttp"

	"longpoint/internal/account"
)

// A phone behind a foil-faced wall sends and takes a kilobyte a second and loses the signal
// for seconds on end. So what counts on a connection is that something moves, within a bound
// on the whole; the work itself is timed from when its body is here. Whoever is not signed
// in has a sign-in to send and no outbox, and gets less patience.
const (
	stallTime    = 20 * time.Second // with nothing moving
	bodyTime     = 5 * time.Minute  // for a whole body
	strangerTime = 30 * time.Second // for the body of one who is not signed in
	writePiece   = 16 << 10         // what must move within stallTime: 0.8 kB/s
)

var errWorkTime = errors.New("the work on the request took too long")

// limitUnread bounds how long a body is waited for that nobody reads: the server takes what is
// left of it before it answers. Whoever reads it moves the bound along (slowBody), and each
// request begins without one. A request without a body gets none: the server watches its
// connection, and would take the bound for its loss.
func (s *Server) limitUnread(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if hasBody(r) {
			_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.unread)) // one that has no deadlines is a test's
		}
		next.ServeHTTP(w, r)
	})
}

// limitTime bounds a request: the pace of its body and of its answer, and the work on it
// once the body is here. A stream of events has its own bounds.
func (s *Server) limitTime(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/events") {
			next.ServeHTTP(w, r)
			return
		}
		whole := bodyTime
		if _, known := account.SignedIn(r.Context(), s.cfg.Sessions); !known {
			whole = strangerTime
		}
		ctx, cancel := context.WithCancelCause(r.Context())
		work := time.AfterFunc(whole+requestTime, func() { cancel(errWorkTime) })
		defer func() { work.Stop(); cancel(context.Canceled) }()
		control := http.NewResponseController(w)
		if !hasBody(r) {
			work.Reset(requestTime)
		} else {
			r.Body = &slowBody{ReadCloser: r.Body, control: control, until: time.Now().Add(whole),
				here: sync.OnceFunc(func() { work.Reset(requestTime) })}
		}
		ctx = context.WithValue(ctx, arrivedAt, s.clock())
		ctx = context.WithValue(ctx, workTimer, work)
		next.ServeHTTP(&slowAnswer{ResponseWriter: w, control: control}, r.WithContext(ctx))
	})
}

// takeTime gives the work on a request until d from now, and no longer: for an answer that is
// read while it is sent, and goes at the pace of who takes it.
func takeTime(ctx context.Context, d time.Duration) {
	if work, ok := ctx.Value(workTimer).(*time.Timer); ok {
		work.Reset(d)
	}
}

// arrived is when the request began to arrive, by the service's clock: the moment nearest to
// the one the device stamped on what it sent.
func (s *Server) arrived(ctx context.Context) time.Time {
	if at, ok := ctx.Value(arrivedAt).(time.Time); ok {
		return at
	}
	return s.clock()
}

// slowBody is a request's body that may come slowly but not stand still.
type slowBody struct {
	io.ReadCloser
	control *http.ResponseController
	until   time.Time
	here    func()
}

func (b *slowBody) Read(p []byte) (int, error) {
	now := time.Now()
	if now.After(b.until) {
		return 0, os.ErrDeadlineExceeded
	}
	_ = b.control.SetReadDeadline(now.Add(stallTime)) // one that has no deadlines is a test's
	n, err := b.ReadCloser.Read(p)
	if errors.Is(err, io.EOF) {
		_ = b.control.SetReadDeadline(time.Time{}) // the server watches the quiet connection for its loss
		b.here()
	}
	return n, err
}

// slowAnswer writes in pieces, each with its own time.
type slowAnswer struct {
	http.ResponseWriter
	control *http.ResponseController
}

func (a *slowAnswer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

func (a *slowAnswer) WriteHeader(status int) {
	_ = a.control.SetWriteDeadline(time.Now().Add(stallTime))
	a.ResponseWriter.WriteHeader(status)
}

func (a *slowAnswer) Write(p []byte) (written int, err error) {
	for {
		_ = a.control.SetWriteDeadline(time.Now().Add(stallTime))
		piece := p[:min(len(p), writePiece)]
		n, err := a.ResponseWriter.Write(piece)
		written += n
		if p = p[n:]; err != nil || len(p) == 0 {
			return written, err
		}
	}
}

// squeezeFrom is below what one packet carries, where compressing gains nothing.
const squeezeFrom = 1400

// squeezeLevel is the quickest: what more would save is less than the time it takes.
const squeezeLevel = 1

// squeeze compresses answers for whoever takes them so: a log is nine tenths names and ids.
// No answer holds a secret beside what a stranger could have put there.
func squeeze() func(http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(squeezeFrom), gzhttp.CompressionLevel(squeezeLevel),
		gzhttp.EnableZstd(false), gzhttp.ContentTypes([]string{"application/json"}))
	if err != nil {
		panic(err) // the settings above are wrong
	}
	return func(next http.Handler) http.Handler {
		squeezed := wrap(next)
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if strings.HasSuffix(r.URL.Path, "/events") { // nothing of it may wait in a buffer
				next.ServeHTTP(w, r)
				return
			}
			squeezed.ServeHTTP(w, r)
		})
	}
}
