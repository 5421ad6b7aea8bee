package httpapi

import (
	"cmp"
	"context"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
)

// ReaderParams let a request choose how lengths and words come, other than as the person
// who is signed in has them. A browser's own Accept-Language is not asked: a person has
// said which language they read, and a borrowed phone has not.
type ReaderParams struct {
	Unit     string `query:"unit" enum:"in,mm" doc:"Unit lengths are printed in, other than the person's own"`
	Step     string `query:"step" enum:"16,32,1,0.5" doc:"Distance of the tape's marks: a 16th or 32nd of an inch, or 1 or 0.5 mm"`
	Language string `query:"language" enum:"en,es" doc:"Language of sentences, other than the person's own"`
}

// reader is for whom a view is made.
func (s *Server) reader(ctx context.Context, q ReaderParams) joblog.Reader {
	p, _ := account.SignedIn(ctx, s.cfg.Sessions)
	r := joblog.Reader{Language: p.Language, Now: s.clock().UTC()}
	r.Style.Unit = cmp.Or(p.Unit, length.Inches) // nobody is signed in at a public door
	if q.Unit != "" {
		r.Style.Unit = length.Unit(q.Unit)
	}
	if q.Language != "" {
		r.Language = q.Language
	}
	r.Style.Language = r.Language
	r.Style.Step = step(r.Style.Unit, q.Step)
	if q.Step == "" && p.Fine {
		r.Style.Step = fine(r.Style.Unit)
	}
	return r
}

// fine is the distance of marks for who wants them close.
func fine(u length.Unit) length.Length {
	if u == length.Millimeters {
		return length.Millimeter / 2
	}
	return length.ThirtySecond
}

// step is the distance of marks, the unit's usual one where the other unit's was asked for.
func step(u length.Unit, asked string) length.Length {
	switch {
	case u == length.Millimeters && asked == "0.5":
		return length.Millimeter / 2
	case u == length.Millimeters:
		return length.Millimeter
	case asked == "32":
		return length.ThirtySecond
	}
	return length.Sixteenth
}
