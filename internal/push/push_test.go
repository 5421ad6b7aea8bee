package push_test

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/ecdh"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/hkdf"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"math/big"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"longpoint/internal/message"
	"longpoint/internal/push"
)

func raw(t *testing.T, s string) []byte {
	t.Helper()
	b, err := base64.RawURLEncoding.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// unlock is a phone's side of RFC 8291 and RFC 8188, written from their text; it shares nothing with what locks.
func unlock(key *ecdh.PrivateKey, secret, body []byte) (string, error) {
	if len(body) < 86 || body[20] != 65 {
		return "", errors.New("no header with a key of 65 bytes")
	}
	salt, size, from := body[:16], binary.BigEndian.Uint32(body[16:20]), body[21:86]
	if len(body) > int(size) {
		return "", errors.New("more than one record")
	}
	sender, err := ecdh.P256().NewPublicKey(from)
	if err != nil {
		return "", err
	}
	shared, err := key.ECDH(sender)
	if err != nil {
		return "", err
	}
	derive := func(secret, salt []byte, info string, n int) []byte {
		out, e := hkdf.Key(sha256.New, secret, salt, info, n)
		err = errors.Join(err, e)
		return out
	}
	ikm := derive(shared, secret, "WebPush: info\x00"+string(key.PublicKey().Bytes())+string(from), 32)
	cek, nonce := derive(ikm, salt, "Content-Encoding: aes128gcm\x00", 16), derive(ikm, salt, "Content-Encoding: nonce\x00", 12)
	if err != nil {
		return "", err
	}
	block, err := aes.NewCipher(cek)
	if err != nil {
		return "", err
	}
	gcm, err := cipher.NewGCM(block)
	if err != nil {
		return "", err
	}
	padded, err := gcm.Open(nil, nonce, body[86:], nil)
	if err != nil {
		return "", err
	}
	text, last := strings.CutSuffix(strings.TrimRight(string(padded), "\x00"), "\x02")
	if !last {
		return "", errors.New("no end of the last record")
	}
	return text, nil
}

// The example of RFC 8291, section 5 and appendix A, is what holds unlock to the standard.
func TestThePhonesSideReadsThePublishedExample(t *testing.T) {
	t.Parallel()
	key, err := ecdh.P256().NewPrivateKey(raw(t, "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := base64.RawURLEncoding.EncodeToString(key.PublicKey().Bytes()), "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"; got != want {
		t.Fatalf("the key's public half: got %s, want %s", got, want)
	}
	text, err := unlock(key, raw(t, "BTBZMqHH6r4Tts7J_aSIgg"), raw(t, "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27ml"+
		"mlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"))
	if err != nil || text != "When I grow up, I want to be a watermelon" {
		t.Errorf("got %q, %v", text, err)
	}
}

// service is a push service of the test's own.
type service struct {
	*httptest.Server
	answer http.HandlerFunc
	asked  chan *http.Request
	bodies chan []byte
}

func startService(t *testing.T, answer http.HandlerFunc) *service {
	t.Helper()
	s := &service{answer: answer, asked: make(chan *http.Request, 1), bodies: make(chan []byte, 1)}
	s.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		b, _ := io.ReadAll(r.Body)
		s.asked <- r
		s.bodies <- b
		s.answer(w, r)
	}))
	t.Cleanup(s.Close)
	return s
}

func answers(code int, header ...string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		for i := 0; i < len(header); i += 2 {
			w.Header().Set(header[i], header[i+1])
		}
		w.WriteHeader(code)
	}
}

func newSender(t *testing.T, near bool) *push.Sender {
	t.Helper()
	key, err := push.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	s, err := push.New(push.Config{Key: key, Contact: "jobs@trim.example", Near: near})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func phone(t *testing.T, endpoint string) (*ecdh.PrivateKey, []byte, message.Message) {
	t.Helper()
	key, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	secret := make([]byte, 16)
	_, _ = rand.Read(secret)
	return key, secret, message.Message{ID: "01920000-0000-7000-8000-00000000000a", Kind: message.PushWork, Language: "es",
		Says: map[string]string{"item": "Puerta del baño", "room": "Pasillo", "count": "1", "path": "/bench/jobs/j/items/i"},
		To:   message.Subscription{Endpoint: endpoint, P256dh: base64.RawURLEncoding.EncodeToString(key.PublicKey().Bytes()), Auth: base64.RawURLEncoding.EncodeToString(secret)}}
}

func TestAMessageReachesAPhoneLockedAndSigned(t *testing.T) {
	t.Parallel()
	s := startService(t, answers(http.StatusCreated))
	sender := newSender(t, true)
	key, secret, m := phone(t, s.URL+"/send/abc")
	if err := sender.Send(t.Context(), m); err != nil {
		t.Fatal(err)
	}
	r, body := <-s.asked, <-s.bodies
	text, err := unlock(key, secret, body)
	if err != nil {
		t.Fatal(err)
	}
	var shown push.Shown
	if err := json.Unmarshal([]byte(text), &shown); err != nil {
		t.Fatal(err)
	}
	want := push.Shown{Title: "Trabajo para usted: Puerta del baño", Body: "Pasillo", Path: "/bench/jobs/j/items/i", Tag: m.ID, Language: "es"}
	if shown != want {
		t.Errorf("got %+v, want %+v", shown, want)
	}
	if r.Header.Get("Content-Encoding") != "aes128gcm" || r.Header.Get("TTL") != "172800" || r.Header.Get("Topic") != "0192000000007000800000000000000a" {
		t.Errorf("headers: got %v", r.Header)
	}
	// All are one length: what is on its way does not tell by its size what it says.
	if len(body) != 4096 {
		t.Errorf("got %d bytes, want every message padded to one record of 4096", len(body))
	}
	signed(t, sender, r, s.URL)
}

// signed checks RFC 8292 with the standard library alone: the token is the service's own, for this push service, for less
// than a day.
func signed(t *testing.T, sender *push.Sender, r *http.Request, audience string) {
	t.Helper()
	rest, ok := strings.CutPrefix(r.Header.Get("Authorization"), "vapid t=")
	token, key, both := strings.Cut(rest, ", k=")
	parts := strings.Split(token, ".")
	if !ok || !both || len(parts) != 3 || key != sender.Key() {
		t.Fatalf("Authorization: got %q", r.Header.Get("Authorization"))
	}
	public, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), raw(t, key))
	if err != nil {
		t.Fatal(err)
	}
	sum, signature := sha256.Sum256([]byte(parts[0]+"."+parts[1])), raw(t, parts[2])
	if !ecdsa.Verify(public, sum[:], new(big.Int).SetBytes(signature[:32]), new(big.Int).SetBytes(signature[32:])) {
		t.Error("the signature is not the key's")
	}
	var claims struct {
		Aud, Sub string
		Exp      int64
	}
	if err := json.Unmarshal(raw(t, parts[1]), &claims); err != nil {
		t.Fatal(err)
	}
	if left := time.Until(time.Unix(claims.Exp, 0)); claims.Aud != audience || claims.Sub != "mailto:jobs@trim.example" || left <= 0 || left > 24*time.Hour {
		t.Errorf("claims: got %+v", claims)
	}
}

func TestWhatAPushServiceAnswers(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		answer http.HandlerFunc
		want   message.Failure
	}{
		"gone":          {answers(http.StatusGone), message.Failure{Trouble: message.NotWanted, ForGood: true, Code: 410}},
		"never there":   {answers(http.StatusNotFound), message.Failure{Trouble: message.NotWanted, ForGood: true, Code: 404}},
		"another's key": {answers(http.StatusForbidden), message.Failure{Trouble: message.NotLetIn, Code: 403}},
		"too much":      {answers(http.StatusTooManyRequests, "Retry-After", "120"), message.Failure{Trouble: message.TurnedAway, Code: 429, Wait: 2 * time.Minute}},
		"for a year":    {answers(http.StatusServiceUnavailable, "Retry-After", "31536000"), message.Failure{Trouble: message.TurnedAway, Code: 503, Wait: 6 * time.Hour}},
		"too long":      {answers(http.StatusRequestEntityTooLarge), message.Failure{Trouble: message.NotWritten, ForGood: true, Code: 413}},
		"elsewhere":     {answers(http.StatusTemporaryRedirect, "Location", "http://169.254.169.254/"), message.Failure{Trouble: message.TurnedAway, Code: 307}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := startService(t, tc.answer)
			_, _, m := phone(t, s.URL)
			var got *message.Failure
			if err := newSender(t, true).Send(t.Context(), m); !errors.As(err, &got) || *got != tc.want {
				t.Errorf("got %+v, want %+v", got, tc.want)
			}
		})
	}
}

// A browser says where its push service is, so anything may be said: nothing near this machine is called.
func TestNothingNearIsCalled(t *testing.T) {
	t.Parallel()
	s := startService(t, answers(http.StatusCreated))
	sender := newSender(t, false)
	for _, endpoint := range []string{s.URL, "http://localhost:1/", "https://[::1]:443/", "https://10.0.0.1/", "https://169.254.169.254/", "https://100.64.0.1/", "https://[fd00::1]/", "https://[::ffff:127.0.0.1]/"} {
		_, _, m := phone(t, endpoint)
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		var got *message.Failure
		if err := sender.Send(ctx, m); !errors.As(err, &got) || got.Trouble != message.NoAnswer || ctx.Err() != nil {
			t.Errorf("%s: got %v, want it not called", endpoint, err)
		}
		cancel()
	}
	if len(s.asked) != 0 {
		t.Error("the service on this machine was called")
	}
}

func TestSubscriptionsThatCannotBe(t *testing.T) {
	t.Parallel()
	_, _, m := phone(t, "https://push.example/send/abc")
	good, sender := m.To, newSender(t, false)
	if err := sender.Check(good); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*message.Subscription){
		"no TLS":        func(s *message.Subscription) { s.Endpoint = "http://push.example/" },
		"no address":    func(s *message.Subscription) { s.Endpoint = "push" },
		"a name in it":  func(s *message.Subscription) { s.Endpoint = "https://a:b@push.example/" },
		"too long":      func(s *message.Subscription) { s.Endpoint = "https://push.example/" + strings.Repeat("a", 1000) },
		"short secret":  func(s *message.Subscription) { s.Auth = s.Auth[:20] },
		"no point":      func(s *message.Subscription) { s.P256dh = "BA" + strings.Repeat("A", 85) },
		"not base64url": func(s *message.Subscription) { s.P256dh = strings.Repeat("+", 87) },
	} {
		bad := good
		change(&bad)
		if err := sender.Check(bad); err == nil {
			t.Errorf("%s: want it refused", name)
		}
	}
}

func TestSettingsThatCannotBe(t *testing.T) {
	t.Parallel()
	key, err := push.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	for want, cfgs := range map[string][]push.Config{
		"LONGPOINT_PUSH_KEY":     {{Key: "x", Contact: "a@example.com"}, {Key: key[:20], Contact: "a@example.com"}, {Key: strings.Repeat("A", 43), Contact: "a@example.com"}},
		"LONGPOINT_PUSH_CONTACT": {{Key: key}, {Key: key, Contact: "a"}, {Key: key, Contact: "http://example.com"}, {Key: key, Contact: "A <a@example.com>"}},
	} {
		for _, cfg := range cfgs {
			if _, err := push.New(cfg); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), key) {
				t.Errorf("%+v: got %v, want %s named and no key", cfg, err, want)
			}
		}
	}
	for _, contact := range []string{"a@example.com", "mailto:a@example.com", "https://example.com/help"} {
		if _, err := push.New(push.Config{Key: key, Contact: contact}); err != nil {
			t.Errorf("%s: %v", contact, err)
		}
	}
}
