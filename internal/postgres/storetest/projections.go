package storetest

import (
	"context"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
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

	t.Run("house rules wait for a job being made", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		tx, err := s.db.Owner.Begin(ctx(t))
		s.must(err)
		_, err = tx.Exec(ctx(t), `
			insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at)
			values ($1, gen_random_uuid(), 'Half made', 1, '{}', now(), now())`, s.company.ID)
		s.must(err)
		defer func() { _ = tx.Rollback(context.WithoutCancel(ctx(t))) }()
		impatient := s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, Tune: func(cfg *pgxpool.Config) {
			cfg.ConnConfig.RuntimeParams["lock_timeout"] = "50ms"
		}})
		if err := impatient.SetHouseRules(ctx(t), s.lead.Viewer(), houserules.Set{}); !fault.Is(err, fault.Unavailable) {
			t.Errorf("rules set beside a job they cannot see: want them to wait (unavailable), got %v", err)
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
