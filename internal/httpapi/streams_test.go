package httpapi_test

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
)

// manyStreams is how many phones one node is held to; the race detector checks the same on
// fewer.
const manyStreams = 1000 - 800*raceDetector

// watcher is one phone that only listens, over a connection of its own.
type watcher struct {
	conn net.Conn
	seqs chan heard
}

type heard struct {
	seq int64
	at  time.Time
}

// watch opens a stream as plainly as can be, so that the test's own share of the memory is
// small.
func watch(t *testing.T, c *client, path string) (*watcher, error) {
	base, err := url.Parse(c.base)
	if err != nil {
		return nil, err
	}
	conn, err := net.Dial("tcp", base.Host)
	if err != nil {
		return nil, err
	}
	_, err = fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: %s\r\nCookie: %s\r\n\r\n", path, base.Host, c.http.Jar.Cookies(base)[0])
	if err != nil {
		return nil, err
	}
	w := &watcher{conn: conn, seqs: make(chan heard, 64)}
	go func() {
		defer close(w.seqs)
		in := bufio.NewReaderSize(conn, 256)
		for {
			line, err := in.ReadString('\n')
			if err != nil {
				return
			}
			if id, found := strings.CutPrefix(strings.TrimSpace(line), "id: "); found {
				seq, err := strconv.ParseInt(id, 10, 64)
				if err != nil {
					t.Errorf("an event's id: %v", err)
					return
				}
				w.seqs <- heard{seq, time.Now()}
			}
		}
	}()
	return w, nil
}

// until returns when the stream said this number.
func (w *watcher) until(seq int64) (time.Time, error) {
	limit := time.After(2 * patience)
	for {
		select {
		case h, open := <-w.seqs:
			switch {
			case !open:
				return time.Time{}, fmt.Errorf("the stream ended before number %d", seq)
			case h.seq > seq:
				return time.Time{}, fmt.Errorf("got number %d, want %d at most", h.seq, seq)
			case h.seq == seq:
				return h.at, nil
			}
		case <-limit:
			return time.Time{}, fmt.Errorf("number %d did not come", seq)
		}
	}
}

// TestAThousandPhonesListen holds a thousand idle streams open on one node, with one
// connection that listens to the database, and times how fast each hears of a change. It is
// no parallel test, for the sake of the figures it prints.
func TestAThousandPhonesListen(t *testing.T) {
	b := setup(t)
	const jobs = 10
	var houses []house
	for i := range jobs {
		houses = append(houses, buildHouse(b, b.ours, fmt.Sprintf("Sill Street %d", i+1)))
	}
	lead := houses[0].lead
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	goroutines := runtime.NumGoroutine()

	watchers := make([]*watcher, manyStreams)
	defer func() {
		for _, w := range watchers {
			if w != nil {
				_ = w.conn.Close()
				for range w.seqs { // until its goroutine has ended
				}
			}
		}
	}()
	each := func(do func(i int) error) {
		t.Helper()
		errs := make(chan error, manyStreams)
		turns := make(chan struct{}, 50)
		var all sync.WaitGroup
		for i := range watchers {
			all.Go(func() {
				turns <- struct{}{}
				errs <- do(i)
				<-turns
			})
		}
		all.Wait()
		close(errs)
		failed := 0
		for err := range errs {
			if err != nil {
				if failed++; failed <= 3 {
					t.Error(err)
				}
			}
		}
		if failed > 0 {
			t.Fatalf("%d of %d streams failed", failed, manyStreams)
		}
	}
	opened := time.Now()
	each(func(i int) (err error) {
		if watchers[i], err = watch(t, lead, houses[i%jobs].path("/events")); err == nil {
			_, err = watchers[i].until(4)
		}
		return err
	})
	took := time.Since(opened)
	runtime.GC()
	runtime.ReadMemStats(&after)
	memory := int64(after.HeapAlloc+after.StackInuse-before.HeapAlloc-before.StackInuse) / manyStreams
	t.Logf("%d streams opened in %v; %d goroutines and %.1f kB a stream, the listener's own one and its buffers included", manyStreams, took.Round(time.Millisecond),
		(runtime.NumGoroutine()-goroutines+manyStreams/2)/manyStreams, float64(memory)/1024)

	count := func(like string) (n int) {
		t.Helper()
		err := b.db.Owner.QueryRow(t.Context(), `select count(*) from pg_stat_activity where datname = current_database() and usename = 'longpoint_app' and query ilike $1`, like).Scan(&n)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	if n := count(`listen %`); n != 1 {
		t.Errorf("connections that listen: got %d, want 1", n)
	}

	var late []time.Duration
	for round := range 5 {
		sent := make([]time.Time, jobs)
		for j, h := range houses {
			sent[j] = time.Now()
			h.lead.send(h, h.take("width_top", "30"))
		}
		var mu sync.Mutex
		each(func(i int) error {
			at, err := watchers[i].until(int64(5 + round))
			mu.Lock()
			defer mu.Unlock()
			late = append(late, at.Sub(sent[i%jobs]))
			return err
		})
	}
	slices.Sort(late)
	t.Logf("from sending a reading to its number on each of %d streams: median %v, 99 of 100 within %v", manyStreams,
		late[len(late)/2].Round(100*time.Microsecond), late[len(late)*99/100].Round(100*time.Microsecond))

	// The connection that listens is lost while things change: one stream of each job looks,
	// and all hear of it.
	if _, err := b.db.Owner.Exec(t.Context(), `select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database() and query ilike 'listen %'`); err != nil {
		t.Fatal(err)
	}
	for _, h := range houses {
		h.lead.send(h, h.take("width_middle", "30"))
	}
	each(func(i int) error {
		_, err := watchers[i].until(10)
		return err
	})
}

// Two people tick the same stage without knowing of each other. The second hears that it is
// done, which is no error and leaves nothing to do.
func TestTicksThatCross(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	h.lead.send(h, h.chain()...)
	tick := joblog.Command{Kind: joblog.TickStageKind, ItemID: h.item, TickStage: &joblog.TickStage{Stage: "measured"}}
	first := bo.send(h, tick)
	second := h.lead.send(h, tick)
	if !first.Outcomes[0].Applied || second.Outcomes[0].Applied {
		t.Fatalf("outcomes: got %+v, %+v, want the first applied", first.Outcomes, second.Outcomes)
	}
	fs := second.Outcomes[0].Findings
	if len(fs) != 1 || fs[0].Code != "already_done" || fs[0].Sentence == "" {
		t.Errorf("the second hears %+v, want only that it is done already", fs)
	}
	if second.Seq != 13 {
		t.Errorf("log number after both: got %d, want 13", second.Seq)
	}
}

// What an installer did before they heard that the opening was given to somebody else counts,
// and they hear of it; so does what they did before they heard they are off the job.
func TestGivenToSomebodyElseMeanwhile(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{PersonID: b.ours.lead.ID}})
	out := bo.send(h, h.chain()...)
	for i, o := range out.Outcomes {
		if !o.Applied {
			t.Errorf("reading %d: refused for %+v, want it taken", i+1, o.Findings)
		}
	}
	bo.get(h.path("/log")).refused(http.StatusNotFound, "not_found")
	if got := h.lead.item(h).Readings[0]; got.State != joblog.ReadingTaken {
		t.Errorf("the lead sees the reading %s, want taken", got.State)
	}
}

// Two pages of one phone share its session: what one person did there is not logged as done by the
// next one who signs in, and goes when its author is back. An app from before says no author.
func TestOnePersonsWorkUnderAnothersSession(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	batch := h.batch(h.take("width_top", "30"))
	batch["person_id"] = b.ours.installer.ID
	h.lead.post(h.path("/commands"), batch).refused(http.StatusUnauthorized, "unauthorized")
	if got := h.lead.item(h).Readings[0]; got.State == joblog.ReadingTaken {
		t.Error("the reading was taken, under another's name")
	}
	h.lead.get("/api/v1/session").want(http.StatusOK) // who is signed in stays so
	var out httpapi.CommandOutcomes
	bo.post(h.path("/commands"), batch).want(http.StatusOK).into(&out)
	if len(out.Outcomes) != 1 || !out.Outcomes[0].Applied {
		t.Errorf("its author sends it: got %+v, want it applied", out)
	}
	h.lead.send(h, h.take("width_bottom", "30"))
}

// A phone from a drawer: its commands are old, its clock says 2019, and they count.
func TestAnOldOutbox(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	old := time.Date(2019, 5, 1, 7, 30, 0, 0, time.UTC)
	cmds := h.chain()
	for i := range cmds {
		cmds[i].At = old.Add(time.Duration(i) * time.Minute)
	}
	batch := h.batch(cmds...)
	batch["sent_at"] = old.Add(30 * 24 * time.Hour)
	var out struct {
		Outcomes []joblog.Outcome `json:"outcomes"`
	}
	bo.post(h.path("/commands"), batch).want(http.StatusOK).into(&out)
	for i, o := range out.Outcomes {
		if !o.Applied {
			t.Errorf("reading %d: refused for %+v, want it taken", i+1, o.Findings)
		}
	}
	var log struct {
		Entries []joblog.EntryView `json:"entries"`
	}
	bo.get(h.path("/entries?after=4")).want(http.StatusOK).into(&log)
	// Thirty days before it was sent, by the clock that sent it.
	if got := time.Since(log.Entries[0].DidAt); got < 30*24*time.Hour || got > 30*24*time.Hour+time.Hour {
		t.Errorf("the first is dated %v ago, want 30 days", got)
	}
	if log.Entries[0].Skew > -5*365*24*3600 {
		t.Errorf("clock skew: got %d s, want more than five years behind", log.Entries[0].Skew)
	}
}
