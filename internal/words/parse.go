package words

import (
	"strconv"
	"strings"
)

// spread are the names a key may stand for several of. The text says the term that the
// prefix and the name make.
var spread = []struct {
	mark, prefix string
	names        []string
}{
	{"{face}", "face_", []string{"a", "b"}},
	{"{side}", "side_", []string{"hinge", "strike", "left", "right", "pocket"}},
}

// Error is why a catalog cannot be read.
type Error struct{ Sentence string }

// Error is the sentence.
func (e *Error) Error() string { return e.Sentence }

// Parse reads a catalog's text. A line is a key and its words:
//
//	shim_tight.sentence = Only {shim} of shim space in all.
//	shim_tight.remedy = Plane the high spots of the studs.
//	shim_tight.basis = @practice
//	@practice = Common practice.
//	slab_width = slab width
//	leg_{side} = jamb leg, {side}
//	wall_#_piece_# = wall #, piece #
//
// A finding has a sentence, most have a remedy and a basis; anything else is a term. @name is
// a text that several share. {width_down} is the length {width} rounded down. {side} and {face} in a key make it one for each; # in a key stands for any number. A term may
// begin with its article and a bar: la|jamba. Lines that begin with # are for who writes them.
func Parse(text string) (*Catalog, error) {
	c := &Catalog{Findings: map[string]Said{}, Terms: map[string]string{}, articles: map[string]int{}}
	p := parser{Catalog: c, shared: map[string]string{}}
	number := 0
	for line := range strings.Lines(text) {
		number++
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		key, said, ok := strings.Cut(line, " = ")
		if !ok || key == "" || said == "" {
			return nil, &Error{"Line " + strconv.Itoa(number) + " has no key and words: " + line}
		}
		if !p.line(key, said) {
			return nil, &Error{"Line " + strconv.Itoa(number) + ": " + key + " is said already or is no part of a finding."}
		}
	}
	return c, p.resolve()
}

type parser struct {
	*Catalog
	shared  map[string]string
	spread  [][2]string // keys that stand for several, and their words
	waiting [][2]string // finding's parts whose words are shared
}

// line takes in one line; false when its key was there before.
func (p *parser) line(key, said string) bool {
	switch {
	case key[0] == '@':
		_, twice := p.shared[key]
		p.shared[key] = said
		return !twice
	case strings.IndexByte(key, '{') >= 0:
		p.spread = append(p.spread, [2]string{key, said})
		return true
	case strings.IndexByte(key, '.') < 0:
		return p.term(key, said)
	case said[0] == '@':
		p.waiting = append(p.waiting, [2]string{key, said})
		return true
	}
	return p.part(key, said)
}

func (p *parser) term(key, said string) bool {
	if _, twice := p.Terms[key]; twice {
		return false
	}
	if article, word, ok := strings.Cut(said, "|"); ok {
		for i, form := range spoken[0] {
			if article == form {
				p.articles[key], said = i+1, word
			}
		}
	}
	p.Terms[key] = said
	return true
}

// part takes in one of a finding's three texts.
func (p *parser) part(key, said string) bool {
	code, part, _ := strings.Cut(key, ".")
	f := p.Findings[code]
	at := &f.Sentence
	switch part {
	case "sentence":
	case "remedy":
		at = &f.Remedy
	case "basis":
		at = &f.Basis
	default:
		return false
	}
	twice := *at != ""
	*at = said
	p.Findings[code] = f
	return !twice
}

// resolve puts in what could only be known once every line was read.
func (p *parser) resolve() error {
	for _, w := range p.waiting {
		said, ok := p.shared[w[1]]
		if !ok {
			return &Error{w[0] + " shares " + w[1] + ", which nothing says."}
		}
		if !p.part(w[0], said) {
			return &Error{w[0] + " is said twice."}
		}
	}
	for _, s := range p.spread {
		if !p.each(s[0], s[1]) {
			return &Error{s[0] + " makes a key that is said already."}
		}
	}
	return nil
}

// each says a key for every name it stands for.
func (p *parser) each(key, said string) bool {
	for _, s := range spread {
		if !strings.Contains(key, s.mark) {
			continue
		}
		for _, name := range s.names {
			if !p.each(strings.Replace(key, s.mark, name, 1), strings.Replace(said, s.mark, p.Terms[s.prefix+name], 1)) {
				return false
			}
		}
		return true
	}
	return p.term(key, said)
}
