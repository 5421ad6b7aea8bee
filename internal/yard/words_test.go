package yard_test

import (
	"regexp"
	"slices"
	"testing"

	"longpoint/internal/yard"
)

// Both languages say the same things with the same values in them.
func TestWordsInBothLanguages(t *testing.T) {
	t.Parallel()
	en, es := yard.Words("en"), yard.Words("es")
	values := regexp.MustCompile(`\{[a-z]+\}`)
	for code, said := range en.Findings {
		other, ok := es.Findings[code]
		if !ok || other.Sentence == "" || (said.Basis == "") != (other.Basis == "") {
			t.Errorf("%s: Spanish has %+v", code, other)
		}
		a, b := values.FindAllString(said.Sentence, -1), values.FindAllString(other.Sentence, -1)
		slices.Sort(a)
		slices.Sort(b)
		if !slices.Equal(a, b) {
			t.Errorf("%s: values %v and %v", code, a, b)
		}
	}
	for key := range en.Terms {
		if es.Terms[key] == "" {
			t.Errorf("term %s has no Spanish", key)
		}
	}
	if len(en.Findings) != len(es.Findings) || len(en.Terms) != len(es.Terms) {
		t.Errorf("got %d and %d sentences, %d and %d terms", len(en.Findings), len(es.Findings), len(en.Terms), len(es.Terms))
	}
}
