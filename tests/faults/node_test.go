package faults

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/photo"
)

// A node is this test program, told by these to serve. It reads how far its clock is off from standard input, a number
// of nanoseconds a line, and ends when that is closed.
const (
	serveEnv   = "LONGPOINT_FAULTS_SERVE"
	addrEnv    = "LONGPOINT_FAULTS_ADDR"
	photosEnv  = "LONGPOINT_FAULTS_PHOTOS"
	objectsEnv = "LONGPOINT_FAULTS_OBJECTS"
	listening  = "listening on "
)

func serveAsNode() int {
	var off atomic.Int64
	ctx, stop := context.WithCancel(context.Background())
	go func() {
		in := bufio.NewScanner(os.Stdin)
		for in.Scan() {
			if n, err := strconv.ParseInt(in.Text(), 10, 64); err == nil {
				off.Store(n)
			}
		}
		stop() // the parent is gone
	}()
	a, err := app.Run(ctx, app.Config{Addr: os.Getenv(addrEnv), DatabaseURL: os.Getenv(serveEnv), TrustProxy: true,
		Photos: app.PhotoConfig{Dir: os.Getenv(photosEnv), Bucket: photo.BucketConfig{Endpoint: os.Getenv(objectsEnv),
			Bucket: bucket, Region: "us-east-1", AccessKey: "key", Secret: "secret"}},
		Clock:  func() time.Time { return time.Now().Add(time.Duration(off.Load())) },
		Logger: slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelError}))})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	fmt.Println(listening + a.Addr().String())
	<-a.Done()
	return 0
}

// node is one process that serves.
type node struct {
	name     string
	database string
	photos   string // the folder, where objects is empty
	objects  string // the object storage's address
	addr     string // once it is known it stays
	child    *exec.Cmd
	in       io.WriteCloser
	log      *os.File
}

func (n *node) start() error {
	program, err := os.Executable()
	if err != nil {
		return err
	}
	n.child = exec.Command(program)
	at := n.addr
	if at == "" {
		at = "127.0.0.1:0"
	}
	n.child.Env = append(os.Environ(), serveEnv+"="+n.database, addrEnv+"="+at, photosEnv+"="+n.photos, objectsEnv+"="+n.objects)
	n.child.Stderr = n.log
	n.child.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if n.in, err = n.child.StdinPipe(); err != nil {
		return err
	}
	out, err := n.child.StdoutPipe()
	if err != nil {
		return err
	}
	if err := n.child.Start(); err != nil {
		return err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	addr, said := strings.CutPrefix(strings.TrimSpace(line), listening)
	if err != nil || !said {
		n.kill()
		return fmt.Errorf("%s did not start: %q, %v", n.name, line, err)
	}
	n.addr = addr
	return nil
}

// kill gives it no time for anything.
func (n *node) kill() {
	if n.child == nil {
		return
	}
	_ = n.child.Process.Signal(syscall.SIGKILL)
	_ = n.child.Wait()
	_ = n.in.Close()
	n.child = nil
}

// revive starts it again, as a supervisor does: until it stays.
func (n *node) revive() error {
	var err error
	for range 40 {
		if err = n.start(); err == nil {
			return nil
		}
		pause(250 * time.Millisecond) // a supervisor's own wait
	}
	return err
}

// jump sets its clock off by so much.
func (n *node) jump(by time.Duration) error {
	_, err := fmt.Fprintln(n.in, int64(by))
	return err
}

// pause is real time going by: what lies between two faults is part of the fault.
func pause(d time.Duration) { <-time.After(d) }
