package httpapi

import (
	"context"
	"net/http"

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
			people, err := s.cfg.Store.People(ctx, v)
			if err != nil {
				return nil, err
			}
			out := &peopleOutput{Body: PeopleList{People: []Person{}}}
			for _, p := range people {
				out.Body.People = append(out.Body.People, Person{ID: p.ID, Name: p.Name, Role: p.Role})
			}
			return out, nil
		})
}
