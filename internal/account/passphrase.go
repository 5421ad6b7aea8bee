package account

import (
	"context"
	"errors"
	"strings"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"
	"golang.org/x/text/unicode/norm"

	"longpoint/internal/fault"
)

// Lengths of a passphrase in Unicode code points. NIST SP 800-63B-4, 3.1.1.2: at least 15
// where the passphrase alone signs a person in, at least 64 allowed, never cut short, no
// rules on which characters. The upper bound only keeps a request from costing memory.
const (
	MinPassphrase = 15
	MaxPassphrase = 256
)

// leastDistinct is the fewest different characters. It refuses aaaaaaaaaaaaaaa and
// 121212121212121, which the length alone lets through; our own choice.
const leastDistinct = 6

// leastBesideName is how much must be left of a passphrase without the person's sign-in
// name in it; the length NIST's older text (SP 800-63B, 5.1.1.2) asks of a whole one.
const leastBesideName = 8

// hashing is the OWASP Password Storage Cheat Sheet's Argon2id setting with the least
// memory that needs only two passes: 19 MiB, t=2, p=1.
var hashing = argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// CheckPassphrase says whether a person with that sign-in name may choose the passphrase.
//
// Errors: invalid, with a sentence that says what to change.
func CheckPassphrase(passphrase, signIn string) error {
	if !utf8.ValidString(passphrase) {
		return fault.New(fault.Invalid, "The passphrase holds characters that cannot be read.")
	}
	p := norm.NFC.String(passphrase)
	switch n := utf8.RuneCountInString(p); {
	case n < MinPassphrase:
		return fault.New(fault.Invalid, "A passphrase needs at least 15 characters: four or five words will do.")
	case n > MaxPassphrase:
		return fault.New(fault.Invalid, "A passphrase may have at most 256 characters.")
	}
	distinct := map[rune]bool{}
	for _, r := range p {
		distinct[r] = true
	}
	if len(distinct) < leastDistinct {
		return fault.New(fault.Invalid, "Too few different characters: four or five words will do.")
	}
	if name, err := SignInName(signIn); err == nil && len(name) > 3 {
		rest := strings.ReplaceAll(strings.ToLower(p), name, "")
		if utf8.RuneCountInString(rest) < leastBesideName {
			return fault.New(fault.Invalid, "The passphrase is mostly your sign-in name.")
		}
	}
	return nil
}

// Hasher hashes and checks passphrases, a bounded number at once: each takes 19 MiB and a
// processor for some tens of milliseconds, so that a flood of sign-ins waits in line
// instead of taking the memory.
type Hasher struct {
	slots  chan struct{}
	nobody string
}

// NewHasher makes a hasher that works on atMost passphrases at once, at least one.
func NewHasher(atMost int) (*Hasher, error) {
	h := &Hasher{slots: make(chan struct{}, max(1, atMost))}
	nobody, err := argon2id.CreateHash("nobody's passphrase", &hashing)
	if err != nil {
		return nil, fault.Because(fault.Internal, "hashing the stand-in passphrase", err)
	}
	h.nobody = nobody
	return h, nil
}

// Hash returns the passphrase's hash as a PHC string. It does not judge the passphrase:
// CheckPassphrase does.
//
// Errors: unavailable when ctx ends while waiting in line; internal.
func (h *Hasher) Hash(ctx context.Context, passphrase string) (hash string, err error) {
	defer fault.In(&err, "hashing a passphrase")
	if err := h.wait(ctx); err != nil {
		return "", err
	}
	defer h.leave()
	return argon2id.CreateHash(norm.NFC.String(passphrase), &hashing)
}

// Verify reports whether the passphrase has that hash. An empty hash stands for a person
// who does not exist: it costs the same time and is never right, so that the time of an
// answer does not tell which names exist.
//
// Errors: unavailable when ctx ends while waiting in line; internal for a hash that cannot
// be read.
func (h *Hasher) Verify(ctx context.Context, passphrase, hash string) (right bool, err error) {
	defer fault.In(&err, "verifying a passphrase")
	if utf8.RuneCountInString(passphrase) > MaxPassphrase {
		passphrase = "" // costs the same time, and no stored passphrase is empty
	}
	if err := h.wait(ctx); err != nil {
		return false, err
	}
	defer h.leave()
	known := hash != ""
	if !known {
		hash = h.nobody
	}
	right, err = argon2id.ComparePasswordAndHash(norm.NFC.String(passphrase), hash)
	if err != nil {
		return false, err
	}
	return right && known, nil
}

func (h *Hasher) wait(ctx context.Context) error {
	select {
	case h.slots <- struct{}{}:
		return nil
	case <-ctx.Done():
		return fault.Because(fault.Unavailable, "Too many people are signing in at once. Try again in a moment.", ctx.Err())
	}
}

func (h *Hasher) leave() { <-h.slots }

// SignIns finds a person by their sign-in name.
type SignIns interface {
	// FindSignIn returns the person and the hash of their passphrase.
	// Errors: not_found.
	FindSignIn(ctx context.Context, name string) (Person, string, error)
}

// SignIn returns the person with that name and passphrase.
//
// Errors: unauthorized with one and the same sentence whether the name or the passphrase
// is wrong, and after the same work; unavailable.
func (h *Hasher) SignIn(ctx context.Context, people SignIns, name, passphrase string) (Person, error) {
	wrong := fault.New(fault.Unauthorized, "The name or the passphrase is not right.")
	var (
		p    Person
		hash string
	)
	known, err := SignInName(name)
	if err == nil {
		p, hash, err = people.FindSignIn(ctx, known)
	}
	var e *fault.Error
	if err != nil && !(errors.As(err, &e) && (e.Code == fault.NotFound || e.Code == fault.Invalid)) {
		return Person{}, err
	}
	right, err := h.Verify(ctx, passphrase, hash)
	switch {
	case err != nil:
		return Person{}, err
	case !right:
		return Person{}, wrong
	}
	return p, nil
}
