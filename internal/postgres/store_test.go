package postgres_test

import (
	"os"
	"testing"

	"longpoint/internal/postgres/storetest"
	"longpoint/internal/testdb"
)

func TestMain(m *testing.M) { os.Exit(testdb.LeakFree(m)) }

func TestStore(t *testing.T) { storetest.Run(t) }
