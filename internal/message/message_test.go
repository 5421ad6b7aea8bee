package message_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/internal/message"
)

// says are all the things any message names.
func says() map[string]string {
	return map[string]string{"name": "Ada Brandt", "company": "Alder & Finch", "job": "12 Sill Street", "link": "https://trim.example/walk#secret",
		"what": "Hall door\nBase, north wall", "signer": "Ada Brandt", "by": "Maren Holt",
		"item": "Hall door", "room": "Upper hall", "count": "1"}
}

func TestEveryMessageHasWordsInBothLanguages(t *testing.T) {
	t.Parallel()
	for _, k := range message.Kinds() {
		texts := map[string]string{}
		for _, language := range []string{"en", "es", "fr"} {
			subject, body := message.Message{Kind: k, Language: language, Says: says()}.Text()
			if subject == "" || body == "" || strings.ContainsAny(subject+body, "{}") {
				t.Errorf("%s in %s: got %q and %q, want words with nothing left in braces", k, language, subject, body)
			}
			texts[language] = subject + body
		}
		if texts["en"] == texts["es"] || texts["fr"] != texts["en"] {
			t.Errorf("%s: want Spanish of its own, and English for a language there is none of", k)
		}
	}
	if _, body := (message.Message{Kind: message.WalkReady, Language: "es", Says: says()}).Text(); !strings.Contains(body, "https://trim.example/walk#secret") {
		t.Errorf("the link is not in %q", body)
	}
	if _, body := (message.Message{Kind: message.Invite, Language: "en", Says: map[string]string{"name": "", "by": "M", "company": "C", "link": "L"}}).Text(); !strings.HasPrefix(body, "Hello,\n") {
		t.Errorf("an invitation for somebody without a name begins %q", body)
	}
}

// Whatever is typed as a name, the subject is one line, and the body has the lines it was written with.
func TestANameBeginsNoLine(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		said := says()
		plain := strings.Count(second(message.Message{Kind: message.WalkSigned, Language: "en", Says: said}.Text()), "\n")
		said["job"] = rapid.StringMatching(`[a-z{}\r\n\t:]{0,30}\r\nBcc: [a-z]{1,5}@example\.com\r\n\r\n[a-z]{0,9}`).Draw(t, "job")
		subject, body := message.Message{Kind: message.WalkSigned, Language: "en", Says: said}.Text()
		if strings.ContainsAny(subject, "\r\n") || strings.Contains(body, "\r") || strings.Count(body, "\n") != plain {
			t.Fatalf("got subject %q and body %q, want the name on one line", subject, body)
		}
	})
}

// What a phone is told says where, and no more than it must: a phone on a bench shows it to whoever passes.
func TestWhatAPhoneIsTold(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		kind           message.Kind
		language       string
		says           map[string]string
		subject, words string
	}{
		{message.PushWork, "en", map[string]string{"item": "Hall door", "room": "Upper hall", "count": "1"}, "Work for you: Hall door", "Upper hall"},
		{message.PushWork, "en", map[string]string{"item": "Upper hall", "room": "", "count": "1"}, "Work for you: Upper hall", ""},
		{message.PushWork, "es", map[string]string{"item": "Puerta", "room": "Pasillo", "count": "3"}, "Trabajo para usted: 3 cosas", "Puerta, Pasillo, y más"},
		{message.PushWork, "en", map[string]string{"item": "Attic", "room": "", "count": "2"}, "Work for you: 2 things", "Attic, and more"},
		{message.PushRemark, "en", map[string]string{"item": "Hall door", "room": "Upper hall"}, "To be put right: Hall door",
			"Upper hall · The homeowner pointed something out, and it is yours to do."},
		{message.PushStill, "en", map[string]string{"item": "Upper hall", "room": ""}, "Still there: Upper hall", "The homeowner looked and says it is not right yet."},
	} {
		subject, body := message.Message{Kind: tc.kind, Language: tc.language, Says: tc.says}.Text()
		if subject != tc.subject || body != tc.words {
			t.Errorf("%s in %s of %v: got %q and %q, want %q and %q", tc.kind, tc.language, tc.says, subject, body, tc.subject, tc.words)
		}
	}
}

func second(_, s string) string { return s }

func TestWhenAMessageIsTriedAgain(t *testing.T) {
	t.Parallel()
	begun := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		tries  int
		chance float64
		after  time.Duration // since begun, when it failed
		wait   time.Duration
		more   bool
	}{
		{1, 0.5, 0, time.Minute, true},
		{1, 0, 0, 45 * time.Second, true},
		{4, 0.5, time.Hour, 8 * time.Minute, true},
		{30, 0.5, 20 * time.Hour, 6 * time.Hour, true},
		{30, 0.5, 42 * time.Hour, 6 * time.Hour, true},
		{30, 0.5, 42*time.Hour + time.Second, 6 * time.Hour, false},
	} {
		now := begun.Add(tc.after)
		at, more := message.Message{BegunAt: begun, Tries: tc.tries}.Next(now, tc.chance)
		if at.Sub(now) != tc.wait || more != tc.more {
			t.Errorf("try %d after %s: got %s, %t, want %s, %t", tc.tries, tc.after, at.Sub(now), more, tc.wait, tc.more)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 100).Draw(t, "tries")
		chance := rapid.Float64Range(0, 0.999).Draw(t, "chance")
		at, _ := message.Message{BegunAt: begun, Tries: n}.Next(begun, chance)
		if wait := at.Sub(begun); wait < 45*time.Second || wait > 7*time.Hour+30*time.Minute {
			t.Fatalf("try %d waits %s", n, wait)
		}
	})
}

func TestAddressesThatAreKept(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{"": "", "  ": "", " ada@example.com ": "ada@example.com", "a.b+c@trim.example": "a.b+c@trim.example"} {
		if got, err := message.Email(typed); err != nil || got != want {
			t.Errorf("%q: got %q, %v, want %q", typed, got, err, want)
		}
	}
	kept := regexp.MustCompile(`^[^@\s]+@[^@\s]+$`) // the database's own check
	for _, typed := range []string{"ada", "ada@", "@example.com", "Ada <ada@example.com>", "a@b, c@d", "a@example.com\r\nBcc: b@example.com",
		"ada brandt@example.com", `"ada@home"@example.com`, "a@b@c", strings.Repeat("a", 250) + "@example.com", "<a@example.com>", "a(x)@example.com"} {
		if got, err := message.Email(typed); err == nil {
			t.Errorf("%q: got %q, want it refused", typed, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		typed := rapid.StringMatching(`[a-z"<> ,;@.\r\n]{1,12}@?[a-z.\r\n ]{1,9}`).Draw(t, "typed")
		if got, err := message.Email(typed); err == nil && got != "" && !kept.MatchString(got) {
			t.Fatalf("%q is taken as %q, which the database refuses", typed, got)
		}
	})
}
