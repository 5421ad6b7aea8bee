package words_test

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"longpoint/internal/words"
)

// TestEveryLanguageSaysTheSame holds each language's files to the English ones: the same keys,
// each with the same names to fill in, and forms to choose from that are whole.
func TestEveryLanguageSaysTheSame(t *testing.T) {
	t.Parallel()
	english := words.Files("en")
	if len(english) < 9 {
		t.Fatalf("only %d files of English", len(english))
	}
	for _, language := range words.Languages()[1:] {
		if got := words.Files(language); !slices.Equal(got, english) {
			t.Errorf("%s has the files %v, English %v", language, got, english)
		}
		for _, file := range english {
			want, got := lines(t, "en", file), lines(t, language, file)
			for key, said := range want {
				other, ok := got[key]
				if !ok {
					t.Errorf("%s/%s.txt lacks %s = %s", language, file, key, said)
					continue
				}
				if (said[0] == '@') != (other[0] == '@') || said[0] == '@' && said != other {
					t.Errorf("%s/%s.txt: %s stands on %s, English on %s", language, file, key, other, said)
				}
				if a, b := names(said), names(other); !slices.Equal(a, b) {
					t.Errorf("%s/%s.txt: %s fills in %v, English %v", language, file, key, b, a)
				}
				if said == other && len(strings.Fields(said)) > 3 && said[0] != '@' {
					t.Errorf("%s/%s.txt: %s is still English: %s", language, file, key, said)
				}
			}
			for key := range got {
				if _, ok := want[key]; !ok {
					t.Errorf("%s/%s.txt says %s, which English does not", language, file, key)
				}
			}
		}
		a, b := words.In("en"), words.In(language)
		if len(b.Terms) != len(a.Terms) || len(b.Findings) != len(a.Findings) {
			t.Errorf("%s has %d findings and %d terms, English %d and %d", language, len(b.Findings), len(b.Terms), len(a.Findings), len(a.Terms))
		}
	}
}

// TestEveryFileOfFindingsIsProvoked names the tests that bring every finding of a file about
// (wordtest.Provoked): a file of findings that none of them reads is held by nobody.
func TestEveryFileOfFindingsIsProvoked(t *testing.T) {
	t.Parallel()
	by := map[string]string{
		"finish": "finish.TestEveryFindingReads", "opening": "trim.TestEveryOpeningFindingIsProvoked", "run": "trim.TestEveryRunFindingIsProvoked",
		"log": "joblog.TestEveryFindingOfTheLogIsProvoked", "walk": "joblog.TestEveryFindingOfTheLogIsProvoked", "stock": "joblog.TestEveryFindingOfTheLogIsProvoked",
	}
	for _, file := range words.Files("en") {
		for key := range lines(t, "en", file) {
			if strings.HasSuffix(key, ".sentence") && by[file] == "" {
				t.Errorf("%s says %s, and no test provokes it", file, key)
			}
		}
	}
}

// TestSentencesAreWhole reads every language's text for what a slip of the hand leaves.
func TestSentencesAreWhole(t *testing.T) {
	t.Parallel()
	brace := regexp.MustCompile(`\{[^}]*\}?`)
	inside := regexp.MustCompile(`^\{((el|del|al|un) )?\w+(\|[^|{}]*){0,4}\}$`)
	for _, language := range words.Languages() {
		for _, file := range words.Files(language) {
			for key, said := range lines(t, language, file) {
				for _, b := range brace.FindAllString(said, -1) {
					if n := strings.Count(b, "|"); !inside.MatchString(b) || n == 1 || n == 3 {
						t.Errorf("%s/%s.txt: %s holds %s", language, file, key, b)
					}
				}
				_, part, finding := strings.Cut(key, ".")
				if finding && said[0] != '@' && !strings.HasPrefix(key, "log_") && !strings.ContainsRune(".}", rune(said[len(said)-1])) {
					t.Errorf("%s/%s.txt: the %s of %s has no end: %s", language, file, part, key, said)
				}
				if strings.Contains(said, "  ") {
					t.Errorf("%s/%s.txt: %s has a space too many", language, file, key)
				}
			}
		}
	}
}

// lines are a file's keys and words as they stand.
func lines(t *testing.T, language, file string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for line := range strings.Lines(words.File(language, file)) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		key, said, ok := strings.Cut(line, " = ")
		if _, twice := out[key]; !ok || twice {
			t.Errorf("%s/%s.txt: %s", language, file, line)
			continue
		}
		out[key] = said
	}
	return out
}

// names are what a text fills in, each once.
func names(said string) []string {
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`\{(?:(?:el|del|al|un) )?(\w+)`).FindAllStringSubmatch(said, -1) {
		seen[m[1]] = true
	}
	return slices.Sorted(maps.Keys(seen))
}
