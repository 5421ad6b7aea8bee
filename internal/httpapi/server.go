// Package httpapi is the service as the world meets it: the JSON API described by OpenAPI,
// the stream of changes, and the web app's files. It holds no rule of the trade and no SQL;
// it asks the rule book and the Store.
package httpapi

import (
	"context"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/danielgtaylor/huma/v2"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"longpoint/internal/account"
)

// Limits of one request; slow.go has those of its pace.
const (
	mostBody       = 4 << 20 // beyond any operation's own limit
	mostHeader     = 32 << 10
	headerTime     = 10 * time.Second
	requestTime    = 20 * time.Second
	answerTime     = time.Minute
	fileTime       = 10 * time.Minute // the WebAssembly over a bad signal, a photo, a whole log
	sheetTime      = 5 * time.Minute  // sheets of many photos, from a storage that is slow
	idleTime       = 2 * time.Minute
	prefix         = "/api/v1"
	openAPIVersion = "1.0.0"
)

// Config is what the service is made of. Store, Sessions and Hasher are required.
type Config struct {
	Store    Store
	Sessions *scs.SessionManager
	Hasher   *account.Hasher
	// Photos keeps the photos; nil serves without.
	Photos Photos
	// App holds the built web app; nil serves the API alone.
	App fs.FS
	// Clock gives the time that views are made for; nil is time.Now.
	Clock func() time.Time
	// Logger takes one line a request and every internal error. Nil drops them.
	Logger *slog.Logger
	// Watch stands around every request within the router, to count and to trace; nil does neither.
	Watch func(http.Handler) http.Handler
	// TrustProxy takes scheme and client address from the headers of the proxy in front.
	TrustProxy bool
	// Mail says that e-mail is sent: by whom is not this package's.
	Mail bool
	// Push asks for phones' subscriptions; nil tells phones nothing.
	Push Push
	// Guesses bounds wrong passphrases for one name from one address in a minute; 0 is 5.
	Guesses int
}

// Server answers requests. It is safe for concurrent use.
type Server struct {
	cfg      Config
	log      *slog.Logger
	clock    func() time.Time
	hub      *hub
	guesses  *guesses
	boards   *boards
	plans    chan struct{}          // one for each plan under way
	unread   time.Duration          // stallTime, and less in tests
	sessions [2]*scs.SessionManager // over plain HTTP, over TLS
	api      huma.API
	handler  http.Handler
}

// New makes the service. It starts nothing; see Serve.
func New(cfg Config) *Server {
	s := &Server{cfg: cfg, log: cfg.Logger, clock: cfg.Clock, hub: newHub(), boards: newBoards(mostOfBoards), plans: make(chan struct{}, plansAtOnce), unread: stallTime}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.clock == nil {
		s.clock = time.Now
	}
	if cfg.Guesses == 0 {
		cfg.Guesses = 5
	}
	s.guesses = newGuesses(cfg.Guesses)
	s.setSessions()
	s.handler = s.routes()
	return s
}

// Handler is the whole service.
func (s *Server) Handler() http.Handler { return s.handler }

// Changed tells every stream of the job that its log goes to seq. It never waits.
func (s *Server) Changed(company, job string, seq int64) { s.hub.changed(company, job, seq) }

// StockChanged tells every stream of the job that it has another saw plan, of that mark. It never waits.
func (s *Server) StockChanged(company, job string, mark int64) { s.hub.restocked(company, job, mark) }

// Missed tells every stream to look again: changes may have passed unheard.
func (s *Server) Missed() { s.hub.missed() }

// Serve answers on l until ctx ends, then lets requests under way finish for as long as
// grace and ends the streams at once; they come back by themselves.
func (s *Server) Serve(ctx context.Context, l net.Listener, grace time.Duration) error {
	h := &http.Server{
		Handler:           s.handler,
		ReadHeaderTimeout: headerTime,
		WriteTimeout:      answerTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    mostHeader,
		ErrorLog:          slog.NewLogLogger(s.log.Handler(), slog.LevelDebug),
	}
	h.RegisterOnShutdown(s.hub.close)
	served := make(chan error, 1)
	go func() { served <- h.Serve(l) }()
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), grace)
	defer cancel()
	err := h.Shutdown(stop)
	if err != nil {
		_ = h.Close()
	}
	<-served
	return err
}

func (s *Server) routes() http.Handler {
	r := chi.NewRouter()
	r.Use(s.limitUnread, s.identify, s.watch, s.record, s.recover, secure, s.sameOrigin, s.locate, limitBody, middleware.GetHead)
	r.NotFound(func(w http.ResponseWriter, r *http.Request) { writeProblem(w, errNoSuchPlace) })
	r.MethodNotAllowed(s.methodNotAllowed(r))
	r.Get("/healthz", s.healthy)
	r.Get("/readyz", s.ready)
	r.Group(func(r chi.Router) {
		r.Use(s.session, s.limitTime, squeeze())
		s.api = newAPI(r, s.spoken)
		s.register()
	})
	if s.cfg.App != nil {
		app := newApp(s.cfg.App)
		r.Get("/*", app.ServeHTTP)
	}
	return r
}

func (s *Server) register() {
	s.registerSession()
	s.registerPeople()
	s.registerLostPhones()
	s.registerPasskeys()
	s.registerInvites()
	s.registerJobs()
	s.registerCommands()
	s.registerEvents()
	s.registerRules()
	s.registerPhotos()
	s.registerCut()
	s.registerWalks()
	s.registerStock()
	s.registerSheets()
	s.registerForecast()
	s.registerSchedules()
	s.registerTemplates()
	s.registerCalendar()
	s.registerLogbook()
	s.registerSearch()
	s.registerMessages()
	s.registerPush()
	registerOpenAPI(s.api)
}
