// Package app puts the program together: database, HTTP and the changes that pass between
// them. It is the only place that knows all of them.
package app

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/account"
	"longpoint/internal/httpapi"
	"longpoint/internal/mail"
	"longpoint/internal/observe"
	"longpoint/internal/postgres"
	"longpoint/internal/push"
)

// Config is what the service runs on.
type Config struct {
	// Addr is where to listen, host:port; port 0 takes a free one.
	Addr string
	// DatabaseURL is the database, signed in to as the service's role.
	DatabaseURL string
	// ListenURL is the same database for the connection that listens for changes; empty is DatabaseURL.
	ListenURL string
	// MetricsAddr is where Prometheus may ask for numbers; empty has none.
	MetricsAddr string
	// Traces sends spans over OTLP to where OpenTelemetry's own variables say.
	Traces bool
	// App holds the built web app; nil serves the API alone.
	App fs.FS
	// Photos says where photos are kept; without a place none are taken.
	Photos PhotoConfig
	// Mail says how e-mail goes out; without it none is made.
	Mail mail.Config
	// Push says how messages go to the crew's phones; without it none are made.
	Push push.Config
	// TrustProxy takes scheme and client address from the proxy in front.
	TrustProxy bool
	// Clock is nil for the real one.
	Clock func() time.Time
	// Logger is nil for none.
	Logger *slog.Logger
	// Guesses bounds wrong passphrases for one name from one address in a minute; 0 is the
	// service's own bound.
	Guesses int
	// Tune changes the database pool's configuration before it opens; for tracing and tests.
	Tune func(*pgxpool.Config)
	// Grace is how long requests under way may take after the stop; 0 is 10 s.
	Grace time.Duration
}

// App is a running service. Close it when done.
type App struct {
	addr   net.Addr
	stop   context.CancelFunc
	done   chan struct{}
	err    error
	store  *postgres.Store
	photos closable
	watch  *observe.Observer
	post   *post // nil where e-mail is off
	push   *post // nil where messages to phones are off
}

// Run opens the database, begins to listen and returns; the service runs until ctx ends or
// Close is called.
//
// Errors are a *Problem with one sentence for whoever runs the program.
func Run(ctx context.Context, cfg Config) (*App, error) {
	if cfg.Logger == nil {
		cfg.Logger = slog.New(slog.DiscardHandler)
	}
	if cfg.Grace == 0 {
		cfg.Grace = 10 * time.Second
	}
	if err := checkService(ctx, cfg.DatabaseURL); err != nil {
		return nil, err
	}
	l, err := listen(ctx, cfg.Addr)
	if err != nil {
		return nil, err
	}
	watch, err := observer(ctx, cfg)
	if err != nil {
		_ = l.Close()
		return nil, err
	}
	pg, err := postgres.Open(ctx, cfg.DatabaseURL, postgres.Options{MaxConns: connections(cfg.DatabaseURL), ListenURL: cfg.ListenURL,
		Mail: cfg.Mail.On(), Push: cfg.Push.On(), Clock: cfg.Clock, Logger: cfg.Logger, Tune: tune(watch, cfg.Tune)})
	if err != nil {
		_ = l.Close()
		return nil, errors.Join(databaseProblem(err), watch.Stop(ctx))
	}
	showPool(watch, pg)
	// Hashing takes a processor; the others go on serving.
	hasher, err := account.NewHasher(max(1, runtime.GOMAXPROCS(0)/2))
	if err != nil {
		_ = l.Close()
		pg.Close()
		return nil, errors.Join(err, watch.Stop(ctx))
	}
	storage, err := openPhotos(cfg.Photos)
	if err != nil {
		_ = l.Close()
		pg.Close()
		return nil, errors.Join(err, watch.Stop(ctx))
	}
	post, err := openPost(cfg.Mail, pg, cfg.Clock, cfg.Logger)
	if err != nil {
		_ = l.Close()
		pg.Close()
		return nil, errors.Join(err, watch.Stop(ctx))
	}
	phones, asked, err := openPush(cfg.Push, pg, cfg.Clock, cfg.Logger)
	if err != nil {
		_ = l.Close()
		pg.Close()
		return nil, errors.Join(err, watch.Stop(ctx))
	}
	var keeper httpapi.Photos
	if storage != nil {
		keeper = newPhotos(pg, storage)
	}
	server := httpapi.New(httpapi.Config{
		Photos:     keeper,
		Store:      store{pg, watch},
		Sessions:   account.NewSessions(pg.Sessions()),
		Hasher:     hasher,
		App:        cfg.App,
		Clock:      cfg.Clock,
		Logger:     cfg.Logger,
		TrustProxy: cfg.TrustProxy,
		Watch:      watch.Watch,
		Guesses:    cfg.Guesses,
		Mail:       cfg.Mail.On(),
		Push:       asked,
	})
	ctx, stop := context.WithCancel(ctx)
	a := &App{addr: l.Addr(), stop: stop, done: make(chan struct{}), store: pg, photos: storage, watch: watch, post: post, push: phones}
	go a.serve(ctx, server, l, cfg)
	return a, nil
}

// poolSize lets commits of several people share one write to the disk; a server takes 100
// connections unless told otherwise, so a handful of nodes fit.
const poolSize = 16

// connections leaves the size of the pool to the address where it says one.
func connections(address string) int32 {
	if strings.Contains(address, "pool_max_conns") {
		return 0
	}
	return poolSize
}

// Addr is where the service listens.
func (a *App) Addr() net.Addr { return a.addr }

// Done is closed when the service has ended.
func (a *App) Done() <-chan struct{} { return a.done }

// Close stops the service, waits until it has, and says what went wrong while it ran.
func (a *App) Close() error {
	a.stop()
	<-a.done
	return a.err
}

func (a *App) serve(ctx context.Context, server *httpapi.Server, l net.Listener, cfg Config) {
	defer close(a.done)
	defer a.store.Close()
	if a.photos != nil {
		defer func() { _ = a.photos.Close() }()
	}
	var beside sync.WaitGroup
	beside.Go(func() { a.hear(ctx, server) })
	beside.Go(func() { a.sweep(ctx, cfg.Logger) })
	for _, p := range []*post{a.post, a.push} {
		if p != nil {
			beside.Go(func() { p.run(ctx) })
		}
	}
	err := server.Serve(ctx, l, cfg.Grace)
	a.stop()
	beside.Wait()
	if err := a.watch.Stop(context.WithoutCancel(ctx)); err != nil {
		cfg.Logger.WarnContext(ctx, "stopping metrics and traces", "error", err)
	}
	if !errors.Is(err, http.ErrServerClosed) {
		a.err = err
	}
}

// hear passes on what any node changed. It ends with ctx.
func (a *App) hear(ctx context.Context, server *httpapi.Server) {
	_ = a.store.Listen(ctx, func(c postgres.Change) {
		if c.Missed() {
			server.Missed()
			return
		}
		if c.Stock != 0 {
			server.StockChanged(c.CompanyID, c.JobID, c.Stock)
			return
		}
		server.Changed(c.CompanyID, c.JobID, c.Seq)
	})
}

// sweepEvery is how often expired sessions are deleted. They are of no use after their
// time, swept or not.
const sweepEvery = time.Hour

func (a *App) sweep(ctx context.Context, log *slog.Logger) {
	t := time.NewTicker(sweepEvery)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
			if _, err := a.store.Sessions().Sweep(ctx); err != nil && ctx.Err() == nil {
				log.WarnContext(ctx, "sweeping sessions", "error", err)
			}
		}
	}
}
