package store_test

import (
	"bufio"
	"context"
	"crypto/tls"
	"fmt"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"longpoint/internal/joblog"
	"longpoint/internal/testport"
	"longpoint/tests/crew"
)

// nodes is deploy/compose.nodes.yml brought up, and people at work through it.
type nodes struct {
	*compose
	direct map[string]string // each node, past the proxy
}

// TestTheNodesComeUp brings up deploy/compose.nodes.yml, two nodes with proxy, pooler, primary and standby, and does to it
// what the file is for: work through either node, a node killed, the primary lost.
func TestTheNodesComeUp(t *testing.T) {
	needEngine(t)
	t.Parallel()
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	n := &nodes{compose: newCompose(t, root, "longpoint-nodes-"+runName(), filepath.Join("deploy", "compose.nodes.yml")), direct: map[string]string{}}
	text := "services:\n  migrate:\n    image: " + n.image + "\n"
	for _, app := range []string{"app1", "app2"} {
		port := testport.Free(t)
		n.direct[app] = fmt.Sprintf("http://127.0.0.1:%d", port)
		text += fmt.Sprintf("  %s:\n    image: %s\n    ports: [\"127.0.0.1:%d:8080\"]\n", app, n.image, port)
	}
	n.override(text)
	t.Cleanup(n.down)
	began := time.Now()
	if out, err := n.run(upLimit, "up", "-d", "--no-build"); err != nil {
		t.Fatalf("docker-compose up: %v\n%s", err, out)
	}
	n.wantTLS()
	for app, base := range n.direct {
		n.wantReady(app, base)
		n.wantLocked(app)
	}
	fmt.Printf("nodes: up in %v\n", time.Since(began).Round(time.Second))
	n.wantBackup("app1")
	if out, err := n.run(upLimit, "run", "--rm", "-T", "--no-deps", "app1", "doctor"); err != nil || !strings.Contains(out, "live") {
		t.Errorf("the doctor: %v\n%s", err, out)
	}
	n.wantPooled()

	people := n.crew(4)
	n.wantHeardByTheOther(people)
	n.wantBothAnswer(people[0])
	n.wantReplayed()
	n.wantANodeMissedByNobody(people)
	n.wantReplayed()
	n.wantTheStandbyTakesOver(people)
	if out, err := n.run(upLimit, "run", "--rm", "-T", "--no-deps", "app1", "rebuild", "--check"); err != nil {
		t.Errorf("rebuild --check: %v\n%s", err, out)
	}
}

// wantReady asks a node whether it is.
func (n *nodes) wantReady(app, base string) {
	n.t.Helper()
	ctx, cancel := context.WithTimeout(n.t.Context(), upLimit)
	defer cancel()
	tick := time.NewTicker(askEvery)
	defer tick.Stop()
	for {
		status, body, err := get(ctx, base+"/readyz")
		if err == nil && status == http.StatusOK {
			return
		}
		select {
		case <-ctx.Done():
			n.t.Fatalf("%s is not ready: %d %q %v", app, status, body, err)
		case <-tick.C:
		}
	}
}

// sql asks a server as the owner, and returns the one value.
func (n *nodes) sql(server, statement string) string {
	n.t.Helper()
	out, err := n.command(engineLimit, nil, "docker", "exec", "--env", "PGPASSWORD="+n.ownerPassword, n.id(server),
		"psql", "-h", "/var/run/postgresql", "-U", "longpoint_owner", "-d", "longpoint", "-v", "ON_ERROR_STOP=1", "-tAc", statement)
	if err != nil {
		n.t.Fatalf("%s: %s: %v\n%s", server, statement, err, out)
	}
	return strings.TrimSpace(out)
}

func (n *nodes) address(service string) string {
	n.t.Helper()
	out, err := n.command(engineLimit, nil, "docker", "inspect", "--format", "{{range .NetworkSettings.Networks}}{{.IPAddress}}{{end}}", n.id(service))
	if err != nil {
		n.t.Fatal(err)
	}
	return strings.TrimSpace(out)
}

// wantPooled wants the nodes' own connections to listen and do nothing else, and their work to come through the pooler.
func (n *nodes) wantPooled() {
	n.t.Helper()
	for _, app := range []string{"app1", "app2"} {
		const ask = `select coalesce(string_agg(distinct lower(split_part(query, ' ', 1)), ' '), 'nothing') from pg_stat_activity where client_addr = '%s'`
		if got := n.sql("primary", fmt.Sprintf(ask, n.address(app))); got != "listen" {
			n.t.Errorf("%s past the pooler: got %q, want it to listen", app, got)
		}
	}
	const ask = `select count(*) || ' ' || count(*) filter (where lower(query) like 'listen%%') from pg_stat_activity where usename = 'longpoint_app' and client_addr = '%s'`
	if got := n.sql("primary", fmt.Sprintf(ask, n.address("pooler"))); strings.HasPrefix(got, "0 ") || !strings.HasSuffix(got, " 0") {
		n.t.Errorf("connections of the pooler, and those that listen: got %q, want some and none", got)
	}
}

// crew makes a company as deploy/README.md says, and signs people in through the proxy, two to a job.
func (n *nodes) crew(many int) []*crew.Person {
	n.t.Helper()
	out, err := n.runWith(upLimit, crew.Passphrase+"\n", "run", "--rm", "-T", "--no-deps", "app1", "account", "create",
		"--company", "Plumb and Level", "--name", "Ruth Ames", "--sign-in", "ruth")
	if err != nil {
		n.t.Fatalf("account create: %v\n%s", err, out)
	}
	var people []*crew.Person
	for i := range many {
		// The proxy's certificate is of an authority of its own.
		transport := &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, ServerName: "localhost"}, MaxIdleConnsPerHost: 2} //nolint:gosec // see above
		n.t.Cleanup(transport.CloseIdleConnections)
		p, err := crew.SignIn(n.t.Context(), fmt.Sprintf("https://localhost:%d", n.httpsPort), "ruth", transport)
		if err != nil {
			n.t.Fatal(err)
		}
		if i%2 == 0 {
			err = p.Build(n.t.Context(), "")
		} else {
			p.Job, p.Room, p.Item = people[i-1].Job, people[i-1].Room, people[i-1].Item
		}
		if err != nil {
			n.t.Fatal(err)
		}
		people = append(people, p)
	}
	return people
}

// wantHeardByTheOther sends a command at each node and hears of it on the other's stream.
func (n *nodes) wantHeardByTheOther(people []*crew.Person) {
	n.t.Helper()
	for from, to := range map[string]string{"app1": "app2", "app2": "app1"} {
		sender, err := crew.SignIn(n.t.Context(), n.direct[from], "ruth", nil)
		if err != nil {
			n.t.Fatal(err)
		}
		listener, err := crew.SignIn(n.t.Context(), n.direct[to], "ruth", nil)
		if err != nil {
			n.t.Fatal(err)
		}
		sender.Job, sender.Room, sender.Item = people[0].Job, people[0].Room, people[0].Item
		ctx, stop := context.WithTimeout(n.t.Context(), upLimit)
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, listener.Base+"/api/v1/jobs/"+sender.Job+"/events", nil)
		if err != nil {
			n.t.Fatal(err)
		}
		answer, err := listener.HTTP.Do(r)
		if err != nil {
			n.t.Fatal(err)
		}
		lines := bufio.NewScanner(answer.Body)
		lines.Scan() // it is open
		c, err := crew.Take(sender.Item, "width_top", "30")
		if err == nil {
			err = sender.Send(ctx, c)
		}
		if err != nil {
			n.t.Fatal(err)
		}
		want, heard := fmt.Sprintf(`data: {"seq":%d}`, sender.Seq), false
		sent := time.Now()
		for !heard && lines.Scan() {
			heard = lines.Text() == want
		}
		if !heard {
			n.t.Errorf("%s took number %d: not heard at %s (%v)", from, sender.Seq, to, lines.Err())
		} else {
			fmt.Printf("nodes: number %d, taken by %s, heard on a stream of %s %v after its answer\n", sender.Seq, from, to, time.Since(sent).Round(time.Millisecond))
		}
		stop()
		_ = answer.Body.Close()
		sender.HTTP.CloseIdleConnections()
		listener.HTTP.CloseIdleConnections()
	}
}

// wantBothAnswer asks through the proxy and finds the numbers of the requests in both nodes' logs.
func (n *nodes) wantBothAnswer(p *crew.Person) {
	n.t.Helper()
	var ids []string
	for range 12 {
		r, err := http.NewRequestWithContext(n.t.Context(), http.MethodGet, p.Base+"/api/v1/jobs", nil)
		if err != nil {
			n.t.Fatal(err)
		}
		answer, err := p.HTTP.Do(r)
		if err != nil {
			n.t.Fatal(err)
		}
		_ = answer.Body.Close()
		if answer.StatusCode != http.StatusOK {
			n.t.Errorf("through the proxy: %s", answer.Status)
		}
		ids = append(ids, answer.Header.Get("X-Request-Id"))
	}
	answered := map[string]int{}
	for app := range n.direct {
		log, err := n.run(engineLimit, "logs", "--no-color", app)
		if err != nil {
			n.t.Fatal(err)
		}
		for _, id := range ids {
			if strings.Contains(log, `"id":"`+id+`"`) {
				answered[app]++
			}
		}
	}
	if answered["app1"] == 0 || answered["app2"] == 0 || answered["app1"]+answered["app2"] != len(ids) {
		n.t.Errorf("%d requests through the proxy: got %v, want some at each node", len(ids), answered)
	}
}

// wantReplayed wants the standby to stream, and to read the same log as the primary as soon as it has what was written.
func (n *nodes) wantReplayed() {
	n.t.Helper()
	if got := n.sql("primary", `select string_agg(usename || ' ' || state, ', ') from pg_stat_replication`); got != "longpoint_standby streaming" {
		n.t.Errorf("who follows the primary: got %q, want longpoint_standby streaming", got)
	}
	const count = `select count(*) || ' entries, ' || count(distinct command_id) || ' commands' from entries`
	want, mark := n.sql("primary", count), n.sql("primary", `select pg_current_wal_lsn()`)
	limit := time.Now().Add(upLimit)
	for n.sql("standby", `select pg_is_in_recovery() and pg_last_wal_replay_lsn() >= '`+mark+`'`) != "t" {
		if time.Now().After(limit) {
			n.t.Fatal("the standby does not follow")
		}
	}
	if got := n.sql("standby", count); got != want {
		n.t.Errorf("the standby reads %s, the primary %s", got, want)
	}
}

// wantANodeMissedByNobody kills a node with the signal nothing can catch while phones work through the proxy. Every
// command is acknowledged by the node that is left, and is there once.
func (n *nodes) wantANodeMissedByNobody(people []*crew.Person) {
	n.t.Helper()
	before, err := strconv.Atoi(n.sql("primary", `select count(*) from entries`))
	if err != nil {
		n.t.Fatal(err)
	}
	var wait sync.WaitGroup
	var acknowledged, again atomic.Int64
	killed, enough := make(chan struct{}), make(chan struct{})
	var quiet time.Duration
	var quietMu sync.Mutex
	for _, p := range people {
		wait.Go(func() {
			for more := 30; more > 0; { // as many after the node is gone
				select {
				case <-killed:
					more--
				default:
				}
				c, err := crew.Take(p.Item, "width_top", "30")
				if err != nil {
					n.t.Error(err)
					return
				}
				p.Sign(&c)
				began := time.Now()
				for { // as a phone does: the same command until it is answered for
					out, err := p.Try(n.t.Context(), []joblog.Command{c})
					if err == nil && len(out.Outcomes) == 1 && out.Outcomes[0].Applied {
						break
					}
					again.Add(1)
					if time.Since(began) > upLimit {
						n.t.Errorf("a command is not taken: %+v, %v", out, err)
						return
					}
				}
				quietMu.Lock()
				quiet = max(quiet, time.Since(began))
				quietMu.Unlock()
				if acknowledged.Add(1) == 40 {
					close(enough)
				}
			}
		})
	}
	<-enough
	if out, err := n.command(engineLimit, nil, "docker", "kill", "--signal", "KILL", n.id("app1")); err != nil {
		n.t.Errorf("%v: %s", err, out)
	}
	close(killed)
	wait.Wait()
	after, err := strconv.Atoi(n.sql("primary", `select count(distinct command_id) from entries`))
	if err != nil {
		n.t.Fatal(err)
	}
	fmt.Printf("nodes: kill -9 of app1: %d commands acknowledged, %d found, %d asked again, longest wait %v\n", acknowledged.Load(), after-before, again.Load(), quiet.Round(time.Millisecond))
	if int64(after-before) != acknowledged.Load() {
		n.t.Errorf("commands found: got %d, want the %d that were acknowledged", after-before, acknowledged.Load())
	}
	if out, err := n.run(upLimit, "up", "-d", "--no-build", "--no-deps", "app1"); err != nil {
		n.t.Fatalf("starting app1 again: %v\n%s", err, out)
	}
	n.wantReady("app1", n.direct["app1"])
}

// wantTheStandbyTakesOver follows "When the primary is lost" of deploy/README.md.
func (n *nodes) wantTheStandbyTakesOver(people []*crew.Person) {
	n.t.Helper()
	if out, err := n.command(engineLimit, nil, "docker", "kill", "--signal", "KILL", n.id("primary")); err != nil {
		n.t.Fatalf("%v: %s", err, out)
	}
	began := time.Now()
	if out, err := n.run(upLimit, "exec", "-T", "-u", "postgres", "standby", "pg_ctl", "promote"); err != nil {
		n.t.Fatalf("promoting the standby: %v\n%s", err, out)
	}
	n.env = append(n.env, "LONGPOINT_PRIMARY=standby")
	if out, err := n.run(upLimit, "up", "-d", "--no-build", "--no-deps", "pooler", "app1", "app2"); err != nil {
		n.t.Fatalf("pointing at the standby: %v\n%s", err, out)
	}
	for app, base := range n.direct {
		n.wantReady(app, base)
	}
	p := people[0]
	before, err := strconv.Atoi(n.sql("standby", `select max(seq) from entries where job_id = '`+p.Job+`'`))
	if err != nil {
		n.t.Fatal(err)
	}
	c, err := crew.Take(p.Item, "width_top", "30")
	if err != nil {
		n.t.Fatal(err)
	}
	p.Sign(&c)
	limit := time.Now().Add(upLimit)
	for { // the proxy finds its nodes again
		out, err := p.Try(n.t.Context(), []joblog.Command{c})
		if err == nil && len(out.Outcomes) == 1 && out.Outcomes[0].Applied {
			if out.Seq != int64(before)+1 {
				n.t.Errorf("the log goes on with number %d, want %d", out.Seq, before+1)
			}
			break
		}
		if time.Now().After(limit) {
			n.t.Fatalf("after the primary was lost: %+v, %v", out, err)
		}
	}
	fmt.Printf("nodes: the primary killed; %v later the standby takes commands, from number %d on\n", time.Since(began).Round(time.Second), before+1)
}
