// Package finding holds what a rule has to say: a sentence for the person, what to do
// about it, and what the rule stands on. Rules make findings with codes and arguments;
// a catalog turns them into sentences in the reader's language and unit.
package finding

import (
	"strconv"
	"strings"
	"time"

	"longpoint/internal/length"
	"longpoint/internal/words"
)

// Severity says what a finding does to the stage it bears on.
type Severity string

// The three severities. A stop holds its stage until the cause is gone or a lead passes it
// with a written reason; a warn asks for a second look; a note is worth knowing.
const (
	Stop Severity = "stop"
	Warn Severity = "warn"
	Note Severity = "note"
)

// Finding is one thing a rule found. Code, Severity, Stage, About and Args are the record;
// Sentence, Remedy and Basis are filled in by Catalog.Render for one reader.
type Finding struct {
	Code     string     `json:"code" doc:"Stable name of the rule that spoke"`
	Severity Severity   `json:"severity" enum:"stop,warn,note" doc:"What it does to the stage"`
	Safety   bool       `json:"safety,omitempty" doc:"A safety stop: an installer cannot pass it"`
	Stage    string     `json:"stage,omitempty" doc:"The stage it bears on"`
	About    string     `json:"about,omitempty" doc:"The reading, piece or log entry it is about"`
	Wanted   bool       `json:"wanted,omitempty" doc:"Only something not yet entered: it blocks the tick but is no mistake"`
	PassedBy string     `json:"passed_by,omitempty" doc:"Person who passed this stop"`
	PassedAs string     `json:"passed_as,omitempty" doc:"The reason written when it was passed"`
	ClearsAt *time.Time `json:"clears_at,omitempty" doc:"When waiting alone clears it (UTC)"`
	Args     []Arg      `json:"args,omitempty" doc:"Values the sentence is made of"`
	Sentence string     `json:"sentence,omitempty" doc:"What is wrong, in one plain sentence"`
	Remedy   string     `json:"remedy,omitempty" doc:"What to do about it"`
	Basis    string     `json:"basis,omitempty" doc:"What the rule stands on"`
}

// Arg is one named value of a sentence: a length, a temperature, a word of the catalog, or
// plain text. Exactly one of them is meant; Length wins, then Celsius, then Term.
type Arg struct {
	Name    string         `json:"name"`
	Length  *length.Length `json:"length,omitempty" doc:"Nanometers"`
	Celsius *int64         `json:"celsius_tenths,omitempty" doc:"Tenths of a degree Celsius"`
	Term    string         `json:"term,omitempty" doc:"Catalog term"`
	Text    string         `json:"text,omitempty"`
}

// New starts a finding. Code must stand in the catalog of the package that makes it.
func New(code string, s Severity) Finding { return Finding{Code: code, Severity: s} }

// On names the stage the finding bears on.
func (f Finding) On(stage string) Finding { f.Stage = stage; return f }

// At names the reading, piece or log entry the finding is about.
func (f Finding) At(subject string) Finding { f.About = subject; return f }

// AsSafety marks a finding that an installer cannot pass (fire label, exit width).
func (f Finding) AsSafety() Finding { f.Safety = true; return f }

// AsWanted marks a stop that only says something is still to be entered.
func (f Finding) AsWanted() Finding { f.Wanted = true; return f }

// Key identifies a finding by what it says and about what, values included, so that a pass
// given for one state of things does not cover a worse one.
func (f *Finding) Key() string {
	var b strings.Builder
	b.WriteString(f.Code + "|" + f.Stage + "|" + f.About)
	for _, a := range f.Args {
		b.WriteString("|" + a.Name + "=" + a.Term + a.Text)
		if a.Length != nil {
			b.WriteString(strconv.FormatInt(int64(*a.Length), 10))
		}
		if a.Celsius != nil {
			b.WriteString(tenths(*a.Celsius))
		}
	}
	return b.String()
}

// Holds reports whether f stands in the way of its stage.
func (f *Finding) Holds() bool { return f.Severity == Stop && f.PassedBy == "" }

// Until says that waiting alone clears the finding at t.
func (f Finding) Until(t time.Time) Finding { u := t.UTC(); f.ClearsAt = &u; return f }

// Len adds a length argument.
func (f Finding) Len(name string, l length.Length) Finding {
	return f.with(Arg{Name: name, Length: &l})
}

// Deg adds a temperature, tenths of a degree Celsius.
func (f Finding) Deg(name string, celsius int64) Finding {
	return f.with(Arg{Name: name, Celsius: &celsius})
}

// Term adds an argument that is itself a word of the catalog, such as a reading's name.
func (f Finding) Term(name, term string) Finding { return f.with(Arg{Name: name, Term: term}) }

// Text adds an argument printed as it is.
func (f Finding) Text(name, text string) Finding { return f.with(Arg{Name: name, Text: text}) }

// Num adds a whole number.
func (f Finding) Num(name string, n int64) Finding {
	return f.with(Arg{Name: name, Text: strconv.FormatInt(n, 10)})
}

// Dec adds a decimal number printed to the given number of places.
func (f Finding) Dec(name string, v float64, places int) Finding {
	return f.with(Arg{Name: name, Text: strconv.FormatFloat(v, 'f', places, 64)})
}

func (f Finding) with(a Arg) Finding {
	f.Args = append(append(make([]Arg, 0, len(f.Args)+1), f.Args...), a)
	return f
}

// Catalog is one language's words with what puts findings in them. It is only read.
type Catalog struct{ *words.Catalog }

// In returns the catalog of a language, English where there is none.
func In(language string) Catalog { return Catalog{words.In(language)} }

// Render returns f with its sentence, remedy and basis written for one reader. A code the
// catalog lacks keeps its code as its sentence, which the catalog tests refuse.
func (c Catalog) Render(f Finding, st length.Style) Finding {
	var said words.Said
	if c.Catalog != nil {
		said = c.Findings[f.Code]
	}
	if said.Sentence == "" {
		f.Sentence = c.Term(f.Code)
		return f
	}
	value := func(name string) (words.Value, bool) { return valueOf(f.Args, name, st) }
	f.Sentence = words.Capital(c.Fill(said.Sentence, value))
	f.Remedy = words.Capital(c.Fill(said.Remedy, value))
	f.Basis = c.Fill(said.Basis, value)
	return f
}

// RenderAll renders every finding of fs into a new slice.
func (c Catalog) RenderAll(fs []Finding, st length.Style) []Finding {
	if fs == nil {
		return nil
	}
	out := make([]Finding, len(fs))
	for i, f := range fs {
		out[i] = c.Render(f, st)
	}
	return out
}

// valueOf is what stands for a name in the sentence: length wins, then term. A name with _down
// behind it is the same length rounded down, for what has to drop into a space.
func valueOf(args []Arg, name string, st length.Style) (words.Value, bool) {
	if of, down := strings.CutSuffix(name, "_down"); down {
		name, st.Rounding = of, length.Down
	}
	for i := range args {
		a := &args[i]
		switch {
		case a.Name != name:
		case a.Length != nil:
			return words.Value{Text: a.Length.Print(st)}, true
		case a.Celsius != nil:
			return words.Value{Text: Degrees(*a.Celsius, st.Unit)}, true
		default:
			return words.Value{Term: a.Term, Text: a.Text}, true
		}
	}
	return words.Value{}, false
}

// HasStop reports whether any finding of fs stands in the way of its stage.
func HasStop(fs []Finding) bool {
	for i := range fs {
		if fs[i].Holds() {
			return true
		}
	}
	return false
}

// Degrees prints tenths of a degree Celsius as the reader's thermometer does: whole degrees
// Fahrenheit where lengths are in inches, else Celsius to the tenth.
func Degrees(celsius int64, unit length.Unit) string {
	if unit == length.Millimeters {
		return tenths(celsius) + " °C"
	}
	fiftieths := celsius*9 + 1600 // of a degree Fahrenheit
	half := int64(25)
	if fiftieths < 0 {
		half = -25
	}
	return strconv.FormatInt((fiftieths+half)/50, 10) + " °F"
}

func tenths(t int64) string { return strconv.FormatFloat(float64(t)/10, 'f', -1, 64) }
