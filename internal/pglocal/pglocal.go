// Package pglocal starts a PostgreSQL server of our own from installed server programs,
// for the demonstration and for tests. A crew's real server runs its own PostgreSQL; this is not for that.
//
// The server listens on a unix socket in a private directory and, unless Config.Port is set, nowhere else.
// The socket asks for no password (the directory is closed to other users); TCP, when asked for, is bound
// to 127.0.0.1 and wants a SCRAM password, which no role has until one is set with ALTER ROLE.
//
// The server ends with the program that started it, even when that program is killed: the kernel tells it to.
package pglocal

import (
	"context"
	"fmt"
	"log/slog"
	"net/url"
	"os/exec"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
)

// Superuser is the role initdb makes in every cluster. It owns the databases and runs the migrations.
// It is named for its part, not "postgres", so that nobody takes this server for the system's.
const Superuser = "longpoint_owner"

// socketPort numbers the socket's file when no TCP port is asked for. The directory is private, so it cannot clash.
const socketPort = 5432

// Config says which programs to run on which data.
type Config struct {
	// BinDir holds initdb and postgres. Empty means FindBinaries looks for them.
	BinDir string
	// DataDir is kept between runs and filled by initdb when empty. Started by root, the server runs as the
	// directory's owner, or as postgres, else nobody, where root owns it or it is missing.
	DataDir string
	// Fsync false is for data that may be thrown away: a power cut can ruin the cluster.
	Fsync bool
	// Port is the TCP port on 127.0.0.1. 0 means the unix socket only.
	Port int
	// Settings are further server settings, by name, as postgresql.conf spells them.
	Settings map[string]string
	// Logger takes the server's own log. Nil drops it.
	Logger *slog.Logger
}

// Server is a running PostgreSQL. Stop it when done.
type Server struct {
	bin, dataDir string
	port         int
	account      account
	cfg          Config
	log          *slog.Logger
	socket       *HeldDir
	proc         *process
	stop         func(context.Context) error
}

// SocketDir is the private directory of the unix socket. It changes at every Start.
func (s *Server) SocketDir() string { return s.socket.Path }

// Port is the number in the socket's file name, and the TCP port where one was asked for.
func (s *Server) Port() int { return s.port }

// DSN is the address of a database for a role, over the unix socket. The socket's path is in the query, escaped:
// as a host in the address proper it would break at its first slash. libpq and pgx take a plus there for a plus, so a space is written out.
func (s *Server) DSN(dbname, user string) string {
	q := url.Values{}
	q.Set("host", s.SocketDir())
	q.Set("port", strconv.Itoa(s.port))
	q.Set("sslmode", "disable")
	u := url.URL{Scheme: "postgres", User: url.User(user), Path: "/" + dbname, RawQuery: strings.ReplaceAll(q.Encode(), "+", "%20")}
	return u.String()
}

// EnsureDatabase creates the database when the cluster lacks it.
func (s *Server) EnsureDatabase(ctx context.Context, name string) error {
	conn, err := pgx.Connect(ctx, s.DSN("postgres", Superuser))
	if err != nil {
		return fmt.Errorf("connecting to create database %s: %w", name, err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	var exists bool
	if err := conn.QueryRow(ctx, `select exists (select from pg_database where datname = $1)`, name).Scan(&exists); err != nil {
		return fmt.Errorf("looking for database %s: %w", name, err)
	}
	if exists {
		return nil
	}
	if _, err := conn.Exec(ctx, `create database `+pgx.Identifier{name}.Sanitize()); err != nil {
		return fmt.Errorf("creating database %s: %w", name, err)
	}
	return nil
}

// process is one run of the postgres program.
type process struct {
	cmd  *exec.Cmd
	done chan struct{} // closed when the postmaster has been waited for
	log  *serverLog
}

// account is the user the server runs as.
type account struct {
	uid, gid int
	name     string
	drop     bool // we are root and must become this user
}
