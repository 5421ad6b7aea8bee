//go:build linux

package pglocal

import (
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

func TestTheServerIsSetUpAsPromised(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	for _, fsync := range []bool{true, false} {
		s := mustStart(t, Config{DataDir: filepath.Join(place(t), "data"), Fsync: fsync})
		conn, err := pgx.Connect(ctx, s.DSN("postgres", Superuser))
		if err != nil {
			t.Fatalf("connecting: %v", err)
		}
		on := map[bool]string{true: "on", false: "off"}[fsync]
		for name, want := range map[string]string{
			"fsync": on, "full_page_writes": on, "synchronous_commit": on, "listen_addresses": "",
			"server_encoding": "UTF8", "lc_collate": "C.UTF-8", "lc_ctype": "C.UTF-8", "TimeZone": "UTC", "is_superuser": "on",
		} {
			var got string
			err := conn.QueryRow(ctx, `select current_setting($1, true)`, name).Scan(&got)
			if name == "lc_collate" || name == "lc_ctype" { // settings no more from PostgreSQL 16 on
				err = conn.QueryRow(ctx, `select datcollate from pg_database where datname = 'postgres' and datcollate = datctype`).Scan(&got)
			}
			if err != nil || got != want {
				t.Errorf("with fsync %v, %s: got %q (%v), want %q", fsync, name, got, err, want)
			}
		}
		_ = conn.Close(ctx)
		if len(s.SocketDir()) > 80 {
			t.Errorf("socket directory: %d bytes, too near the limit of 104 with the file's name", len(s.SocketDir()))
		}
		info, err := os.Stat(s.SocketDir())
		if err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("socket directory: got %v (%v), want mode 0700", info, err)
		}
	}
}

func TestTCPIsLoopbackWithAPassword(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := taken.Addr().(*net.TCPAddr).Port
	dir := filepath.Join(place(t), "data")
	_, err = Start(ctx, Config{DataDir: dir, Port: port})
	wantSentence(t, err, Busy, fmt.Sprintf("Port %d on 127.0.0.1 is taken by another program: choose another port, or none to use the socket alone.", port))
	if err := taken.Close(); err != nil {
		t.Fatal(err)
	}
	s := mustStart(t, Config{DataDir: dir, Port: port})
	if err := writeRow(ctx, s, "by the socket"); err != nil {
		t.Errorf("over the socket: %v", err)
	}
	tcp := fmt.Sprintf("postgres://%s@127.0.0.1:%d/postgres?sslmode=disable", Superuser, port)
	if conn, err := pgx.Connect(ctx, tcp); err == nil {
		_ = conn.Close(ctx)
		t.Error("over TCP without a password: got in, want to be refused")
	} else if !strings.Contains(err.Error(), "password") {
		t.Errorf("over TCP without a password: got %v, want a refusal for the password", err)
	}
}

func TestEnsureDatabase(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	s := mustStart(t, Config{DataDir: filepath.Join(place(t), "data")})
	const name = `Long "point" & co`
	for range 2 {
		if err := s.EnsureDatabase(ctx, name); err != nil {
			t.Fatalf("EnsureDatabase: %v", err)
		}
	}
	conn, err := pgx.Connect(ctx, s.DSN(name, Superuser))
	if err != nil {
		t.Fatalf("connecting by DSN: %v", err)
	}
	defer func() { _ = conn.Close(ctx) }()
	var got string
	if err := conn.QueryRow(ctx, `select current_database()`).Scan(&got); err != nil || got != name {
		t.Errorf("database behind DSN: got %q (%v), want %q", got, err, name)
	}
}

// The address is read by libpq's rules, not the web's.
func TestDSNEscapesTheSocketsPath(t *testing.T) {
	t.Parallel()
	const dir = `/tmp/a b+c&d=e%f?#é`
	s := &Server{socket: &HeldDir{Path: dir}, port: 6000}
	got, err := pgx.ParseConfig(s.DSN("my db", "my user"))
	if err != nil {
		t.Fatalf("pgx reading the DSN: %v", err)
	}
	if got.Host != dir || got.Port != 6000 || got.Database != "my db" || got.User != "my user" || got.TLSConfig != nil {
		t.Errorf("DSN as pgx reads it: got host %q port %d database %q user %q TLS %v", got.Host, got.Port, got.Database, got.User, got.TLSConfig != nil)
	}
}
