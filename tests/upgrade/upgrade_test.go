// Package upgrade holds the promise that a service is brought to a new version while people work: yesterday's program
// runs on today's schema, and a step back is possible on filled tables.
package upgrade

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/demo"
	"longpoint/internal/postgres"
	"longpoint/internal/postgres/storetest"
	"longpoint/internal/testdb"
	"longpoint/migrations"
)

func TestMain(m *testing.M) { os.Exit(testdb.LeakFree(m)) }

// TestYesterdaysStatementsRunOnTodaysSchema holds every statement that a recorded release sends (DEVELOPERS.md, "a
// release") against the newest schema, as the service's role: the server plans each, which takes its tables, columns,
// types, functions, constraints named in it, and the role's right to them.
func TestYesterdaysStatementsRunOnTodaysSchema(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("v*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("recordings: %v, %v: want at least one", files, err)
	}
	for _, file := range files {
		t.Run(file, func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			var statements []string
			if err := json.Unmarshal(text, &statements); err != nil {
				t.Fatal(err)
			}
			db := testdb.New(t)
			conn, err := pgx.Connect(t.Context(), db.AppURL)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = conn.Close(context.Background()) }()
			planned := 0
			for i, sql := range statements {
				if err := plan(t.Context(), conn, "s"+strconv.Itoa(i), sql); err != nil {
					t.Errorf("yesterday's program is refused: %v\n%s", err, sql)
				}
				planned++
			}
			t.Logf("%s: %d statements planned on step %d", file, planned, migrations.Head())
			if planned < 60 {
				t.Errorf("%d statements: want those of a whole service", planned)
			}
			// The check itself can fail.
			if plan(t.Context(), conn, "gone", `select no_such_column from jobs`) == nil || plan(t.Context(), conn, "barred", `delete from entries`) == nil {
				t.Error("a missing column and a missing right were planned")
			}
		})
	}
}

var parameter = regexp.MustCompile(`\$(\d+)`)

// plan prepares a statement and has the server plan it for null values: rights are looked at then.
func plan(ctx context.Context, conn *pgx.Conn, name, sql string) error {
	most := 0
	for _, m := range parameter.FindAllStringSubmatch(sql, -1) {
		n, _ := strconv.Atoi(m[1])
		most = max(most, n)
	}
	exec := func(sql string) error {
		_, err := conn.Exec(ctx, sql, pgx.QueryExecModeSimpleProtocol)
		return err
	}
	if err := exec("prepare " + name + " as " + sql); err != nil {
		return err
	}
	args := ""
	if most > 0 {
		args = "(" + strings.TrimSuffix(strings.Repeat("null, ", most), ", ") + ")"
	}
	return exec("explain execute " + name + args)
}

// What a step may not do to what was there before it: yesterday's program still runs then.
var (
	takesAway = regexp.MustCompile(`(?i)\b(drop\s+table|drop\s+column|drop\s+view|drop\s+function\s+\w+|rename\s+(?:to|column|constraint)|` +
		`alter\s+column\s+\w+\s+(?:set\s+not\s+null|(?:set\s+data\s+)?type)|revoke\s+[\w\s,]+\s+on\s+[^;]*\bfrom\s+longpoint_app)`)
	dropFunction = regexp.MustCompile(`(?i)^drop\s+function\s+(\w+)$`)
	addColumn    = regexp.MustCompile(`(?i)\badd\s+column\s+(?:if\s+not\s+exists\s+)?\w+[^,;]*`)
	comment      = regexp.MustCompile(`(?m)--.*$`)
)

// tightened says what of a step's text yesterday's program would trip over.
func tightened(text string) (out []string) {
	text = comment.ReplaceAllString(text, "")
	for _, bad := range takesAway.FindAllString(text, -1) {
		// A function made again in the same step, which is one transaction, may say more: the recorded statements are
		// planned on it.
		if m := dropFunction.FindStringSubmatch(bad); m != nil && strings.Contains(text, "create function "+m[1]+"(") {
			continue
		}
		out = append(out, bad)
	}
	for _, c := range addColumn.FindAllString(text, -1) {
		low := strings.ToLower(c)
		if strings.Contains(low, "not null") && !strings.Contains(low, "default") && !strings.Contains(low, "generated") {
			out = append(out, c)
		}
	}
	return out
}

func TestStepsOnlyAdd(t *testing.T) {
	t.Parallel()
	names, err := fs.Glob(migrations.FS, "*.up.sql")
	if err != nil || len(names) == 0 {
		t.Fatalf("steps: %v, %v", names, err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range tightened(string(text)) {
			t.Errorf("%s: %q takes something from yesterday's program: add beside it, and take away a release later", name, bad)
		}
	}
	for text, want := range map[string]int{
		`alter table jobs drop column name;`:                                      1,
		`alter table jobs rename column name to title;`:                           1,
		`alter table jobs add column n int not null;`:                             1,
		`alter table jobs add column n int not null default 0, add column m int;`: 0,
		`alter table jobs alter column name type varchar(10);`:                    1,
		`alter table jobs alter column name drop not null;`:                       0,
		`drop function f(int); create function g(int)`:                            1,
		`drop function f(int); create function f(int)`:                            0,
		`-- drop table jobs`:                                                      0,
	} {
		if got := tightened(text); len(got) != want {
			t.Errorf("%s: got %q, want %d found", text, got, want)
		}
	}
}

// filledDatabase has the invented house in it, and something in every table.
func filledDatabase(t *testing.T) *testdb.DB {
	t.Helper()
	return filled(t, testdb.New(t))
}

func filled(t *testing.T, db *testdb.DB) *testdb.DB {
	t.Helper()
	load(t, db)
	storetest.Fill(t, db)
	return db
}

func load(t *testing.T, db *testdb.DB) {
	t.Helper()
	ctx := context.Background()
	clock := &demo.Clock{}
	pg, err := postgres.Open(ctx, db.AppURL, postgres.Options{Clock: clock.Now, MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	defer pg.Close()
	hasher, err := account.NewHasher(1)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := demo.Load(ctx, pg, nil, clock, hasher, time.Now()); err != nil {
		t.Fatal(err)
	}
}

// rows counts each table's rows.
func rows(t *testing.T, db *testdb.DB) map[string]int {
	t.Helper()
	out := map[string]int{}
	var names []string
	if err := db.Owner.QueryRow(context.Background(), `select coalesce(array_agg(relname::text), '{}') from pg_class
		where relnamespace = 'public'::regnamespace and relkind in ('r', 'p') and relname <> 'schema_migrations'`).Scan(&names); err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		var count int
		if err := db.Owner.QueryRow(context.Background(), `select count(*) from `+pgx.Identifier{n}.Sanitize()).Scan(&count); err != nil {
			t.Fatal(err)
		}
		out[n] = count
	}
	return out
}

// TestStepsBackOnFilledTables fills every table, the invented house too, and takes back one step, two, and so on to all,
// each time going forward again: what a step did not make keeps every row, and in the end the house is built anew. The
// owner is as the documentation has it made: the forced policies bind it, and a step that changes rows has to lift them.
func TestStepsBackOnFilledTables(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := testdb.Empty(t)
	owner := db.PlainOwner(t)
	if err := migrations.Up(ctx, owner); err != nil {
		t.Fatal(err)
	}
	filled(t, db)
	who, passphrase := someoneLeaves(t, db)
	full := rows(t, db)
	for name, n := range full {
		if n == 0 {
			t.Errorf("table %s is empty: fill it in internal/postgres/storetest/tenancy.go", name)
		}
	}
	for back := 1; back <= migrations.Count(); back++ {
		if err := migrations.Down(ctx, owner, back); err != nil {
			t.Fatalf("%d steps back: %v", back, err)
		}
		left := rows(t, db)
		if back == migrations.Count()-migrations.Through(peopleStep-1) {
			var still bool
			if err := db.Owner.QueryRow(ctx, `select passphrase_hash = $2 from people where person_id = $1`, who, passphrase).Scan(&still); err != nil || still {
				t.Errorf("before there was leaving, who left signs in with their passphrase: %t (%v), want nobody to know it", still, err)
			}
		}
		for name, n := range left {
			if n != full[name] {
				t.Errorf("%d steps back: table %s has %d rows, want its %d", back, name, n, full[name])
			}
		}
		if err := migrations.Up(ctx, owner); err != nil {
			t.Fatalf("%d steps back, then forward: %v", back, err)
		}
		again := rows(t, db)
		if !slices.Equal(slices.Sorted(maps.Keys(again)), slices.Sorted(maps.Keys(full))) {
			t.Errorf("%d steps back and forward: tables %v, want %v", back, again, full)
		}
		for name, n := range left {
			if again[name] != n {
				t.Errorf("%d steps back and forward: table %s has %d rows, want its %d", back, name, again[name], n)
			}
		}
		full = again
	}
	load(t, db)
	if n := rows(t, db)["entries"]; n == 0 {
		t.Error("the house was not built again")
	}
}

// peopleStep is the step from which somebody may have left the company.
const peopleStep = 7

// someoneLeaves lets an installer of the invented house go, and returns the hash of the passphrase they know.
func someoneLeaves(t *testing.T, db *testdb.DB) (who, hash string) {
	t.Helper()
	if err := db.Owner.QueryRow(t.Context(), `update people set left_at = now() where sign_in = 'tess' returning person_id::text, passphrase_hash`).
		Scan(&who, &hash); err != nil || hash == "" {
		t.Fatalf("somebody with a passphrase leaves: %q, %v", hash, err)
	}
	return who, hash
}

// Two nodes of the new version start at once on a filled schema of the old.
func TestTwoNodesBringTheSchemaUpAtOnce(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	db := filledDatabase(t)
	if err := migrations.Down(ctx, db.OwnerURL, 2); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error)
	for range 2 {
		go func() { ended <- migrations.Up(ctx, db.OwnerURL) }()
	}
	if err := errors.Join(<-ended, <-ended); err != nil {
		t.Error(err)
	}
	at, failed, err := migrations.Version(ctx, db.OwnerURL)
	if err != nil || failed || at != migrations.Head() {
		t.Errorf("step: got %d, failed %t (%v), want %d", at, failed, err, migrations.Head())
	}
	fmt.Printf("two nodes at once: step %d, once\n", at)
}

// What runs past the policies, across companies, is what deploy/growth.md names: whoever shards by company has to see to
// each of these.
func TestWhatCrossesCompaniesIsNamed(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../deploy/growth.md")
	if err != nil {
		t.Fatal(err)
	}
	db := testdb.New(t)
	var names []string
	if err := db.Owner.QueryRow(t.Context(), `select array_agg(distinct proname::text) from pg_proc
		where pronamespace = 'public'::regnamespace and prosecdef`).Scan(&names); err != nil {
		t.Fatal(err)
	}
	if len(names) < 8 {
		t.Errorf("functions that run as the owner: got %v, want eight at least", names)
	}
	for _, name := range names {
		if !strings.Contains(string(text), "`"+name+"`") {
			t.Errorf("%s runs as the owner, across companies: deploy/growth.md does not say what becomes of it", name)
		}
	}
}
