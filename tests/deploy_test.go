package tests

import (
	"crypto/tls"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/testport"
)

// need finds a program that deploy/need.sh installs.
func need(t *testing.T, program string) string {
	t.Helper()
	at, err := exec.LookPath(program)
	if err != nil {
		t.Fatalf("%s is not installed: deploy/need.sh all", program)
	}
	return at
}

var exposure = regexp.MustCompile(`Overall exposure level for [^:]*: ([0-9.]+)`)

// TestTheUnitsAreHardened has systemd itself read the units and say how much each may do: 10 is everything, and up to 2.5
// it says "OK". Where systemd is not there this is not tried.
func TestTheUnitsAreHardened(t *testing.T) {
	t.Parallel()
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("SKIPPED: systemd is not on this machine")
	}
	dir := t.TempDir()
	all, err := filepath.Glob("../deploy/systemd/*.*")
	if err != nil || len(all) != 3 {
		t.Fatalf("units: %q, %v", all, err)
	}
	args := []string{"verify", "--man=no"}
	for _, at := range all {
		b, err := os.ReadFile(at)
		if err != nil {
			t.Fatal(err)
		}
		// The program need not be installed here.
		text := strings.ReplaceAll(string(b), "/usr/local/bin/longpoint", "/bin/true")
		to := filepath.Join(dir, filepath.Base(at))
		if err := os.WriteFile(to, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, to)
	}
	if out, err := exec.Command(analyze, args...).CombinedOutput(); err != nil {
		t.Errorf("systemd-analyze verify: %v\n%s", err, out)
	}
	for _, unit := range []string{"longpoint.service", "longpoint-backup.service"} {
		out, err := exec.Command(analyze, "security", "--offline=true", filepath.Join(dir, unit)).CombinedOutput()
		m := exposure.FindSubmatch(out)
		if m == nil {
			t.Errorf("%s: no exposure level (%v): %s", unit, err, out)
			continue
		}
		if level, err := strconv.ParseFloat(string(m[1]), 64); err != nil || level > 2 {
			t.Errorf("%s: exposure %s, want at most 2", unit, m[1])
		}
	}
}

// TestTheComposeFilesAreWhole has the compose tool read both with the passwords set, and refuse them without.
func TestTheComposeFilesAreWhole(t *testing.T) {
	t.Parallel()
	tool := need(t, "docker-compose")
	for _, file := range []string{"docker-compose.yml", "deploy/compose.nodes.yml"} {
		run := func(env ...string) (string, error) {
			cmd := exec.Command(tool, "--project-directory", ".", "--file", file, "config")
			cmd.Dir = ".."
			cmd.Env = append([]string{"PATH=" + os.Getenv("PATH"), "HOME=" + t.TempDir()}, env...)
			out, err := cmd.CombinedOutput()
			return string(out), err
		}
		out, err := run("LONGPOINT_OWNER_PASSWORD=a", "LONGPOINT_APP_PASSWORD=b", "LONGPOINT_STANDBY_PASSWORD=c")
		if err != nil || strings.Count(out, "read_only: true") < 2 || !strings.Contains(out, "no-new-privileges") {
			t.Errorf("%s: %v\n%s", file, err, out)
		}
		if out, err := run(); err == nil {
			t.Errorf("%s without passwords: want it refused, got\n%s", file, out)
		}
	}
}

// TestTheProxy runs the proxy as deploy/ configures it, with a certificate of its own making, before two nodes that are
// stand-ins: it answers over TLS, sends plain HTTP there, tells nodes who asked, spreads requests, passes over a node
// that is not ready, and lets a stream through as it comes.
func TestTheProxy(t *testing.T) {
	t.Parallel()
	program := need(t, "caddy")
	var nodes []*httptest.Server
	ready := make([]chan struct{}, 2) // closed: not ready
	for i := range 2 {
		ready[i] = make(chan struct{})
		nodes = append(nodes, httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			select {
			case <-ready[i]:
				w.WriteHeader(http.StatusServiceUnavailable)
				return
			default:
			}
			w.Header().Set("X-Node", strconv.Itoa(i))
			w.Header().Set("X-Saw", r.Header.Get("X-Forwarded-Proto")+" "+r.Header.Get("X-Forwarded-For"))
			if strings.HasSuffix(r.URL.Path, "/events") {
				w.Header().Set("Content-Type", "text/event-stream")
				_, _ = fmt.Fprint(w, "data: 1\n\n")
				_ = http.NewResponseController(w).Flush()
				<-r.Context().Done()
			}
		})))
		t.Cleanup(nodes[i].Close)
	}
	dir := t.TempDir()
	config, err := os.ReadFile("../deploy/proxy/Caddyfile")
	if err != nil {
		t.Fatal(err)
	}
	plain, secure := testport.Free(t), testport.Free(t)
	// Other ports, and no certificate put among this machine's own.
	text := strings.Replace(string(config), "admin off", fmt.Sprintf("admin off\n\thttp_port %d\n\thttps_port %d\n\tskip_install_trust", plain, secure), 1)
	at := filepath.Join(dir, "Caddyfile")
	if err := os.WriteFile(at, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	log, err := os.Create(filepath.Join(dir, "log"))
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, "run", "--adapter", "caddyfile", "--config", at)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "XDG_DATA_HOME=" + dir, "XDG_CONFIG_HOME=" + dir, "LONGPOINT_SITE=localhost",
		"LONGPOINT_NODES=" + nodes[0].Listener.Addr().String() + " " + nodes[1].Listener.Addr().String()}
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	transport := &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, ServerName: "localhost"}} // its own authority is nobody's
	t.Cleanup(func() {
		transport.CloseIdleConnections()
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		_ = log.Close()
	})
	client := &http.Client{Transport: transport, Timeout: 30 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	base := fmt.Sprintf("https://localhost:%d", secure)
	limit := time.After(time.Minute)
	for up := false; !up; {
		if a, err := client.Get(base + "/"); err == nil {
			up = a.StatusCode == http.StatusOK
			_ = a.Body.Close()
		}
		select {
		case <-limit:
			b, _ := os.ReadFile(log.Name())
			t.Fatalf("the proxy does not answer:\n%s", b[max(0, len(b)-3000):])
		case <-time.After(100 * time.Millisecond):
		}
	}
	ask := func(path string) *http.Response {
		t.Helper()
		r, err := http.NewRequest(http.MethodGet, base+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("X-Forwarded-For", "203.0.113.9") // what a client says of itself counts for nothing
		a, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	seen := map[string]int{}
	for range 8 {
		a := ask("/api/v1/session")
		_ = a.Body.Close()
		seen[a.Header.Get("X-Node")]++
		if saw := a.Header.Get("X-Saw"); !strings.HasPrefix(saw, "https ") || strings.Contains(saw, "203.0.113.9") {
			t.Errorf("the node saw %q, want https and the client's own address", saw)
		}
	}
	if seen["0"] == 0 || seen["1"] == 0 {
		t.Errorf("requests by node: %v, want some at each", seen)
	}
	a := ask("/api/v1/jobs/x/events")
	first := make([]byte, 9)
	if _, err := a.Body.Read(first); err != nil || string(first) != "data: 1\n\n" {
		t.Errorf("a stream: %q, %v, want its first event at once", first, err)
	}
	_ = a.Body.Close()
	close(ready[0])
	for limit := time.Now().Add(30 * time.Second); ; { // the next question about its health
		good := 0
		for range 6 {
			a := ask("/")
			_ = a.Body.Close()
			if a.StatusCode == http.StatusOK && a.Header.Get("X-Node") == "1" {
				good++
			}
		}
		if good == 6 {
			break
		}
		if time.Now().After(limit) {
			t.Fatal("with one node not ready: want the other to answer everything")
		}
	}
	redirect, err := client.Get(fmt.Sprintf("http://localhost:%d/bench", plain))
	if err != nil {
		t.Fatal(err)
	}
	_ = redirect.Body.Close()
	if to := redirect.Header.Get("Location"); redirect.StatusCode/100 != 3 || !strings.HasPrefix(to, "https://localhost") {
		t.Errorf("plain HTTP: %s to %q, want it sent to https", redirect.Status, to)
	}
}
