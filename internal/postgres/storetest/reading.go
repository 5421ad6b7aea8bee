package storetest

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
)

func testReading(t *testing.T) {
	t.Run("an installer sees the jobs they are on", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house() // rosa's
		other := s.house()
		s.do(s.lead, other.job, joblog.Command{Kind: joblog.AssignKind, ItemID: other.door, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		s.wantSees(s.lead, h, true)
		s.wantSees(s.rosa, h, true)
		s.wantSees(s.ivan, h, false) // he is on the other job
		s.wantSees(s.ivan, other, true)

		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		s.wantSees(s.ivan, h, true)
		s.wantSees(s.rosa, h, true)

		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{}})
		s.wantSees(s.ivan, h, false)
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		s.wantSees(s.ivan, h, true)
		s.wantSees(s.rosa, h, false)
	})

	t.Run("who has one of two things still sees the job without the other", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		second := newID()
		s.addDoor(h.job, h.room, second, "Hall door")
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: second, Assign: &joblog.Assign{PersonID: s.rosa.ID}})
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{}})
		s.wantSees(s.rosa, h, true)
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: second, Assign: &joblog.Assign{}})
		s.wantSees(s.rosa, h, false)
	})

	t.Run("what was taken off a job is not counted in the list", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.addDoor(h.job, h.room, newID(), "Hall door")
		counted := func() int {
			list, err := s.store.Jobs(ctx(t), s.lead.Viewer())
			s.must(err)
			for _, l := range list {
				if l.Job.ID == h.job {
					return l.Items
				}
			}
			t.Fatal("the job is not in the list")
			return 0
		}
		before := counted()
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.RemoveItemKind, ItemID: h.door, RemoveItem: &joblog.RemoveItem{Reason: "Walled up."}})
		if got := counted(); got != before-1 {
			t.Errorf("the list counts %d items, want %d", got, before-1)
		}
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.RestoreItemKind, ItemID: h.door, RestoreItem: &joblog.RestoreItem{}})
		if got := counted(); got != before {
			t.Errorf("put back, the list counts %d items, want %d", got, before)
		}
	})

	t.Run("one taken off a job delivers what was done before; one never on it is refused", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		late := take(h.door, "width_top", in(30, 0, 0))
		late.At = day.Add(-time.Hour)
		if out := s.give(s.rosa, h.job, late); !out.Applied {
			t.Errorf("rosa's late take: want it applied, got refused:%s", words(out.Findings))
		}
		s2 := s.house() // ivan was never on this one
		out := s.give(s.ivan, s2.job, take(s2.door, "width_top", in(30, 0, 0)))
		if out.Applied || !hasCode(out.Findings, "job_gone") {
			t.Errorf("ivan's take: want it refused for job_gone, got %+v", out)
		}
		kept, err := s.store.RefusedCommands(ctx(t), s.ivan.Viewer(), s2.job)
		s.must(err)
		if len(kept) != 1 {
			t.Errorf("kept for ivan: want 1, got %d", len(kept))
		}
		unknown := s.give(s.ivan, newID(), take(s2.door, "width_top", in(30, 0, 0)))
		if !reflect.DeepEqual(unknown.Findings, out.Findings) {
			t.Errorf("a job that is not there is told apart from one that is not theirs: %+v, %+v", unknown.Findings, out.Findings)
		}
	})

	t.Run("a job read is its log folded", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.measure(h)
		s.cut(h)
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"hinge_gap": int64(in(0, 3, 32))}}})
		got, err := s.store.Job(ctx(t), s.rosa.Viewer(), h.job)
		s.must(err)
		entries, last, err := s.store.Entries(ctx(t), s.rosa.Viewer(), h.job, 0, "", 0)
		s.must(err)
		want := joblog.NewState()
		for _, e := range entries {
			want.Apply(e)
		}
		if last != want.Seq || asJSON(t, got.State) != asJSON(t, want) {
			t.Errorf("job:\n got %s\nwant %s", asJSON(t, got.State), asJSON(t, want))
		}
		sc, err := s.store.Scope(ctx(t), s.rosa.Viewer(), h.job, h.door)
		s.must(err)
		if asJSON(t, sc.Item) != asJSON(t, want.Items[h.door]) || asJSON(t, sc.Room) != asJSON(t, want.Rooms[h.room]) || asJSON(t, sc.Job) != asJSON(t, want.Job) {
			t.Errorf("scope: got %s, want that of the folded log", asJSON(t, sc))
		}
	})

	t.Run("the log is read by number, item and length", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		second := newID()
		s.addDoor(h.job, h.room, second, "Hall door") // 5
		s.do(s.rosa, h.job, note(h.door, "Hinge side is out."))
		s.do(s.rosa, h.job, note(second, "No stop yet."))
		for _, tc := range []struct {
			name  string
			after int64
			item  string
			limit int
			want  []int64
		}{
			{"all", 0, "", 0, []int64{1, 2, 3, 4, 5, 6, 7}},
			{"after", 5, "", 0, []int64{6, 7}},
			{"limit", 0, "", 3, []int64{1, 2, 3}},
			{"item", 0, h.door, 0, []int64{3, 4, 6}},
			{"item after", 4, h.door, 0, []int64{6}},
			{"beyond the end", 7, "", 0, nil},
		} {
			entries, last, err := s.store.Entries(ctx(t), s.rosa.Viewer(), h.job, tc.after, tc.item, tc.limit)
			s.must(err)
			var got []int64
			for _, e := range entries {
				got = append(got, e.Seq)
			}
			if !reflect.DeepEqual(got, tc.want) || last != 7 {
				t.Errorf("%s: want %v and last 7, got %v and %d", tc.name, tc.want, got, last)
			}
		}
	})

	t.Run("lists and counts", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.clock.Move(time.Hour)
		newer := s.house()
		s.do(s.rosa, newer.job, note(newer.door, "Second house."))
		jobs, err := s.store.Jobs(ctx(t), s.lead.Viewer())
		s.must(err)
		if len(jobs) != 2 || jobs[0].Job.ID != newer.job || jobs[1].Job.ID != h.job {
			t.Fatalf("jobs: want the newer first, got %+v", jobs)
		}
		if j := jobs[0]; j.Seq != 5 || j.Rooms != 1 || j.Items != 1 || j.Job.Name != "Alder Street 12" || !j.ChangedAt.Equal(day.Add(time.Hour)) {
			t.Errorf("line: want entry 5, one room, one item, changed %v; got %+v", day.Add(time.Hour), j)
		}
		people, err := s.store.People(ctx(t), s.rosa.Viewer())
		s.must(err)
		want := []account.Member{{Person: s.ivan}, {Person: s.lead}, {Person: s.rosa}}
		if !reflect.DeepEqual(people, want) {
			t.Errorf("people: want %+v, got %+v", want, people)
		}
	})

	t.Run("house rules", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		set := houserules.Set{"hinge_gap": int64(in(0, 3, 32))}
		if err := s.store.SetHouseRules(ctx(t), s.rosa.Viewer(), set); !fault.Is(err, fault.Forbidden) {
			t.Errorf("an installer sets them: want forbidden, got %v", err)
		}
		for name, bad := range map[string]houserules.Set{"unknown": {"door_color": 3}, "out of range": {"hinge_gap": int64(in(3, 0, 0))}} {
			if err := s.store.SetHouseRules(ctx(t), s.lead.Viewer(), bad); !fault.Is(err, fault.Invalid) {
				t.Errorf("%s: want invalid, got %v", name, err)
			}
		}
		s.must(s.store.SetHouseRules(ctx(t), s.lead.Viewer(), set))
		got, err := s.store.HouseRules(ctx(t), s.rosa.Viewer())
		s.must(err)
		if !reflect.DeepEqual(got, set) {
			t.Errorf("want %v, got %v", set, got)
		}
	})
}

// wantSees asks for the house every way there is.
func (s *site) wantSees(p account.Person, h house, want bool) {
	s.t.Helper()
	check := func(what string, err error) {
		s.t.Helper()
		if want && err != nil || !want && !fault.Is(err, fault.NotFound) {
			s.t.Errorf("%s reads %s: want seen %v, got %v", p.Name, what, want, err)
		}
	}
	_, err := s.store.Job(ctx(s.t), p.Viewer(), h.job)
	check("the job", err)
	_, err = s.store.Scope(ctx(s.t), p.Viewer(), h.job, h.door)
	check("the item", err)
	_, _, err = s.store.Entries(ctx(s.t), p.Viewer(), h.job, 0, "", 0)
	check("the log", err)
	jobs, err := s.store.Jobs(ctx(s.t), p.Viewer())
	s.must(err)
	listed := false
	for _, j := range jobs {
		listed = listed || j.Job.ID == h.job
	}
	if listed != want {
		s.t.Errorf("%s's list of jobs: want the job in it %v, got %v", p.Name, want, listed)
	}
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// stageOf reads a stage's row.
func (s *site) stageOf(item string, st stage.Stage) string {
	s.t.Helper()
	return value[string](s, `select status from stages where item_id = $1 and stage = $2`, item, string(st))
}
