// Command site runs the demonstration's house for the browser tests, with a clock that they
// can move: paint dries in the time it takes to ask. It prints one line of JSON when it is
// ready and stops when its standard input closes.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/app"
	"longpoint/internal/demo"
	"longpoint/internal/push"
	"longpoint/tests/longjob"
	"longpoint/web"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run() error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	dir, err := os.MkdirTemp("", "longpoint-browser-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	// PostgreSQL runs as another user when this runs as root, and has to pass through.
	if err := os.Chmod(dir, 0o711); err != nil {
		return err
	}
	files, ok := web.App()
	if !ok {
		return errors.New("the web app is not built: run make web")
	}
	var ahead atomic.Int64
	clock := func() time.Time { return time.Now().Add(time.Duration(ahead.Load())) }
	key, err := push.NewKey()
	if err != nil {
		return err
	}
	h := &house{failed: make(chan struct{}), cfg: app.DemoConfig{Addr: "127.0.0.1:0", Dir: dir + "/data", App: files, Clock: clock,
		Push: push.Config{Key: key, Contact: "jobs@trim.example", Near: true}}}
	if err := h.up(ctx); err != nil {
		return err
	}
	control, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return errors.Join(err, h.down())
	}
	// Only the tests know where this listens. POST /ahead?minutes=n moves the clock; /down stops the
	// service and /up starts it again at the same address, with the app in ?app=folder if given.
	mux := http.NewServeMux()
	mux.HandleFunc("POST /ahead", func(w http.ResponseWriter, r *http.Request) {
		n, err := strconv.Atoi(r.FormValue("minutes"))
		if err != nil || n < 0 {
			http.Error(w, "minutes must be a whole number", http.StatusBadRequest)
			return
		}
		ahead.Add(int64(time.Duration(n) * time.Minute))
		fmt.Fprintln(w, clock().UTC().Format(time.RFC3339))
	})
	mux.HandleFunc("POST /down", func(w http.ResponseWriter, _ *http.Request) {
		if err := h.down(); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
		}
	})
	mux.HandleFunc("POST /up", func(w http.ResponseWriter, r *http.Request) {
		if folder := r.FormValue("app"); folder != "" {
			h.cfg.App = os.DirFS(folder)
		}
		if err := h.up(ctx); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
		}
	})
	// POST /large puts a job of 300 items beside the invented one, with ?entries=n in its log.
	mux.HandleFunc("POST /large", func(w http.ResponseWriter, r *http.Request) {
		entries, err := strconv.Atoi(r.FormValue("entries"))
		if err != nil || entries < 4000 {
			http.Error(w, "entries must be a whole number, 4000 or more", http.StatusBadRequest)
			return
		}
		job, err := h.large(r.Context(), entries)
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		fmt.Fprint(w, job)
	})
	go func() { _ = http.Serve(control, mux) }()

	people := map[string]string{}
	for _, p := range demo.Crew() {
		people[p.SignIn] = p.Name
	}
	if err := json.NewEncoder(os.Stdout).Encode(map[string]any{
		"url": "http://" + h.cfg.Addr, "control": "http://" + control.Addr().String(),
		"passphrase": demo.Passphrase, "people": people, "walk": h.walk(), "mail": h.cfg.Dir + "-mail",
	}); err != nil {
		return errors.Join(err, h.down())
	}
	closed := make(chan struct{})
	go func() { _, _ = io.Copy(io.Discard, os.Stdin); close(closed) }()
	select {
	case <-closed:
	case <-ctx.Done():
	case <-h.failed:
	}
	return h.down()
}

// house is the service on its database, which the tests take down and bring up.
type house struct {
	mu      sync.Mutex
	cfg     app.DemoConfig
	running *app.Demo
	failed  chan struct{}
}

// up starts the service; at the same address if it ran before.
func (h *house) up(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.running != nil {
		return errors.New("it is up")
	}
	d, err := app.RunDemo(ctx, h.cfg)
	if err != nil {
		return err
	}
	h.running, h.cfg.Addr = d, d.Addr().String()
	go func() {
		<-d.Done()
		h.mu.Lock()
		defer h.mu.Unlock()
		if h.running == d {
			close(h.failed)
		}
	}()
	return nil
}

// large restores a large job into the demonstration's company, under its lead's name.
func (h *house) large(ctx context.Context, entries int) (job string, err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.running == nil {
		return "", errors.New("it is down")
	}
	owner, err := pgx.Connect(ctx, h.running.Owner())
	if err != nil {
		return "", err
	}
	defer func() { _ = owner.Close(ctx) }()
	var company, lead string
	err = owner.QueryRow(ctx, `select company_id, person_id from people where role = 'lead' order by person_id limit 1`).Scan(&company, &lead)
	if err != nil {
		return "", err
	}
	log, err := longjob.Log(180, 40, entries)
	if err != nil {
		return "", err
	}
	return longjob.Restore(ctx, h.running.Owner(), company, lead, log)
}

// walk is the homeowner's link.
func (h *house) walk() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.running.Walk
}

// down stops the service and its database, whose data stays; nothing when it is down.
func (h *house) down() error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.running == nil {
		return nil
	}
	d := h.running
	h.running = nil
	return d.Close()
}
