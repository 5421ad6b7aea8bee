package httpapi

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"reflect"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

const (
	// beat keeps proxies from taking a quiet stream for a dead one (common practice: they
	// give up after 60 s).
	beat = 20 * time.Second
	// streamTime is how long one stream lasts; the browser opens the next by itself, and
	// then it is asked again who is signed in and what they may see.
	streamTime = 10 * time.Minute
	writeTime  = 10 * time.Second
	// retryLeast and retryMost bound how long a client is asked to wait before it comes
	// back: a node that stops sends all its streams to the others at one moment.
	retryLeast = time.Second
	retryMost  = 5 * time.Second
)

// within draws a length of time, so that what began together does not end together.
func within(least, most time.Duration) time.Duration { return least + rand.N(most-least) }

// JobChanged says that a job's log goes to seq.
type JobChanged struct {
	Seq   int64 `json:"seq" doc:"Last number in the job's log; pull what is missing up to it"`
	Stock int64 `json:"stock,omitempty" doc:"There is a saw plan of this mark; read the stock again if it is another than the last"`
}

type eventsInput struct {
	JobPath
	LastEventID string `header:"Last-Event-ID" doc:"The number the last event gave, when a stream is taken up again"`
}

func (s *Server) registerEvents() {
	op := operation("stream-events", http.MethodGet, "/jobs/{job}/events", "A stream of the job's last log number, as it changes")
	op.Description = "Server-sent events. Losing the stream loses nothing: entries are pulled by number."
	op.Responses = map[string]*huma.Response{"200": {
		Description: "Each event's data is a JobChanged and its id is the number",
		Content: map[string]*huma.MediaType{"text/event-stream": {Schema: &huma.Schema{
			Type:  huma.TypeArray,
			Items: s.api.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[JobChanged](), true, "JobChanged"),
		}}},
	}}
	add(s, op, s.events)
}

func (s *Server) events(ctx context.Context, in *eventsInput) (*huma.StreamResponse, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	// Listening begins before the number is read, so that no change falls between the two.
	sub, ok := s.hub.subscribe(v.CompanyID, in.Job)
	if !ok {
		return nil, fault.New(fault.Unavailable, "The service is stopping. Try again in a moment.")
	}
	last, stock, err := s.standing(ctx, v, in.Job)
	if err != nil {
		s.hub.leave(sub)
		return nil, err
	}
	after, err := strconv.ParseInt(in.LastEventID, 10, 64)
	if err != nil || after > last {
		after = 0 // none, or of a log that was since taken back to an earlier backup
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		defer s.hub.leave(sub)
		r, w := humachi.Unwrap(hc)
		st := &stream{w: w, control: http.NewResponseController(w), sent: after}
		s.stream(r.Context(), st, sub, v, in.Job, JobChanged{Seq: last, Stock: stock})
	}}, nil
}

// standing reads a job's last number and the mark of its saw plan.
func (s *Server) standing(ctx context.Context, v account.Viewer, job string) (seq, stock int64, err error) {
	ctx, cancel := context.WithTimeout(ctx, requestTime)
	defer cancel()
	if _, seq, err = s.cfg.Store.Entries(ctx, v, job, 0, "", 1); err != nil {
		return 0, 0, err
	}
	stock, err = s.cfg.Store.StockMark(ctx, v, job)
	return seq, stock, err
}

// stream sends until the client goes, the service stops or the stream's time is over. It
// begins with how long to wait before coming back, with the number where the client is
// behind, and with the saw plan's mark where there is one: a plan made while the stream was
// away has moved no number.
func (s *Server) stream(ctx context.Context, st *stream, sub *subscriber, v account.Viewer, job string, now JobChanged) {
	h := st.w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no") // asks a buffering proxy to pass events on
	_ = st.control.SetReadDeadline(time.Time{})
	st.w.WriteHeader(http.StatusOK)
	if !st.write(fmt.Sprintf("retry: %d\n: listening\n\n", within(retryLeast, retryMost).Milliseconds())) || !st.changed(now) {
		return
	}
	beats := time.NewTicker(beat)
	defer beats.Stop()
	over := time.NewTimer(within(streamTime-streamTime/5, streamTime))
	defer over.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.hub.closed:
			return
		case <-over.C:
			return
		case <-beats.C:
			if !st.comment("beat") {
				return
			}
		case <-sub.woken:
			seq, stock, look := s.hub.take(sub)
			if look {
				last, mark, err := s.standing(ctx, v, job)
				if err != nil { // the client comes back, and is told then
					s.hub.leave(sub)
					s.hub.lookAgain(sub)
					return
				}
				s.hub.changed(v.CompanyID, job, last)
				s.hub.restocked(v.CompanyID, job, mark)
				seq, stock = max(seq, last), mark
			}
			if !st.changed(JobChanged{Seq: seq, Stock: stock}) {
				return
			}
		}
	}
}

// stream is one client's open answer.
type stream struct {
	w       http.ResponseWriter
	control *http.ResponseController
	sent    int64
	stock   int64
}

// changed sends a number once, unless a higher one was sent, and a plan's mark where it is
// another than the last. An app that knows no marks has had the number it comes with.
func (st *stream) changed(to JobChanged) bool {
	replanned := to.Stock != 0 && to.Stock != st.stock
	if to.Seq <= st.sent && !replanned {
		return true
	}
	st.sent = max(st.sent, to.Seq)
	if !replanned {
		return st.write(fmt.Sprintf("id: %d\ndata: {\"seq\":%d}\n\n", st.sent, st.sent))
	}
	st.stock = to.Stock
	return st.write(fmt.Sprintf("id: %d\ndata: {\"seq\":%d,\"stock\":%d}\n\n", st.sent, st.sent, st.stock))
}

func (st *stream) comment(text string) bool { return st.write(": " + text + "\n\n") }

func (st *stream) write(text string) bool {
	if st.control.SetWriteDeadline(time.Now().Add(writeTime)) != nil {
		return false
	}
	if _, err := st.w.Write([]byte(text)); err != nil {
		return false
	}
	return st.control.Flush() == nil
}
