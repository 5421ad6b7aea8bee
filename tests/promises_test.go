package tests

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	named  = regexp.MustCompile("`((?:Test|Fuzz)[A-Z][A-Za-z0-9]*)`")
	file   = regexp.MustCompile("`([a-z/0-9-]+/[A-Za-z0-9_.-]+\\.(?:go|ts|sh|yml))`")
	target = regexp.MustCompile("`make ([a-z-]+)`")
)

// TestEveryPromiseHasItsTest reads two tables of DEVELOPERS.md, "What the service promises" and "What the rule book
// computes": each line names a test, a file or a make target, and what it names is there.
func TestEveryPromiseHasItsTest(t *testing.T) {
	t.Parallel()
	doc, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	var table strings.Builder
	for _, title := range []string{"What the service promises", "What the rule book computes"} {
		_, part, ok := strings.Cut(string(doc), "## "+title+"\n")
		if !ok {
			t.Fatalf("DEVELOPERS.md has no table %q", title)
		}
		part, _, _ = strings.Cut(part, "\n## ")
		table.WriteString(part)
	}
	tests := map[string]bool{}
	err = filepath.WalkDir("..", func(at string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git" || d.Name() == "dist") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(at, "_test.go") {
			return nil
		}
		text, err := os.ReadFile(at)
		for _, m := range regexp.MustCompile(`(?m)^func ((?:Test|Fuzz)\w+)\(`).FindAllSubmatch(text, -1) {
			tests[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	makefile, err := os.ReadFile("../Makefile")
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for line := range strings.Lines(table.String()) {
		if !strings.HasPrefix(line, "| ") || strings.HasPrefix(line, "| ---") || strings.HasPrefix(line, "| promise") || strings.HasPrefix(line, "| rule ") {
			continue
		}
		rows++
		holds := 0
		for _, m := range named.FindAllStringSubmatch(line, -1) {
			holds++
			if !tests[m[1]] {
				t.Errorf("no test is called %s: %s", m[1], line)
			}
		}
		for _, m := range file.FindAllStringSubmatch(line, -1) {
			holds++
			if _, err := os.Stat("../" + m[1]); err != nil {
				t.Errorf("there is no file %s: %s", m[1], line)
			}
		}
		for _, m := range target.FindAllStringSubmatch(line, -1) {
			if !strings.Contains(string(makefile), "\n"+m[1]+":") {
				t.Errorf("there is no target %s: %s", m[1], line)
			}
		}
		if holds == 0 {
			t.Errorf("nothing holds this promise: %s", line)
		}
	}
	if rows < 55 {
		t.Errorf("promises and rules: got %d, want at least 55", rows)
	}
}
