package httpapi_test

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// placed is a path of the description for a house and a walkthrough of it; what there is none of gets a new id.
func placed(template string, h house, walk string) string {
	path := strings.NewReplacer("{job}", h.job, "{item}", h.item, "{walk}", walk, "{room}", h.room).Replace(template)
	for strings.Contains(path, "{") {
		before, rest, _ := strings.Cut(path, "{")
		_, after, _ := strings.Cut(rest, "}")
		path = before + newID() + after
	}
	return path
}

// questions lists every path that may be read, with all the parameters of its query.
func questions(t testing.TB, h house, walk string) (out map[string][]string) {
	t.Helper()
	doc, err := description()
	if err != nil {
		t.Fatal(err)
	}
	out = map[string][]string{}
	for template, item := range doc.Paths.Map() {
		if item.Get == nil || strings.HasSuffix(template, "/events") { // a stream has no end
			continue
		}
		for _, p := range item.Get.Parameters {
			if p.Value.In == "query" {
				path := placed(template, h, walk)
				out[path] = append(out[path], p.Value.Name)
			}
		}
	}
	return out
}

// doors lists every operation that takes a JSON body, in order, with its path for a house and a walkthrough of it.
func doors(t testing.TB, h house, walk string) (out []string) {
	t.Helper()
	doc, err := description()
	if err != nil {
		t.Fatal(err)
	}
	for template, item := range doc.Paths.Map() {
		path := placed(template, h, walk)
		for method, op := range item.Operations() {
			if op.RequestBody != nil && op.RequestBody.Value.Content.Get("application/json") != nil {
				out = append(out, method+" "+path)
			}
		}
	}
	slices.Sort(out)
	return out
}

// answered sends a request as it is and wants an answer that is not our mistake.
func (c *client) answered(r *http.Request) (int, []byte) {
	c.t.Helper()
	got, err := c.http.Do(r)
	if err != nil {
		c.t.Fatalf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	defer func() { _ = got.Body.Close() }()
	b, err := io.ReadAll(got.Body)
	if err != nil {
		c.t.Fatalf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	if got.StatusCode >= http.StatusInternalServerError {
		c.t.Fatalf("%s %s: %d %s", r.Method, r.URL.Path, got.StatusCode, b)
	}
	if got.StatusCode >= http.StatusBadRequest && r.Method != http.MethodHead && !bytes.Contains(b, []byte(`"detail":`)) {
		c.t.Fatalf("%s %s: %d without a sentence: %q", r.Method, r.URL.Path, got.StatusCode, b)
	}
	return got.StatusCode, b
}

// FuzzDoors gives every door that takes JSON whatever anybody may send, as a lead who is signed in, and the homeowner's
// doors as a homeowner: it is answered, and never by a mistake of ours.
func FuzzDoors(f *testing.F) {
	b := setup(f)
	h := buildHouse(b, b.ours, "Sill Street")
	link := openWalk(b, h, nil)
	ada, _ := enter(b, secretOf(f, link), "")
	all := doors(f, h, link.WalkID)
	if len(all) < 12 {
		f.Fatalf("doors: got %q, want a dozen", all)
	}
	for i := range all {
		f.Add(uint(i), []byte(`{}`))
		f.Add(uint(i), []byte(`{"sent_at":"2026-01-01T00:00:00Z","commands":[{"id":"\u0000","kind":"\ud800","version":1e308}]}`))
	}
	f.Add(uint(0), []byte(strings.Repeat(`[`, 9_000)))
	f.Add(uint(1), []byte(strings.Repeat(`{"a":`, 5_000)))
	f.Add(uint(2), []byte("\xff\xfe{}"))
	f.Add(uint(3), []byte(`{"sign_in":"a\u0000b","passphrase":"`+strings.Repeat("x", 5_000)+`"}`))
	f.Add(uint(4), encoded(f, h.batch(h.chain()...)))
	f.Fuzz(func(t *testing.T, door uint, body []byte) {
		method, path, _ := strings.Cut(all[int(door%uint(len(all)))], " ")
		if method == http.MethodPost && path == "/api/v1/session" || strings.HasSuffix(path, "/enter") {
			return // guesses are slow by intent; TestWrongGuessesAreThrottled has them
		}
		ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
		defer cancel()
		r, err := http.NewRequestWithContext(ctx, method, b.base+path, bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/json")
		one := *h.lead
		if strings.HasPrefix(path, "/api/v1/walk/") {
			one = *ada.client
			r.Header.Set("Authorization", "Bearer "+ada.key)
		}
		one.t = t
		one.answered(r)
	})
}

// FuzzCursors gives what a request says of where it stands: every parameter of every query, ranges of a file, offsets of
// an upload.
func FuzzCursors(f *testing.F) {
	b := setup(f)
	h := buildHouse(b, b.ours, "Sill Street")
	shot := h.lead.take(h, camera(64, 48))
	asked := questions(f, h, openWalk(b, h, nil).WalkID)
	if len(asked) < 8 {
		f.Fatalf("paths with a query: got %v, want eight at least", asked)
	}
	for _, v := range []string{"0", "-1", "9223372036854775807", "9223372036854775808", "1e3", "0x10", "NaN", "", " 1", "bytes=0-", "bytes=9-1", "bytes=-0",
		"bytes=" + strings.Repeat("0-0,", 500), "\"", "W/\"x\"", "*", "%00", "١"} {
		f.Add(v)
	}
	f.Fuzz(func(t *testing.T, v string) {
		one := *h.lead
		one.t = t
		ask := func(method, path string, header map[string]string) {
			ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
			defer cancel()
			r, err := http.NewRequestWithContext(ctx, method, b.base+path, nil)
			if err != nil {
				t.Fatal(err)
			}
			for k, x := range header {
				r.Header.Set(k, x)
			}
			one.answered(r)
		}
		for path, names := range asked {
			all := url.Values{}
			for _, name := range names {
				all.Set(name, v)
				ask(http.MethodGet, path+"?"+url.Values{name: {v}}.Encode(), nil)
			}
			ask(http.MethodGet, path+"?"+all.Encode(), nil)
		}
		if !sendable(v) {
			return // Go's own client refuses to send it; TestHeadersNobodyShouldSend does it by hand
		}
		ask(http.MethodGet, h.path("/log"), map[string]string{"If-None-Match": v, "Range": v, "Accept-Encoding": v, "Accept-Language": v})
		ask(http.MethodHead, shot.upload(), map[string]string{"Tus-Resumable": v, "Upload-Offset": v})
		ask(http.MethodPatch, shot.upload(), map[string]string{"Tus-Resumable": "1.0.0", "Upload-Offset": v, "Content-Type": "application/offset+octet-stream"})
	})
}

func sendable(v string) bool {
	return utf8.ValidString(v) && !strings.ContainsFunc(v, func(r rune) bool { return r < ' ' || r == 0x7f })
}
