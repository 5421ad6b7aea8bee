package main

import (
	"os"
	"strings"
	"testing"
	"time"

	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) { os.Exit(testdb.LeakFree(m)) }

// TestTickBesideEcho is the round trip's short form for CI, where it is printed and not
// judged: fsync is off here and others use the machine.
func TestTickBesideEcho(t *testing.T) {
	db := testdb.New(t)
	s, err := newSite(t.Context(), db.OwnerURL, db.AppURL, 1)
	if err != nil {
		t.Fatal(err)
	}
	const ticks = 60
	defer func() {
		if err := s.close(); err != nil {
			t.Error(err)
		}
	}()
	if err := s.clone(t.Context(), 1, ticks); err != nil {
		t.Fatal(err)
	}
	tickTime, echoTime, err := s.roundTrips(t.Context(), 1, ticks)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("a tick's round trip %v, a plain HTTP echo of it %v, ratio %.1f", tickTime.Round(time.Microsecond), echoTime.Round(time.Microsecond), float64(tickTime)/float64(echoTime))
	if err := s.check(t.Context(), ticks); err != nil {
		t.Error(err)
	}
}

// TestBoardReadsByKey is the board's short form for CI: however many items other jobs have, a
// job's are found by its key. Times are printed and not judged.
func TestBoardReadsByKey(t *testing.T) {
	db := testdb.New(t)
	s, err := newSite(t.Context(), db.OwnerURL, db.AppURL, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.close(); err != nil {
			t.Error(err)
		}
	}()
	b, err := newBoard(t.Context(), s, 4_000)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.crowd(t.Context(), 30_000); err != nil {
		t.Fatal(err)
	}
	middle, late, err := b.answers(t.Context(), 20, b.change)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("a board of 300 items, one changed before each look: median %v, 95 of 100 within %v", round(middle), round(late))
	plan, err := b.plan(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(plan, "Seq Scan") || !strings.Contains(plan, "Index Cond: ((company_id =") {
		t.Errorf("the board's items are not read by their key:\n%s", plan)
	}
}
