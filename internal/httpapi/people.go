package httpapi

import (
	"context"
	"net/http"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
)

// Person is someone of the crew, as the others see them.
type Person struct {
	ID   string      `json:"id" format:"uuid"`
	Name string      `json:"name"`
	Role joblog.Role `json:"role" enum:"owner,lead,installer"`
}

// PeopleList is a company's people by name.
type PeopleList struct {
	People []Person `json:"people"`
}

type peopleOutput struct{ Body PeopleList }

func (s *Server) registerPeople() {
	add(s, operation("list-people", http.MethodGet, "/people", "Everyone in the company"),
		func(ctx context.Context, _ *struct{}) (*peopleOutput, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			people, err := s.people(ctx, v)
			if err != nil {
				return nil, err
			}
			return &peopleOutput{Body: PeopleList{People: people}}, nil
		})
}

func (s *Server) people(ctx context.Context, v account.Viewer) ([]Person, error) {
	people, err := s.cfg.Store.People(ctx, v)
	if err != nil {
		return nil, err
	}
	out := make([]Person, 0, len(people))
	for _, p := range people {
		out = append(out, Person{ID: p.ID, Name: p.Name, Role: p.Role})
	}
	return out, nil
}
