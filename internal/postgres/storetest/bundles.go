package storetest

import (
	"strings"
	"sync"
	"testing"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	jobsetup "longpoint/internal/setup"
	"longpoint/internal/trim"
)

// addRooms is a bundle that adds rooms, each with a door.
func (s *site) addRooms(job string, names ...string) postgres.Bundle {
	id := newID()
	return postgres.Bundle{ID: id, JobID: job, Digest: strings.Repeat("a", 64), At: s.clock.Now(), SentAt: s.clock.Now(),
		Make: func(*joblog.State, houserules.Set) ([]joblog.Command, error) {
			var rooms []jobsetup.Room
			for _, name := range names {
				rooms = append(rooms, jobsetup.Room{Name: name, Level: "upper", Rules: houserules.Set{"reveal": int64(length.Quarter)},
					Items: []jobsetup.Item{{Key: name, Name: name + " door", Spec: joblog.Spec{Unit: trim.CommonUnit(trim.Door)}}}})
			}
			return jobsetup.Copies(rooms, job, "", "", jobsetup.Mint(id)), nil
		}}
}

func testBundles(t *testing.T) {
	t.Run("all of it is in the log, and the log makes the same rows", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.lived()
		before, err := s.store.Job(ctx(t), s.lead.Viewer(), h.job)
		s.must(err)
		bn := s.addRooms(h.job, "Attic", "Loft")
		out, err := s.store.SubmitTogether(ctx(t), s.lead.Viewer(), bn)
		s.must(err)
		if len(out.Refused) > 0 || out.FirstSeq != before.State.Seq+1 || out.LastSeq != before.State.Seq+6 {
			t.Fatalf("got %+v after %d", out, before.State.Seq)
		}
		pack := jobsetup.Package{CasingA: &trim.Casing{Style: trim.Mitered, Width: in(3, 1, 2), Thickness: in(0, 3, 4)}, Rules: houserules.Set{"reveal": int64(in(0, 3, 16))}}
		lay := postgres.Bundle{ID: newID(), JobID: h.job, Digest: strings.Repeat("b", 64), At: s.clock.Now(), Make: func(st *joblog.State, _ houserules.Set) ([]joblog.Command, error) {
			return pack.Apply(st, "", jobsetup.Mint("01900000-0000-7000-8000-000000000001")), nil
		}}
		laid, err := s.store.SubmitTogether(ctx(t), s.lead.Viewer(), lay)
		s.must(err)
		if len(laid.Refused) > 0 || laid.FirstSeq != out.LastSeq+1 {
			t.Errorf("the package: got %+v", laid)
		}
		rep, err := s.store.Rebuild(ctx(t), postgres.Rebuilding{CompanyID: s.company.ID, Check: true})
		s.must(err)
		for _, d := range rep.Differences {
			t.Errorf("the log makes it otherwise: %s", d)
		}
		if n := value[int64](s, `select count(*) from commands where job_id = $1 and first_seq between $2 and $3`, h.job, out.FirstSeq, out.LastSeq); n != 6 {
			t.Errorf("commands: got %d, want 6", n)
		}
	})

	t.Run("the same twice at once is taken once", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		bn := s.addRooms(h.job, "Attic")
		outs := make([]postgres.BundleOutcome, 4)
		var all sync.WaitGroup
		for i := range outs {
			all.Go(func() {
				var err error
				if outs[i], err = s.store.SubmitTogether(ctx(t), s.lead.Viewer(), bn); err != nil {
					t.Errorf("sending %d: %v", i, err)
				}
			})
		}
		all.Wait()
		firsts := 0
		for _, o := range outs {
			if !o.Repeated {
				firsts++
			}
			if o.FirstSeq != outs[0].FirstSeq || o.LastSeq != outs[0].LastSeq {
				t.Errorf("got %+v and %+v", o, outs[0])
			}
		}
		if n := value[int64](s, `select count(*) from rooms where name = 'Attic'`); firsts != 1 || n != 1 {
			t.Errorf("taken %d times, %d rooms", firsts, n)
		}
		bn.Digest = strings.Repeat("c", 64)
		if _, err := s.store.SubmitTogether(ctx(t), s.lead.Viewer(), bn); !fault.Is(err, fault.Conflict) {
			t.Errorf("another request under its id: got %v", err)
		}
	})

	t.Run("one refused command leaves nothing", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		bn := s.addRooms(h.job, "Attic")
		good := bn.Make
		bn.Make = func(st *joblog.State, company houserules.Set) ([]joblog.Command, error) {
			cs, err := good(st, company)
			cs[len(cs)-1].AddItem.Name = ""
			return cs, err
		}
		out, err := s.store.SubmitTogether(ctx(t), s.lead.Viewer(), bn)
		s.must(err)
		if len(out.Refused) != 1 || out.Refused[0].At != 2 || out.Refused[0].Findings[0].Code != "text_bad" {
			t.Errorf("got %+v", out)
		}
		bn.Make = func(st *joblog.State, company houserules.Set) ([]joblog.Command, error) {
			cs, err := good(st, company)
			cs[1] = s.command(h.job, tick(h.door, "measured")) // work is not taken so
			return cs, err
		}
		if out, err = s.store.SubmitTogether(ctx(t), s.lead.Viewer(), bn); err != nil || len(out.Refused) != 1 || out.Refused[0].At != 1 {
			t.Errorf("a tick among them: got %+v, %v", out, err)
		}
		if n := value[int64](s, `select count(*) from rooms where name = 'Attic'`) + value[int64](s, `select count(*) from bundles`); n != 0 {
			t.Errorf("%d rows stayed", n)
		}
		bn.Make = good
		if out, err = s.store.SubmitTogether(ctx(t), s.lead.Viewer(), bn); err != nil || out.Repeated || len(out.Refused) > 0 {
			t.Errorf("mended under the same id: got %+v, %v", out, err)
		}
	})

	t.Run("leads of the company only", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		_, far, _, _ := s.crew("inland")
		for _, c := range []struct {
			who  account.Person
			code fault.Code
		}{{s.rosa, fault.Forbidden}, {far, fault.NotFound}} {
			if _, err := s.store.SubmitTogether(ctx(t), c.who.Viewer(), s.addRooms(h.job, "X")); !fault.Is(err, c.code) {
				t.Errorf("%s: got %v, want %s", c.who.SignIn, err, c.code)
			}
		}
		tpl := jobsetup.Template{ID: newID(), Name: "Unit A", Rooms: []jobsetup.Room{{Name: "Hall", Level: "ground"}}}
		s.must(s.store.PutTemplate(ctx(t), s.lead.Viewer(), tpl))
		if _, err := s.store.Template(ctx(t), far.Viewer(), tpl.ID); !fault.Is(err, fault.NotFound) {
			t.Errorf("another company's template: got %v", err)
		}
		s.must(s.store.DropTemplate(ctx(t), far.Viewer(), tpl.ID))
		got, err := s.store.Template(ctx(t), s.lead.Viewer(), tpl.ID)
		if err != nil || got.Name != "Unit A" || len(got.Rooms) != 1 || got.Rooms[0].Name != "Hall" {
			t.Errorf("got %+v, %v", got, err)
		}
	})
}
