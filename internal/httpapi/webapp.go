package httpapi

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"longpoint/internal/fault"
)

// screens are the paths that the web app draws itself: a reload or a link there gets the
// page. Anything else that is no file is not there, so that a wrong address reads as one.
// The first that fits counts.
var screens = []string{"/bench", "/board/crew", "/board", "/saw", "/walk", "/join", "/you"}

// webApp serves the built web app from memory.
type webApp struct {
	files map[string]*file
}

// file is one file of the web app, with the encodings it comes in.
type file struct {
	kind   string
	cache  string
	tag    string
	plain  []byte
	brotli []byte // nil unless the build made it
	gzip   func() []byte
}

// newApp reads the files of a build. name.br and name.gz beside a file are that file
// compressed by the build; what text has no .gz is compressed when it is first asked for.
func newApp(build fs.FS) *webApp {
	a := &webApp{files: map[string]*file{}}
	_ = fs.WalkDir(build, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(path.Base(name), ".") {
			return nil // what cannot be read is not served
		}
		if ext := path.Ext(name); ext == ".br" || ext == ".gz" {
			return nil
		}
		if f := readFile(build, name); f != nil {
			a.files["/"+name] = f
		}
		return nil
	})
	return a
}

func readFile(build fs.FS, name string) *file {
	plain, err := fs.ReadFile(build, name)
	if err != nil {
		return nil
	}
	sum := sha256.Sum256(plain)
	f := &file{plain: plain, tag: base64.RawURLEncoding.EncodeToString(sum[:12]), cache: "no-cache"}
	kind, text := kindOf(name)
	f.kind = kind
	if strings.HasPrefix(name, "assets/") { // their names hold a hash of what is in them
		f.cache = "public, max-age=31536000, immutable"
	}
	if b, err := fs.ReadFile(build, name+".br"); err == nil {
		f.brotli = b
	}
	f.gzip = func() []byte { return nil }
	if b, err := fs.ReadFile(build, name+".gz"); err == nil {
		f.gzip = func() []byte { return b }
	} else if text && len(plain) > 1024 { // less fits one packet as it is
		f.gzip = sync.OnceValue(func() []byte { return compress(plain) })
	}
	return f
}

func compress(plain []byte) []byte {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write(plain); err != nil {
		return nil
	}
	if err := w.Close(); err != nil {
		return nil
	}
	return b.Bytes()
}

// kinds are the media types by ending, whatever the machine's own table says; the second
// is whether compressing helps.
var kinds = map[string]struct {
	kind string
	text bool
}{
	".html":        {"text/html; charset=utf-8", true},
	".js":          {"text/javascript; charset=utf-8", true},
	".mjs":         {"text/javascript; charset=utf-8", true},
	".css":         {"text/css; charset=utf-8", true},
	".json":        {"application/json", true},
	".webmanifest": {"application/manifest+json", true},
	".svg":         {"image/svg+xml", true},
	".wasm":        {"application/wasm", true},
	".txt":         {"text/plain; charset=utf-8", true},
	".ico":         {"image/x-icon", true},
	".png":         {"image/png", false},
	".jpg":         {"image/jpeg", false},
	".webp":        {"image/webp", false},
	".woff2":       {"font/woff2", false},
}

func kindOf(name string) (kind string, text bool) {
	k, ok := kinds[path.Ext(name)]
	if !ok {
		return "application/octet-stream", false
	}
	return k.kind, k.text
}

func (a *webApp) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	f := a.find(r.URL.Path)
	if f == nil {
		writeProblem(w, a.missing(r.URL.Path))
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.kind)
	h.Set("Cache-Control", f.cache)
	h.Add("Vary", "Accept-Encoding")
	body, tag := f.plain, f.tag
	if b := f.brotli; b != nil && accepts(r, "br") {
		body, tag = b, tag+"-br"
		h.Set("Content-Encoding", "br")
	} else if accepts(r, "gzip") {
		if b := f.gzip(); b != nil {
			body, tag = b, tag+"-gz"
			h.Set("Content-Encoding", "gzip")
		}
	}
	h.Set("ETag", `"`+tag+`"`)
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(fileTime))
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(body))
}

func (a *webApp) find(at string) *file {
	if strings.HasPrefix(at, "/api/") {
		return nil
	}
	if f := a.files[at]; f != nil {
		return f
	}
	if at == "/" {
		return a.files["/index.html"]
	}
	for _, s := range screens {
		if at == s || strings.HasPrefix(at, s+"/") {
			// A page of its own names what this screen begins with; it is the same app.
			if own := a.files[s+".html"]; own != nil {
				return own
			}
			return a.files["/index.html"]
		}
	}
	return nil
}

func (a *webApp) missing(at string) *Problem {
	if at == "/" {
		return newProblem(http.StatusNotFound, fault.NotFound, "The web app is not part of this build; the API is at "+prefix+".")
	}
	return errNoSuchPlace
}

// accepts reports whether the client takes an encoding; one it gives no weight is refused.
func accepts(r *http.Request, encoding string) bool {
	for _, part := range strings.Split(strings.Join(r.Header.Values("Accept-Encoding"), ","), ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.TrimSpace(name) != encoding {
			continue
		}
		q := strings.TrimPrefix(strings.ReplaceAll(weight, " ", ""), "q=")
		return q == "" || strings.Trim(q, "0.") != ""
	}
	return false
}
