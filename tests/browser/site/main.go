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
	"sync/atomic"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/demo"
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
	d, err := app.RunDemo(ctx, app.DemoConfig{Addr: "127.0.0.1:0", Dir: dir + "/data", App: files, Clock: clock})
	if err != nil {
		return err
	}
	control, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return errors.Join(err, d.Close())
	}
	// POST /ahead?minutes=n moves the clock; only the tests know where this listens.
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
	go func() { _ = http.Serve(control, mux) }()

	people := map[string]string{}
	for _, p := range demo.Crew() {
		people[p.SignIn] = p.Name
	}
	if err := json.NewEncoder(os.Stdout).Encode(map[string]any{
		"url": "http://" + d.Addr().String(), "control": "http://" + control.Addr().String(),
		"passphrase": demo.Passphrase, "people": people,
	}); err != nil {
		return errors.Join(err, d.Close())
	}
	closed := make(chan struct{})
	go func() { _, _ = io.Copy(io.Discard, os.Stdin); close(closed) }()
	select {
	case <-closed:
	case <-ctx.Done():
	case <-d.Done():
	}
	return d.Close()
}
