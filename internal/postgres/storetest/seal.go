package storetest

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
	"longpoint/internal/postgres"
	"longpoint/internal/walk"
)

// sign signs the whole walkthrough with what is open.
func (s *site) sign(w walkthrough) joblog.Outcome {
	s.t.Helper()
	st, err := s.store.Job(ctx(s.t), s.lead.Viewer(), w.job)
	s.must(err)
	c := s.command(w.job, joblog.Command{Kind: joblog.SignOffKind, WalkID: w.walk, SignOff: &joblog.SignOff{Name: "Ada Brandt",
		Strokes: "M10 10 L200 80", Open: st.State.Walks[w.walk].OpenIn("")}})
	out, err := s.store.Submit(ctx(s.t), w.guest.Viewer(), c, s.clock.Now())
	s.must(err)
	if !out.Applied {
		s.t.Fatalf("signing: %+v", out.Findings)
	}
	return out
}

func (s *site) verify() []postgres.Sealed {
	s.t.Helper()
	out, err := s.owner().Verify(ctx(s.t), postgres.Verifying{})
	s.must(err)
	return out
}

// tamper runs SQL as whoever owns the tables, with the triggers off.
func (s *site) tamper(table, sql string, args ...any) {
	s.t.Helper()
	s.must(pgx.BeginFunc(ctx(s.t), s.db.Owner, func(tx pgx.Tx) error {
		for _, each := range []struct {
			sql  string
			args []any
		}{
			{"alter table " + table + " no force row level security", nil}, {"alter table " + table + " disable trigger user", nil},
			{sql, args}, {"alter table " + table + " enable trigger user", nil}, {"alter table " + table + " force row level security", nil},
		} {
			if _, err := tx.Exec(context.Background(), each.sql, each.args...); err != nil {
				return err
			}
		}
		return nil
	}))
}

func testSeals(t *testing.T) {
	t.Run("a signature under the whole seals the log, and a changed row is found and named", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		s.do(s.lead, w.job, joblog.Command{Kind: joblog.NoteKind, ItemID: w.door, Note: &joblog.Note{Text: "Sealed by what comes."}})
		noted, err := s.store.Job(ctx(t), s.lead.Viewer(), w.job)
		s.must(err)
		out := s.sign(w)
		got := s.verify()
		if len(got) != 1 || !got[0].Right() || got[0].Through != out.LastSeq || got[0].WalkID != w.walk || len(got[0].Value) != 64 {
			t.Fatalf("after the signature: %+v, want one right seal through %d", got, out.LastSeq)
		}
		value, err := s.store.Seal(ctx(t), w.guest.Viewer(), w.job, w.walk)
		if err != nil || value != got[0].Value {
			t.Errorf("the seal's value: got %q (%v), want %q", value, err, got[0].Value)
		}
		// Work goes on behind the seal without touching it.
		s.do(s.lead, w.job, joblog.Command{Kind: joblog.NoteKind, ItemID: w.door, Note: &joblog.Note{Text: "After."}})
		if after := s.verify(); len(after) != 1 || !after[0].Right() {
			t.Errorf("after another entry: %+v, want the seal right", after)
		}
		seq := noted.State.Seq
		s.tamper("entries", `update entries set command = jsonb_set(command, '{note,text}', '"Never said."') where job_id = $1 and seq = $2`, w.job, seq)
		wrong := s.verify()
		if len(wrong) != 1 || len(wrong[0].Wrong) != 1 || wrong[0].Wrong[0].Seq != seq || wrong[0].Wrong[0].Missing {
			t.Errorf("a changed note: %+v, want entry %d named and no other", wrong, seq)
		}
		s.tamper("entries", `update entries set command = jsonb_set(command, '{note,text}', '"Sealed by what comes."') where job_id = $1 and seq = $2`, w.job, seq)
		if back := s.verify(); !back[0].Right() {
			t.Errorf("put back as it was: %+v, want the seal right", back)
		}
		s.tamper("entries", `update entries set did_at = did_at - interval '1 microsecond' where job_id = $1 and seq = $2`, w.job, seq)
		if moved := s.verify(); len(moved[0].Wrong) != 1 || moved[0].Wrong[0].Seq != seq {
			t.Errorf("a moved time: %+v, want entry %d named", moved, seq)
		}
	})

	t.Run("a room signed alone seals nothing; a seal taken away is told", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		c := s.command(w.job, joblog.Command{Kind: joblog.SignOffKind, WalkID: w.walk, RoomID: w.room, SignOff: &joblog.SignOff{Name: "Ada Brandt", Strokes: "M10 10 L200 80"}})
		if out, err := s.store.Submit(ctx(t), w.guest.Viewer(), c, s.clock.Now()); err != nil || !out.Applied {
			t.Fatalf("signing the room: %+v, %v", out, err)
		}
		if got := s.verify(); len(got) != 0 {
			t.Errorf("one room signed: %+v, want no seal", got)
		}
		s.sign(w)
		s.tamper("seals", `delete from seals where job_id = $1`, w.job)
		if got := s.verify(); len(got) != 1 || !got[0].Unsealed || got[0].Right() {
			t.Errorf("without its seal: %+v, want it told", got)
		}
	})

	t.Run("a job's seals are one chain", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		first := s.openWalk(h)
		s.sign(first)
		second := walkthrough{house: h, walk: newID(), guest: first.guest}
		s.do(s.lead, h.job, joblog.Command{Kind: joblog.OpenWalkKind, WalkID: second.walk,
			OpenWalk: &joblog.OpenWalk{GuestID: first.guest.ID, ExpiresAt: s.clock.Now().Add(time.Hour)}})
		s.say(second, walk.Dent)
		s.sign(second)
		if got := s.verify(); len(got) != 2 || !got[0].Right() || !got[1].Right() {
			t.Fatalf("two seals: %+v, want both right", got)
		}
		s.tamper("seals", `delete from seals where job_id = $1 and walk_id = $2`, h.job, first.walk)
		got := s.verify()
		if len(got) != 2 || !got[0].Unsealed || got[1].Right() {
			t.Errorf("with the first taken away: %+v, want it told and the second not right", got)
		}
	})

	t.Run("nothing sealed is changed, not even by the owner", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		w := s.openWalk(s.house())
		s.sign(w)
		for _, sql := range []string{
			`update entries set device = 'another' where seq = 1`, `delete from entries where seq = 1`,
			`update seals set sealed_at = sealed_at + interval '1 hour'`, `delete from seals`,
		} {
			err := pgx.BeginFunc(ctx(t), s.db.Owner, func(tx pgx.Tx) error {
				if _, err := tx.Exec(ctx(t), `select set_config('app.company', $1, true)`, s.company.ID); err != nil {
					return err
				}
				_, err := tx.Exec(ctx(t), sql)
				return err
			})
			if err == nil || !strings.Contains(err.Error(), "seal") {
				t.Errorf("%s: got %v, want it refused for the seal", sql, err)
			}
		}
	})
}

// say is one remark of the guest's.
func (s *site) say(w walkthrough, about walk.About) {
	s.t.Helper()
	out, err := s.store.Submit(ctx(s.t), w.guest.Viewer(), s.command(w.job, w.say(about, "here")), s.clock.Now())
	s.must(err)
	if !out.Applied {
		s.t.Fatalf("a remark: %+v", out.Findings)
	}
}
