package account_test

import (
	"strings"
	"testing"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

func TestName(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ in, want string }{
		{"  Rosa   Marsh ", "Rosa Marsh"},
		{"Jose\u0301 Nun\u0303ez", "José Nuñez"},
		{"ראובן בן-דוד", "ראובן בן-דוד"}, // right to left by its own letters
		{"محمد الخطيب", "محمد الخطيب"},   // the same
		{"علی\u200cرضا", "علی\u200cرضا"}, // Persian writes the joiner within a word
		{"अक्\u200dषय", "अक्\u200dषय"},   // so does Hindi
		{"O'Neil & Sons, Ltd. 3", "O'Neil & Sons, Ltd. 3"},
		{"李小龙", "李小龙"},
		{strings.Repeat("a", 120), strings.Repeat("a", 120)},
	} {
		if got, err := account.Name(tc.in); err != nil || got != tc.want {
			t.Errorf("%q: want %q, got %q and %v", tc.in, tc.want, got, err)
		}
	}
	const (
		hidden = "The name holds a character that does not show or that changes the direction of writing. Type the name again."
		empty  = "A name needs at least one letter."
	)
	// The bidirectional controls of UAX #9, 2; U+200B and others of no width; the byte order mark.
	for in, sentence := range map[string]string{
		"":                       empty,
		" \t ":                   empty,
		"--":                     empty,
		"Rosa\u202eadmin":        hidden, // override
		"Rosa \u202dMarsh":       hidden,
		"\u202bRosa\u202c":       hidden, // embedding
		"Rosa\u2066\u2069":       hidden, // isolate
		"Rosa\u200eMarsh":        hidden, // mark
		"Rosa\u061c":             hidden,
		"Ro\u200bsa":             hidden, // zero width space
		"\u200b\u200b":           hidden,
		"Ro\u2060sa":             hidden, // word joiner
		"\ufeffRosa":             hidden,
		"Ro\u00adsa":             hidden, // soft hyphen
		"Rosa\u200d":             hidden, // a joiner with nothing to join
		"\u200cRosa":             hidden,
		"Rosa \u200d":            hidden,
		"Ro\x00sa":               hidden,
		"Ro\x1b[31msa":           hidden,
		"Rosa\U000e0041":         hidden, // tag
		"Rosa\ue000":             hidden, // private use
		"Ro\xffsa":               "The name holds characters that cannot be read.",
		strings.Repeat("a", 121): "A name may have at most 120 characters.",
	} {
		if got, err := account.Name(in); !fault.Is(err, fault.Invalid) || fault.SentenceOf(err) != sentence {
			t.Errorf("%q: want invalid with %q, got %q and %v", in, sentence, got, err)
		}
	}
}
