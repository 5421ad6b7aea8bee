package storetest

import (
	"context"
	"errors"
	"testing"
	"time"

	"longpoint/internal/postgres"
	"longpoint/internal/stage"
)

// listenLimit is how long a test waits to hear something on a busy machine.
const listenLimit = 30 * time.Second

func testListening(t *testing.T) {
	s := setup(t)
	h := s.house()
	changes := make(chan postgres.Change, 100)
	stop, cancel := context.WithCancel(ctx(t))
	ended := make(chan error, 1)
	go func() { ended <- s.store.Listen(stop, func(c postgres.Change) { changes <- c }) }()
	next := func(why string) postgres.Change {
		t.Helper()
		select {
		case c := <-changes:
			return c
		case <-time.After(listenLimit):
			t.Fatalf("nothing heard: %s", why)
			return postgres.Change{}
		}
	}
	if c := next("the connection is new"); !c.Missed() {
		t.Errorf("first: want a change that says some may have been missed, got %+v", c)
	}
	s.give(s.rosa, h.job, tick(h.door, stage.Measured)) // refused: nobody need hear of it
	out := s.do(s.rosa, h.job, note(h.door, "Heard?"))
	want := postgres.Change{CompanyID: s.company.ID, JobID: h.job, Seq: out.LastSeq}
	if c := next("a note was logged"); c != want {
		t.Errorf("want %+v, got %+v", want, c)
	}

	s.exec(`select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database() and query like 'listen %'`)
	if c := next("the connection was lost and made again"); !c.Missed() {
		t.Errorf("after the loss: want a change that says some may have been missed, got %+v", c)
	}
	out = s.do(s.rosa, h.job, note(h.door, "And now?"))
	want.Seq = out.LastSeq
	if c := next("a note was logged after the loss"); c != want {
		t.Errorf("want %+v, got %+v", want, c)
	}
	cancel()
	select {
	case err := <-ended:
		if !errors.Is(err, context.Canceled) {
			t.Errorf("ended with %v, want context.Canceled", err)
		}
	case <-time.After(listenLimit):
		t.Fatal("listening did not end with its context")
	}
}
