package trim

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/words"

	"pgregory.net/rapid"
)

var runFiles = []string{"room.go", "plan.go", "feature.go", "profile.go", "crown.go", "emit.go", "run.go", "run_reading.go", "scarf.go", "joint.go"}

// TestRunWordsCoverTheCode reads the rules' own source for finding codes and derivation
// names, so that a new one cannot go without words.
func TestRunWordsCoverTheCode(t *testing.T) {
	t.Parallel()
	words := finding.In("en")
	codes := regexp.MustCompile(`(?:finding\.New|say)\("([a-z_]+)"|[cC]ode(?:, f\.Severity)? :?= "([a-z_]+)"`)
	terms := regexp.MustCompile(`derive\.(?:Plus|Minus|Sum|By)\("([a-z_]*[a-z])"|offTerm\([^"]*"([a-z_]+)"|add\("([a-z_]+)", "([a-z_]+)"|"(short_point_[a-z_]+)"|Named\{Name: "([a-z_]+)"`)
	used := map[string]bool{}
	found := 0
	for _, file := range runFiles {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range codes.FindAllStringSubmatch(string(src), -1) {
			code := m[1] + m[2]
			used[code] = true
			w, ok := words.Findings[code]
			if !ok || w.Sentence == "" || w.Remedy == "" || w.Basis == "" {
				t.Errorf("%s: finding %s has no words, or not all three: %+v", file, code, w)
			}
		}
		for _, m := range terms.FindAllStringSubmatch(string(src), -1) {
			for _, term := range m[1:] {
				if term == "" {
					continue
				}
				found++
				if words.Terms[term] == "" {
					t.Errorf("%s: %s has no word", file, term)
				}
			}
		}
	}
	if found < 30 {
		t.Errorf("only %d names found in the source: the pattern no longer fits the code", found)
	}
	part, err := wordsOf("run")
	if err != nil {
		t.Fatal(err)
	}
	for code := range part.Findings {
		if !used[code] {
			t.Errorf("words for %s, which no rule says", code)
		}
	}
	for _, end := range []string{"left", "right"} {
		if words.Terms["long_point_"+end] == "" {
			t.Errorf("long_point_%s has no word", end)
		}
	}
	for _, j := range Joints() {
		if words.Terms[string(j)] == "" {
			t.Errorf("joint %s has no word", j)
		}
	}
}

// wordsOf are the English words of one file of the catalog.
func wordsOf(file string) (*words.Catalog, error) {
	return words.Parse(words.File("en", "basis") + words.File("en", file))
}

// TestRunWordsRender finds sentences that ask for an argument the rule does not give.
func TestRunWordsRender(t *testing.T) {
	t.Parallel()
	words := finding.In("en")
	style := length.Style{Unit: length.Inches}
	rapid.Check(t, func(t *rapid.T) {
		in := drawRun(t)
		i := rapid.IntRange(0, len(in.Room.Walls)-1).Draw(t, "wall")
		switch rapid.IntRange(0, 9).Draw(t, "what") {
		case 0:
			in.Room.Walls[i].Length = rapid.SampledFrom([]length.Length{0, 1, 2 * MostWall}).Draw(t, "length")
		case 1:
			in.Room.Walls[i].Angle, in.Room.Walls[i].Turn = 200*Degree, Inside
		case 2:
			in.Room.Walls[i].Angle = 5 * Degree
		case 3:
			in.Room.Walls[i].Bow = in.Room.Walls[i].Length / 16
		case 4:
			in.Room.Walls[i].Bow = -in.Room.Walls[i].Length / 4
		case 5:
			in.Profile.Spring, in.Profile.Height = 2*Degree, -1
		case 6:
			in.Features = append(in.Features, Feature{Wall: i + 1, Kind: OpeningFeature, Offset: 1, Width: in.Room.Walls[i].Length, CasingLeft: 5})
		case 7:
			in.Taped = []TapedStretch{{i + 1, 1, length.Inch}, {i + 1, 99, length.Inch}, {1, 1, -1}}
		case 8:
			in.Corners.Inside, in.Corners.ScarfAngle, in.Registers = "glue", 7*Degree, "jump"
		case 9:
			in.Room.Walls[i].Turn, in.Room.Ends = "up", "cliff"
			in.Profile.Kind, in.Profile.Position = CrownRun, "tilted"
		}
		for _, f := range words.RenderAll(Run(in).Findings, style) {
			for _, s := range []string{f.Sentence, f.Remedy, f.Basis} {
				if s == "" || strings.ContainsAny(s, "{}") {
					t.Fatalf("%s reads %q", f.Code, s)
				}
			}
			if f.Stage == "" || f.About == "" {
				t.Fatalf("%s bears on stage %q about %q", f.Code, f.Stage, f.About)
			}
		}
	})
}
