package storetest

import (
	"context"
	"errors"
	"testing"
	"time"

	"longpoint/internal/fault"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
	"longpoint/internal/yard"
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

	if mark, err := s.store.StockMark(ctx(t), s.rosa.Viewer(), h.job); err != nil || mark != 0 {
		t.Errorf("the plan's mark before the first: got %d and %v, want 0", mark, err)
	}
	s.must(s.store.KeepStockPlan(ctx(t), s.rosa.Viewer(), h.job, yard.Plan{}))
	mark, err := s.store.StockMark(ctx(t), s.lead.Viewer(), h.job)
	s.must(err)
	if c, want := next("another saw plan"), (postgres.Change{CompanyID: s.company.ID, JobID: h.job, Stock: mark}); c != want || mark == 0 {
		t.Errorf("want %+v, got %+v", want, c)
	}
	_, stranger, _, _ := s.crew("inland")
	_, err = s.store.StockMark(ctx(t), stranger.Viewer(), h.job)
	s.wantCode("another company's lead", err, fault.NotFound)

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
