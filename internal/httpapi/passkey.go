package httpapi

import (
	"context"
	"encoding/json"
	"net"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

// passkeyBody is more than any device answers with: attestation is not asked for.
const passkeyBody = 32 << 10

// PasskeyOptions are what a browser is to ask a device, as WebAuthn writes them.
type PasskeyOptions struct{ json.RawMessage }

// Schema leaves them to WebAuthn.
func (PasskeyOptions) Schema(huma.Registry) *huma.Schema {
	return &huma.Schema{Type: huma.TypeObject, AdditionalProperties: true,
		Description: "WebAuthn Level 3: PublicKeyCredentialCreationOptionsJSON or PublicKeyCredentialRequestOptionsJSON"}
}

// PasskeyAnswer is what a device answers, as WebAuthn writes it.
type PasskeyAnswer struct{ json.RawMessage }

// Schema leaves it to WebAuthn.
func (PasskeyAnswer) Schema(huma.Registry) *huma.Schema {
	return &huma.Schema{Type: huma.TypeObject, AdditionalProperties: true,
		Description: "WebAuthn Level 3: RegistrationResponseJSON or AuthenticationResponseJSON"}
}

// Ceremony is a question to a device.
type Ceremony struct {
	Secret  string         `json:"secret" doc:"Sent back with the answer, once, within five minutes"`
	Options PasskeyOptions `json:"options"`
}

// CeremonyAnswer is the answer to one.
type CeremonyAnswer struct {
	Secret string        `json:"secret" minLength:"1" maxLength:"100"`
	Answer PasskeyAnswer `json:"answer"`
}

// PasskeySignIn is a sign-in by passkey.
type PasskeySignIn struct {
	CeremonyAnswer
	Device *SignInDevice `json:"device,omitempty"`
}

// NewPasskey is a passkey for the person signed in.
type NewPasskey struct {
	CeremonyAnswer
	Device *SignInDevice `json:"device,omitempty"`
}

// atPlace takes down the address the browser shows, for a passkey is good there alone. Were
// the header a lie, the device would answer for another place and be refused.
type atPlace struct {
	place account.Place
	from  string
}

func (a *atPlace) Resolve(ctx huma.Context) []error {
	r, _ := humachi.Unwrap(ctx)
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = r.Host
	}
	a.from = addressOf(ctx)
	a.place = account.Place{Host: host, Origin: "http://" + r.Host}
	if over, _ := r.Context().Value(overTLS).(bool); over {
		a.place.Origin = "https://" + r.Host
	}
	return nil
}

type (
	ceremonyOutput     struct{ Body Ceremony }
	passkeyBeginInput  struct{ atPlace }
	passkeySignInInput struct {
		atPlace
		Body PasskeySignIn
	}
	newPasskeyInput struct {
		atPlace
		Body NewPasskey
	}
)

func (s *Server) registerPasskeys() {
	begin := public(operation("begin-passkey-sign-in", http.MethodPost, "/session/passkey/begin", "Ask what a device is to answer to sign in by passkey"))
	begin.Description = "Says nothing about who is known here. Throttled: 429 with Retry-After."
	add(s, begin, s.beginPasskeySignIn)
	in := public(operation("sign-in-by-passkey", http.MethodPost, "/session/passkey", "Sign in by passkey"))
	in.MaxBodyBytes = passkeyBody
	add(s, in, s.passkeySignIn)
	add(s, operation("begin-passkey", http.MethodPost, "/session/passkeys/begin", "Ask what a device is to answer for a new passkey"), s.beginPasskey)
	made := operation("add-passkey", http.MethodPost, "/session/passkeys", "Keep a new passkey of the person signed in")
	made.MaxBodyBytes = passkeyBody
	add(s, made, s.addPasskey)
}

// ask keeps what a device is asked and words the question.
func (s *Server) ask(ctx context.Context, options json.RawMessage, asked account.Asked) (*ceremonyOutput, error) {
	secret := account.NewToken()
	if err := s.cfg.Store.KeepCeremony(ctx, account.HashToken(secret), asked, account.CeremonyTime); err != nil {
		return nil, err
	}
	return &ceremonyOutput{Body: Ceremony{Secret: secret, Options: PasskeyOptions{options}}}, nil
}

// asked is what the device was asked that answers now.
func (s *Server) asked(ctx context.Context, secret string) (account.Asked, error) {
	asked, err := s.cfg.Store.TakeCeremony(ctx, account.HashToken(secret))
	if fault.Is(err, fault.NotFound) {
		return asked, fault.New(fault.Invalid, "That took too long, or was answered already. Try again.")
	}
	return asked, err
}

func (s *Server) beginPasskeySignIn(ctx context.Context, in *passkeyBeginInput) (*ceremonyOutput, error) {
	if err := s.guess(in.from, "passkey"); err != nil {
		return nil, err
	}
	options, asked, err := account.BeginSignIn(in.place)
	if err != nil {
		return nil, err
	}
	return s.ask(ctx, options, asked)
}

func (s *Server) passkeySignIn(ctx context.Context, in *passkeySignInInput) (*meOutput, error) {
	asked, err := s.asked(ctx, in.Body.Secret)
	if err != nil {
		return nil, err
	}
	p, k, err := account.FinishSignIn(in.place, asked, in.Body.Answer.RawMessage, func(id string) (account.Person, account.Passkey, error) {
		return s.cfg.Store.FindPasskey(ctx, id)
	})
	if err != nil {
		return nil, err
	}
	s.guesses.forgive(in.from, "passkey")
	if err := s.cfg.Store.UsedPasskey(ctx, p, k); err != nil {
		return nil, err
	}
	return s.enter(ctx, p, in.Body.Device.device())
}

func (s *Server) beginPasskey(ctx context.Context, in *passkeyBeginInput) (*ceremonyOutput, error) {
	p, err := s.person(ctx)
	if err != nil {
		return nil, err
	}
	_, had, err := s.cfg.Store.Access(ctx, p.Viewer(), p.ID)
	if err != nil {
		return nil, err
	}
	options, asked, err := account.BeginPasskey(in.place, p, had)
	if err != nil {
		return nil, err
	}
	return s.ask(ctx, options, asked)
}

func (s *Server) addPasskey(ctx context.Context, in *newPasskeyInput) (*accessOutput, error) {
	p, err := s.person(ctx)
	if err != nil {
		return nil, err
	}
	asked, err := s.asked(ctx, in.Body.Secret)
	if err != nil {
		return nil, err
	}
	k, err := account.FinishPasskey(in.place, p, asked, in.Body.Answer.RawMessage)
	if err != nil {
		return nil, err
	}
	k.Name = in.Body.Device.device().Name
	if err := s.cfg.Store.AddPasskey(ctx, p.Viewer(), k); err != nil {
		return nil, err
	}
	return s.access(ctx, &PersonPath{Person: p.ID})
}
