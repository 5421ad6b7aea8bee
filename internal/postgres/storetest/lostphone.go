package storetest

import (
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
)

// lose signs rosa's phone out as lost and returns its record.
func (s *site) lose(by account.Person) account.LostPhone {
	s.t.Helper()
	sessions, _, err := s.store.Access(ctx(s.t), by.Viewer(), s.rosa.ID)
	s.must(err)
	s.must(s.store.LosePhone(ctx(s.t), by.Viewer(), s.rosa.ID, sessions[0].ID))
	return s.lost()[0]
}

func (s *site) lost() []account.LostPhone {
	s.t.Helper()
	phones, err := s.store.LostPhones(ctx(s.t), s.lead.Viewer())
	s.must(err)
	return phones
}

// held sends a command of rosa's from her lost phone.
func (s *site) held(phone account.LostPhone, job string, c joblog.Command) joblog.Command {
	s.t.Helper()
	c = s.command(job, c)
	out, held, err := s.store.Hold(ctx(s.t), s.rosa.Viewer(), phone.ID, c, s.clock.Now())
	s.must(err)
	if !held || out.Applied {
		s.t.Fatalf("%s from a lost phone: got %+v, want it held", c.Kind, out)
	}
	return c
}

func testLostPhones(t *testing.T) {
	t.Run("what a lost phone sends waits, and is taken as it was done", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.signedIn(s.rosa, "a")
		phone := s.lose(s.lead)
		if s.isSignedIn("a") || phone.PersonID != s.rosa.ID || phone.DeviceName != "Android phone" || phone.LostBy != s.lead.ID {
			t.Errorf("the lost phone: got %+v, signed in %v", phone, s.isSignedIn("a"))
		}
		// Written in the morning by a clock ten minutes fast, sent in the afternoon.
		said := s.command(h.job, note(h.door, "Shim behind the top hinge."))
		said.At = said.At.Add(10 * time.Minute)
		s.clock.Move(5 * time.Hour)
		for range 2 { // sent again, it is there once
			_, held, err := s.store.Hold(ctx(t), s.rosa.Viewer(), phone.ID, said, s.clock.Now().Add(10*time.Minute))
			if err != nil || !held {
				t.Fatalf("want it held, got %v and %v", held, err)
			}
		}
		before := value[int64](s, `select count(*) from entries`)
		phone = s.lost()[0]
		if len(phone.Held) != 1 || phone.Held[0].Item != "Closet door" || phone.Held[0].Room != "Bedroom" || phone.Held[0].Job != "Alder Street 12" || !phone.Held[0].DidAt.Equal(day) {
			t.Fatalf("what waits: got %+v", phone.Held)
		}
		other := said
		other.Note = &joblog.Note{Text: "Something else under the same id."}
		_, _, err := s.store.Hold(ctx(t), s.rosa.Viewer(), phone.ID, other, s.clock.Now())
		s.wantCode("another command under its id", err, fault.Conflict)

		out, err := s.store.TakeHeld(ctx(t), s.lead.Viewer(), phone.ID, said.ID)
		if err != nil || !out.Applied {
			t.Fatalf("taking it: got %+v and %v", out, err)
		}
		if got := value[int64](s, `select count(*) from entries`); got != before+1 {
			t.Errorf("entries: got %d, want %d", got, before+1)
		}
		if by, at := value[string](s, `select person_id::text from entries where seq = $1`, out.FirstSeq), value[time.Time](s, `select did_at from entries where seq = $1`, out.FirstSeq); by != s.rosa.ID || !at.Equal(day) {
			t.Errorf("the entry: got by %s at %s, want rosa's of %s", by, at, day)
		}
		// The phone asks again and hears what became of it.
		again, held, err := s.store.Hold(ctx(t), s.rosa.Viewer(), phone.ID, said, s.clock.Now())
		if err != nil || held || !again.Applied || again.LastSeq != out.LastSeq {
			t.Errorf("sent again: got %+v, held %v, %v, want the entry's outcome", again, held, err)
		}
		_, err = s.store.TakeHeld(ctx(t), s.lead.Viewer(), phone.ID, said.ID)
		s.wantCode("taking it twice", err, fault.NotFound)
		s.wantClean()
	})

	t.Run("what a lead turns down goes back to its author", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.signedIn(s.rosa, "a")
		phone := s.lose(s.rosa)
		said := s.held(phone, h.job, note(h.door, "Not mine."))
		s.must(s.store.TurnDownHeld(ctx(t), s.lead.Viewer(), phone.ID, said.ID))
		out, held, err := s.store.Hold(ctx(t), s.rosa.Viewer(), phone.ID, said, s.clock.Now())
		if err != nil || held || out.Applied || !hasCode(out.Findings, "lead_turned_down") {
			t.Errorf("sent again: got %+v, held %v, %v, want it turned down", out, held, err)
		}
		refused, err := s.store.RefusedCommands(ctx(t), s.rosa.Viewer(), h.job)
		if err != nil || len(refused) != 1 || refused[0].Command.ID != said.ID {
			t.Errorf("her refused entries: got %+v and %v, want the one turned down", refused, err)
		}
		_, err = s.store.TakeHeld(ctx(t), s.lead.Viewer(), phone.ID, said.ID)
		s.wantCode("taking what was turned down", err, fault.NotFound)
	})

	t.Run("the rules decide on what is taken", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.signedIn(s.rosa, "a")
		phone := s.lose(s.lead)
		early := s.held(phone, h.job, tick(h.door, "painted"))
		out, err := s.store.TakeHeld(ctx(t), s.lead.Viewer(), phone.ID, early.ID)
		if err != nil || out.Applied || len(out.Findings) == 0 {
			t.Errorf("a tick too early: got %+v and %v, want the rules' refusal", out, err)
		}
	})

	t.Run("a phone is back when a lead says so", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.signedIn(s.rosa, "a")
		phone := s.lose(s.lead)
		said := s.held(phone, h.job, note(h.door, "One."))
		s.wantCode("back with something waiting", s.store.PhoneBack(ctx(t), s.lead.Viewer(), phone.ID), fault.Conflict)
		for what, err := range map[string]error{
			"an installer's word that it is back": s.store.PhoneBack(ctx(t), s.ivan.Viewer(), phone.ID),
			"an installer's no":                   s.store.TurnDownHeld(ctx(t), s.rosa.Viewer(), phone.ID, said.ID),
			"another losing her phone":            s.store.LosePhone(ctx(t), s.ivan.Viewer(), s.rosa.ID, newID()),
		} {
			s.wantCode(what, err, fault.Forbidden)
		}
		_, err := s.store.TakeHeld(ctx(t), s.rosa.Viewer(), phone.ID, said.ID)
		s.wantCode("an installer's yes", err, fault.Forbidden)
		_, err = s.store.LostPhones(ctx(t), s.rosa.Viewer())
		s.wantCode("an installer's list", err, fault.Forbidden)
		s.must(s.store.TurnDownHeld(ctx(t), s.lead.Viewer(), phone.ID, said.ID))
		s.must(s.store.PhoneBack(ctx(t), s.lead.Viewer(), phone.ID))
		if left := s.lost(); len(left) != 0 {
			t.Errorf("lost phones: got %+v, want none", left)
		}
		s.wantCode("back twice", s.store.PhoneBack(ctx(t), s.lead.Viewer(), phone.ID), fault.NotFound)
	})
}
