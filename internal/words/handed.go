//go:build js

package words

// In returns a catalog without words: the phone's rule book speaks from what it was handed.
func In(string) *Catalog { return nil }
