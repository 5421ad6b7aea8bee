package pglocal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// maxSocketPath is the longest path of a unix socket that PostgreSQL's clients agree on (sun_path is 104 bytes on the
// BSDs, 108 on Linux, with its closing zero).
const maxSocketPath = 103

// survivorGrace is how long the children of a killed postmaster may hold its shared memory: they notice its death when
// they next wait for something.
const survivorGrace = 10 * time.Second

// Start runs a server on cfg.DataDir and returns when it takes connections. The context is for the start alone.
func Start(ctx context.Context, cfg Config) (*Server, error) {
	if cfg.DataDir == "" {
		return nil, errors.New("pglocal: no data directory was given")
	}
	dir, err := filepath.Abs(cfg.DataDir)
	if err != nil {
		return nil, fmt.Errorf("resolving the data directory: %w", err)
	}
	bin, major, err := binariesFor(cfg.BinDir)
	if err != nil {
		return nil, err
	}
	a, err := accountFor(dir)
	if err != nil {
		return nil, err
	}
	if err := prepareCluster(ctx, cfg, bin, major, dir, a); err != nil {
		return nil, err
	}
	s := &Server{bin: bin, dataDir: dir, port: cfg.Port, account: a, cfg: cfg, log: cfg.Logger}
	if s.port == 0 {
		s.port = socketPort
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.socket, err = holdSocketDir(s.port, a); err != nil {
		return nil, err
	}
	if err := s.launchPatiently(ctx); err != nil {
		return nil, errors.Join(err, s.socket.Release())
	}
	var once sync.Once
	var stopErr error
	s.stop = func(ctx context.Context) error {
		once.Do(func() { stopErr = errors.Join(s.shutDown(ctx), s.socket.Release()) })
		return stopErr
	}
	return s, nil
}

// PID is the postmaster's process id.
func (s *Server) PID() int { return s.proc.cmd.Process.Pid }

// Done is closed when the postmaster has ended, asked to or not.
func (s *Server) Done() <-chan struct{} { return s.proc.done }

// Stop ends the server in order: sessions are cut off, everything is written, the socket's directory is removed. When
// ctx ends first the server is stopped hard; it then recovers at the next start. Further calls return the first's result.
func (s *Server) Stop(ctx context.Context) error { return s.stop(ctx) }

func binariesFor(binDir string) (string, int, error) {
	if binDir == "" {
		return FindBinaries()
	}
	dir, err := filepath.Abs(binDir)
	if err != nil {
		return "", 0, fmt.Errorf("resolving the directory of PostgreSQL's programs: %w", err)
	}
	major, err := inspectBinaries(dir)
	return dir, major, err
}

// holdSocketDir makes the socket's directory where its path is short enough and the account can get to it.
func holdSocketDir(port int, a account) (*HeldDir, error) {
	const prefix = "longpoint-pg-"
	parent := os.TempDir()
	longest := filepath.Join(parent, prefix+"4294967295", ".s.PGSQL."+strconv.Itoa(port))
	if _, _, barred := a.firstBarred(filepath.Join(parent, prefix)); barred || len(longest) > maxSocketPath {
		parent = "/tmp"
	}
	h, err := HoldTempDir(parent, prefix)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(os.Chmod(h.Path, 0o700), a.give(h.Path)); err != nil {
		return nil, errors.Join(fmt.Errorf("closing the socket's directory: %w", err), h.Release())
	}
	return h, nil
}

// launchPatiently tries again while what stands in the way is passing.
func (s *Server) launchPatiently(ctx context.Context) error {
	limit := time.Now().Add(survivorGrace)
	for {
		if err := settlePredecessor(ctx, s.dataDir); err != nil {
			return err
		}
		err := s.launch(ctx)
		if err == nil || ctx.Err() != nil {
			return err
		}
		passing := s.proc.log.contains("pre-existing shared memory block") ||
			s.proc.log.contains(`lock file "postmaster.pid" is empty`)
		if !passing || time.Now().After(limit) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(100 * time.Millisecond):
		}
	}
}

func (s *Server) settings() []string {
	set := map[string]string{
		"listen_addresses":        "",
		"port":                    strconv.Itoa(s.port),
		"unix_socket_directories": `"` + strings.ReplaceAll(s.socket.Path, `"`, `""`) + `"`, // quoted: it is a list
		"unix_socket_permissions": "0700",
		"logging_collector":       "off",
		"log_destination":         "stderr",
		"log_line_prefix":         "",
		"lc_messages":             "C",
		"TimeZone":                "UTC",
		"log_timezone":            "UTC",
		starterSetting:            strconv.Itoa(os.Getpid()),
	}
	if s.cfg.Port != 0 {
		set["listen_addresses"] = "127.0.0.1"
	}
	// Set both ways: the cluster's own files must not decide whether rows survive.
	durable := "off"
	if s.cfg.Fsync {
		durable = "on"
	}
	for _, name := range []string{"fsync", "full_page_writes", "synchronous_commit"} {
		set[name] = durable
	}
	maps.Copy(set, s.cfg.Settings)
	args := []string{"-D", s.dataDir}
	for _, name := range slices.Sorted(maps.Keys(set)) {
		args = append(args, "-c", name+"="+set[name])
	}
	return args
}

// launch runs postgres and waits until it takes connections or ends.
func (s *Server) launch(ctx context.Context) error {
	r, w, err := os.Pipe()
	if err != nil {
		return fmt.Errorf("making the server's log pipe: %w", err)
	}
	death := syscall.SIGINT // fast and in order
	if !s.cfg.Fsync {
		death = syscall.SIGQUIT // at once: the data is for throwing away
	}
	cmd := s.account.command(death, s.dataDir, filepath.Join(s.bin, "postgres"), s.settings()...)
	cmd.Stdout, cmd.Stderr = w, w
	p := &process{cmd: cmd, done: make(chan struct{}), log: readLog(r, s.log)}
	s.proc = p
	started := make(chan error, 1)
	go func() {
		// Pdeathsig is sent when this thread ends, not when the process does: waiting here keeps it for as long as the server
		// lives. Then it is handed back and not ended, as a goroutine that stays locked would end it: it may have started
		// other children before, and they would go with it.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		defer close(p.done)
		err := cmd.Start()
		started <- err
		if err == nil {
			_ = cmd.Wait() // how it ended is in its log
		}
	}()
	err = <-started
	_ = w.Close()
	if err != nil {
		<-p.done
		p.log.finish()
		return blocked(s.account, fmt.Errorf("running postgres: %w", err), s.dataDir, cmd.Path)
	}
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			_ = cmd.Process.Kill()
			<-p.done
			p.log.finish()
			return fmt.Errorf("starting PostgreSQL on %s: %w", s.dataDir, ctx.Err())
		case <-p.done:
			p.log.finish()
			return s.refusal()
		case <-tick.C:
			if pf, err := readPIDFile(s.dataDir); err == nil && pf.pid == cmd.Process.Pid && pf.ready {
				return nil
			}
		}
	}
}

// refusal says why the postmaster ended before it was ready.
func (s *Server) refusal() error {
	log := s.proc.log
	if log.contains("Address already in use") && s.cfg.Port != 0 {
		return &Error{
			Code:     Busy,
			Sentence: fmt.Sprintf("Port %d on 127.0.0.1 is taken by another program: choose another port, or none to use the socket alone.", s.cfg.Port),
		}
	}
	if log.contains(`lock file "postmaster.pid" already exists`) { // one that started since we looked
		if pf, err := readPIDFile(s.dataDir); err == nil {
			p, _, _ := lookUp(pf.pid)
			return busy(s.dataDir, pf.pid, p)
		}
	}
	return &Error{
		Code:     NotStarted,
		Sentence: fmt.Sprintf("PostgreSQL would not start on %s (%s): put that right and start again.", s.dataDir, quoted(log.tail(), "FATAL:", "PANIC:")),
	}
}

func (s *Server) shutDown(ctx context.Context) error {
	p := s.proc
	_ = p.cmd.Process.Signal(syscall.SIGINT) // one that is gone already is what we want
	var err error
	select {
	case <-p.done:
	case <-ctx.Done():
		err = fmt.Errorf("PostgreSQL on %s was stopped hard and will recover at its next start: %w", s.dataDir, ctx.Err())
		_ = p.cmd.Process.Signal(syscall.SIGQUIT)
		select {
		case <-p.done:
		case <-time.After(6 * time.Second): // PostgreSQL itself kills its children after 5
			_ = p.cmd.Process.Kill()
			<-p.done
		}
	}
	p.log.finish()
	return err
}

// serverLog passes the server's log on and keeps its last lines for the sentence of a failed start.
type serverLog struct {
	mu    sync.Mutex
	lines []string
	pipe  *os.File
	ended chan struct{}
}

func readLog(r *os.File, to *slog.Logger) *serverLog {
	l := &serverLog{pipe: r, ended: make(chan struct{})}
	go func() {
		defer close(l.ended)
		in := bufio.NewReader(r)
		for {
			line, err := in.ReadString('\n')
			if line = strings.TrimRight(line, "\n"); line != "" {
				l.keep(line)
				to.Log(context.Background(), levelOf(line), "postgres", "line", line)
			}
			if err != nil {
				return
			}
		}
	}()
	return l
}

func (l *serverLog) keep(line string) {
	const kept = 40
	l.mu.Lock()
	defer l.mu.Unlock()
	l.lines = append(l.lines, line)
	if len(l.lines) > kept {
		l.lines = slices.Delete(l.lines, 0, len(l.lines)-kept)
	}
}

func (l *serverLog) tail() []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.lines)
}

func (l *serverLog) contains(s string) bool {
	return slices.ContainsFunc(l.tail(), func(line string) bool { return strings.Contains(line, s) })
}

// finish reads what is left. Children that outlive a killed postmaster hold the pipe open, so it does not wait for ever.
func (l *serverLog) finish() {
	select {
	case <-l.ended:
	case <-time.After(time.Second):
	}
	_ = l.pipe.Close()
	<-l.ended
}

func levelOf(line string) slog.Level {
	switch level, _, _ := strings.Cut(line, ":"); level {
	case "PANIC":
		return slog.LevelError
	case "FATAL", "ERROR", "WARNING":
		return slog.LevelWarn
	}
	return slog.LevelDebug
}
