package httpapi

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// dribble is a body that comes a byte at a time.
type dribble struct {
	rest  string
	every time.Duration
}

func (d *dribble) Read(p []byte) (int, error) {
	if d.rest == "" {
		return 0, io.EOF
	}
	time.Sleep(d.every) // of the bubble's clock
	n := copy(p[:1], d.rest)
	d.rest = d.rest[n:]
	return n, nil
}

func (d *dribble) Close() error { return nil }

// slowWriter is a connection's answer that notes the deadlines it is given.
type slowWriter struct {
	http.ResponseWriter
	header   http.Header
	writes   []int
	deadline time.Time
}

func (w *slowWriter) Header() http.Header { return w.header }
func (w *slowWriter) WriteHeader(int)     {}
func (w *slowWriter) Write(p []byte) (int, error) {
	w.writes = append(w.writes, len(p))
	return len(p), nil
}
func (w *slowWriter) SetReadDeadline(time.Time) error    { return nil }
func (w *slowWriter) SetWriteDeadline(t time.Time) error { w.deadline = t; return nil }

// through sends a request with that body through limitTime, and returns what the handler
// read and then how long it could work.
func through(t *testing.T, body io.ReadCloser, w http.ResponseWriter, do func(ctx context.Context, read error)) {
	t.Helper()
	s := New(Config{Sessions: detached()})
	ctx, err := s.cfg.Sessions.Load(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, prefix+"/jobs/x/commands", body)
	if err != nil {
		t.Fatal(err)
	}
	s.limitTime(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_, err := io.ReadAll(r.Body)
		do(r.Context(), err)
		_, _ = w.Write(make([]byte, 3*writePiece))
	})).ServeHTTP(w, r)
}

// A body that takes longer than the work may is not work.
func TestTimeOnTheWayIsNotWork(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		w := &slowWriter{header: http.Header{}}
		through(t, &dribble{rest: strings.Repeat("x", 25), every: time.Second}, w, func(ctx context.Context, read error) {
			if read != nil || ctx.Err() != nil {
				t.Errorf("after a body of %v: read %v, context %v, want neither", time.Since(began), read, ctx.Err())
			}
			<-ctx.Done()
			if worked := time.Since(began) - 25*time.Second; worked != requestTime {
				t.Errorf("worked for %v after the body was here, want %v", worked, requestTime)
			}
			if !errors.Is(context.Cause(ctx), errWorkTime) {
				t.Errorf("ended for %v, want %v", context.Cause(ctx), errWorkTime)
			}
		})
		if len(w.writes) != 3 || !w.deadline.Equal(time.Now().Add(stallTime)) {
			t.Errorf("answer in %v pieces, the last until %v from now, want 3 and %v", w.writes, time.Until(w.deadline), stallTime)
		}
	})
}

// A body may be slow and still not take for ever.
func TestABodyHasAnEnd(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		through(t, &dribble{rest: strings.Repeat("x", 1000), every: time.Second}, &slowWriter{header: http.Header{}}, func(_ context.Context, read error) {
			var late net.Error
			if !errors.As(read, &late) || !late.Timeout() {
				t.Errorf("a body of a thousand seconds: read %v, want a timeout", read)
			}
			if took := time.Since(began); took < strangerTime || took > strangerTime+2*time.Second {
				t.Errorf("a stranger's body was cut after %v, want %v", took, strangerTime)
			}
		})
	})
}
