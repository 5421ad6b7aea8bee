package model

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"sync"
	"time"
)

// network carries one phone's requests, badly: requests and answers are lost, cut short,
// delivered twice, or delivered when nobody waits for them any more.
type network struct {
	w      *world
	rng    *rand.Rand
	client *http.Client
	kind   bool      // loses nothing, for the end
	late   []request // to be delivered some time
}

type request struct {
	method, path string
	body         []byte
}

type answer struct {
	status int
	body   []byte
}

// errLost is all a phone ever learns of what went wrong on the way.
var errLost = errors.New("no answer")

func newNetwork(w *world, rng *rand.Rand) *network {
	jar, err := cookiejar.New(nil)
	if err != nil {
		w.t.Fatal(err)
	}
	return &network{w: w, rng: rng, client: &http.Client{Jar: jar, Timeout: time.Minute,
		Transport: &http.Transport{MaxIdleConnsPerHost: 3}}}
}

// do sends a request, or seems to.
func (n *network) do(r request) (answer, error) {
	if n.kind {
		return n.send(r, false)
	}
	if len(n.late) > 0 && n.rng.IntN(3) == 0 {
		at := n.rng.IntN(len(n.late))
		old := n.late[at]
		n.late = append(n.late[:at:at], n.late[at+1:]...)
		_, _ = n.send(old, false)
	}
	switch roll := n.rng.IntN(100); {
	case roll < 6: // the request is lost
		return answer{}, errLost
	case roll < 12: // the answer is lost
		_, _ = n.send(r, false)
		return answer{}, errLost
	case roll < 16: // the request is held up past the phone's patience
		if len(n.late) < 4 {
			n.late = append(n.late, r)
		}
		return answer{}, errLost
	case roll < 21: // the request is delivered twice, at once
		var second answer
		var err error
		var both sync.WaitGroup
		both.Go(func() { second, err = n.send(r, false) })
		first, firstErr := n.send(r, false)
		both.Wait()
		if n.rng.IntN(2) == 0 {
			return first, firstErr
		}
		return second, err
	case roll < 23: // the request is cut off half way
		_, _ = n.send(r, true)
		return answer{}, errLost
	case roll < 26: // the answer is cut off half way
		if a, err := n.send(r, false); err != nil || len(a.body) > 1 {
			return answer{}, errLost
		}
	}
	return n.send(r, false)
}

// halfBody breaks off like a signal that is gone.
type halfBody struct{ r io.Reader }

func (h halfBody) Read(p []byte) (int, error) {
	k, err := h.r.Read(p)
	if errors.Is(err, io.EOF) {
		err = errLost
	}
	return k, err
}

func (n *network) send(r request, half bool) (answer, error) {
	var body io.Reader
	if r.body != nil {
		body = bytes.NewReader(r.body)
		if half {
			body = halfBody{bytes.NewReader(r.body[:len(r.body)/2])}
		}
	}
	q, err := http.NewRequest(r.method, n.w.where()+r.path, body)
	if err != nil {
		return answer{}, err
	}
	if r.body != nil {
		q.ContentLength = int64(len(r.body))
		q.Header.Set("Content-Type", "application/json")
	}
	n.w.requests.Add(1)
	got, err := n.client.Do(q)
	if err != nil {
		if !half {
			n.w.waitUntilUp()
		}
		return answer{}, errLost
	}
	defer func() { _ = got.Body.Close() }()
	b, err := io.ReadAll(got.Body)
	if err != nil {
		return answer{}, errLost
	}
	if got.StatusCode == http.StatusServiceUnavailable || got.StatusCode >= http.StatusInternalServerError {
		n.w.troubled(got.StatusCode, b)
		return answer{}, errLost
	}
	return answer{got.StatusCode, b}, nil
}

func (n *network) close() { n.client.CloseIdleConnections() }
