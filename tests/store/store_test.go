package store_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/postgres/storetest"
	"longpoint/internal/testdb"
)

func needEngine(t *testing.T) {
	t.Helper()
	if noEngine != "" {
		t.Skip(noEngine)
	}
}

// TestStoreInContainer is the suite of internal/postgres against PostgreSQL in a container.
func TestStoreInContainer(t *testing.T) {
	needEngine(t)
	t.Parallel()
	conn, err := pgx.Connect(t.Context(), os.Getenv(testdb.URLEnv))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(t.Context())) }()
	var version, dataDirectory string
	if err := conn.QueryRow(t.Context(), `select version(), current_setting('data_directory')`).Scan(&version, &dataDirectory); err != nil {
		t.Fatal(err)
	}
	// The suite would start a server of its own if it were not told of the container's.
	if !strings.HasPrefix(dataDirectory, "/var/lib/postgresql") {
		t.Fatalf("the server's data is in %s: want a container's", dataDirectory)
	}
	t.Logf("image %s: %s", image(), version)
	storetest.Run(t)
}
