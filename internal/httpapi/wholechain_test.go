package httpapi

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/logbook"
)

// everybody has a session store in which each token is a lead's.
type everybody struct{}

func (everybody) FindCtx(context.Context, string) ([]byte, bool, error) {
	b, err := account.EncodeSession(time.Now().Add(time.Hour), account.Person{ID: "ines", CompanyID: "ours", Role: joblog.Lead, Language: "en", Unit: length.Inches}, "")
	return b, true, err
}
func (everybody) CommitCtx(context.Context, string, []byte, time.Time) error { return nil }
func (everybody) DeleteCtx(context.Context, string) error                    { return nil }
func (e everybody) Find(token string) ([]byte, bool, error) {
	return e.FindCtx(context.Background(), token)
}
func (everybody) Commit(string, []byte, time.Time) error { return nil }
func (everybody) Delete(string) error                    { return nil }

// slowStore answers a question after a while, unless it is given up before.
type slowStore struct {
	Store
	takes time.Duration
	job   time.Duration // what a whole job takes
	gave  error         // why it was given up
	pages int           // of the log that it has been asked for
}

func (s *slowStore) wait(ctx context.Context) error { return s.waitFor(ctx, s.takes) }

func (s *slowStore) waitFor(ctx context.Context, takes time.Duration) error {
	select {
	case <-time.After(takes):
		return nil
	case <-ctx.Done():
		s.gave = context.Cause(ctx)
		return fault.Because(fault.Unavailable, "Try again in a moment.", s.gave)
	}
}

func (s *slowStore) CalendarOf(ctx context.Context, _ string) (account.Person, string, error) {
	return account.Person{}, "", s.wait(ctx)
}

func (s *slowStore) Jobs(ctx context.Context, _ account.Viewer) ([]JobLine, error) {
	return nil, s.wait(ctx)
}

func (s *slowStore) Ping(ctx context.Context) error { return s.wait(ctx) }

func (s *slowStore) FindSignIn(context.Context, string) (account.Person, string, error) {
	return account.Person{}, "", fault.New(fault.NotFound, "There is no such person.")
}

func (s *slowStore) Job(ctx context.Context, _ account.Viewer, _ string) (*joblog.State, houserules.Set, error) {
	if err := s.waitFor(ctx, s.job); err != nil {
		return nil, nil, err
	}
	st := joblog.NewState()
	st.Job = &joblog.Job{ID: "job"}
	return st, nil, nil
}

func (s *slowStore) People(context.Context, account.Viewer) ([]account.Member, error) {
	return nil, nil
}

// Log has three whole pages and an entry.
func (s *slowStore) Log(ctx context.Context, _ account.Viewer, _ string, f logbook.Filter) ([]joblog.Entry, int64, error) {
	const last = 3*exportPage + 1
	if s.pages++; s.pages > 1 {
		if err := s.wait(ctx); err != nil {
			return nil, 0, err
		}
	}
	var page []joblog.Entry
	for seq := f.After + 1; seq <= last && len(page) < exportPage; seq++ {
		page = append(page, joblog.Entry{Seq: seq, Command: joblog.Command{Kind: joblog.NoteKind, Note: &joblog.Note{Text: "Wood is wood."}}})
	}
	return page, last, nil
}

// slowPhotos is a storage from which a photo comes a piece at a time, under the context it was opened with.
type slowPhotos struct {
	keeper
	photo []byte
	takes time.Duration // for a piece
}

type keeper interface{ Photos }

func (p slowPhotos) Picture(ctx context.Context, _ account.Viewer, _, _ string, _ bool) (Picture, error) {
	return Picture{&slowPicture{bytes.NewReader(p.photo), ctx, p.takes}, "tag"}, nil
}

type slowPicture struct {
	*bytes.Reader
	ctx   context.Context
	takes time.Duration
}

func (p *slowPicture) Read(b []byte) (int, error) {
	select {
	case <-time.After(p.takes):
		return p.Reader.Read(b)
	case <-p.ctx.Done():
		return 0, p.ctx.Err()
	}
}

// WriteTo is hidden: a storage's object is read.
func (p *slowPicture) WriteTo(w io.Writer) (int64, error) {
	return io.Copy(w, struct{ io.Reader }{p})
}
func (p *slowPicture) Close() error { return nil }

// asked sends a question, a lead's where token is not empty, through all there is around the doors. cut says that the answer was broken off.
func asked(s *Server, token, path string) (w *httptest.ResponseRecorder, cut bool) {
	w = httptest.NewRecorder()
	defer func() {
		if v := recover(); v != nil {
			if err, ok := v.(error); !ok || !errors.Is(err, http.ErrAbortHandler) {
				panic(v)
			}
			cut = true
		}
	}()
	r := httptest.NewRequest(http.MethodGet, prefix+path, nil)
	if token != "" {
		r.AddCookie(&http.Cookie{Name: cookieName, Value: token})
	}
	s.Handler().ServeHTTP(w, r)
	return w, false
}

// A request that brings no body works no longer than the work on one may take, whoever sends it.
func TestAQuestionWithoutABodyHasAnEnd(t *testing.T) {
	t.Parallel()
	for name, door := range map[string]struct{ token, path string }{
		"signed in": {"a-token", "/jobs"}, "by a link": {"", "/calendar/a-link.ics"}} {
		synctest.Test(t, func(t *testing.T) {
			store := &slowStore{takes: time.Hour}
			began := time.Now()
			w, _ := asked(New(Config{Store: store, Sessions: account.NewSessions(everybody{})}), door.token, door.path)
			if took := time.Since(began); took != requestTime || !errors.Is(store.gave, errWorkTime) {
				t.Errorf("%s: worked for %v and was given up for %v, want %v and %v", name, took, store.gave, requestTime, errWorkTime)
			}
			if w.Code != http.StatusServiceUnavailable {
				t.Errorf("%s: got %d %s, want 503", name, w.Code, w.Body)
			}
		})
	}
}

// What is read while it is sent may take longer than a question: each page of a log has its own time, and a photo what a slow
// storage needs.
func TestAnAnswerThatIsReadOnTheWayIsWhole(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		store := &slowStore{takes: requestTime - time.Second}
		w, cut := asked(New(Config{Store: store, Sessions: account.NewSessions(everybody{})}), "a-token", "/jobs/01900000-0000-7000-8000-000000000000/history.csv")
		lines := strings.Count(w.Body.String(), "\n")
		if took := time.Since(began); took != 3*store.takes || cut || lines != 3*exportPage+2 {
			t.Errorf("a log in four pages: got %d lines after %v, cut off %t, want all %d and %v", lines, took, cut, 3*exportPage+2, 3*store.takes)
		}
	})
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		store := &slowStore{takes: time.Hour}
		_, cut := asked(New(Config{Store: store, Sessions: account.NewSessions(everybody{})}), "a-token", "/jobs/01900000-0000-7000-8000-000000000000/history.csv")
		if took := time.Since(began); took != requestTime || !cut {
			t.Errorf("a page that never comes: ended after %v, cut off %t, want %v and so that it does not pass for the whole", took, cut, requestTime)
		}
	})
	synctest.Test(t, func(t *testing.T) {
		store := &slowStore{job: 3 * requestTime}
		w, _ := asked(New(Config{Store: store, Sessions: account.NewSessions(everybody{})}), "a-token",
			"/jobs/01900000-0000-7000-8000-000000000000/rooms/01900000-0000-7000-8000-000000000001/cut-sheet.pdf")
		if w.Code != http.StatusNotFound || store.gave != nil {
			t.Errorf("sheets from a slow storage: got %d %s, given up for %v, want it to have found that there is no such room", w.Code, w.Body, store.gave)
		}
	})
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		photos := slowPhotos{photo: bytes.Repeat([]byte("pixels. "), 32<<10), takes: 10 * time.Second} // 256 KiB
		w, _ := asked(New(Config{Sessions: account.NewSessions(everybody{}), Photos: photos}), "a-token",
			"/jobs/01900000-0000-7000-8000-000000000000/photos/01900000-0000-7000-8000-000000000001/full.jpg")
		if took := time.Since(began); took <= requestTime || w.Code != http.StatusOK || !bytes.Equal(w.Body.Bytes(), photos.photo) {
			t.Errorf("a photo from a slow storage: got %d with %d bytes after %v, want 200 with all %d after more than %v", w.Code, w.Body.Len(), took, len(photos.photo), requestTime)
		}
	})
}

// serving is a service on a port of this machine that waits but a moment for a body nobody reads.
func serving(t *testing.T, cfg Config) (address string, wait time.Duration) {
	t.Helper()
	s := New(cfg)
	s.unread = 200 * time.Millisecond
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx, l, time.Second) }()
	t.Cleanup(func() { stop(); <-served })
	return l.Addr().String(), s.unread
}

func dialed(t *testing.T, address string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	return c
}

// quiet wants nothing to come, and the connection to stand, for d.
func quiet(t *testing.T, what string, c net.Conn, d time.Duration) {
	t.Helper()
	if err := c.SetReadDeadline(time.Now().Add(d)); err != nil {
		t.Fatal(err)
	}
	var late net.Error
	if n, err := c.Read(make([]byte, 1)); !errors.As(err, &late) || !late.Timeout() {
		t.Errorf("%s: got %d bytes, %v, want the connection to stand and nothing to come", what, n, err)
	}
}

// A body that was promised and never comes, at a door that does not read it, holds no connection.
func TestABodyNobodyReadsIsNotWaitedForWithoutEnd(t *testing.T) {
	t.Parallel()
	address, _ := serving(t, Config{Sessions: detached()})
	for _, door := range []struct{ line, status string }{
		{"POST /nope", "404"},
		{"GET /healthz", "200"},
		{"DELETE /healthz", "405"},
		{"PATCH " + prefix + "/jobs/01900000-0000-7000-8000-000000000000/uploads/01900000-0000-7000-8000-000000000001", "401"},
	} {
		t.Run(door.line, func(t *testing.T) {
			t.Parallel()
			c := dialed(t, address)
			if _, err := io.WriteString(c, door.line+" HTTP/1.1\r\nHost: here\r\nContent-Type: application/json\r\nUpload-Offset: 0\r\nContent-Length: 100\r\n\r\n"); err != nil {
				t.Fatal(err)
			}
			if err := c.SetReadDeadline(time.Now().Add(stallTime / 2)); err != nil {
				t.Fatal(err)
			}
			got, err := io.ReadAll(c)
			if err != nil || !strings.HasPrefix(string(got), "HTTP/1.1 "+door.status) {
				t.Errorf("got %q, %v, want %s and the connection closed", got, err, door.status)
			}
		})
	}
}

// The bound on a body nobody reads is no bound on one that is read and comes slowly, nor on the quiet between two requests.
func TestTheBoundOnUnreadBodiesBindsNothingElse(t *testing.T) {
	t.Parallel()
	hasher, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	address, wait := serving(t, Config{Store: &slowStore{takes: time.Second}, Sessions: detached(), Hasher: hasher})
	c := dialed(t, address)
	send := func(text string) {
		t.Helper()
		if _, err := io.WriteString(c, text); err != nil {
			t.Fatal(err)
		}
	}
	answer := func(what, status string) {
		t.Helper()
		if err := c.SetReadDeadline(time.Now().Add(stallTime / 2)); err != nil {
			t.Fatal(err)
		}
		got := make([]byte, 4096)
		n, err := c.Read(got)
		if err != nil || !strings.HasPrefix(string(got[:n]), "HTTP/1.1 "+status) || strings.Contains(string(got[:n]), "Connection: close") {
			t.Errorf("%s: got %q, %v, want %s and the connection kept", what, got[:n], err, status)
		}
	}
	send("POST /nope HTTP/1.1\r\nHost: here\r\nContent-Length: 2\r\n\r\n{}")
	answer("a body that is here", "404")
	quiet(t, "between two requests", c, 3*wait)
	body := `{"sign_in":"ines","passphrase":"not this"}`
	send("POST " + prefix + "/session HTTP/1.1\r\nHost: here\r\nContent-Type: application/json\r\nContent-Length: 42\r\n\r\n" + body[:20])
	quiet(t, "half a body", c, 3*wait)
	send(body[20:])
	answer("a body that came slowly", "401")
	quiet(t, "afterwards", c, 3*wait)
	send("GET /readyz HTTP/1.1\r\nHost: here\r\n\r\n")
	answer("work on a request without a body", "200")
}
