package httpapi_test

import (
	"bufio"
	"context"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/httpapi"
	"longpoint/internal/yard"
)

// patience bounds a wait for something that comes within milliseconds, on a machine that
// is busy with other things.
const patience = 20 * time.Second

// listener reads a stream of events in the background.
type listener struct {
	t      testing.TB
	events chan httpapi.JobChanged
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
	l := &listener{t: c.t, events: make(chan httpapi.JobChanged, 100), ended: make(chan struct{}), header: answer.Header, stop: stop}
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
				var to httpapi.JobChanged
				err := json.Unmarshal([]byte(strings.TrimPrefix(line, "data: ")), &to)
				if err != nil || id != strconv.FormatInt(to.Seq, 10) {
					c.t.Errorf("event: got id %q, %q (%v), want the number in both", id, line, err)
				}
				l.events <- to
			}
		}
	}()
	c.t.Cleanup(func() { stop(); <-l.ended })
	return l
}

func (l *listener) next() int64 {
	l.t.Helper()
	return l.change().Seq
}

func (l *listener) change() httpapi.JobChanged {
	l.t.Helper()
	select {
	case to := <-l.events:
		return to
	case <-l.ended:
		l.t.Fatal("the stream ended, want an event")
	case <-time.After(patience):
		l.t.Fatal("no event came")
	}
	return httpapi.JobChanged{}
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

// Two are at the saw, and after a miscut one of them plans again: the other hears of the plan, which
// moves no number of the log, and so does whose stream was away meanwhile.
func TestAnotherSawPlanIsHeard(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	one, other := h.lead.listen(h.path("/events"), ""), bo.listen(h.path("/events"), "")
	for _, l := range []*listener{one, other} {
		if got := l.change(); got != (httpapi.JobChanged{Seq: 4}) {
			t.Fatalf("before the first plan: got %+v, want number 4 alone", got)
		}
	}
	bo.plan(h, yard.Ask{})
	first := one.change()
	if first.Seq != 4 || first.Stock == 0 {
		t.Errorf("after the first plan: got %+v, want its mark under the number as it was", first)
	}
	if got := other.change(); got != first {
		t.Errorf("on the other stream: got %+v, want %+v", got, first)
	}
	bo.plan(h, yard.Ask{})
	second := one.change()
	if second.Seq != 4 || second.Stock == 0 || second.Stock == first.Stock {
		t.Errorf("after another plan: got %+v, want another mark than %+v", second, first)
	}
	// An entry is told as ever, without the mark that was told.
	bo.send(h, h.take("width_top", "30"))
	if got := one.change(); got != (httpapi.JobChanged{Seq: 5}) {
		t.Errorf("after a reading: got %+v, want number 5 alone", got)
	}
	if got := h.lead.listen(h.path("/events"), "5").change(); got != (httpapi.JobChanged{Seq: 5, Stock: second.Stock}) {
		t.Errorf("taken up after 5: got %+v, want the mark of the plan as it stands, %d", got, second.Stock)
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
