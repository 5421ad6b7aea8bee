package storetest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/fault"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

func testProjections(t *testing.T) {
	t.Run("cuts of the worked chain with what they came from", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.measure(h)
		// The worked chain of a 28 in door in a 30 in opening: common practice.
		for piece, want := range map[string]length.Length{
			"leg_hinge": in(80, 1, 8), "leg_strike": in(80, 1, 4), "slab": in(79, 1, 8),
			"casing_a_head": in(36, 0, 0), "casing_a_leg_hinge": in(79, 5, 8),
		} {
			got := value[int64](s, `select value_nm from cuts where item_id = $1 and piece = $2`, h.door, piece)
			if got != int64(want) {
				t.Errorf("%s: want %d nm, got %d nm", piece, int64(want), got)
			}
		}
		if n := value[int64](s, `
			select count(*)
			from cuts c
			where c.item_id = $1
				and c.rule_book = $2
				and cardinality(c.take_ids) = 8
				and c.take_ids <@ (select array_agg(t.take_id) from takes t where t.item_id = c.item_id)
				and c.take_ids @> (select array_agg(t.take_id) from takes t where t.item_id = c.item_id)`, h.door, joblog.RuleBook); n < 5 {
			t.Errorf("cuts that name their eight takes and rule book %s: want at least the chain's five, got %d", joblog.RuleBook, n)
		}
		if got, want := value[string](s, `
			select concat_ws(' ', t.seq, t.value_nm, t.tool, t.person_id, t.taken_at at time zone 'UTC')
			from takes t
			where t.item_id = $1
				and t.reading = 'height_strike'`, h.door), fmt.Sprintf("9 2044700000 tape %s 2026-03-09 08:00:00", s.rosa.ID); got != want {
			t.Errorf("take of height_strike, 80 1/2 in: want %q, got %q", want, got)
		}
		if got := s.stageOf(h.door, stage.Measured); got != "done" {
			t.Errorf("measured: want done, got %s", got)
		}
		by := value[string](s, `select done_by::text from stages where item_id = $1 and stage = 'measured'`, h.door)
		if by != s.rosa.ID {
			t.Errorf("measured by: want rosa %s, got %s", s.rosa.ID, by)
		}
	})

	t.Run("a newer take makes the pieces stale, and a withdrawn one leaves no row", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.measure(h)
		s.cut(h)
		s.do(s.rosa, h.job, tick(h.door, stage.Trimmed))
		stale := func() []string {
			return rows[string](s, `select piece from cuts where item_id = $1 and stale order by piece`, h.door)
		}
		if got := stale(); len(got) != 0 {
			t.Fatalf("stale before anything changed: %v", got)
		}
		second := s.command(h.job, take(h.door, "height_hinge", in(80, 1, 4)))
		s.do(s.rosa, h.job, second)
		s.do(s.rosa, h.job, joblog.Command{Kind: joblog.ChooseTakeKind, ItemID: h.door,
			ChooseTake: &joblog.ChooseTake{Reading: "height_hinge", TakeID: second.ID}})
		found := false
		for _, piece := range stale() {
			found = found || piece == "leg_hinge"
		}
		if !found {
			t.Errorf("want leg_hinge among the stale pieces, got %v", stale())
		}
		if got := s.stageOf(h.door, stage.Trimmed); got != "held" {
			t.Errorf("trimmed: want held, got %s", got)
		}
		s.do(s.rosa, h.job, joblog.Command{Kind: joblog.WithdrawKind, ItemID: h.door,
			Withdraw: &joblog.Withdraw{CommandID: second.ID, Reason: "Read from the wrong side."}})
		if n := value[int64](s, `select count(*) from takes where take_id = $1`, second.ID); n != 0 {
			t.Errorf("rows of the withdrawn take: want 0, got %d", n)
		}
		if got := stale(); len(got) != 0 {
			t.Errorf("stale after the take was withdrawn: %v", got)
		}
		if got := s.stageOf(h.door, stage.Trimmed); got != "done" {
			t.Errorf("trimmed again: want done, got %s", got)
		}
	})

	t.Run("house rules of company, job and room reach every item at once", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h, other := s.house(), s.house()
		s.measure(h)
		s.measure(other)
		head := func(h house) length.Length {
			return length.Length(value[int64](s, `select value_nm from cuts where item_id = $1 and piece = 'casing_a_head'`, h.door))
		}
		// Head casing = inside + 2 × reveal + ...: each 1/16 of reveal is 1/8 of head.
		reveal := func(v length.Length) houserules.Set { return houserules.Set{"reveal": int64(v)} }
		want := func(name string, first, second length.Length) {
			t.Helper()
			if a, b := head(h), head(other); a != first || b != second {
				t.Errorf("%s: heads want %d and %d nm, got %d and %d nm", name, first, second, a, b)
			}
		}
		want("built in", in(36, 0, 0), in(36, 0, 0))
		s.clock.Move(time.Minute)
		s.must(s.store.SetHouseRules(ctx(t), s.lead.Viewer(), reveal(in(0, 3, 16))))
		want("company", in(36, 1, 8), in(36, 1, 8))
		s.clock.Move(time.Minute)
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: reveal(in(0, 1, 4))}})
		want("one job", in(36, 1, 4), in(36, 1, 8))
		s.clock.Move(time.Minute)
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.SetRulesKind, RoomID: h.room, SetRules: &joblog.SetRules{Set: reveal(in(0, 5, 16))}})
		want("one room", in(36, 3, 8), in(36, 1, 8))
		s.wantClean()
	})

	t.Run("a reading of a room's walls reaches the runs along them", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		base := newID()
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.SetWallsKind, RoomID: h.room, SetWalls: &joblog.SetWalls{
			Walls: trim.Room{Walls: []trim.Wall{{ID: "n"}, {ID: "e"}, {ID: "s"}, {ID: "w"}}}}})
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AddItemKind, RoomID: h.room, ItemID: base, AddItem: &joblog.AddItem{Name: "Base", Spec: joblog.Spec{
			Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint},
			Run:  &joblog.RunSpec{Profile: trim.Profile{Kind: trim.Base, Height: in(5, 1, 4), Thickness: in(0, 9, 16), StockLength: in(192, 0, 0)}, WallLayers: in(0, 1, 2)}}}})
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: base, Assign: &joblog.Assign{PersonID: s.rosa.ID}})
		wall := func(n int, v length.Length) {
			c := take("", fmt.Sprintf("wall_%d_length", n), v)
			c.RoomID = h.room
			s.clock.Move(time.Minute)
			s.do(s.rosa, h.job, c)
		}
		pieces := func() int64 { return value[int64](s, `select count(*) from cuts where item_id = $1`, base) }
		if got := s.stageOf(base, stage.Measured); got != "open" || pieces() != 0 {
			t.Errorf("before the walls are read: want measured open and no cuts, got %s and %d", got, pieces())
		}
		for i, v := range []length.Length{in(144, 0, 0), in(120, 0, 0), in(144, 0, 0), in(120, 0, 0)} {
			wall(i+1, v)
		}
		if got := s.stageOf(base, stage.Measured); got != "ready" || pieces() != 4 {
			t.Errorf("with the walls read: want measured ready and a piece a wall, got %s and %d", got, pieces())
		}
		wall(1, in(143, 0, 0)) // an inch off the first take
		if got := s.stageOf(base, stage.Measured); got != "held" {
			t.Errorf("with takes that disagree: want measured held, got %s", got)
		}
		s.wantClean()
	})

	t.Run("whatever is sent, the tables are the log", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.throwCommands(300)
		s.wantClean()
		got := rows[string](s, `select distinct kind from entries order by kind`)
		want := []string{"add_item", "add_room", "assign", "choose_take", "create_job", "cut_pieces", "log_fasteners", "reopen_stage",
			"set_climate", "set_item", "set_product", "set_rules", "set_walls", "take_reading", "tick_stage", "withdraw"}
		if !slices.Equal(got, want) {
			t.Errorf("kinds let through: want %v, got %v: the test would prove less", want, got)
		}
	})

	t.Run("house rules wait for a job being made", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		job := newID()
		tx, err := s.db.Owner.Begin(ctx(t))
		s.must(err)
		defer func() { _ = tx.Rollback(context.WithoutCancel(ctx(t))) }()
		_, err = tx.Exec(ctx(t), `
			insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at)
			values ($1, $2, 'Of the same id', 1, '{}', now(), now())`, s.company.ID, job)
		s.must(err)
		made := make(chan error, 1)
		go func() {
			_, err := s.store.Submit(ctx(t), s.lead.Viewer(), s.command(job, joblog.Command{Kind: joblog.CreateJobKind,
				CreateJob: &joblog.CreateJob{Name: "Half made", Unit: length.Inches}}), day)
			made <- err
		}()
		s.waitForLock(`%insert into jobs%`)
		impatient := s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, Tune: func(cfg *pgxpool.Config) {
			cfg.ConnConfig.RuntimeParams["lock_timeout"] = "50ms"
		}})
		if err := impatient.SetHouseRules(ctx(t), s.lead.Viewer(), houserules.Set{}); !fault.Is(err, fault.Unavailable) {
			t.Errorf("rules set beside a job they cannot see: want them to wait (unavailable), got %v", err)
		}
		s.must(tx.Rollback(ctx(t)))
		s.must(<-made)
	})

	t.Run("house rules being set keep new jobs waiting, and no work", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		// As a command does: it has its job, and goes on to queue a message.
		work, err := s.db.Owner.Begin(ctx(t))
		s.must(err)
		defer func() { _ = work.Rollback(context.WithoutCancel(ctx(t))) }()
		_, err = work.Exec(ctx(t), `select from jobs where job_id = $1 for no key update`, h.job)
		s.must(err)
		set, made := make(chan error, 1), make(chan error, 1)
		go func() {
			set <- s.store.SetHouseRules(ctx(t), s.lead.Viewer(), houserules.Set{"reveal": int64(in(0, 3, 16))})
		}()
		s.waitForLock(`%from jobs%for no key update%`)
		_, err = work.Exec(ctx(t), `set local lock_timeout = '100ms'`)
		s.must(err)
		if _, err = work.Exec(ctx(t), `
			insert into messages (company_id, message_id, kind, about_id, email, language, says, made_at, begun_at, due_at)
			values ($1, gen_random_uuid(), 'walk_ready', gen_random_uuid(), 'pat@example.com', 'en', '{}', now(), now(), now())`, s.company.ID); err != nil {
			t.Fatalf("a message while house rules are being set: %v", err)
		}
		go func() {
			_, err := s.store.Submit(ctx(t), s.lead.Viewer(), s.command(newID(), joblog.Command{Kind: joblog.CreateJobKind,
				CreateJob: &joblog.CreateJob{Name: "New", Unit: length.Inches}}), day)
			made <- err
		}()
		s.waitForLock(`%from companies%for share%`)
		s.must(work.Commit(ctx(t)))
		s.must(<-set)
		s.must(<-made)
		s.wantClean()
	})

	t.Run("house rules that gave way are set at the next try", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		// The other has the job and wants the company, the rules have the company and want the job.
		other, err := s.db.Owner.Begin(ctx(t))
		s.must(err)
		defer func() { _ = other.Rollback(context.WithoutCancel(ctx(t))) }()
		_, err = other.Exec(ctx(t), `set local deadlock_timeout = '10min'`)
		s.must(err)
		_, err = other.Exec(ctx(t), `select from jobs where job_id = $1 for update`, h.job)
		s.must(err)
		set := make(chan error, 1)
		go func() {
			set <- s.store.SetHouseRules(ctx(t), s.lead.Viewer(), houserules.Set{"reveal": int64(in(0, 3, 16))})
		}()
		s.waitForLock(`%from jobs%for no key update%`)
		_, err = other.Exec(ctx(t), `select from companies where company_id = $1 for update`, s.company.ID)
		s.must(err)
		s.must(other.Commit(ctx(t)))
		s.must(<-set)
		if got, err := s.store.HouseRules(ctx(t), s.rosa.Viewer()); err != nil || got["reveal"] != int64(in(0, 3, 16)) {
			t.Errorf("the rules: got %v and %v, want them set", got, err)
		}
	})

	t.Run("nodes whose clocks differ keep the same rows", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.measure(h)
		s.clock.Move(time.Hour + 1789*time.Nanosecond) // a node ahead, and finer than the database keeps
		s.must(s.store.SetHouseRules(ctx(t), s.lead.Viewer(), houserules.Set{"reveal": int64(in(0, 3, 16))}))
		s.clock.Move(-30 * time.Minute) // one behind it
		s.do(s.rosa, h.job, note(h.door, "Before the rules, by this clock."))
		s.addDoor(h.job, h.room, newID(), "Hall door")
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"hinge_gap": int64(in(0, 3, 32))}}})
		s.must(s.store.SetHouseRules(ctx(t), s.lead.Viewer(), houserules.Set{}))
		s.wantClean()
		s.clock.Move(2 * time.Hour)
		s.do(s.rosa, h.job, note(h.door, "An hour after."))
		s.clock.Move(-time.Hour)
		s.do(s.rosa, h.job, note(h.door, "And back."))
		s.wantClean()
	})

	t.Run("only rows that differ are written", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.measure(h)
		versions := func() []string {
			return rows[string](s, `select piece || xmin::text from cuts where item_id = $1 order by piece`, h.door)
		}
		before := versions()
		s.do(s.rosa, h.job, note(h.door, "Nothing to do with cuts."))
		after := versions()
		if len(before) == 0 || len(before) != len(after) {
			t.Fatalf("cuts: had %d, have %d", len(before), len(after))
		}
		for i := range before {
			if before[i] != after[i] {
				t.Errorf("a note rewrote the cut %s as %s", before[i], after[i])
			}
		}
	})
}

// throwCommands submits commands put together at random, about things that are there and
// things that are not, until n of them were let through.
func (s *site) throwCommands(n int) {
	s.t.Helper()
	r := rand.New(rand.NewPCG(12, 80))
	jobs, rooms, items := []string{newID(), newID()}, []string{"", newID(), newID()}, []string{"", newID(), newID(), newID()}
	people := []string{"", s.rosa.ID, s.ivan.ID}
	taken := []joblog.Command{{ID: newID(), TakeReading: &joblog.TakeReading{Reading: "width_top"}}}
	pick := func(from []string) string { return from[r.IntN(len(from))] }
	eighths := func(from, to int64) length.Length { return length.Length(from+r.Int64N(to-from+1)) * length.Eighth }
	applied := 0
	for tries := 0; applied < n; tries++ {
		if tries > 40*n {
			s.t.Fatalf("%d of %d commands let through after %d tries", applied, n, tries)
		}
		s.clock.Move(time.Duration(r.IntN(7200)-600) * time.Second)
		c := joblog.Command{ID: newID(), JobID: pick(jobs), RoomID: pick(rooms), ItemID: pick(items)}
		earlier := taken[r.IntN(len(taken))]
		if r.IntN(2) == 0 { // about a thing that has been read, for what follows from readings
			c.JobID, c.RoomID, c.ItemID = earlier.JobID, earlier.RoomID, earlier.ItemID
		}
		reading := chain[r.IntN(len(chain))]
		switch r.IntN(20) {
		case 0:
			c.Kind, c.CreateJob = joblog.CreateJobKind, &joblog.CreateJob{Name: "Random", Unit: length.Inches}
		case 1:
			c.Kind, c.AddRoom = joblog.AddRoomKind, &joblog.AddRoom{Name: "Room", Level: finish.Ground}
		case 2:
			c.Kind, c.AddItem = joblog.AddItemKind, &joblog.AddItem{Name: "Door", Spec: doorSpec()}
		case 3:
			spec := doorSpec()
			spec.Unit.SlabWidth = eighths(24*8, 28*8)
			c.Kind, c.SetItem = joblog.SetItemKind, &joblog.SetItem{Name: "Other door", Spec: spec}
		case 4, 5:
			c.Kind, c.Assign = joblog.AssignKind, &joblog.Assign{PersonID: pick(people)}
		case 6:
			c.Kind, c.SetRules = joblog.SetRulesKind, &joblog.SetRules{Set: houserules.Set{"reveal": int64(eighths(1, 3))}}
		case 7:
			c.Kind, c.SetWalls = joblog.SetWallsKind, &joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{ID: "n"}, {ID: "e"}, {ID: "s"}, {ID: "w"}}}}
		case 8:
			c.Kind, c.TakeReading = joblog.TakeReadingKind, &joblog.TakeReading{Reading: fmt.Sprintf("wall_%d_length", 1+r.IntN(4)), Value: eighths(800, 802)}
		case 9, 10, 11:
			c.Kind, c.TakeReading = joblog.TakeReadingKind, &joblog.TakeReading{Reading: reading.name, Value: reading.value}
		case 12:
			c.Kind, c.ChooseTake = joblog.ChooseTakeKind, &joblog.ChooseTake{Reading: earlier.TakeReading.Reading, TakeID: earlier.ID}
		case 13:
			c.Kind, c.Withdraw = joblog.WithdrawKind, &joblog.Withdraw{CommandID: earlier.ID, Reason: "Again."}
		case 14:
			c.Kind, c.CutPieces = joblog.CutPiecesKind, &joblog.CutPieces{Pieces: []joblog.CutPiece{{Piece: "leg_hinge", Computed: in(80, 1, 8), AsCut: eighths(640, 642)}}}
		case 15:
			c.Kind, c.LogFasteners = joblog.LogFastenersKind, &joblog.LogFasteners{Fastener: finish.Fastener{Kind: finish.Brad18, Length: in(1, 1, 4), Count: 8, Where: finish.JambEdge}}
		case 16:
			c.Kind, c.TickStage = joblog.TickStageKind, &joblog.TickStage{Stage: stage.All()[r.IntN(3)]}
		case 17:
			c.RoomID, c.ItemID = "", ""
			c.Kind, c.SetProduct = joblog.SetProductKind, &joblog.SetProduct{ProductID: jobs[r.IntN(2)], Product: finish.Product{Kind: finish.CaulkProduct, Name: "Bead",
				Sheet: finish.Sheet{Times: []finish.SheetTime{{Phase: finish.CaulkCure, Celsius: 200, Minutes: 1 + r.Int64N(300)}}}}}
		case 18:
			c.ItemID = ""
			c.Kind, c.SetClimate = joblog.SetClimateKind, &joblog.SetClimate{Climate: &finish.Climate{
				Dry: finish.Air{Celsius: 200, Humidity: 300}, Damp: finish.Air{Celsius: 200, Humidity: finish.Tenths(400 + r.IntN(300))}}}
		default:
			if r.IntN(4) == 0 {
				s.must(s.store.SetHouseRules(ctx(s.t), s.lead.Viewer(), houserules.Set{"hinge_gap": int64(eighths(1, 2))}))
				continue
			}
			c.Kind, c.ReopenStage = joblog.ReopenStageKind, &joblog.ReopenStage{Stage: stage.Measured, Reason: "Again."}
		}
		by := s.lead
		if r.IntN(3) == 0 {
			by = s.rosa
		}
		if c.JobID == "" {
			c.JobID = pick(jobs)
		}
		if out := s.give(by, c.JobID, c); out.Applied {
			applied++
			if c.TakeReading != nil {
				taken = append(taken, c)
			}
		}
	}
}
