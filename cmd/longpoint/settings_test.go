package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// settingsTable is the table of deploy/README.md: every variable, then every command with its flags.
func settingsTable() string {
	var b strings.Builder
	b.WriteString("| variable | when not set | what it is | for |\n| --- | --- | --- | --- |\n")
	for _, k := range settings {
		otherwise := k.otherwise
		if otherwise != "" {
			otherwise = "`" + otherwise + "`"
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", k.name, otherwise, k.does, k.needs)
	}
	b.WriteString("\n| command | flag | when not given | what it does |\n| --- | --- | --- | --- |\n")
	flagRows(&b, commands(), "")
	return b.String()
}

func flagRows(b *strings.Builder, cmds []command, path string) {
	for _, cmd := range cmds {
		name := strings.TrimSpace(path + " " + cmd.name)
		if cmd.run == nil {
			flagRows(b, cmd.subs, name)
			continue
		}
		set := flag.NewFlagSet(name, flag.ContinueOnError)
		set.SetOutput(new(bytes.Buffer))
		c := &call{system: system{in: strings.NewReader(""), out: new(bytes.Buffer), err: new(bytes.Buffer), env: func(string) string { return "" }},
			FlagSet: set, args: []string{"--help"}}
		_ = cmd.run(context.Background(), c) // ends with the help that was asked for
		none := true
		set.VisitAll(func(f *flag.Flag) {
			none = false
			arg, does := flag.UnquoteUsage(f)
			if arg != "" {
				arg = " <" + arg + ">"
			}
			otherwise := ""
			if f.DefValue != "" && f.DefValue != "false" {
				otherwise = "`" + f.DefValue + "`"
			}
			fmt.Fprintf(b, "| `%s` | `--%s%s` | %s | %s |\n", name, f.Name, arg, otherwise, capital(strings.ReplaceAll(does, "|", "or")))
		})
		if none {
			fmt.Fprintf(b, "| `%s` | | | %s |\n", name, cmd.does)
		}
	}
}

// The table a person reads is the one the program reads by; -update writes it anew.
func TestTheDocumentedTableIsTheCode(t *testing.T) {
	t.Parallel()
	const file, begin, end = "../../deploy/README.md", "<!-- settings: made from cmd/longpoint/settings.go -->\n", "<!-- end of settings -->"
	text := readFile(t, file)
	before, rest, ok := strings.Cut(text, begin)
	got, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s: the marks around the table are gone", file)
	}
	want := settingsTable()
	if *update && got != want {
		if err := os.WriteFile(file, []byte(before+begin+want+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got != want {
		t.Errorf("%s: got\n%s\nwant (go test ./cmd/longpoint -run Documented -update writes it)\n%s", file, got, want)
	}
}

// A variable is read through the table or not at all, and each one in it is read.
func TestEverySettingIsInTheTable(t *testing.T) {
	t.Parallel()
	direct := regexp.MustCompile(`(?:os\.(?:Getenv|LookupEnv)|\.env)\("([A-Z0-9_]+)"\)`)
	through := regexp.MustCompile(`\.setting\("([A-Z0-9_]+)"\)`)
	// Handed on to programs that are started, and not ours to explain.
	passedOn := []string{"PATH", "LD_LIBRARY_PATH", "TMPDIR"}
	read := map[string]bool{"GOGC": true, "LONGPOINT_PG_BIN": true} // by main, and by internal/pglocal under a constant
	for _, pattern := range []string{"*.go", "../../internal/*/*.go"} {
		all, err := filepath.Glob(pattern)
		if err != nil || len(all) == 0 {
			t.Fatalf("%s: %v, %v", pattern, all, err)
		}
		for _, file := range all {
			if strings.HasSuffix(file, "_test.go") || strings.Contains(file, "/testdb/") {
				continue
			}
			text := readFile(t, file)
			for _, m := range direct.FindAllStringSubmatch(text, -1) {
				known := slices.ContainsFunc(settings, func(k setting) bool { return k.name == m[1] })
				if !known && !slices.Contains(passedOn, m[1]) {
					t.Errorf("%s reads %s, which is in no table", file, m[1])
				}
			}
			for _, m := range through.FindAllStringSubmatch(text, -1) {
				read[m[1]] = true
			}
		}
	}
	for _, k := range settings {
		if !read[k.name] {
			t.Errorf("%s is in the table and nothing reads it", k.name)
		}
	}
}

func TestAnUnknownSettingIsTold(t *testing.T) {
	t.Parallel()
	s := system{names: []string{"PATH", "LONGPOINT_ADDR", "LONGPOINT_ADRR", "LONGPOINT_PORT"}}
	if got := s.unknown(); !slices.Equal(got, []string{"LONGPOINT_ADRR"}) {
		t.Errorf("got %q, want the slip alone", got)
	}
}
