package account_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

func TestSignInName(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ in, want string }{
		{" Rosa@Harbor.test ", "rosa@harbor.test"},
		{"ROSA", "rosa"},
		{"jose\u0301", "josé"}, // typed with a combining accent
		{strings.Repeat("a", 254), strings.Repeat("a", 254)},
	} {
		if got, err := account.SignInName(tc.in); err != nil || got != tc.want {
			t.Errorf("%q: want %q, got %q and %v", tc.in, tc.want, got, err)
		}
	}
	for _, in := range []string{"", "  ", "rosa marsh", "rosa\x00", "rosa\n1", "ｒｏｓａ", "\xffrosa", strings.Repeat("a", 255)} {
		if got, err := account.SignInName(in); !fault.Is(err, fault.Invalid) {
			t.Errorf("%q: want invalid, got %q and %v", in, got, err)
		}
	}
}

func TestCheckPassphrase(t *testing.T) {
	t.Parallel()
	for _, p := range []string{
		"plumb bob string",                          // 16
		"exactly15chars!",                           // NIST SP 800-63B-4, 3.1.1.2: 15 is enough
		"plomada con hilo de algodón",               // any script, spaces too
		strings.Repeat("plumb bob ", 25) + "string", // 256
		"rosa@harbor.test and a plumb bob",
	} {
		if err := account.CheckPassphrase(p, "rosa@harbor.test"); err != nil {
			t.Errorf("%q: want it allowed, got %v", p, err)
		}
	}
	for _, tc := range []struct{ passphrase, sentence string }{
		{"", "A passphrase needs at least 15 characters: four or five words will do."},
		{"only14 chars!!", "A passphrase needs at least 15 characters: four or five words will do."},
		{"josé con acent", "A passphrase needs at least 15 characters: four or five words will do."}, // 15 bytes, 14 characters
		{strings.Repeat("plumb bob ", 25) + "strings", "A passphrase may have at most 256 characters."},
		{"aaaaaaaaaaaaaaaaaa", "Too few different characters: four or five words will do."},
		{"121212121212121212", "Too few different characters: four or five words will do."},
		{"Rosa@Harbor.test", "The passphrase is mostly your sign-in name."},
		{"rosa@harbor.test123", "The passphrase is mostly your sign-in name."},
		{"\xff\xfe plumb bob string", "The passphrase holds characters that cannot be read."},
	} {
		err := account.CheckPassphrase(tc.passphrase, "rosa@harbor.test")
		if !fault.Is(err, fault.Invalid) || fault.SentenceOf(err) != tc.sentence {
			t.Errorf("%q: want invalid with %q, got %v", tc.passphrase, tc.sentence, err)
		}
	}
}

// TestVerifyReferenceHash checks against a hash of the reference implementation: "password"
// with "somesalt" in phc-winner-argon2's src/test.c (from memory).
func TestVerifyReferenceHash(t *testing.T) {
	t.Parallel()
	h := hasher(t)
	const reference = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"
	for passphrase, want := range map[string]bool{"password": true, "Password": false, "": false} {
		if got, err := h.Verify(t.Context(), passphrase, reference); err != nil || got != want {
			t.Errorf("%q: want %v, got %v and %v", passphrase, want, got, err)
		}
	}
}

func TestHash(t *testing.T) {
	t.Parallel()
	h := hasher(t)
	const composed, decomposed = "algodón y plomada", "algodo\u0301n y plomada"
	first, err := h.Hash(t.Context(), composed)
	if err != nil {
		t.Fatal(err)
	}
	// OWASP Password Storage Cheat Sheet: Argon2id with 19 MiB, t=2, p=1.
	if want := "$argon2id$v=19$m=19456,t=2,p=1$"; !strings.HasPrefix(first, want) {
		t.Errorf("setting: want %s…, got %s", want, first)
	}
	second, err := h.Hash(t.Context(), composed)
	if err != nil || second == first {
		t.Errorf("two hashes of one passphrase: want them salted apart, got %s twice (%v)", second, err)
	}
	if right, err := h.Verify(t.Context(), decomposed, first); err != nil || !right {
		t.Errorf("the same passphrase from another keyboard: want right, got %v and %v", right, err)
	}
	if right, err := h.Verify(t.Context(), "nobody's passphrase", ""); err != nil || right {
		t.Errorf("nobody's own passphrase for nobody: want wrong, got %v and %v", right, err)
	}
	if _, err := h.Verify(t.Context(), composed, "md5:abc"); !fault.Is(err, fault.Internal) {
		t.Errorf("a hash of another kind: want internal, got %v", err)
	}
}

func TestHashingIsBounded(t *testing.T) {
	t.Parallel()
	h := hasher(t)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	release := account.TakeSlot(h)
	if _, err := h.Hash(ended, "plumb bob on a string"); !fault.Is(err, fault.Unavailable) || !errors.Is(err, context.Canceled) {
		t.Errorf("all slots taken and the caller gone: want unavailable for context.Canceled, got %v", err)
	}
	if _, err := h.Verify(ended, "plumb bob on a string", ""); !fault.Is(err, fault.Unavailable) {
		t.Errorf("verifying: want unavailable, got %v", err)
	}
	release()
	if _, err := h.Hash(t.Context(), "plumb bob on a string"); err != nil {
		t.Errorf("with the slot back: %v", err)
	}
}

// TestSignInWorksTheSameForNobody compares the time for a wrong passphrase with the time
// for an unknown name. Ten times apart would tell; the machine may be busy.
func TestSignInWorksTheSameForNobody(t *testing.T) {
	t.Parallel()
	h := hasher(t)
	hash, err := h.Hash(t.Context(), "plumb bob on a string")
	if err != nil {
		t.Fatal(err)
	}
	rosa := account.Person{ID: "1", Name: "Rosa", Role: joblog.Installer, Unit: length.Inches}
	known := finder(func() (account.Person, string, error) { return rosa, hash, nil })
	unknown := finder(func() (account.Person, string, error) {
		return account.Person{}, "", fault.New(fault.NotFound, "There is no such person.")
	})
	least := func(f finder, name, passphrase string) time.Duration {
		best := time.Hour
		for range 3 {
			start := time.Now()
			_, err := h.SignIn(t.Context(), f, name, passphrase)
			best = min(best, time.Since(start))
			if !fault.Is(err, fault.Unauthorized) || fault.SentenceOf(err) != "The name or the passphrase is not right." {
				t.Errorf("want unauthorized with one sentence, got %v", err)
			}
		}
		return best
	}
	wrong := least(known, "rosa", "wrong passphrase")
	for name, got := range map[string]time.Duration{
		"unknown name":       least(unknown, "ivan", "plumb bob on a string"),
		"no name at all":     least(known, "", "plumb bob on a string"),
		"endless passphrase": least(known, "rosa", strings.Repeat("plumb ", 10_000)),
	} {
		if got < wrong/10 {
			t.Errorf("%s: answered in %v, a wrong passphrase in %v: the time tells them apart", name, got, wrong)
		}
	}
	if p, err := h.SignIn(t.Context(), known, "rosa", "plumb bob on a string"); err != nil || p != rosa {
		t.Errorf("the right passphrase: want rosa, got %+v and %v", p, err)
	}
}

func TestSignInPassesOnOtherFaults(t *testing.T) {
	t.Parallel()
	down := finder(func() (account.Person, string, error) {
		return account.Person{}, "", fault.New(fault.Unavailable, "Try later.")
	})
	if _, err := hasher(t).SignIn(t.Context(), down, "rosa", "plumb bob on a string"); !fault.Is(err, fault.Unavailable) {
		t.Errorf("the database is down: want unavailable, got %v", err)
	}
}

func TestSessionCodec(t *testing.T) {
	t.Parallel()
	until := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)
	rosa := account.Person{ID: "1", CompanyID: "2", Name: "Rosa", SignIn: "rosa", Role: joblog.Installer, Language: "es", Unit: length.Millimeters}
	data, err := account.EncodeSession(until, rosa, "")
	if err != nil {
		t.Fatal(err)
	}
	deadline, values, err := account.SessionCodec{}.Decode(data)
	if err != nil || !deadline.Equal(until) || len(values) != 1 || values["person"] != rosa {
		t.Errorf("want rosa until %v, got %v until %v and %v", until, values, deadline, err)
	}
	if _, err := (account.SessionCodec{}).Encode(until, map[string]any{"person": rosa, "basket": 3}); err == nil {
		t.Error("a value the store has no column for: want an error, got none")
	}
	if _, _, _, err := account.DecodeSession([]byte("{")); err == nil {
		t.Error("broken JSON: want an error, got none")
	}
}

func hasher(t *testing.T) *account.Hasher {
	t.Helper()
	h, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

type finder func() (account.Person, string, error)

func (f finder) FindSignIn(context.Context, string) (account.Person, string, error) { return f() }
