package httpapi

import "sync"

// hub passes each change of a job on to the streams that are open for it. It never waits
// for a stream: one that is slow finds only the latest number when it looks.
type hub struct {
	mu    sync.Mutex
	shut  bool
	byJob map[jobKey]map[*subscriber]struct{}
}

type jobKey struct{ company, job string }

// subscriber is one open stream.
type subscriber struct {
	key    jobKey
	woken  chan struct{} // holds one wake-up
	closed chan struct{}

	mu     sync.Mutex
	seq    int64
	missed bool
}

func newHub() *hub { return &hub{byJob: map[jobKey]map[*subscriber]struct{}{}} }

// subscribe opens a stream for a job; false when the service is stopping.
func (h *hub) subscribe(company, job string) (*subscriber, bool) {
	sub := &subscriber{key: jobKey{company, job}, woken: make(chan struct{}, 1), closed: make(chan struct{})}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.shut {
		return nil, false
	}
	if h.byJob[sub.key] == nil {
		h.byJob[sub.key] = map[*subscriber]struct{}{}
	}
	h.byJob[sub.key][sub] = struct{}{}
	return sub, true
}

func (h *hub) leave(sub *subscriber) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.byJob[sub.key], sub)
	if len(h.byJob[sub.key]) == 0 {
		delete(h.byJob, sub.key)
	}
}

func (h *hub) changed(company, job string, seq int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for sub := range h.byJob[jobKey{company, job}] {
		sub.note(seq, false)
	}
}

func (h *hub) missed() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, subs := range h.byJob {
		for sub := range subs {
			sub.note(0, true)
		}
	}
}

// close ends every stream and lets no new one in.
func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.shut {
		return
	}
	h.shut = true
	for _, subs := range h.byJob {
		for sub := range subs {
			close(sub.closed)
		}
	}
}

func (sub *subscriber) note(seq int64, missed bool) {
	sub.mu.Lock()
	sub.seq = max(sub.seq, seq)
	sub.missed = sub.missed || missed
	sub.mu.Unlock()
	select {
	case sub.woken <- struct{}{}:
	default: // a wake-up is waiting; it will find this too
	}
}

// take returns the latest number and whether some may have been missed.
func (sub *subscriber) take() (seq int64, missed bool) {
	sub.mu.Lock()
	defer sub.mu.Unlock()
	seq, missed = sub.seq, sub.missed
	sub.missed = false
	return seq, missed
}
