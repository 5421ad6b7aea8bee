package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"runtime/pprof"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/pglocal"
	"longpoint/internal/stage"
	"longpoint/tests/longjob"
)

// The job that a board is held to: 300 items in 40 rooms, and how many entries its log has.
const (
	boardOpenings = 180
	boardRooms    = 40
	boardEntries  = 20_000
)

// A board of it is to be answered within boardWithin, 95 times in 100; and other jobs may
// make the read of its items at most this much longer.
const (
	boardWithin = 20 * time.Millisecond
	boardGrowth = 1.5
)

// benchBoard measures a large job's board, alone and then among so many items of other jobs
// of the same company, and prints how PostgreSQL reads it.
func benchBoard(ctx context.Context, others int, profile string) error {
	return onServer(ctx, 1, func(_ *pglocal.Server, _ string, s *site) error {
		b, err := newBoard(ctx, s, boardEntries)
		if err != nil {
			return err
		}
		const asks = 300
		fmt.Printf("board of %d items and %d entries, its answer over HTTP:\n", boardOpenings+3*boardRooms, boardEntries)
		late, err := b.answersAfter(ctx, asks, profile)
		if err != nil {
			return err
		}
		alone, err := b.reads(ctx, asks)
		if err != nil {
			return err
		}
		if err := b.crowd(ctx, others); err != nil {
			return err
		}
		among, err := b.reads(ctx, asks)
		if err != nil {
			return err
		}
		plan, err := b.plan(ctx)
		if err != nil {
			return err
		}
		growth := float64(among) / float64(alone)
		fmt.Printf("the read of its items: %v alone, %v among %d items of other jobs, %.2f times (medians of %d; at most %.1f)\n%s\n", round(alone), round(among), others, growth, asks, boardGrowth, plan)
		return errors.Join(failed(late > boardWithin, "the board took %v", round(late)), failed(growth > boardGrowth, "other jobs make the read %.2f times as long", growth))
	})
}

func round(d time.Duration) time.Duration { return d.Round(10 * time.Microsecond) }

func failed(is bool, format string, args ...any) error {
	if !is {
		return nil
	}
	return fmt.Errorf(format, args...)
}

// board is a large job and the statement that reads its items, as the service sends it.
type board struct {
	site  *site
	job   string
	doors []string // measured, and no further
	sql   string
	args  []any
}

func newBoard(ctx context.Context, s *site, entries int) (*board, error) {
	log, err := longjob.Log(boardOpenings, boardRooms, entries)
	if err != nil {
		return nil, err
	}
	job, err := longjob.Restore(ctx, s.owner.Config().ConnString(), s.lead.CompanyID, s.lead.ID, log)
	if err != nil {
		return nil, err
	}
	b := &board{site: s, job: job}
	s.people[0].Job = job
	var state struct {
		State *joblog.State `json:"state"`
	}
	if err := s.people[0].Get(ctx, "/api/v1/jobs/"+job+"/state", &state); err != nil {
		return nil, err
	}
	for _, e := range log {
		it := state.State.Items[e.Command.ItemID]
		if e.Command.Kind == joblog.AddItemKind && !it.IsRun() && len(it.Stages) == 1 {
			b.doors = append(b.doors, it.ID)
		}
	}
	s.trace.trips = nil
	s.trace.record(true)
	_, err = b.answer(ctx)
	s.trace.record(false)
	if err != nil {
		return nil, err
	}
	for _, trip := range s.trace.trips {
		for _, each := range trip {
			if strings.Contains(each.sql, "from items\n") {
				b.sql, b.args = each.sql, each.args
			}
		}
	}
	if b.sql == "" {
		return nil, errors.New("the board does not read the job's items in one statement")
	}
	return b, nil
}

// answer asks for the board once, as a browser does.
func (b *board) answer(ctx context.Context) (time.Duration, error) {
	p := b.site.people[0]
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, p.Base+"/api/v1/jobs/"+b.job, nil)
	if err != nil {
		return 0, err
	}
	r.Header.Set("Accept-Encoding", "gzip")
	began := time.Now()
	answer, err := p.HTTP.Do(r)
	if err != nil {
		return 0, err
	}
	defer func() { _ = answer.Body.Close() }()
	if _, err := io.Copy(io.Discard, answer.Body); err != nil {
		return 0, err
	}
	if answer.StatusCode != http.StatusOK {
		return 0, fmt.Errorf("the board answered %d", answer.StatusCode)
	}
	return time.Since(began), nil
}

// answersAfter measures the board when nothing happened since the last look at it, when an item
// was changed, and when nothing of it can be used again. It returns within what 95 of 100 were
// answered after an item was changed: that is how a board is looked at.
func (b *board) answersAfter(ctx context.Context, asks int, profile string) (late time.Duration, err error) {
	for _, after := range []struct {
		what   string
		held   bool // to the goal
		asks   int
		happen func(ctx context.Context, i int) error
	}{
		{"when nothing has changed", false, asks, func(context.Context, int) error { return nil }},
		{"when an item has changed before each", true, asks, b.change},
		{"when the job's house rules have changed before each, so that all of it is made anew", false, asks / 3, b.changeRules},
	} {
		stop := func() {}
		if profile != "" && after.held {
			if stop, err = profiled(profile); err != nil {
				return 0, err
			}
		}
		middle, slow, err := b.answers(ctx, after.asks, after.happen)
		stop()
		if err != nil {
			return 0, err
		}
		fmt.Printf("  %s: median %v, 95 of 100 within %v\n", after.what, round(middle), round(slow))
		if after.held {
			late = slow
		}
	}
	return late, nil
}

// profiled writes what the processors do, until it is stopped.
func profiled(path string) (stop func(), err error) {
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	return func() { pprof.StopCPUProfile(); _ = f.Close() }, pprof.StartCPUProfile(f)
}

// changeRules gives the job another reveal, by which every opening is judged.
func (b *board) changeRules(ctx context.Context, i int) error {
	reveal := length.Eighth + length.Length(i%2)*length.Sixteenth
	return b.site.people[0].Send(ctx, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"reveal": int64(reveal)}}})
}

// change sends what somebody did to another item of the job, as a phone does: a stage is ticked
// that was measured, and reopened the next time round.
func (b *board) change(ctx context.Context, i int) error {
	c := joblog.Command{Kind: joblog.ReopenStageKind, ItemID: b.doors[i%len(b.doors)],
		ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "Taped again"}}
	if i/len(b.doors)%2 == 1 {
		c = tick(c.ItemID)
	}
	return b.site.people[0].Send(ctx, c)
}

// answers is the median of n asks, and within what 95 of 100 were answered. Before each,
// outside of its time, something may happen.
func (b *board) answers(ctx context.Context, n int, before func(ctx context.Context, i int) error) (middle, late time.Duration, err error) {
	var took []time.Duration
	for i := range n {
		if err := before(ctx, i); err != nil {
			return 0, 0, err
		}
		each, err := b.answer(ctx)
		if err != nil {
			return 0, 0, err
		}
		took = append(took, each)
	}
	slices.Sort(took)
	return took[n/2], took[n*95/100], nil
}

// asService runs work in a transaction as the service's role in its company.
func (b *board) asService(ctx context.Context, work func(pgx.Tx) error) error {
	return pgx.BeginFunc(ctx, b.site.owner, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `set local role longpoint_app`); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `select set_config('app.company', $1, true)`, b.site.lead.CompanyID); err != nil {
			return err
		}
		return work(tx)
	})
}

// reads is the median time of the statement that reads the items.
func (b *board) reads(ctx context.Context, n int) (middle time.Duration, err error) {
	err = b.asService(ctx, func(tx pgx.Tx) error {
		var took []time.Duration
		for range n {
			began := time.Now()
			rows, err := tx.Query(ctx, b.sql, b.args...)
			if err != nil {
				return err
			}
			rows.Close()
			if rows.Err() != nil {
				return rows.Err()
			}
			took = append(took, time.Since(began))
		}
		slices.Sort(took)
		middle = took[n/2]
		return nil
	})
	return middle, err
}

// plan is what PostgreSQL says of that statement, run.
func (b *board) plan(ctx context.Context) (plan string, err error) {
	err = b.asService(ctx, func(tx pgx.Tx) error {
		rows, err := tx.Query(ctx, `explain (analyze, buffers) `+b.sql, b.args...)
		if err != nil {
			return err
		}
		lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
		plan = strings.Join(lines, "\n")
		return err
	})
	return plan, err
}

const crowdJobs = `
	insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at)
	select j.company_id, gen_random_uuid(), 'Another ' || n, 1, j.state, j.created_at, j.changed_at
	from jobs j, generate_series(1, $2::int) as n
	where j.job_id = $1`

const crowdRooms = `
	insert into rooms (company_id, job_id, room_id, name, level, added_seq, state)
	select company_id, job_id, gen_random_uuid(), 'Hall', 'ground', 1, '{}'
	from jobs
	where name like 'Another %'`

// What the others' items hold is not read: their states are left empty, for the disk's sake.
const crowdItems = `
	insert into items (company_id, job_id, item_id, room_id, name, kind, added_seq, through_seq, projected_at, state)
	select r.company_id, r.job_id, gen_random_uuid(), r.room_id, 'Door ' || n, 'door', n, n, now(), '{}'
	from rooms r
	join jobs j
		on j.company_id = r.company_id
		and j.job_id = r.job_id
		and j.name like 'Another %', generate_series(1, 300) as n`

// crowd puts other jobs of 300 items beside it, until they have so many.
func (b *board) crowd(ctx context.Context, items int) error {
	if _, err := b.site.owner.Exec(ctx, crowdJobs, b.job, (items+299)/300); err != nil {
		return err
	}
	for _, sql := range []string{crowdRooms, crowdItems, `vacuum analyze jobs, rooms, items`} {
		if _, err := b.site.owner.Exec(ctx, sql); err != nil {
			return fmt.Errorf("crowding: %w", err)
		}
	}
	return nil
}
