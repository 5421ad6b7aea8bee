package demo

import (
	"context"
	"fmt"
	"sync"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/setup"
)

// Store is where the house is built: the same store that serves it, with its clock in our
// hands.
type Store interface {
	account.SignIns
	Plans
	CreateCompany(ctx context.Context, c account.Company) error
	AddPerson(ctx context.Context, p account.Person, passphraseHash string) error
	AddGuest(ctx context.Context, v account.Viewer, g account.Person) error
	Submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error)
	PutTemplate(ctx context.Context, v account.Viewer, t setup.Template) error
}

// Clock is a clock that is set by hand. The zero Clock stands at the zero time.
type Clock struct {
	mu sync.Mutex
	at time.Time
}

// Now is the time it was set to.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

// Set moves it.
func (c *Clock) Set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = t
}

// Lead returns the first lead of the crew as the store has them, to look whether the house
// is there. Errors: not_found when it is not.
func Lead(ctx context.Context, store account.SignIns) (account.Person, error) {
	for _, p := range Crew() {
		if p.Role.Leads() {
			found, _, err := store.FindSignIn(ctx, p.SignIn)
			return found, err
		}
	}
	return account.Person{}, fault.New(fault.NotFound, "There is no lead in the crew.")
}

// Deliver brings a photo that the log names to where photos are kept.
type Deliver func(ctx context.Context, v account.Viewer, job, photo string, data []byte) error

// Load makes the company, its people and the house, each step at its own time: the clock
// must be the store's. Photos arrive through deliver; nil leaves them waiting. It says how
// many entries the job's log has then.
func Load(ctx context.Context, store Store, deliver Deliver, clock *Clock, hasher *account.Hasher, now time.Time) (entries int64, err error) {
	began := now.Add(-30 * 24 * time.Hour)
	clock.Set(began)
	company := account.Company{ID: newID(), Name: Company}
	if err := store.CreateCompany(ctx, company); err != nil {
		return 0, err
	}
	viewers, ids := map[string]account.Viewer{}, map[string]string{}
	for _, p := range Crew() {
		if err := account.CheckPassphrase(Passphrase, p.SignIn); err != nil {
			return 0, err
		}
		hash, err := hasher.Hash(ctx, Passphrase)
		if err != nil {
			return 0, err
		}
		person := account.Person{ID: newID(), CompanyID: company.ID, Name: p.Name, SignIn: p.SignIn, Role: p.Role, Language: "en", Unit: length.Inches}
		if err := store.AddPerson(ctx, person, hash); err != nil {
			return 0, err
		}
		viewers[p.SignIn], ids[p.SignIn] = person.Viewer(), person.ID
	}
	ada := guest(company.ID)
	if err := store.AddGuest(ctx, viewers["ruth"], ada); err != nil {
		return 0, err
	}
	viewers[Homeowner.SignIn], ids[Homeowner.SignIn] = ada.Viewer(), ada.ID
	state := joblog.NewState()
	for _, st := range Scenario(now, ids, newID) {
		clock.Set(st.At)
		out, err := store.Submit(ctx, viewers[st.By], st.Command, st.At)
		if err != nil {
			return 0, fmt.Errorf("%s at %s: %w", st.Command.Kind, st.At.Format(time.RFC3339), err)
		}
		if out.Applied {
			entries = out.LastSeq
			state.Apply(joblog.Entry{Seq: out.LastSeq, Command: st.Command, PersonID: ids[st.By], DidAt: st.At, LoggedAt: st.At, RuleBook: joblog.RuleBook})
		}
		if st.Photo != nil && deliver != nil {
			if err := deliver(ctx, viewers[st.By], st.Command.JobID, st.Command.AddPhoto.PhotoID, st.Photo); err != nil {
				return 0, fmt.Errorf("a photo: %w", err)
			}
		}
	}
	clock.Set(now)
	for _, p := range Crew() {
		if p.Role.Leads() {
			if err := putBy(ctx, store, viewers[p.SignIn], state); err != nil {
				return entries, err
			}
			return entries, plan(ctx, store, viewers[p.SignIn], state, now)
		}
	}
	return entries, nil
}

// putBy keeps a room that is built again and a trim package, as a lead does for the next house.
func putBy(ctx context.Context, store Store, lead account.Viewer, state *joblog.State) error {
	for id, room := range state.Rooms {
		t := setup.Template{ID: newID()}
		switch room.Name {
		case "North bedroom":
			t.Name, t.Rooms = "Bedroom with a closet pair", setup.RoomsOf(state, id)
		case "Mudroom":
			trim, ok := setup.PackageOf(state, id)
			if !ok {
				return fault.New(fault.Internal, "The mudroom has no trim to put by.")
			}
			t.Name, t.Trim = "Square casing, base and shoe", &trim
		default:
			continue
		}
		if err := store.PutTemplate(ctx, lead, t); err != nil {
			return fmt.Errorf("template %s: %w", t.Name, err)
		}
	}
	return nil
}

// Entries is how many entries the log has once the whole house is there.
func Entries(now time.Time) int64 {
	ids := map[string]string{}
	roles := map[string]joblog.Role{}
	for _, p := range append(Crew(), Homeowner) {
		ids[p.SignIn], roles[p.SignIn] = newID(), p.Role
	}
	state := joblog.NewState()
	for _, st := range Scenario(now, ids, newID) {
		by := joblog.Actor{PersonID: ids[st.By], Role: roles[st.By]}
		for _, e := range joblog.Decide(state.Scope(nil, st.Command), st.Command, by, st.At, st.At).Entries {
			e.Seq = state.Seq + 1
			state.Apply(e)
		}
	}
	return state.Seq
}

func newID() string { return uuid.Must(uuid.NewV7()).String() }
