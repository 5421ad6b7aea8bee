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
	if seq, _, look := h.take(slow); seq != 1000 || look {
		t.Errorf("after 1000 changes: got %d, look %v, want 1000, false", seq, look)
	}
	select {
	case <-slow.woken:
		t.Error("woken twice for what one look found")
	case <-other.woken:
		t.Error("another job's stream was woken")
	default:
	}
	h.close()
	h.close()
	<-h.closed
	if _, ok := h.subscribe("c", "j"); ok {
		t.Error("a stream was let in after the stop")
	}
	h.leave(slow)
	h.leave(other)
	h.leave(other)
	if len(h.byJob) != 0 {
		t.Errorf("jobs kept after the last stream left: %d, want 0", len(h.byJob))
	}
}

// After a lost connection a thousand streams of one job must not put a thousand questions.
func TestOneStreamLooksForAll(t *testing.T) {
	t.Parallel()
	h := newHub()
	first, _ := h.subscribe("c", "j")
	second, _ := h.subscribe("c", "j")
	h.missed()
	<-first.woken
	<-second.woken
	if _, _, look := h.take(first); !look {
		t.Fatal("the first to take: want it to look")
	}
	if _, _, look := h.take(second); look {
		t.Error("the second to take: want it to leave the look to the first")
	}
	// The first could not finish: its client went away.
	h.leave(first)
	h.lookAgain(first)
	<-second.woken
	if _, _, look := h.take(second); !look {
		t.Fatal("after the first gave up: want the second to look")
	}
	h.changed("c", "j", 7)
	<-second.woken
	if seq, _, look := h.take(second); seq != 7 || look {
		t.Errorf("after the look: got %d, look %v, want 7, false", seq, look)
	}
	h.changed("c", "j", 6) // an older message that comes late is no news
	select {
	case <-second.woken:
		t.Error("woken for a lower number")
	default:
	}
}
