package storetest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	jobsetup "longpoint/internal/setup"
	"longpoint/internal/testdb"
	"longpoint/internal/yard"
	"longpoint/migrations"
)

// companyTables lists the tables row-level security is to guard.
func (s *site) companyTables() []string {
	s.t.Helper()
	var out []string
	for _, name := range rows[string](s, `select relname::text from pg_class where relkind in ('r', 'p') and relnamespace = 'public'::regnamespace order by 1`) {
		if _, ok := notOfACompany[name]; !ok {
			out = append(out, name)
		}
	}
	if len(out) < 12 {
		s.t.Fatalf("want at least the twelve tables of the job log, got %v", out)
	}
	return out
}

// fill puts something of the company into every table. A new table is found by the tests
// that call it, and fails them until it is filled here.
func (s *site) fill() {
	s.t.Helper()
	h := s.lived()
	s.sign(s.openWalk(h))
	s.must(s.store.SetStockList(ctx(s.t), s.lead.Viewer(), h.job, yard.List{}))
	s.must(s.store.KeepStockPlan(ctx(s.t), s.lead.Viewer(), h.job, yard.Plan{}))
	_, err := s.store.SubmitTogether(ctx(s.t), s.lead.Viewer(), s.addRooms(h.job, "Attic"))
	s.must(err)
	s.must(s.store.PutTemplate(ctx(s.t), s.lead.Viewer(), jobsetup.Template{ID: newID(), Name: "Unit A", Rooms: []jobsetup.Room{{Name: "Hall"}}}))
	s.give(s.rosa, h.job, tick(h.door, "painted")) // a refused command is a row too
	s.signedIn(s.rosa, "a")
	s.held(s.lose(s.lead), h.job, note(h.door, "From a phone that was lost."))
	s.signedIn(s.rosa, "z")
	s.invited(account.Invite{Role: joblog.Installer, Language: "en"}, "i")
	s.must(s.store.MakeCalendarLink(ctx(s.t), s.rosa.Viewer(), account.HashToken("days"), "UTC"))
	s.told(h)
	s.carry(s.rosa, "p")
	s.must(s.store.AddPasskey(ctx(s.t), s.rosa.Viewer(), passkey("rosa's")))
}

// as runs do in a transaction of the service's role, for a company or none, and rolls it
// back.
func (s *site) as(company string, do func(pgx.Tx) error) error {
	s.t.Helper()
	tx, err := s.db.App.Begin(ctx(s.t))
	s.must(err)
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx(s.t))) }()
	if company != "" {
		_, err := tx.Exec(ctx(s.t), `select set_config('app.company', $1, true)`, company)
		s.must(err)
	}
	return do(tx)
}

func (s *site) count(company, from string) int64 {
	s.t.Helper()
	var n int64
	s.must(s.as(company, func(tx pgx.Tx) error { return tx.QueryRow(ctx(s.t), `select count(*) from `+from).Scan(&n) }))
	return n
}

func sqlState(err error) string {
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return pg.Code
	}
	return ""
}

func testTenancy(t *testing.T) {
	t.Run("without a company and for another one there is nothing", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.fill()
		inland, _, _, _ := s.crew("inland")
		for _, table := range s.companyTables() {
			if n := value[int64](s, `select count(*) from `+table+` where company_id = $1`, s.company.ID); n == 0 {
				t.Errorf("%s is empty: the test would prove nothing", table)
			}
			if n := s.count(s.company.ID, table); n == 0 {
				t.Errorf("%s: the company sees none of its own rows", table)
			}
			if n := s.count("", table); n != 0 {
				t.Errorf("%s: %d rows without a company, want none", table, n)
			}
			if n := s.count(inland.ID, table+` where company_id <> '`+inland.ID+`'`); n != 0 {
				t.Errorf("%s: %d rows of another company, want none", table, n)
			}
		}
	})

	t.Run("a connection used before shows nothing, without error", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		conn, err := s.db.App.Acquire(ctx(t))
		s.must(err)
		defer conn.Release()
		_, err = conn.Exec(ctx(t), `begin`)
		s.must(err)
		_, err = conn.Exec(ctx(t), `select set_config('app.company', $1, true)`, s.company.ID)
		s.must(err)
		_, err = conn.Exec(ctx(t), `commit`)
		s.must(err)
		var n int64
		if err := conn.QueryRow(ctx(t), `select count(*) from people`).Scan(&n); err != nil || n != 0 {
			t.Errorf("people after the commit: want 0 and no error, got %d and %v", n, err)
		}
	})

	t.Run("the store leaves no company on a connection", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		var left []string
		store := s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now, MaxConns: 1, Tune: func(cfg *pgxpool.Config) {
			cfg.AfterRelease = func(c *pgx.Conn) bool {
				var company string
				err := c.QueryRow(context.Background(), `select coalesce(current_setting('app.company', true), '')`).Scan(&company)
				left = append(left, fmt.Sprint(company, err))
				return true
			}
		}})
		_, err := store.Job(ctx(t), s.rosa.Viewer(), h.job)
		s.must(err)
		_, err = store.Submit(ctx(t), s.rosa.Viewer(), s.command(h.job, note(h.door, "One.")), day)
		s.must(err)
		_, err = store.Submit(ctx(t), s.rosa.Viewer(), s.command(h.job, tick(h.door, "painted")), day) // refused
		s.must(err)
		_, err = store.Job(ctx(t), s.ivan.Viewer(), h.job) // rolled back
		if !fault.Is(err, fault.NotFound) {
			t.Errorf("ivan reads the job: want not_found, got %v", err)
		}
		store.Close() // waits for the releases
		if len(left) < 4 {
			t.Fatalf("want at least four releases, got %v", left)
		}
		for i, l := range left {
			if l != "<nil>" {
				t.Errorf("release %d left %q", i, l)
			}
		}
	})

	t.Run("a row for another company is refused", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.house()
		inland, _, _, _ := s.crew("inland")
		for name, statement := range map[string]string{
			"insert company": `insert into companies (company_id, name, created_at) values (gen_random_uuid(), 'Third', now())`,
			"insert job": `insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at)
				values ('` + s.company.ID + `', gen_random_uuid(), 'Theirs', 1, '{}', now(), now())`,
			"insert person": `insert into people (company_id, person_id, name, sign_in, passphrase_hash, role, language, unit, created_at)
				values ('` + s.company.ID + `', gen_random_uuid(), 'Spy', 'spy', '` + hash + `', 'owner', 'en', 'in', now())`,
			"move person":    `update people set company_id = '` + s.company.ID + `'`,
			"delete entry":   `delete from entries`,
			"update entry":   `update entries set kind = 'note'`,
			"delete command": `delete from commands`,
			"update command": `update commands set outcome = 'applied'`,
			"truncate":       `truncate stages`,
			"no security":    `alter table jobs no force row level security`,
		} {
			err := s.as(inland.ID, func(tx pgx.Tx) error {
				_, err := tx.Exec(ctx(t), statement)
				return err
			})
			if got := sqlState(err); got != "42501" {
				t.Errorf("%s: want 42501 (insufficient_privilege), got %q: %v", name, got, err)
			}
		}
		if err := s.as(inland.ID, func(tx pgx.Tx) error {
			tag, err := tx.Exec(ctx(t), `update jobs set name = 'Ours now'`)
			if err == nil && tag.RowsAffected() != 0 {
				return fmt.Errorf("%d rows of another company changed", tag.RowsAffected())
			}
			return err
		}); err != nil {
			t.Errorf("update without WHERE: %v", err)
		}
	})

	t.Run("nothing is read, added, changed, taken or moved across companies, in any table", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		s.fill()
		inland, _, _, _ := s.crew("inland")
		for _, table := range s.companyTables() {
			before := value[string](s, `select md5(string_agg(r::text, '|' order by r::text)) from `+table+` r`)
			row := value[string](s, `select to_jsonb(r)::text from `+table+` r where company_id = $1 limit 1`, s.company.ID)
			try := func(what, company, statement string, args ...any) {
				t.Helper()
				var n int64
				err := s.as(company, func(tx pgx.Tx) error {
					tag, err := tx.Exec(ctx(t), statement, args...)
					n = tag.RowsAffected()
					return err
				})
				if refused := sqlState(err) == "42501"; !refused && (err != nil || n != 0) {
					t.Errorf("%s: %s: want no row or 42501 (insufficient_privilege), got %d rows and %v", table, what, n, err)
				}
			}
			try("reading", inland.ID, `select from `+table+` where company_id = $1`, s.company.ID)
			try("changing", inland.ID, `update `+table+` set company_id = company_id where company_id = $1`, s.company.ID)
			try("taking", inland.ID, `delete from `+table+` where company_id = $1`, s.company.ID)
			try("adding", inland.ID, `insert into `+table+` select * from jsonb_populate_record(null::`+table+`, $1::text::jsonb)`, row)
			try("adding without a company", "", `insert into `+table+` select * from jsonb_populate_record(null::`+table+`, $1::text::jsonb)`, row)
			try("moving ours to them", s.company.ID, `update `+table+` set company_id = $1`, inland.ID)
			if after := value[string](s, `select md5(string_agg(r::text, '|' order by r::text)) from `+table+` r`); after != before {
				t.Errorf("%s: its rows are not what they were", table)
			}
		}
	})

	t.Run("the store keeps companies apart by id", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		h := s.house()
		_, stranger, _, _ := s.crew("inland")
		s.wantSees(stranger, h, false)
		out := s.give(stranger, h.job, note(h.door, "From across town."))
		if out.Applied || !hasCode(out.Findings, "job_gone") {
			t.Errorf("a stranger's note: want it refused for job_gone, got %+v", out)
		}
		// The same ids in another company are other things.
		s.do(stranger, h.job, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Same id", Unit: length.Millimeters}})
		got, err := s.store.Job(ctx(t), s.lead.Viewer(), h.job)
		s.must(err)
		if got.State.Job.Name != "Alder Street 12" || got.State.Seq != 4 {
			t.Errorf("the first company's job: want it as it was, got %+v at %d", got.State.Job, got.State.Seq)
		}
	})

	t.Run("an owner who is no superuser can serve sign-in, sessions and rebuilds", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		ownerURL, appURL := s.plainOwnersDatabase()
		s.must(migrations.Up(ctx(t), ownerURL))
		s.store = s.open(appURL, postgres.Options{Clock: s.clock.Now, MaxConns: 2})
		s.company, s.lead, s.rosa, s.ivan = s.crew("coast")
		s.house()
		got, _, err := s.store.FindSignIn(ctx(t), "coast-rosa")
		s.must(err)
		if got != s.rosa {
			t.Errorf("sign-in: want %+v, got %+v", s.rosa, got)
		}
		taken := account.Person{ID: newID(), CompanyID: newID(), Name: "x", SignIn: "coast-rosa", Role: joblog.Lead, Language: "en", Unit: length.Inches}
		s.must(s.store.CreateCompany(ctx(t), account.Company{ID: taken.CompanyID, Name: "Other"}))
		if err := s.store.AddPerson(ctx(t), taken, hash); !fault.Is(err, fault.Conflict) {
			t.Errorf("a sign-in name taken in another company: want conflict, got %v", err)
		}
		token := strings.Repeat("b", 43)
		data, err := account.EncodeSession(day.AddDate(0, 1, 0), s.rosa, "")
		s.must(err)
		s.must(s.store.Sessions().CommitCtx(ctx(t), token, data, day.AddDate(0, 1, 0)))
		if _, found, err := s.store.Sessions().FindCtx(ctx(t), token); err != nil || !found {
			t.Errorf("session: want it found, got %v and %v", found, err)
		}
		s.must(s.store.Sessions().DeleteCtx(ctx(t), token))
		if _, found, _ := s.store.Sessions().FindCtx(ctx(t), token); found {
			t.Error("the ended session is still found")
		}
		owner := s.open(ownerURL, postgres.Options{Clock: s.clock.Now, MaxConns: 2})
		rep, err := owner.Rebuild(ctx(t), postgres.Rebuilding{Check: true})
		s.must(err)
		if rep.Companies != 2 || rep.Jobs != 1 || rep.Entries != 4 || len(rep.Differences) != 0 {
			t.Errorf("rebuild: want two companies, one job, four entries, no differences; got %+v", rep)
		}
		s.must(migrations.Down(ctx(t), ownerURL, migrations.Count()))
	})
}

// plainOwnersDatabase makes an empty database owned by a role that may only sign in.
func (s *site) plainOwnersDatabase() (ownerURL, appURL string) {
	s.t.Helper()
	u, err := url.Parse(s.db.OwnerURL)
	s.must(err)
	name := "plain_" + strings.ReplaceAll(newID(), "-", "")
	create := `create role ` + name + ` login`
	if password := u.Query().Get("password"); password != "" {
		create += ` password '` + strings.ReplaceAll(password, "'", "''") + `'`
	}
	s.exec(create)
	s.exec(`create database ` + name + ` owner ` + name)
	s.t.Cleanup(func() {
		// After the stores are closed; the test's own database goes later still.
		for _, statement := range []string{`drop database ` + name + ` (force)`, `drop role ` + name} {
			if _, err := s.db.Owner.Exec(context.Background(), statement); err != nil {
				s.t.Errorf("%s: %v", statement, err)
			}
		}
	})
	at := func(user string) string {
		w := *u
		w.User, w.Path = url.User(user), "/"+name
		return w.String()
	}
	return at(name), at(testdb.AppRole)
}

// Fill puts something of a company into every table of a database at the newest step: for tests of the whole schema.
func Fill(t *testing.T, db *testdb.DB) {
	t.Helper()
	s := &site{t: t, db: db, clock: &clock{now: day}}
	s.store = s.open(db.AppURL, postgres.Options{Clock: s.clock.Now})
	s.company, s.lead, s.rosa, s.ivan = s.crew("harbor")
	s.fill()
	s.must(s.store.KeepCeremony(ctx(t), account.HashToken("a device's"), account.Asked{}, time.Hour))
	s.store.Close()
}
