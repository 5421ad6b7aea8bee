package storetest

import (
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/walk"
	"longpoint/migrations"
)

// beforeWalks is how many steps there were before walkthroughs.
const beforeWalks = 2

// walkthrough is a walk of a house's only room with a link to it.
type walkthrough struct {
	house
	walk  string
	guest account.Person
	token string // its hash
}

func hashed(letter string) string { return strings.Repeat(letter, 43) }

// openWalk opens a walkthrough of the house for a week and gives it a link and a key.
func (s *site) openWalk(h house) walkthrough {
	s.t.Helper()
	w := walkthrough{house: h, walk: newID(), token: hashed("t")}
	w.guest = account.Person{ID: newID(), CompanyID: s.company.ID, Name: "Ada Brandt", Role: joblog.Guest, Language: "es", Unit: length.Inches}
	s.must(s.store.AddGuest(ctx(s.t), s.lead.Viewer(), w.guest))
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.OpenWalkKind, WalkID: w.walk,
		OpenWalk: &joblog.OpenWalk{GuestID: w.guest.ID, ExpiresAt: s.clock.Now().Add(7 * 24 * time.Hour)}})
	s.must(s.store.MakeLink(ctx(s.t), s.lead.Viewer(), account.NewLink{JobID: h.job, WalkID: w.walk, TokenHash: w.token,
		PassphraseHash: hash, ExpiresAt: s.clock.Now().Add(7 * 24 * time.Hour)}))
	link, _, err := s.store.FindLink(ctx(s.t), w.token)
	s.must(err)
	s.must(s.store.AddKey(ctx(s.t), link, w.token, hashed("k")))
	return w
}

func (w walkthrough) say(about walk.About, text string) joblog.Command {
	return joblog.Command{Kind: joblog.SayRemarkKind, WalkID: w.walk, RoomID: w.room, ItemID: w.door, SayRemark: &joblog.SayRemark{About: about, Text: text}}
}

func testWalks(t *testing.T) {
	t.Run("what a guest says stands in the log, on the walk and on the item", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		said := s.command(w.job, w.say(walk.NailHole, "by the switch"))
		out, err := s.store.Submit(ctx(t), w.guest.Viewer(), said, s.clock.Now())
		if err != nil || !out.Applied {
			t.Fatalf("the guest's remark: %+v, %v", out, err)
		}
		s.do(s.lead, w.job, joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: w.walk, ItemID: w.door,
			MoveRemark: &joblog.MoveRemark{RemarkID: said.ID, Act: walk.Agree, PersonID: s.rosa.ID}})
		link, passphrase, err := s.store.FindLink(ctx(t), w.token)
		if err != nil || passphrase != hash || link.Viewer() != w.guest.Viewer() {
			t.Fatalf("the link opens %+v with %q, %v; want the guest's walk", link, passphrase, err)
		}
		job, err := s.store.WalkJob(ctx(t), link)
		s.must(err)
		got := job.State.Walks[w.walk]
		if got == nil || len(got.Remarks) != 1 || got.Remarks[0].State != walk.Agreed || got.Remarks[0].Text != "by the switch" {
			t.Errorf("the walk is kept as %+v, want one agreed remark", got)
		}
		if on := job.State.Items[w.door].Remarks; len(on) != 1 || on[0].ID != said.ID || on[0].State != walk.Agreed {
			t.Errorf("the door carries %+v, want the agreed remark", on)
		}
		s.wantClean()
		s.exec(`update walks set state = jsonb_set(state, '{remarks,0,state}', '"accepted"') where walk_id = $1`, w.walk)
		rep, err := s.store.Rebuild(ctx(t), postgres.Rebuilding{CompanyID: s.company.ID})
		if err != nil || len(rep.Differences) != 1 || rep.Differences[0].Table != "walks" {
			t.Errorf("a tampered walk: got %+v, %v, want one difference in walks", rep.Differences, err)
		}
		s.wantClean()
	})

	t.Run("a guest is nobody anywhere else", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		other := s.house()
		for name, c := range map[string]joblog.Command{
			"another job of the crew's": {JobID: other.job, Kind: joblog.SayRemarkKind, WalkID: w.walk, RoomID: other.room, ItemID: other.door, SayRemark: &joblog.SayRemark{About: walk.Dent}},
			"the crew's own work":       {JobID: w.job, Kind: joblog.NoteKind, ItemID: w.door, Note: &joblog.Note{Text: "hello"}},
		} {
			out, err := s.store.Submit(ctx(t), w.guest.Viewer(), s.command(c.JobID, c), s.clock.Now())
			if err != nil || out.Applied {
				t.Errorf("%s: got %+v, %v, want it refused", name, out, err)
			}
		}
		if jobs, err := s.store.Jobs(ctx(t), w.guest.Viewer()); err != nil || len(jobs) != 0 {
			t.Errorf("the guest's jobs: got %d, %v, want none", len(jobs), err)
		}
		for name, read := range map[string]func() error{
			"the job":     func() error { _, err := s.store.Job(ctx(t), w.guest.Viewer(), w.job); return err },
			"an item":     func() error { _, err := s.store.Scope(ctx(t), w.guest.Viewer(), w.job, w.door); return err },
			"its entries": func() error { _, _, err := s.store.Entries(ctx(t), w.guest.Viewer(), w.job, 0, "", 10); return err },
		} {
			if err := read(); fault.CodeOf(err) != fault.NotFound {
				t.Errorf("%s: got %v, want not_found", name, err)
			}
		}
		people, err := s.store.People(ctx(t), s.lead.Viewer())
		s.must(err)
		for _, p := range people {
			if p.Role == joblog.Guest {
				t.Errorf("%s stands among the crew", p.Name)
			}
		}
		if _, _, err := s.store.FindSignIn(ctx(t), ""); fault.CodeOf(err) != fault.NotFound {
			t.Errorf("signing in as a guest: got %v, want not_found", err)
		}
	})

	t.Run("links end: at their time, by hand, and when a new one is made", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		gone := func(when, token, key string) {
			t.Helper()
			if _, _, err := s.store.FindLink(ctx(t), token); fault.CodeOf(err) != fault.NotFound {
				t.Errorf("the link %s: got %v, want not_found", when, err)
			}
			if _, err := s.store.FindKey(ctx(t), key); fault.CodeOf(err) != fault.NotFound {
				t.Errorf("its key %s: got %v, want not_found", when, err)
			}
		}
		if l, err := s.store.FindKey(ctx(t), hashed("k")); err != nil || l.WalkID != w.walk {
			t.Fatalf("the key opens %+v, %v", l, err)
		}
		again := account.NewLink{JobID: w.job, WalkID: w.walk, TokenHash: hashed("u"), ExpiresAt: s.clock.Now().Add(time.Hour)}
		if err := s.store.MakeLink(ctx(t), s.rosa.Viewer(), again); fault.CodeOf(err) != fault.Forbidden {
			t.Errorf("an installer makes a link: got %v, want forbidden", err)
		}
		s.must(s.store.MakeLink(ctx(t), s.lead.Viewer(), again))
		gone("after a new one was made", w.token, hashed("k"))
		l, passphrase, err := s.store.FindLink(ctx(t), hashed("u"))
		if err != nil || passphrase != "" {
			t.Fatalf("the new link: %q, %v", passphrase, err)
		}
		s.must(s.store.AddKey(ctx(t), l, hashed("u"), hashed("l")))
		s.clock.Move(time.Hour)
		gone("at its time", hashed("u"), hashed("l"))
		again.TokenHash, again.ExpiresAt = hashed("v"), s.clock.Now().Add(time.Hour)
		s.must(s.store.MakeLink(ctx(t), s.lead.Viewer(), again))
		s.must(s.store.EndLinks(ctx(t), s.lead.Viewer(), w.job, w.walk))
		gone("ended by hand", hashed("v"), hashed("m"))
		again.WalkID, again.TokenHash = newID(), hashed("w")
		if err := s.store.MakeLink(ctx(t), s.lead.Viewer(), again); fault.CodeOf(err) != fault.NotFound {
			t.Errorf("a link to no walk: got %v, want not_found", err)
		}
	})

	t.Run("a link that outlives its walk moves the walk's day, in the log and with it or not at all", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		until := func() time.Time {
			return value[time.Time](s, `select (state ->> 'expires_at')::timestamptz from walks where walk_id = $1`, w.walk)
		}
		day := until()
		link := account.NewLink{JobID: w.job, WalkID: w.walk, TokenHash: hashed("u"), ExpiresAt: day.Add(-time.Hour), ExtendID: newID()}
		s.must(s.store.MakeLink(ctx(t), s.lead.Viewer(), link))
		if got := until(); !got.Equal(day) {
			t.Errorf("by a link that ends before: the walk's day is %s, want %s still", got, day)
		}
		link.ExpiresAt, link.ExtendID = day.Add(time.Hour), newID() // the link's hash is taken: nothing of it is to stay
		if err := s.store.MakeLink(ctx(t), s.lead.Viewer(), link); err == nil || !until().Equal(day) {
			t.Errorf("with a link that could not be made: got %v and the day %s, want %s still", err, until(), day)
		}
		link.TokenHash = hashed("v")
		s.must(s.store.MakeLink(ctx(t), s.lead.Viewer(), link))
		if got := until(); !got.Equal(link.ExpiresAt) {
			t.Errorf("by a link that outlives it: the walk's day is %s, want %s", got, link.ExpiresAt)
		}
		if got := rows[string](s, `select person_id::text from entries where kind = 'extend_walk'`); !slices.Equal(got, []string{s.lead.ID}) {
			t.Errorf("who moved the day, by the log: got %q, want the lead once", got)
		}
		s.clock.Move(7*24*time.Hour + time.Minute)
		if out, err := s.store.Submit(ctx(t), w.guest.Viewer(), s.command(w.job, w.say(walk.Dent, "")), s.clock.Now()); err != nil || !out.Applied {
			t.Errorf("after the first day the homeowner's remark: got %+v, %v, want it taken", out.Findings, err)
		}
		s.wantClean()
	})

	t.Run("another company's lead reaches neither guest nor walk", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		_, lead, _, _ := s.crew("inland")
		if err := s.store.MakeLink(ctx(t), lead.Viewer(), account.NewLink{JobID: w.job, WalkID: w.walk, TokenHash: hashed("x"), ExpiresAt: day.Add(time.Hour)}); fault.CodeOf(err) != fault.NotFound {
			t.Errorf("a link to another company's walk: got %v, want not_found", err)
		}
		job := newID()
		s.do(lead, job, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Elsewhere", Unit: length.Inches}})
		c := s.command(job, joblog.Command{Kind: joblog.OpenWalkKind, WalkID: newID(), OpenWalk: &joblog.OpenWalk{GuestID: w.guest.ID, ExpiresAt: day.Add(time.Hour)}})
		if _, err := s.store.Submit(ctx(t), lead.Viewer(), c, s.clock.Now()); fault.CodeOf(err) != fault.Invalid {
			t.Errorf("a walk for another company's guest: got %v, want invalid", err)
		}
	})

	t.Run("the way back leaves guests as people nobody can sign in as", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		s.do(s.lead, w.job, note(w.door, "before the way back"))
		s.must(migrations.Down(ctx(t), s.db.OwnerURL, migrations.Count()-beforeWalks))
		role := value[string](s, `select role || ' ' || (passphrase_hash = '$argon2id$') from people where person_id = $1`, w.guest.ID)
		if role != "installer true" {
			t.Errorf("the guest is %q, want an installer without a passphrase", role)
		}
		s.must(migrations.Up(ctx(t), s.db.OwnerURL))
		s.do(s.lead, w.job, note(w.door, "forward again"))
	})
}
