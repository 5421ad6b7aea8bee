package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/app"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

const passphrase = "seven dusty sawhorses"

// site is a running service with one job a client, each with an opening that is measured
// and not yet ticked, to be cloned.
type site struct {
	owner  *pgx.Conn
	app    *app.App
	trace  *trace
	people []*person
	traced joblog.Command // the tick that was traced
	seq    int64          // and its number in its job
}

// person is one client on a job of their own.
type person struct {
	http      *http.Client
	base      string
	job, room string
	item      string // the opening that is cloned
	seq       int64  // last number of the job's log
	took      []time.Duration
}

func newSite(ctx context.Context, ownerURL, serviceURL string, clients int) (*site, error) {
	owner, err := pgx.Connect(ctx, ownerURL)
	if err != nil {
		return nil, err
	}
	s := &site{owner: owner, trace: &trace{}}
	pg, err := postgres.Open(ctx, serviceURL, postgres.Options{})
	if err != nil {
		return nil, err
	}
	defer pg.Close()
	hasher, err := account.NewHasher(1)
	if err != nil {
		return nil, err
	}
	hash, err := hasher.Hash(ctx, passphrase)
	if err != nil {
		return nil, err
	}
	company := account.Company{ID: newID(), Name: "Bench & Sons"}
	if err := pg.CreateCompany(ctx, company); err != nil {
		return nil, err
	}
	lead := account.Person{ID: newID(), CompanyID: company.ID, Name: "Lead", SignIn: "lead", Role: joblog.Lead, Language: "en", Unit: length.Inches}
	if err := pg.AddPerson(ctx, lead, hash); err != nil {
		return nil, err
	}
	s.app, err = app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: serviceURL, Tune: s.trace.tune})
	if err != nil {
		return nil, err
	}
	room := newID() // the same in every job, so that one replay serves them all
	for range clients {
		p, err := s.settle(ctx, lead, room)
		if err != nil {
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

func newID() string { return uuid.Must(uuid.NewV7()).String() }

// settle signs a client in and builds a job with a measured opening.
func (s *site) settle(ctx context.Context, lead account.Person, room string) (*person, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	p := &person{http: &http.Client{Jar: jar, Transport: &http.Transport{MaxIdleConnsPerHost: 1}}, base: "http://" + s.app.Addr().String(),
		job: newID(), room: room, item: newID()}
	if err := p.post(ctx, "/api/v1/session", map[string]string{"sign_in": lead.SignIn, "passphrase": passphrase}, nil); err != nil {
		return nil, err
	}
	casing := &trim.Casing{Style: trim.ButtHead, Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Overhang: length.Inch}
	commands := []joblog.Command{
		{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Bench", Unit: length.Inches}},
		{Kind: joblog.AddRoomKind, RoomID: p.room, AddRoom: &joblog.AddRoom{Name: "Hall", Level: finish.Ground}},
		{Kind: joblog.AddItemKind, RoomID: p.room, ItemID: p.item, AddItem: &joblog.AddItem{Name: "Hall door", Spec: joblog.Spec{
			Unit: trim.UnitForDoor(28*length.Inch, 80*length.Inch, length.In(1, 3, 4)), CasingA: casing, CasingB: casing}}},
	}
	for _, r := range [][2]string{{"width_bottom", "30"}, {"width_middle", "30"}, {"width_top", "30"}, {"height_hinge", "80 3/8"},
		{"height_strike", "80 1/2"}, {"floor_strike_up", "-1/8"}, {"lean_hinge", "0"}, {"wall_build_up", "4 9/16"}} {
		v, err := length.ParseSigned(r[1], length.Inches)
		if err != nil {
			return nil, err
		}
		commands = append(commands, joblog.Command{Kind: joblog.TakeReadingKind, ItemID: p.item,
			TakeReading: &joblog.TakeReading{Reading: r[0], Value: v, Tool: "tape"}})
	}
	return p, p.send(ctx, commands...)
}

// send sends commands and wants every one of them applied.
func (p *person) send(ctx context.Context, commands ...joblog.Command) error {
	for i := range commands {
		c := &commands[i]
		c.Version, c.JobID, c.At, c.Device = joblog.CommandVersion, p.job, time.Now().UTC(), "bench"
		if c.ID == "" {
			c.ID = newID()
		}
	}
	var out struct {
		Outcomes []joblog.Outcome `json:"outcomes"`
		Seq      int64            `json:"seq"`
	}
	err := p.post(ctx, "/api/v1/jobs/"+p.job+"/commands", map[string]any{"sent_at": time.Now().UTC(), "commands": commands}, &out)
	if err != nil {
		return err
	}
	for i, o := range out.Outcomes {
		if !o.Applied {
			return fmt.Errorf("%s was refused: %+v", commands[i].Kind, o.Findings)
		}
	}
	p.seq = out.Seq
	return nil
}

func (p *person) post(ctx context.Context, path string, body, dst any) error {
	b, err := json.Marshal(body)
	if err != nil {
		return err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, p.base+path, bytes.NewReader(b))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	answer, err := p.http.Do(r)
	if err != nil {
		return err
	}
	defer func() { _ = answer.Body.Close() }()
	var read bytes.Buffer
	if _, err := read.ReadFrom(answer.Body); err != nil {
		return err
	}
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("%s: %d %s", path, answer.StatusCode, &read)
	}
	if dst == nil {
		return nil
	}
	return json.Unmarshal(read.Bytes(), dst)
}

func tick(item string) joblog.Command {
	return joblog.Command{ID: newID(), Kind: joblog.TickStageKind, ItemID: item, TickStage: &joblog.TickStage{Stage: stage.Measured}}
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
			if _, err := s.owner.Exec(ctx, sql, ids, p.job, p.item); err != nil {
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
	if err := p.send(ctx, tick(clonedItem(0, 1))); err != nil { // statements are prepared
		return err
	}
	s.traced = tick(clonedItem(0, 2))
	s.trace.record(true)
	err := p.send(ctx, s.traced)
	s.trace.record(false)
	s.seq = p.seq
	return err
}

// tickAll ticks a batch through HTTP, every client at once, and returns ticks a second and
// the time within which 99 of 100 were answered.
func (s *site) tickAll(ctx context.Context, batch, n int) (perSecond float64, slowest time.Duration, err error) {
	var wait sync.WaitGroup
	errs := make(chan error, len(s.people))
	began := time.Now()
	for _, p := range s.people {
		p.took = p.took[:0]
		wait.Go(func() {
			for i := range n {
				at := time.Now()
				if err := p.send(ctx, tick(clonedItem(batch, i+1))); err != nil {
					errs <- err
					return
				}
				p.took = append(p.took, time.Since(at))
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
		all = append(all, p.took...)
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
		job += quote(p.job)
	}
	job += "])[:job + 1]"
	item := fmt.Sprintf("('00000000-0000-7000-8%03d-' || lpad(:n::text, 12, '0'))", batch)
	command := fmt.Sprintf("('00000000-0000-7000-9%03d-' || lpad((:client_id * 1000000 + :n)::text, 12, '0'))", batch)
	script, err := s.trace.script(begin, map[string]string{
		first.job:                      job + "::uuid",
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

func (s *site) lastSeq(p *person) (n int64, err error) {
	err = s.owner.QueryRow(context.Background(), `select next_seq - 1 from jobs where job_id = $1`, p.job).Scan(&n)
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
