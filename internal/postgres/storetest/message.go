package storetest

import (
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/message"
	"longpoint/internal/postgres"
	"longpoint/internal/walk"
)

const walkLink = "https://trim.example/walk#secret"

// writing is the same store with e-mail on.
func (s *site) writing() *postgres.Store {
	return s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, Mail: true})
}

// told makes a contact and messages about the house's newest walk.
func (s *site) told(h house) {
	s.t.Helper()
	w := s.value(h)
	s.must(s.writing().MakeLink(ctx(s.t), s.lead.Viewer(), account.NewLink{JobID: h.job, WalkID: w, TokenHash: hashed("z"),
		ExpiresAt: s.clock.Now().Add(time.Hour), Link: walkLink, GuestEmail: "ada@example.com", LeadEmail: "lead@example.com"}))
}

func (s *site) value(h house) string {
	return value[string](s, `select walk_id::text from walks where job_id = $1`, h.job)
}

// taken takes what is due and returns it by kind and address.
func taken(s *site, store *postgres.Store) (out []message.Message, names []string) {
	s.t.Helper()
	out, err := store.TakeMessages(ctx(s.t), 20, time.Minute)
	s.must(err)
	for _, m := range out {
		names = append(names, string(m.Kind)+" to "+m.Email)
	}
	slices.Sort(names)
	return out, names
}

func testMessages(t *testing.T) {
	t.Run("a walkthrough is told of when it is ready, fixed and signed", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		if got := value[int64](s, `select count(*) from messages`); got != 0 {
			t.Errorf("with e-mail off: %d messages, want none", got)
		}
		s.store = s.writing()
		s.told(w.house)
		due, names := taken(s, s.store)
		if !slices.Equal(names, []string{"walk_ready to ada@example.com"}) {
			t.Fatalf("ready: got %q", names)
		}
		if m := due[0]; m.Says["link"] != walkLink || m.Language != "es" || m.Says["name"] != "Ada Brandt" || m.Says["job"] != "Alder Street 12" || m.Says["company"] == "" || m.Tries != 1 {
			t.Errorf("ready: got %+v, want the link, in Spanish, to Ada", m)
		}
		due[0].State = message.Sent
		s.must(s.store.SettleMessage(ctx(t), due[0]))
		if left := value[int64](s, `select count(*) from messages where says::text like '%secret%'`); left != 0 {
			t.Error("the link is kept once it is sent")
		}
		for _, text := range []string{"by the switch", "at the sill"} {
			said := s.command(w.job, joblog.Command{Kind: joblog.SayRemarkKind, WalkID: w.walk, RoomID: w.room, SayRemark: &joblog.SayRemark{About: walk.Other, Text: text}})
			out, err := s.store.Submit(ctx(t), w.guest.Viewer(), said, s.clock.Now())
			if err != nil || !out.Applied {
				t.Fatalf("the remark: %+v, %v", out, err)
			}
			s.do(s.lead, w.job, joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: w.walk, RoomID: w.room,
				MoveRemark: &joblog.MoveRemark{RemarkID: said.ID, Act: walk.Agree, PersonID: s.rosa.ID}})
			fix := s.command(w.job, joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: w.walk, RoomID: w.room,
				MoveRemark: &joblog.MoveRemark{RemarkID: said.ID, Act: walk.Fix}})
			for range 2 { // the same command again tells nobody again
				out, err := s.store.Submit(ctx(t), s.lead.Viewer(), fix, s.clock.Now())
				if err != nil || !out.Applied {
					t.Fatalf("fixing: %+v, %v", out, err)
				}
			}
		}
		if _, names := taken(s, s.store); len(names) != 0 {
			t.Errorf("at once: got %q, want that it waits for what else is fixed", names)
		}
		s.clock.Move(message.FixedWait)
		due, names = taken(s, s.store)
		if !slices.Equal(names, []string{"walk_fixed to ada@example.com"}) {
			t.Fatalf("fixed: got %q, want one for both", names)
		}
		if lines := strings.Split(due[0].Says["what"], "\n"); len(lines) != 2 || !strings.HasSuffix(lines[0], ": by the switch") || !strings.HasSuffix(lines[1], ": at the sill") {
			t.Errorf("fixed: got %q, want both in a line each", lines)
		}
		s.sign(w)
		due, names = taken(s, s.store)
		if !slices.Equal(names, []string{"walk_record to ada@example.com", "walk_signed to lead@example.com"}) {
			t.Fatalf("signed: got %q", names)
		}
		if due[0].Says["signer"] != "Ada Brandt" {
			t.Errorf("signed: got %v, want who signed", due[0].Says)
		}
		s.wantClean()
	})

	t.Run("one at a time, and what is not settled comes again", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.openWalk(h)
		s.store = s.writing()
		s.told(h)
		other := s.writing()
		first, _ := taken(s, s.store)
		if again, _ := taken(s, other); len(first) != 1 || len(again) != 0 {
			t.Fatalf("two nodes took %d and %d, want 1 and none", len(first), len(again))
		}
		s.clock.Move(time.Minute)
		again, _ := taken(s, other) // the first died while it sent
		if len(again) != 1 || again[0].ID != first[0].ID || again[0].Tries != 2 {
			t.Fatalf("after the lease: got %+v, want the same message a second time", again)
		}
		m := again[0]
		m.State, m.Trouble, m.DueAt = message.Waiting, message.NoAnswer, s.clock.Now().Add(time.Hour)
		s.must(s.store.SettleMessage(ctx(t), m))
		s.clock.Move(time.Hour)
		if late, _ := taken(s, s.store); len(late) != 1 {
			t.Fatalf("when it is due again: got %d, want it", len(late))
		}
		m.State, m.Trouble = message.Failed, message.AddressRefused
		s.must(s.store.SettleMessage(ctx(t), m))
		s.clock.Move(100 * time.Hour)
		if late, _ := taken(s, s.store); len(late) != 0 {
			t.Error("what was given up was taken again")
		}
		got, err := s.store.Messages(ctx(t), s.lead.Viewer(), h.job)
		if err != nil || len(got) != 1 || got[0].State != message.Failed || got[0].Trouble != message.AddressRefused || got[0].Says != nil {
			t.Errorf("the lead sees %+v, %v, want the failure and not what it says", got, err)
		}
		if _, err := s.store.Messages(ctx(t), s.rosa.Viewer(), h.job); !fault.Is(err, fault.Forbidden) {
			t.Errorf("an installer: got %v, want forbidden", err)
		}
		_, stranger, _, _ := s.crew("inland")
		if err := s.store.TryAgain(ctx(t), stranger.Viewer(), m.ID); !fault.Is(err, fault.NotFound) {
			t.Errorf("another company's lead tries it: got %v, want not_found", err)
		}
		s.must(s.store.TryAgain(ctx(t), s.lead.Viewer(), m.ID))
		last, _ := taken(s, s.store)
		if len(last) != 1 || last[0].Tries != 1 || last[0].Says["link"] != walkLink || !last[0].BegunAt.Equal(s.clock.Now()) {
			t.Errorf("tried again: got %+v, want it whole and from anew", last)
		}
		last[0].State = message.Sent
		s.must(s.store.SettleMessage(ctx(t), last[0]))
		if err := s.store.TryAgain(ctx(t), s.lead.Viewer(), m.ID); !fault.Is(err, fault.NotFound) {
			t.Errorf("one that was sent: got %v, want not_found", err)
		}
	})

	t.Run("a link that has ended is not sent any more", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		w := s.openWalk(h)
		s.store = s.writing()
		s.told(h)
		due, _ := taken(s, s.store)
		s.must(s.store.EndLinks(ctx(t), s.lead.Viewer(), w.job, w.walk))
		due[0].State, due[0].DueAt = message.Waiting, s.clock.Now()
		s.must(s.store.SettleMessage(ctx(t), due[0]))
		if again, _ := taken(s, s.store); len(again) != 0 {
			t.Error("the ended link was taken")
		}
		s.must(s.store.MakeLink(ctx(t), s.lead.Viewer(), account.NewLink{JobID: h.job, WalkID: w.walk, TokenHash: hashed("y"),
			ExpiresAt: s.clock.Now().Add(time.Hour), Link: walkLink + "2"}))
		next, names := taken(s, s.store)
		if !slices.Equal(names, []string{"walk_ready to ada@example.com"}) || next[0].Says["link"] != walkLink+"2" {
			t.Errorf("another link: got %q, want it told where the last went", names)
		}
		if got := rows[string](s, `select state from messages order by made_at, state`); !slices.Equal(got, []string{"overtaken", "waiting"}) {
			t.Errorf("states: got %q", got)
		}
	})

	t.Run("who is told can be changed, and what did not get through goes to the new address", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		w := s.openWalk(h)
		s.store = s.writing()
		s.told(h)
		due, _ := taken(s, s.store)
		due[0].State, due[0].Trouble = message.Failed, message.AddressRefused
		s.must(s.store.SettleMessage(ctx(t), due[0]))
		wants := func(what string, want account.Contacts) {
			t.Helper()
			if got, err := s.store.Contacts(ctx(t), s.lead.Viewer(), w.job, w.walk); err != nil || got != want {
				t.Errorf("%s: got %+v, %v, want %+v", what, got, err, want)
			}
		}
		wants("as opened", account.Contacts{Language: "es", GuestEmail: "ada@example.com", LeadEmail: "lead@example.com"})
		next := account.Contacts{Language: "en", GuestEmail: "ada.brandt@example.com", LeadEmail: "lead@example.com"}
		s.must(s.store.SetContacts(ctx(t), s.lead.Viewer(), w.job, w.walk, next))
		wants("mended", next)
		again, names := taken(s, s.store)
		if !slices.Equal(names, []string{"walk_ready to ada.brandt@example.com"}) || again[0].Language != "en" || again[0].Says["link"] != walkLink || again[0].Tries != 1 {
			t.Errorf("got %q, %+v, want what failed sent to the new address from anew", names, again)
		}
		s.must(s.store.SetContacts(ctx(t), s.lead.Viewer(), w.job, w.walk, account.Contacts{Language: "en"}))
		wants("taken out", account.Contacts{Language: "en"})
		s.clock.Move(time.Hour)
		if left, names := taken(s, s.store); len(left) != 0 {
			t.Errorf("with nobody to tell: got %q", names)
		}
		s.sign(w)
		if left, names := taken(s, s.store); len(left) != 0 {
			t.Errorf("signed with nobody to tell: got %q", names)
		}
		if err := s.store.SetContacts(ctx(t), s.rosa.Viewer(), w.job, w.walk, next); !fault.Is(err, fault.Forbidden) {
			t.Errorf("an installer: got %v, want forbidden", err)
		}
		_, stranger, _, _ := s.crew("inland")
		if err := s.store.SetContacts(ctx(t), stranger.Viewer(), w.job, w.walk, next); !fault.Is(err, fault.NotFound) {
			t.Errorf("another company's lead: got %v, want not_found", err)
		}
	})

	t.Run("an invitation is sent, and not once it is taken back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.store = s.writing()
		i := account.Invite{ID: newID(), CompanyID: s.company.ID, Role: joblog.Installer, Name: "Sol", Language: "es", InvitedBy: s.lead.ID,
			ExpiresAt: s.clock.Now().Add(account.InviteTime), Email: "sol@example.com", Link: "https://trim.example/join#secret"}
		_, err := s.store.MakeInvite(ctx(t), s.lead.Viewer(), i, hashed("n"))
		s.must(err)
		due, names := taken(s, s.store)
		if !slices.Equal(names, []string{"invite to sol@example.com"}) || due[0].Says["link"] != i.Link || due[0].Says["by"] != s.lead.Name || due[0].Language != "es" {
			t.Errorf("the invitation: got %+v", due)
		}
		s.must(s.store.EndInvite(ctx(t), s.lead.Viewer(), i.ID))
		if got := value[string](s, `select state || says::text from messages`); got != "overtaken{}" {
			t.Errorf("taken back: got %s, want it overtaken and empty", got)
		}
	})
}
