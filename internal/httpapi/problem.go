package httpapi

import (
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"longpoint/internal/account"
	"longpoint/internal/fault"
)

const problemType = "application/problem+json"

// Problem is how everything refused is answered: problem details (RFC 9457) with a plain
// sentence. It never holds a value that was sent, which may have been a passphrase.
type Problem struct {
	Type   string        `json:"type" doc:"about:blank: the status says what kind of problem it is" example:"about:blank"`
	Title  string        `json:"title" doc:"The status in words"`
	Status int           `json:"status"`
	Detail string        `json:"detail" doc:"One plain sentence for the person"`
	Code   fault.Code    `json:"code" enum:"invalid,unauthorized,forbidden,not_found,conflict,too_large,rate_limited,unavailable,internal"`
	Errors []ProblemPart `json:"errors,omitempty" doc:"Each thing that was wrong with what was sent"`
}

// ProblemPart is one thing that was wrong, and where.
type ProblemPart struct {
	Where string `json:"where,omitempty" doc:"Such as body.sent_at or query.unit"`
	What  string `json:"what"`
}

// Error is the sentence.
func (p *Problem) Error() string { return p.Detail }

// GetStatus is the HTTP status.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType is problem+json whatever was negotiated.
func (p *Problem) ContentType(string) string { return problemType }

func newProblem(status int, code fault.Code, sentence string) *Problem {
	return &Problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Detail: sentence, Code: code}
}

// statuses give each fault its status.
var statuses = map[fault.Code]int{
	fault.Invalid:      http.StatusUnprocessableEntity,
	fault.Unauthorized: http.StatusUnauthorized,
	fault.Forbidden:    http.StatusForbidden,
	fault.NotFound:     http.StatusNotFound,
	fault.Conflict:     http.StatusConflict,
	fault.TooLarge:     http.StatusRequestEntityTooLarge,
	fault.RateLimited:  http.StatusTooManyRequests,
	fault.Unavailable:  http.StatusServiceUnavailable,
	fault.Internal:     http.StatusInternalServerError,
}

func statusOf(c fault.Code) int {
	if status, ok := statuses[c]; ok {
		return status
	}
	return http.StatusInternalServerError
}

// problemOf is what a person is told of an error.
func problemOf(err error) *Problem {
	var p *Problem
	if errors.As(err, &p) {
		return p
	}
	code := fault.CodeOf(err)
	return newProblem(statusOf(code), code, fault.SentenceOf(err))
}

// The library makes its own refusals through a variable of its package and documents them
// by what that returns, and decides by another whether lists may be null; there is no
// setting for either.
func init() {
	// Lists are written as lists, never as null: the tests hold every answer against its schema.
	huma.DefaultArrayNullable = false
	huma.NewError = func(status int, message string, errs ...error) huma.StatusError {
		return refusal(status, message, errs)
	}
}

// refusal words what the library refused before a handler saw it.
func refusal(status int, message string, errs []error) *Problem {
	var parts []ProblemPart
	for _, err := range errs {
		d, ok := err.(huma.ErrorDetailer)
		if !ok {
			continue // whatever it says was not written for a person
		}
		detail := d.ErrorDetail()
		if said, ok := wellSaid(detail.Message); ok {
			parts = append(parts, ProblemPart{Where: detail.Location, What: said})
			continue
		}
		switch {
		case strings.HasPrefix(detail.Message, "unknown content type"):
			return newProblem(http.StatusUnsupportedMediaType, fault.Invalid, "Send the body as application/json.")
		case detail.Location == "body":
			return newProblem(http.StatusBadRequest, fault.Invalid, "The body is not JSON that can be read here.")
		}
		parts = append(parts, ProblemPart{Where: detail.Location, What: "cannot be read"})
	}
	p := newProblem(status, fault.Internal, fault.SentenceOf(nil))
	p.Errors = parts
	switch status {
	case http.StatusBadRequest:
		p.Code, p.Detail = fault.Invalid, "The body is missing or cannot be read."
	case http.StatusRequestTimeout:
		p.Code, p.Detail = fault.Unavailable, "The body did not arrive in time; send it again."
	case http.StatusRequestEntityTooLarge:
		p.Code, p.Detail = fault.TooLarge, "That is more than can be sent at once."
	case http.StatusUnsupportedMediaType:
		p.Code, p.Detail = fault.Invalid, "Send the body as application/json."
	case http.StatusNotAcceptable:
		p.Code, p.Detail = fault.Invalid, "Answers come as application/json."
	case http.StatusUnprocessableEntity:
		p.Code, p.Detail = fault.Invalid, "Something sent is not as it must be."
		if len(parts) == 1 {
			p.Detail = "Something sent is not as it must be: " + strings.Trim(parts[0].Where+": "+parts[0].What, ": ") + "."
		}
	}
	return p
}

// wellSaid returns the library's own sentence about a schema, which repeats no value. Other
// messages come from parsers, which do, and so may what follows a colon.
func wellSaid(message string) (string, bool) {
	for _, start := range []string{"expected ", "required ", "unexpected property", "unknown query parameter", "invalid integer",
		"invalid float", "invalid boolean", "invalid date/time"} {
		if strings.HasPrefix(message, start) {
			message, _, _ = strings.Cut(message, ": ")
			return message, true
		}
	}
	return "", false
}

// spoken puts a problem in its reader's language: that of the person signed in, else what the
// request asks for, since nobody is known yet where one signs in.
func (s *Server) spoken(ctx huma.Context, _ string, v any) (any, error) {
	p, ok := v.(*Problem)
	if !ok {
		return v, nil
	}
	language, _ := ctx.Context().Value(asksFor).(string)
	if who, ok := account.SignedIn(ctx.Context(), s.cfg.Sessions); ok {
		language = who.Language
	}
	if said := fault.Spoken(language, p.Detail); said != p.Detail {
		other := *p
		other.Detail = said
		return &other, nil
	}
	return v, nil
}

// writeProblem answers outside the library's operations.
func writeProblem(w http.ResponseWriter, p *Problem) {
	body, err := json.Marshal(p)
	if err != nil { // cannot be: strings and a number
		body = []byte("{}")
	}
	h := w.Header()
	h.Set("Content-Type", problemType)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	h.Set("Cache-Control", "no-store")
	h.Del("Content-Encoding")
	h.Del("ETag")
	if p.Status == http.StatusServiceUnavailable && h.Get("Retry-After") == "" {
		h.Set("Retry-After", retrySoon)
	}
	w.WriteHeader(p.Status)
	_, _ = w.Write(body)
}

// retrySoon is how many seconds a client waits when the database did not answer.
const retrySoon = "2"
