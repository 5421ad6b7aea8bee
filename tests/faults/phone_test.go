package faults

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
	"longpoint/internal/stage"
	"longpoint/tests/crew"
)

// phone is one person at work: commands go into an outbox and leave it when they are answered for, as DEVELOPERS.md
// has it ("How a phone syncs").
type phone struct {
	p      *crew.Person
	rng    *rand.Rand
	outbox []joblog.Command

	answered map[string]joblog.Outcome // by command
	asked    int                       // requests sent
	lost     int                       // requests without an answer
	lastGood atomic.Int64              // when an answer last came, Unix nanoseconds
}

func newPhone(p *crew.Person, seed uint64) *phone {
	return &phone{p: p, rng: rand.New(rand.NewPCG(seed, 11)), answered: map[string]joblog.Outcome{}}
}

// patience is how long a phone waits for one answer here; 20 s of silence and five minutes of body in life.
const patience = 4 * time.Second

// next is the next thing a person does: mostly readings, some ticks, notes and doors.
func (f *phone) next() joblog.Command {
	var c joblog.Command
	switch roll := f.rng.IntN(100); {
	case roll < 55:
		r := crew.Readings[f.rng.IntN(len(crew.Readings))]
		c, _ = crew.Take(f.p.Item, r[0], r[1]) // readings of ours can be read
	case roll < 75:
		c = joblog.Command{Kind: joblog.NoteKind, ItemID: f.p.Item, Note: &joblog.Note{Text: fmt.Sprint("Shim the hinge side, ", f.rng.IntN(1000))}}
	case roll < 85:
		c = joblog.Command{Kind: joblog.TickStageKind, ItemID: f.p.Item, TickStage: &joblog.TickStage{Stage: stage.Measured}}
	case roll < 95:
		c = joblog.Command{Kind: joblog.ReopenStageKind, ItemID: f.p.Item, ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "The floor was raised."}}
	default:
		c = crew.Door(f.p.Room, crew.NewID())
	}
	f.p.Sign(&c)
	return c
}

// turn does one thing: adds to the outbox, sends from its front, now and then reads.
func (f *phone) turn(ctx context.Context, more bool) {
	if more && len(f.outbox) < 40 {
		f.outbox = append(f.outbox, f.next())
	}
	if len(f.outbox) == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	batch := f.outbox[:min(len(f.outbox), 8)]
	f.asked++
	out, err := f.p.Try(ctx, batch)
	if err != nil {
		f.lost++
		return
	}
	f.lastGood.Store(time.Now().UnixNano())
	for i, o := range out.Outcomes {
		// Out of the outbox in order only, each by its own outcome.
		if i >= len(batch) || o.CommandID != batch[i].ID {
			break
		}
		f.answered[o.CommandID] = o
	}
	for len(f.outbox) > 0 {
		if _, ok := f.answered[f.outbox[0].ID]; !ok {
			break
		}
		f.outbox = f.outbox[1:]
	}
	if f.rng.IntN(8) == 0 {
		_ = f.p.Get(ctx, "/api/v1/jobs/"+f.p.Job+"/items/"+f.p.Item, nil)
	}
}

// count is what came of a stretch of work.
type count struct {
	sent, answered, refused, found, lost, twice int
	asked, unanswered                           int
	holes, differences                          int
	quiet                                       time.Duration // the longest any phone went without an answer
}

func (c count) String() string {
	return fmt.Sprintf("%d requests, %d without an answer; commands sent %d, acknowledged %d (%d refused by the rules), found %d, lost %d, duplicated %d; holes in logs %d, projections differing from a rebuild %d; longest silence %v",
		c.asked, c.unanswered, c.sent, c.answered, c.refused, c.found, c.lost, c.twice, c.holes, c.differences, c.quiet.Round(100*time.Millisecond))
}

// during lets every phone work while fault runs, then until all their outboxes are empty, and counts.
func (w *world) during(fault func() error) (count, error) {
	w.t.Helper()
	stop := make(chan struct{})
	drainBy := make(chan struct{})
	var crewAtWork sync.WaitGroup
	before := make([]map[string]joblog.Outcome, len(w.phones))
	var quietMu sync.Mutex
	var quiet time.Duration
	for i, f := range w.phones {
		before[i] = f.answered
		f.answered, f.asked, f.lost = map[string]joblog.Outcome{}, 0, 0
		f.lastGood.Store(time.Now().UnixNano())
		crewAtWork.Go(func() {
			for {
				more := true
				select {
				case <-stop:
					more = false
				default:
				}
				select {
				case <-drainBy:
					return
				default:
				}
				if !more && len(f.outbox) == 0 {
					return
				}
				good := f.lastGood.Load()
				f.turn(context.Background(), more)
				if now := f.lastGood.Load(); now != good {
					quietMu.Lock()
					quiet = max(quiet, time.Duration(now-good))
					quietMu.Unlock()
				} else {
					pause(50 * time.Millisecond) // a phone's wait after no answer
				}
			}
		})
	}
	pause(300 * time.Millisecond) // the load is on
	err := fault()
	w.heal()
	pause(300 * time.Millisecond)
	close(stop)
	drained := make(chan struct{})
	go func() { crewAtWork.Wait(); close(drained) }()
	select {
	case <-drained:
	case <-time.After(90 * time.Second):
		close(drainBy)
		<-drained
	}
	c := w.reckon()
	c.quiet = quiet
	return c, err
}

// reckon holds what was answered for against the database.
func (w *world) reckon() (c count) {
	w.t.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, w.owner())
	if err != nil {
		w.t.Fatal(err)
	}
	defer func() { _ = conn.Close(ctx) }()
	for _, f := range w.phones {
		c.asked += f.asked
		c.unanswered += f.lost
		c.sent += len(f.answered) + len(f.outbox)
		if len(f.outbox) > 0 {
			w.t.Errorf("%d commands could not be delivered in the end", len(f.outbox))
		}
		for id, o := range f.answered {
			c.answered++
			var commands, entries int
			var applied bool
			err := conn.QueryRow(ctx, `
				select
					(select count(*) from commands where command_id = $1),
					(select count(*) from entries where command_id = $1),
					coalesce((select bool_and(outcome = 'applied') from commands where command_id = $1), false)`, id).Scan(&commands, &entries, &applied)
			if err != nil {
				w.t.Fatal(err)
			}
			want := 0
			if o.Applied {
				want = int(o.LastSeq-o.FirstSeq) + 1
			} else {
				c.refused++
			}
			switch {
			case commands == 0 || entries < want || applied != o.Applied:
				c.lost++
			case commands > 1 || entries > want:
				c.twice++
			}
			if commands > 0 {
				c.found++
			}
		}
	}
	if err := conn.QueryRow(ctx, `
		select
			count(*)
		from jobs j
		where j.next_seq - 1 <> (select count(*) from entries e where (e.company_id, e.job_id) = (j.company_id, j.job_id))
			or j.next_seq - 1 <> (select coalesce(max(e.seq), 0) from entries e where (e.company_id, e.job_id) = (j.company_id, j.job_id))`).Scan(&c.holes); err != nil {
		w.t.Fatal(err)
	}
	if c.differences, err = w.rebuild(); err != nil {
		w.t.Error(err)
	}
	return c
}
