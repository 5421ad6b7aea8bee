package upgrade

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/app"
	"longpoint/internal/joblog"
	"longpoint/internal/stage"
	"longpoint/internal/testdb"
	"longpoint/migrations"
	"longpoint/tests/crew"
)

// oldProgramEnv names a program built from an earlier commit (tests/upgrade/old-app.sh does it).
const oldProgramEnv = "LONGPOINT_OLD_PROGRAM"

// upLimit is for a start on a busy machine.
const upLimit = 2 * time.Minute

// old runs the earlier program as a node.
type old struct {
	t       *testing.T
	program string
	env     []string
	base    string
	cmd     *exec.Cmd
}

func (o *old) run(args ...string) {
	o.t.Helper()
	cmd := exec.CommandContext(o.t.Context(), o.program, args...)
	cmd.Env = o.env
	if out, err := cmd.CombinedOutput(); err != nil {
		o.t.Fatalf("%s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// company makes one with a lead in the tables as they were from the first, since some old program cannot by a command.
func company(t *testing.T, db *testdb.DB) {
	t.Helper()
	hasher, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	hash, err := hasher.Hash(t.Context(), crew.Passphrase)
	if err != nil {
		t.Fatal(err)
	}
	id := crew.NewID()
	if _, err := db.Owner.Exec(t.Context(), `insert into companies (company_id, name, created_at) values ($1, 'Plumb and Level', now())`, id); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Owner.Exec(t.Context(), `insert into people (company_id, person_id, name, sign_in, passphrase_hash, role, language, unit, created_at)
		values ($1, $2, 'Ruth Ames', 'ruth', $3, 'lead', 'en', 'in', now())`, id, crew.NewID(), hash); err != nil {
		t.Fatal(err)
	}
}

func (o *old) serve() {
	o.t.Helper()
	o.cmd = exec.Command(o.program, "serve")
	o.cmd.Env = o.env
	var said bytes.Buffer
	o.cmd.Stdout, o.cmd.Stderr = &said, &said
	o.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := o.cmd.Start(); err != nil {
		o.t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- o.cmd.Wait() }()
	o.t.Cleanup(func() {
		_ = o.cmd.Process.Signal(syscall.SIGTERM)
		if err := <-ended; err != nil {
			o.t.Errorf("the old program's end: %v", err)
		}
		if o.t.Failed() {
			o.t.Logf("the old program said:\n%s", said.Bytes()[max(0, said.Len()-3000):])
		}
	})
	limit := time.After(upLimit)
	for {
		answer, err := http.Get(o.base + "/readyz")
		if err == nil {
			_ = answer.Body.Close()
			if answer.StatusCode == http.StatusOK {
				return
			}
		}
		select {
		case err := <-ended:
			ended <- err
			o.t.Fatalf("the old program ended: %v\n%s", err, said.String())
		case <-limit:
			o.t.Fatalf("the old program is not ready: %v", err)
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// TestYesterdaysProgramWorksThroughAnUpgrade is an upgrade as deploy/README.md has it: the old program serves its own
// schema while phones work, the schema is brought to the newest under it, today's program is put beside it, phones move
// over one by one, and the old one is stopped. Every command is answered for, each node hears of the other's, and the
// tables are what today's program makes of the log.
func TestYesterdaysProgramWorksThroughAnUpgrade(t *testing.T) {
	program := os.Getenv(oldProgramEnv)
	if program == "" {
		t.Skip("SKIPPED: no program of an earlier commit is named: make test-old-app builds one and runs this")
	}
	ctx := t.Context()
	db := testdb.Empty(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := l.Addr().String()
	_ = l.Close()
	o := &old{t: t, program: program, base: "http://" + addr, env: []string{"PATH=" + os.Getenv("PATH"), "LONGPOINT_OWNER_URL=" + db.OwnerURL,
		"DATABASE_URL=" + db.AppURL, "LONGPOINT_ADDR=" + addr, "LONGPOINT_PHOTO_DIR=" + filepath.Join(t.TempDir(), "photos")}}
	o.run("migrate", "up")
	from, _, err := migrations.Version(ctx, db.OwnerURL)
	if err != nil || from >= migrations.Head() {
		t.Fatalf("the old program brings the schema to step %d of %d (%v): want one before the newest", from, migrations.Head(), err)
	}
	company(t, db)
	o.serve()

	var people []*crew.Person
	for i := range 4 {
		p, err := crew.SignIn(ctx, o.base, "ruth", nil)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(p.HTTP.CloseIdleConnections)
		if i == 0 {
			if err := p.Build(ctx, ""); err != nil {
				t.Fatal(err)
			}
		} else {
			p.Job, p.Room, p.Item = people[0].Job, people[0].Room, people[0].Item
		}
		people = append(people, p)
	}

	// Phones work at the old program until the upgrade is through, then half of them at the new one.
	var wait sync.WaitGroup
	var acknowledged, refused, again atomic.Int64
	work := func(p *crew.Person, n int) error {
		taped, err := crew.Take(p.Item, "width_top", "30")
		if err != nil {
			return err
		}
		for _, c := range []joblog.Command{
			taped,
			{Kind: joblog.NoteKind, ItemID: p.Item, Note: &joblog.Note{Text: fmt.Sprint("Shim the hinge side, ", n)}},
			{Kind: joblog.TickStageKind, ItemID: p.Item, TickStage: &joblog.TickStage{Stage: stage.Measured}},
			{Kind: joblog.ReopenStageKind, ItemID: p.Item, ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "The floor was raised."}},
			crew.Door(p.Room, crew.NewID()),
		} {
			p.Sign(&c)
			out, err := p.Try(ctx, []joblog.Command{c})
			for tries := 0; crew.StatusOf(err) == http.StatusServiceUnavailable && tries < 20; tries++ {
				// A step that waits for a table may have the phone wait, or be told to come again: it keeps the command.
				again.Add(1)
				out, err = p.Try(ctx, []joblog.Command{c})
			}
			if err != nil || len(out.Outcomes) != 1 || out.Stopped {
				return fmt.Errorf("%s at %s: %+v, %w", c.Kind, p.Base, out, err)
			}
			acknowledged.Add(1)
			if !out.Outcomes[0].Applied { // somebody ticked it first
				refused.Add(1)
			}
		}
		err = p.Get(ctx, "/api/v1/jobs/"+p.Job+"/items/"+p.Item, nil)
		if crew.StatusOf(err) == http.StatusServiceUnavailable {
			again.Add(1)
			return nil
		}
		return err
	}
	begun, through := make(chan struct{}, len(people)), make(chan struct{})
	for _, p := range people {
		wait.Go(func() {
			for n, more := 0, 3; more > 0; n++ {
				select {
				case <-through:
					more--
				default:
				}
				if err := work(p, n); err != nil {
					t.Errorf("while the schema goes up: %v", err)
					return
				}
				if n == 0 {
					begun <- struct{}{}
				}
			}
		})
	}
	for range people {
		<-begun
	}
	if err := migrations.Up(ctx, db.OwnerURL); err != nil {
		t.Errorf("bringing the schema up: %v", err)
	}
	close(through)
	wait.Wait()
	if t.Failed() {
		return
	}

	a, err := app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: db.AppURL, Photos: app.PhotoConfig{Dir: t.TempDir()}})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := a.Close(); err != nil {
			t.Error(err)
		}
	}()
	today := "http://" + a.Addr().String()
	for i, p := range people {
		if i%2 == 1 {
			p.Base = today // signed in as before
		}
	}
	heard := map[string]func() int64{o.base: hear(t, people[0]), today: hear(t, people[1])}
	for i, p := range people {
		wait.Go(func() {
			for n := range 4 {
				if err := work(p, 100*(i+1)+n); err != nil {
					t.Errorf("side by side: %v", err)
					return
				}
			}
		})
	}
	wait.Wait()
	// A session begun at today's is good at yesterday's too, and both read the same log.
	late, err := crew.SignIn(ctx, today, "ruth", nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(late.HTTP.CloseIdleConnections)
	late.Job = people[0].Job
	var logs [2][]string
	for i, base := range []string{o.base, today} {
		late.Base = base
		if logs[i], err = ids(ctx, late); err != nil {
			t.Error(err)
		}
	}
	if len(logs[0]) == 0 || strings.Join(logs[0], " ") != strings.Join(logs[1], " ") {
		t.Errorf("the log has %d entries at yesterday's program and %d at today's, or others", len(logs[0]), len(logs[1]))
	}
	for base, last := range heard {
		if got := last(); got != int64(len(logs[0])) {
			t.Errorf("the stream at %s told of number %d last, want %d", base, got, len(logs[0]))
		}
	}
	rep, err := app.Rebuild(ctx, db.OwnerURL, "", true)
	if err != nil {
		t.Fatal(err)
	}
	want := int64(len(crew.Readings)) + 3 + acknowledged.Load() - refused.Load()
	if len(rep.Differences) > 0 || int64(rep.Entries) != want {
		t.Errorf("rebuild --check: %d entries, want %d; differences: %v", rep.Entries, want, rep.Differences)
	}
	fmt.Printf("upgrade: program of step %d through to step %d: %d commands acknowledged (%d refused by the rules, %d asked again after a 503), %d entries, %d differences from a rebuild\n",
		from, migrations.Head(), acknowledged.Load(), refused.Load(), again.Load(), rep.Entries, len(rep.Differences))
}

// hear listens to a job and returns a function that waits until the stream has told of its last number.
func hear(t *testing.T, p *crew.Person) func() int64 {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), upLimit)
	t.Cleanup(stop)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, p.Base+"/api/v1/jobs/"+p.Job+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := p.HTTP.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = answer.Body.Close() })
	told := make(chan int64, 10_000)
	go func() {
		defer close(told)
		for in := bufio.NewScanner(answer.Body); in.Scan(); {
			var n int64
			if _, err := fmt.Sscanf(in.Text(), `data: {"seq":%d}`, &n); err == nil {
				told <- n
			}
		}
	}()
	return func() int64 {
		var page struct{ Seq int64 }
		if err := p.Get(ctx, "/api/v1/jobs/"+p.Job+"/log?after=0", &page); err != nil {
			t.Error(err)
		}
		var last int64
		for n := range told {
			if last = n; last >= page.Seq {
				break
			}
		}
		return last
	}
}

// ids are a log's commands, by number.
func ids(ctx context.Context, p *crew.Person) (out []string, err error) {
	for {
		var page struct {
			Entries []struct {
				Seq     int64
				Command struct{ ID string }
			}
			Seq int64
		}
		if err := p.Get(ctx, fmt.Sprintf("/api/v1/jobs/%s/log?after=%d", p.Job, len(out)), &page); err != nil {
			return nil, err
		}
		for _, e := range page.Entries {
			out = append(out, fmt.Sprint(e.Seq, e.Command.ID))
		}
		if len(page.Entries) == 0 || int64(len(out)) >= page.Seq {
			return out, nil
		}
	}
}
