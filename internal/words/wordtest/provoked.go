package wordtest

import (
	"flag"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/words"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Provoke makes a rule speak: through the function or command a person's entry goes through.
type Provoke func() []finding.Finding

// Provoked holds the findings of a catalog's files to a golden file: each code is brought about
// by what stands for it in provoke, and the file says with what severity, at which stage, about
// what, and what it says and asks for. A code that nothing provokes fails; spared are those that begin as
// one of spare does, which are sentences and no findings.
func Provoked(t *testing.T, golden string, files []string, provoke map[string]Provoke, spare ...string) {
	t.Helper()
	text := words.File("en", "basis")
	for _, file := range files {
		text += words.File("en", file)
	}
	catalog, err := words.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	for _, code := range slices.Sorted(maps.Keys(catalog.Findings)) {
		if provoke[code] == nil && !slices.ContainsFunc(spare, func(p string) bool { return strings.HasPrefix(code, p) }) {
			t.Errorf("nothing provokes %s", code)
		}
	}
	var b strings.Builder
	for _, code := range slices.Sorted(maps.Keys(provoke)) {
		if _, ok := catalog.Findings[code]; !ok {
			t.Errorf("%s does not stand in %v", code, files)
			continue
		}
		said := provoke[code]()
		at := slices.IndexFunc(said, func(f finding.Finding) bool { return f.Code == code })
		if at < 0 {
			var codes []string
			for _, f := range said {
				codes = append(codes, f.Code)
			}
			t.Errorf("%s is not said, but %v", code, codes)
			continue
		}
		f := said[at]
		if f.Sentence == "" || len(f.Args) > 0 { // else it was rendered where it was made
			for _, bad := range Faults(f, length.Style{Unit: length.Inches}) {
				t.Error(bad)
			}
		}
		b.WriteString(line(f))
	}
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.SplitAfter(b.String(), "\n\n"); b.String() != string(want) && !t.Failed() {
		for _, x := range got {
			if !strings.Contains(string(want), x) {
				t.Errorf("%s does not have:\n%s", golden, x)
			}
		}
		t.Errorf("the findings are not those of %s; after a look, write it anew with -update", golden)
	}
}

// line is one finding as the golden file has it.
func line(f finding.Finding) string {
	head := f.Code + ": " + string(f.Severity)
	if f.Safety {
		head += ", safety"
	}
	if f.Wanted {
		head += ", only wanted"
	}
	if f.ClearsAt != nil {
		head += ", clears with time"
	}
	if f.Stage != "" {
		head += ", at " + f.Stage
	}
	if f.About != "" {
		head += ", about " + f.About
	}
	said := f
	if f.Sentence == "" {
		said = finding.In("en").Render(f, length.Style{Unit: length.Inches, Step: length.ThirtySecond, Rounding: length.Nearest})
	}
	return strings.TrimSuffix(head+"\n  "+said.Sentence+"\n  "+said.Remedy, "\n  ") + "\n\n"
}
