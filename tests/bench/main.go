// Command bench measures a stage tick through HTTP and PostgreSQL, and pgbench running the
// same SQL on the same server, and prints the ratio of the two; then one tick's round trip as
// a ratio to a plain HTTP echo. With -board it measures a large job's board instead, with -search
// the search.
//
// The SQL is not written down here: one tick is traced and replayed with its own ids. Both
// sides tick every opening once, in as many jobs as there are clients, with fsync on. The
// replay goes over the same Unix socket with prepared statements and sends its batches in
// pipelines, as the program does; it decides nothing and encodes nothing.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"time"

	"longpoint/internal/pglocal"
	"longpoint/migrations"
)

func main() {
	clients := flag.Int("clients", 4, "how many at once, each on a job of its own")
	ticks := flag.Int("ticks", 600, "ticks of each client in a round")
	rounds := flag.Int("rounds", 3, "rounds of both sides, one after the other; the ratio is their median")
	boards := flag.Bool("board", false, "instead, the board of a job of 300 items and 20 000 entries, alone and among a million items of other jobs")
	searches := flag.Bool("search", false, "instead, the search in a company with that job, alone, among a million items of its other jobs, and beside another company's")
	others := flag.Int("others", 1_000_000, "with -board and -search, how many items the other jobs have")
	profile := flag.String("profile", "", "with -board, write a CPU profile of the answers after a change to this file")
	flag.Parse()
	run := func(ctx context.Context) error { return bench(ctx, *clients, *ticks, *rounds) }
	if *boards {
		run = func(ctx context.Context) error { return benchBoard(ctx, *others, *profile) }
	}
	if *searches {
		run = func(ctx context.Context) error { return benchSearch(ctx, *others) }
	}
	if err := run(context.Background()); err != nil {
		fmt.Fprintln(os.Stderr, "bench: "+err.Error())
		os.Exit(1)
	}
}

func bench(ctx context.Context, clients, ticks, rounds int) (err error) {
	bin, _, err := pglocal.FindBinaries()
	if err != nil {
		return err
	}
	pgbench := filepath.Join(bin, "pgbench")
	if _, err := os.Stat(pgbench); err != nil {
		return fmt.Errorf("pgbench is not in %s: install it (on Debian or Ubuntu, apt-get install postgresql-contrib)", bin)
	}
	return onServer(ctx, clients, func(server *pglocal.Server, dir string, site *site) error {
		return compare(ctx, pgbench, server, dir, site, clients, ticks, rounds)
	})
}

const database = "longpoint"

// onServer runs work on a site of so many clients, on a PostgreSQL of its own with fsync on.
func onServer(ctx context.Context, clients int, work func(server *pglocal.Server, dir string, site *site) error) (err error) {
	dir, err := pglocal.HoldTempDir("", "longpoint-bench-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, dir.Release()) }()
	server, err := pglocal.Start(ctx, pglocal.Config{DataDir: filepath.Join(dir.Path, "data"), Fsync: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, server.Stop(context.WithoutCancel(ctx))) }()
	if err := server.EnsureDatabase(ctx, database); err != nil {
		return err
	}
	owner := server.DSN(database, pglocal.Superuser)
	if err := migrations.Up(ctx, owner); err != nil {
		return err
	}
	site, err := newSite(ctx, owner, server.DSN(database, "longpoint_app"), clients)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, site.close()) }()
	return work(server, dir.Path, site)
}

func compare(ctx context.Context, pgbench string, server *pglocal.Server, dir string, site *site, clients, ticks, rounds int) error {
	fmt.Printf("%d clients, %d ticks each, %d rounds, %d processors, fsync on\n", clients, ticks, rounds, runtime.NumCPU())
	var ratios []float64
	for round := range rounds {
		httpBatch, pgBatch := 2*round+1, 2*round+2
		for _, batch := range []int{httpBatch, pgBatch} {
			if err := site.clone(ctx, batch, ticks); err != nil {
				return err
			}
		}
		through, slowest, err := site.tickAll(ctx, httpBatch, ticks)
		if err != nil {
			return err
		}
		script, err := site.replay(dir, pgBatch)
		if err != nil {
			return err
		}
		bare, err := runPgbench(ctx, pgbench, server, database, script, clients, ticks)
		if err != nil {
			return err
		}
		ratios = append(ratios, through/bare)
		fmt.Printf("round %d: through HTTP %.0f ticks/s (99 of 100 within %v), pgbench %.0f ticks/s, ratio %.2f\n",
			round+1, through, slowest.Round(100*time.Microsecond), bare, through/bare)
	}
	slices.Sort(ratios)
	fmt.Printf("%d statements in %d round trips a tick; ratio %.2f (median; aim 0.5)\n", site.trace.statements(), len(site.trace.trips), ratios[len(ratios)/2])
	batch := 2*rounds + 1
	if err := site.clone(ctx, batch, ticks); err != nil {
		return err
	}
	tickTime, echoTime, err := site.roundTrips(ctx, batch, ticks)
	if err != nil {
		return err
	}
	fmt.Printf("one client: a tick's round trip %v, a plain HTTP echo of it %v, ratio %.1f (medians of %d)\n",
		tickTime.Round(time.Microsecond), echoTime.Round(time.Microsecond), float64(tickTime)/float64(echoTime), ticks)
	return site.check(ctx, 2*rounds*ticks*clients+ticks)
}

var tps = regexp.MustCompile(`tps = ([0-9.]+) \(without initial connection time\)`)

func runPgbench(ctx context.Context, program string, server *pglocal.Server, database, script string, clients, ticks int) (float64, error) {
	cmd := exec.CommandContext(ctx, program, "--no-vacuum", "--protocol=prepared", "--file="+script,
		"--client="+strconv.Itoa(clients), "--jobs=1", "--transactions="+strconv.Itoa(ticks), "--define=n=0",
		"--host="+server.SocketDir(), "--port="+strconv.Itoa(server.Port()), "--username=longpoint_app", database)
	out, err := cmd.CombinedOutput()
	if err != nil {
		return 0, fmt.Errorf("pgbench: %w\n%s", err, out)
	}
	m := tps.FindSubmatch(out)
	if m == nil {
		return 0, fmt.Errorf("pgbench printed no throughput:\n%s", out)
	}
	return strconv.ParseFloat(string(m[1]), 64)
}
