package httpapi_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/fxamacker/cbor/v2"

	"longpoint/internal/app"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// authenticator is a phone's own keeper of passkeys, as WebAuthn Level 3 has it (6.1, 6.5.1):
// one ES256 key, no attestation. What is nil or empty in lies is told truly.
type authenticator struct {
	t      testing.TB
	key    *ecdsa.PrivateKey
	id     []byte
	handle []byte
	count  uint32
}

type lies struct {
	origin, rpID, challenge string
	unverified              bool // without asking who holds it
	handle                  []byte
}

func newAuthenticator(t testing.TB) *authenticator {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	a := &authenticator{t: t, key: key, id: make([]byte, 32)}
	_, _ = rand.Read(a.id)
	return a
}

func b64(b []byte) string { return base64.RawURLEncoding.EncodeToString(b) }

func (a *authenticator) must(err error) {
	a.t.Helper()
	if err != nil {
		a.t.Fatal(err)
	}
}

func (a *authenticator) clientData(kind, origin string, challenge string, l lies) []byte {
	if l.origin != "" {
		origin = l.origin
	}
	if l.challenge != "" {
		challenge = l.challenge
	}
	b, err := json.Marshal(map[string]any{"type": kind, "challenge": challenge, "origin": origin, "crossOrigin": false})
	a.must(err)
	return b
}

func (a *authenticator) authData(rpID string, flags byte, l lies) []byte {
	if l.rpID != "" {
		rpID = l.rpID
	}
	if l.unverified {
		flags &^= 0x04
	}
	a.count++
	sum := sha256.Sum256([]byte(rpID))
	return binary.BigEndian.AppendUint32(append(sum[:], flags), a.count)
}

// create answers what a new passkey is asked for with.
func (a *authenticator) create(options json.RawMessage, origin string, l lies) map[string]any {
	a.t.Helper()
	var asked struct {
		Challenge string
		RP        struct{ ID string }
		User      struct{ ID string }
	}
	a.must(json.Unmarshal(options, &asked))
	var err error
	a.handle, err = base64.RawURLEncoding.DecodeString(asked.User.ID)
	a.must(err)
	public, err := cbor.Marshal(map[int]any{1: 2, 3: -7, -1: 1, -2: a.key.X.FillBytes(make([]byte, 32)), -3: a.key.Y.FillBytes(make([]byte, 32))})
	a.must(err)
	data := a.authData(asked.RP.ID, 0x45, l) // present, verified, with a credential
	data = append(data, make([]byte, 16)...)
	data = binary.BigEndian.AppendUint16(data, uint16(len(a.id)))
	data = append(append(data, a.id...), public...)
	object, err := cbor.Marshal(map[string]any{"fmt": "none", "attStmt": map[string]any{}, "authData": data})
	a.must(err)
	return map[string]any{"id": b64(a.id), "rawId": b64(a.id), "type": "public-key", "clientExtensionResults": map[string]any{},
		"response": map[string]any{"attestationObject": b64(object), "clientDataJSON": b64(a.clientData("webauthn.create", origin, asked.Challenge, l))}}
}

// sign answers what a sign-in is asked for with.
func (a *authenticator) sign(options json.RawMessage, origin string, l lies) map[string]any {
	a.t.Helper()
	var asked struct{ Challenge, RPID string }
	a.must(json.Unmarshal(options, &asked))
	data := a.authData(asked.RPID, 0x05, l)
	client := a.clientData("webauthn.get", origin, asked.Challenge, l)
	hash := sha256.Sum256(client)
	digest := sha256.Sum256(append(slices.Clone(data), hash[:]...))
	signature, err := ecdsa.SignASN1(rand.Reader, a.key, digest[:])
	a.must(err)
	handle := a.handle
	if l.handle != nil {
		handle = l.handle
	}
	return map[string]any{"id": b64(a.id), "rawId": b64(a.id), "type": "public-key", "clientExtensionResults": map[string]any{},
		"response": map[string]any{"authenticatorData": b64(data), "clientDataJSON": b64(client), "signature": b64(signature), "userHandle": b64(handle)}}
}

type question struct {
	Secret  string
	Options json.RawMessage
}

var phoneDevice = map[string]any{"id": "018f0000-0000-7000-8000-0000000000aa", "name": "Android phone"}

// add makes a passkey for who is signed in.
func (a *authenticator) add(c *client) {
	a.t.Helper()
	header := named()
	var q question
	c.do(http.MethodPost, "/api/v1/session/passkeys/begin", nil, header).want(http.StatusOK).into(&q)
	answered := a.create(q.Options, "http://"+header.Get("Host"), lies{})
	c.do(http.MethodPost, "/api/v1/session/passkeys", encode(a.t, map[string]any{"secret": q.Secret, "answer": answered, "device": phoneDevice}), header).want(http.StatusOK)
}

// named is the host's name as a person's browser says it: passkeys work at none that is an
// address of numbers.
func named() http.Header { return http.Header{"Host": {"trim.example"}} }

func (a *authenticator) signIn(c *client, l lies) answer {
	a.t.Helper()
	header := named()
	var q question
	c.do(http.MethodPost, "/api/v1/session/passkey/begin", nil, header).want(http.StatusOK).into(&q)
	return a.answer(c, q, l)
}

func (a *authenticator) answer(c *client, q question, l lies) answer {
	a.t.Helper()
	return c.do(http.MethodPost, "/api/v1/session/passkey",
		encode(a.t, map[string]any{"secret": q.Secret, "answer": a.sign(q.Options, "http://trim.example", l), "device": phoneDevice}), named())
}

func TestAPasskeySignsIn(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 50 })
	bo := b.as(b.ours.installer)
	device := newAuthenticator(t)
	device.add(bo)
	var access httpapi.Access
	bo.get("/api/v1/people/" + b.ours.installer.ID + "/access").want(http.StatusOK).into(&access)
	if len(access.Passkeys) != 1 || access.Passkeys[0].Device != "Android phone" || access.Passkeys[0].UsedAt != nil {
		t.Fatalf("passkeys: got %+v, want the phone's, unused", access.Passkeys)
	}
	fresh := b.client()
	var me httpapi.Me
	device.signIn(fresh, lies{}).want(http.StatusOK).into(&me)
	if me.PersonID != b.ours.installer.ID {
		t.Errorf("signed in: got %+v, want Bo", me)
	}
	fresh.get("/api/v1/session").want(http.StatusOK)
	bo.get("/api/v1/people/" + b.ours.installer.ID + "/access").want(http.StatusOK).into(&access)
	if access.Passkeys[0].UsedAt == nil || len(access.Sessions) != 2 || access.Sessions[0].Device != "Android phone" {
		t.Errorf("afterwards: got %+v, want the passkey used and two sessions", access)
	}

	// Everything else is one refusal.
	other := newAuthenticator(t)
	other.handle = device.handle
	const sentence = "That passkey is not known here. Use another, or your name and passphrase."
	for name, try := range map[string]func(*client) answer{
		"a key nobody knows":         func(c *client) answer { return other.signIn(c, lies{}) },
		"another site's page":        func(c *client) answer { return device.signIn(c, lies{origin: "https://trim.example.evil"}) },
		"another site's key":         func(c *client) answer { return device.signIn(c, lies{rpID: "evil.example"}) },
		"another question's answer":  func(c *client) answer { return device.signIn(c, lies{challenge: b64(make([]byte, 32))}) },
		"nobody asked who holds it":  func(c *client) answer { return device.signIn(c, lies{unverified: true}) },
		"under another person's id":  func(c *client) answer { return device.signIn(c, lies{handle: make([]byte, 16)}) },
		"the phone's key, copied":    func(c *client) answer { copied := *device; copied.count = 0; return copied.signIn(c, lies{}) },
		"another key with this name": func(c *client) answer { thief := *other; thief.id = device.id; return thief.signIn(c, lies{}) },
	} {
		c := b.client()
		if p := try(c).refused(http.StatusUnauthorized, "unauthorized"); p.Detail != sentence {
			t.Errorf("%s: got %q, want %q", name, p.Detail, sentence)
		}
		c.get("/api/v1/session").refused(http.StatusUnauthorized, "unauthorized")
	}
	// An answer is taken once.
	c := b.client()
	var q question
	c.do(http.MethodPost, "/api/v1/session/passkey/begin", nil, named()).want(http.StatusOK).into(&q)
	device.count += 10
	device.answer(c, q, lies{}).want(http.StatusOK)
	device.answer(b.client(), q, lies{}).refused(http.StatusUnprocessableEntity, "invalid")

	// Removed, it opens nothing; a lead may do that.
	b.as(b.ours.lead).do(http.MethodDelete, "/api/v1/people/"+b.ours.installer.ID+"/passkeys/"+access.Passkeys[0].ID, nil, nil).want(http.StatusNoContent)
	device.signIn(b.client(), lies{}).refused(http.StatusUnauthorized, "unauthorized")
}

func invite(b *bundle, by *client, more map[string]any) httpapi.InviteLink {
	b.t.Helper()
	body := map[string]any{"address": "https://trim.example/join", "role": "installer", "language": "es"}
	for k, v := range more {
		body[k] = v
	}
	var made httpapi.InviteLink
	by.post("/api/v1/invites", body).want(http.StatusOK).into(&made)
	return made
}

func tokenOf(made httpapi.InviteLink) string {
	_, token, _ := strings.Cut(made.Link, "#")
	return token
}

func join(c *client, made httpapi.InviteLink, more map[string]any) answer {
	body := map[string]any{"token": tokenOf(made), "name": "Sol Vega", "sign_in": "sol", "passphrase": "plomada y nivel de agua", "unit": "mm", "device": phoneDevice}
	for k, v := range more {
		body[k] = v
	}
	return c.post("/api/v1/join", body)
}

func TestAnInvitationBringsOneIn(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 50 })
	ines := b.as(b.ours.lead)
	made := invite(b, ines, map[string]any{"name": "Sol"})
	if len(tokenOf(made)) != 43 || len(made.QR) < 21 || made.Invite.Role != joblog.Installer {
		t.Fatalf("the invitation: got %+v, want a secret of 43 characters and a QR code", made.Invite)
	}
	if left := time.Until(made.Invite.ExpiresAt); left > 7*24*time.Hour || left < 6*24*time.Hour {
		t.Errorf("it lasts %s, want seven days", left)
	}
	sol := b.client()
	var w httpapi.InviteWelcome
	sol.post("/api/v1/join/look", map[string]string{"token": tokenOf(made)}).want(http.StatusOK).into(&w)
	if w.CompanyName != "Plumb & Level" || w.InvitedBy != "Ines" || w.Name != "Sol" || w.Role != joblog.Installer || w.Back || w.Language != "es" {
		t.Errorf("the welcome: got %+v", w)
	}
	// What does not do is told, and the invitation is still good.
	for name, more := range map[string]map[string]any{
		"a short passphrase":      {"passphrase": "too short"},
		"no passphrase":           {"passphrase": ""},
		"a name from the right":   {"name": "Sol \u202eVega"},
		"a name of no width":      {"name": "\u200b\u2060"},
		"no name to sign in with": {"sign_in": " "},
		"a broken passkey":        {"passkey": map[string]any{"secret": "x", "answer": map[string]any{}}},
	} {
		if a := join(b.client(), made, more); a.status != http.StatusUnprocessableEntity {
			t.Errorf("%s: got %d %s, want it refused", name, a.status, a.body)
		}
	}
	join(b.client(), made, map[string]any{"sign_in": "BO"}).refused(http.StatusConflict, "conflict")
	var me httpapi.Me
	join(sol, made, nil).want(http.StatusOK).into(&me)
	if me.Name != "Sol Vega" || me.Role != joblog.Installer || me.Language != "es" || me.Unit != length.Millimeters || me.CompanyID != b.ours.company.ID {
		t.Errorf("joined: got %+v", me)
	}
	sol.get("/api/v1/session").want(http.StatusOK)
	b.client().post("/api/v1/session", map[string]string{"sign_in": "Sol", "passphrase": "plomada y nivel de agua"}).want(http.StatusOK)

	// Used twice, of last month, taken back, never ours: a sentence each, to whoever looks and whoever joins.
	late := invite(b, ines, nil)
	if _, err := b.db.Owner.Exec(t.Context(), `update invites set expires_at = now() - interval '30 days' where invite_id = $1`, late.Invite.ID); err != nil {
		t.Fatal(err)
	}
	ended := invite(b, ines, nil)
	ines.do(http.MethodDelete, "/api/v1/invites/"+ended.Invite.ID, nil, nil).want(http.StatusNoContent)
	for name, c := range map[string]struct {
		made   httpapi.InviteLink
		status int
		code   string
		says   string
	}{
		"used twice":    {made, 409, "conflict", "This invitation was used already. If it was not you, tell who invited you. They can make a new one."},
		"of last month": {late, 409, "conflict", "This invitation has run out: they last seven days. Ask who invited you for a new one."},
		"taken back":    {ended, 409, "conflict", "This invitation was taken back. Ask who invited you for a new one."},
		"never ours":    {httpapi.InviteLink{Link: "#" + strings.Repeat("x", 43)}, 404, "not_found", "This is not one of our invitations. Look whether the whole link was copied."},
	} {
		for _, a := range []answer{join(b.client(), c.made, map[string]any{"sign_in": "sol-two"}), b.client().post("/api/v1/join/look", map[string]string{"token": tokenOf(c.made)})} {
			if p := a.refused(c.status, c.code); p.Detail != c.says {
				t.Errorf("%s: got %q, want %q", name, p.Detail, c.says)
			}
		}
	}
	var open httpapi.InviteList
	ines.get("/api/v1/invites").want(http.StatusOK).into(&open)
	if len(open.Invites) != 0 {
		t.Errorf("open invitations: got %+v, want none", open.Invites)
	}
	if log := b.log.String(); strings.Contains(log, tokenOf(made)) {
		t.Error("the secret stands in the log")
	}
}

func TestJoiningByPasskey(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 50 })
	made := invite(b, b.as(b.ours.lead), nil)
	device, c := newAuthenticator(t), b.client()
	var q question
	c.do(http.MethodPost, "/api/v1/join/passkey", encode(t, map[string]string{"token": tokenOf(made), "name": "Sol Vega", "sign_in": "sol"}), named()).want(http.StatusOK).into(&q)
	body := map[string]any{"token": tokenOf(made), "name": "Sol Vega", "sign_in": "sol",
		"passkey": map[string]any{"secret": q.Secret, "answer": device.create(q.Options, "http://trim.example", lies{})}}
	c.do(http.MethodPost, "/api/v1/join", encode(t, body), named()).want(http.StatusOK)
	device.signIn(b.client(), lies{}).want(http.StatusOK)
	// Who has no passphrase is told what anyone is told.
	p := b.client().post("/api/v1/session", map[string]string{"sign_in": "sol", "passphrase": "nobody's passphrase"}).refused(http.StatusUnauthorized, "unauthorized")
	if p.Detail != "The name or the passphrase is not right." {
		t.Errorf("got %q", p.Detail)
	}
}

func TestPeopleComeAndGo(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 50 })
	ines, bo := b.as(b.ours.lead), b.as(b.ours.installer)
	person := "/api/v1/people/" + b.ours.installer.ID
	role := func(c *client, to string) answer { return c.put(person+"/role", map[string]string{"role": to}) }
	role(bo, "lead").refused(http.StatusForbidden, "forbidden")
	role(ines, "owner").refused(http.StatusForbidden, "forbidden")
	role(ines, "lead").want(http.StatusOK)
	bo.get("/api/v1/invites").want(http.StatusOK) // counts at once
	role(ines, "installer").want(http.StatusOK)

	// A lead signs one phone out.
	second := b.as(b.ours.installer)
	var access httpapi.Access
	second.get(person + "/access").want(http.StatusOK).into(&access)
	if len(access.Sessions) != 2 || access.Sessions[0].Here == access.Sessions[1].Here {
		t.Fatalf("sessions: got %+v, want two and one of them here", access.Sessions)
	}
	i := slices.IndexFunc(access.Sessions, func(s httpapi.SessionLine) bool { return s.Here })
	ines.do(http.MethodDelete, person+"/sessions/"+access.Sessions[i].ID, nil, nil).want(http.StatusNoContent)
	second.get("/api/v1/session").refused(http.StatusUnauthorized, "unauthorized")
	bo.get("/api/v1/session").want(http.StatusOK)

	// Another passphrase, by the old one alone.
	change := func(old, next string) answer {
		return bo.put("/api/v1/session/passphrase", map[string]string{"old": old, "new": next})
	}
	third := b.as(b.ours.installer)
	change("not the old one at all", "a brand new plumb line").refused(http.StatusUnprocessableEntity, "invalid")
	change(passphrase, "short").refused(http.StatusUnprocessableEntity, "invalid")
	change(passphrase, "a brand new plumb line").want(http.StatusNoContent)
	third.get("/api/v1/session").refused(http.StatusUnauthorized, "unauthorized")
	bo.get("/api/v1/session").want(http.StatusOK)

	// Their name is shown as it was meant or not at all.
	for _, name := range []string{"Bo\u202eob", "\u200b", strings.Repeat("a", 121)} {
		bo.put("/api/v1/session/settings", map[string]any{"language": "en", "unit": "in", "name": name}).refused(http.StatusUnprocessableEntity, "invalid")
	}
	var me httpapi.Me
	bo.put("/api/v1/session/settings", map[string]any{"language": "en", "unit": "in", "name": "בו", "fine": true}).want(http.StatusOK).into(&me)
	if me.Name != "בו" || !me.Fine {
		t.Errorf("me: got %+v, want the new name and fine marks", me)
	}
	bo.put("/api/v1/session/settings", map[string]any{"language": "en", "unit": "in"}).want(http.StatusOK).into(&me)
	if me.Name != "בו" || !me.Fine {
		t.Errorf("me, when an older app sets the language: got %+v, want name and marks as they were", me)
	}

	// Removed: signed out, named still, and let back by an invitation alone.
	ines.do(http.MethodDelete, person, nil, nil).want(http.StatusNoContent)
	bo.get("/api/v1/session").refused(http.StatusUnauthorized, "unauthorized")
	b.client().post("/api/v1/session", map[string]string{"sign_in": "bo", "passphrase": "a brand new plumb line"}).refused(http.StatusUnauthorized, "unauthorized")
	var people httpapi.PeopleList
	ines.get("/api/v1/people").want(http.StatusOK).into(&people)
	if len(people.People) != 2 || !slices.ContainsFunc(people.People, func(p httpapi.Person) bool { return p.Name == "בו" && p.Left }) {
		t.Errorf("people: got %+v, want Bo as one who left", people.People)
	}
	back := invite(b, ines, map[string]any{"person": b.ours.installer.ID})
	join(bo, back, map[string]any{"passphrase": "back on the plumb line"}).want(http.StatusOK).into(&me)
	if me.PersonID != b.ours.installer.ID || me.Name != "בו" || me.SignIn != "bo" {
		t.Errorf("back: got %+v, want the same person", me)
	}
}

// Marks twice as close are the person's own, wherever they look.
func TestFineMarksArePrinted(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	bo.send(h, h.take("width_bottom", "30 1/32"))
	text := func() string { return bo.item(h).Readings[0].Takes[0].Text }
	coarse := text()
	bo.put("/api/v1/session/settings", map[string]any{"language": "en", "unit": "in", "fine": true}).want(http.StatusOK)
	if fine := text(); fine != "30 1/32" || coarse == fine {
		t.Errorf("a reading of 30 1/32: got %q, then %q with fine marks, want it exact then", coarse, fine)
	}
}

// Guessing at an invitation or a passkey is throttled like guessing at a passphrase.
func TestGuessingAtTheOtherDoorsIsThrottled(t *testing.T) {
	t.Parallel()
	for name, knock := range map[string]func(*client, int) answer{
		"invitations": func(c *client, n int) answer {
			return c.post("/api/v1/join/look", map[string]string{"token": strings.Repeat("x", 40) + string(rune('a'+n))})
		},
		"passkeys": func(c *client, _ int) answer { return c.post("/api/v1/session/passkey/begin", map[string]any{}) },
	} {
		b := setup(t) // three a minute for one name, eighteen for an address
		c := b.client()
		throttled := false
		for n := range 19 {
			if a := knock(c, n); a.status == http.StatusTooManyRequests {
				throttled = a.header.Get("Retry-After") == "60"
			}
		}
		if !throttled {
			t.Errorf("%s: nineteen guesses were taken, or the refusal does not say how long to wait", name)
		}
	}
}

// One name's answers come no sooner when there is no such name: whoever has a stopwatch
// learns nothing. The hasher's own test measures; this one goes through the door.
func TestNoNameIsToldByTheTime(t *testing.T) {
	t.Parallel()
	b := setup(t, func(c *app.Config) { c.Guesses = 1000 })
	c := b.client()
	least := func(name string) time.Duration {
		best := time.Hour
		for range 5 {
			began := time.Now()
			c.post("/api/v1/session", map[string]string{"sign_in": name, "passphrase": "wrong wrong wrong"}).refused(http.StatusUnauthorized, "unauthorized")
			best = min(best, time.Since(began))
		}
		return best
	}
	known, unknown := least("ines"), least("nobody-here")
	if unknown < known/4 || known < unknown/4 {
		t.Errorf("a wrong passphrase takes %v, an unknown name %v: the time tells them apart", known, unknown)
	}
}
