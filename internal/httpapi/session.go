package httpapi

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

const (
	cookieName = "longpoint_session"
	// sessionTime is how long a phone stays signed in: a crew's job lasts weeks, and a
	// phone asked to sign in where there is no signal is of no use.
	sessionTime = 30 * 24 * time.Hour
	signInBody  = 8 << 10
)

// detached is a session manager without a store, for describing the API.
func detached() *scs.SessionManager { return account.NewSessions(nil) }

func (s *Server) setSessions() {
	m := s.cfg.Sessions
	m.Cookie.Name = cookieName
	m.Cookie.Path = "/"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.Cookie.Persist = true
	m.Lifetime = sessionTime
	m.ErrorFunc = s.sessionFailed
	// The copy shares the manager's store and its key in a request's context.
	overTLS := *m
	overTLS.Cookie.Secure = true
	s.sessions = [2]*scs.SessionManager{m, &overTLS}
}

// session loads the request's session and saves what becomes of it.
func (s *Server) session(next http.Handler) http.Handler {
	plain, overTLS := s.sessions[0].LoadAndSave(next), s.sessions[1].LoadAndSave(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := plain
		if s.overTLS(r) {
			h = overTLS
		}
		h.ServeHTTP(w, r)
	})
}

func (s *Server) overTLS(r *http.Request) bool {
	return r.TLS != nil || s.cfg.TrustProxy && r.Header.Get("X-Forwarded-Proto") == "https"
}

// sessionFailed answers when the session could not be loaded or saved.
func (s *Server) sessionFailed(w http.ResponseWriter, r *http.Request, err error) {
	writeProblem(w, problemOf(s.refuse(r.Context(), err)))
}

// person is who is signed in.
func (s *Server) person(ctx context.Context) (account.Person, error) {
	p, ok := account.SignedIn(ctx, s.cfg.Sessions)
	if !ok {
		return account.Person{}, fault.New(fault.Unauthorized, "Sign in first.")
	}
	return p, nil
}

func (s *Server) viewer(ctx context.Context) (account.Viewer, error) {
	p, err := s.person(ctx)
	return p.Viewer(), err
}

// Me is who is signed in.
type Me struct {
	PersonID    string      `json:"person_id" format:"uuid"`
	Name        string      `json:"name"`
	SignIn      string      `json:"sign_in"`
	CompanyID   string      `json:"company_id" format:"uuid"`
	CompanyName string      `json:"company_name"`
	Role        joblog.Role `json:"role" enum:"owner,lead,installer"`
	Language    string      `json:"language" enum:"en,es"`
	Unit        length.Unit `json:"unit" enum:"in,mm" doc:"Unit lengths are printed in"`
}

type meOutput struct{ Body Me }

// Settings are how a person reads: everything the service and the rule book say comes so.
type Settings struct {
	Language string      `json:"language" enum:"en,es"`
	Unit     length.Unit `json:"unit" enum:"in,mm" doc:"Unit lengths are printed in"`
}

type settingsInput struct{ Body Settings }

type signInInput struct {
	Body SignIn
	from string
}

// SignIn is what a person signs in with.
type SignIn struct {
	SignIn     string `json:"sign_in" minLength:"1" maxLength:"254"`
	Passphrase string `json:"passphrase" minLength:"1" maxLength:"1024" writeOnly:"true"`
}

// Resolve takes down where the request came from.
func (in *signInInput) Resolve(ctx huma.Context) []error {
	r, _ := humachi.Unwrap(ctx)
	in.from, _ = r.Context().Value(clientAddress).(string)
	return nil
}

func (s *Server) registerSession() {
	op := public(operation("sign-in", http.MethodPost, "/session", "Sign in"))
	op.MaxBodyBytes = signInBody
	op.Description = "Sets the session's cookie. Wrong guesses are throttled: 429 with Retry-After."
	add(s, op, s.signIn)
	out := operation("sign-out", http.MethodDelete, "/session", "Sign out")
	add(s, public(out), s.signOut)
	add(s, operation("get-session", http.MethodGet, "/session", "Who is signed in"),
		func(ctx context.Context, _ *struct{}) (*meOutput, error) {
			p, err := s.person(ctx)
			if err != nil {
				return nil, err
			}
			return s.me(ctx, p)
		})
	set := operation("set-settings", http.MethodPut, "/session/settings", "Set how the person signed in reads")
	set.MaxBodyBytes = signInBody
	add(s, set, func(ctx context.Context, in *settingsInput) (*meOutput, error) {
		p, err := s.person(ctx)
		if err != nil {
			return nil, err
		}
		if err := s.cfg.Store.SetSettings(ctx, p.Viewer(), in.Body.Language, in.Body.Unit); err != nil {
			return nil, err
		}
		p.Language, p.Unit = in.Body.Language, in.Body.Unit
		return s.me(ctx, p)
	})
}

func (s *Server) signIn(ctx context.Context, in *signInInput) (*meOutput, error) {
	name, err := account.SignInName(in.Body.SignIn)
	if err != nil {
		name = strings.ToLower(in.Body.SignIn) // the hasher refuses it, after the same work
	}
	if wait, ok := s.guesses.begin(in.from, name); !ok {
		p := newProblem(http.StatusTooManyRequests, fault.RateLimited, "Too many wrong guesses. Wait a minute and try again.")
		return nil, huma.ErrorWithHeaders(p, http.Header{"Retry-After": {strconv.Itoa(int(wait.Seconds()))}})
	}
	p, err := s.cfg.Hasher.SignIn(ctx, s.cfg.Store, in.Body.SignIn, in.Body.Passphrase)
	if err != nil {
		if !fault.Is(err, fault.Unauthorized) {
			s.guesses.forgive(in.from, name)
		}
		return nil, err
	}
	s.guesses.forgive(in.from, name)
	if err := account.Remember(ctx, s.cfg.Sessions, p); err != nil {
		return nil, err
	}
	// Saved here too, where a failure can still be answered: the manager saves while the
	// answer is being written.
	if _, _, err := s.cfg.Sessions.Commit(ctx); err != nil {
		return nil, err
	}
	return s.me(ctx, p)
}

func (s *Server) me(ctx context.Context, p account.Person) (*meOutput, error) {
	c, err := s.cfg.Store.Company(ctx, p.Viewer())
	if err != nil {
		return nil, err
	}
	return &meOutput{Body: Me{PersonID: p.ID, Name: p.Name, SignIn: p.SignIn, CompanyID: c.ID, CompanyName: c.Name,
		Role: p.Role, Language: p.Language, Unit: p.Unit}}, nil
}

// signOut ends the session; without one there is nothing to end and it is done too.
func (s *Server) signOut(ctx context.Context, _ *struct{}) (*struct{}, error) {
	return nil, s.cfg.Sessions.Destroy(ctx)
}
