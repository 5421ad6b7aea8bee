// Package store_test runs the store's tests against PostgreSQL in a container, and brings
// up docker-compose.yml. run.sh gives it an engine and an image:
//
//	tests/store/run.sh -run Compose -v
//
// LONGPOINT_PG_IMAGE is the image (an official PostgreSQL image unless set).
// LONGPOINT_CONTAINERS=required makes a missing engine a failure. Otherwise everything here
// is skipped where no engine answers, and says so.
package store_test

import (
	"cmp"
	"context"
	"crypto/rand"
	"fmt"
	"net"
	"os"
	"os/signal"
	"syscall"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx" that the wait below uses
	"github.com/moby/moby/api/types/network"
	"github.com/testcontainers/testcontainers-go"
	"github.com/testcontainers/testcontainers-go/log"
	"github.com/testcontainers/testcontainers-go/wait"

	"longpoint/internal/testdb"
)

const (
	// startLimit is for initdb and the first start on a busy machine; two seconds are usual.
	startLimit = 3 * time.Minute
	// engineLimit is how long an engine may take to say that it is there.
	engineLimit = 20 * time.Second
	// stopGrace is how long a container may take to stop before it is killed.
	stopGrace = 10 * time.Second
	port      = "5432/tcp"
)

// noEngine says why everything is skipped, "" when nothing is.
var noEngine string

func TestMain(m *testing.M) { os.Exit(run(m)) }

// run returns instead of exiting, so that the container goes whatever happens.
func run(m *testing.M) (code int) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	log.SetDefault(quiet{})
	if err := engineAnswers(ctx); err != nil {
		if os.Getenv("LONGPOINT_CONTAINERS") == "required" {
			fmt.Fprintf(os.Stderr, "tests/store: the container engine does not answer: %v\n", err)
			return 1
		}
		noEngine = fmt.Sprintf("no container engine answers (%v); tests/store/run.sh starts one", err)
		fmt.Fprintf(os.Stderr, "\n*** SKIPPED: tests/store: %s ***\n\n", noEngine)
		return m.Run()
	}
	container, url, err := startPostgres(ctx)
	defer func() {
		if err := testcontainers.TerminateContainer(container, testcontainers.StopTimeout(stopGrace)); err != nil {
			fmt.Fprintf(os.Stderr, "tests/store: removing the container: %v\n", err)
			code = max(code, 1)
		}
	}()
	if err != nil {
		fmt.Fprintf(os.Stderr, "tests/store: starting PostgreSQL in a container: %v\n", err)
		return 1
	}
	if err := os.Setenv(testdb.URLEnv, url); err != nil {
		fmt.Fprintf(os.Stderr, "tests/store: %v\n", err)
		return 1
	}
	ended := make(chan int, 1)
	go func() { ended <- testdb.Main(m) }()
	select {
	case code = <-ended:
		return code
	case <-ctx.Done():
		return 130
	}
}

func engineAnswers(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, engineLimit)
	defer cancel()
	answer := make(chan error, 1)
	go func() {
		// Looking for an engine panics in some versions of the library where there is none.
		defer func() {
			if r := recover(); r != nil {
				answer <- fmt.Errorf("%v", r)
			}
		}()
		provider, err := testcontainers.NewDockerProvider()
		if err == nil {
			err = provider.Health(ctx)
		}
		answer <- err
	}()
	select {
	case err := <-answer:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

// image is the PostgreSQL to test with.
func image() string {
	return cmp.Or(os.Getenv("LONGPOINT_PG_IMAGE"), "docker.io/library/postgres:15-bookworm")
}

// runName marks what this run makes, so that run.sh can remove what a killed test left.
func runName() string { return cmp.Or(os.Getenv("LONGPOINT_CONTAINER_RUN"), "alone") }

func startPostgres(ctx context.Context) (testcontainers.Container, string, error) {
	password := rand.Text()
	address := func(host string, p network.Port) string {
		return fmt.Sprintf("postgres://longpoint_owner:%s@%s/postgres?sslmode=disable", password, net.JoinHostPort(host, p.Port()))
	}
	c, err := testcontainers.Run(ctx, image(),
		testcontainers.WithEnv(map[string]string{"POSTGRES_USER": "longpoint_owner", "POSTGRES_PASSWORD": password}),
		// Every test has a database and some pools of its own. The data is thrown away: no need
		// to wait for a disk.
		testcontainers.WithCmd("postgres", "-c", "max_connections=300", "-c", "fsync=off"),
		testcontainers.WithExposedPorts(port),
		testcontainers.WithLabels(map[string]string{"longpoint.run": runName()}),
		testcontainers.WithWaitStrategyAndDeadline(startLimit, wait.ForSQL(port, "pgx", address)),
	)
	if err != nil {
		return c, "", err
	}
	host, err := c.Host(ctx)
	if err != nil {
		return c, "", err
	}
	mapped, err := c.MappedPort(ctx, port)
	if err != nil {
		return c, "", err
	}
	return c, address(host, mapped), nil
}

// quiet drops the library's narration.
type quiet struct{}

func (quiet) Printf(string, ...any) {}
