// Package push hands messages to the push services of phones and browsers (RFC 8030), locked for the one phone
// (RFC 8291) and signed by this service (RFC 8292).
package push

import (
	"bytes"
	"context"
	"crypto/ecdh"
	"crypto/rand"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"net/mail"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"syscall"
	"time"

	webpush "github.com/SherClockHolmes/webpush-go"

	"longpoint/internal/fault"
	"longpoint/internal/message"
)

// Config says how messages go to phones.
type Config struct {
	// Key is the service's private key, as NewKey makes one. Empty sends none.
	Key string
	// Contact is whom a push service may write to about this one: an e-mail address or an https address.
	Contact string
	// Near lets a push service be on this machine, for tests.
	Near bool
}

// On reports whether messages go to phones at all.
func (c Config) On() bool { return c.Key != "" }

// NewKey makes a private key: a point on P-256 as unpadded base64url, as browsers and push services write it.
func NewKey() (string, error) {
	key, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(key.Bytes()), nil
}

const (
	// patience is for one try.
	patience = 20 * time.Second
	// longestWait bounds how long a push service may ask to be left alone.
	longestWait = 6 * time.Hour
)

// Sender sends messages. It is safe for concurrent use.
type Sender struct {
	private, public, contact string
	near                     bool
	client                   *http.Client
}

// New makes a sender; it connects to nothing yet. Errors say what to set otherwise, and hold no secret.
func New(cfg Config) (*Sender, error) {
	raw, err := base64.RawURLEncoding.DecodeString(cfg.Key)
	if err != nil {
		return nil, errors.New("LONGPOINT_PUSH_KEY is no key: make one with longpoint push-key")
	}
	key, err := ecdh.P256().NewPrivateKey(raw)
	if err != nil {
		return nil, errors.New("LONGPOINT_PUSH_KEY is no key: make one with longpoint push-key")
	}
	contact, isAddress := strings.CutPrefix(cfg.Contact, "mailto:")
	if u, err := url.Parse(contact); !isAddress && err == nil && u.Scheme == "https" && u.Host != "" {
		contact = u.String()
	} else if a, err := mail.ParseAddress(contact); err != nil || a.Name != "" || a.Address != contact {
		return nil, errors.New("LONGPOINT_PUSH_CONTACT has to be an e-mail address or an https address: push services write there when something is wrong")
	}
	dialer := &net.Dialer{Timeout: patience}
	if !cfg.Near {
		dialer.Control = onlyOutside
	}
	return &Sender{
		private: cfg.Key,
		public:  base64.RawURLEncoding.EncodeToString(key.PublicKey().Bytes()),
		contact: contact,
		near:    cfg.Near,
		client: &http.Client{
			// No proxy from the environment: what is dialed is what is checked.
			Transport: &http.Transport{DialContext: dialer.DialContext, TLSHandshakeTimeout: patience, ForceAttemptHTTP2: true, MaxIdleConns: 10, IdleConnTimeout: time.Minute},
			Timeout:   patience,
			// A push service answers itself; where it would send us is nobody's we have checked.
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		},
	}, nil
}

// onlyOutside refuses to dial what is not on the open internet: the address was said by a browser, and this machine's
// neighbors trust it.
func onlyOutside(_, address string, _ syscall.RawConn) error {
	at, err := netip.ParseAddrPort(address)
	if err != nil {
		return err
	}
	ip := at.Addr().Unmap()
	if !ip.IsGlobalUnicast() || ip.IsPrivate() || carrier.Contains(ip) || at.Port() != 443 {
		return errors.New("a push service is on the open internet")
	}
	return nil
}

// carrier is what providers use among themselves (RFC 6598).
var carrier = netip.MustParsePrefix("100.64.0.0/10")

// Key is the service's public key, which a browser ties a subscription to.
func (s *Sender) Key() string { return s.public }

const longestEndpoint = 1000 // also the database's; the longest seen are a third of it

// Check refuses a subscription that cannot be one.
//
// Errors: invalid.
func (s *Sender) Check(to message.Subscription) error {
	u, err := url.Parse(to.Endpoint)
	good := err == nil && len(to.Endpoint) <= longestEndpoint && u.Host != "" && u.User == nil && (u.Scheme == "https" || s.near && u.Scheme == "http")
	if point, err := base64.RawURLEncoding.DecodeString(to.P256dh); err != nil {
		good = false
	} else if _, err := ecdh.P256().NewPublicKey(point); err != nil {
		good = false
	}
	if secret, err := base64.RawURLEncoding.DecodeString(to.Auth); err != nil || len(secret) != 16 { // RFC 8291, 3.2
		good = false
	}
	if !good {
		return fault.New(fault.Invalid, "This browser's notifications cannot be reached.")
	}
	return nil
}

// Shown is what a phone is sent: words, where they lead, and by what a second copy is told.
type Shown struct {
	Title    string `json:"title"`
	Body     string `json:"body,omitempty"`
	Path     string `json:"path"`
	Tag      string `json:"tag"`
	Language string `json:"language"`
}

// Send hands a message to the phone's push service: nil once it has taken it, a *message.Failure otherwise.
func (s *Sender) Send(ctx context.Context, m message.Message) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	shown := Shown{Path: m.Says["path"], Tag: m.ID, Language: m.Language}
	shown.Title, shown.Body = m.Text()
	var body bytes.Buffer
	write := json.NewEncoder(&body)
	write.SetEscapeHTML(false)
	if err := write.Encode(shown); err != nil {
		return &message.Failure{Trouble: message.NotWritten, ForGood: true}
	}
	answer, err := webpush.SendNotificationWithContext(ctx, body.Bytes(), &webpush.Subscription{Endpoint: m.To.Endpoint, Keys: webpush.Keys{Auth: m.To.Auth, P256dh: m.To.P256dh}},
		&webpush.Options{
			HTTPClient:      s.client,
			Subscriber:      s.contact,
			VAPIDPublicKey:  s.public,
			VAPIDPrivateKey: s.private,
			// A phone that was off shows it when it is on again; by then the day's plan has another.
			TTL:     int(message.PatienceTime.Seconds()),
			Urgency: webpush.UrgencyNormal,
			// The same message sent twice, after a crash, is one at the push service (RFC 8030, 5.4).
			Topic: strings.ReplaceAll(m.ID, "-", ""),
		})
	if err != nil {
		if errors.Is(err, webpush.ErrMaxPadExceeded) {
			return &message.Failure{Trouble: message.NotWritten, ForGood: true}
		}
		return &message.Failure{Trouble: message.NoAnswer}
	}
	_, _ = io.Copy(io.Discard, io.LimitReader(answer.Body, 1<<16))
	_ = answer.Body.Close()
	return failure(answer)
}

// failure sorts an answer (RFC 8030, 5 and 8.4; RFC 8292, 4.2).
func failure(answer *http.Response) error {
	code := answer.StatusCode
	f := &message.Failure{Trouble: message.TurnedAway, Code: code}
	switch {
	case code >= 200 && code < 300:
		return nil
	case code == http.StatusNotFound, code == http.StatusGone:
		f.Trouble, f.ForGood = message.NotWanted, true
	case code == http.StatusUnauthorized, code == http.StatusForbidden:
		f.Trouble = message.NotLetIn
	case code == http.StatusRequestEntityTooLarge:
		f.Trouble, f.ForGood = message.NotWritten, true
	case code == http.StatusTooManyRequests, code >= 500:
		if n, err := strconv.Atoi(answer.Header.Get("Retry-After")); err == nil && n > 0 {
			f.Wait = min(time.Duration(n)*time.Second, longestWait)
		}
	}
	return f
}
