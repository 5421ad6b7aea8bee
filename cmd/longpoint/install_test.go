package main

import (
	"context"
	"maps"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/internal/pglocal"
	"longpoint/internal/testport"
)

// TestTheInstallNotes does what deploy/README.md has an administrator do on Debian, as it is written there: the lines for
// PostgreSQL, the settings' file, the units' own command lines, the first company, and the doctor at the end. Users,
// folders, systemd and the proxy are left out.
func TestTheInstallNotes(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	notes := readFile(t, "../../deploy/README.md")
	held, err := pglocal.HoldTempDir("", "lp-install-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = held.Release() })
	port := testport.Free(t)
	pg, err := pglocal.Start(ctx, pglocal.Config{DataDir: filepath.Join(held.Path, "data"), Fsync: true, Port: port})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = pg.Stop(context.Background()) })
	as := func(user, script string) {
		t.Helper()
		cmd := exec.Command("bash", "-euo", "pipefail", "-c", script)
		cmd.Env = append(os.Environ(), "PGHOST="+pg.SocketDir(), "PGPORT="+strconv.Itoa(port), "PGUSER="+user, "PGDATABASE=postgres")
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v: %s", script, err, out)
		}
	}
	// As on Debian the administrator is postgres; our test server's has the name that the notes give the owner.
	as(pglocal.Superuser, `psql -c 'create role postgres superuser login'`)
	as("postgres", `psql -c 'alter role `+pglocal.Superuser+` rename to first_of_all'`)
	lines := regexp.MustCompile(`(?m)^su postgres -c .*$`).FindAllString(notes, -1)
	if len(lines) != 2 {
		t.Fatalf("lines of the notes for PostgreSQL: %q, want two", lines)
	}
	as("postgres", `su() { bash -c "$3"; }`+"\n"+strings.Join(lines, "\n"))

	// The settings are the file's and the units', with another port and folders of the test's own.
	env := map[string]string{}
	keep := func(assignments ...string) {
		for _, a := range assignments {
			if name, value, ok := strings.Cut(a, "="); ok {
				env[name] = strings.NewReplacer(":5432/", ":"+strconv.Itoa(port)+"/", "127.0.0.1:8080", "127.0.0.1:"+strconv.Itoa(testport.Free(t)),
					"/var/", held.Path+"/var/").Replace(value)
			}
		}
	}
	for line := range strings.Lines(readFile(t, "../../deploy/systemd/environment")) {
		if !strings.HasPrefix(line, "#") {
			keep(strings.TrimSpace(line))
		}
	}
	unit := func(name string) (args []string) {
		t.Helper()
		for line := range strings.Lines(readFile(t, "../../deploy/systemd/"+name)) {
			what, value, _ := strings.Cut(strings.TrimSpace(line), "=")
			switch what {
			case "Environment":
				keep(strings.Fields(value)...)
			case "ExecStart":
				if args = strings.Fields(value); args[0] != "/usr/local/bin/longpoint" || !strings.Contains(notes, args[0]) {
					t.Errorf("%s runs %s, which the notes do not put there", name, args[0])
				}
			}
		}
		return args[1:]
	}
	serving, backup := unit("longpoint.service"), unit("longpoint-backup.service")
	web := t.TempDir() // the test's program has no app built in
	if err := os.WriteFile(filepath.Join(web, "index.html"), []byte("<!doctype html>"), 0o600); err != nil {
		t.Fatal(err)
	}
	env["LONGPOINT_WEB_DIR"] = web
	for _, dir := range []string{env["LONGPOINT_PHOTO_DIR"], env["LONGPOINT_BACKUP_DIR"]} {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			t.Fatal(err)
		}
	}

	running, stop := context.WithCancel(ctx)
	log := &watched{ready: make(chan string, 1), after: `"msg":"serving","addr":"`}
	done := make(chan int, 1)
	go func() {
		done <- run(running, serving, system{in: strings.NewReader(""), out: log, err: log, env: func(k string) string { return env[k] }})
	}()
	select {
	case <-log.ready:
	case code := <-done:
		t.Fatalf("longpoint %s: ended with %d, %s", serving, code, log.text())
	case <-time.After(2 * time.Minute):
		t.Fatalf("longpoint %s: not ready after two minutes", serving)
	}
	const passphrase = "seven dusty sawhorses"
	for _, c := range []struct {
		in   string
		args []string
		says string
	}{
		{passphrase, []string{"account", "create", "--company", "Plumb & Level", "--name", "Ruth Ames", "--sign-in", "ruth"}, "signs in as ruth"},
		{"", backup, ""},
		{"", []string{"doctor", "--health"}, ""},
		{"", []string{"doctor"}, "ok "},
	} {
		if got := longpoint(ctx, maps.Clone(env), c.in, c.args...); got.code != exitDone || !strings.Contains(got.out, c.says) {
			t.Errorf("longpoint %s: got %d, %s%s", c.args, got.code, got.out, got.err)
		}
	}
	transport := &http.Transport{}
	defer transport.CloseIdleConnections()
	answer, err := (&http.Client{Transport: transport}).Post("http://"+env["LONGPOINT_ADDR"]+"/api/v1/session", "application/json",
		strings.NewReader(`{"sign_in":"ruth","passphrase":"`+passphrase+`"}`))
	if err != nil {
		t.Fatal(err)
	}
	if _ = answer.Body.Close(); answer.StatusCode != http.StatusOK {
		t.Errorf("signing in: %s", answer.Status)
	}
	stop()
	if code := <-done; code != exitDone {
		t.Errorf("stopped with %d, want 0", code)
	}
	if kept, err := os.ReadDir(env["LONGPOINT_BACKUP_DIR"]); err != nil || !slices.ContainsFunc(kept, os.DirEntry.IsDir) {
		t.Errorf("backups: %v, %v, want one", kept, err)
	}
}
