package httpapi

import (
	"context"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/finding"
	"longpoint/internal/forecast"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/setup"
	"longpoint/internal/yard"
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
	// SetSettings sets the viewer's own language and unit. Errors: invalid, unauthorized.
	SetSettings(ctx context.Context, v account.Viewer, language string, unit length.Unit) error
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
	// AddGuest adds a homeowner. Leads only. Errors: forbidden, invalid.
	AddGuest(ctx context.Context, v account.Viewer, g account.Person) error
	// MakeLink gives a walk a link and ends the one it had. Leads only. Errors: forbidden,
	// not_found.
	MakeLink(ctx context.Context, v account.Viewer, l account.NewLink) error
	// EndLinks ends a walk's link and what was opened with it. Leads only. Errors: forbidden.
	EndLinks(ctx context.Context, v account.Viewer, job, walk string) error
	// FindLink returns what a link opens and its passphrase's hash, before anyone is known.
	// Errors: not_found, also for one that has ended.
	FindLink(ctx context.Context, tokenHash string) (account.Link, string, error)
	// FindKey returns what a key opens. Errors: not_found, also when its link has ended.
	FindKey(ctx context.Context, keyHash string) (account.Link, error)
	// AddKey keeps a key given for a link.
	AddKey(ctx context.Context, l account.Link, tokenHash, keyHash string) error
	// Guest returns the person a link is for. Errors: not_found.
	Guest(ctx context.Context, l account.Link) (account.Person, error)
	// WalkJob returns the whole job a link is about; the view leaves out what is not the
	// guest's. Errors: not_found.
	WalkJob(ctx context.Context, l account.Link) (*joblog.State, houserules.Set, error)
	// StockLists returns what the yard sells: the company's list and, for a job, its own.
	// Errors: not_found.
	StockLists(ctx context.Context, v account.Viewer, job string) (company, own yard.List, err error)
	// SetStockList replaces a job's list, or the company's with an empty job. Leads only.
	// Errors: forbidden, invalid, not_found.
	SetStockList(ctx context.Context, v account.Viewer, job string, list yard.List) error
	// StockPlan returns the plan a job works from, nil before the first. Errors: not_found.
	StockPlan(ctx context.Context, v account.Viewer, job string) (*yard.Plan, error)
	// KeepStockPlan makes a plan the one the job works from. Errors: not_found.
	KeepStockPlan(ctx context.Context, v account.Viewer, job string, plan yard.Plan) error
	// Marks returns the last entries of the company's jobs, for the crew's pace.
	Marks(ctx context.Context, v account.Viewer) ([]forecast.Mark, error)
	// Submit takes one command. A refused one is an outcome and no error. Errors: invalid
	// and conflict, about this command only; unauthorized; unavailable; internal.
	Submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error)
	// SubmitTogether takes many commands that set a job up, all or none. Leads only. Errors:
	// forbidden, invalid, conflict, not_found, and what its Make returns.
	SubmitTogether(ctx context.Context, v account.Viewer, t Together) (TogetherOutcome, error)
	// Templates lists what the company has put by. Leads only. Errors: forbidden.
	Templates(ctx context.Context, v account.Viewer) ([]setup.Template, error)
	// Template returns one of them. Leads only. Errors: forbidden, not_found.
	Template(ctx context.Context, v account.Viewer, id string) (setup.Template, error)
	// PutTemplate puts one by; the same id again changes nothing. Leads only. Errors: forbidden, invalid.
	PutTemplate(ctx context.Context, v account.Viewer, t setup.Template) error
	// DropTemplate takes one away. Leads only. Errors: forbidden.
	DropTemplate(ctx context.Context, v account.Viewer, id string) error
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
