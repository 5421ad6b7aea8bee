package storetest

import (
	"strings"
	"testing"
	"time"

	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
)

// wantClean compares every projection of every company with the log.
func (s *site) wantClean() {
	s.t.Helper()
	rep, err := s.owner().Rebuild(ctx(s.t), postgres.Rebuilding{Check: true})
	s.must(err)
	if rep.Entries == 0 {
		s.t.Error("the check read no entries")
	}
	for _, d := range rep.Differences {
		s.t.Errorf("the log and the tables differ: %s", d)
	}
}

// owner opens a store as the tables' owner.
func (s *site) owner() *postgres.Store {
	return s.open(s.db.OwnerURL, postgres.Options{Clock: s.clock.Now, MaxConns: 2})
}

// lived is a house with something in every table.
func (s *site) lived() house {
	s.t.Helper()
	h := s.house()
	s.measure(h)
	s.clock.Move(10 * time.Minute)
	s.must(s.store.SetHouseRules(ctx(s.t), s.lead.Viewer(), houserules.Set{"reveal": int64(in(0, 3, 16))}))
	s.cut(h)
	s.do(s.rosa, h.job, tick(h.door, stage.Trimmed))
	s.clock.Move(10 * time.Minute)
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.SetRulesKind, RoomID: h.room, SetRules: &joblog.SetRules{Set: houserules.Set{"hinge_gap": int64(in(0, 3, 32))}}})
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{}})
	s.arrive(s.rosa, s.photo(s.rosa, h, ""), "the first half")
	return h
}

func testRebuild(t *testing.T) {
	t.Run("finds a tampered row in every projection and puts it right", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.lived()
		s.wantClean()
		for _, tc := range []struct {
			table, tamper  string
			args           []any
			key, want, got string
		}{
			{"jobs", `update jobs set name = 'Somebody else''s' where job_id = $1`, []any{h.job},
				"", `{"name":"Alder Street 12"}`, `{"name":"Somebody else's"}`},
			{"jobs", `update jobs set state = jsonb_set(state, '{house_year}', '1999') where job_id = $1`, []any{h.job},
				"", `"house_year":1931`, `"house_year":1999`},
			{"rooms", `update rooms set level = 'basement' where room_id = $1`, []any{h.room},
				h.room, `{"level":"upper"}`, `{"level":"basement"}`},
			{"items", `update items set through_seq = through_seq - 1 where item_id = $1`, []any{h.door},
				h.door, `{"through_seq":15}`, `{"through_seq":14}`},
			{"items", `update items set state = state #- '{takes,0}' where item_id = $1`, []any{h.door},
				h.door, `width_bottom`, `width_middle`},
			{"takes", `update takes set value_nm = value_nm + 1 where item_id = $1 and reading = 'width_top'`, []any{h.door},
				h.door, `{"value_nm":762000000}`, `{"value_nm":762000001}`},
			{"takes", `delete from takes where item_id = $1 and reading = 'wall_build_up'`, []any{h.door},
				h.door, `"reading":"wall_build_up"`, `nothing`},
			{"cuts", `update cuts set value_nm = 2 where item_id = $1 and piece = 'slab'`, []any{h.door},
				h.door + " slab", `{"value_nm":`, `{"value_nm":2}`},
			{"cuts", `insert into cuts select company_id, job_id, item_id, 'plinth', 1, '{}', 'x', null, null, false from items where item_id = $1`, []any{h.door},
				h.door + " plinth", `nothing`, `"piece":"plinth"`},
			{"stages", `update stages set status = 'done' where item_id = $1 and stage = 'painted'`, []any{h.door},
				h.door + " painted", `{"status":"open"}`, `{"status":"done"}`},
			{"job_people", `update job_people set present = true where job_id = $1 and person_id = $2`, []any{h.job, s.ivan.ID},
				s.ivan.ID, `{"present":false}`, `{"present":true}`},
			{"job_people", `delete from job_people where job_id = $1 and person_id = $2`, []any{h.job, s.rosa.ID},
				s.rosa.ID, `"present":true`, `nothing`},
		} {
			s.exec(tc.tamper, tc.args...)
			for _, check := range []bool{true, false} {
				rep, err := s.owner().Rebuild(ctx(t), postgres.Rebuilding{Check: check})
				s.must(err)
				if len(rep.Differences) != 1 {
					t.Fatalf("%s: want one difference, got %d: %v", tc.tamper, len(rep.Differences), rep.Differences)
				}
				d := rep.Differences[0]
				if d.Table != tc.table || !strings.HasPrefix(d.Key, tc.key) || d.JobID != h.job || d.CompanyID != s.company.ID ||
					!strings.Contains(d.Want, tc.want) || !strings.Contains(d.Got, tc.got) {
					t.Errorf("%s:\nwant %s %s: %s, %s\n got %s %s: %s, %s", tc.tamper, tc.table, tc.key, tc.want, tc.got, d.Table, d.Key, d.Want, d.Got)
				}
			}
			s.wantClean()
		}
	})

	t.Run("makes empty tables again", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.lived()
		before, err := s.store.Job(ctx(t), s.lead.Viewer(), h.job)
		s.must(err)
		s.exec(`truncate stages, cuts, takes, items, rooms, job_people`)
		_, err = s.owner().Rebuild(ctx(t), postgres.Rebuilding{})
		s.must(err)
		s.wantClean()
		after, err := s.store.Job(ctx(t), s.lead.Viewer(), h.job)
		s.must(err)
		if got, want := asJSON(t, after.State), asJSON(t, before.State); got != want {
			t.Errorf("job:\n got %s\nwant %s", got, want)
		}
		s.wantSees(s.rosa, h, true)
		s.wantSees(s.ivan, h, false)
	})

	t.Run("a hole in the log is told and cannot be put right", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.do(s.rosa, h.job, note(h.door, "One."))
		s.do(s.rosa, h.job, note(h.door, "Two."))
		s.exec(`delete from commands where first_seq = 5`)
		s.exec(`delete from entries where seq = 5`)
		for range 2 {
			rep, err := s.owner().Rebuild(ctx(t), postgres.Rebuilding{})
			s.must(err)
			if len(rep.Differences) != 1 || rep.Differences[0].Table != "entries" || rep.Differences[0].Want != `{"seq":5}` || rep.Differences[0].Got != `{"seq":6}` {
				t.Errorf("want the hole at 5 told, got %v", rep.Differences)
			}
		}
	})

	t.Run("the service's role rebuilds one company and not all", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.exec(`update rooms set name = 'Attic' where room_id = $1`, h.room)
		if _, err := s.store.Rebuild(ctx(t), postgres.Rebuilding{Check: true}); !fault.Is(err, fault.Forbidden) {
			t.Errorf("all companies: want forbidden, got %v", err)
		}
		if _, err := s.store.Rebuild(ctx(t), postgres.Rebuilding{CompanyID: newID()}); !fault.Is(err, fault.NotFound) {
			t.Errorf("a company that is not there: want not_found, got %v", err)
		}
		rep, err := s.store.Rebuild(ctx(t), postgres.Rebuilding{CompanyID: s.company.ID})
		s.must(err)
		if len(rep.Differences) != 1 || rep.Companies != 1 || rep.Jobs != 1 || rep.Entries != 4 {
			t.Errorf("want one difference in one job of four entries, got %+v", rep)
		}
		s.wantClean()
	})
}
