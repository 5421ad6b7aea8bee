package httpapi

import "sync"

// hub passes each change of a job on to the streams that are open for it. It never waits
// for a stream: one that is slow finds only the latest number when it looks.
type hub struct {
	mu     sync.Mutex
	shut   bool
	closed chan struct{}
	byJob  map[jobKey]*watched
}

type jobKey struct{ company, job string }

// watched is a job that streams are open for. missed says that changes may have passed
// unheard and nobody has looked yet: one of its streams does, for all of them.
type watched struct {
	seq    int64
	stock  int64 // the mark of its saw plan, 0 for none heard of
	missed bool
	subs   map[*subscriber]struct{}
}

// subscriber is one open stream.
type subscriber struct {
	key   jobKey
	woken chan struct{} // holds one wake-up
}

func newHub() *hub { return &hub{closed: make(chan struct{}), byJob: map[jobKey]*watched{}} }

// subscribe opens a stream for a job; false when the service is stopping.
func (h *hub) subscribe(company, job string) (*subscriber, bool) {
	sub := &subscriber{key: jobKey{company, job}, woken: make(chan struct{}, 1)}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.shut {
		return nil, false
	}
	w := h.byJob[sub.key]
	if w == nil {
		w = &watched{subs: map[*subscriber]struct{}{}}
		h.byJob[sub.key] = w
	}
	w.subs[sub] = struct{}{}
	return sub, true
}

func (h *hub) leave(sub *subscriber) {
	h.mu.Lock()
	defer h.mu.Unlock()
	w := h.byJob[sub.key]
	if w == nil {
		return
	}
	delete(w.subs, sub)
	if len(w.subs) == 0 {
		delete(h.byJob, sub.key)
	}
}

// changed never lowers a number: two nodes' messages may cross with a look.
func (h *hub) changed(company, job string, seq int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if w := h.byJob[jobKey{company, job}]; w != nil && seq > w.seq {
		w.seq = seq
		w.wake()
	}
}

// restocked says that a job has the saw plan of that mark. Marks are no order: nodes' clocks differ.
func (h *hub) restocked(company, job string, mark int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if w := h.byJob[jobKey{company, job}]; w != nil && mark != w.stock {
		w.stock = mark
		w.wake()
	}
}

// missed says that changes of any job may have passed unheard.
func (h *hub) missed() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, w := range h.byJob {
		w.missed = true
		w.wake()
	}
}

// lookAgain hands on a look that a stream took on and could not finish.
func (h *hub) lookAgain(sub *subscriber) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if w := h.byJob[sub.key]; w != nil {
		w.missed = true
		w.wake()
	}
}

// take returns the latest number and the latest mark of a plan heard, 0 for none yet. When look is
// true the stream that called must read both and tell changed and restocked, or hand it on by
// leave and lookAgain.
func (h *hub) take(sub *subscriber) (seq, stock int64, look bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	w := h.byJob[sub.key]
	if w == nil {
		return 0, 0, false
	}
	look, w.missed = w.missed, false
	return w.seq, w.stock, look
}

// close ends every stream and lets no new one in.
func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.shut {
		h.shut = true
		close(h.closed)
	}
}

func (w *watched) wake() {
	for sub := range w.subs {
		select {
		case sub.woken <- struct{}{}:
		default: // a wake-up is waiting; it will find this too
		}
	}
}
