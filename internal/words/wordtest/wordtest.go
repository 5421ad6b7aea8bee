// Package wordtest holds a finding's words to what a person should read, in every language.
package wordtest

import (
	"regexp"
	"strings"

	"longpoint/internal/finding"
	"longpoint/internal/length"
	"longpoint/internal/words"
)

// spoken finds names that a sentence asks for with an article, or chooses by one.
var spoken = regexp.MustCompile(`\{(?:(?:el|del|al|un) (\w+)|(\w+)\|[^|}]*\|[^|}]*\|[^|}]*\|[^|}]*)\}`)

// Faults are what is wrong with how a finding reads: a part that is missing or left unfilled,
// a key shown for a word, an article asked of a term that has none.
func Faults(f finding.Finding, st length.Style) []string {
	var out []string
	for _, language := range words.Languages() {
		c := finding.In(language)
		said, ok := c.Findings[f.Code]
		if !ok {
			out = append(out, language+": no words for "+f.Code)
			continue
		}
		r := c.Render(f, st)
		for _, s := range []string{r.Sentence, r.Remedy, r.Basis} {
			if strings.ContainsAny(s, "{}_|") || strings.Contains(s, "  ") || s != strings.TrimSpace(s) {
				out = append(out, language+": "+f.Code+" reads "+s)
			}
		}
		if r.Sentence == "" {
			out = append(out, language+": "+f.Code+" says nothing")
		}
		for _, m := range spoken.FindAllStringSubmatch(said.Sentence+said.Remedy+said.Basis, -1) {
			name := m[1] + m[2]
			for _, a := range f.Args {
				if a.Name != name {
					continue
				}
				value := func(string) (words.Value, bool) { return words.Value{Term: a.Term, Text: a.Text}, true }
				if a.Term == "" || a.Length != nil || c.Fill("{el x}", value) == c.Term(a.Term) {
					out = append(out, language+": "+f.Code+" asks for the article of "+name+", "+a.Term+a.Text+", which has none")
				}
			}
		}
	}
	return out
}
