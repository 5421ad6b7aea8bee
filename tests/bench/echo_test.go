package main

import (
	"os"
	"testing"
	"time"

	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) { os.Exit(testdb.Main(m)) }

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
