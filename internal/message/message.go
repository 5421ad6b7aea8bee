// Package message is what Longpoint writes to people by e-mail: which messages there are, what they say in the reader's
// language, and when one is tried again. It neither keeps nor sends them.
package message

import (
	"net/mail"
	"strings"
	"time"
	"unicode"

	"longpoint/internal/fault"
)

// Kind is what a message is about.
type Kind string

// The kinds: a walkthrough is ready for the homeowner; something they pointed out is fixed; it is signed, for the lead who
// opened it; it is signed, for the homeowner, with where the record is; an invitation into the company.
const (
	WalkReady  Kind = "walk_ready"
	WalkFixed  Kind = "walk_fixed"
	WalkSigned Kind = "walk_signed"
	WalkRecord Kind = "walk_record"
	Invite     Kind = "invite"
)

// Kinds lists every kind.
func Kinds() []Kind { return []Kind{WalkReady, WalkFixed, WalkSigned, WalkRecord, Invite} }

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

// The troubles: the mail server did not answer; its sign-in was refused; the connection could not be made private; it does
// not know the address; it turned the message away for another reason; the message could not be written.
const (
	NoAnswer       Trouble = "no_answer"
	NotLetIn       Trouble = "not_let_in"
	NotPrivate     Trouble = "not_private"
	AddressRefused Trouble = "address_refused"
	TurnedAway     Trouble = "turned_away"
	NotWritten     Trouble = "not_written"
)

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
}

// PatienceTime is how long a message is tried before it is given up: over a weekend day without anybody at the mail server.
const PatienceTime = 48 * time.Hour

// FixedWait is how long "fixed" waits, so that a crew that fixes five things in a row writes once.
const FixedWait = 10 * time.Minute

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
