package httpapi_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"testing"
	"time"

	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/wire"
	"longpoint/tests/longjob"
)

// longLog is how many entries the log has that the times are stated for; the race detector
// checks the same on fewer.
const longLog = 10_000 - 8_500*raceDetector

// firstPull is how long the first pull of such a log may take over loopback.
const firstPull = time.Second

// logLong puts a log of longLog entries beside the program, as a restored backup would
// come: entries first, and the projections folded from them.
func logLong(b *bundle, of crew) (job string) {
	b.t.Helper()
	ctx := context.Background()
	log, err := longjob.Log(longLog*46/1000, longLog*14/1000, longLog)
	if err != nil {
		b.t.Fatal(err)
	}
	if job, err = longjob.Restore(ctx, b.db.OwnerURL, of.company.ID, of.lead.ID, log); err != nil {
		b.t.Fatal(err)
	}
	return job
}

// fetch gets an answer as a browser does, compressed, and returns how long it took, what
// came over the wire and what was in it.
func (c *client) fetch(path string) (took time.Duration, carried int, body []byte) {
	c.t.Helper()
	r, err := http.NewRequest(http.MethodGet, c.base+path, nil)
	if err != nil {
		c.t.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "gzip")
	began := time.Now()
	answer, err := c.http.Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	defer func() { _ = answer.Body.Close() }()
	squeezed, err := io.ReadAll(answer.Body)
	took = time.Since(began)
	if err != nil || answer.StatusCode != http.StatusOK || answer.Header.Get("Content-Encoding") != "gzip" {
		c.t.Fatalf("GET %s: %v, %d, content encoding %q, want 200 and gzip", path, err, answer.StatusCode, answer.Header.Get("Content-Encoding"))
	}
	plain, err := gzip.NewReader(bytes.NewReader(squeezed))
	if err != nil {
		c.t.Fatal(err)
	}
	if body, err = io.ReadAll(plain); err != nil {
		c.t.Fatalf("GET %s: %v", path, err)
	}
	return took, len(squeezed), body
}

// quickest runs a pull a few times: what else the machine is doing only ever adds.
func quickest(pull func() time.Duration) time.Duration {
	best := pull()
	for range 4 {
		best = min(best, pull())
	}
	return best
}

// TestFirstPull takes a long log in both ways a phone may: the state as it stands, and
// every entry folded by the phone's own rule book. Both are the same to the byte.
func TestFirstPull(t *testing.T) {
	b := setup(t)
	job := logLong(b, b.ours)
	lead := b.as(b.ours.lead)
	path := "/api/v1/jobs/" + job

	var body []byte
	var carried int
	took := quickest(func() (took time.Duration) {
		took, carried, body = lead.fetch(path + "/state")
		return took
	})
	t.Logf("state of %d entries: %v, %d kB compressed of %d kB", longLog, took.Round(time.Millisecond), carried>>10, len(body)>>10)
	var pulled httpapi.JobState
	var state struct {
		State json.RawMessage `json:"state"`
	}
	if err := json.Unmarshal(body, &pulled); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(body, &state); err != nil {
		t.Fatal(err)
	}
	if pulled.Seq != longLog || pulled.State.Seq != longLog || len(pulled.People) != 2 || pulled.Company == nil || pulled.ServerTime.IsZero() {
		t.Errorf("state: got seq %d and %d, %d people, house rules %v, server time %v; want %d twice, 2 people, a set and a time",
			pulled.Seq, pulled.State.Seq, len(pulled.People), pulled.Company, pulled.ServerTime, longLog)
	}

	var pages [][]byte
	logTook := quickest(func() (took time.Duration) {
		carried, pages = 0, nil
		for after, more := int64(0), true; more; {
			t0, c, body := lead.fetch(fmt.Sprintf("%s/log?after=%d&limit=5000", path, after))
			took, carried, pages = took+t0, carried+c, append(pages, body)
			var page struct {
				Entries []struct {
					Seq int64 `json:"seq"`
				} `json:"entries"`
				More bool `json:"more"`
			}
			if err := json.Unmarshal(body, &page); err != nil || len(page.Entries) == 0 {
				t.Fatalf("page after %d: %v, %d entries, want some", after, err, len(page.Entries))
			}
			after, more = page.Entries[len(page.Entries)-1].Seq, page.More
		}
		return took
	})
	t.Logf("log of %d entries in %d pages: %v, %d kB compressed", longLog, len(pages), logTook.Round(time.Millisecond), carried>>10)
	if raceDetector == 0 && max(took, logTook) > firstPull {
		t.Errorf("first pull: the state took %v, the log %v, want each under %v", took, logTook, firstPull)
	}

	book := wire.NewBook()
	call(t, book, "open", `{"as":"folded"}`)
	for _, body := range pages {
		var page struct {
			Entries json.RawMessage `json:"entries"`
		}
		if err := json.Unmarshal(body, &page); err != nil {
			t.Fatal(err)
		}
		call(t, book, "apply", `{"as":"folded","entries":`+string(page.Entries)+`}`)
	}
	var mine struct {
		State json.RawMessage `json:"state"`
	}
	if err := json.Unmarshal(call(t, book, "state", `{"as":"folded"}`), &mine); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(mine.State, state.State) {
		t.Errorf("the state pulled and the log folded differ: %d and %d bytes", len(state.State), len(mine.State))
	}
}

func call(t *testing.T, book *wire.Book, name, in string) []byte {
	t.Helper()
	out := []byte(book.Call(name, in))
	var said struct {
		OK       bool   `json:"ok"`
		Sentence string `json:"sentence"`
	}
	if err := json.Unmarshal(out, &said); err != nil || !said.OK {
		t.Fatalf("%s: %v %s", name, err, said.Sentence)
	}
	return out
}

// Only those who may see a job may take its state.
func TestAStateIsOnlyForWhoMaySeeTheJob(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	var state httpapi.JobState
	bo.get(h.path("/state")).want(http.StatusOK).into(&state)
	if state.Seq != 4 || len(state.State.Items) != 1 {
		t.Errorf("the installer's: got seq %d, %d openings, want 4 and 1", state.Seq, len(state.State.Items))
	}
	b.as(b.strangers.lead).get(h.path("/state")).refused(http.StatusNotFound, "not_found")
	b.client().get(h.path("/state")).refused(http.StatusUnauthorized, "unauthorized")
	h.lead.send(h, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{}})
	bo.get(h.path("/state")).refused(http.StatusNotFound, "not_found")
	bo.get(h.path("/log")).refused(http.StatusNotFound, "not_found")
}
