package main

import (
	"os"
	"testing"
	"time"

	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) {
	if len(os.Args) > 2 && os.Args[1] == serveWord {
		if err := serveNode(os.Args[2]); err != nil {
			os.Exit(1)
		}
		return
	}
	os.Exit(testdb.LeakFree(m))
}

// TestTheLoadRuns is the short form for CI, where figures are printed and only what must hold is judged: every request is
// answered, every stream hears, and the tables are what the log makes them.
func TestTheLoadRuns(t *testing.T) {
	if err := run(t.Context(), true, time.Second, 50, 8); err != nil {
		t.Error(err)
	}
}

// TestTheSoakRuns is its short form: everything is answered and memory is looked at, but so short a time says nothing of it.
func TestTheSoakRuns(t *testing.T) {
	if err := soakAlone(t.Context(), 240, 8); err != nil {
		t.Error(err)
	}
}
