package httpapi

import (
	"context"
	"net/http"
	"time"

	"longpoint/internal/message"
)

// MessageLine is an e-mail to somebody or a message to somebody's phone, and how far it got. What it says is not told: it may hold a link.
type MessageLine struct {
	ID       string          `json:"id" format:"uuid"`
	JobID    string          `json:"job_id,omitempty" format:"uuid"`
	AboutID  string          `json:"about_id" format:"uuid" doc:"The walkthrough or the invitation"`
	Kind     message.Kind    `json:"kind" enum:"walk_ready,walk_fixed,walk_signed,walk_record,invite,push_work,push_remark,push_still"`
	Email    string          `json:"email,omitempty" doc:"None for one to a phone"`
	PersonID string          `json:"person_id,omitempty" format:"uuid" doc:"Whose phone, for one to a phone"`
	Device   string          `json:"device,omitempty" doc:"What the phone calls itself"`
	MadeAt   time.Time       `json:"made_at"`
	State    message.State   `json:"state" enum:"waiting,sent,failed,overtaken" doc:"failed is given up; overtaken was not to be sent any more"`
	Tries    int             `json:"tries"`
	NextAt   *time.Time      `json:"next_at,omitempty" doc:"When it is tried next, while it waits"`
	Trouble  message.Trouble `json:"trouble,omitempty" enum:"no_answer,not_let_in,not_private,address_refused,turned_away,not_written,not_wanted" doc:"Why it did not go out the last time"`
}

// MessageList is the last month's messages.
type MessageList struct {
	Mail     bool          `json:"mail" doc:"Whether e-mail is sent at all; where not, links are passed on by hand and no messages are made"`
	Messages []MessageLine `json:"messages" doc:"The newest first"`
}

type (
	messagesInput struct {
		Job string `query:"job" format:"uuid" doc:"Only those about this job"`
	}
	messagesOutput struct{ Body MessageList }
	messagePath    struct {
		Message string `path:"message" format:"uuid"`
	}
)

func (s *Server) registerMessages() {
	list := operation("list-messages", http.MethodGet, "/messages", "E-mails and messages to phones of the last month and how far they got")
	list.Description = "Leads only."
	add(s, list, s.messages)
	again := operation("try-message-again", http.MethodPost, "/messages/{message}/again", "Try a message again that did not go out")
	again.Description = "Leads only."
	add(s, again, func(ctx context.Context, in *messagePath) (*struct{}, error) {
		v, err := s.viewer(ctx)
		if err != nil {
			return nil, err
		}
		return nil, s.cfg.Store.TryAgain(ctx, v, in.Message)
	})
}

func (s *Server) messages(ctx context.Context, in *messagesInput) (*messagesOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	made, err := s.cfg.Store.Messages(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	out := MessageList{Mail: s.cfg.Mail, Messages: make([]MessageLine, len(made))}
	for i, m := range made {
		out.Messages[i] = MessageLine{ID: m.ID, JobID: m.JobID, AboutID: m.AboutID, Kind: m.Kind, Email: m.Email, PersonID: m.PersonID, Device: m.Device, MadeAt: m.MadeAt.UTC(),
			State: m.State, Tries: m.Tries, Trouble: m.Trouble}
		if m.State == message.Waiting {
			next := m.DueAt.UTC()
			out.Messages[i].NextAt = &next
		}
	}
	return &messagesOutput{Body: out}, nil
}
