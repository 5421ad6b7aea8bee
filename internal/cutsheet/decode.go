package cutsheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"

	"longpoint/internal/length"
)

// DecodeError says in a sentence why an opening could not be read. NotJSON tells text that
// is no JSON at all from JSON that does not say an opening.
type DecodeError struct {
	NotJSON  bool
	Sentence string
	Err      error
}

func (e *DecodeError) Error() string { return e.Sentence }
func (e *DecodeError) Unwrap() error { return e.Err }

// Decode reads one opening. Lengths are whole nanometers, or text in the crew's notation
// such as "79 5/8" or "2018 mm". A field that is not known is refused: a misspelled reading
// would otherwise be a reading not taken.
func Decode(data []byte) (Opening, error) {
	var req Opening
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	err := d.Decode(&req)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			return Opening{}, &DecodeError{NotJSON: true, Sentence: "Something follows the opening's JSON: send one object."}
		}
		return req, nil
	}
	var (
		notLength *length.ParseError
		syntax    *json.SyntaxError
		wrongType *json.UnmarshalTypeError
	)
	out := &DecodeError{Err: err, Sentence: "The opening cannot be read: send its unit and readings as JSON."}
	switch {
	case errors.As(err, &notLength):
		out.Sentence = notLength.Sentence
	case errors.As(err, &syntax), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		out.NotJSON = true
		out.Sentence = "That is not JSON: send the opening's unit and readings as one JSON object."
	case errors.As(err, &wrongType) && wrongType.Field != "":
		out.Sentence = "The field " + wrongType.Field + " cannot hold a " + strings.Fields(wrongType.Value)[0] + "."
	case strings.HasPrefix(err.Error(), "json: unknown field "):
		out.Sentence = "There is no field " + strings.TrimPrefix(err.Error(), "json: unknown field ") + " in an opening."
	}
	return Opening{}, out
}
