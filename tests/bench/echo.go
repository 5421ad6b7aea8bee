package main

import (
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"slices"
	"time"

	"longpoint/tests/crew"
)

// roundTrips times one client's ticks, each beside a plain HTTP echo of as many bytes over the
// same loopback, and returns the median of both: what the service and its database add to
// what any answer costs.
func (s *site) roundTrips(ctx context.Context, batch, n int) (tickTime, echoTime time.Duration, err error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return 0, 0, err
	}
	plain := &http.Server{ReadHeaderTimeout: time.Minute, Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		_, _ = io.Copy(w, r.Body)
	})}
	served := make(chan error, 1)
	go func() { served <- plain.Serve(l) }()
	defer func() {
		_ = plain.Close()
		<-served
	}()
	p := s.people[0]
	echo := &crew.Person{HTTP: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 1}}, Base: "http://" + l.Addr().String()}
	defer echo.HTTP.CloseIdleConnections()
	body, err := json.Marshal(map[string]any{"sent_at": time.Now().UTC(), "commands": []any{tick(clonedItem(batch, 1))}})
	if err != nil {
		return 0, 0, err
	}
	var ticks, echoes []time.Duration
	for i := range n {
		began := time.Now()
		if err := p.Send(ctx, tick(clonedItem(batch, i+1))); err != nil {
			return 0, 0, err
		}
		between := time.Now()
		var back map[string]any
		if err := echo.Post(ctx, "/", json.RawMessage(body), &back); err != nil {
			return 0, 0, err
		}
		ticks, echoes = append(ticks, between.Sub(began)), append(echoes, time.Since(between))
	}
	slices.Sort(ticks)
	slices.Sort(echoes)
	return ticks[n/2], echoes[n/2], nil
}
