package pglocal

import (
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
)

// A child's death signal comes when the thread that started it ends, not the program. The server's own thread may have
// started others before, so it has to outlast the server.
func TestOtherChildrenOutliveTheServer(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1)) // few threads to choose from
	dir := filepath.Join(place(t), "data")
	for range 5 {
		other := exec.Command("sleep", "60")
		other.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
		if err := other.Start(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { ended <- other.Wait() }()
		stop(t, mustStart(t, Config{DataDir: dir}))
		select {
		case err := <-ended:
			t.Fatalf("the child of another ended with the server: %v", err)
		default:
		}
		if err := other.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		<-ended
	}
}
