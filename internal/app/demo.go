package app

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"path/filepath"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/demo"
	"longpoint/internal/fault"
	"longpoint/internal/mail"
	"longpoint/internal/pglocal"
	"longpoint/internal/postgres"
	"longpoint/internal/push"
	"longpoint/migrations"
)

// DemoConfig is what the demonstration runs on.
type DemoConfig struct {
	// Addr is where to listen.
	Addr string
	// DatabaseURL is a database to use, as its owner; empty starts a PostgreSQL of its own.
	DatabaseURL string
	// Dir is where that one keeps its data.
	Dir string
	// Photos is where photos are kept; without a place, beside Dir.
	Photos PhotoConfig
	// MailDir is where e-mail is kept, a file a message; without one, beside Dir.
	MailDir string
	// Push tells the crew's phones of work, over their browsers' own push services; off without a key.
	Push   push.Config
	App    fs.FS
	Clock  func() time.Time
	Logger *slog.Logger
	// Say is told each slow step before it begins.
	Say func(string)
}

// database is the demonstration's own, in a PostgreSQL of its own.
const database = "longpoint"

// Demo is the running demonstration. Close it when done; its data stays.
type Demo struct {
	*App
	// Home is where the data is, in words.
	Home string
	// Walk is the homeowner's link to the invented walkthrough, made anew at each start: only
	// the hash of the last one is kept. Empty when the house has no walkthrough.
	Walk string
	// Mail is the folder that e-mail is kept in: none leaves the machine.
	Mail  string
	sink  *mail.Sink
	local *pglocal.Server
}

// RunDemo brings up a database, puts the invented house in it unless it is there, and
// serves.
//
// Errors are a *Problem.
func RunDemo(ctx context.Context, cfg DemoConfig) (*Demo, error) {
	if cfg.Clock == nil {
		cfg.Clock = time.Now
	}
	if cfg.Say == nil {
		cfg.Say = func(string) {}
	}
	if cfg.Photos == (PhotoConfig{}) {
		cfg.Photos.Dir = filepath.Clean(cfg.Dir) + "-photos"
	}
	if cfg.MailDir == "" && cfg.Dir != "" {
		cfg.MailDir = filepath.Clean(cfg.Dir) + "-mail"
	}
	// A taken port is told before anything is made.
	probe, err := listen(ctx, cfg.Addr)
	if err != nil {
		return nil, err
	}
	if err := probe.Close(); err != nil {
		return nil, err
	}
	d := &Demo{Home: "the database that DATABASE_URL names"}
	if err := d.start(ctx, cfg); err != nil {
		return nil, errors.Join(err, d.stopMail(), d.stopLocal(ctx))
	}
	return d, nil
}

func (d *Demo) start(ctx context.Context, cfg DemoConfig) error {
	owner, service, err := d.database(ctx, cfg)
	if err != nil {
		return err
	}
	if err := migrations.Up(ctx, owner); err != nil {
		return databaseProblem(err)
	}
	if d.local == nil {
		if err := letInAsServiceRole(ctx, owner); err != nil {
			return err
		}
	}
	if err := d.house(ctx, cfg, service); err != nil {
		return err
	}
	post, err := d.openMail(cfg.MailDir)
	if err != nil {
		return err
	}
	d.App, err = Run(ctx, Config{Addr: cfg.Addr, DatabaseURL: service, App: cfg.App, Photos: cfg.Photos, Mail: post, Push: cfg.Push, Clock: cfg.Clock, Logger: cfg.Logger})
	if err != nil {
		return err
	}
	if err := d.openWalk(ctx, cfg.Clock()); err != nil {
		return errors.Join(err, d.App.Close())
	}
	return nil
}

// openMail starts the mail server that passes nothing on.
func (d *Demo) openMail(dir string) (cfg mail.Config, err error) {
	if dir == "" {
		return cfg, nil
	}
	if d.Mail, err = filepath.Abs(dir); err == nil {
		d.sink, err = mail.OpenSink(d.Mail)
	}
	if err != nil {
		return cfg, problem(err, "The folder %q cannot be used for e-mail (%v): set LONGPOINT_DEMO_DIR to another.", dir, err)
	}
	return mail.Config{URL: d.sink.URL(), From: "Longpoint <longpoint@example.com>"}, nil
}

func (d *Demo) stopMail() error {
	if d.sink == nil {
		return nil
	}
	return d.sink.Close()
}

// openWalk makes a link to the invented walkthrough.
func (d *Demo) openWalk(ctx context.Context, now time.Time) error {
	lead, err := demo.Lead(ctx, d.store)
	if err != nil {
		return databaseProblem(err)
	}
	jobs, err := d.store.Jobs(ctx, lead.Viewer())
	if err != nil {
		return databaseProblem(err)
	}
	for _, j := range jobs {
		job, err := d.store.Job(ctx, lead.Viewer(), j.Job.ID)
		if err != nil {
			return databaseProblem(err)
		}
		walk := demo.Walk(job.State)
		if walk == "" {
			continue
		}
		token := account.NewToken()
		link := "http://" + d.Addr().String() + "/walk#" + token
		if err := d.store.MakeLink(ctx, lead.Viewer(), account.NewLink{JobID: j.Job.ID, WalkID: walk, TokenHash: account.HashToken(token),
			ExpiresAt: now.Add(60 * 24 * time.Hour), Link: link, GuestEmail: demo.Homeowner.SignIn + "@example.com", LeadEmail: lead.SignIn + "@example.com"}); err != nil {
			return databaseProblem(err)
		}
		d.Walk = link
	}
	return nil
}

// Owner is the address of its own database for the tables' owner; empty for one that
// DATABASE_URL named. Tests fill it.
func (d *Demo) Owner() string {
	if d.local == nil {
		return ""
	}
	return d.local.DSN(database, pglocal.Superuser)
}

// Close stops the service, then a database of its own.
func (d *Demo) Close() error {
	return errors.Join(d.App.Close(), d.stopMail(), d.stopLocal(context.Background()))
}

func (d *Demo) stopLocal(ctx context.Context) error {
	if d.local == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 30*time.Second)
	defer cancel()
	return d.local.Stop(ctx)
}

// database returns the addresses of the owner and of the service's role.
func (d *Demo) database(ctx context.Context, cfg DemoConfig) (owner, service string, err error) {
	if cfg.DatabaseURL != "" {
		service, err := asServiceRole(cfg.DatabaseURL)
		if err != nil {
			return "", "", err
		}
		return cfg.DatabaseURL, service, checkHome(ctx, cfg.DatabaseURL)
	}
	dir, err := filepath.Abs(cfg.Dir)
	if err != nil {
		return "", "", problem(err, "The folder %q cannot be used: set LONGPOINT_DEMO_DIR to another.", cfg.Dir)
	}
	d.Home = dir
	cfg.Say("Starting PostgreSQL in " + dir + " …")
	d.local, err = pglocal.Start(ctx, pglocal.Config{DataDir: dir, Fsync: true, Logger: cfg.Logger})
	if err != nil {
		var p *pglocal.Error
		if errors.As(err, &p) {
			return "", "", problem(err, "%s", p.Sentence)
		}
		return "", "", problem(err, "PostgreSQL did not start in %s (%v): set LONGPOINT_DEMO_DIR to another folder, or DATABASE_URL to a database to use.", dir, err)
	}
	if err := d.local.EnsureDatabase(ctx, database); err != nil {
		return "", "", databaseProblem(err)
	}
	return d.local.DSN(database, pglocal.Superuser), d.local.DSN(database, serviceRole), nil
}

// house puts the invented house into the database unless it is there.
func (d *Demo) house(ctx context.Context, cfg DemoConfig, service string) error {
	clock := &demo.Clock{}
	pg, err := postgres.Open(ctx, service, postgres.Options{Clock: clock.Now, Logger: cfg.Logger})
	if err != nil {
		return databaseProblem(err)
	}
	defer pg.Close()
	now := cfg.Clock()
	lead, err := demo.Lead(ctx, pg)
	if err == nil {
		clock.Set(now)
		return d.whole(ctx, pg, lead, now)
	}
	if !fault.Is(err, fault.NotFound) {
		return databaseProblem(err)
	}
	cfg.Say("Building the invented house …")
	hasher, err := account.NewHasher(1)
	if err != nil {
		return err
	}
	storage, err := openPhotos(cfg.Photos)
	if err != nil {
		return err
	}
	defer func() { _ = storage.Close() }()
	// Ctrl-C is heeded once the house stands: half of one could not be finished later.
	if _, err := demo.Load(context.WithoutCancel(ctx), pg, newPhotos(pg, storage).deliver, clock, hasher, now); err != nil {
		return databaseProblem(err)
	}
	return ctx.Err()
}

// whole refuses a house that was left half built, by a power cut say.
func (d *Demo) whole(ctx context.Context, pg *postgres.Store, lead account.Person, now time.Time) error {
	jobs, err := pg.Jobs(ctx, lead.Viewer())
	if err != nil {
		return databaseProblem(err)
	}
	for _, j := range jobs {
		if j.Seq >= demo.Entries(now) {
			return nil
		}
	}
	return problem(nil, "The demonstration's house was left half built in %s: delete that data and start again.", d.Home)
}
