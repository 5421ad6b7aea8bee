package httpapi

import (
	"context"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/finding"
	"longpoint/internal/forecast"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
	"longpoint/internal/message"
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
	// People lists the company's crew and who has left it.
	People(ctx context.Context, v account.Viewer) ([]account.Member, error)
	// SetSettings sets the viewer's own name, language and unit. Errors: invalid, unauthorized.
	SetSettings(ctx context.Context, v account.Viewer, set account.Settings) error
	// SetPassphrase gives a person another passphrase and ends their other sessions. Whoever
	// calls it sees to it who asks. Errors: not_found.
	SetPassphrase(ctx context.Context, company, person, hash, butToken string) error
	// SetRole changes what somebody of the crew may do. Errors: forbidden, conflict, not_found.
	SetRole(ctx context.Context, v account.Viewer, person string, role joblog.Role) error
	// RemovePerson takes somebody out of the company. Errors: forbidden, conflict, not_found.
	RemovePerson(ctx context.Context, v account.Viewer, person string) error
	// Access returns a person's sessions and passkeys. Errors: forbidden, not_found.
	Access(ctx context.Context, v account.Viewer, person string) ([]account.Session, []account.Passkey, error)
	// EndSession signs a person out on one device. Errors: forbidden, not_found.
	EndSession(ctx context.Context, v account.Viewer, person, session string) error
	// LosePhone signs a person out on a lost device. Errors: forbidden, not_found.
	LosePhone(ctx context.Context, v account.Viewer, person, session string) error
	// LostPhones lists lost phones and what of them waits. Leads only. Errors: forbidden.
	LostPhones(ctx context.Context, v account.Viewer) ([]account.LostPhone, error)
	// Hold keeps a lost phone's command for a lead's word, unless it was decided before. Errors:
	// invalid and conflict, about this command only.
	Hold(ctx context.Context, v account.Viewer, phone string, c joblog.Command, sentAt time.Time) (out joblog.Outcome, held bool, err error)
	// TakeHeld takes up a command that waits. Leads only. Errors: as Submit; forbidden, not_found.
	TakeHeld(ctx context.Context, v account.Viewer, phone, command string) (joblog.Outcome, error)
	// TurnDownHeld sends one back to its author. Leads only. Errors: forbidden, not_found, conflict.
	TurnDownHeld(ctx context.Context, v account.Viewer, phone, command string) error
	// PhoneBack says that a lost phone is back. Leads only. Errors: forbidden, conflict, not_found.
	PhoneBack(ctx context.Context, v account.Viewer, phone string) error
	// AddPasskey gives the viewer a passkey. Errors: conflict.
	AddPasskey(ctx context.Context, v account.Viewer, k account.Passkey) error
	// RemovePasskey ends a person's passkey. Errors: forbidden, conflict, not_found.
	RemovePasskey(ctx context.Context, v account.Viewer, person, passkey string) error
	// FindPasskey returns a passkey with its person, before anyone is known. Errors: not_found.
	FindPasskey(ctx context.Context, credentialID string) (account.Person, account.Passkey, error)
	// UsedPasskey keeps what a passkey's use changed.
	UsedPasskey(ctx context.Context, p account.Person, k account.Passkey) error
	// KeepCeremony keeps what a device was asked, for a time.
	KeepCeremony(ctx context.Context, secretHash string, asked account.Asked, lasts time.Duration) error
	// TakeCeremony returns it, once. Errors: not_found.
	TakeCeremony(ctx context.Context, secretHash string) (account.Asked, error)
	// MakeInvite keeps an invitation and returns it with the name and role it is for. Leads
	// only. Errors: forbidden, invalid, not_found.
	MakeInvite(ctx context.Context, v account.Viewer, i account.Invite, tokenHash string) (account.Invite, error)
	// Invites lists the invitations that can be used. Leads only. Errors: forbidden.
	Invites(ctx context.Context, v account.Viewer) ([]account.Invite, error)
	// EndInvite takes one back. Leads only. Errors: forbidden, not_found.
	EndInvite(ctx context.Context, v account.Viewer, invite string) error
	// FindInvite returns an invitation as it is, before anyone is known. Errors: not_found.
	FindInvite(ctx context.Context, tokenHash string) (account.Welcome, error)
	// UseInvite joins by an invitation, once. Errors: conflict, invalid.
	UseInvite(ctx context.Context, i account.Invite, p account.Person, passphraseHash string, key *account.Passkey) error
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
	// OpenWalk opens a walkthrough by c: guest, entry and link l, all or none; ends is when the link ends. The same
	// walk's id again makes one more link alone. What the rules refuse is not kept. Leads only. Errors: forbidden,
	// invalid, not_found, conflict.
	OpenWalk(ctx context.Context, v account.Viewer, g account.Person, c joblog.Command, l account.NewLink) (out joblog.Outcome, ends time.Time, err error)
	// MakeLink gives a walk a link and ends the one it had; a walk whose day is before the link's goes on as long.
	// Leads only. Errors: forbidden, not_found.
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
	// Seal returns the value of a signed walkthrough's seal, empty while it has none.
	Seal(ctx context.Context, v account.Viewer, job, walk string) (string, error)
	// StockLists returns what the yard sells: the company's list and, for a job, its own.
	// Errors: not_found.
	StockLists(ctx context.Context, v account.Viewer, job string) (company, own yard.List, err error)
	// SetStockList replaces a job's list, or the company's with an empty job. Leads only.
	// Errors: forbidden, invalid, not_found.
	SetStockList(ctx context.Context, v account.Viewer, job string, list yard.List) error
	// StockPlan returns the plan a job works from, nil before the first. Errors: not_found.
	StockPlan(ctx context.Context, v account.Viewer, job string) (*yard.Plan, error)
	// StockMark tells plans of a job apart, 0 before the first. Errors: not_found.
	StockMark(ctx context.Context, v account.Viewer, job string) (int64, error)
	// KeepStockPlan makes a plan the one the job works from. Errors: not_found.
	KeepStockPlan(ctx context.Context, v account.Viewer, job string, plan yard.Plan) error
	// Marks returns the last entries of the company's jobs, for the crew's pace.
	Marks(ctx context.Context, v account.Viewer) ([]forecast.Mark, error)
	// MakeCalendarLink gives the viewer a link to their own days and ends the one they had;
	// with an empty hash it only ends it.
	MakeCalendarLink(ctx context.Context, v account.Viewer, tokenHash, zone string) error
	// CalendarOf returns whose days a link opens, and their time zone. Errors: not_found, also
	// for one that has ended.
	CalendarOf(ctx context.Context, tokenHash string) (account.Person, string, error)
	// Submit takes one command. A refused one is an outcome and no error. Errors: invalid
	// and conflict, about this command only; unauthorized; unavailable; internal.
	Submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error)
	// SubmitTogether takes many commands that set a job up, all or none. Leads only. Errors:
	// forbidden, invalid, conflict, not_found, and what its Make returns.
	SubmitTogether(ctx context.Context, v account.Viewer, t Together) (TogetherOutcome, error)
	// Log returns the entries of a job that a filter asks for and the job's last number.
	// Errors: not_found, invalid.
	Log(ctx context.Context, v account.Viewer, job string, f logbook.Filter) (entries []joblog.Entry, last int64, err error)
	// Search finds what holds every word of a question in the jobs the viewer may read, the
	// best first, and says which words those were.
	Search(ctx context.Context, v account.Viewer, typed string) ([]Hit, Sought, error)
	// Templates lists what the company has put by. Leads only. Errors: forbidden.
	Templates(ctx context.Context, v account.Viewer) ([]setup.Template, error)
	// Template returns one of them. Leads only. Errors: forbidden, not_found.
	Template(ctx context.Context, v account.Viewer, id string) (setup.Template, error)
	// PutTemplate puts one by; the same id again changes nothing. Leads only. Errors: forbidden, invalid.
	PutTemplate(ctx context.Context, v account.Viewer, t setup.Template) error
	// Messages lists the last month's e-mails, of a job or with an empty one of the company, without what they say. Leads
	// only. Errors: forbidden, invalid.
	Messages(ctx context.Context, v account.Viewer, job string) ([]message.Message, error)
	// TryAgain has one tried again. Leads only. Errors: forbidden, not_found.
	TryAgain(ctx context.Context, v account.Viewer, message string) error
	// Contacts returns who is told about a walk. Leads only. Errors: forbidden, invalid, not_found.
	Contacts(ctx context.Context, v account.Viewer, job, walk string) (account.Contacts, error)
	// SetContacts changes it, also for what has not got through. Leads only. Errors: forbidden, invalid, not_found.
	SetContacts(ctx context.Context, v account.Viewer, job, walk string, c account.Contacts) error
	// Push says where the viewer's session is sent messages, empty for nowhere, and what became of the last.
	Push(ctx context.Context, v account.Viewer, tokenHash string) (endpoint string, last message.Message, err error)
	// SetPush has the viewer's session sent messages. Errors: not_found.
	SetPush(ctx context.Context, v account.Viewer, tokenHash string, to message.Subscription) error
	// DropPush has it sent none.
	DropPush(ctx context.Context, v account.Viewer, tokenHash string) error
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
