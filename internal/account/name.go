package account

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"longpoint/internal/fault"
)

// maxName is the longest name of a person or a company, in characters.
const maxName = 120

// The joiners that Persian and the scripts of India write within words (Unicode, 23.2).
const (
	zeroWidthNonJoiner = '\u200c'
	zeroWidthJoiner    = '\u200d'
)

// Name writes the name of a person or a company as it is stored: composed, with single
// spaces and none around it. Any script may be used, from right to left too. A name that
// shows as another, as nothing, or turns the words around it is refused.
//
// Errors: invalid, with a sentence that says what to change.
func Name(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", fault.New(fault.Invalid, "The name holds characters that cannot be read.")
	}
	s = strings.Join(strings.FieldsFunc(norm.NFC.String(s), unicode.IsSpace), " ")
	if n := utf8.RuneCountInString(s); n > maxName {
		return "", fault.New(fault.Invalid, "A name may have at most 120 characters.")
	}
	written := false
	letters := []rune(s)
	for i, r := range letters {
		switch {
		case unicode.IsLetter(r) || unicode.IsNumber(r):
			written = true
		case r == zeroWidthJoiner || r == zeroWidthNonJoiner:
			if i == 0 || i == len(letters)-1 || !joined(letters[i-1]) || !joined(letters[i+1]) {
				return "", errHiddenName()
			}
		case !unicode.IsGraphic(r):
			// Control and format characters: those of no width, and those that change the
			// direction of writing, beyond their own letters.
			return "", errHiddenName()
		}
	}
	if !written {
		return "", fault.New(fault.Invalid, "A name needs at least one letter.")
	}
	return s, nil
}

// joined reports whether a joiner beside the character has something to join.
func joined(r rune) bool { return unicode.IsLetter(r) || unicode.IsMark(r) }

func errHiddenName() error {
	return fault.New(fault.Invalid, "The name holds a character that does not show or that changes the direction of writing. Type the name again.")
}
