package faults

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
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
	acks     atomic.Int64              // commands answered for, ever
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

func (f *phone) begin() { f.answered, f.asked, f.lost = map[string]joblog.Outcome{}, 0, 0 }

func (f *phone) empty() bool { return len(f.outbox) == 0 }

// turn does one thing: adds to the outbox, sends from its front, now and then reads.
func (f *phone) turn(ctx context.Context, more bool) (answered bool) {
	if more && len(f.outbox) < 40 {
		f.outbox = append(f.outbox, f.next())
	}
	if len(f.outbox) == 0 {
		return true
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	batch := f.outbox[:min(len(f.outbox), 8)]
	f.asked++
	out, err := f.p.Try(ctx, batch)
	if err != nil {
		f.lost++
		return false
	}
	for i, o := range out.Outcomes {
		// Out of the outbox in order only, each by its own outcome.
		if i >= len(batch) || o.CommandID != batch[i].ID {
			break
		}
		f.answered[o.CommandID] = o
		f.acks.Add(1)
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
	return true
}

// worker is a phone or a camera.
type worker interface {
	begin()
	turn(ctx context.Context, more bool) (answered bool)
	empty() bool
}

// work lets one go on until stop, and then until its outbox is empty or it is time to give up. It returns the longest time
// it was without an answer.
func work(one worker, stop, giveUp <-chan struct{}) (quiet time.Duration) {
	good := time.Now()
	for {
		more := true
		select {
		case <-giveUp:
			return max(quiet, time.Since(good))
		case <-stop:
			more = false
		default:
		}
		if !more && one.empty() {
			return quiet
		}
		if one.turn(context.Background(), more) {
			quiet, good = max(quiet, time.Since(good)), time.Now()
		} else {
			pause(50 * time.Millisecond) // a phone's wait after no answer
		}
	}
}

// count is what came of a stretch of work.
type count struct {
	sent, answered, refused, found, lost, twice int
	asked, unanswered                           int
	holes, differences                          int
	meanwhile                                   int64         // acknowledged while the fault lasted
	quiet                                       time.Duration // the longest any phone went without an answer
	photos                                      album
	rows                                        int           // the standby's
	differ                                      []string      // tables of the standby with other rows
	caughtUp                                    time.Duration // how long it took once all was whole
}

func (c count) String() string {
	said := fmt.Sprintf("%d requests, %d without an answer; commands sent %d, acknowledged %d (%d while it lasted, %d refused by the rules), found %d, lost %d, duplicated %d; holes in logs %d, projections differing from a rebuild %d; longest silence %v",
		c.asked, c.unanswered, c.sent, c.answered, c.meanwhile, c.refused, c.found, c.lost, c.twice, c.holes, c.differences, c.quiet.Round(100*time.Millisecond))
	if c.photos.answered > 0 {
		said += "; " + c.photos.String()
	}
	if c.rows > 0 {
		said += fmt.Sprintf("; the standby caught up within %v, %d rows, tables that differ %d", c.caughtUp.Round(10*time.Millisecond), c.rows, len(c.differ))
	}
	return said
}

// right is how every count must be.
func (c count) right() bool {
	return c.answered > 0 && c.found == c.answered && c.lost+c.twice+c.holes+c.differences+len(c.differ) == 0 && c.photos.right()
}

// during lets every phone and camera work while fault runs, then until all their outboxes are empty, and counts.
func (w *world) during(fault func() error) (count, error) {
	w.t.Helper()
	stop, giveUp := make(chan struct{}), make(chan struct{})
	var crewAtWork sync.WaitGroup
	quiet := make([]time.Duration, len(w.phones))
	for i, f := range w.phones {
		f.begin()
		crewAtWork.Go(func() { quiet[i] = work(f, stop, giveUp) })
	}
	for _, c := range w.cameras {
		c.begin()
		crewAtWork.Go(func() { work(c, stop, giveUp) })
	}
	pause(300 * time.Millisecond) // the load is on
	before := w.acks()
	err := fault()
	meanwhile := w.acks() - before
	w.heal()
	pause(300 * time.Millisecond)
	close(stop)
	drained := make(chan struct{})
	go func() { crewAtWork.Wait(); close(drained) }()
	select {
	case <-drained:
	case <-time.After(90 * time.Second):
		close(giveUp)
		<-drained
	}
	c := w.reckon()
	c.meanwhile, c.quiet = meanwhile, slices.Max(quiet)
	if w.objects != nil {
		c.photos = w.reckonPhotos()
	}
	if w.standby != nil {
		var failed error
		if c.caughtUp, c.rows, c.differ, failed = w.followed(); failed != nil {
			w.t.Error(failed)
		}
	}
	return c, err
}

func (w *world) photosKept() (n int64) {
	for _, c := range w.cameras {
		n += c.acks.Load()
	}
	return n
}

func (w *world) acks() (n int64) {
	for _, f := range w.phones {
		n += f.acks.Load()
	}
	return n
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
