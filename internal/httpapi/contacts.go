package httpapi

import (
	"context"
	"net/http"

	"longpoint/internal/account"
	"longpoint/internal/message"
)

// WalkContacts are who is told about a walkthrough, and the homeowner's language.
type WalkContacts struct {
	Language  string `json:"language" enum:"en,es" doc:"The homeowner's: of their page and of what they are written"`
	Email     string `json:"email,omitempty" maxLength:"300" doc:"The homeowner's; nobody is written to when empty"`
	LeadEmail string `json:"lead_email,omitempty" maxLength:"300" doc:"One's own, to be told when it is signed"`
}

type (
	contactsOutput struct{ Body WalkContacts }
	contactsInput  struct {
		WalkPath
		Body WalkContacts
	}
)

func (s *Server) registerContacts() {
	get := operation("get-walk-contacts", http.MethodGet, "/jobs/{job}/walks/{walk}/contacts", "Who is told about a walkthrough")
	get.Description = "Leads only."
	add(s, get, func(ctx context.Context, in *WalkPath) (*contactsOutput, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return s.contacts(ctx, v, in.Job, in.Walk)
	})
	set := operation("set-walk-contacts", http.MethodPut, "/jobs/{job}/walks/{walk}/contacts", "Change who is told about a walkthrough")
	set.Description = "Leads only. What has not got through to the old address goes to the new one."
	set.MaxBodyBytes = walkBody
	add(s, set, s.setContacts)
}

func (s *Server) contacts(ctx context.Context, v account.Viewer, job, walk string) (*contactsOutput, error) {
	c, err := s.cfg.Store.Contacts(ctx, v, job, walk)
	if err != nil {
		return nil, err
	}
	return &contactsOutput{Body: WalkContacts{Language: c.Language, Email: c.GuestEmail, LeadEmail: c.LeadEmail}}, nil
}

func (s *Server) setContacts(ctx context.Context, in *contactsInput) (*contactsOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	c := account.Contacts{Language: in.Body.Language}
	if c.GuestEmail, err = message.Email(in.Body.Email); err != nil {
		return nil, err
	}
	if c.LeadEmail, err = message.Email(in.Body.LeadEmail); err != nil {
		return nil, err
	}
	if err := s.cfg.Store.SetContacts(ctx, v, in.Job, in.Walk, c); err != nil {
		return nil, err
	}
	return s.contacts(ctx, v, in.Job, in.Walk)
}
