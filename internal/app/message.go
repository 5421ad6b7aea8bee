package app

import (
	"context"
	"errors"
	"log/slog"
	"math/rand/v2"
	"time"

	"longpoint/internal/httpapi"
	"longpoint/internal/mail"
	"longpoint/internal/message"
	"longpoint/internal/postgres"
	"longpoint/internal/push"
)

const (
	// postEvery is how often a node looks for messages that are due.
	postEvery = 10 * time.Second
	// postMost and postLease go together: so many messages, each with the sender's whole patience, are done before the lease
	// ends and another node takes them.
	postMost  = 10
	postLease = 5 * time.Minute
)

// messageStore is what the sender asks of the database.
type messageStore interface {
	TakeMessages(ctx context.Context, most int, lease time.Duration) ([]message.Message, error)
	SettleMessage(ctx context.Context, m message.Message) error
}

// phones is the store for messages to phones.
type phones struct{ *postgres.Store }

func (p phones) TakeMessages(ctx context.Context, most int, lease time.Duration) ([]message.Message, error) {
	return p.TakePushes(ctx, most, lease)
}

// post sends what waits. It stands beside everything else: whatever becomes of a message, nobody's work waits for it.
//
// A message is sent at least once. If the program dies after the mail server has taken one and before that is written
// down, it goes out again when its lease has ended, under the same Message-ID.
type post struct {
	store  messageStore
	send   func(context.Context, message.Message) error
	clock  func() time.Time
	chance func() float64
	log    *slog.Logger
}

// openPost makes the sender; nil where e-mail is off.
//
// Errors are a *Problem.
func openPost(cfg mail.Config, store messageStore, clock func() time.Time, log *slog.Logger) (*post, error) {
	if !cfg.On() {
		return nil, nil
	}
	sender, err := mail.New(cfg)
	if err != nil {
		return nil, problem(err, "%s.", err)
	}
	return newPost(store, sender.Send, clock, log), nil
}

func newPost(store messageStore, send func(context.Context, message.Message) error, clock func() time.Time, log *slog.Logger) *post {
	if clock == nil {
		clock = time.Now
	}
	return &post{store: store, send: send, clock: clock, chance: rand.Float64, log: log}
}

// openPush makes the sender to phones, and what asks for their subscriptions; nil where that is off.
//
// Errors are a *Problem.
func openPush(cfg push.Config, pg *postgres.Store, clock func() time.Time, log *slog.Logger) (*post, httpapi.Push, error) {
	if !cfg.On() {
		return nil, nil, nil
	}
	sender, err := push.New(cfg)
	if err != nil {
		return nil, nil, problem(err, "%s.", err)
	}
	return newPost(phones{pg}, sender.Send, clock, log), sender, nil
}

// run sends until ctx ends.
func (p *post) run(ctx context.Context) {
	t := time.NewTicker(postEvery)
	defer t.Stop()
	for {
		if err := p.round(ctx); err != nil && ctx.Err() == nil {
			p.log.WarnContext(ctx, "sending messages", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
	}
}

// round sends what is due now.
func (p *post) round(ctx context.Context) error {
	for {
		due, err := p.store.TakeMessages(ctx, postMost, postLease)
		if err != nil {
			return err
		}
		for _, m := range due {
			err := p.send(ctx, m)
			if err != nil && ctx.Err() != nil {
				return ctx.Err() // broken off by our own end, which says nothing about the message: its lease brings it back
			}
			m = p.judge(ctx, m, err)
			// What the mail server took is written down also while we are being stopped.
			if err := p.store.SettleMessage(context.WithoutCancel(ctx), m); err != nil {
				return err
			}
		}
		if len(due) < postMost {
			return nil
		}
	}
}

// judge says what becomes of a message that was tried. The log is told its number and the kind of trouble, never who it
// is for or what it says.
func (p *post) judge(ctx context.Context, m message.Message, err error) message.Message {
	if err == nil {
		m.State, m.Trouble = message.Sent, ""
		return m
	}
	f := &message.Failure{Trouble: message.NoAnswer}
	errors.As(err, &f)
	m.Trouble = f.Trouble
	m.State = message.Failed
	now := p.clock()
	if at, more := m.Next(now, p.chance()); more && !f.ForGood {
		m.State, m.DueAt = message.Waiting, at
		if asked := now.Add(f.Wait); asked.After(at) {
			m.DueAt = asked
		}
	}
	p.log.WarnContext(ctx, "a message did not go out", "message", m.ID, "kind", m.Kind, "trouble", f.Trouble, "code", f.Code, "tries", m.Tries, "given_up", m.State == message.Failed)
	return m
}
