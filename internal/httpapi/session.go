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
	// overTLSCookie can be set by this host alone, for all of it, over TLS: no neighbor under
	// the same domain can plant one (RFC 6265bis, 4.1.3.2).
	overTLSCookie = "__Host-" + cookieName
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
	overTLS.Cookie.Name = overTLSCookie
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
	Fine        bool        `json:"fine,omitempty" doc:"Lengths are printed to 32nds of an inch or half millimeters"`
}

type meOutput struct{ Body Me }

// Settings are how a person reads: everything the service and the rule book say comes so.
type Settings struct {
	Language string      `json:"language" enum:"en,es"`
	Unit     length.Unit `json:"unit" enum:"in,mm" doc:"Unit lengths are printed in"`
	Name     string      `json:"name,omitempty" maxLength:"120" doc:"Their own name; as it is when left out"`
	Fine     *bool       `json:"fine,omitempty" doc:"Marks twice as close, 32nds or half millimeters; as it is when left out"`
}

// SignInDevice is what a phone or a browser calls itself, for the person to know it by in
// their list of sessions.
type SignInDevice struct {
	ID   string `json:"id,omitempty" format:"uuid" doc:"Made once on the device and kept there"`
	Name string `json:"name,omitempty" maxLength:"80"`
}

// device is what is kept of it: a name that would not show well is left out.
func (d *SignInDevice) device() account.Device {
	if d == nil {
		return account.Device{}
	}
	name, err := account.Name(d.Name)
	if err != nil {
		name = ""
	}
	return account.Device{ID: d.ID, Name: name}
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

	Device *SignInDevice `json:"device,omitempty"`
}

// SetPassphrase replaces the person's own passphrase.
type SetPassphrase struct {
	Old string `json:"old" minLength:"1" maxLength:"1024" writeOnly:"true"`
	New string `json:"new" minLength:"1" maxLength:"1024" writeOnly:"true"`
}

type setPassphraseInput struct {
	Body SetPassphrase
	from string
}

// Resolve takes down where the request came from.
func (in *setPassphraseInput) Resolve(ctx huma.Context) []error {
	in.from = addressOf(ctx)
	return nil
}

// addressOf is where a request came from, as guesses are counted by it.
func addressOf(ctx huma.Context) string {
	r, _ := humachi.Unwrap(ctx)
	at, _ := r.Context().Value(clientAddress).(string)
	return at
}

// Resolve takes down where the request came from.
func (in *signInInput) Resolve(ctx huma.Context) []error {
	in.from = addressOf(ctx)
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
	set := operation("set-settings", http.MethodPut, "/session/settings", "Set what the person signed in is called and how they read")
	set.MaxBodyBytes = signInBody
	add(s, set, func(ctx context.Context, in *settingsInput) (*meOutput, error) {
		p, err := s.person(ctx)
		if err != nil {
			return nil, err
		}
		p.Language, p.Unit = in.Body.Language, in.Body.Unit
		if in.Body.Name != "" {
			if p.Name, err = account.Name(in.Body.Name); err != nil {
				return nil, err
			}
		}
		if in.Body.Fine != nil {
			p.Fine = *in.Body.Fine
		}
		if err := s.cfg.Store.SetSettings(ctx, p.Viewer(), account.Settings{Name: p.Name, Language: p.Language, Unit: p.Unit, Fine: p.Fine}); err != nil {
			return nil, err
		}
		return s.me(ctx, p)
	})
	pass := operation("set-passphrase", http.MethodPut, "/session/passphrase", "Change one's own passphrase")
	pass.Description = "Signs the person out everywhere else. Wrong guesses of the old one are throttled: 429 with Retry-After."
	pass.MaxBodyBytes = signInBody
	add(s, pass, s.setPassphrase)
}

func (s *Server) setPassphrase(ctx context.Context, in *setPassphraseInput) (*struct{}, error) {
	p, err := s.person(ctx)
	if err != nil {
		return nil, err
	}
	if err := account.CheckPassphrase(in.Body.New, p.SignIn); err != nil {
		return nil, err
	}
	if err := s.guess(in.from, p.SignIn); err != nil {
		return nil, err
	}
	if _, err := s.cfg.Hasher.SignIn(ctx, s.cfg.Store, p.SignIn, in.Body.Old); err != nil {
		if fault.Is(err, fault.Unauthorized) {
			return nil, fault.New(fault.Invalid, "The passphrase you have now is not right.")
		}
		return nil, err
	}
	s.guesses.forgive(in.from, p.SignIn)
	hash, err := s.cfg.Hasher.Hash(ctx, in.Body.New)
	if err != nil {
		return nil, err
	}
	return nil, s.cfg.Store.SetPassphrase(ctx, p.CompanyID, p.ID, hash, s.tokenHash(ctx))
}

// tokenHash is what the store knows the request's own session by.
func (s *Server) tokenHash(ctx context.Context) string {
	return account.HashToken(s.cfg.Sessions.Token(ctx))
}

// guess counts a guess before it is checked. Errors: rate_limited.
func (s *Server) guess(from, name string) error {
	wait, ok := s.guesses.begin(from, name)
	if ok {
		return nil
	}
	p := newProblem(http.StatusTooManyRequests, fault.RateLimited, "Too many wrong guesses. Wait a minute and try again.")
	return huma.ErrorWithHeaders(p, http.Header{"Retry-After": {strconv.Itoa(int(wait.Seconds()))}})
}

// enter begins a session of the person's on the device and says who they are.
func (s *Server) enter(ctx context.Context, p account.Person, on account.Device) (*meOutput, error) {
	if err := account.Remember(ctx, s.cfg.Sessions, p, on); err != nil {
		return nil, err
	}
	// Saved here too, where a failure can still be answered: the manager saves while the
	// answer is being written.
	if _, _, err := s.cfg.Sessions.Commit(ctx); err != nil {
		return nil, err
	}
	return s.me(ctx, p)
}

func (s *Server) signIn(ctx context.Context, in *signInInput) (*meOutput, error) {
	name, err := account.SignInName(in.Body.SignIn)
	if err != nil {
		name = strings.ToLower(in.Body.SignIn) // the hasher refuses it, after the same work
	}
	if err := s.guess(in.from, name); err != nil {
		return nil, err
	}
	p, err := s.cfg.Hasher.SignIn(ctx, s.cfg.Store, in.Body.SignIn, in.Body.Passphrase)
	if err != nil {
		if !fault.Is(err, fault.Unauthorized) {
			s.guesses.forgive(in.from, name)
		}
		return nil, err
	}
	s.guesses.forgive(in.from, name)
	return s.enter(ctx, p, in.Body.Device.device())
}

func (s *Server) me(ctx context.Context, p account.Person) (*meOutput, error) {
	c, err := s.cfg.Store.Company(ctx, p.Viewer())
	if err != nil {
		return nil, err
	}
	return &meOutput{Body: Me{PersonID: p.ID, Name: p.Name, SignIn: p.SignIn, CompanyID: c.ID, CompanyName: c.Name,
		Role: p.Role, Language: p.Language, Unit: p.Unit, Fine: p.Fine}}, nil
}

// signOut ends the session; without one there is nothing to end and it is done too.
func (s *Server) signOut(ctx context.Context, _ *struct{}) (*struct{}, error) {
	return nil, s.cfg.Sessions.Destroy(ctx)
}
