package joblog

import "longpoint/internal/finding"

// Words returns the catalog of a language: everything the rule book says to a person.
// English stands for a language there is no catalog of.
func Words(language string) finding.Catalog { return finding.In(language) }

// words is the catalog a reader reads: the one handed over, else the language's own.
func (r Reader) words() finding.Catalog {
	if r.Words.Catalog != nil {
		return r.Words
	}
	return Words(r.Language)
}
