package httpapi

import (
	"context"
	"net/http"
	"time"

	"longpoint/internal/fault"
	"longpoint/internal/message"
)

// Push asks for phones' subscriptions and checks them; who sends is not this package's.
type Push interface {
	// Key is the service's public key, which a browser ties a subscription to.
	Key() string
	// Check refuses a subscription that cannot be one. Errors: invalid.
	Check(to message.Subscription) error
}

const pushBody = 4 << 10

// PushView is whether this device is told of work, and what became of the last message to it.
type PushView struct {
	Key      string          `json:"key,omitempty" doc:"The service's public key, unpadded base64url; none where it tells phones nothing"`
	Endpoint string          `json:"endpoint,omitempty" doc:"Where this session is sent messages; none when it is not"`
	Trouble  message.Trouble `json:"trouble,omitempty" enum:"no_answer,not_let_in,not_private,address_refused,turned_away,not_written,not_wanted" doc:"Why the last one did not get through"`
	NextAt   *time.Time      `json:"next_at,omitempty" doc:"When it is tried next; none when it was given up"`
}

// PushSubscription is a browser's own subscription, as it makes one.
type PushSubscription struct {
	Endpoint string `json:"endpoint" minLength:"1" maxLength:"1000" doc:"Its push service's address for it"`
	P256dh   string `json:"p256dh" minLength:"87" maxLength:"87" doc:"Its public key, unpadded base64url"`
	Auth     string `json:"auth" minLength:"22" maxLength:"22" doc:"Its secret, unpadded base64url" writeOnly:"true"`
}

type (
	pushOutput   struct{ Body PushView }
	setPushInput struct{ Body PushSubscription }
)

func (s *Server) registerPush() {
	add(s, operation("get-push", http.MethodGet, "/push", "Whether this device is told of work by web push"), s.push)
	set := operation("set-push", http.MethodPut, "/push", "Have this device told of work by web push (RFC 8030)")
	set.Description = "For as long as the session lasts. A browser that said another address before is told there no more."
	set.MaxBodyBytes = pushBody
	add(s, set, s.setPush)
	add(s, operation("drop-push", http.MethodDelete, "/push", "Have this device told nothing more"),
		func(ctx context.Context, _ *struct{}) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.DropPush(ctx, v, s.tokenHash(ctx))
		})
}

func (s *Server) push(ctx context.Context, _ *struct{}) (*pushOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil || s.cfg.Push == nil {
		return &pushOutput{}, err
	}
	endpoint, last, err := s.cfg.Store.Push(ctx, v, s.tokenHash(ctx))
	if err != nil {
		return nil, err
	}
	out := PushView{Key: s.cfg.Push.Key(), Endpoint: endpoint}
	if last.State == message.Waiting || last.State == message.Failed {
		out.Trouble = last.Trouble
	}
	if last.State == message.Waiting {
		next := last.DueAt.UTC()
		out.NextAt = &next
	}
	return &pushOutput{Body: out}, nil
}

func (s *Server) setPush(ctx context.Context, in *setPushInput) (*pushOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	if s.cfg.Push == nil {
		return nil, fault.New(fault.Invalid, "This service sends no notifications.")
	}
	to := message.Subscription{Endpoint: in.Body.Endpoint, P256dh: in.Body.P256dh, Auth: in.Body.Auth}
	if err := s.cfg.Push.Check(to); err != nil {
		return nil, err
	}
	if err := s.cfg.Store.SetPush(ctx, v, s.tokenHash(ctx), to); err != nil {
		return nil, err
	}
	return s.push(ctx, nil)
}
