package httpapi

import (
	"sync"
	"testing"
)

// A stream that does not look must not hold anybody up, and finds the latest when it does.
func TestTheHubWaitsForNobody(t *testing.T) {
	t.Parallel()
	h := newHub()
	slow, _ := h.subscribe("c", "j")
	other, _ := h.subscribe("c", "other")
	var all sync.WaitGroup
	for n := range 1000 {
		all.Go(func() { h.changed("c", "j", int64(n+1)) })
	}
	all.Wait()
	<-slow.woken
	if seq, missed := slow.take(); seq != 1000 || missed {
		t.Errorf("after 1000 changes: got %d, missed %v, want 1000, false", seq, missed)
	}
	select {
	case <-slow.woken:
		t.Error("woken twice for what one look found")
	case <-other.woken:
		t.Error("another job's stream was woken")
	default:
	}
	h.missed()
	<-other.woken
	if _, missed := other.take(); !missed {
		t.Error("after a lost connection: want the stream told that it may have missed something")
	}
	if _, missed := other.take(); missed {
		t.Error("the second look: want it told once")
	}
	h.close()
	h.close()
	<-slow.closed
	if _, ok := h.subscribe("c", "j"); ok {
		t.Error("a stream was let in after the stop")
	}
	h.leave(slow)
	h.leave(other)
	if len(h.byJob) != 0 {
		t.Errorf("jobs kept after the last stream left: %d, want 0", len(h.byJob))
	}
}
