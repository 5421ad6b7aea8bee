// Package seal makes the hash chain over a job's log that a signature closes, and finds the
// entries that are not what was sealed.
//
// The chain: the first value is SHA-256 of "longpoint seal 1", the company's id and the job's,
// each on a line of its own that ends with a line feed. An entry's link is SHA-256 of the 32
// bytes before it followed by the entry's canonical bytes. A seal's value is its last link.
//
// Canonical bytes are the JSON Canonicalization Scheme (RFC 8785) of one object with the
// entry's columns: seq, command_id, kind, room_id and item_id (empty where there is none),
// person_id, role, did_at and logged_at (UTC, microseconds, as 2026-03-04T12:00:00.000000Z),
// device, rule_book, and command, the command's own JSON.
package seal

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"github.com/gowebpki/jcs"
)

// Entry is one entry of a log as it is stored.
type Entry struct {
	Seq                                             int64
	CommandID, Kind, RoomID, ItemID, PersonID, Role string
	DidAt, LoggedAt                                 time.Time
	Device, RuleBook                                string
	Command                                         json.RawMessage
}

// Link is one value of the chain.
type Link [sha256.Size]byte

// Size is how many bytes a link takes.
const Size = sha256.Size

func (l Link) String() string { return hex.EncodeToString(l[:]) }

// Start is the value before a job's first entry.
func Start(company, job string) Link {
	return sha256.Sum256([]byte("longpoint seal 1\n" + company + "\n" + job + "\n"))
}

const moment = "2006-01-02T15:04:05.000000Z"

// Canonical is the entry as the one sequence of bytes that stands for it.
func Canonical(e Entry) ([]byte, error) {
	plain, err := json.Marshal(map[string]any{
		"seq": e.Seq, "command_id": e.CommandID, "kind": e.Kind, "room_id": e.RoomID, "item_id": e.ItemID, "person_id": e.PersonID,
		"role": e.Role, "did_at": e.DidAt.UTC().Format(moment), "logged_at": e.LoggedAt.UTC().Format(moment), "device": e.Device,
		"rule_book": e.RuleBook, "command": e.Command,
	})
	if err != nil {
		return nil, fmt.Errorf("entry %d: %w", e.Seq, err)
	}
	out, err := jcs.Transform(plain)
	if err != nil {
		return nil, fmt.Errorf("entry %d: %w", e.Seq, err)
	}
	return out, nil
}

// Next is the link of the entry that follows on before.
func Next(before Link, e Entry) (Link, error) {
	b, err := Canonical(e)
	if err != nil {
		return Link{}, err
	}
	return sha256.Sum256(append(before[:], b...)), nil
}

// Chain makes the links of entries in order, those after before.
func Chain(before Link, entries []Entry) ([]byte, error) {
	out := make([]byte, 0, len(entries)*Size)
	for _, e := range entries {
		next, err := Next(before, e)
		if err != nil {
			return nil, err
		}
		out = append(out, next[:]...)
		before = next
	}
	return out, nil
}

// Last is the value of a seal with these links.
func Last(links []byte) Link {
	var l Link
	copy(l[:], links[len(links)-Size:])
	return l
}

// Wrong is an entry that is not what was sealed.
type Wrong struct {
	Seq     int64
	Missing bool
}

// Check compares the entries from number from on with what was sealed of them, and names each
// that differs. After one that differs it goes on from the value that was sealed, so that the
// others are judged for themselves.
func Check(before Link, from int64, links []byte, entries []Entry) ([]Wrong, error) {
	there := make(map[int64]Entry, len(entries))
	for _, e := range entries {
		there[e.Seq] = e
	}
	var out []Wrong
	for i := 0; i+Size <= len(links); i += Size {
		seq := from + int64(i/Size)
		sealed := Link(links[i : i+Size])
		e, ok := there[seq]
		if !ok {
			out = append(out, Wrong{Seq: seq, Missing: true})
			before = sealed
			continue
		}
		got, err := Next(before, e)
		if err != nil {
			return nil, err
		}
		if got != sealed {
			out = append(out, Wrong{Seq: seq})
		}
		before = sealed
	}
	return out, nil
}
