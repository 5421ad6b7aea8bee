package account

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"time"

	"longpoint/internal/joblog"
)

// Link is what a homeowner's link opens: one walkthrough, as one guest.
type Link struct {
	CompanyID string
	JobID     string
	WalkID    string
	GuestID   string
}

// Viewer is the guest as one who asks.
func (l Link) Viewer() Viewer {
	return Viewer{CompanyID: l.CompanyID, PersonID: l.GuestID, Role: joblog.Guest}
}

// NewLink is a link to be made. Only hashes are kept.
type NewLink struct {
	JobID          string
	WalkID         string
	TokenHash      string
	PassphraseHash string // empty for none
	ExpiresAt      time.Time
	// ExtendID is of the entry that moves the walk's day on to the link's, where the link outlives it; empty leaves the day.
	ExtendID string
	// What goes into the homeowner's e-mail alone, where e-mail is sent: the whole link, and who is written to about this
	// walkthrough from now on. Empty leaves who was written to before.
	Link       string
	GuestEmail string
	LeadEmail  string // of whoever makes the link: they hear when it is signed
}

// NewToken makes a secret of 256 bits, as text for an address.
func NewToken() string {
	var b [32]byte
	_, _ = rand.Read(b[:]) // never fails: the program ends if it would (crypto/rand)
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// HashToken is what is stored of a secret: a copy of the database opens nothing. The secret
// has more bits than could be guessed, so that a plain hash is enough.
func HashToken(token string) string {
	sum := sha256.Sum256([]byte(token))
	return base64.RawURLEncoding.EncodeToString(sum[:])
}

// Contacts are who is told about a walkthrough by e-mail, and in what language its homeowner reads.
type Contacts struct {
	Language   string
	GuestEmail string // empty for nobody
	LeadEmail  string // of the lead who asks
}
