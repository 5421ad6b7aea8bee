// Package message is what Longpoint tells people by e-mail and on their phones: which messages there are, what they say in
// the reader's language, and when one is tried again. It neither keeps nor sends them.
package message

import (
	"fmt"
	"net/mail"
	"strings"
	"time"
	"unicode"

	"longpoint/internal/fault"
)

// Kind is what a message is about.
type Kind string

// The kinds: a walkthrough is ready for the homeowner; something they pointed out is fixed; it is signed, for the lead who
// opened it; it is signed, for the homeowner, with where the record is; an invitation into the company. Those of a crew's
// own phones: work given to somebody, a homeowner's remark agreed to, and one that was called fixed and is not.
const (
	WalkReady  Kind = "walk_ready"
	WalkFixed  Kind = "walk_fixed"
	WalkSigned Kind = "walk_signed"
	WalkRecord Kind = "walk_record"
	Invite     Kind = "invite"
	PushWork   Kind = "push_work"
	PushRemark Kind = "push_remark"
	PushStill  Kind = "push_still"
)

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{WalkReady, WalkFixed, WalkSigned, WalkRecord, Invite, PushWork, PushRemark, PushStill}
}

// State is where a message stands.
type State string

// The states. Waiting is also what went wrong and is tried again; Failed is given up; Overtaken was not to be sent any more.
const (
	Waiting   State = "waiting"
	Sent      State = "sent"
	Failed    State = "failed"
	Overtaken State = "overtaken"
)

// Trouble is why a message did not go out, as a lead is told.
type Trouble string

// The troubles: the server did not answer; its sign-in was refused; the connection could not be made private; it does
// not know the address; it turned the message away for another reason; the message could not be written; the phone takes
// none any more.
const (
	NoAnswer       Trouble = "no_answer"
	NotLetIn       Trouble = "not_let_in"
	NotPrivate     Trouble = "not_private"
	AddressRefused Trouble = "address_refused"
	TurnedAway     Trouble = "turned_away"
	NotWritten     Trouble = "not_written"
	NotWanted      Trouble = "not_wanted"
)

// Failure is why a message did not go out. Its text holds no address and no secret.
type Failure struct {
	Trouble Trouble
	// ForGood says that trying again is of no use.
	ForGood bool
	// Code is the server's answer, 0 for none.
	Code int
	// Wait is how long the server wants to be left alone.
	Wait time.Duration
}

func (f *Failure) Error() string { return fmt.Sprintf("%s (%d)", f.Trouble, f.Code) }

// Subscription is where a phone takes messages: an address at its push service, and the keys that what is sent there is
// locked with (RFC 8291), in unpadded base64url.
type Subscription struct {
	Endpoint string
	P256dh   string
	Auth     string
}

// Message is one message to one person.
type Message struct {
	ID        string
	CompanyID string
	JobID     string // empty for an invitation
	AboutID   string // the walkthrough or the invitation
	Kind      Kind
	Email     string
	Language  string
	Says      map[string]string // what stands in its braces; empty once it is sent
	MadeAt    time.Time
	BegunAt   time.Time // since when it is tried; later than MadeAt if it was tried again by hand
	DueAt     time.Time
	Tries     int
	State     State
	Trouble   Trouble

	// A message to a phone has a session and no address.
	SessionID string
	To        Subscription
	PersonID  string // whose phone, in a list
	Device    string // what it calls itself, in a list
}

// PatienceTime is how long a message is tried before it is given up: over a weekend day without anybody at the mail server.
const PatienceTime = 48 * time.Hour

// FixedWait is how long "fixed" waits, so that a crew that fixes five things in a row writes once.
const FixedWait = 10 * time.Minute

// WorkWait is how long work waits to be told, so that a lead who gives ten things in a row is one message.
const WorkWait = time.Minute

const (
	firstWait = time.Minute
	mostWait  = 6 * time.Hour
)

// Next is when a message that failed now is tried again, and false when it is given up. The wait doubles with each try up
// to six hours; chance, in [0, 1), moves it by up to a quarter either way, so that what failed together does not come back
// together.
func (m Message) Next(now time.Time, chance float64) (time.Time, bool) {
	wait := min(firstWait<<min(max(m.Tries-1, 0), 10), mostWait)
	at := now.Add(time.Duration(float64(wait) * (0.75 + chance/2)))
	return at, !at.After(m.BegunAt.Add(PatienceTime))
}

const longestEmail = 254 // RFC 5321, 4.5.3.1.3, without its angle brackets

// Email is an address as it may be kept; empty stays empty. A name beside it, comments, quotes and anything that could
// begin another line are refused.
func Email(typed string) (string, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return "", nil
	}
	a, err := mail.ParseAddress(typed)
	odd := strings.ContainsFunc(typed, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r) || strings.ContainsRune(`"<>(),;:\`, r)
	})
	if err != nil || odd || a.Address != typed || len(typed) > longestEmail || strings.Count(typed, "@") != 1 {
		return "", fault.New(fault.Invalid, "That is not an e-mail address. One looks like name@example.com.")
	}
	return typed, nil
}
