//go:build !js

package words

import (
	"embed"
	"strings"
	"sync"
)

//go:embed en/*.txt es/*.txt
var files embed.FS

// Languages are those there is a catalog of.
func Languages() []string { return []string{"en", "es"} }

var catalogs = sync.OnceValue(func() map[string]*Catalog {
	out := map[string]*Catalog{}
	for _, l := range Languages() {
		c, err := Parse(Text(l))
		if err != nil { // a catalog that cannot be read does not pass the tests
			panic(l + ": " + err.Error())
		}
		out[l] = c
	}
	return out
})

// In returns the catalog of a language, English where there is none.
func In(language string) *Catalog {
	all := catalogs()
	if c := all[language]; c != nil {
		return c
	}
	return all["en"]
}

// Text is the text of a language's catalog, all its files in one: what the phone is handed.
func Text(language string) string {
	var b strings.Builder
	for _, name := range Files(language) {
		b.WriteString(File(language, name))
	}
	return b.String()
}

// Files are the names of the files a language's catalog is made of.
func Files(language string) []string {
	entries, _ := files.ReadDir(language) // no folder, no files
	out := make([]string, len(entries))
	for i, e := range entries {
		out[i] = strings.TrimSuffix(e.Name(), ".txt")
	}
	return out
}

// File is the text of one file of a language's catalog.
func File(language, name string) string {
	text, _ := files.ReadFile(language + "/" + name + ".txt") // no file, no words
	return string(text)
}
