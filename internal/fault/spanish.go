package fault

import (
	_ "embed"
	"strings"
	"sync"
)

//go:embed es.txt
var spanishText string

// said is one sentence in both languages; where both have {}, something stands.
type said struct{ english, spanish string }

var spanish = sync.OnceValues(func() (whole map[string]string, open []said) {
	whole = map[string]string{}
	for line := range strings.Lines(spanishText) {
		english, words, ok := strings.Cut(strings.TrimSpace(line), " = ")
		switch {
		case !ok || english[0] == '#':
		case strings.Contains(english, "{}"):
			open = append(open, said{english, words})
		default:
			whole[english] = words
		}
	}
	return whole, open
})

// Spoken is a fault's sentence in a language, as it is where there are no words for it: English
// is what the program itself says, and what it says to whoever runs it.
func Spoken(language, sentence string) string {
	if language != "es" {
		return sentence
	}
	whole, open := spanish()
	if words, ok := whole[sentence]; ok {
		return words
	}
	for _, s := range open {
		if words, ok := fit(s, sentence); ok {
			return words
		}
	}
	return sentence
}

// fit writes the Spanish of a sentence that has something where the English has {}.
func fit(s said, sentence string) (string, bool) {
	parts := strings.Split(s.english, "{}")
	rest, ok := strings.CutPrefix(sentence, parts[0])
	if !ok {
		return "", false
	}
	words := s.spanish
	for i, part := range parts[1:] {
		at := strings.Index(rest, part)
		if i == len(parts)-2 { // the last part ends the sentence
			at = len(rest) - len(part)
		}
		if at < 0 || rest[at:at+len(part)] != part {
			return "", false
		}
		words = strings.Replace(words, "{}", rest[:at], 1)
		rest = rest[at+len(part):]
	}
	return words, rest == ""
}
