package cutsheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"

	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// DecodeError says in a sentence why a sheet's input could not be read. NotJSON tells text
// that is no JSON at all from JSON that does not say an opening or a run.
type DecodeError struct {
	NotJSON  bool
	Sentence string
	Err      error
}

func (e *DecodeError) Error() string { return e.Sentence }
func (e *DecodeError) Unwrap() error { return e.Err }

// mostFeatures is how many features, taped stretches or corner choices a run may have, as
// the API has it: more are a slip.
const mostFeatures = 400

// Decode reads one opening. Lengths are whole nanometers, or text in the crew's notation
// such as "79 5/8" or "2018 mm", a bare number in unit. A field that is not known is refused: a
// misspelled reading would otherwise be a reading not taken.
func Decode(data []byte, unit length.Unit) (Opening, error) {
	return readJSON[Opening](data, unit, "an opening", "the opening", "its unit and readings")
}

// DecodeRun reads one run the same way. Angles are whole thousandths of a degree.
func DecodeRun(data []byte, unit length.Unit) (Run, error) {
	r, err := readJSON[Run](data, unit, "a run", "the run", "its room, profile and corners")
	if err != nil {
		return Run{}, err
	}
	if n := max(len(r.Features), len(r.Taped), len(r.Corners.Choices)); n > mostFeatures {
		return Run{}, &DecodeError{Sentence: fmt.Sprintf("The run lists %d things where at most %d can be: split the room.", n, mostFeatures)}
	}
	return r, nil
}

func readJSON[T any](data []byte, unit length.Unit, a, the, holds string) (T, error) {
	var req, none T
	data, err := bare(data, reflect.TypeFor[T](), unit)
	if err != nil {
		return none, err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	err = d.Decode(&req)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			return none, &DecodeError{NotJSON: true, Sentence: "Something follows " + the + "'s JSON: send one object."}
		}
		return req, nil
	}
	var (
		notLength *length.ParseError
		syntax    *json.SyntaxError
		wrongType *json.UnmarshalTypeError
	)
	out := &DecodeError{Err: err, Sentence: "T" + the[1:] + " cannot be read: send " + holds + " as JSON."}
	switch {
	case errors.As(err, &notLength):
		out.Sentence = notLength.Error()
	case errors.As(err, &syntax), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		out.NotJSON = true
		out.Sentence = "That is not JSON: send " + the + "'s " + strings.TrimPrefix(holds, "its ") + " as one JSON object."
	case errors.As(err, &wrongType) && wrongType.Field != "":
		out.Sentence = wrongTypeSentence(wrongType)
	case strings.HasPrefix(err.Error(), "json: unknown field "):
		out.Sentence = "There is no field " + strings.TrimPrefix(err.Error(), "json: unknown field ") + " in " + a + "."
	}
	return none, out
}

func wrongTypeSentence(e *json.UnmarshalTypeError) string {
	if e.Type == reflect.TypeFor[trim.Angle]() {
		return "The angle " + e.Field + " is a whole number of thousandths of a degree: 90500 is 90.5°."
	}
	kind, value, _ := strings.Cut(e.Value, " ")
	if kind == "number" && value != "" && e.Type != nil && e.Type.Kind() >= reflect.Int && e.Type.Kind() <= reflect.Uint64 {
		return "The field " + e.Field + " takes a whole number, not " + value + "."
	}
	article := "a "
	if kind == "object" || kind == "array" {
		article = "an "
	}
	return "The field " + e.Field + " cannot hold " + article + kind + "."
}
