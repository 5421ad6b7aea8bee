package httpapi

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/setup"
)

// TogetherParams are in every request that makes many entries at once. The same id with the
// same request does nothing twice.
type TogetherParams struct {
	ID     string    `json:"id" format:"uuid" doc:"UUIDv7 made by the device"`
	At     time.Time `json:"at" doc:"When it was asked for, by the device's clock"`
	SentAt time.Time `json:"sent_at" doc:"The device's clock as it sends"`
}

// Together is commands to be taken together or not at all.
type Together struct {
	TogetherParams
	Job    string
	Digest string
	Make   func(st *joblog.State, company houserules.Set) ([]joblog.Command, error)
}

// TogetherOutcome is where they are in the log; Refused is what the rules refuse of them, and
// then nothing was taken.
type TogetherOutcome struct {
	FirstSeq, LastSeq int64
	Repeated          bool
	Refused           []setup.Refusal
}

// SetUpOutcome says what was added to a job's log.
type SetUpOutcome struct {
	FirstSeq int64 `json:"first_seq"`
	LastSeq  int64 `json:"last_seq"`
	Repeated bool  `json:"repeated,omitempty" doc:"The same request had been taken before; nothing was added again"`
}

type setUpOutput struct{ Body SetUpOutcome }

// together takes what a request makes, or turns it back whole with each thing that is wrong.
func (s *Server) together(ctx context.Context, v account.Viewer, job string, p TogetherParams, request any, r joblog.Reader,
	make func(st *joblog.State, company houserules.Set) ([]joblog.Command, error)) (*setUpOutput, error) {
	// sent_at changes when the same request is sent again.
	body, err := json.Marshal(struct {
		Job, ID string
		At      time.Time
		Request any
	}{job, p.ID, p.At, request})
	if err != nil {
		return nil, fault.Because(fault.Internal, "", err)
	}
	sum := sha256.Sum256(body)
	out, err := s.cfg.Store.SubmitTogether(ctx, v, Together{TogetherParams: p, Job: job, Digest: hex.EncodeToString(sum[:]), Make: make})
	if err != nil {
		return nil, err
	}
	if len(out.Refused) > 0 {
		return nil, nothingTaken(refusalParts(out.Refused, r))
	}
	return &setUpOutput{Body: SetUpOutcome{FirstSeq: out.FirstSeq, LastSeq: out.LastSeq, Repeated: out.Repeated}}, nil
}

func nothingTaken(parts []ProblemPart) *Problem {
	p := newProblem(http.StatusUnprocessableEntity, fault.Invalid, "Nothing was added: something in it has to be put right first.")
	p.Errors = parts
	return p
}

func refusalParts(refused []setup.Refusal, r joblog.Reader) []ProblemPart {
	var parts []ProblemPart
	for _, one := range refused {
		for _, f := range one.Findings {
			parts = append(parts, ProblemPart{Where: "entry " + strconv.Itoa(one.At+1), What: sentenceOf(f, r)})
		}
	}
	return parts
}

func sentenceOf(f finding.Finding, r joblog.Reader) string {
	return joblog.Words(r.Language).Render(f, r.Style).Sentence
}
