// Package tests holds what crosses a boundary between packages or programs.
package tests

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"
)

// ruleBook lists the packages that hold the rules of the trade.
var ruleBook = []string{"words", "length", "finding", "derive", "houserules", "trim", "finish", "stage", "joblog", "drawing", "stock", "walk", "wire", "table", "yard", "schedule"}

// heavy are standard packages the rule book does without: the first group reads the world,
// the second would double the size of its WebAssembly build.
var heavy = map[string]string{
	"os": "world", "net": "world", "net/http": "world", "os/exec": "world", "math/rand": "world", "math/rand/v2": "world",
	"crypto/rand": "world", "database/sql": "world", "log": "world", "log/slog": "world", "io/ioutil": "world", "syscall": "world",
	"fmt": "size", "encoding/json": "size", "regexp": "size", "text/template": "size", "math/big": "size",
}

// TestRuleBookKnowsNothingOfTheWorld holds the line that rules import only the standard
// library and each other. A clock cannot be seen in imports: time.Now is searched for too.
func TestRuleBookKnowsNothingOfTheWorld(t *testing.T) {
	t.Parallel()
	inside := map[string]bool{}
	args := []string{"list", "-json=ImportPath,Imports,GoFiles,Dir"}
	for _, p := range ruleBook {
		inside["longpoint/internal/"+p] = true
		args = append(args, "longpoint/internal/"+p)
	}
	out, err := exec.Command("go", args...).Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	dec := json.NewDecoder(strings.NewReader(string(out)))
	seen := 0
	for {
		var p struct {
			ImportPath, Dir  string
			Imports, GoFiles []string
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		seen++
		for _, imp := range p.Imports {
			if why, bad := heavy[imp]; bad {
				t.Errorf("%s imports %s (%s)", p.ImportPath, imp, why)
			}
			if first, _, _ := strings.Cut(imp, "/"); (strings.Contains(first, ".") || first == "longpoint") && !inside[imp] {
				t.Errorf("%s imports %s, which is outside the rule book", p.ImportPath, imp)
			}
		}
		grep := exec.Command("grep", append([]string{"-nE", `time\.(Now|Since|Until|After|Tick|Sleep)\(`}, p.GoFiles...)...)
		grep.Dir = p.Dir
		if hits, err := grep.Output(); err == nil {
			t.Errorf("%s reads the clock:\n%s", p.ImportPath, hits)
		}
	}
	if seen != len(ruleBook) {
		t.Errorf("saw %d packages, want %d", seen, len(ruleBook))
	}
}
