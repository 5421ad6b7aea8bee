package words_test

import (
	"testing"

	"longpoint/internal/words"
)

const spanish = `
# jambs
@practice = Práctica común.
jamb = la|jamba
gaps = las|holguras
stud = el|montante
slabs = los|paneles
square = a escuadra
side_hinge = el|lado de bisagras
side_strike = lado del cerradero
side_left = lado izquierdo
side_right = lado derecho
side_pocket = lado del nicho
face_a = cara A
face_b = cara B
leg_{side} = la|pata, {side}
casing_{face}_{side} = moldura, {face}, {side}
short.sentence = {el piece} es {piece|corto|corta|cortos|cortas} y {piece|queda|quedan} lejos {del piece}.
short.remedy = Añade {count} {count|tira|tiras} {al piece}.
short.basis = @practice
`

func TestFill(t *testing.T) {
	t.Parallel()
	c, err := words.Parse(spanish)
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct{ piece, count, sentence, remedy string }{
		{"jamb", "1", "La jamba es corta y queda lejos de la jamba.", "Añade 1 tira a la jamba."},
		{"gaps", "2", "Las holguras es cortas y quedan lejos de las holguras.", "Añade 2 tiras a las holguras."},
		{"stud", "11", "El montante es corto y queda lejos del montante.", "Añade 11 tiras al montante."},
		{"slabs", "0", "Los paneles es cortos y quedan lejos de los paneles.", "Añade 0 tiras a los paneles."},
		{"leg_hinge", "1", "La pata, lado de bisagras es corta y queda lejos de la pata, lado de bisagras.", "Añade 1 tira a la pata, lado de bisagras."},
		{"square", "1", "A escuadra es corto y queda lejos a escuadra.", "Añade 1 tira a escuadra."},
	} {
		value := func(name string) (words.Value, bool) {
			switch name {
			case "piece":
				return words.Value{Term: tc.piece}, true
			case "count":
				return words.Value{Text: tc.count}, true
			}
			return words.Value{}, false
		}
		said := c.Findings["short"]
		if got := words.Capital(c.Fill(said.Sentence, value)); got != tc.sentence {
			t.Errorf("%s: got %q, want %q", tc.piece, got, tc.sentence)
		}
		if got := c.Fill(said.Remedy, value); got != tc.remedy {
			t.Errorf("%s: got %q, want %q", tc.piece, got, tc.remedy)
		}
		if said.Basis != "Práctica común." {
			t.Errorf("basis is %q", said.Basis)
		}
	}
	if got := c.Fill("{nobody} and {", func(string) (words.Value, bool) { return words.Value{}, false }); got != "{nobody} and {" {
		t.Errorf("what is not known is written %q", got)
	}
	if got := c.Term("casing_b_right"); got != "moldura, cara B, lado derecho" {
		t.Errorf("a key for every face and side says %q", got)
	}
	if got := words.Capital("ángulo") + words.Capital("÷") + words.Capital(""); got != "Ángulo÷" {
		t.Errorf("capitals are %q", got)
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"no words":                          "Line 1 has no key and words: no words",
		"a = one\n\na = two":                "Line 3: a is said already or is no part of a finding.",
		"a.sentence = x\na.sentence = y":    "Line 2: a.sentence is said already or is no part of a finding.",
		"a.color = red":                     "Line 1: a.color is said already or is no part of a finding.",
		"a.basis = @b":                      "a.basis shares @b, which nothing says.",
		"face_a = A\nx_a = 1\nx_{face} = 2": "x_{face} makes a key that is said already.",
	} {
		if _, err := words.Parse(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}
