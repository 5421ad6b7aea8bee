package storetest

import (
	"encoding/json"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-webauthn/webauthn/webauthn"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// signedIn begins a session under a token's hash of one letter.
func (s *site) signedIn(p account.Person, letter string) {
	s.t.Helper()
	until := s.clock.Now().AddDate(0, 1, 0)
	data, err := account.SessionCodec{}.Encode(until, map[string]any{"person": p, "device": account.Device{ID: newID(), Name: "Android phone"}})
	s.must(err)
	s.must(s.store.Sessions().CommitCtx(ctx(s.t), hashed(letter), data, until))
}

func (s *site) isSignedIn(letter string) bool {
	s.t.Helper()
	_, found, err := s.store.Sessions().FindCtx(ctx(s.t), hashed(letter))
	s.must(err)
	return found
}

// invited keeps an invitation of the lead's, under a token's hash of one letter, for a week.
func (s *site) invited(i account.Invite, letter string) account.Invite {
	s.t.Helper()
	i.ID, i.ExpiresAt = newID(), s.clock.Now().Add(account.InviteTime)
	made, err := s.store.MakeInvite(ctx(s.t), s.lead.Viewer(), i, hashed(letter))
	s.must(err)
	made.CompanyID = s.company.ID
	return made
}

// passkey is one that a device calls by that name. It signs nothing: the tests of
// internal/httpapi do.
func passkey(id string) account.Passkey {
	b, err := json.Marshal(webauthn.Credential{ID: []byte(id), PublicKey: []byte("public")})
	if err != nil {
		panic(err)
	}
	return account.Passkey{ID: newID(), Name: "Android phone", Credential: b}
}

func (s *site) wantCode(what string, err error, want fault.Code) {
	s.t.Helper()
	if fault.CodeOf(err) != want {
		s.t.Errorf("%s: want %s, got %v", what, want, err)
	}
}

func testPeople(t *testing.T) {
	t.Run("an invitation is used once", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		i := s.invited(account.Invite{Role: joblog.Installer, Name: "Sol", Language: "es"}, "i")
		w, err := s.store.FindInvite(ctx(t), hashed("i"))
		s.must(err)
		if w.CompanyName != s.company.Name || w.InvitedByName != s.lead.Name || w.Role != joblog.Installer || w.Name != "Sol" || w.Used || w.Ended {
			t.Errorf("the invitation: got %+v", w)
		}
		// Six open the link at once; one joins.
		errs := make([]error, 6)
		var wg sync.WaitGroup
		for n := range errs {
			wg.Go(func() {
				p := account.Person{ID: newID(), CompanyID: s.company.ID, Name: "Sol", SignIn: "sol" + string(rune('a'+n)), Role: i.Role, Language: "es", Unit: length.Inches}
				errs[n] = s.store.UseInvite(ctx(t), i, p, hash, nil)
			})
		}
		wg.Wait()
		joined := 0
		for _, err := range errs {
			if err == nil {
				joined++
				continue
			}
			s.wantCode("using it again", err, fault.Conflict)
		}
		if n := value[int64](s, `select count(*) from people where name = 'Sol'`); joined != 1 || n != 1 {
			t.Errorf("want one to have joined, got %d told so and %d people", joined, n)
		}
		if w, err = s.store.FindInvite(ctx(t), hashed("i")); err != nil || !w.Used {
			t.Errorf("afterwards: want it used, got %+v and %v", w, err)
		}
	})

	t.Run("an invitation that ended or ran out brings nobody", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		sol := account.Person{ID: newID(), CompanyID: s.company.ID, Name: "Sol", SignIn: "sol", Role: joblog.Installer, Language: "es", Unit: length.Inches}
		ended := s.invited(account.Invite{Role: joblog.Installer, Language: "es"}, "e")
		s.must(s.store.EndInvite(ctx(t), s.lead.Viewer(), ended.ID))
		s.wantCode("ending it again", s.store.EndInvite(ctx(t), s.lead.Viewer(), ended.ID), fault.NotFound)
		s.wantCode("an ended one", s.store.UseInvite(ctx(t), ended, sol, hash, nil), fault.Conflict)
		late := s.invited(account.Invite{Role: joblog.Installer, Language: "es"}, "l")
		open, err := s.store.Invites(ctx(t), s.lead.Viewer())
		s.must(err)
		if len(open) != 1 || open[0].ID != late.ID {
			t.Errorf("open invitations: want the second, got %+v", open)
		}
		s.clock.Move(account.InviteTime)
		s.wantCode("one of last week", s.store.UseInvite(ctx(t), late, sol, hash, nil), fault.Conflict)
		if n := value[int64](s, `select count(*) from people where sign_in = 'sol'`); n != 0 {
			t.Error("somebody joined all the same")
		}
		if open, err = s.store.Invites(ctx(t), s.lead.Viewer()); err != nil || len(open) != 0 {
			t.Errorf("open invitations after a week: want none, got %+v and %v", open, err)
		}
	})

	t.Run("nobody gives more than they have", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		owner := s.person("owner", joblog.Owner)
		i := account.Invite{ID: newID(), Role: joblog.Owner, Language: "en", ExpiresAt: day.Add(time.Hour)}
		_, err := s.store.MakeInvite(ctx(t), s.lead.Viewer(), i, hashed("o"))
		s.wantCode("a lead invites an owner", err, fault.Forbidden)
		_, err = s.store.MakeInvite(ctx(t), s.rosa.Viewer(), i, hashed("o"))
		s.wantCode("an installer invites", err, fault.Forbidden)
		i.PersonID = owner.ID
		_, err = s.store.MakeInvite(ctx(t), s.lead.Viewer(), i, hashed("o"))
		s.wantCode("a lead lets an owner back in", err, fault.Forbidden)
		lead, rosa, boss := s.lead.Viewer(), s.rosa.Viewer(), owner.Viewer()
		s.wantCode("a lead makes an owner", s.store.SetRole(ctx(t), lead, s.rosa.ID, joblog.Owner), fault.Forbidden)
		s.wantCode("a lead unmakes an owner", s.store.SetRole(ctx(t), lead, owner.ID, joblog.Installer), fault.Forbidden)
		s.wantCode("a lead removes an owner", s.store.RemovePerson(ctx(t), lead, owner.ID), fault.Forbidden)
		s.wantCode("an installer makes a lead", s.store.SetRole(ctx(t), rosa, s.ivan.ID, joblog.Lead), fault.Forbidden)
		s.wantCode("an installer removes", s.store.RemovePerson(ctx(t), rosa, s.ivan.ID), fault.Forbidden)
		s.wantCode("oneself", s.store.SetRole(ctx(t), lead, s.lead.ID, joblog.Installer), fault.Forbidden)
		s.wantCode("oneself, out", s.store.RemovePerson(ctx(t), boss, owner.ID), fault.Forbidden)
		s.wantCode("guests are nobody here", s.store.SetRole(ctx(t), boss, s.openWalk(s.house()).guest.ID, joblog.Lead), fault.NotFound)
		_, _, err = s.store.Access(ctx(t), rosa, s.ivan.ID)
		s.wantCode("an installer looks at another's sessions", err, fault.Forbidden)
		_, stranger, _, _ := s.crew("inland")
		_, _, err = s.store.Access(ctx(t), stranger.Viewer(), s.rosa.ID)
		s.wantCode("another company's lead", err, fault.NotFound)
		s.wantCode("another company's lead removes", s.store.RemovePerson(ctx(t), stranger.Viewer(), s.rosa.ID), fault.NotFound)
		s.must(s.store.SetRole(ctx(t), boss, s.rosa.ID, joblog.Owner))
		s.must(s.store.SetRole(ctx(t), s.lead.Viewer(), s.ivan.ID, joblog.Lead))
	})

	t.Run("an invitation gives no more than who made it has", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		boss, deputy, ivan := s.person("owner", joblog.Owner), s.person("deputy", joblog.Lead), s.ivan
		by := func(who account.Person, i account.Invite, letter string) account.Invite {
			t.Helper()
			i.ID, i.ExpiresAt, i.Language = newID(), s.clock.Now().Add(account.InviteTime), "en"
			made, err := s.store.MakeInvite(ctx(t), who.Viewer(), i, hashed(letter))
			s.must(err)
			made.CompanyID = s.company.ID
			return made
		}
		join := func(i account.Invite, sign string) error {
			return s.store.UseInvite(ctx(t), i, account.Person{ID: newID(), CompanyID: s.company.ID, Name: "Back again", SignIn: sign, Role: i.Role,
				Language: "en", Unit: length.Inches}, hash, nil)
		}
		ended := func(letter string) bool {
			t.Helper()
			w, err := s.store.FindInvite(ctx(t), hashed(letter))
			s.must(err)
			return w.Ended
		}
		lead := by(deputy, account.Invite{Role: joblog.Lead}, "l")
		hand := by(deputy, account.Invite{Role: joblog.Installer}, "h")
		others := by(s.lead, account.Invite{Role: joblog.Lead}, "o")
		reset := by(s.lead, account.Invite{PersonID: ivan.ID}, "r")

		s.must(s.store.SetRole(ctx(t), boss.Viewer(), deputy.ID, joblog.Installer))
		s.wantCode("a lead's invitation of who is none now", join(lead, "back"), fault.Conflict)
		s.wantCode("an installer's invitation", join(hand, "hand"), fault.Conflict)
		if !ended("l") || !ended("h") || ended("o") || ended("r") {
			t.Errorf("ended: got %t, %t, %t and %t, want who was unmade's two and no other", ended("l"), ended("h"), ended("o"), ended("r"))
		}
		s.must(join(others, "other"))
		// One that was made as the role was taken away.
		late := by(deputy, account.Invite{Role: joblog.Lead}, "t")
		s.wantCode("one made at the same moment", join(late, "late"), fault.Conflict)

		// Who becomes an owner is no longer a lead's to let back in.
		s.must(s.store.SetRole(ctx(t), boss.Viewer(), ivan.ID, joblog.Owner))
		s.wantCode("a lead's invitation for an owner", s.store.UseInvite(ctx(t), reset, ivan, hash, nil), fault.Conflict)
		// An owner who becomes a lead still invites leads, and no owners.
		of, as := by(boss, account.Invite{Role: joblog.Owner}, "p"), by(boss, account.Invite{Role: joblog.Lead}, "q")
		ivan.Role = joblog.Owner
		s.must(s.store.SetRole(ctx(t), ivan.Viewer(), boss.ID, joblog.Lead))
		s.wantCode("a lead's invitation of an owner", join(of, "third"), fault.Conflict)
		s.must(join(as, "fourth"))
	})

	t.Run("two leads who remove each other leave one", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.must(s.store.SetRole(ctx(t), s.lead.Viewer(), s.rosa.ID, joblog.Lead))
		s.rosa.Role = joblog.Lead
		errs := make([]error, 2)
		var wg sync.WaitGroup
		wg.Go(func() { errs[0] = s.store.RemovePerson(ctx(t), s.lead.Viewer(), s.rosa.ID) })
		wg.Go(func() { errs[1] = s.store.RemovePerson(ctx(t), s.rosa.Viewer(), s.lead.ID) })
		wg.Wait()
		if (errs[0] == nil) == (errs[1] == nil) {
			t.Errorf("want one to succeed, got %v and %v", errs[0], errs[1])
		}
		if n := value[int64](s, `select count(*) from people where company_id = $1 and role = 'lead' and left_at is null`, s.company.ID); n != 1 {
			t.Errorf("%d leads are left, want 1", n)
		}
	})

	t.Run("who leaves is signed out and named still, and may come back", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.signedIn(s.rosa, "r")
		s.must(s.store.AddPasskey(ctx(t), s.rosa.Viewer(), passkey("rosa's")))
		s.must(s.store.RemovePerson(ctx(t), s.lead.Viewer(), s.rosa.ID))
		if s.isSignedIn("r") {
			t.Error("rosa is still signed in")
		}
		_, _, err := s.store.FindSignIn(ctx(t), s.rosa.SignIn)
		s.wantCode("signing in", err, fault.NotFound)
		_, _, err = s.store.FindPasskey(ctx(t), "cm9zYSdz")
		s.wantCode("signing in by passkey", err, fault.NotFound)
		s.wantCode("removing her again", s.store.RemovePerson(ctx(t), s.lead.Viewer(), s.rosa.ID), fault.NotFound)
		people, err := s.store.People(ctx(t), s.lead.Viewer())
		s.must(err)
		if len(people) != 3 || people[2].Name != s.rosa.Name || !people[2].Left {
			t.Errorf("people: want rosa named as one who left, got %+v", people)
		}
		back := s.invited(account.Invite{PersonID: s.rosa.ID}, "b")
		if back.Name != s.rosa.Name || back.Role != joblog.Installer {
			t.Errorf("the invitation back: got %+v, want rosa's name and role", back)
		}
		s.must(s.store.UseInvite(ctx(t), back, s.rosa, hash, nil))
		if got, _, err := s.store.FindSignIn(ctx(t), s.rosa.SignIn); err != nil || got != s.rosa {
			t.Errorf("back: want rosa, got %+v and %v", got, err)
		}
	})

	t.Run("sessions are listed and ended one by one", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.signedIn(s.rosa, "p")
		s.clock.Move(time.Hour)
		s.signedIn(s.rosa, "q")
		sessions, _, err := s.store.Access(ctx(t), s.rosa.Viewer(), s.rosa.ID)
		s.must(err)
		if len(sessions) != 2 || sessions[0].TokenHash != hashed("q") || sessions[0].DeviceName != "Android phone" || sessions[1].DeviceID == "" {
			t.Fatalf("sessions: want the later first, each with its device, got %+v", sessions)
		}
		s.wantCode("an installer ends another's", s.store.EndSession(ctx(t), s.ivan.Viewer(), s.rosa.ID, sessions[0].ID), fault.Forbidden)
		s.wantCode("under another's name", s.store.EndSession(ctx(t), s.ivan.Viewer(), s.ivan.ID, sessions[0].ID), fault.NotFound)
		s.must(s.store.EndSession(ctx(t), s.lead.Viewer(), s.rosa.ID, sessions[1].ID))
		if s.isSignedIn("p") || !s.isSignedIn("q") {
			t.Error("want the ended one gone and the other there")
		}
		s.wantCode("ending it again", s.store.EndSession(ctx(t), s.rosa.Viewer(), s.rosa.ID, sessions[1].ID), fault.NotFound)
	})

	t.Run("another passphrase signs out everywhere but here", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.signedIn(s.rosa, "h")
		s.signedIn(s.rosa, "t")
		s.must(s.store.SetPassphrase(ctx(t), s.company.ID, s.rosa.ID, strings.Replace(hash, "c29t", "c29u", 1), hashed("h")))
		if !s.isSignedIn("h") || s.isSignedIn("t") {
			t.Error("want here signed in and there not")
		}
		if _, got, err := s.store.FindSignIn(ctx(t), s.rosa.SignIn); err != nil || got == hash {
			t.Errorf("the hash: got %q and %v, want another", got, err)
		}
	})

	t.Run("a passkey is one person's, and the last way in stays", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		k := passkey("one")
		s.must(s.store.AddPasskey(ctx(t), s.rosa.Viewer(), k))
		s.wantCode("the same again", s.store.AddPasskey(ctx(t), s.ivan.Viewer(), passkey("one")), fault.Conflict)
		// Another company cannot take over who a passkey is: the first keeps it.
		_, stranger, _, _ := s.crew("inland")
		s.clock.Move(time.Minute)
		s.must(s.store.AddPasskey(ctx(t), stranger.Viewer(), passkey("one")))
		p, found, err := s.store.FindPasskey(ctx(t), "b25l")
		if err != nil || p != s.rosa || found.ID != k.ID {
			t.Errorf("the passkey is %+v's, %v; want rosa's", p, err)
		}
		s.must(s.store.UsedPasskey(ctx(t), p, found))
		s.exec(`update people set passphrase_hash = null where person_id = $1`, s.rosa.ID)
		s.wantCode("her only way in", s.store.RemovePasskey(ctx(t), s.rosa.Viewer(), s.rosa.ID, k.ID), fault.Conflict)
		s.wantCode("an installer's hand on it", s.store.RemovePasskey(ctx(t), s.ivan.Viewer(), s.rosa.ID, k.ID), fault.Forbidden)
		s.must(s.store.RemovePasskey(ctx(t), s.lead.Viewer(), s.rosa.ID, k.ID))
	})

	t.Run("a ceremony is answered once, in time", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		asked := account.Asked{PersonID: s.rosa.ID, Session: webauthn.SessionData{Challenge: "why"}}
		s.must(s.store.KeepCeremony(ctx(t), hashed("c"), asked, account.CeremonyTime))
		if got, err := s.store.TakeCeremony(ctx(t), hashed("c")); err != nil || got.PersonID != s.rosa.ID || got.Session.Challenge != "why" {
			t.Errorf("want what was asked, got %+v and %v", got, err)
		}
		_, err := s.store.TakeCeremony(ctx(t), hashed("c"))
		s.wantCode("taking it again", err, fault.NotFound)
		s.must(s.store.KeepCeremony(ctx(t), hashed("d"), asked, account.CeremonyTime))
		s.clock.Move(account.CeremonyTime)
		_, err = s.store.TakeCeremony(ctx(t), hashed("d"))
		s.wantCode("too late", err, fault.NotFound)
		if _, err := s.store.Sessions().Sweep(ctx(t)); err != nil || value[int64](s, `select count(*) from ceremonies`) != 0 {
			t.Errorf("the late one is not swept: %v", err)
		}
	})

	t.Run("what a person sets about themselves", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.must(s.store.SetSettings(ctx(t), s.rosa.Viewer(), account.Settings{Name: " Rosa  Marsh", Language: "es", Unit: length.Millimeters, Fine: true}))
		got, _, err := s.store.FindSignIn(ctx(t), s.rosa.SignIn)
		s.must(err)
		if got.Name != "Rosa Marsh" || got.Language != "es" || got.Unit != length.Millimeters || !got.Fine {
			t.Errorf("rosa is now %+v", got)
		}
		for _, name := range []string{"", "Rosa\u202e", "\u200b"} {
			s.wantCode("the name "+name, s.store.SetSettings(ctx(t), s.rosa.Viewer(), account.Settings{Name: name, Language: "es", Unit: "in"}), fault.Invalid)
			s.wantCode("a guest's name "+name, s.store.AddGuest(ctx(t), s.lead.Viewer(), account.Person{ID: newID(), Name: name, Language: "en", Unit: "in"}), fault.Invalid)
			s.wantCode("a company's name "+name, s.store.CreateCompany(ctx(t), account.Company{ID: newID(), Name: name}), fault.Invalid)
		}
	})
}

// person adds somebody to the company.
func (s *site) person(name string, role joblog.Role) account.Person {
	s.t.Helper()
	p := account.Person{ID: newID(), CompanyID: s.company.ID, Name: name, SignIn: "more-" + name, Role: role, Language: "en", Unit: length.Inches}
	s.must(s.store.AddPerson(ctx(s.t), p, hash))
	return p
}
