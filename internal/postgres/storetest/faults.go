package storetest

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
)

func testFaults(t *testing.T) {
	t.Run("of what was sent", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		person := func(change func(*account.Person)) error {
			p := account.Person{ID: newID(), CompanyID: s.company.ID, Name: "Ada", SignIn: newID(), Role: joblog.Lead, Language: "en", Unit: length.Inches}
			change(&p)
			return s.store.AddPerson(ctx(t), p, hash)
		}
		for _, tc := range []struct {
			name     string
			err      error
			code     fault.Code
			sentence string
		}{
			{"company id again", s.store.CreateCompany(ctx(t), s.company), fault.Conflict, "Another company has that id already."},
			{"company without a name", s.store.CreateCompany(ctx(t), account.Company{ID: newID(), Name: " "}), fault.Invalid, "A name needs at least one letter."},
			{"company id", s.store.CreateCompany(ctx(t), account.Company{ID: "7", Name: "x"}), fault.Invalid, "The id of the company is not a UUID in lower case."},
			{"person id again", person(func(p *account.Person) { p.ID = s.rosa.ID }), fault.Conflict, "Another person has that id already."},
			{"sign-in name again", person(func(p *account.Person) { p.SignIn = "Harbor-Rosa" }), fault.Conflict, "That sign-in name is taken."},
			{"role", person(func(p *account.Person) { p.Role = "boss" }), fault.Invalid, "A person is an owner, a lead or an installer."},
			{"language", person(func(p *account.Person) { p.Language = "fr" }), fault.Invalid, "The language is English (en) or Spanish (es)."},
			{"unit", person(func(p *account.Person) { p.Unit = "ft" }), fault.Invalid, "The unit is inches (in) or millimeters (mm)."},
			{"name too long", person(func(p *account.Person) { p.Name = strings.Repeat("a", 121) }), fault.Invalid, "A name may have at most 120 characters."},
			{"no such company", person(func(p *account.Person) { p.CompanyID = newID() }), fault.NotFound, "There is no such company."},
			{"null character", person(func(p *account.Person) { p.Language = "e\x00" }), fault.Invalid, "Something sent holds characters or numbers that cannot be kept."},
		} {
			if !fault.Is(tc.err, tc.code) || fault.SentenceOf(tc.err) != tc.sentence {
				t.Errorf("%s: want %s %q, got %v", tc.name, tc.code, tc.sentence, tc.err)
			}
		}
	})

	t.Run("of who asks", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		c := s.command(h.job, note(h.door, "Who am I?"))
		gone := account.Viewer{CompanyID: newID(), PersonID: newID(), Role: joblog.Lead}
		if _, err := s.store.Submit(ctx(t), gone, c, day); !fault.Is(err, fault.Unauthorized) {
			t.Errorf("a company that is gone: want unauthorized, got %v", err)
		}
		gone.CompanyID = s.company.ID
		if _, err := s.store.Submit(ctx(t), gone, c, day); !fault.Is(err, fault.Unauthorized) {
			t.Errorf("a person who is gone: want unauthorized, got %v", err)
		}
	})

	t.Run("of the server, which gave way to another", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		c := s.command(h.job, note(h.door, "Both at once?"))
		// The other holds the person and then wants the job, a command holds the job and
		// then wants the person: of the two the server undoes the command.
		other, err := s.db.Owner.Begin(ctx(t))
		s.must(err)
		_, err = other.Exec(ctx(t), `set local deadlock_timeout = '10min'`)
		s.must(err)
		_, err = other.Exec(ctx(t), `select from people where person_id = $1 for update`, s.rosa.ID)
		s.must(err)
		type answer struct {
			out joblog.Outcome
			err error
		}
		given := make(chan answer, 1)
		go func() {
			out, err := s.store.Submit(ctx(t), s.rosa.Viewer(), c, day)
			given <- answer{out, err}
		}()
		s.waitForLock(`%insert into entries%`)
		_, err = other.Exec(ctx(t), `select from jobs where job_id = $1 for update`, h.job)
		s.must(err)
		s.must(other.Commit(ctx(t)))
		if got := <-given; got.err != nil || !got.out.Applied || got.out.Repeated {
			t.Errorf("want the command taken at its second try, got %+v, %v", got.out, got.err)
		}
		if n := value[int64](s, `select count(*) from entries where command_id = $1`, c.ID); n != 1 {
			t.Errorf("want one entry of it, got %d", n)
		}
	})

	t.Run("of the server", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		c := s.command(h.job, note(h.door, "Still there?"))

		tx, err := s.db.Owner.Begin(ctx(t))
		s.must(err)
		_, err = tx.Exec(ctx(t), `select from jobs where job_id = $1 for update`, h.job)
		s.must(err)
		short, cancel := context.WithTimeout(ctx(t), 100*time.Millisecond)
		defer cancel()
		if _, err := s.store.Submit(short, s.rosa.Viewer(), c, day); !fault.Is(err, fault.Unavailable) {
			t.Errorf("the caller's time is up: want unavailable, got %v", err)
		}
		impatient := s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, Tune: func(cfg *pgxpool.Config) {
			cfg.ConnConfig.RuntimeParams["lock_timeout"] = "50ms"
		}})
		if _, err := impatient.Submit(ctx(t), s.rosa.Viewer(), c, day); !fault.Is(err, fault.Unavailable) {
			t.Errorf("the lock is held too long: want unavailable, got %v", err)
		}
		s.must(tx.Rollback(ctx(t)))

		one := s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, MaxConns: 1, Tune: func(cfg *pgxpool.Config) {
			cfg.ConnConfig.RuntimeParams["application_name"] = "to be ended"
		}})
		_, err = one.Jobs(ctx(t), s.rosa.Viewer())
		s.must(err)
		s.exec(`select pg_terminate_backend(pid, 10000) from pg_stat_activity where datname = current_database() and application_name = 'to be ended'`)
		if _, err := one.Submit(ctx(t), s.rosa.Viewer(), c, day); err != nil && !fault.Is(err, fault.Unavailable) {
			t.Errorf("the connection was ended: want unavailable, got %v", err)
		}
		out, err := one.Submit(ctx(t), s.rosa.Viewer(), c, day)
		if err != nil || !out.Applied || out.FirstSeq != 5 {
			t.Errorf("the same command after all that: want entry 5, got %+v and %v", out, err)
		}

		if _, err := postgres.Open(ctx(t), "postgres://nobody@127.0.0.1:1/none?connect_timeout=2", postgres.Options{}); !fault.Is(err, fault.Unavailable) {
			t.Errorf("nothing listens there: want unavailable, got %v", err)
		}
		if _, err := postgres.Open(ctx(t), "postgres://%zz", postgres.Options{}); !fault.Is(err, fault.Invalid) {
			t.Errorf("no address: want invalid, got %v", err)
		}
	})
}

// waitForLock returns once a statement like this one waits for a lock.
func (s *site) waitForLock(like string) {
	s.t.Helper()
	limit := time.Now().Add(listenLimit)
	for value[int64](s, `select count(*) from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock' and query like '`+like+`'`) == 0 {
		if time.Now().After(limit) {
			s.t.Fatalf("nothing like %q waits for a lock", like)
		}
	}
}
