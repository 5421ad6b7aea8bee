package httpapi

import (
	"context"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
)

// Store is what the service asks of the database. Every method but Ping and FindSignIn
// takes who is asking and shows nothing that is not theirs to see; a thing of another
// company and a thing that does not exist are both not_found. Errors are faults.
type Store interface {
	account.SignIns
	// Ping asks for an answer. Errors: unavailable.
	Ping(ctx context.Context) error
	// Company returns the viewer's company. Errors: unauthorized when it is gone.
	Company(ctx context.Context, v account.Viewer) (account.Company, error)
	// People lists everyone in the company.
	People(ctx context.Context, v account.Viewer) ([]account.Person, error)
	// HouseRules returns the company's own house rules.
	HouseRules(ctx context.Context, v account.Viewer) (houserules.Set, error)
	// SetHouseRules replaces them. Leads only. Errors: forbidden, invalid.
	SetHouseRules(ctx context.Context, v account.Viewer, set houserules.Set) error
	// Jobs lists the jobs the viewer may see, the newest first.
	Jobs(ctx context.Context, v account.Viewer) ([]JobLine, error)
	// Job returns a whole job and the company's house rules. Errors: not_found.
	Job(ctx context.Context, v account.Viewer, job string) (*joblog.State, houserules.Set, error)
	// Scope returns one item with what surrounds it. Errors: not_found.
	Scope(ctx context.Context, v account.Viewer, job, item string) (joblog.Scope, error)
	// Entries returns the entries after a number, at most limit, of one item when item is
	// not empty; last is the job's last number. Errors: not_found.
	Entries(ctx context.Context, v account.Viewer, job string, after int64, item string, limit int) (entries []joblog.Entry, last int64, err error)
	// RefusedCommands returns what the viewer sent for the job and the rules refused.
	RefusedCommands(ctx context.Context, v account.Viewer, job string) ([]Refused, error)
	// Submit takes one command. A refused one is an outcome and no error. Errors: invalid
	// and conflict, about this command only; unauthorized; unavailable; internal.
	Submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error)
}

// JobLine is a job in a list.
type JobLine struct {
	ID        string    `json:"id" format:"uuid"`
	Name      string    `json:"name"`
	Address   string    `json:"address,omitempty"`
	Seq       int64     `json:"seq" doc:"Last number in its log"`
	Rooms     int       `json:"rooms" doc:"How many rooms"`
	Items     int       `json:"items" doc:"How many openings"`
	ChangedAt time.Time `json:"changed_at"`
}

// Refused is a command the rules refused, without words.
type Refused struct {
	Command  joblog.Command
	Findings []finding.Finding
	At       time.Time // when it arrived
}
