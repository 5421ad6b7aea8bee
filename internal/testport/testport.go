// Package testport finds ports for servers that tests start.
package testport

import (
	"net"
	"testing"
)

// Free is a port of the loopback that nobody listened on a moment ago. Another may take it before it is used.
func Free(t testing.TB) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	return l.Addr().(*net.TCPAddr).Port
}
