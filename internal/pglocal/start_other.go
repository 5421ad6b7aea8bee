//go:build !linux

package pglocal

import "context"

// Start starts servers on Linux only: it counts on the kernel to end the server with its starter.
func Start(context.Context, Config) (*Server, error) {
	return nil, &Error{
		Code:     NotLinux,
		Sentence: "Longpoint starts a PostgreSQL of its own on Linux only: run one yourself and give its address (LONGPOINT_TEST_DATABASE_URL for the tests).",
	}
}

// Stop ends the server; here there never is one.
func (s *Server) Stop(context.Context) error { return nil }

// PID is the postmaster's process id; here there never is one.
func (s *Server) PID() int { return 0 }

// Done is closed when the server has ended.
func (s *Server) Done() <-chan struct{} { return s.proc.done }

type serverLog struct{}

// HeldDir is a temporary directory held by this process.
type HeldDir struct{ Path string }

// HoldTempDir holds directories on Linux only.
func HoldTempDir(_, _ string) (*HeldDir, error) {
	_, err := Start(context.Background(), Config{})
	return nil, err
}

// Release removes the directory.
func (h *HeldDir) Release() error { return nil }
