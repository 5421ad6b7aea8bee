package httpapi_test

import (
	"bufio"
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"
)

// patience bounds a wait for something that comes within milliseconds, on a machine that
// is busy with other things.
const patience = 20 * time.Second

// listener reads a stream of events in the background.
type listener struct {
	t      testing.TB
	events chan int64
	ended  chan struct{}
	header http.Header
	stop   context.CancelFunc
}

func (c *client) listen(path string, after string) *listener {
	c.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, c.base+path, nil)
	if err != nil {
		c.t.Fatal(err)
	}
	if after != "" {
		r.Header.Set("Last-Event-ID", after)
	}
	endless := &http.Client{Jar: c.http.Jar, Transport: c.http.Transport}
	answer, err := endless.Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	if answer.StatusCode != http.StatusOK {
		c.t.Fatalf("GET %s: got %d, want 200", path, answer.StatusCode)
	}
	l := &listener{t: c.t, events: make(chan int64, 100), ended: make(chan struct{}), header: answer.Header, stop: stop}
	go func() {
		defer close(l.ended)
		defer func() { _ = answer.Body.Close() }()
		lines := bufio.NewScanner(answer.Body)
		var id string
		for lines.Scan() {
			switch line := lines.Text(); {
			case strings.HasPrefix(line, "id: "):
				id = strings.TrimPrefix(line, "id: ")
			case strings.HasPrefix(line, "data: "):
				n, err := strconv.ParseInt(id, 10, 64)
				if err != nil || line != `data: {"seq":`+id+`}` {
					c.t.Errorf("event: got id %q, %q, want the number in both", id, line)
				}
				l.events <- n
			}
		}
	}()
	c.t.Cleanup(func() { stop(); <-l.ended })
	return l
}

func (l *listener) next() int64 {
	l.t.Helper()
	select {
	case n := <-l.events:
		return n
	case <-l.ended:
		l.t.Fatal("the stream ended, want an event")
	case <-time.After(patience):
		l.t.Fatal("no event came")
	}
	return 0
}

func TestTheLeadHearsOfATick(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	l := h.lead.listen(h.path("/events"), "")
	if got := l.header.Get("Content-Type"); got != "text/event-stream" {
		t.Errorf("content type: got %q, want text/event-stream", got)
	}
	if got := l.next(); got != 4 {
		t.Errorf("first event: got %d, want the number as it stands, 4", got)
	}
	bo := b.as(b.ours.installer)
	bo.send(h, h.take("width_top", "30"))
	if got := l.next(); got != 5 {
		t.Errorf("after a reading: got %d, want 5", got)
	}
	bo.send(h, h.take("width_top", "3")) // refused: no news for anybody
	bo.send(h, h.take("width_middle", "30"))
	if got := l.next(); got != 6 {
		t.Errorf("after a refusal and a reading: got %d, want 6", got)
	}
	// Taken up again where it was left, it says nothing until there is news.
	again := h.lead.listen(h.path("/events"), "6")
	bo.send(h, h.take("width_bottom", "30"))
	if got := again.next(); got != 7 {
		t.Errorf("taken up after 6: got %d first, want 7", got)
	}
	// A number from before the log was taken back to a backup counts as none.
	if got := h.lead.listen(h.path("/events"), "999").next(); got != 7 {
		t.Errorf("taken up after a number that is not reached: got %d, want 7", got)
	}
}

func TestStoppingEndsStreamsAndFinishesRequests(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	var open []*listener
	for range 5 {
		l := h.lead.listen(h.path("/events"), "")
		l.next()
		open = append(open, l)
	}
	began := time.Now()
	if err := b.app.Close(); err != nil {
		t.Errorf("closing with streams open: %v", err)
	}
	if took := time.Since(began); took > 15*time.Second { // its grace is 20 s: it must not have been waited for
		t.Errorf("closing with streams open: took %v, want them ended at once", took)
	}
	for _, l := range open {
		select {
		case <-l.ended:
		case <-time.After(patience):
			t.Error("a stream is still open after the stop")
		}
	}
}
