// Package model plays a crew's phones against the service: simulated phones that follow the
// written protocol (DEVELOPERS.md, "How a phone syncs"), random commands, a hostile network,
// wrong clocks, and a server and a database that are killed in between. At the end every
// replica must be the server's state to the byte and every command accounted for once.
package model

import (
	"fmt"
	"os"
	"strconv"
	"testing"

	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) {
	if os.Getenv(childEnv) != "" {
		os.Exit(serveAsChild())
	}
	code := testdb.LeakFree(m)
	fmt.Printf("model: %d commands in all stories\n", went.commands)
	if none := went.missing(); len(none) > 0 {
		fmt.Printf("model: of these kinds none went through: %v\n", none)
		code = 1
	}
	os.Exit(code)
}

// seedEnv plays a run again. Where phones run at once only what each phone does by itself is
// the same again.
const seedEnv = "LONGPOINT_MODEL_SEED"

func seed(t *testing.T) uint64 {
	t.Helper()
	s := freshSeed()
	if named := os.Getenv(seedEnv); named != "" {
		n, err := strconv.ParseUint(named, 10, 64)
		if err != nil {
			t.Fatalf("%s is no whole number: %v", seedEnv, err)
		}
		s = n
	}
	t.Logf("seed %d; play it again with %s=%d", s, seedEnv, s)
	return s
}

// TestPhonesInTurn plays one phone after the other, so that a seed gives the same story.
func TestPhonesInTurn(t *testing.T) {
	t.Parallel()
	w := newWorld(t, seed(t), inProcess)
	w.play(plan{commands: share(3_000), atOnce: false, kills: 6})
}

// TestPhonesAtOnce plays all phones at once against one job.
func TestPhonesAtOnce(t *testing.T) {
	t.Parallel()
	w := newWorld(t, seed(t), inProcess)
	w.play(plan{commands: share(5_500), atOnce: true, kills: 6})
}

// TestPowerCuts kills the server's process and its PostgreSQL with the signal that nothing
// can catch, with fsync on, while commands are under way.
func TestPowerCuts(t *testing.T) {
	t.Parallel()
	w := newWorld(t, seed(t), ownProcess)
	w.play(plan{commands: share(2_000), atOnce: true, kills: 4, databaseKills: 1})
}

// share is the part of the commands that is played with the race detector on: everything
// then takes several times as long.
func share(commands int) int { return commands / (1 + 9*raceDetector) }
