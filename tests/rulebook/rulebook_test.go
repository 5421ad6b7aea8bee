// Package rulebook runs the same calls through the rule book natively and in WebAssembly:
// the phone's answers are the server's, byte for byte.
package rulebook

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"longpoint/internal/demo"
	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
	"longpoint/internal/length"
	"longpoint/internal/wire"
	"longpoint/internal/words"
)

var build = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "rulebook")
	if err != nil {
		return "", err
	}
	out := filepath.Join(dir, "rulebook.wasm")
	if said, err := exec.Command("go", "run", "longpoint/cmd/rulebook/pack", out).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, said)
	}
	return out, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if out, err := build(); err == nil {
		_ = os.RemoveAll(filepath.Dir(out)) // a scratch folder that is left behind harms nothing
	}
	os.Exit(code)
}

// node runs run.mjs on the built rule book. Node comes with the web app's tools.
func node(t *testing.T, args ...string) []byte {
	t.Helper()
	file, err := build()
	if err != nil {
		t.Fatal(err)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	exe := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js")
	cmd := exec.Command("node", append([]string{"run.mjs", exe, file}, args...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v", err)
	}
	return out
}

// limit is what the compressed file has to stay under.
const limit = 700_000

func TestCompressedSize(t *testing.T) {
	t.Parallel()
	size, err := strconv.Atoi(strings.TrimSpace(string(node(t, "--size"))))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("rulebook.wasm is %d bytes after brotli 11; the limit is %d", size, limit)
	if size >= limit {
		t.Errorf("rulebook.wasm is %d bytes after brotli 11, want under %d", size, limit)
	}
}

// calls collects calls and answers them natively as it goes.
type calls struct {
	t      *testing.T
	book   *wire.Book
	sent   [][2]string
	native []string
}

func (c *calls) add(name string, in any) string {
	text, err := json.Marshal(in)
	if err != nil {
		c.t.Fatal(err)
	}
	return c.raw(name, string(text))
}

func (c *calls) raw(name, text string) string {
	answer := c.book.Call(name, text)
	c.sent = append(c.sent, [2]string{name, text})
	c.native = append(c.native, answer)
	return answer
}

// TestPhoneAnswersAsTheServer compares lengths read and printed, every decision and view of
// the demo house at every step, and what a caller gets wrong.
func TestPhoneAnswersAsTheServer(t *testing.T) {
	t.Parallel()
	c := &calls{t: t, book: wire.NewBook()}
	for _, language := range words.Languages() { // the phone's has none linked in
		c.add("words", map[string]any{"language": language, "text": words.Text(language)})
	}
	c.lengths()
	c.house()
	c.runs()
	c.mistakes()
	c.wordless()
	list, err := json.Marshal(c.sent)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "calls.json")
	if err := os.WriteFile(file, list, 0o600); err != nil {
		t.Fatal(err)
	}
	var phone struct {
		Version string
		Answers []string
	}
	if err := json.Unmarshal(node(t, file), &phone); err != nil {
		t.Fatal(err)
	}
	if phone.Version != joblog.RuleBook {
		t.Errorf("the phone's rule book is %q, want %q", phone.Version, joblog.RuleBook)
	}
	if len(phone.Answers) != len(c.native) {
		t.Fatalf("got %d answers to %d calls", len(phone.Answers), len(c.native))
	}
	wrong := 0
	for i, got := range phone.Answers {
		if want := c.native[i]; got != want {
			if wrong++; wrong <= 5 {
				t.Errorf("%s %.300s\ngot  %.2000s\nwant %.2000s", c.sent[i][0], c.sent[i][1], got, want)
			}
		}
	}
	t.Logf("%d calls, %d different", len(c.native), wrong)
}

// lengths reads and prints each notation, and every 32nd and half millimeter up to a door's
// height, both ways off the mark.
func (c *calls) lengths() {
	for _, text := range []string{"79 5/8", "79 5/8 +", "79 5/8 -", "79-5/8", "79.625", "79,625", "6' 7 5/8\"", "6ft 7in", "2018", "2018 mm", "201.8 cm", "2.018 m", "5/8", "+5/8",
		"-1/16", "1/3", "79 9/8", "79 5/7", "", " ", "seventy nine and five eighths", "setenta", "79 ⅝", "79 5⁄8 heavy", "strong 32", "100'", "100' 1", "1e9", "0", "-0", "½", "\u202e12", "12\x00", "9999999999999999999999"} {
		for _, unit := range []length.Unit{length.Inches, length.Millimeters} {
			for _, signed := range []bool{false, true} {
				for _, language := range []string{"en", "es"} {
					c.add("parse_length", map[string]any{"text": text, "unit": unit, "step": length.Sixteenth, "signed": signed, "language": language})
				}
			}
		}
	}
	for l := -2 * length.Inch; l < 81*length.Inch; l += length.ThirtySecond + 1 {
		c.add("print_length", map[string]any{"nm": l, "unit": length.Inches, "step": length.Sixteenth})
	}
	for l := length.Length(0); l < 2100*length.Millimeter; l += 777_777 {
		c.add("print_length", map[string]any{"nm": l, "unit": length.Millimeters, "step": length.Millimeter / 2})
	}
}

func (c *calls) house() {
	now := time.Date(2026, 3, 12, 9, 0, 0, 0, time.UTC)
	n := 0
	id := func() string { n++; return fmt.Sprintf("018f0000-0000-7000-8000-%012d", n) }
	ids, roles := map[string]string{}, map[string]joblog.Role{}
	for _, p := range demo.Crew() {
		ids[p.SignIn], roles[p.SignIn] = id(), p.Role
	}
	inches := map[string]any{"language": "en", "unit": "in", "step": length.Sixteenth, "now": now}
	millimeters := map[string]any{"language": "es", "unit": "mm", "step": length.Millimeter, "now": now}
	c.add("open", map[string]any{"as": "job"})
	for _, step := range demo.Scenario(now, ids, id) {
		answer := c.add("decide", map[string]any{"as": "job", "command": step.Command, "actor": map[string]any{"person_id": ids[step.By], "role": roles[step.By]},
			"did_at": step.At, "now": step.At, "keep": true, "reader": inches})
		var decided struct{ Entries json.RawMessage }
		if err := json.Unmarshal([]byte(answer), &decided); err != nil {
			c.t.Fatal(err)
		}
		c.raw("view_entries", `{"reader":{"language":"es","unit":"in"},"entries":`+string(decided.Entries)+`}`)
		if step.Command.ItemID != "" {
			c.add("view_item", map[string]any{"as": "job", "item": step.Command.ItemID, "reader": inches})
			c.add("view_item", map[string]any{"as": "job", "item": step.Command.ItemID, "reader": millimeters, "company": map[string]int64{"coats": 3}})
		}
	}
	c.add("view_job", map[string]any{"as": "job", "reader": inches})
	state := c.raw("state", `{"as":"job"}`)
	c.raw("open", strings.Replace(state, `{"ok":true,`, `{"as":"kept",`, 1))
	c.add("copy", map[string]any{"as": "copy", "from": "kept"})
	c.add("view_job", map[string]any{"as": "copy", "reader": millimeters})
}

// runs views base, shoe and crown with their compound cuts, where angles are floating point.
func (c *calls) runs() {
	log, err := bigjob.Log(9, 3)
	if err != nil {
		c.t.Fatal(err)
	}
	c.add("open", map[string]any{"as": "rooms"})
	c.add("apply", map[string]any{"as": "rooms", "entries": log})
	for _, unit := range []length.Unit{length.Inches, length.Millimeters} {
		reader := map[string]any{"unit": unit, "now": bigjob.Now, "language": map[length.Unit]string{length.Inches: "en", length.Millimeters: "es"}[unit]}
		for _, e := range log {
			if e.Command.AddItem != nil {
				c.add("view_item", map[string]any{"as": "rooms", "item": e.Command.ItemID, "reader": reader})
			}
		}
		c.add("view_job", map[string]any{"as": "rooms", "reader": reader})
	}
}

// wordless hands over catalogs that are none, then looks whether the good one still stands.
func (c *calls) wordless() {
	for _, text := range []string{"no key", "a = b\na = c", "f.sentence = @nothing", "f.color = red"} {
		c.add("words", map[string]any{"language": "es", "text": text})
	}
	c.add("words", map[string]any{"text": "a = b"})
	c.add("parse_length", map[string]any{"text": "9/8", "unit": "in", "language": "es"})
}

func (c *calls) mistakes() {
	for _, in := range []string{"", "{", "null", "[]", `{"as":5}`, `{"as":"nobody"}`, `{"as":"job","entries":[{"seq":999999}]}`, `{"as":"job","item":"none"}`, `{"as":"job","now":"noon"}`, `{"as":"\ud800 é \u0000"}`} {
		for _, name := range []string{"words", "open", "copy", "state", "apply", "decide", "view_item", "view_job", "view_entries", "parse_length", "print_length", "nothing of the kind", "close"} {
			c.raw(name, in)
		}
	}
}
