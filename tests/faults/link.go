// Package faults breaks the service while a crew works, and counts: every command that was answered for is found once,
// and the tables are what the log makes them.
package faults

import (
	"context"
	"net"
	"sync"
	"time"
)

// link is a way between two programs that can be cut, held up and slowed down. It is our own because the database
// listens on a Unix socket, which the proxies made for such tests do not dial.
type link struct {
	l    net.Listener
	dial func(context.Context) (net.Conn, error)

	mu     sync.Mutex
	change chan struct{} // closed when the way's state changes
	cut    bool          // connections break, and new ones too
	held   bool          // nothing passes, and nothing breaks
	delay  time.Duration // each piece takes so much longer
	conns  map[net.Conn]struct{}
	shut   bool
	work   sync.WaitGroup
}

func newLink(dial func(context.Context) (net.Conn, error)) (*link, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	k := &link{l: l, dial: dial, change: make(chan struct{}), conns: map[net.Conn]struct{}{}}
	k.work.Go(k.accept)
	return k, nil
}

// to dials one address.
func to(network, address string) func(context.Context) (net.Conn, error) {
	return func(ctx context.Context) (net.Conn, error) { return (&net.Dialer{}).DialContext(ctx, network, address) }
}

func (k *link) addr() string { return k.l.Addr().String() }

func (k *link) accept() {
	for {
		c, err := k.l.Accept()
		if err != nil {
			return
		}
		k.work.Go(func() { k.carry(c) })
	}
}

func (k *link) carry(near net.Conn) {
	defer func() { _ = near.Close() }()
	if !k.hold(near) {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	far, err := k.dial(ctx)
	cancel()
	if err != nil {
		k.drop(near)
		return
	}
	if !k.hold(far) {
		k.drop(near)
		return
	}
	var both sync.WaitGroup
	both.Go(func() { k.pump(far, near) })
	both.Go(func() { k.pump(near, far) })
	both.Wait()
	k.drop(near)
	k.drop(far)
}

// hold keeps a connection to break it later; false where the way is cut.
func (k *link) hold(c net.Conn) bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.cut || k.shut {
		_ = c.Close()
		return false
	}
	k.conns[c] = struct{}{}
	return true
}

func (k *link) drop(c net.Conn) {
	k.mu.Lock()
	delete(k.conns, c)
	k.mu.Unlock()
	_ = c.Close()
}

func (k *link) pump(dst, src net.Conn) {
	defer func() { _ = dst.Close(); _ = src.Close() }()
	buf := make([]byte, 32<<10)
	for {
		n, err := src.Read(buf)
		if n > 0 {
			if !k.pass() {
				return
			}
			if _, err := dst.Write(buf[:n]); err != nil {
				return
			}
		}
		if err != nil {
			return // io.EOF too: neither HTTP nor PostgreSQL closes half a connection
		}
	}
}

// pass waits for as long as the way is held up and for its delay.
func (k *link) pass() bool {
	for {
		k.mu.Lock()
		held, delay, shut, change := k.held, k.delay, k.shut || k.cut, k.change
		k.mu.Unlock()
		switch {
		case shut:
			return false
		case held:
			<-change
		case delay > 0:
			t := time.NewTimer(delay) // the fault itself
			<-t.C
			return true
		default:
			return true
		}
	}
}

// set changes the way's state. A cut breaks what is under way.
func (k *link) set(cut, held bool, delay time.Duration) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.cut, k.held, k.delay = cut, held, delay
	if cut || k.shut {
		for c := range k.conns {
			_ = c.Close()
		}
	}
	close(k.change)
	k.change = make(chan struct{})
}

func (k *link) close() {
	k.mu.Lock()
	k.shut = true
	k.mu.Unlock()
	_ = k.l.Close()
	k.set(true, false, 0)
	k.work.Wait()
}
