package httpapi

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
)

func TestTheWebAppsFiles(t *testing.T) {
	t.Parallel()
	script := strings.Repeat("export const tape = 1;\n", 100)
	app := newApp(fstest.MapFS{
		"index.html":              {Data: []byte("<!doctype html><title>Longpoint</title>")},
		"board.html":              {Data: []byte("<!doctype html><title>Board</title>")},
		"board/crew.html":         {Data: []byte("<!doctype html><title>Crew</title>")},
		"assets/main-1a2b.js":     {Data: []byte(script)},
		"assets/rules-3c.wasm":    {Data: []byte("\x00asm plain")},
		"assets/rules-3c.wasm.br": {Data: []byte("brotli")},
		"assets/rules-3c.wasm.gz": {Data: []byte("gzip")},
		"assets/font.woff2":       {Data: bytes.Repeat([]byte("w"), 4000)},
		".keep":                   {Data: []byte("hidden")},
		"sw.js":                   {Data: []byte("self.x = 1")},
		"manifest.webmanifest":    {Data: []byte("{}")},
		"icons/192.png":           {Data: []byte("\x89PNG")},
	})
	get := func(path, encodings string, header ...string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.Header.Set("Accept-Encoding", encodings)
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		w := httptest.NewRecorder()
		app.ServeHTTP(w, r)
		return w
	}
	const immutable = "public, max-age=31536000, immutable"
	for name, c := range map[string]struct {
		path, accept                   string
		status                         int
		kind, cache, encoding, hasBody string
	}{
		"the page":               {"/", "", 200, "text/html; charset=utf-8", "no-cache", "", "<!doctype"},
		"a screen":               {"/bench", "", 200, "text/html; charset=utf-8", "no-cache", "", "<title>Longpoint"},
		"a screen below one":     {"/bench/jobs/1", "", 200, "text/html; charset=utf-8", "no-cache", "", "<title>Longpoint"},
		"one with its own page":  {"/board", "", 200, "text/html; charset=utf-8", "no-cache", "", "<title>Board"},
		"a screen below that":    {"/board/jobs/1", "", 200, "text/html; charset=utf-8", "no-cache", "", "<title>Board"},
		"the nearer page":        {"/board/crew", "", 200, "text/html; charset=utf-8", "no-cache", "", "<title>Crew"},
		"a word that begins so":  {"/benchmark", "", 404, problemType, "no-store", "", "not_found"},
		"an asset":               {"/assets/main-1a2b.js", "", 200, "text/javascript; charset=utf-8", immutable, "", "export const"},
		"an asset, compressed":   {"/assets/main-1a2b.js", "deflate, gzip", 200, "text/javascript; charset=utf-8", immutable, "gzip", "\x1f\x8b"},
		"WebAssembly":            {"/assets/rules-3c.wasm", "", 200, "application/wasm", immutable, "", "\x00asm"},
		"WebAssembly, brotli":    {"/assets/rules-3c.wasm", "gzip, deflate, br", 200, "application/wasm", immutable, "br", "brotli"},
		"WebAssembly, gzip only": {"/assets/rules-3c.wasm", "gzip, br;q=0", 200, "application/wasm", immutable, "gzip", "gzip"},
		"a font is not squeezed": {"/assets/font.woff2", "gzip, br", 200, "font/woff2", immutable, "", "www"},
		// Asked for again at each visit: a new version must be found, whatever lies between.
		"the service worker": {"/sw.js", "", 200, "text/javascript; charset=utf-8", "no-cache", "", "self.x"},
		"the manifest":       {"/manifest.webmanifest", "", 200, "application/manifest+json", "no-cache", "", "{}"},
		"an icon":            {"/icons/192.png", "", 200, "image/png", "no-cache", "", "\x89PNG"},
		"an asset long gone": {"/assets/main-0000.js", "", 404, problemType, "no-store", "", "not_found"},
		"a hidden file":      {"/.keep", "", 404, problemType, "no-store", "", "not_found"},
		"a way out":          {"/../secret", "", 404, problemType, "no-store", "", "not_found"},
		"the API's own":      {"/api/v1/nope", "", 404, problemType, "no-store", "", "not_found"},
	} {
		w := get(c.path, c.accept)
		got := w.Header()
		if w.Code != c.status || got.Get("Content-Type") != c.kind || got.Get("Cache-Control") != c.cache || got.Get("Content-Encoding") != c.encoding {
			t.Errorf("%s: got %d %s %s %q, want %d %s %s %q", name, w.Code, got.Get("Content-Type"), got.Get("Cache-Control"),
				got.Get("Content-Encoding"), c.status, c.kind, c.cache, c.encoding)
		}
		if !strings.Contains(w.Body.String(), c.hasBody) {
			t.Errorf("%s: body: got %.60q, want %q in it", name, w.Body, c.hasBody)
		}
	}
	zipped, err := gzip.NewReader(get("/assets/main-1a2b.js", "gzip").Body)
	if err != nil {
		t.Fatal(err)
	}
	if back, err := io.ReadAll(zipped); err != nil || string(back) != script {
		t.Errorf("unzipped: got %d bytes (%v), want the %d of the script", len(back), err, len(script))
	}
	tag := get("/assets/rules-3c.wasm", "br").Header().Get("ETag")
	if other := get("/assets/rules-3c.wasm", "").Header().Get("ETag"); tag == "" || tag == other {
		t.Errorf("tags: got %q compressed and %q plain, want two", tag, other)
	}
	if w := get("/assets/rules-3c.wasm", "br", "If-None-Match", tag); w.Code != http.StatusNotModified {
		t.Errorf("asked again with its tag: got %d, want 304", w.Code)
	}
	bare := newApp(fstest.MapFS{})
	w := httptest.NewRecorder()
	bare.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/", nil))
	if w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "not part of this build") {
		t.Errorf("without a build: got %d %s, want 404 that says so", w.Code, w.Body)
	}
}
