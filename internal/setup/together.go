// Package setup sets a job up from what is there already: a schedule, another room, what a
// company has put by. Each of these makes many commands that are taken together or not at all.
// It is pure, and the server's alone: a phone does not set jobs up.
package setup

import (
	"crypto/sha256"
	"time"

	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
)

// Most is how many commands are taken together.
const Most = 4000

// Refusal is a command of many that the rules refuse, by its place among them.
type Refusal struct {
	At       int
	Findings []finding.Finding
}

// Together decides commands one after another, each on what those before it made of the job,
// and folds them into st. A refused one is passed over, so that all are found at once; then
// none of the entries may be kept. Only what sets a job up is decided so: a person's work
// comes from the person, one thing at a time.
func Together(st *joblog.State, company houserules.Set, cs []joblog.Command, by joblog.Actor, didAt, now time.Time) ([]joblog.Entry, []Refusal) {
	var (
		entries []joblog.Entry
		refused []Refusal
	)
	for i, c := range cs {
		if !setsUp(c.Kind) {
			refused = append(refused, Refusal{i, []finding.Finding{finding.New("command_incomplete", finding.Stop)}})
			continue
		}
		d := joblog.Decide(st.Scope(company, c), c, by, didAt, now)
		if d.Refused {
			refused = append(refused, Refusal{i, d.Findings})
			continue
		}
		for _, e := range d.Entries {
			e.Seq = st.Seq + 1
			st.Apply(e)
			entries = append(entries, e)
		}
	}
	return entries, refused
}

func setsUp(k joblog.Kind) bool {
	switch k {
	case joblog.AddRoomKind, joblog.AddItemKind, joblog.SetItemKind, joblog.SetWallsKind, joblog.SetRulesKind, joblog.SetClimateKind, joblog.NoteKind:
		return true
	}
	return false
}

// Mint gives the id of a thing by the id of the whole and what the thing is: the same request
// sent again names the same things, so nothing is there twice. It is a UUID of version 8
// (RFC 9562, 5.8: the maker's own): the time of the whole's UUIDv7 in front, so that ids made
// together lie together in an index, and a hash behind.
func Mint(whole string) func(what string) string {
	return func(what string) string {
		sum := sha256.Sum256([]byte(whole + "\n" + what))
		const digits = "0123456789abcdef"
		out := []byte(whole[:min(13, len(whole))] + "-8000-8000-000000000000")
		if len(out) != 36 {
			out = []byte("00000000-0000-8000-8000-000000000000")
		}
		put := func(at, from, n int) {
			for i := range n {
				nibble := sum[(from+i)/2] >> (4 * ((from + i) % 2)) & 15
				out[at+i] = digits[nibble]
			}
		}
		put(15, 0, 3)
		put(20, 3, 3)
		put(24, 6, 12)
		return string(out)
	}
}

// maker puts commands together.
type maker struct {
	job  string
	mint func(string) string
	out  []joblog.Command
}

func (m *maker) add(c joblog.Command) {
	c.ID, c.Version, c.JobID = m.mint("command "+number(len(m.out))), joblog.CommandVersion, m.job
	m.out = append(m.out, c)
}

func number(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return number(n/10) + number(n%10)
}
