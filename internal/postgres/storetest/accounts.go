package storetest

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

func testAccounts(t *testing.T) {
	t.Run("sign in", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		hasher, err := account.NewHasher(1)
		s.must(err)
		const passphrase = "plumb bob on a long string"
		hashed, err := hasher.Hash(ctx(t), passphrase)
		s.must(err)
		nell := account.Person{ID: newID(), CompanyID: s.company.ID, Name: "Nell Quist", SignIn: " Nell@Harbor.test ", Role: joblog.Owner, Language: "es", Unit: length.Millimeters}
		s.must(s.store.AddPerson(ctx(t), nell, hashed))
		nell.SignIn = "nell@harbor.test"
		got, err := hasher.SignIn(ctx(t), s.store, "NELL@harbor.test", passphrase)
		if err != nil || got != nell {
			t.Errorf("want %+v, got %+v and %v", nell, got, err)
		}
		for name, try := range map[string][2]string{
			"wrong passphrase": {"nell@harbor.test", "plumb bob on a short string"},
			"unknown name":     {"nobody@harbor.test", passphrase},
			"no name":          {"", passphrase},
			"empty passphrase": {"nell@harbor.test", ""},
		} {
			_, err := hasher.SignIn(ctx(t), s.store, try[0], try[1])
			if want := "The name or the passphrase is not right."; !fault.Is(err, fault.Unauthorized) || fault.SentenceOf(err) != want {
				t.Errorf("%s: want unauthorized with %q, got %v", name, want, err)
			}
		}
	})

	t.Run("a sign-in name is one person's, whatever the company", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		companies := make([]account.Company, 6)
		for i := range companies {
			companies[i] = account.Company{ID: newID(), Name: "Crew"}
			s.must(s.store.CreateCompany(ctx(t), companies[i]))
		}
		errs := make([]error, len(companies))
		var wg sync.WaitGroup
		for i, c := range companies {
			wg.Go(func() {
				errs[i] = s.store.AddPerson(ctx(t), account.Person{ID: newID(), CompanyID: c.ID, Name: "Sam", SignIn: "sam", Role: joblog.Lead, Language: "en", Unit: length.Inches}, hash)
			})
		}
		wg.Wait()
		won := 0
		for _, err := range errs {
			switch {
			case err == nil:
				won++
			case !fault.Is(err, fault.Conflict):
				t.Errorf("want conflict, got %v", err)
			}
		}
		if n := value[int64](s, `select count(*) from people where sign_in = 'sam'`); won != 1 || n != 1 {
			t.Errorf("six took the name at once: want one to have it, got %d told so and %d rows", won, n)
		}
	})

	t.Run("writers of one sign-in name take turns", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		inland, _, _, _ := s.crew("inland")
		insert := `
			insert into people (company_id, person_id, name, sign_in, passphrase_hash, role, language, unit, created_at)
			values ($1, gen_random_uuid(), 'Sam', $2, '` + hash + `', 'lead', 'en', 'in', now())`
		s.must(s.as(s.company.ID, func(first pgx.Tx) error {
			if _, err := first.Exec(ctx(t), insert, s.company.ID, "sam"); err != nil {
				return err
			}
			return s.as(inland.ID, func(second pgx.Tx) error {
				if _, err := second.Exec(ctx(t), `set local lock_timeout = '50ms'`); err != nil {
					return err
				}
				if _, err := second.Exec(ctx(t), insert, inland.ID, "samantha"); err != nil {
					t.Errorf("another name: want no waiting, got %v", err)
				}
				_, err := second.Exec(ctx(t), insert, inland.ID, "sam")
				if got := sqlState(err); got != "55P03" {
					t.Errorf("the same name before the first commits: want it to wait (55P03), got %q: %v", got, err)
				}
				return nil
			})
		}))
	})

	t.Run("a session of nobody is not stored", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		data, err := account.SessionCodec{}.Encode(day, nil)
		s.must(err)
		s.must(s.store.Sessions().CommitCtx(ctx(t), strings.Repeat("n", 43), data, day))
		if n := s.sessions(); n != 0 {
			t.Errorf("want nothing stored, got %d rows", n)
		}
	})

	t.Run("sessions", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		b := newBrowser(s)
		if got := b.get("/who"); got != "nobody" || s.sessions() != 0 {
			t.Errorf("before sign-in: want nobody and nothing stored, got %q and %d rows", got, s.sessions())
		}
		b.get("/sign-in")
		if got := b.get("/who"); got != "rosa installer" {
			t.Errorf("signed in: want rosa installer, got %q", got)
		}
		for _, stored := range rows[string](s, `select token_hash from sessions`) {
			if strings.Contains(b.cookie, stored) {
				t.Errorf("the token itself is in the database: %s", stored)
			}
		}
		first := b.cookie
		s.exec(`update people set role = 'lead' where person_id = $1`, s.rosa.ID)
		if got := b.get("/who"); got != "rosa lead" {
			t.Errorf("after a change of role: want rosa lead at once, got %q", got)
		}
		b.get("/sign-out")
		if got := b.get("/who"); got != "nobody" {
			t.Errorf("signed out: want nobody, got %q", got)
		}
		b.cookie = first
		if got := b.get("/who"); got != "nobody" {
			t.Errorf("with the cookie from before: want nobody, got %q", got)
		}
		s.wantEndedStaysEnded()
	})

	t.Run("an expired session is gone and is swept", func(t *testing.T) {
		t.Parallel()
		s := setup(t)
		sessions := s.store.Sessions()
		until := day.Add(24 * time.Hour)
		data, err := account.EncodeSession(until, s.rosa, "")
		s.must(err)
		short, long := strings.Repeat("s", 43), strings.Repeat("l", 43)
		s.must(sessions.CommitCtx(ctx(t), short, data, until))
		s.must(sessions.CommitCtx(ctx(t), long, data, until.Add(time.Hour)))
		s.clock.Move(24 * time.Hour)
		for token, want := range map[string]bool{short: false, long: true, strings.Repeat("x", 43): false, "": false} {
			if _, found, err := sessions.FindCtx(ctx(t), token); err != nil || found != want {
				t.Errorf("session %.1s: want found %v, got %v and %v", token, want, found, err)
			}
		}
		if got := value[time.Time](s, `select last_seen_at from sessions where token_hash = $1`, long); !got.Equal(until) {
			t.Errorf("last seen: want %v, got %v", until, got)
		}
		if gone, err := sessions.Sweep(ctx(t)); err != nil || gone != 1 || s.sessions() != 1 {
			t.Errorf("swept: want 1 of 2, got %d, %d left, %v", gone, s.sessions(), err)
		}
	})
}

func (s *site) sessions() int64 {
	s.t.Helper()
	return value[int64](s, `select count(*) from sessions`)
}

// wantEndedStaysEnded saves a session that ended meanwhile, as a request under way may.
func (s *site) wantEndedStaysEnded() {
	s.t.Helper()
	sessions, token := s.store.Sessions(), strings.Repeat("t", 43)
	data, err := account.EncodeSession(day.Add(time.Hour), s.ivan, "")
	s.must(err)
	s.must(sessions.CommitCtx(ctx(s.t), token, data, day.Add(time.Hour)))
	s.must(sessions.DeleteCtx(ctx(s.t), token))
	s.must(sessions.CommitCtx(ctx(s.t), token, data, day.Add(time.Hour)))
	if _, found, err := sessions.FindCtx(ctx(s.t), token); err != nil || found {
		s.t.Errorf("an ended session came back: found %v, %v", found, err)
	}
}

// browser holds the cookie between requests to a small server with the sessions.
type browser struct {
	s       *site
	handler http.Handler
	cookie  string
}

func newBrowser(s *site) *browser {
	m := account.NewSessions(s.store.Sessions())
	m.Lifetime = 100 * 365 * 24 * time.Hour // the manager reads the real clock, the store the test's
	fail := func(w http.ResponseWriter, err error) {
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
		}
	}
	mux := http.NewServeMux()
	mux.HandleFunc("/who", func(w http.ResponseWriter, r *http.Request) {
		if p, ok := account.SignedIn(r.Context(), m); ok {
			_, _ = w.Write([]byte(p.Name + " " + string(p.Role)))
			return
		}
		_, _ = w.Write([]byte("nobody"))
	})
	mux.HandleFunc("/sign-in", func(w http.ResponseWriter, r *http.Request) {
		fail(w, account.Remember(r.Context(), m, s.rosa, account.Device{Name: "Android phone"}))
	})
	mux.HandleFunc("/sign-out", func(w http.ResponseWriter, r *http.Request) { fail(w, m.Destroy(r.Context())) })
	return &browser{s: s, handler: m.LoadAndSave(mux)}
}

func (b *browser) get(path string) string {
	b.s.t.Helper()
	r := httptest.NewRequestWithContext(context.WithoutCancel(ctx(b.s.t)), http.MethodGet, path, nil)
	if b.cookie != "" {
		r.Header.Set("Cookie", b.cookie)
	}
	w := httptest.NewRecorder()
	b.handler.ServeHTTP(w, r)
	if w.Code != http.StatusOK {
		b.s.t.Fatalf("%s: %d %s", path, w.Code, w.Body)
	}
	for _, c := range w.Result().Cookies() {
		b.cookie = c.Name + "=" + c.Value
	}
	return w.Body.String()
}
