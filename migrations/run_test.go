package migrations_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"go.uber.org/goleak"

	"longpoint/internal/testdb"
	"longpoint/migrations"
)

// A step that is refused leaves the library's read-ahead of it without a reader, for good; the
// service ends with such a refusal.
func TestMain(m *testing.M) {
	os.Exit(testdb.LeakFree(m, goleak.IgnoreAnyFunction("github.com/golang-migrate/migrate/v4.(*Migration).Buffer")))
}

func TestStepsAreNumberedPairs(t *testing.T) {
	t.Parallel()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	var ups, downs []string
	for _, name := range names {
		if up, ok := strings.CutSuffix(name, ".up.sql"); ok {
			ups = append(ups, up)
		} else if down, ok := strings.CutSuffix(name, ".down.sql"); ok {
			downs = append(downs, down)
		} else {
			t.Errorf("%s: neither .up.sql nor .down.sql", name)
		}
	}
	if !slices.Equal(ups, downs) {
		t.Errorf("steps up %q, steps down %q: want the same", ups, downs)
	}
	last := ""
	for _, up := range ups { // a number may be left out, where work side by side took one each
		number, _, _ := strings.Cut(up, "_")
		if len(number) != 4 || strings.Trim(number, "0123456789") != "" || number <= last {
			t.Errorf("step %s: want it to begin with four digits, more than %s", up, last)
		}
		last = number
	}
	if got, want := migrations.Count(), len(ups); got != want {
		t.Errorf("Head: got %d, want %d", got, want)
	}
}

func TestUpDownUp(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.Empty(t)
	wantVersion(t, db.OwnerURL, 0)
	for range 2 { // the second has nothing to do
		if err := migrations.Up(ctx, db.OwnerURL); err != nil {
			t.Fatalf("Up: %v", err)
		}
		wantVersion(t, db.OwnerURL, migrations.Head())
	}
	if err := migrations.Down(ctx, db.OwnerURL, migrations.Count()); err != nil {
		t.Fatalf("Down: %v", err)
	}
	wantVersion(t, db.OwnerURL, 0)
	if err := migrations.Up(ctx, db.OwnerURL); err != nil {
		t.Fatalf("Up again: %v", err)
	}
	wantVersion(t, db.OwnerURL, migrations.Head())
	if err := migrations.Down(ctx, db.OwnerURL, 0); err == nil {
		t.Error("Down by 0 steps: got nil, want an error")
	}
	// A session that was closed takes a moment to end on the server, which tells nobody when.
	limit := time.After(10 * time.Second)
	for open := 1; open != 0; {
		err := db.Owner.QueryRow(ctx, `select count(*) from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()`).Scan(&open)
		if err != nil {
			t.Fatal(err)
		}
		select {
		case <-limit:
			t.Fatalf("connections the migrations left open: got %d, want 0", open)
		default:
		}
	}
}

func TestTheServiceReadsTheVersionAndCannotMigrate(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.New(t)
	wantVersion(t, db.AppURL, migrations.Head())
	if err := migrations.Down(ctx, db.AppURL, 1); err == nil {
		t.Error("Down as the service: got nil, want an error")
	}
	wantVersion(t, db.OwnerURL, migrations.Head())
}

func TestSeveralNodesMigrateOnce(t *testing.T) {
	t.Parallel()
	db := testdb.Empty(t)
	var wg sync.WaitGroup
	for range 5 {
		wg.Go(func() {
			if err := migrations.Up(context.Background(), db.OwnerURL); err != nil {
				t.Errorf("Up beside others: %v", err)
			}
		})
	}
	wg.Wait()
	wantVersion(t, db.OwnerURL, migrations.Head())
}

// Roles and their settings belong to the cluster: migrations of several databases meet there.
func TestSeveralDatabasesMakeTheRoleAtOnce(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	text, err := fs.ReadFile(migrations.FS, "0001_roles_and_settings.up.sql")
	if err != nil {
		t.Fatal(err)
	}
	block, _, ok := strings.Cut(string(text), "$$;")
	if !ok {
		t.Fatal("0001 has no block to test")
	}
	// A role of this test's own, so that others' databases do not lose theirs.
	block = strings.ReplaceAll(block+"$$;", "longpoint_app", "longpoint_race")
	var dbs []*testdb.DB
	for range 4 {
		dbs = append(dbs, testdb.Empty(t))
	}
	t.Cleanup(func() { _, _ = dbs[0].Owner.Exec(ctx, `drop role if exists longpoint_race`) })
	for round := range 10 {
		if _, err := dbs[0].Owner.Exec(ctx, `drop role if exists longpoint_race`); err != nil {
			t.Fatal(err)
		}
		var wg sync.WaitGroup
		for _, db := range dbs {
			wg.Go(func() {
				if _, err := db.Owner.Exec(ctx, block); err != nil {
					t.Errorf("round %d: making the role beside others: %v", round, err)
				}
			})
		}
		wg.Wait()
		var settings []string
		err := dbs[0].Owner.QueryRow(ctx, `select rolconfig from pg_roles where rolname = 'longpoint_race'`).Scan(&settings)
		want := []string{"TimeZone=UTC", "idle_in_transaction_session_timeout=60s"}
		if err != nil || !slices.Equal(settings, want) {
			t.Errorf("round %d: the role's settings: got %q (%v), want %q", round, settings, err, want)
		}
	}
}

func TestARoleThatPoliciesDoNotBindIsRefused(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.Empty(t)
	text, err := fs.ReadFile(migrations.FS, "0001_roles_and_settings.up.sql")
	if err != nil {
		t.Fatal(err)
	}
	block, _, _ := strings.Cut(string(text), "$$;")
	for setup, want := range map[string]string{
		`create role longpoint_loose login bypassrls`: "must not be a superuser or bypass row-level security",
		`create role longpoint_loose login superuser`: "must not be a superuser or bypass row-level security",
		`create role longpoint_loose login; do $d$ begin execute format('grant %I to longpoint_loose', current_user); end $d$`: "must not be a member of the owner's role",
	} {
		err := pgx.BeginFunc(ctx, db.Owner, func(tx pgx.Tx) error {
			if _, err := tx.Exec(ctx, setup); err != nil {
				return fmt.Errorf("setting up: %w", err)
			}
			_, err := tx.Exec(ctx, strings.ReplaceAll(block+"$$;", "longpoint_app", "longpoint_loose"))
			return err
		})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("after %q: got %v, want an error with %q", setup, err, want)
		}
	}
}

func TestWaitingForTheTurnHeedsTheContext(t *testing.T) {
	t.Parallel()
	db := testdb.Empty(t)
	ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
	defer cancel()
	const waitKey = 0x6c6f6e67706f696e // another node at work
	err := pgx.BeginFunc(context.Background(), db.Owner, func(tx pgx.Tx) error {
		if _, err := tx.Exec(context.Background(), `select pg_advisory_xact_lock($1)`, int64(waitKey)); err != nil {
			t.Fatal(err)
		}
		return migrations.Up(ctx, db.OwnerURL)
	})
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("Up behind another node: got %v, want the context's end", err)
	}
	wantVersion(t, db.OwnerURL, 0)
}

// Yesterday's program restarts while today's schema is already in place.
func TestASchemaBeyondHeadIsLeftAlone(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.New(t)
	beyond := migrations.Head() + 3
	if _, err := db.Owner.Exec(ctx, `update schema_migrations set version = $1`, int64(beyond)); err != nil {
		t.Fatal(err)
	}
	if err := migrations.Up(ctx, db.OwnerURL); err != nil {
		t.Errorf("Up on a newer schema: got %v, want nil", err)
	}
	wantVersion(t, db.OwnerURL, beyond)
}

func TestAFailedStepIsNamed(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.New(t)
	if _, err := db.Owner.Exec(ctx, `update schema_migrations set dirty = true`); err != nil {
		t.Fatal(err)
	}
	err := migrations.Up(ctx, db.OwnerURL)
	want := fmt.Sprintf("migration %d failed part way", migrations.Head())
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("Up on a failed step: got %v, want it to say %q", err, want)
	}
	if _, dirty, err := migrations.Version(ctx, db.OwnerURL); err != nil || !dirty {
		t.Errorf("Version: got dirty %v (%v), want true", dirty, err)
	}
}

func wantVersion(t *testing.T, address string, want uint) {
	t.Helper()
	got, dirty, err := migrations.Version(context.Background(), address)
	if err != nil || dirty || got != want {
		t.Errorf("version: got %d, dirty %v (%v), want %d, clean", got, dirty, err, want)
	}
}
