package store_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"longpoint/internal/testport"
)

const (
	// buildLimit is for compiling the program on a busy machine with a cold cache.
	buildLimit = 8 * time.Minute
	// upLimit is for a first start: initdb, the migrations, the app's own checks.
	upLimit = 4 * time.Minute
	// askEvery is how often the app is asked whether it is there yet.
	askEvery = 500 * time.Millisecond
	// mostRestarts is how often the app may die before it has answered: a database that is
	// not ready is no reason, since the app waits for its health.
	mostRestarts = 3
)

// TestComposeComesUp does what docker-compose.yml says to do: sets two passwords, builds
// the image, brings it up, and asks the app for its health.
func TestComposeComesUp(t *testing.T) {
	needEngine(t)
	t.Parallel()
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(root, "docker-compose.yml")); errors.Is(err, os.ErrNotExist) {
		t.Fatal("docker-compose.yml is not in the repository's root: there is nothing to bring up")
	}
	c := newCompose(t, root, "longpoint-test-"+runName(), "docker-compose.yml")
	c.override(`
services:
  app:
    image: ` + c.image + `
`)
	t.Cleanup(c.down)
	if out, err := c.run(upLimit, "up", "-d", "--no-build"); err != nil {
		t.Fatalf("docker-compose up: %v\n%s", err, out)
	}
	c.wantHealthy()
	c.wantRoles()
	c.wantLocked("app")
	c.wantTLS()
	c.wantBackup("app")
}

// compose is one set-up that is brought up for a test.
type compose struct {
	t       *testing.T
	root    string
	project string
	tool    []string
	image   string
	files   []string
	port    int
	// of the proxy
	httpPort, httpsPort int

	ownerPassword, appPassword, standbyPassword string
	env                                         []string
}

// newCompose makes ready what file, of the repository's root, needs: an image, passwords, ports that are free.
func newCompose(t *testing.T, root, project, file string) *compose {
	t.Helper()
	c := &compose{t: t, root: root, project: project, files: []string{filepath.Join(root, file)}, port: testport.Free(t), httpPort: testport.Free(t), httpsPort: testport.Free(t),
		ownerPassword: rand.Text(), appPassword: rand.Text(), standbyPassword: rand.Text()}
	c.tool = composeTool(t)
	c.image = "longpoint:test-" + runName()
	building.Do(c.buildImage)
	if out, err := c.command(engineLimit, nil, "docker", "image", "inspect", "--format", "{{.Id}}", c.image); err != nil {
		t.Fatalf("the image: %v\n%s", err, out)
	}
	return c
}

// building makes the image once for all tests.
var building sync.Once

// override lays more over the file: the test's own image and ports.
func (c *compose) override(text string) {
	c.t.Helper()
	at := filepath.Join(c.t.TempDir(), "override.yml")
	if err := os.WriteFile(at, []byte(text), 0o600); err != nil {
		c.t.Fatal(err)
	}
	c.files = append(c.files, at)
}

// composeTool finds the stand-alone program, else the docker client's plugin.
func composeTool(t *testing.T) []string {
	t.Helper()
	if path, err := exec.LookPath("docker-compose"); err == nil {
		return []string{path}
	}
	if err := exec.CommandContext(t.Context(), "docker", "compose", "version").Run(); err == nil {
		return []string{"docker", "compose"}
	}
	t.Fatal("neither docker-compose nor the compose plugin of docker is installed (on Debian: apt-get install docker-compose)")
	return nil
}

// buildImage makes the image of deploy/Dockerfile from a program of its own, so that it
// neither needs nor touches bin/, in a folder that holds nothing else.
func (c *compose) buildImage() {
	c.t.Helper()
	build := c.t.TempDir()
	for _, folder := range []string{"photos", "backups"} {
		if err := os.CopyFS(filepath.Join(build, "deploy", folder), os.DirFS(filepath.Join(c.root, "deploy", folder))); err != nil {
			c.t.Fatal(err)
		}
	}
	for _, step := range []struct {
		limit   time.Duration
		env     []string
		command []string
	}{
		{buildLimit, []string{"CGO_ENABLED=0"}, []string{"go", "build", "-trimpath", "-o", filepath.Join(build, "bin", "longpoint"), "./cmd/longpoint"}},
		{upLimit, []string{"DOCKER_BUILDKIT=0"}, []string{"docker", "build", "--quiet", "--tag", c.image, "--file", filepath.Join(c.root, "deploy", "Dockerfile"), build}},
	} {
		if out, err := c.command(step.limit, step.env, step.command...); err != nil {
			c.t.Fatalf("%s: %v\n%s", strings.Join(step.command, " "), err, out)
		}
	}
}

func (c *compose) command(limit time.Duration, env []string, command ...string) (string, error) {
	return c.commandWith(limit, env, "", command...)
}

// commandWith runs a command with text at its input.
func (c *compose) commandWith(limit time.Duration, env []string, input string, command ...string) (string, error) {
	// The cleanup runs after the test's own context has ended.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(c.t.Context()), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, command[0], command[1:]...)
	cmd.Dir = c.root
	cmd.Env = append(os.Environ(), env...)
	cmd.WaitDelay = stopGrace
	cmd.Stdin = strings.NewReader(input)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	return out.String(), err
}

func (c *compose) run(limit time.Duration, args ...string) (string, error) {
	return c.runWith(limit, "", args...)
}

func (c *compose) runWith(limit time.Duration, input string, args ...string) (string, error) {
	env := []string{
		"LONGPOINT_OWNER_PASSWORD=" + c.ownerPassword,
		"LONGPOINT_APP_PASSWORD=" + c.appPassword,
		"LONGPOINT_STANDBY_PASSWORD=" + c.standbyPassword,
		"LONGPOINT_PORT=" + strconv.Itoa(c.port),
		"LONGPOINT_HTTP_PORT=" + strconv.Itoa(c.httpPort),
		"LONGPOINT_HTTPS_PORT=" + strconv.Itoa(c.httpsPort),
		"LONGPOINT_PG_IMAGE=" + image(),
	}
	base := append(append([]string{}, c.tool...), "--project-name", c.project, "--project-directory", c.root)
	for _, file := range c.files {
		base = append(base, "--file", file)
	}
	return c.commandWith(limit, append(env, c.env...), input, append(base, args...)...)
}

func (c *compose) down() {
	if c.t.Failed() {
		logs, _ := c.run(engineLimit, "logs", "--no-color", "--tail", "80")
		c.t.Logf("the containers' logs:\n%s", logs)
	}
	if out, err := c.run(upLimit, "down", "--volumes", "--remove-orphans", "--timeout", "10"); err != nil {
		c.t.Errorf("docker-compose down: %v\n%s", err, out)
	}
}

// wantHealthy asks for /healthz until it answers 200.
func (c *compose) wantHealthy() {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.t.Context(), upLimit)
	defer cancel()
	url := fmt.Sprintf("http://127.0.0.1:%d/healthz", c.port)
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	last := "nothing asked yet"
	for {
		status, body, err := get(ctx, url)
		if err == nil && status == http.StatusOK {
			return
		}
		last = fmt.Sprintf("status %d, body %q, error %v", status, body, err)
		if n := c.restarts(); n > mostRestarts {
			c.t.Fatalf("the app has died and been started again %d times before it answered; last: %s", n, last)
		}
		if ctx.Err() != nil {
			break
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
		}
	}
	c.t.Fatalf("GET %s: want 200 within %v; last: %s", url, upLimit, last)
}

// restarts counts how often the engine has had to start the app again.
func (c *compose) restarts() int {
	c.t.Helper()
	out, err := c.command(engineLimit, nil, "docker", "inspect", "--format", "{{.RestartCount}}", c.id("app"))
	if err != nil {
		return 0
	}
	n, err := strconv.Atoi(strings.TrimSpace(out))
	if err != nil {
		return 0
	}
	return n
}

func get(ctx context.Context, url string) (int, string, error) {
	ctx, cancel := context.WithTimeout(ctx, engineLimit)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return 0, "", err
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, "", err
	}
	defer func() { _ = res.Body.Close() }()
	body, err := io.ReadAll(io.LimitReader(res.Body, 1<<10))
	return res.StatusCode, string(body), err
}

// wantRoles asks the database whether the app signed in as the role that row-level security
// binds, and not as the owner it migrates as.
func (c *compose) wantRoles() {
	c.t.Helper()
	const ask = `select string_agg(distinct usename::text, ' ') from pg_stat_activity where client_addr is not null`
	out, err := c.run(engineLimit, "exec", "-T", "-e", "PGPASSWORD="+c.ownerPassword, "db",
		"psql", "-h", "/var/run/postgresql", "-U", "longpoint_owner", "-d", "longpoint", "-tAc", ask)
	if err != nil {
		c.t.Fatalf("asking the database who is signed in: %v\n%s", err, out)
	}
	if got := strings.TrimSpace(out); got != "longpoint_app" {
		c.t.Errorf("signed in over the network: want longpoint_app alone, got %q", got)
	}
}

// id is a service's container. The engine is asked and not the compose tool, which takes a second to start.
func (c *compose) id(service string) string {
	c.t.Helper()
	id, err := c.command(engineLimit, nil, "docker", "ps", "--quiet", "--filter", "label=com.docker.compose.project="+c.project, "--filter", "label=com.docker.compose.service="+service,
		"--filter", "label=com.docker.compose.oneoff=False")
	if id = strings.TrimSpace(id); err != nil || id == "" {
		c.t.Fatalf("there is no %s: %v", service, err)
	}
	return id
}

// wantLocked wants a service's container as deploy/README.md says: no root, nothing to write on but its volumes, no
// capability, and asking itself for its health.
func (c *compose) wantLocked(service string) {
	c.t.Helper()
	id := c.id(service)
	const ask = `{{.Config.User}} {{.HostConfig.ReadonlyRootfs}} {{.HostConfig.CapDrop}} {{.HostConfig.SecurityOpt}}`
	out, err := c.command(engineLimit, nil, "docker", "inspect", "--format", ask, id)
	if want := "65532:65532 true [ALL] [no-new-privileges:true]"; err != nil || strings.TrimSpace(out) != want {
		c.t.Errorf(service+": got %q (%v), want %q", strings.TrimSpace(out), err, want)
	}
	ctx, cancel := context.WithTimeout(c.t.Context(), upLimit)
	defer cancel()
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	for health := ""; health != "healthy"; {
		select {
		case <-ctx.Done():
			c.t.Fatalf("%s's own health check: got %q, want healthy", service, health)
		case <-tick.C:
			out, _ := c.command(engineLimit, nil, "docker", "inspect", "--format", "{{.State.Health.Status}}", id)
			health = strings.TrimSpace(out)
		}
	}
}

// wantTLS opens the site through the proxy, with the certificate that it made by itself.
func (c *compose) wantTLS() {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.t.Context(), upLimit)
	defer cancel()
	// The certificate is of the proxy's own authority, which nothing outside it knows.
	client := &http.Client{Timeout: engineLimit, Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, ServerName: "localhost"}}} //nolint:gosec // see above
	defer client.CloseIdleConnections()
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	var last error
	for {
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, fmt.Sprintf("https://localhost:%d/readyz", c.httpsPort), nil)
		if err != nil {
			c.t.Fatal(err)
		}
		answer, err := client.Do(r)
		if err == nil {
			_ = answer.Body.Close()
			if answer.StatusCode == http.StatusOK && answer.TLS != nil && answer.TLS.Version >= tls.VersionTLS12 {
				return
			}
			err = fmt.Errorf("%s", answer.Status)
		}
		last = err
		select {
		case <-ctx.Done():
			c.t.Fatalf("through the proxy: %v", last)
		case <-tick.C:
		}
	}
}

// wantBackup makes a backup as deploy/README.md says, tried out, from the empty image.
func (c *compose) wantBackup(service string) {
	c.t.Helper()
	out, err := c.run(upLimit, "run", "--rm", "-T", "--no-deps", service, "backup", "--try")
	if err != nil || !strings.Contains(out, "was restored into a database of its own") {
		c.t.Errorf("a backup: %v\n%s", err, out)
	}
}
