package httpapi_test

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

// spoken sends bytes as they are and reads the first line of what comes back, "" for a connection that was closed.
func spoken(t *testing.T, addr, said string) string {
	t.Helper()
	c, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = c.Close() }()
	_ = c.SetDeadline(time.Now().Add(time.Minute))
	if _, err := io.WriteString(c, said); err != nil {
		return "" // refused while it was still talking
	}
	line, _ := bufio.NewReader(c).ReadString('\n')
	return strings.TrimSpace(line)
}

// What no client of ours sends, byte by byte. The service answers with a refusal or closes, and goes on.
func TestHeadersPathsAndSizesNobodyShouldSend(t *testing.T) {
	t.Parallel()
	b := setup(t)
	addr := b.app.Addr().String()
	get := func(path string) string { return "GET " + path + " HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n" }
	for name, tc := range map[string]struct {
		said string
		want []string // any of these statuses; "" for closed
	}{
		"a header of a megabyte":     {"GET / HTTP/1.1\r\nHost: x\r\nX: " + strings.Repeat("a", 1<<20) + "\r\n\r\n", []string{"431", ""}},
		"ten thousand headers":       {"GET / HTTP/1.1\r\nHost: x\r\n" + strings.Repeat("X-Y: z\r\n", 10_000) + "\r\n", []string{"431", ""}},
		"a path of 100 kilobytes":    {get("/" + strings.Repeat("a", 100<<10)), []string{"431", "414", ""}},
		"up and out of the app":      {get("/../../etc/passwd"), []string{"404", "400", "307", "301"}},
		"up and out, escaped":        {get("/..%2f..%2fetc%2fpasswd"), []string{"404", "400", "307", "301"}},
		"a NUL in the path":          {get("/api/v1/jobs/%00"), []string{"401", "404", "422"}},
		"bytes that are no UTF-8":    {get("/api/v1/jobs/%ff%fe"), []string{"401", "404", "422"}},
		"two lengths":                {"POST /api/v1/session HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n{}", []string{"400"}},
		"a length and chunks":        {"POST /api/v1/session HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nConnection: close\r\nContent-Length: 6\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", []string{"400"}},
		"a length below nothing":     {"POST /api/v1/session HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n", []string{"400"}},
		"no host":                    {"GET / HTTP/1.1\r\n\r\n", []string{"400"}},
		"a line break in a header":   {"GET / HTTP/1.1\r\nHost: x\r\nX: a\x00b\r\n\r\n", []string{"400"}},
		"not HTTP at all":            {"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", []string{"400", ""}},
		"a verb of its own":          {"BREW /api/v1/session HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n", []string{"405"}},
		"five megabytes announced":   {"POST /api/v1/session HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 5242880\r\n\r\n" + strings.Repeat(" ", 64<<10), []string{"413", "400", ""}},
		"another site's name for us": {"GET /healthz HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n", []string{"200"}},
	} {
		t.Run(name, func(t *testing.T) {
			line := spoken(t, addr, tc.said)
			status := ""
			if fields := strings.Fields(line); len(fields) > 1 {
				status = fields[1]
			}
			for _, w := range tc.want {
				if status == w {
					return
				}
			}
			t.Errorf("got %q, want one of %q", line, tc.want)
		})
	}
	b.client().get("/healthz").want(http.StatusOK)
}

// Three hundred connections that send a byte of a header now and then take nothing from a crew at work, and are
// closed when the time for a header is over (10 s, real ones).
func TestSlowHeadersTakeNothingFromOthers(t *testing.T) {
	t.Parallel()
	b := setup(t)
	const many = 300
	var wait sync.WaitGroup
	began := time.Now()
	lived := make([]time.Duration, many)
	for i := range many {
		wait.Go(func() {
			c, err := net.Dial("tcp", b.app.Addr().String())
			if err != nil {
				t.Error(err)
				return
			}
			defer func() { _ = c.Close() }()
			_, _ = io.WriteString(c, "GET / HTTP/1.1\r\nHost: x\r\nX-Slow: a")
			_ = c.SetReadDeadline(time.Now().Add(2 * time.Minute))
			_, _ = io.Copy(io.Discard, c) // ends when the service has had enough
			lived[i] = time.Since(began)
		})
	}
	h := buildHouse(b, b.ours, "Sill Street")
	at := time.Now()
	h.lead.send(h, h.chain()...)
	took := time.Since(at)
	wait.Wait()
	most := time.Duration(0)
	for _, l := range lived {
		most = max(most, l)
	}
	fmt.Printf("%d slow connections: eight readings beside them in %v, the last closed after %v\n", many, took.Round(time.Millisecond), most.Round(time.Second))
	if most > time.Minute {
		t.Errorf("the last slow connection lived %v, want it closed soon after 10 s", most)
	}
}
