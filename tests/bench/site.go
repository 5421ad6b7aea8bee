package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/app"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
	"longpoint/tests/crew"
)

// site is a running service with one job a client, each with an opening that is measured
// and not yet ticked, to be cloned.
type site struct {
	owner  *pgx.Conn
	app    *app.App
	trace  *trace
	people []*crew.Person
	lead   account.Person
	traced joblog.Command // the tick that was traced
	seq    int64          // and its number in its job
}

func newSite(ctx context.Context, ownerURL, serviceURL string, clients int) (*site, error) {
	owner, err := pgx.Connect(ctx, ownerURL)
	if err != nil {
		return nil, err
	}
	s := &site{owner: owner, trace: &trace{}}
	lead, err := crew.Company(ctx, serviceURL, "lead")
	if err != nil {
		return nil, err
	}
	s.lead = lead
	s.app, err = app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: serviceURL, Tune: s.trace.tune})
	if err != nil {
		return nil, err
	}
	room := crew.NewID() // the same in every job, so that one replay serves them all
	for range clients {
		p, err := crew.SignIn(ctx, "http://"+s.app.Addr().String(), lead.SignIn, nil)
		if err != nil {
			return nil, err
		}
		if err := p.Build(ctx, room); err != nil {
			return nil, err
		}
		s.people = append(s.people, p)
	}
	return s, s.traceOne(ctx)
}

func (s *site) close() error {
	err := s.app.Close()
	if closeErr := s.owner.Close(context.Background()); err == nil {
		err = closeErr
	}
	return err
}

func tick(item string) joblog.Command {
	return joblog.Command{ID: crew.NewID(), Kind: joblog.TickStageKind, ItemID: item, TickStage: &joblog.TickStage{Stage: stage.Measured}}
}

// clonedItem is the id of one clone, the same in every job.
func clonedItem(batch, n int) string { return fmt.Sprintf("00000000-0000-7000-8%03d-%012d", batch, n) }

const cloneItems = `
	insert into items (company_id, job_id, item_id, room_id, name, kind, assigned_to, added_seq, through_seq, projected_at, state)
	select company_id, job_id, c.id, room_id, name, kind, assigned_to, added_seq, through_seq, projected_at,
		jsonb_set(state, '{id}', to_jsonb(c.id::text))
	from items, unnest($1::uuid[]) as c (id)
	where job_id = $2 and item_id = $3`

const cloneTakes = `
	insert into takes (company_id, job_id, item_id, take_id, seq, reading, value_nm, tool, person_id, taken_at)
	select company_id, job_id, c.id, take_id, seq, reading, value_nm, tool, person_id, taken_at
	from takes, unnest($1::uuid[]) as c (id)
	where job_id = $2 and item_id = $3`

const cloneCuts = `
	insert into cuts (company_id, job_id, item_id, piece, value_nm, take_ids, rule_book, cut_for_nm, as_cut_nm, stale)
	select company_id, job_id, c.id, piece, value_nm, take_ids, rule_book, cut_for_nm, as_cut_nm, stale
	from cuts, unnest($1::uuid[]) as c (id)
	where job_id = $2 and item_id = $3`

const cloneStages = `
	insert into stages (company_id, job_id, item_id, stage, status, done_at, done_by, held)
	select company_id, job_id, c.id, stage, status, done_at, done_by, held
	from stages, unnest($1::uuid[]) as c (id)
	where job_id = $2 and item_id = $3`

// clone puts a batch of measured openings into every job, past the log: they are only to be
// ticked.
func (s *site) clone(ctx context.Context, batch, n int) error {
	ids := make([]string, n)
	for i := range ids {
		ids[i] = clonedItem(batch, i+1)
	}
	for _, p := range s.people {
		for _, sql := range []string{cloneItems, cloneTakes, cloneCuts, cloneStages} {
			if _, err := s.owner.Exec(ctx, sql, ids, p.Job, p.Item); err != nil {
				return fmt.Errorf("cloning: %w", err)
			}
		}
	}
	_, err := s.owner.Exec(ctx, `vacuum analyze items, takes, cuts, stages, entries, commands, jobs`)
	return err
}

// traceOne ticks one clone with the tracer on.
func (s *site) traceOne(ctx context.Context) error {
	if err := s.clone(ctx, 0, 2); err != nil {
		return err
	}
	p := s.people[0]
	if err := p.Send(ctx, tick(clonedItem(0, 1))); err != nil { // statements are prepared
		return err
	}
	s.traced = tick(clonedItem(0, 2))
	s.trace.record(true)
	err := p.Send(ctx, s.traced)
	s.trace.record(false)
	s.seq = p.Seq
	return err
}

// tickAll ticks a batch through HTTP, every client at once, and returns ticks a second and
// the time within which 99 of 100 were answered.
func (s *site) tickAll(ctx context.Context, batch, n int) (perSecond float64, slowest time.Duration, err error) {
	var wait sync.WaitGroup
	errs := make(chan error, len(s.people))
	began := time.Now()
	for _, p := range s.people {
		p.Took = p.Took[:0]
		wait.Go(func() {
			for i := range n {
				at := time.Now()
				if err := p.Send(ctx, tick(clonedItem(batch, i+1))); err != nil {
					errs <- err
					return
				}
				p.Took = append(p.Took, time.Since(at))
			}
		})
	}
	wait.Wait()
	took := time.Since(began)
	select {
	case err := <-errs:
		return 0, 0, err
	default:
	}
	var all []time.Duration
	for _, p := range s.people {
		all = append(all, p.Took...)
	}
	slices.Sort(all)
	return float64(len(all)) / took.Seconds(), all[len(all)*99/100], nil
}

// replay writes the traced tick as a pgbench script for a batch.
func (s *site) replay(dir string, batch int) (string, error) {
	first := s.people[0]
	begin := "\\set n :n + 1\n"
	// Each client has its own job and counts its own numbers.
	for i, p := range s.people {
		last, err := s.lastSeq(p)
		if err != nil {
			return "", err
		}
		begin += fmt.Sprintf("\\if :client_id = %d\n\\set job %d\n\\set seq %d + :n\n\\endif\n", i, i, last)
	}
	begin += "\\set next :seq + 1\n"
	job := "(array["
	for i, p := range s.people {
		if i > 0 {
			job += ", "
		}
		job += quote(p.Job)
	}
	job += "])[:job + 1]"
	item := fmt.Sprintf("('00000000-0000-7000-8%03d-' || lpad(:n::text, 12, '0'))", batch)
	command := fmt.Sprintf("('00000000-0000-7000-9%03d-' || lpad((:client_id * 1000000 + :n)::text, 12, '0'))", batch)
	script, err := s.trace.script(begin, map[string]string{
		first.Job:                      job + "::uuid",
		s.traced.ItemID:                item + "::uuid",
		s.traced.ID:                    command + "::uuid",
		strconv.FormatInt(s.seq, 10):   ":seq",
		strconv.FormatInt(s.seq+1, 10): ":next",
	})
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "tick.sql")
	return path, os.WriteFile(path, []byte(script), 0o644)
}

func (s *site) lastSeq(p *crew.Person) (n int64, err error) {
	err = s.owner.QueryRow(context.Background(), `select next_seq - 1 from jobs where job_id = $1`, p.Job).Scan(&n)
	return n, err
}

// check counts what both sides left: as many entries, and every clone's stage done.
func (s *site) check(ctx context.Context, want int) error {
	var entries, done int
	err := s.owner.QueryRow(ctx, `
		select
			(select count(*) from entries where kind = 'tick_stage'),
			(select count(*) from stages where stage = 'measured' and status = 'done')`).Scan(&entries, &done)
	if err != nil {
		return err
	}
	want += 2 // those before the first round
	if entries != want || done != want {
		return fmt.Errorf("after %d ticks: %d entries and %d stages done; the two sides did not do the same", want, entries, done)
	}
	return nil
}
