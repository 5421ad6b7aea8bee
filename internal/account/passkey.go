package account

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"time"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"
	"github.com/google/uuid"

	"longpoint/internal/fault"
)

// CeremonyTime is how long a person has to answer their device: it may ask for a finger, a
// face or a PIN, or for another device. The browsers' own limit is of the same size (WebAuthn
// Level 3, 5.4.4 and 5.5, recommend 5 minutes).
const CeremonyTime = 5 * time.Minute

// Passkey is a key pair of which the person's device has the private half. Credential is
// the public one, as the library keeps it.
type Passkey struct {
	ID         string
	PersonID   string
	Name       string // the device it was made on
	Credential json.RawMessage
	CreatedAt  time.Time
	LastUsedAt *time.Time
}

// CredentialID is what the device calls it.
func (k Passkey) CredentialID() (string, error) {
	var c webauthn.Credential
	if err := json.Unmarshal(k.Credential, &c); err != nil {
		return "", fault.Because(fault.Internal, "", err)
	}
	return base64.RawURLEncoding.EncodeToString(c.ID), nil
}

// Place is the address a browser shows while a passkey is made or used: a passkey is good
// at its own host alone.
type Place struct {
	Host   string // without a port
	Origin string // with scheme and port
}

func (p Place) party() (*webauthn.WebAuthn, error) {
	w, err := webauthn.New(&webauthn.Config{
		RPID:                  p.Host,
		RPDisplayName:         "Longpoint",
		RPOrigins:             []string{p.Origin},
		AttestationPreference: protocol.PreferNoAttestation,
	})
	if err != nil {
		return nil, fault.Because(fault.Invalid, "Passkeys need the service's own web address.", err)
	}
	return w, nil
}

// Asked is a question to a device, as it is kept until the answer comes.
type Asked struct {
	Session  webauthn.SessionData `json:"session"`
	PersonID string               `json:"person_id,omitempty"` // whom the new passkey is for
}

// holder is a person as the library wants them.
type holder struct {
	id   uuid.UUID
	p    Person
	keys []webauthn.Credential
}

func (h holder) WebAuthnID() []byte                         { return h.id[:] }
func (h holder) WebAuthnName() string                       { return h.p.SignIn }
func (h holder) WebAuthnDisplayName() string                { return h.p.Name }
func (h holder) WebAuthnCredentials() []webauthn.Credential { return h.keys }

func holderOf(p Person, keys []Passkey) (holder, error) {
	id, err := uuid.Parse(p.ID)
	if err != nil {
		return holder{}, fault.Because(fault.Internal, "", err)
	}
	h := holder{id: id, p: p, keys: make([]webauthn.Credential, len(keys))}
	for i, k := range keys {
		if err := json.Unmarshal(k.Credential, &h.keys[i]); err != nil {
			return holder{}, fault.Because(fault.Internal, "", err)
		}
	}
	return h, nil
}

// BeginPasskey asks a device for a new passkey for the person, other than those they have.
// The device must be able to find it by itself and must ask who holds it: it stands for
// name and passphrase both. p needs an id, a name and a sign-in name, and may be about to join.
//
// Errors: invalid where the address is none that passkeys work at; internal.
func BeginPasskey(at Place, p Person, had []Passkey) (options json.RawMessage, asked Asked, err error) {
	defer fault.In(&err, "asking for a passkey")
	party, err := at.party()
	if err != nil {
		return nil, Asked{}, err
	}
	h, err := holderOf(p, had)
	if err != nil {
		return nil, Asked{}, err
	}
	creation, session, err := party.BeginRegistration(h,
		webauthn.WithAuthenticatorSelection(protocol.AuthenticatorSelection{
			ResidentKey:        protocol.ResidentKeyRequirementRequired,
			RequireResidentKey: protocol.ResidentKeyRequired(),
			UserVerification:   protocol.VerificationRequired,
		}),
		webauthn.WithExclusions(webauthn.Credentials(h.keys).CredentialDescriptors()))
	if err != nil {
		return nil, Asked{}, err
	}
	options, err = json.Marshal(creation.Response)
	return options, Asked{Session: *session, PersonID: p.ID}, err
}

// FinishPasskey is the passkey in a device's answer.
//
// Errors: invalid when the answer is not one to what was asked; internal.
func FinishPasskey(at Place, p Person, asked Asked, answer json.RawMessage) (k Passkey, err error) {
	defer fault.In(&err, "taking a passkey")
	bad := func(err error) error {
		return fault.Because(fault.Invalid, "The device's answer does not fit. Try again.", err)
	}
	if asked.PersonID == "" || asked.PersonID != p.ID {
		return Passkey{}, bad(errors.New("asked for somebody else"))
	}
	party, err := at.party()
	if err != nil {
		return Passkey{}, err
	}
	h, err := holderOf(p, nil)
	if err != nil {
		return Passkey{}, err
	}
	parsed, err := protocol.ParseCredentialCreationResponseBytes(answer)
	if err != nil {
		return Passkey{}, bad(err)
	}
	made, err := party.CreateCredential(h, asked.Session, parsed)
	if err != nil {
		return Passkey{}, bad(err)
	}
	k = Passkey{ID: uuid.Must(uuid.NewV7()).String(), PersonID: p.ID}
	k.Credential, err = json.Marshal(made)
	return k, err
}

// BeginSignIn asks any device for any passkey of this place: no name is said, so that the
// question tells nothing about who is known here.
//
// Errors: invalid where the address is none that passkeys work at; internal.
func BeginSignIn(at Place) (options json.RawMessage, asked Asked, err error) {
	defer fault.In(&err, "asking for a sign-in by passkey")
	party, err := at.party()
	if err != nil {
		return nil, Asked{}, err
	}
	assertion, session, err := party.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired))
	if err != nil {
		return nil, Asked{}, err
	}
	options, err = json.Marshal(assertion.Response)
	return options, Asked{Session: *session}, err
}

// FinishSignIn is who a device's answer proves to be, with the passkey as it is to be kept
// now. find returns a passkey and its person by what the device calls it.
//
// Errors: unauthorized with one sentence whatever does not fit; those of find but not_found.
func FinishSignIn(at Place, asked Asked, answer json.RawMessage, find func(credentialID string) (Person, Passkey, error)) (p Person, k Passkey, err error) {
	defer fault.In(&err, "signing in by passkey")
	wrong := func(err error) error {
		return fault.Because(fault.Unauthorized, "That passkey is not known here. Use another, or your name and passphrase.", err)
	}
	party, err := at.party()
	if err != nil {
		return Person{}, Passkey{}, err
	}
	parsed, err := protocol.ParseCredentialRequestResponseBytes(answer)
	if err != nil {
		return Person{}, Passkey{}, wrong(err)
	}
	var broken error
	_, used, err := party.ValidatePasskeyLogin(func(id, handle []byte) (webauthn.User, error) {
		var err error
		p, k, err = find(base64.RawURLEncoding.EncodeToString(id))
		if err != nil {
			if !fault.Is(err, fault.NotFound) {
				broken = err
			}
			return nil, err
		}
		h, err := holderOf(p, []Passkey{k})
		if err == nil && !bytes.Equal(h.WebAuthnID(), handle) {
			err = errors.New("the passkey is another person's")
		}
		return h, err
	}, asked.Session, parsed)
	switch {
	case broken != nil:
		return Person{}, Passkey{}, broken
	case err != nil:
		return Person{}, Passkey{}, wrong(err)
	case used.Authenticator.CloneWarning:
		return Person{}, Passkey{}, wrong(errors.New("its counter went back: it may have been copied"))
	}
	k.Credential, err = json.Marshal(used)
	return p, k, err
}
