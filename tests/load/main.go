// Command load finds out how much the service carries, on this machine, beside pgbench on the same PostgreSQL in the same
// run: a mixed day's requests at rising rates to the knee, a thousand live streams, the same with more rows and with a
// second node, and a simulation fed with what was measured. With -soak it shows instead whether memory stays flat.
//
// What it prints is Markdown. Rates are offered whether or not the last request was answered, and a request's time runs
// from when it was due.
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
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/app"
	"longpoint/internal/pglocal"
	"longpoint/tests/crew"
)

// load is the running measurement.
type load struct {
	ground    *ground
	people    []*crew.Person
	next      atomic.Uint64
	company   string
	lastError error
	brief     bool
}

func main() {
	if len(os.Args) > 2 && os.Args[1] == serveWord {
		if err := serveNode(os.Args[2]); err != nil {
			fmt.Fprintln(os.Stderr, "load: a node: "+err.Error())
			os.Exit(1)
		}
		return
	}
	brief := flag.Bool("brief", false, "short stretches and a few streams: that it all works, not how fast")
	step := flag.Duration("step", 6*time.Second, "how long each rate is held")
	soak := flag.Int("soak", 0, "only the soak, of so many requests: 36000 are an hour of 40 phones")
	streams := flag.Int("streams", 1000, "live streams")
	people := flag.Int("people", 40, "phones, two to a job")
	flag.Parse()
	if *brief {
		*step, *streams, *people = time.Second, 50, 8
	}
	do := func(ctx context.Context) error { return run(ctx, *brief, *step, *streams, *people) }
	if *soak > 0 {
		do = func(ctx context.Context) error { return soakAlone(ctx, *soak, *people) }
	}
	if err := do(context.Background()); err != nil {
		fmt.Fprintln(os.Stderr, "load: "+err.Error())
		os.Exit(1)
	}
}

// answeredWithin is the knee's bound: a person takes half a second for slow.
const answeredWithin = 500 * time.Millisecond

func run(ctx context.Context, brief bool, step time.Duration, streams, people int) (err error) {
	g, err := newGround(ctx)
	if g != nil {
		defer g.close()
	}
	if err != nil {
		return err
	}
	l := &load{ground: g, brief: brief}
	if err := l.settle(ctx, people); err != nil {
		return err
	}
	fmt.Printf("%d processors, PostgreSQL with fsync on, load average before: %s\n\n", runtime.NumCPU(), loadAverage())
	before, err := l.yardstick(ctx, step)
	if err != nil {
		return err
	}
	base, err := l.rise(ctx, step, "one node")
	if err != nil {
		return err
	}
	after, err := l.yardstick(ctx, step)
	if err != nil {
		return err
	}
	fmt.Printf("\n`pgbench` (its built-in simple-update, 8 clients) on the same server: %.0f transactions/s before, %.0f after. At the knee the service does %.2f requests for each.\n",
		before, after, base.reached/((before+after)/2))
	if err := l.thousand(ctx, streams); err != nil {
		return err
	}
	if err := l.grow(ctx, step, base); err != nil {
		return err
	}
	return l.reckon(ctx)
}

// reckon holds the tables against the log. The rows that were only put there to be many are another company's.
func (l *load) reckon(ctx context.Context) error {
	rep, err := app.Rebuild(ctx, l.ground.owner(), l.company, true)
	if err != nil {
		return err
	}
	fmt.Printf("\nAfter all of it: %d entries in %d logs, %d differences from a rebuild.\n", rep.Entries, rep.Jobs, len(rep.Differences))
	if len(rep.Differences) > 0 {
		return fmt.Errorf("%d differences, the first: %v", len(rep.Differences), rep.Differences[0])
	}
	return nil
}

func loadAverage() string {
	b, _ := os.ReadFile("/proc/loadavg")
	return strings.Join(strings.Fields(string(b))[:min(3, len(strings.Fields(string(b))))], " ")
}

// settle signs people in, two to a job.
func (l *load) settle(ctx context.Context, n int) error {
	lead, err := crew.Company(ctx, l.ground.service(), "lead")
	if err != nil {
		return err
	}
	l.company = lead.CompanyID
	for i := range n {
		p, err := crew.SignIn(ctx, l.ground.bases[0], lead.SignIn, nil)
		if err != nil {
			return err
		}
		if i%2 == 0 {
			err = p.Build(ctx, "")
			for n := 1; n < doors && err == nil; n++ {
				err = p.Send(ctx, crew.Door(p.Room, doorID(p.Job, n)))
			}
		} else {
			first := l.people[i-1]
			p.Job, p.Room, p.Item = first.Job, first.Room, first.Item
		}
		if err != nil {
			return err
		}
		l.people = append(l.people, p)
	}
	return nil
}

// rise offers rising rates until the knee, prints a row each, and returns the last that held.
func (l *load) rise(ctx context.Context, step time.Duration, what string) (best result, err error) {
	fmt.Printf("\nMixed requests with %s: %s.\n\n", what, mixWords())
	fmt.Println("| offered/s | answered/s | half within | 95 of 100 | 99 of 100 | failed | node ms | PostgreSQL ms |")
	fmt.Println("| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
	rates := []float64{25, 50, 100, 150, 200, 300, 400, 500, 650, 800, 1000, 1300, 1700, 2200, 3000}
	if l.brief {
		rates = []float64{10, 20}
	}
	for _, rate := range rates {
		r := l.at(ctx, rate, step)
		fmt.Printf("| %.0f | %.0f | %s | %s | %s | %d | %.2f | %.2f |\n", rate, r.reached, ms(r.p50), ms(r.p95), ms(r.p99), r.failed, r.nodes.Seconds()*1e3, r.pg.Seconds()*1e3)
		if r.failed > 0 && l.lastError != nil {
			fmt.Fprintf(os.Stderr, "load: %d of %d failed, one with: %v\n", r.failed, r.failed+len(r.took), l.lastError)
		}
		if !l.brief && r.p95 > answeredWithin { // once more: something else may have had the machine
			r = l.at(ctx, rate, step)
			fmt.Printf("| again | %.0f | %s | %s | %s | %d | %.2f | %.2f |\n", r.reached, ms(r.p50), ms(r.p95), ms(r.p99), r.failed, r.nodes.Seconds()*1e3, r.pg.Seconds()*1e3)
		}
		if !l.brief && (r.p95 > answeredWithin || r.reached < rate*0.9) {
			if best.reached == 0 {
				best = r
			}
			break
		}
		best = r
	}
	fmt.Printf("\nThe knee (the last rate with 95 of 100 within %v): %.0f requests/s.\n", answeredWithin, best.reached)
	return best, nil
}

func mixWords() string {
	var out []string
	for _, m := range mix {
		out = append(out, fmt.Sprintf("%d of 100 %s", m.share, m.name))
	}
	return strings.Join(out, ", ")
}

func ms(d time.Duration) string {
	switch s := d.Seconds() * 1e3; {
	case s < 10:
		return fmt.Sprintf("%.1f ms", s)
	default:
		return fmt.Sprintf("%.0f ms", s)
	}
}

var tps = regexp.MustCompile(`tps = ([0-9.]+) \(without initial connection time\)`)

// yardstick is pgbench on the same server: what this machine and its disk do today.
func (l *load) yardstick(ctx context.Context, step time.Duration) (float64, error) {
	bin, _, err := pglocal.FindBinaries()
	if err != nil {
		return 0, err
	}
	pg := l.ground.pg
	if err := pg.EnsureDatabase(ctx, "yardstick"); err != nil {
		return 0, err
	}
	bench := func(args ...string) ([]byte, error) {
		args = append(args, "--host="+pg.SocketDir(), "--port="+strconv.Itoa(pg.Port()), "--username="+pglocal.Superuser, "yardstick")
		out, err := exec.CommandContext(ctx, filepath.Join(bin, "pgbench"), args...).CombinedOutput()
		if err != nil {
			return nil, fmt.Errorf("pgbench: %w\n%s", err, out)
		}
		return out, nil
	}
	if _, err := bench("--initialize", "--scale=5", "--quiet"); err != nil {
		return 0, err
	}
	seconds := strconv.Itoa(max(1, int(step.Seconds())))
	out, err := bench("--builtin=simple-update", "--protocol=prepared", "--client=8", "--jobs=1", "--time="+seconds, "--no-vacuum")
	if err != nil {
		return 0, err
	}
	m := tps.FindSubmatch(out)
	if m == nil {
		return 0, fmt.Errorf("pgbench printed no throughput:\n%s", out)
	}
	return strconv.ParseFloat(string(m[1]), 64)
}

// thousand opens live streams and times how long a change takes to all of a job's.
func (l *load) thousand(ctx context.Context, n int) error {
	// Looked at after a collection: what the load before has left would hide what the streams take.
	before, _, err := l.ground.collect(0)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	var (
		wait         sync.WaitGroup
		open, events atomic.Int64
		mu           sync.Mutex
		delays       []time.Duration
		sent         atomic.Int64 // when the change under way was sent
	)
	jobs := l.people[:min(20, len(l.people))]
	for i := range n {
		p := *jobs[i%len(jobs)]
		wait.Go(func() {
			err := listen(ctx, &p, func() { open.Add(1) }, func() {
				events.Add(1)
				if at := sent.Load(); at != 0 {
					mu.Lock()
					delays = append(delays, time.Since(time.Unix(0, at)))
					mu.Unlock()
				}
			})
			if err != nil && ctx.Err() == nil {
				fmt.Fprintln(os.Stderr, "load: "+err.Error())
			}
		})
	}
	limit := time.Now().Add(2 * time.Minute)
	for open.Load() < int64(n) && time.Now().Before(limit) {
		settle(50 * time.Millisecond)
	}
	settle(2 * time.Second) // the first numbers have arrived
	full, goroutines, err := l.ground.collect(0)
	if err != nil {
		stop()
		return err
	}
	rounds := 0
	for i := range 10 {
		p := jobs[i%len(jobs)]
		at := events.Load()
		c, err := crew.Take(p.Item, "width_top", "30")
		if err != nil {
			stop()
			return err
		}
		sent.Store(time.Now().UnixNano())
		if err := give(ctx, p, c); err != nil {
			stop()
			return err
		}
		rounds++
		for until := time.Now().Add(5 * time.Second); events.Load() == at && time.Now().Before(until); {
			settle(5 * time.Millisecond)
		}
		settle(200 * time.Millisecond)
		sent.Store(0)
	}
	mu.Lock()
	slices.Sort(delays)
	heard := len(delays)
	median, late := time.Duration(0), time.Duration(0)
	if heard > 0 {
		median, late = delays[heard/2], delays[heard*99/100]
	}
	mu.Unlock()
	stop()
	wait.Wait()
	after, left, err := l.ground.collect(0)
	if err != nil {
		return err
	}
	fmt.Printf("\n%d live streams open on one node: it keeps %.1f MB before, %.1f MB with them, %.0f kB each, and %.1f MB once they are closed (goroutines %d, then %d). %d changes reached %d listeners, half within %s, 99 of 100 within %s of being sent.\n",
		open.Load(), before, full, (full-before)*1024/float64(max(1, open.Load())), after, goroutines, left, rounds, heard, ms(median), ms(late))
	if open.Load() < int64(n) || heard == 0 {
		return fmt.Errorf("%d of %d streams opened, %d heard", open.Load(), n, heard)
	}
	return nil
}

// settle is real time going by.
func settle(d time.Duration) { <-time.After(d) }

// grow measures with more rows and with a second node, and goes on from there by simulation.
func (l *load) grow(ctx context.Context, step time.Duration, base result) error {
	fmt.Println("\n| rows in the log | nodes | offered/s | answered/s | half within | 95 of 100 | node ms | PostgreSQL ms |")
	fmt.Println("| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
	rate := max(base.rate/2, 10)
	sizes := []int{0, 100_000, 1_000_000}
	if l.brief {
		sizes = []int{0, 2_000}
	}
	row := func(r result) error {
		n, err := l.rows(ctx)
		fmt.Printf("| %d | %d | %.0f | %.0f | %s | %s | %.2f | %.2f |\n", n, len(l.ground.nodes), rate, r.reached, ms(r.p50), ms(r.p95), r.nodes.Seconds()*1e3, r.pg.Seconds()*1e3)
		return err
	}
	for _, more := range sizes {
		if err := l.ballast(ctx, more); err != nil {
			return err
		}
		if err := row(l.at(ctx, rate, step)); err != nil {
			return err
		}
	}
	if err := l.ground.addNode(); err != nil {
		return err
	}
	first, second := l.ground.bases[0], l.ground.bases[1]
	for i, p := range l.people { // every other phone; a session is good on any node
		if i%2 == 1 {
			p.Base = second
		}
	}
	two := l.at(ctx, rate, step)
	if err := row(two); err != nil {
		return err
	}
	for _, p := range l.people {
		p.Base = first
	}
	extrapolate(base)
	return nil
}

func (l *load) rows(ctx context.Context) (n int64, err error) {
	conn, err := pgx.Connect(ctx, l.ground.owner())
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, conn.Close(ctx)) }()
	return n, conn.QueryRow(ctx, `select count(*) from entries`).Scan(&n)
}

// ballast makes a company's past: jobs with entries and commands as the first job has them. Nobody opens them, but every
// index holds them.
const ballast = `
	with company as (
		select * from companies order by company_id limit 1
	), other as (
		insert into companies (company_id, name, created_at)
		select gen_random_uuid(), 'Ballast', created_at from company
		returning company_id
	), person as (
		insert into people (company_id, person_id, name, sign_in, passphrase_hash, role, language, unit, created_at)
		select o.company_id, gen_random_uuid(), p.name, gen_random_uuid()::text, p.passphrase_hash, p.role, p.language, p.unit, p.created_at
		from other o, (select * from people order by company_id limit 1) p
		returning company_id, person_id
	), job as (
		insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at)
		select o.company_id, gen_random_uuid(), 'Past', 1001, j.state, j.created_at, j.changed_at
		from other o, (select * from jobs order by company_id limit 1) j, generate_series(1, $1::int / 1000)
		returning company_id, job_id
	)
	insert into entries (company_id, job_id, seq, command_id, kind, room_id, item_id, person_id, role, did_at, logged_at, device, rule_book, command)
	select j.company_id, j.job_id, n, gen_random_uuid(), e.kind, e.room_id, e.item_id, p.person_id, e.role, e.did_at, e.logged_at, e.device, e.rule_book, e.command
	from job j
	cross join generate_series(1, 1000) as n
	cross join person p
	cross join (select * from entries where kind = 'take_reading' limit 1) e`

func (l *load) ballast(ctx context.Context, rows int) (err error) {
	if rows == 0 {
		return nil
	}
	conn, err := pgx.Connect(ctx, l.ground.owner())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close(ctx)) }()
	for _, sql := range []string{ballast, `analyze`, `checkpoint`} {
		args := []any{}
		if sql == ballast {
			args = append(args, rows)
		}
		if _, err := conn.Exec(ctx, sql, args...); err != nil {
			return err
		}
	}
	return nil
}

// extrapolate plays the simulation, first of this machine, to hold it against what was measured here.
func extrapolate(base result) {
	n := 200_000
	node, pg := base.nodes, base.pg
	if node <= 0 || pg <= 0 {
		fmt.Println("\nToo little was measured to simulate anything.")
		return
	}
	wait := max(0, base.p50-node-pg)
	here := plan{stations: []station{{runtime.NumCPU(), node + pg}}, wait: wait}
	fmt.Printf("\nSimulated from %.2f ms of a node's processor, %.2f ms of PostgreSQL's and %.1f ms of waiting a request. This machine, where both share %d processors with what makes the load: %.0f requests/s, measured %.0f.\n\n",
		node.Seconds()*1e3, pg.Seconds()*1e3, wait.Seconds()*1e3, runtime.NumCPU(), here.knee(answeredWithin, n), base.reached)
	fmt.Println("| nodes of 2 processors | PostgreSQL's processors | knee, requests/s | what ends first |")
	fmt.Println("| ---: | ---: | ---: | --- |")
	for _, c := range []struct{ nodes, pg int }{{1, 2}, {1, 4}, {2, 4}, {2, 8}, {4, 8}, {4, 16}, {8, 16}, {8, 32}} {
		p := plan{stations: []station{{2 * c.nodes, node}, {c.pg, pg}}, wait: wait}
		first := "nodes"
		if float64(c.pg)/pg.Seconds() < float64(2*c.nodes)/node.Seconds() {
			first = "PostgreSQL"
		}
		fmt.Printf("| %d | %d | %.0f | %s |\n", c.nodes, c.pg, p.knee(answeredWithin, n), first)
	}
}
