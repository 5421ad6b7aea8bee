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

// telling is the same store with messages to phones on.
func (s *site) telling() *postgres.Store {
	return s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, Push: true})
}

// A point on P-256 and a secret, of RFC 8291's example.
const (
	phonesKey    = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
	phonesSecret = "BTBZMqHH6r4Tts7J_aSIgg"
)

// carry signs a person in on a phone that takes messages.
func (s *site) carry(p account.Person, letter string) {
	s.t.Helper()
	s.signedIn(p, letter)
	s.must(s.store.SetPush(ctx(s.t), p.Viewer(), hashed(letter), message.Subscription{Endpoint: "https://push.example/" + letter, P256dh: phonesKey, Auth: phonesSecret}))
}

// rung takes what is due for phones and returns it with the phones it is for.
func rung(s *site) (out []message.Message, names []string) {
	s.t.Helper()
	out, err := s.store.TakePushes(ctx(s.t), 20, time.Minute)
	s.must(err)
	for _, m := range out {
		names = append(names, string(m.Kind)+" "+strings.TrimPrefix(m.To.Endpoint, "https://push.example/"))
	}
	slices.Sort(names)
	return out, names
}

func wantRung(s *site, what string, want ...string) []message.Message {
	s.t.Helper()
	out, names := rung(s)
	if !slices.Equal(names, want) {
		s.t.Errorf("%s: got %q, want %q", what, names, want)
	}
	return out
}

func testPushes(t *testing.T) {
	t.Run("work that is given is told on the phones of whom it is given to", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.store = s.telling()
		s.carry(s.rosa, "a")
		s.carry(s.rosa, "b")
		s.carry(s.ivan, "c")
		s.carry(s.lead, "d")
		give := func(item, to string) {
			s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: item, Assign: &joblog.Assign{PersonID: to}})
		}
		give(h.door, s.ivan.ID)
		give(h.door, s.ivan.ID) // is his already
		give(h.door, s.lead.ID) // her own doing
		wantRung(s, "at once")
		s.clock.Move(message.WorkWait)
		due := wantRung(s, "one thing", "push_work c")
		if len(due) == 1 && (due[0].Says["path"] != "/bench/jobs/"+h.job+"/items/"+h.door || due[0].Says["count"] != "1" || due[0].Language != s.ivan.Language) {
			t.Errorf("one thing: got %+v", due[0])
		}
		give(h.door, s.rosa.ID)
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{PersonID: s.rosa.ID}})
		s.clock.Move(message.WorkWait)
		for _, m := range wantRung(s, "two things together", "push_work a", "push_work b", "push_work c", "push_work c")[:2] {
			if m.To.Endpoint != "https://push.example/c" && (m.Says["count"] != "2" || m.Says["path"] != "/bench") {
				t.Errorf("two things: got %v, want both in one", m.Says)
			}
		}
		if mails, _ := taken(s, s.store); len(mails) != 0 {
			t.Errorf("the sender of e-mail takes %d of them, want none", len(mails))
		}
	})

	t.Run("a remark is told when it is agreed to and when it is still there", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		s.store = s.telling()
		s.carry(s.rosa, "a")
		s.carry(s.lead, "d")
		said := s.command(w.job, joblog.Command{Kind: joblog.SayRemarkKind, WalkID: w.walk, RoomID: w.room, SayRemark: &joblog.SayRemark{About: walk.Other, Text: "by the switch"}})
		as := func(p account.Person, m joblog.MoveRemark) {
			m.RemarkID = said.ID
			out, err := s.store.Submit(ctx(t), p.Viewer(), s.command(w.job, joblog.Command{Kind: joblog.MoveRemarkKind, WalkID: w.walk, RoomID: w.room, MoveRemark: &m}), s.clock.Now())
			if err != nil || !out.Applied {
				t.Fatalf("%s: %+v, %v", m.Act, out, err)
			}
		}
		if out, err := s.store.Submit(ctx(t), w.guest.Viewer(), said, s.clock.Now()); err != nil || !out.Applied {
			t.Fatalf("the remark: %+v, %v", out, err)
		}
		as(s.lead, joblog.MoveRemark{Act: walk.Agree, PersonID: s.rosa.ID})
		due := wantRung(s, "agreed", "push_remark a")
		if len(due) == 1 && (strings.Contains(due[0].Says["item"]+due[0].Says["room"], "switch") || due[0].Says["path"] != "/bench/jobs/"+w.job+"/rooms/"+w.room) {
			t.Errorf("agreed: got %v, want where and not the homeowner's words", due[0].Says)
		}
		as(s.rosa, joblog.MoveRemark{Act: walk.Fix})
		wantRung(s, "fixed")
		as(w.guest, joblog.MoveRemark{Act: walk.StillThere})
		wantRung(s, "still there", "push_still a")
		lines, err := s.store.Messages(ctx(t), s.lead.Viewer(), w.job)
		if err != nil || len(lines) != 2 || lines[0].PersonID != s.rosa.ID || lines[0].Email != "" || lines[0].AboutID != w.walk {
			t.Errorf("the lead sees %+v, %v, want both on rosa's phone", lines, err)
		}
		s.wantClean()
	})

	t.Run("a phone is sent nothing once its session ends, it is turned off, or it takes no more", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		s.store = s.telling()
		s.carry(s.rosa, "a")
		s.carry(s.rosa, "b")
		s.carry(s.rosa, "c")
		s.carry(s.rosa, "e")
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: s.ivan.ID}})
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: s.rosa.ID}})
		s.clock.Move(message.WorkWait)
		s.must(s.store.Sessions().DeleteCtx(ctx(t), hashed("a")))
		s.must(s.store.DropPush(ctx(t), s.rosa.Viewer(), hashed("b")))
		due := wantRung(s, "signed out on one, off on another", "push_work c", "push_work e")
		for _, m := range due {
			if m.To.Endpoint == "https://push.example/c" {
				m.State, m.Trouble = message.Failed, message.NotWanted
			} else {
				m.State, m.Trouble, m.DueAt = message.Waiting, message.NoAnswer, s.clock.Now().Add(time.Hour)
			}
			s.must(s.store.SettleMessage(ctx(t), m))
		}
		if left := rows[string](s, `select endpoint from push_subscriptions`); !slices.Equal(left, []string{"https://push.example/e"}) {
			t.Errorf("subscriptions left: got %q", left)
		}
		if got := rows[string](s, `select state || says::text from messages where session_id is not null and state not in ('waiting', 'failed')`); !slices.Equal(got, []string{"overtaken{}", "overtaken{}"}) {
			t.Errorf("what waited for the two: got %q, want it overtaken and empty", got)
		}
		for letter, want := range map[string]message.Trouble{"c": "", "e": message.NoAnswer} {
			endpoint, last, err := s.store.Push(ctx(t), s.rosa.Viewer(), hashed(letter))
			if err != nil || (endpoint != "") != (letter == "e") || last.Trouble != want {
				t.Errorf("phone %s: got %q, %+v, %v", letter, endpoint, last, err)
			}
		}
		for _, m := range due { // tried again by hand: only where a phone still takes it
			err := s.store.TryAgain(ctx(t), s.lead.Viewer(), m.ID)
			if gone := m.To.Endpoint == "https://push.example/c"; gone != fault.Is(err, fault.NotFound) {
				t.Errorf("%s tried again: got %v", m.To.Endpoint, err)
			}
		}
		wantRung(s, "tried again", "push_work e")
		s.must(s.store.RemovePerson(ctx(t), s.lead.Viewer(), s.rosa.ID))
		if n := value[int64](s, `select count(*) from push_subscriptions`); n != 0 {
			t.Errorf("after rosa left: %d subscriptions, want none", n)
		}
		s.clock.Move(1000 * time.Hour)
		_, err := s.store.Sessions().Sweep(ctx(t))
		s.must(err)
	})

	t.Run("one browser tells one person", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.house()
		s.store = s.telling()
		s.carry(s.rosa, "a")
		s.signedIn(s.ivan, "c")
		same := message.Subscription{Endpoint: "https://push.example/a", P256dh: phonesKey, Auth: phonesSecret}
		s.must(s.store.SetPush(ctx(t), s.ivan.Viewer(), hashed("c"), same))
		if got, _, err := s.store.Push(ctx(t), s.rosa.Viewer(), hashed("a")); err != nil || got != "" {
			t.Errorf("rosa's: got %q, %v, want it ivan's now", got, err)
		}
		if err := s.store.SetPush(ctx(t), s.rosa.Viewer(), hashed("c"), same); !fault.Is(err, fault.NotFound) {
			t.Errorf("by somebody else's session: got %v, want not_found", err)
		}
		if err := s.store.SetPush(ctx(t), s.rosa.Viewer(), hashed("z"), same); !fault.Is(err, fault.NotFound) {
			t.Errorf("by no session: got %v, want not_found", err)
		}
	})
}
