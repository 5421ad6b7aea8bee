// Package fault holds the one error type that crosses the program's packages: a code the
// program acts on, a sentence for the person, and the cause for the log.
package fault

import (
	"errors"
	"fmt"
	"strings"
)

// Code says what kind of thing went wrong. Each has one HTTP status.
type Code string

// The codes.
const (
	Invalid      Code = "invalid"      // what was sent cannot be right
	Unauthorized Code = "unauthorized" // not signed in
	Forbidden    Code = "forbidden"    // signed in, and not for them to do
	NotFound     Code = "not_found"    // not there, or not theirs to see: the two are not told apart
	Conflict     Code = "conflict"     // there already, or changed meanwhile
	TooLarge     Code = "too_large"
	RateLimited  Code = "rate_limited"
	Unavailable  Code = "unavailable" // trying again later may help
	Internal     Code = "internal"    // our mistake: logged, never shown
)

// Error is a fault with its code and the sentence a person may read. Err is the cause; it
// goes to the log and never to a person.
type Error struct {
	Code     Code
	Sentence string
	Err      error
}

// Error writes all there is, for the log.
func (e *Error) Error() string {
	if e.Err == nil {
		return string(e.Code) + ": " + e.Sentence
	}
	return string(e.Code) + ": " + e.Sentence + ": " + e.Err.Error()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// New makes a fault without a further cause.
func New(c Code, sentence string) error { return &Error{Code: c, Sentence: sentence} }

// Because makes a fault with its cause.
func Because(c Code, sentence string, cause error) error {
	return &Error{Code: c, Sentence: sentence, Err: cause}
}

// In writes the operation and the keys it was about before the error *err, when there is
// one; the code stays readable. It is deferred with a named result:
//
//	defer fault.In(&err, "reading job", jobID)
func In(err *error, operation string, keys ...string) {
	if *err == nil {
		return
	}
	if len(keys) > 0 {
		operation += " " + strings.Join(keys, " ")
	}
	*err = fmt.Errorf("%s: %w", operation, *err)
}

// CodeOf returns the code of the outermost fault in err's chain, Internal for an error that
// holds none, and "" for nil.
func CodeOf(err error) Code {
	if err == nil {
		return ""
	}
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return Internal
}

// SentenceOf returns what a person may read about err: the fault's own sentence, or one
// that gives nothing away when the fault is ours or unknown.
func SentenceOf(err error) string {
	var e *Error
	if errors.As(err, &e) && e.Code != Internal && e.Sentence != "" {
		return e.Sentence
	}
	return "Something went wrong on our side. It has been noted; please try again."
}

// Is reports whether err's code is c.
func Is(err error, c Code) bool { return CodeOf(err) == c }
