package seal_test

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/internal/seal"
)

func entry(seq int64, command string) seal.Entry {
	at := time.Date(2026, 3, 4, 12, 0, 0, 123_456_000, time.UTC)
	return seal.Entry{Seq: seq, CommandID: fmt.Sprintf("c%d", seq), Kind: "note", PersonID: "p", Role: "lead", DidAt: at, LoggedAt: at.Add(time.Second),
		Device: "phone", RuleBook: "1.0.0", Command: json.RawMessage(command)}
}

// The bytes are those of RFC 8785: keys in order, no space, numbers and strings one way to write.
func TestCanonicalBytes(t *testing.T) {
	t.Parallel()
	got, err := seal.Canonical(entry(7, `{ "note": {"text": "caf\u00e9 1/8\""}, "b": 25400000, "a": 1.0 }`))
	want := `{"command":{"a":1,"b":25400000,"note":{"text":"café 1/8\""}},"command_id":"c7","device":"phone","did_at":"2026-03-04T12:00:00.123456Z",` +
		`"item_id":"","kind":"note","logged_at":"2026-03-04T12:00:01.123456Z","person_id":"p","role":"lead","room_id":"","rule_book":"1.0.0","seq":7}`
	if err != nil || string(got) != want {
		t.Errorf("canonical bytes: got %s (%v), want %s", got, err, want)
	}
	// Worked out by hand beside it: start, then the bytes.
	start := sha256.Sum256([]byte("longpoint seal 1\nC\nJ\n"))
	link := sha256.Sum256(append(start[:], want...))
	if next, err := seal.Next(seal.Start("C", "J"), entry(7, `{"a":1,"b":25400000,"note":{"text":"café 1/8\""}}`)); err != nil || next != link {
		t.Errorf("the link: got %s (%v), want %x", next, err, link)
	}
}

// Whatever is changed or taken out of a sealed log, exactly that is named.
func TestWhatWasChangedIsNamed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "entries")
		from := rapid.Int64Range(1, 9).Draw(t, "from")
		var log []seal.Entry
		for i := range n {
			log = append(log, entry(from+int64(i), fmt.Sprintf(`{"n":%d}`, rapid.IntRange(0, 9).Draw(t, "n"))))
		}
		before := seal.Start("c", "j")
		links, err := seal.Chain(before, log)
		if err != nil {
			t.Fatal(err)
		}
		want := map[int64]bool{}
		var kept []seal.Entry
		for _, e := range log {
			switch rapid.IntRange(0, 5).Draw(t, "what") {
			case 0:
				want[e.Seq] = true
				continue
			case 1:
				want[e.Seq] = false
				switch rapid.IntRange(0, 3).Draw(t, "field") {
				case 0:
					e.Command = json.RawMessage(`{"n":"other"}`)
				case 1:
					e.PersonID = "somebody"
				case 2:
					e.DidAt = e.DidAt.Add(time.Microsecond)
				case 3:
					e.Device += " "
				}
			}
			kept = append(kept, e)
		}
		wrong, err := seal.Check(before, from, links, kept)
		if err != nil || len(wrong) != len(want) {
			t.Fatalf("named %v (%v), want %v", wrong, err, want)
		}
		for _, w := range wrong {
			if missing, ok := want[w.Seq]; !ok || missing != w.Missing {
				t.Fatalf("named %+v, want %v", w, want)
			}
		}
	})
}
