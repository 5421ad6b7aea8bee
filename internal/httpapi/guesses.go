package httpapi

import (
	"context"
	"net/http"
	"time"

	"github.com/go-chi/chi/v5/middleware"
	"github.com/go-chi/httprate"
)

// guessWindow is the time that wrong guesses are counted in.
const guessWindow = time.Minute

// namesAnAddress is how many times the bound for one name an address may guess in all: a
// crew behind one router has several people with dusty thumbs.
const namesAnAddress = 6

// guesses counts wrong passphrases, for one name from one address and for an address. One
// name from everywhere is not counted: anybody could then lock a person out. The counts are
// this process's own; behind a proxy with n nodes a guesser has n times as many.
type guesses struct {
	byName, byAddress *httprate.RateLimiter
}

func newGuesses(most int) *guesses {
	none := httprate.WithResponseHeaders(httprate.ResponseHeaders{})
	return &guesses{
		byName:    httprate.NewRateLimiter(most, guessWindow, none),
		byAddress: httprate.NewRateLimiter(most*namesAnAddress, guessWindow, none),
	}
}

// begin counts a guess before it is checked, so that many at once cannot slip by, and says
// whether it may be made, else how long to wait.
func (g *guesses) begin(address, name string) (wait time.Duration, ok bool) {
	if g.over(g.byAddress, address) || g.over(g.byName, address+" "+name) {
		return guessWindow, false
	}
	return 0, true
}

// over counts the key unless it is at its limit. The limiter wants a request and an answer
// for headers and settings that are not used here.
func (g *guesses) over(l *httprate.RateLimiter, key string) bool {
	r := &http.Request{}
	return l.OnLimit(discardAnswer{}, r.WithContext(context.Background()), key)
}

// forgive takes the count back: it was no wrong guess.
func (g *guesses) forgive(address, name string) {
	for l, key := range map[*httprate.RateLimiter]string{g.byAddress: address, g.byName: address + " " + name} {
		r := &http.Request{}
		l.OnLimit(discardAnswer{}, r.WithContext(httprate.WithIncrement(context.Background(), -1)), key)
	}
}

type discardAnswer struct{}

func (discardAnswer) Header() http.Header         { return http.Header{} }
func (discardAnswer) Write(b []byte) (int, error) { return len(b), nil }
func (discardAnswer) WriteHeader(int)             {}

// locate finds the client's address, in the form that guesses are counted by. The one proxy
// in front adds the address it sees at the end of X-Forwarded-For; what stands before that
// is the client's word and is not read.
func (s *Server) locate(next http.Handler) http.Handler {
	inner := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		at := httprate.CanonicalizeIP(middleware.GetClientIP(r.Context()))
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), clientAddress, at)))
	})
	if s.cfg.TrustProxy {
		return middleware.ClientIPFromXFFTrustedProxies(1)(inner)
	}
	return middleware.ClientIPFromRemoteAddr(inner)
}
