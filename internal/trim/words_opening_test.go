package trim_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/derive"
	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/trim"
	"longpoint/internal/words"
)

// Every finding that random openings bring up renders whole, and every term they use has
// its word.
func TestOpeningWordsCoverEverything(t *testing.T) {
	t.Parallel()
	w := finding.In("en")
	term := func(rt *rapid.T, key, where string) {
		if _, ok := w.Terms[key]; !ok {
			rt.Fatalf("no word for %q (%s)", key, where)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		in := drawAny(rt)
		out := trim.Opening(in)
		for _, f := range out.Findings {
			if _, ok := w.Findings[f.Code]; !ok {
				rt.Fatalf("no words for %s", f.Code)
			}
			r := w.Render(f, length.Style{Unit: length.Inches, Step: length.ThirtySecond})
			for _, s := range []string{r.Sentence, r.Remedy, r.Basis} {
				if s == "" || strings.ContainsAny(s, "{}_") {
					rt.Fatalf("%s renders as %q", f.Code, s)
				}
			}
			for _, a := range f.Args {
				if a.Term != "" {
					term(rt, a.Term, f.Code)
				}
			}
			if f.Stage == "" || f.About == "" {
				rt.Fatalf("%s holds stage %q about %q", f.Code, f.Stage, f.About)
			}
		}
		eachValue(out, func(name string, v derive.Value) {
			for _, x := range v.Terms {
				term(rt, x.Name, name)
			}
			if v.Formula != "" {
				term(rt, v.Formula, name)
			}
			if v.Basis != "" {
				term(rt, v.Basis, name)
			}
		})
		for _, v := range out.Values {
			term(rt, v.Name, "value")
		}
		for _, c := range out.Cuts {
			term(rt, c.Piece, "piece")
			term(rt, trim.TermFor(in.Unit, c.Piece), "piece")
			term(rt, c.Profile, "profile")
			for _, e := range c.Ends {
				term(rt, e.Joint, "joint")
			}
			for _, m := range c.Marks {
				term(rt, m.Name, "mark")
				term(rt, m.From, "mark from")
			}
		}
		for _, c := range out.Corners {
			term(rt, trim.TermFor(in.Unit, c.Name), "corner")
			term(rt, c.From, "corner from")
		}
		for _, sp := range trim.ReadingSpecs(in.Unit) {
			term(rt, sp.Name, "reading")
			term(rt, trim.TermFor(in.Unit, sp.Name), "reading")
			if sp.Signed {
				term(rt, sp.Positive, sp.Name)
				term(rt, sp.Negative, sp.Name)
			}
		}
	})
}

// Every code the opening rules can name stands in the catalog, and none stands there unused:
// the sources are read, so a code that no random opening reaches is held too.
func TestOpeningCodesAndCatalogAgree(t *testing.T) {
	t.Parallel()
	quoted := regexp.MustCompile(`"([a-z]+(?:_[a-z]+)+)"`)
	made := regexp.MustCompile(`(?:finding\.New|measuredStop|measuredWarn|said|\bf)\("([a-z_]+)"`)
	used := map[string]bool{}
	codes := map[string]bool{}
	for _, file := range []string{"layout.go", "width.go", "height.go", "door.go", "pair.go", "pocket.go", "casing.go", "corner.go", "window.go", "unit.go", "reading.go"} {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range quoted.FindAllStringSubmatch(string(src), -1) {
			used[m[1]] = true
		}
		for _, m := range made.FindAllStringSubmatch(string(src), -1) {
			codes[m[1]] = true
		}
	}
	if len(codes) < 50 {
		t.Fatalf("found only %d codes in the sources", len(codes))
	}
	w := finding.In("en")
	for code := range codes {
		if _, ok := w.Findings[code]; !ok {
			t.Errorf("no words for %s", code)
		}
	}
	part, err := words.Parse(words.File("en", "basis") + words.File("en", "opening"))
	if err != nil {
		t.Fatal(err)
	}
	for code, words := range part.Findings {
		if !used[code] {
			t.Errorf("words for %s, which no rule says", code)
		}
		if words.Sentence == "" || words.Remedy == "" || words.Basis == "" {
			t.Errorf("%s lacks a sentence, a remedy or a basis", code)
		}
	}
}
