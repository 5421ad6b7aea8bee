package tests

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// leakCheckedBy are packages whose goroutines run in another package's tests, which look for what is left over.
var leakCheckedBy = map[string]string{
	"../internal/observe":            "../internal/app",      // metrics are served by a running service
	"../internal/postgres/storetest": "../internal/postgres", // the suite itself
}

// TestWhoStartsGoroutinesLooksForThem finds the packages whose code starts goroutines: their tests fail where one is left
// when all have ended (goleak, by testdb.LeakFree or itself).
func TestWhoStartsGoroutinesLooksForThem(t *testing.T) {
	t.Parallel()
	starts := regexp.MustCompile(`(?m)^\s*go (?:func\b|[\w.]+\()|\.Go\(`)
	looks := regexp.MustCompile(`testdb\.LeakFree\(m|goleak\.VerifyTestMain\(m`)
	starting, looking := map[string]bool{}, map[string]bool{}
	for _, root := range []string{"../cmd", "../internal"} {
		err := filepath.WalkDir(root, func(at string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(at, ".go") {
				return err
			}
			text, err := os.ReadFile(at)
			switch {
			case err != nil:
				return err
			case strings.HasSuffix(at, "_test.go"):
				looking[path.Dir(at)] = looking[path.Dir(at)] || looks.Match(text)
			case starts.Match(text):
				starting[path.Dir(at)] = true
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(starting) < 5 {
		t.Errorf("packages that start goroutines: got %v, want five at least", starting)
	}
	for dir := range starting {
		if by := leakCheckedBy[dir]; by != "" {
			dir = by
		}
		if !looking[dir] {
			t.Errorf("%s starts goroutines, and its TestMain does not look for those left over", dir)
		}
	}
}
