package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"longpoint/internal/testdb"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestMain(m *testing.M) {
	// The session manager makes a store of its own before it is given ours.
	os.Exit(testdb.LeakFree(m, goleak.IgnoreAnyFunction("github.com/alexedwards/scs/v2/memstore.(*MemStore).startCleanup")))
}

type result struct {
	code     int
	out, err string
}

// longpoint runs the program as the command line would.
func longpoint(ctx context.Context, env map[string]string, in string, args ...string) result {
	var out, err bytes.Buffer
	code := run(ctx, args, system{in: strings.NewReader(in), out: &out, err: &err, env: func(k string) string { return env[k] }})
	return result{code, out.String(), err.String()}
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestTheCalculatorPrints(t *testing.T) {
	t.Parallel()
	chain := readFile(t, "testdata/chain.json")
	for golden, c := range map[string]struct {
		in   string
		args []string
	}{
		"length.txt":  {"", []string{"cut", "length", "79 5/8 +", "--explain"}},
		"length.json": {"", []string{"cut", "length", "--json", "79", "5/8", "+"}},
		"metric.txt":  {"", []string{"cut", "length", "2018.5", "--unit", "mm", "--step=0.5"}},
		"door.txt":    {chain, []string{"cut", "door", "--explain"}},
		"crown.txt":   {"", []string{"cut", "crown", "--spring", "38", "--corner", "90", "--explain"}},
		"crown.json":  {"", []string{"cut", "crown", "--json", "--spring", "45", "--corner", "135"}},
	} {
		got := longpoint(context.Background(), nil, c.in, c.args...)
		if got.code != exitDone || got.err != "" {
			t.Errorf("%s: got code %d, %q, want 0 and nothing on standard error", c.args, got.code, got.err)
		}
		path := filepath.Join("testdata", golden)
		if *update {
			if err := os.WriteFile(path, []byte(got.out), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if want := readFile(t, path); got.out != want {
			t.Errorf("%s: got\n%s\nwant %s (-update writes it anew)\n%s", c.args, got.out, path, want)
		}
	}
}

// The worked chain, as any crew can redo it on paper (common practice).
func TestTheDoorsNumbers(t *testing.T) {
	t.Parallel()
	got := longpoint(context.Background(), nil, readFile(t, "testdata/chain.json"), "cut", "door", "--json")
	var sheet struct {
		Cuts []struct {
			Piece string
			Value struct{ Length int64 }
		}
		Values []struct {
			Name  string
			Value int64
		}
	}
	if err := json.Unmarshal([]byte(got.out), &sheet); err != nil || got.code != exitDone {
		t.Fatalf("got code %d, %s (%v)", got.code, got.err, err)
	}
	const eighth = 25_400_000 / 8
	want := map[string]int64{ // in eighths of an inch
		"leg_hinge": 80*8 + 1, "leg_strike": 80*8 + 2, "slab": 79*8 + 1, "casing_a_head": 36 * 8, "casing_a_leg_hinge": 79*8 + 5,
		"frame_width": 29*8 + 4, "shim_total": 4, "head_underside": 79*8 + 4, "slab_trim": 7, "reveal_to_reveal": 28*8 + 4,
	}
	numbers := map[string]int64{}
	for _, c := range sheet.Cuts {
		numbers[c.Piece] = c.Value.Length
	}
	for _, v := range sheet.Values {
		numbers[v.Name] = v.Value
	}
	for name, eighths := range want {
		if got, ok := numbers[name]; !ok || got != eighths*eighth {
			t.Errorf("%s: got %d nm (there %v), want %d", name, got, ok, eighths*eighth)
		}
	}
}

// What is ripped says its width in the table: strips of the 5/16 the jamb is short, casing of what
// the wall leaves. A rip to a space never rounds up: 39.4 mm, jamb 5/8 and shim 1/4, less the 1/8
// reveal, leave 2.3012 in, which is 2 1/4 heavy.
func TestTheTableSaysWhatIsRipped(t *testing.T) {
	t.Parallel()
	chain := strings.Replace(readFile(t, "testdata/chain.json"), `"wall_build_up": "4 9/16"`, `"wall_build_up": "4 7/8", "space_a_hinge": "2", "space_b_strike": "39.4 mm"`, 1)
	got := longpoint(context.Background(), nil, chain, "cut", "door").out
	for _, want := range []string{
		`extension strip, leg, hinge side +\S.*\n +rip to 5/16 wide *\n`, `extension strip, head .*\n +rip to 5/16 wide *\n`,
		`casing leg, face A, hinge side .*\n +rip to 1 3/4 wide *\n`, // 2 7/8 less the reveal, and 1 for the head's ear
		`casing leg, face B, strike side .*\n +rip to 2 1/4 heavy wide *\n`,
		`rip the 2 3/4 casing to 2 1/4 heavy\.`, `The leg on the strike side is ripped to 2 1/4 heavy\.`,
	} {
		if !regexp.MustCompile(want).MatchString(got) {
			t.Errorf("want %s in\n%s", want, got)
		}
	}
	if strings.Contains(got, "2 5/16") {
		t.Errorf("a rip rounds up:\n%s", got)
	}
}

// --unit says what a bare number in quotes is, for an opening as for a length: the help's door with its
// inches written as millimeters is the same door.
func TestUnitIsThatOfABareNumber(t *testing.T) {
	t.Parallel()
	help := longpoint(context.Background(), nil, "", "cut", "door", "--help").out
	door := regexp.MustCompile(`(?ms)^    \{$.*^    \}$`).FindString(help)
	if door == "" {
		t.Fatalf("no door in the help:\n%s", help)
	}
	metric := strings.NewReplacer(`"28"`, `"711.2"`, `"80"`, `"2032"`, `"1 3/8"`, `"34.925"`, `"5/8"`, `"15.875"`, `"4 9/16"`, `"115.8875"`, `"30"`, `"762"`,
		`"762 mm"`, `"30 in"`, `"82"`, `"2082.8"`, `"-1/8"`, `"-3.175"`, `"2 1/4"`, `"57.15"`, `"9/16"`, `"14.2875"`).Replace(door)
	numbers := func(in string, args ...string) any {
		got := longpoint(context.Background(), nil, in, append([]string{"cut", "door", "--json"}, args...)...)
		var sheet struct{ Cuts, Values []struct{ Value any } }
		if err := json.Unmarshal([]byte(got.out), &sheet); err != nil || len(sheet.Cuts) == 0 {
			t.Fatalf("%v: got %d, %s %s (%v)", args, got.code, got.out, got.err, err)
		}
		return sheet
	}
	if in, mm := numbers(door), numbers(metric, "--unit", "mm"); !reflect.DeepEqual(in, mm) {
		t.Errorf("in inches\n%+v\nin millimeters\n%+v", in, mm)
	}
	if a, b := longpoint(context.Background(), nil, "", "cut", "length", "762", "--unit", "mm").out, "30\n"; !strings.Contains(a, "inches  "+b) {
		t.Errorf("cut length 762 --unit mm: got %s, want 30 in", a)
	}
}

// Miter-saw manuals print 31.62 and 33.86 for 38 degree crown in a square corner.
func TestTheCrownsNumbers(t *testing.T) {
	t.Parallel()
	got := longpoint(context.Background(), nil, "", "cut", "crown", "--spring", "38", "--corner", "90", "--json")
	var a struct {
		MiterDeg float64 `json:"miter_deg"`
		BevelDeg float64 `json:"bevel_deg"`
	}
	if err := json.Unmarshal([]byte(got.out), &a); err != nil {
		t.Fatal(err)
	}
	if m, b := fmt.Sprintf("%.2f", a.MiterDeg), fmt.Sprintf("%.2f", a.BevelDeg); m != "31.62" || b != "33.86" {
		t.Errorf("38° crown in a square corner: got miter %s, bevel %s, want 31.62 and 33.86", m, b)
	}
	if !strings.Contains(got.out, fmt.Sprintf("%.4f", a.MiterDeg)[:6]) {
		t.Errorf("digits: got %s, want at least four places", got.out)
	}
}

func TestExitCodes(t *testing.T) {
	t.Parallel()
	chain := readFile(t, "testdata/chain.json")
	tight := strings.ReplaceAll(chain, `"30"`, `"29 5/8"`) // 1/8 of shim space
	for _, c := range []struct {
		args []string
		in   string
		code int
		says string
	}{
		{[]string{"cut", "length", "79 5/7"}, "", 1, "5/7 is not a tape fraction"},
		{[]string{"cut", "length", "--", "-5/8"}, "", 1, "cannot be negative"},
		{[]string{"cut", "length"}, "", 2, "needs more"},
		{[]string{"cut", "length", "1", "--unit", "ell"}, "", 2, "in or mm"},
		{[]string{"cut", "length", "1", "--step", "7"}, "", 2, "16 or 32"},
		{[]string{"cut", "door"}, "", 1, "not JSON"},
		{[]string{"cut", "door"}, `{"unit":{"kind":"door"},"readings":{"width_top":"3"}}`, 1, "."},
		{[]string{"cut", "door"}, `{"unit":{},"readings":{"width_tpo":"3"}}`, 1, "width_tpo"},
		{[]string{"cut", "door", "/nowhere/at/all"}, "", 1, "cannot be read"},
		{[]string{"cut", "door", "a", "b"}, "", 2, "one word too many"},
		{[]string{"cut", "door"}, `{"unit":{},"readings":{"width_middle":30}}`, 1, `The 30 in readings.width_middle says no unit`},
		{[]string{"cut", "door", "--json"}, tight, 0, ""},
		{[]string{"cut", "door", "--json", "--strict"}, tight, 1, "A stop stands"},
		{[]string{"cut", "door", "--strict"}, chain, 0, ""},
		{[]string{"cut", "crown", "--spring", "38"}, "", 2, "both angles"},
		{[]string{"cut", "crown", "--spring", "2", "--corner", "90"}, "", 1, "spring angle of 2"},
		{[]string{"cut", "crown", "--spring", "x", "--corner", "90"}, "", 2, "spring"},
		{[]string{"cut", "gable"}, "", 2, "length, door, crown"},
		{[]string{"--help"}, "", 0, ""},
		{[]string{"cut", "door", "--help"}, "", 0, ""},
		{[]string{"version"}, "", 0, ""},
		{nil, "", 2, "Say what to do"},
		{[]string{"serve"}, "", 1, "DATABASE_URL is not set"},
		{[]string{"serve", "now"}, "", 2, "one word too many"},
		{[]string{"migrate", "up"}, "", 1, "LONGPOINT_OWNER_URL"},
		{[]string{"migrate", "down", "some"}, "", 2, "number of steps"},
		{[]string{"rebuild", "--check"}, "", 1, "LONGPOINT_OWNER_URL"},
		{[]string{"verify"}, "", 1, "LONGPOINT_OWNER_URL"},
		{[]string{"verify", "--job", "x"}, "", 2, "--company"},
		{[]string{"doctor"}, "", 1, "must be set right"},
	} {
		got := longpoint(context.Background(), map[string]string{"LONGPOINT_ADDR": "127.0.0.1:0"}, c.in, c.args...)
		if got.code != c.code || !strings.Contains(got.err, c.says) {
			t.Errorf("%q: got %d, %q, want %d and %q", c.args, got.code, got.err, c.code, c.says)
		}
		if c.code != 0 {
			checkSentence(t, c.args, got)
		}
	}
}

// TestCutHelpTellsTheExitCodes wants them wherever somebody who writes a script would ask, and
// holds what they say to what is done: a refusal prints nothing, --strict prints the sheet.
func TestCutHelpTellsTheExitCodes(t *testing.T) {
	t.Parallel()
	run := func(in string, args ...string) result {
		return longpoint(context.Background(), map[string]string{}, in, append([]string{"cut"}, args...)...)
	}
	for _, of := range [][]string{{"--help"}, {"length", "--help"}, {"door", "--help"}, {"crown", "--help"}, {"run", "--help"}} {
		got := run("", of...)
		for _, want := range []string{"\nExit codes", "\n  0  worked out", "\n  1  refused", "\n  2  a wrong command line"} {
			if got.code != exitDone || !strings.Contains(got.out, want) {
				t.Errorf("cut %q: exits with %d and does not say %q:\n%s", of, got.code, want, got.out)
			}
		}
	}
	tight := strings.ReplaceAll(readFile(t, "testdata/chain.json"), `"30"`, `"29 5/8"`)
	for _, c := range []struct {
		name    string
		got     result
		code    int
		printed bool
	}{
		{"a stop", run(tight, "door"), exitDone, true},
		{"a stop, strictly", run(tight, "door", "--strict"), exitRefused, true},
		{"no length", run("", "length", "79 5/7", "--json"), exitRefused, false},
		{"no such spring", run("", "crown", "--spring", "2", "--corner", "90", "--json"), exitRefused, false},
		{"not JSON", run("door", "door", "--json"), exitRefused, false},
		{"no walls", run("{}", "run", "--json"), exitRefused, false},
		{"half a command line", run("", "crown", "--corner", "90"), exitUsage, false},
	} {
		if c.got.code != c.code || (c.got.out != "") != c.printed {
			t.Errorf("%s: exits with %d and prints %q, want %d and printed %v", c.name, c.got.code, c.got.out, c.code, c.printed)
		}
	}
}

// checkSentence wants the last line of standard error to be one sentence.
func checkSentence(t *testing.T, what any, got result) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(got.err), "\n")
	last := lines[len(lines)-1]
	if !strings.HasPrefix(last, "longpoint: ") || !strings.HasSuffix(last, ".") {
		t.Errorf("%v: standard error ends with %q, want one sentence from longpoint", what, last)
	}
}

func TestDemoSaysWhatToDo(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = taken.Close() }()
	foreign := testdb.Empty(t)
	if _, err := foreign.Owner.Exec(context.Background(), `create table invoices (n int)`); err != nil {
		t.Fatal(err)
	}
	notTheOwner := testdb.Empty(t)
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "letter.txt"), []byte("Dear"), 0o644); err != nil {
		t.Fatal(err)
	}
	const free = "127.0.0.1:0"
	for name, c := range map[string]struct {
		env  map[string]string
		says string
	}{
		"a taken port":               {map[string]string{"LONGPOINT_ADDR": taken.Addr().String()}, "Another program listens on " + taken.Addr().String()},
		"no address":                 {map[string]string{"LONGPOINT_ADDR": "8080"}, "LONGPOINT_ADDR"},
		"a database elsewhere":       {map[string]string{"LONGPOINT_ADDR": free, "DATABASE_URL": "postgres://x@127.0.0.1:1/x"}, "does not answer"},
		"no address of a database":   {map[string]string{"LONGPOINT_ADDR": free, "DATABASE_URL": "the one downstairs"}, "cannot be read"},
		"somebody else's database":   {map[string]string{"LONGPOINT_ADDR": free, "DATABASE_URL": foreign.OwnerURL}, "name an empty database"},
		"a role that may not create": {map[string]string{"LONGPOINT_ADDR": free, "DATABASE_URL": notTheOwner.AppURL}, "may not create tables"},
		"a folder of something else": {map[string]string{"LONGPOINT_ADDR": free, "LONGPOINT_DEMO_DIR": full}, full},
	} {
		got := longpoint(context.Background(), c.env, "", "demo")
		if got.code != exitRefused || !strings.Contains(got.err, c.says) {
			t.Errorf("%s: got %d, %q, want 1 and %q", name, got.code, got.err, c.says)
		}
		checkSentence(t, name, got)
	}
}

// TestDemo starts the demonstration on an empty database, signs in, and starts it again.
func TestDemo(t *testing.T) {
	t.Parallel()
	db := testdb.Empty(t)
	for _, when := range []string{"the first time", "again"} {
		ctx, stop := context.WithCancel(context.Background())
		out := &watched{after: "Longpoint runs at ", ready: make(chan string, 1)}
		done := make(chan int, 1)
		var errs bytes.Buffer
		go func() {
			env := map[string]string{"LONGPOINT_ADDR": "127.0.0.1:0", "DATABASE_URL": db.OwnerURL, "LONGPOINT_PHOTO_DIR": t.TempDir(), "LONGPOINT_DEMO_DIR": filepath.Join(t.TempDir(), "demo")}
			done <- run(ctx, []string{"demo"}, system{in: strings.NewReader(""), out: out, err: &errs, env: func(k string) string { return env[k] }})
		}()
		var at string
		select {
		case at = <-out.ready:
		case code := <-done:
			t.Fatalf("%s: ended with %d, %s", when, code, &errs)
		case <-time.After(2 * time.Minute):
			t.Fatalf("%s: not ready after two minutes", when)
		}
		seeTheHouse(t, when, at)
		sameFromBoth(t, at)
		stop()
		if code := <-done; code != exitDone {
			t.Errorf("%s: stopped with %d, %s, want 0", when, code, &errs)
		}
		if text := out.text(); !strings.Contains(text, "ruth") || !strings.Contains(text, "/board") || !strings.Contains(text, "/bench") || !strings.Contains(text, "chalk line") || !strings.Contains(text, "/walk#") {
			t.Errorf("%s: printed %s, want who signs in where with what", when, text)
		}
	}
	check := longpoint(context.Background(), map[string]string{"LONGPOINT_OWNER_URL": db.OwnerURL}, "", "rebuild", "--check")
	if check.code != exitDone || !strings.Contains(check.out, "1 companies, 1 jobs,") || !strings.Contains(check.out, " 0 differences") {
		t.Errorf("rebuild --check of the demonstration: got %d, %s %s, want no differences", check.code, check.out, check.err)
	}
	seals := longpoint(context.Background(), map[string]string{"LONGPOINT_OWNER_URL": db.OwnerURL}, "", "verify")
	if seals.code != exitDone || seals.out != "0 seals, 0 wrong.\n" {
		t.Errorf("verify of a house with nothing signed: got %d, %s %s", seals.code, seals.out, seals.err)
	}
	version := longpoint(context.Background(), map[string]string{"DATABASE_URL": db.AppURL}, "", "migrate", "version")
	if version.code != exitDone || !strings.HasPrefix(version.out, "The schema is at step ") {
		t.Errorf("migrate version: got %d, %s %s", version.code, version.out, version.err)
	}
	superuser := longpoint(context.Background(), map[string]string{"DATABASE_URL": db.OwnerURL, "LONGPOINT_ADDR": "127.0.0.1:0"}, "", "serve")
	if superuser.code != exitRefused || !strings.Contains(superuser.err, "row-level security") {
		t.Errorf("serving as a superuser: got %d, %s, want it refused", superuser.code, superuser.err)
	}
}

// sameFromBoth wants what the terminal prints of an opening to be the JSON the API answers with.
func sameFromBoth(t *testing.T, at string) {
	t.Helper()
	chain := readFile(t, "testdata/chain.json")
	answer, err := http.Post(at+"/api/v1/cut/door", "application/json", strings.NewReader(chain))
	if err != nil {
		t.Fatal(err)
	}
	defer http.DefaultClient.CloseIdleConnections()
	defer func() { _ = answer.Body.Close() }()
	b, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("cut/door: %s, %s (%v)", answer.Status, b, err)
	}
	printed := longpoint(context.Background(), map[string]string{}, chain, "cut", "door", "--json")
	var api, cli map[string]any
	if err := errors.Join(json.Unmarshal(b, &api), json.Unmarshal([]byte(printed.out), &cli)); err != nil {
		t.Fatal(err)
	}
	delete(api, "$schema") // where the answer is described, of the API alone
	if len(cli["cuts"].([]any)) == 0 || !reflect.DeepEqual(api, cli) {
		t.Errorf("the API answers\n%s\nand cut door --json prints\n%s", b, printed.out)
	}
}

func seeTheHouse(t *testing.T, when, at string) {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	transport := &http.Transport{}
	defer transport.CloseIdleConnections()
	c := &http.Client{Jar: jar, Transport: transport, Timeout: 30 * time.Second}
	in, err := c.Post(at+"/api/v1/session", "application/json", strings.NewReader(`{"sign_in":"ruth","passphrase":"chalk line plumb bob"}`))
	if err != nil {
		t.Fatal(err)
	}
	_ = in.Body.Close()
	jobs, err := c.Get(at + "/api/v1/jobs")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = jobs.Body.Close() }()
	b, err := io.ReadAll(jobs.Body)
	var list struct {
		Jobs []struct{ Rooms, Items int }
	}
	if err != nil || json.Unmarshal(b, &list) != nil || len(list.Jobs) != 1 || list.Jobs[0].Rooms != 4 || list.Jobs[0].Items != 15 {
		t.Errorf("%s: jobs: got %s (%v), want one house of 4 rooms, 9 openings and 6 wall runs", when, b, err)
	}
}

// watched is the demonstration's output; ready gets the address it prints.
type watched struct {
	after string // what an address stands behind
	ready chan string
	b     bytes.Buffer
}

func (w *watched) Write(p []byte) (int, error) {
	if _, after, ok := strings.Cut(string(p), w.after); ok {
		at, _, _ := strings.Cut(strings.ReplaceAll(after, `"`, " "), " ")
		defer func() { w.ready <- at }()
	}
	return w.b.Write(p)
}

// text is what was printed; the program has ended by then.
func (w *watched) text() string { return w.b.String() }
