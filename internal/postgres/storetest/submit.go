package storetest

import (
	"reflect"
	"sync"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

func testSubmit(t *testing.T) {
	t.Run("appends and counts", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house() // four entries
		out := s.do(s.rosa, h.job, take(h.door, "width_top", in(30, 0, 0)))
		if out.FirstSeq != 5 || out.LastSeq != 5 || out.Repeated {
			t.Errorf("outcome: want entry 5, not repeated; got %+v", out)
		}
		entries, last, err := s.store.Entries(ctx(t), s.rosa.Viewer(), h.job, 4, "", 0)
		s.must(err)
		if last != 5 || len(entries) != 1 {
			t.Fatalf("want the one entry after 4 and last 5, got %d entries and last %d", len(entries), last)
		}
		e := entries[0]
		if e.Seq != 5 || e.PersonID != s.rosa.ID || e.Role != joblog.Installer || e.RuleBook != joblog.RuleBook || !e.LoggedAt.Equal(day) {
			t.Errorf("entry 5: want rosa's, by an installer, rule book %s, logged %v; got %+v", joblog.RuleBook, day, e)
		}
		if e.Command.TakeReading == nil || e.Command.TakeReading.Value != in(30, 0, 0) {
			t.Errorf("entry 5: want the command as sent, got %+v", e.Command)
		}
	})

	t.Run("the same command again does nothing twice", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		c := s.command(h.job, take(h.door, "width_top", in(30, 0, 0)))
		first, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, day)
		s.must(err)
		s.clock.Move(time.Hour)
		second, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, s.clock.Now())
		s.must(err)
		want := first
		want.Repeated = true
		if !reflect.DeepEqual(second, want) {
			t.Errorf("second: want %+v, got %+v", want, second)
		}
		if n := value[int64](s, `select count(*) from entries where command_id = $1`, c.ID); n != 1 {
			t.Errorf("entries of the command: want 1, got %d", n)
		}
	})

	t.Run("an id with another body, job or kind is a conflict", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h, other := s.house(), s.house()
		c := s.command(h.job, take(h.door, "width_top", in(30, 0, 0)))
		_, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, day)
		s.must(err)
		changed := map[string]func(*joblog.Command){
			"value": func(c *joblog.Command) {
				c.TakeReading = &joblog.TakeReading{Reading: "width_top", Value: in(31, 0, 0), Tool: "tape"}
			},
			"job":  func(c *joblog.Command) { c.JobID, c.ItemID = other.job, other.door },
			"time": func(c *joblog.Command) { c.At = c.At.Add(time.Second) },
		}
		for name, change := range changed {
			x := c
			change(&x)
			if _, err := s.store.Submit(ctx(t), s.rosa.Viewer(), x, day); !fault.Is(err, fault.Conflict) {
				t.Errorf("another %s: want conflict, got %v", name, err)
			}
		}
		if n := value[int64](s, `select next_seq from jobs where job_id = $1`, h.job); n != 6 {
			t.Errorf("next number: want 6, got %d", n)
		}
	})

	t.Run("twenty of one command at once are one", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		lead, rosa := s.lead, s.rosa
		job := newID()
		for name, tc := range map[string]struct {
			by  account.Person
			c   joblog.Command
			seq int64
		}{
			"a take, under the job's lock": {rosa, s.command(h.job, take(h.door, "width_top", in(30, 0, 0))), 5},
			"a new job, with no row to lock": {lead, s.command(job, joblog.Command{Kind: joblog.CreateJobKind,
				CreateJob: &joblog.CreateJob{Name: "Birch Lane 3", Unit: length.Millimeters}}), 1},
			"one refused, of a job that is not there": {rosa, s.command(newID(), take(h.door, "width_top", in(30, 0, 0))), 0},
		} {
			outs := make([]joblog.Outcome, 20)
			errs := make([]error, len(outs))
			var wg sync.WaitGroup
			for i := range outs {
				wg.Go(func() { outs[i], errs[i] = s.store.Submit(ctx(t), tc.by.Viewer(), tc.c, day) })
			}
			wg.Wait()
			firsts := 0
			for i, out := range outs {
				if errs[i] != nil {
					t.Errorf("%s: %v", name, errs[i])
					continue
				}
				if !out.Repeated {
					firsts++
				}
				if out.FirstSeq != tc.seq || out.Applied != (tc.seq > 0) {
					t.Errorf("%s: want number %d, got %+v", name, tc.seq, out)
				}
			}
			if firsts != 1 {
				t.Errorf("%s: want one first outcome, got %d", name, firsts)
			}
			if n := value[int64](s, `select count(*) from commands where command_id = $1`, tc.c.ID); n != 1 {
				t.Errorf("%s: want one command kept, got %d", name, n)
			}
		}
	})

	t.Run("a refused command is kept with its findings where its author sees it", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		c := s.command(h.job, tick(h.door, stage.Measured))
		out, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, day)
		s.must(err)
		if out.Applied || !hasCode(out.Findings, "reading_missing") {
			t.Fatalf("want it refused for reading_missing, got %+v", out)
		}
		kept, err := s.store.RefusedCommands(ctx(t), s.rosa.Viewer(), h.job)
		s.must(err)
		if len(kept) != 1 || !reflect.DeepEqual(kept[0].Command, c) || !reflect.DeepEqual(kept[0].Findings, out.Findings) || !kept[0].ReceivedAt.Equal(day) {
			t.Errorf("kept: want the command %+v with %+v, got %+v", c, out.Findings, kept)
		}
		again, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, day)
		s.must(err)
		if again.Applied || !again.Repeated || !reflect.DeepEqual(again.Findings, out.Findings) {
			t.Errorf("again: want the first refusal, got %+v", again)
		}
		others, err := s.store.RefusedCommands(ctx(t), s.lead.Viewer(), h.job)
		s.must(err)
		if len(others) != 0 {
			t.Errorf("the lead's own refused commands: want none, got %+v", others)
		}
		if n := value[int64](s, `select next_seq from jobs where job_id = $1`, h.job); n != 5 {
			t.Errorf("a refused command took a number: next is %d, want 5", n)
		}
	})

	t.Run("a device's clock is corrected and never ahead", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		for name, tc := range map[string]struct{ at, sentAt, want time.Time }{
			"right clock, an hour in the outbox": {day.Add(-time.Hour), day, day.Add(-time.Hour)},
			"clock a day ahead":                  {day.Add(23 * time.Hour), day.Add(24 * time.Hour), day.Add(-time.Hour)},
			"clock a year behind":                {day.AddDate(-1, 0, 0).Add(-time.Minute), day.AddDate(-1, 0, 0), day.Add(-time.Minute)},
			"dated after it was sent":            {day.Add(time.Hour), day, day},
			"no time of sending, ahead":          {day.Add(time.Hour), time.Time{}, day},
			"no time of sending, behind":         {day.Add(-time.Hour), time.Time{}, day.Add(-time.Hour)},
			"finer than a microsecond":           {day.Add(-1500 * time.Nanosecond), day, day.Add(-2 * time.Microsecond)},
		} {
			c := take(h.door, "width_top", in(30, 0, 0))
			c.At = tc.at
			c = s.command(h.job, c)
			out, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, tc.sentAt)
			s.must(err)
			entries, _, err := s.store.Entries(ctx(t), s.rosa.Viewer(), h.job, out.FirstSeq-1, "", 1)
			s.must(err)
			if got := entries[0]; !got.DidAt.Equal(tc.want) || !got.LoggedAt.Equal(day) {
				t.Errorf("%s: want done %v and logged %v, got %v and %v", name, tc.want, day, got.DidAt, got.LoggedAt)
			}
			if got := entries[0].Command.At; !got.Equal(tc.at) {
				t.Errorf("%s: the device's own time: want %v, got %v", name, tc.at, got)
			}
		}
		s.wantClean() // what was kept in the item is what was logged, to the last digit
	})

	t.Run("an id in another spelling is refused at the door", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		for name, change := range map[string]func(*joblog.Command){
			"upper case": func(c *joblog.Command) { c.ID = "0192ABCD-0000-7000-8000-000000000001" },
			"no UUID":    func(c *joblog.Command) { c.ID = "17" },
			"empty":      func(c *joblog.Command) { c.ID = "" },
			"braces":     func(c *joblog.Command) { c.ItemID = "{" + h.door + "}" },
			"job":        func(c *joblog.Command) { c.JobID = "alder" },
		} {
			c := s.command(h.job, take(h.door, "width_top", in(30, 0, 0)))
			change(&c)
			if _, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, day); !fault.Is(err, fault.Invalid) {
				t.Errorf("%s: want invalid, got %v", name, err)
			}
		}
	})

	t.Run("nobody is assigned who is not in the company", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		_, _, stranger, _ := s.crew("inland")
		c := s.command(h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: stranger.ID}})
		if _, err := s.store.Submit(ctx(t), s.lead.Viewer(), c, day); !fault.Is(err, fault.Invalid) {
			t.Errorf("want invalid, got %v", err)
		}
		sc, err := s.store.Scope(ctx(t), s.lead.Viewer(), h.job, h.door)
		s.must(err)
		if sc.Item.AssignedTo != s.rosa.ID {
			t.Errorf("assigned to: want rosa as before, got %q", sc.Item.AssignedTo)
		}
	})
}
