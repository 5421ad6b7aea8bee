// Package words holds everything the rule book says to a person, in each language, and
// fills its sentences in. The catalogs are the text files beside this one. Every program
// carries them but the phone's rule book, whose caller hands it the one it needs: linked in,
// they would be a twentieth of its size for each language.
package words

import "strings"

// Said is what a catalog says for one finding. {name} stands for the argument of that name.
type Said struct{ Sentence, Remedy, Basis string }

// Catalog is one language's words: findings by code, and terms (readings, pieces, stages,
// the parts of a derivation) by key. It is only read once made.
type Catalog struct {
	Findings map[string]Said
	Terms    map[string]string
	// articles say how a term is spoken of: el, la, los or las, in that order from 1. A
	// language whose article does not change has none.
	articles map[string]int
}

// Term returns the word for key, or key with its underscores opened so that a missing word
// still reads as words.
func (c *Catalog) Term(key string) string {
	said, _ := c.term(key)
	return said
}

// term returns the word for key and which article it has.
func (c *Catalog) term(key string) (said string, article int) {
	if c == nil {
		return strings.ReplaceAll(key, "_", " "), 0
	}
	if t, ok := c.Terms[key]; ok {
		return t, c.articles[key]
	}
	pattern, numbers := numbered(key)
	t, ok := c.Terms[pattern]
	if !ok {
		return strings.ReplaceAll(key, "_", " "), 0
	}
	for _, n := range numbers {
		t = strings.Replace(t, "#", n, 1)
	}
	return t, c.articles[pattern]
}

// numbered is a key with # for each of its numbers, and the numbers.
func numbered(key string) (pattern string, numbers []string) {
	parts := strings.Split(key, "_")
	for i, p := range parts {
		if p != "" && strings.Trim(p, "0123456789") == "" {
			parts[i], numbers = "#", append(numbers, p)
		}
	}
	return strings.Join(parts, "_"), numbers
}

// Value is what stands for a name in a sentence: a term of the catalog, else a text.
type Value struct{ Term, Text string }

// Fill writes a sentence. In braces stand
//
//	{name}          the value
//	{el name}       a term with its article; so del, al and un
//	{name|a|b}      a where a number is 1 or a term is one thing, else b
//	{name|a|b|c|d}  by a term's article: el, la, los, las
//
// A name that value does not know stays as it is, which the catalog's tests refuse.
func (c *Catalog) Fill(sentence string, value func(name string) (Value, bool)) string {
	open := strings.IndexByte(sentence, '{')
	if open < 0 {
		return sentence
	}
	var b strings.Builder
	for open >= 0 {
		size := strings.IndexByte(sentence[open:], '}')
		if size < 0 {
			break
		}
		b.WriteString(sentence[:open])
		b.WriteString(c.put(sentence[open+1:open+size], value))
		sentence = sentence[open+size+1:]
		open = strings.IndexByte(sentence, '{')
	}
	b.WriteString(sentence)
	return b.String()
}

// put writes what stands between two braces.
func (c *Catalog) put(inside string, value func(name string) (Value, bool)) string {
	name, forms, choice := strings.Cut(inside, "|")
	article, of, spoken := strings.Cut(name, " ")
	if spoken {
		name = of
	}
	v, ok := value(name)
	switch {
	case !ok:
		return "{" + inside + "}"
	case choice:
		return c.choose(v, strings.Split(forms, "|"))
	case v.Term == "":
		return v.Text
	}
	said, kind := c.term(v.Term)
	if spoken {
		return spokenAs(article, kind) + said
	}
	return said
}

func (c *Catalog) choose(v Value, forms []string) string {
	kind := 0
	if v.Term != "" {
		_, kind = c.term(v.Term)
		kind = max(kind-1, 0)
	}
	switch {
	case len(forms) == 4:
		return forms[kind]
	case v.Term != "" && kind < 2, v.Term == "" && v.Text == "1":
		return forms[0]
	}
	return forms[len(forms)-1]
}

// spoken are the articles and what they become after a preposition, by gender and number.
var spoken = [...][4]string{
	{"el", "la", "los", "las"},
	{"del", "de la", "de los", "de las"},
	{"al", "a la", "a los", "a las"},
	{"un", "una", "unos", "unas"},
}

// spokenAs is an article's form for a term, with a space after it. A term without one has none.
func spokenAs(asked string, article int) string {
	for _, forms := range spoken {
		if article > 0 && forms[0] == asked {
			return forms[article-1] + " "
		}
	}
	return ""
}

// Capital lifts the first letter: a sentence may begin with a term.
func Capital(s string) string {
	switch {
	case s == "":
		return s
	case s[0] >= 'a' && s[0] <= 'z':
		return string(s[0]-'a'+'A') + s[1:]
	case len(s) > 1 && s[0] == 0xC3 && s[1] >= 0xA0 && s[1] != 0xB7: // à to þ, but not ÷
		return s[:1] + string([]byte{s[1] - 0x20}) + s[2:]
	}
	return s
}
