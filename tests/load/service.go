package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"syscall"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/pglocal"
	"longpoint/internal/testdb"
	"longpoint/migrations"
)

const (
	database  = "longpoint"
	listening = "listening on "
	serveWord = "serve-a-node"
)

// serveNode is this program as a node, in a process of its own so that its memory is its own.
func serveNode(address string) error {
	ctx, stop := context.WithCancel(context.Background())
	go func() {
		in := bufio.NewScanner(os.Stdin)
		for in.Scan() {
			debug.FreeOSMemory()
			fmt.Println(runtime.NumGoroutine())
		}
		stop()
	}()
	a, err := app.Run(ctx, app.Config{Addr: "127.0.0.1:0", DatabaseURL: address})
	if err != nil {
		return err
	}
	fmt.Println(listening + a.Addr().String())
	<-a.Done()
	return nil
}

// ground is a PostgreSQL with fsync on, and nodes before it.
type ground struct {
	dir   *pglocal.HeldDir
	pg    *pglocal.Server
	nodes []*exec.Cmd
	ends  []io.WriteCloser
	outs  []*bufio.Reader
	bases []string
}

func newGround(ctx context.Context) (*ground, error) {
	dir, err := pglocal.HoldTempDir("", "lp-load-")
	if err != nil {
		return nil, err
	}
	g := &ground{dir: dir}
	if g.pg, err = pglocal.Start(ctx, pglocal.Config{DataDir: filepath.Join(dir.Path, "data"), Fsync: true,
		Settings: map[string]string{"shared_buffers": "256MB", "max_connections": "200"}}); err != nil {
		return g, err
	}
	if err := g.pg.EnsureDatabase(ctx, database); err != nil {
		return g, err
	}
	if err := migrations.Up(ctx, g.owner()); err != nil {
		return g, err
	}
	return g, g.addNode()
}

func (g *ground) owner() string   { return g.pg.DSN(database, pglocal.Superuser) }
func (g *ground) service() string { return g.pg.DSN(database, testdb.AppRole) }

func (g *ground) addNode() error {
	program, err := os.Executable()
	if err != nil {
		return err
	}
	cmd := exec.Command(program, serveWord, g.service())
	cmd.Env = append(os.Environ(), "GOGC=400") // as the program itself has it
	cmd.Stderr = os.Stderr
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	in, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	says := bufio.NewReader(out)
	line, err := says.ReadString('\n')
	addr, said := strings.CutPrefix(strings.TrimSpace(line), listening)
	if err != nil || !said {
		return fmt.Errorf("a node did not start: %q, %w", line, err)
	}
	g.nodes, g.ends, g.outs, g.bases = append(g.nodes, cmd), append(g.ends, in), append(g.outs, says), append(g.bases, "http://"+addr)
	return nil
}

// collect has a node let go of everything that it does not need any more, and gives the megabytes that it then holds and
// its goroutines.
func (g *ground) collect(node int) (held float64, goroutines int, err error) {
	if _, err := fmt.Fprintln(g.ends[node]); err != nil {
		return 0, 0, err
	}
	line, err := g.outs[node].ReadString('\n')
	if err != nil {
		return 0, 0, err
	}
	goroutines, err = strconv.Atoi(strings.TrimSpace(line))
	return memory(g.nodes[node].Process.Pid), goroutines, err
}

func (g *ground) close() {
	for i, n := range g.nodes {
		_ = g.ends[i].Close()
		_ = n.Wait()
	}
	if g.pg != nil {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		_ = g.pg.Stop(ctx)
	}
	_ = g.dir.Release()
}

// used is the processor time that all nodes and PostgreSQL have taken.
func (g *ground) used() (nodes, postgres time.Duration) {
	for _, n := range g.nodes {
		nodes += processorTime(n.Process.Pid)
	}
	return nodes, g.postgresTime()
}

// hertz is the kernel's clock tick for processes' times: 100 on every Linux we know (USER_HZ).
const hertz = 100

// processorTime is what a process has used, its children that ended included.
func processorTime(pid int) time.Duration {
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(b), ") ")
	f := strings.Fields(rest)
	if len(f) < 15 {
		return 0
	}
	var ticks int64
	for _, field := range f[11:15] { // utime, stime, cutime, cstime
		n, _ := strconv.ParseInt(field, 10, 64)
		ticks += n
	}
	return time.Duration(ticks) * time.Second / hertz
}

// postgresTime adds the server's process and its children that live. A child's time goes over to the server when it ends;
// one that ends while they are added up would be counted twice or not at all, so then it adds up again.
func (g *ground) postgresTime() (total time.Duration) {
	for range 20 {
		before := processorTime(g.pg.PID())
		total = before + g.childrensTime()
		if processorTime(g.pg.PID()) == before {
			break
		}
	}
	return total
}

func (g *ground) childrensTime() (total time.Duration) {
	pid := g.pg.PID()
	all, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, at := range all {
		b, err := os.ReadFile(at)
		if err != nil {
			continue
		}
		_, rest, _ := strings.Cut(string(b), ") ")
		if f := strings.Fields(rest); len(f) > 1 && f[1] == strconv.Itoa(pid) {
			child, _ := strconv.Atoi(filepath.Base(filepath.Dir(at)))
			total += processorTime(child)
		}
	}
	return total
}

// memory is what a node holds, in megabytes, and how many threads serve it.
func memory(pid int) float64 {
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(b)) {
		if kb, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			n, _ := strconv.ParseFloat(strings.Fields(kb)[0], 64)
			return n / 1024
		}
	}
	return 0
}
