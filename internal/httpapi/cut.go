package httpapi

import (
	"context"
	"errors"
	"net/http"
	"reflect"

	"github.com/danielgtaylor/huma/v2"

	"longpoint/internal/cutsheet"
	"longpoint/internal/fault"
	"longpoint/internal/length"
)

const cutBody = 64 << 10

// SentOpening is an opening for the calculator as it came. It is read past the schema, as
// the command line reads it: lengths may be nanometers or the crew's notation.
type SentOpening struct{ raw []byte }

// UnmarshalJSON keeps the text.
func (d *SentOpening) UnmarshalJSON(b []byte) error {
	d.raw = append(d.raw[:0], b...)
	return nil
}

// Schema describes it as the opening it should be.
func (SentOpening) Schema(r huma.Registry) *huma.Schema {
	return r.Schema(reflect.TypeFor[cutsheet.Opening](), true, "Opening")
}

type (
	cutDoorInput struct {
		ReaderParams
		Body SentOpening
	}
	cutDoorOutput struct{ Body cutsheet.Sheet }
)

func (s *Server) registerCut() {
	op := public(operation("cut-door", http.MethodPost, "/cut/door", "Work out the cuts of one opening, with no job and no log"))
	op.MaxBodyBytes = cutBody
	op.SkipValidateBody = true
	add(s, op, func(ctx context.Context, in *cutDoorInput) (*cutDoorOutput, error) {
		req, err := cutsheet.Decode(in.Body.raw, length.Inches)
		if err != nil {
			var bad *cutsheet.DecodeError
			if errors.As(err, &bad) && bad.NotJSON {
				return nil, newProblem(http.StatusBadRequest, fault.Invalid, bad.Sentence)
			}
			return nil, newProblem(http.StatusUnprocessableEntity, fault.Invalid, err.Error())
		}
		r := s.reader(ctx, in.ReaderParams)
		sheet, refused := cutsheet.Work(req, cutsheet.Reader{Language: r.Language, Style: r.Style})
		if len(refused) > 0 {
			p := newProblem(http.StatusUnprocessableEntity, fault.Invalid, refused[0].Sentence)
			for _, f := range refused {
				p.Errors = append(p.Errors, ProblemPart{Where: f.About, What: f.Sentence + " " + f.Remedy})
			}
			return nil, p
		}
		return &cutDoorOutput{Body: sheet}, nil
	})
}
