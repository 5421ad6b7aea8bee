package httpapi

import (
	"context"
	"net/http"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
)

// Person is someone of the crew, as the others see them.
type Person struct {
	ID   string      `json:"id" format:"uuid"`
	Name string      `json:"name"`
	Role joblog.Role `json:"role" enum:"owner,lead,installer"`
	Left bool        `json:"left,omitempty" doc:"No longer of the company; the log still names them"`
}

// PeopleList is a company's people by name.
type PeopleList struct {
	People []Person `json:"people"`
}

// PersonPath names someone of the crew.
type PersonPath struct {
	Person string `path:"person" format:"uuid" doc:"The person's id"`
}

// SetRole says what somebody is to be.
type SetRole struct {
	Role joblog.Role `json:"role" enum:"owner,lead,installer"`
}

// Access is where a person is signed in and what they sign in with.
type Access struct {
	Sessions []SessionLine `json:"sessions" doc:"The one last used first"`
	Passkeys []PasskeyLine `json:"passkeys" doc:"The oldest first"`
}

// SessionLine is one device a person is signed in on.
type SessionLine struct {
	ID         string    `json:"id" format:"uuid"`
	Device     string    `json:"device" doc:"What the device calls itself; may be empty"`
	SignedInAt time.Time `json:"signed_in_at"`
	SeenAt     time.Time `json:"seen_at" doc:"Last heard of, to ten minutes"`
	Here       bool      `json:"here,omitempty" doc:"The one that asks"`
}

// PasskeyLine is one of a person's passkeys.
type PasskeyLine struct {
	ID     string     `json:"id" format:"uuid"`
	Device string     `json:"device" doc:"The device it was made on; may be empty"`
	MadeAt time.Time  `json:"made_at"`
	UsedAt *time.Time `json:"used_at,omitempty"`
}

type (
	peopleOutput struct{ Body PeopleList }
	setRoleInput struct {
		PersonPath
		Body SetRole
	}
	accessOutput struct{ Body Access }
	sessionPath  struct {
		PersonPath
		Session string `path:"session" format:"uuid"`
	}
	passkeyPath struct {
		PersonPath
		Passkey string `path:"passkey" format:"uuid"`
	}
)

func (s *Server) registerPeople() {
	add(s, operation("list-people", http.MethodGet, "/people", "Everyone in the company, and who has left it"),
		func(ctx context.Context, _ *struct{}) (*peopleOutput, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return s.peopleOf(ctx, v)
		})
	role := operation("set-role", http.MethodPut, "/people/{person}/role", "Change what somebody may do")
	role.Description = "Leads only; only an owner for owners."
	role.MaxBodyBytes = signInBody
	add(s, role, func(ctx context.Context, in *setRoleInput) (*peopleOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		if err := s.cfg.Store.SetRole(ctx, v, in.Person, in.Body.Role); err != nil {
			return nil, err
		}
		return s.peopleOf(ctx, v)
	})
	gone := operation("remove-person", http.MethodDelete, "/people/{person}", "Take somebody out of the company")
	gone.Description = "Leads only; only an owner for owners. Ends their sessions and passkeys; the log keeps their name."
	add(s, gone, func(ctx context.Context, in *PersonPath) (*struct{}, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return nil, s.cfg.Store.RemovePerson(ctx, v, in.Person)
	})
	access := operation("get-access", http.MethodGet, "/people/{person}/access", "Where a person is signed in and with what")
	access.Description = "Their own, or a lead's look at whom they manage."
	add(s, access, s.access)
	add(s, operation("end-session", http.MethodDelete, "/people/{person}/sessions/{session}", "Sign a person out on one device"),
		func(ctx context.Context, in *sessionPath) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.EndSession(ctx, v, in.Person, in.Session)
		})
	add(s, operation("remove-passkey", http.MethodDelete, "/people/{person}/passkeys/{passkey}", "End a passkey"),
		func(ctx context.Context, in *passkeyPath) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.RemovePasskey(ctx, v, in.Person, in.Passkey)
		})
}

func (s *Server) peopleOf(ctx context.Context, v account.Viewer) (*peopleOutput, error) {
	people, err := s.people(ctx, v)
	if err != nil {
		return nil, err
	}
	return &peopleOutput{Body: PeopleList{People: people}}, nil
}

func (s *Server) people(ctx context.Context, v account.Viewer) ([]Person, error) {
	members, err := s.cfg.Store.People(ctx, v)
	if err != nil {
		return nil, err
	}
	out := make([]Person, 0, len(members))
	for _, m := range members {
		out = append(out, Person{ID: m.ID, Name: m.Name, Role: m.Role, Left: m.Left})
	}
	return out, nil
}

func (s *Server) access(ctx context.Context, in *PersonPath) (*accessOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	sessions, keys, err := s.cfg.Store.Access(ctx, v, in.Person)
	if err != nil {
		return nil, err
	}
	out := Access{Sessions: make([]SessionLine, len(sessions)), Passkeys: make([]PasskeyLine, len(keys))}
	here := s.tokenHash(ctx)
	for i, one := range sessions {
		out.Sessions[i] = SessionLine{ID: one.ID, Device: one.DeviceName, SignedInAt: one.CreatedAt.UTC(), SeenAt: one.LastSeenAt.UTC(),
			Here: one.TokenHash == here}
	}
	for i, k := range keys {
		out.Passkeys[i] = PasskeyLine{ID: k.ID, Device: k.Name, MadeAt: k.CreatedAt.UTC(), UsedAt: k.LastUsedAt}
	}
	return &accessOutput{Body: out}, nil
}
