package httpapi

import (
	"context"
	"net/http"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/message"
)

// NewInvite is an invitation to be made: for somebody new, or for somebody of the crew who
// lost their way in.
type NewInvite struct {
	Person   string      `json:"person,omitempty" format:"uuid" doc:"Who is to come back; role, name and language are then theirs"`
	Role     joblog.Role `json:"role,omitempty" enum:"owner,lead,installer"`
	Name     string      `json:"name,omitempty" maxLength:"120" doc:"What they are called; they may change it as they join"`
	Language string      `json:"language,omitempty" enum:"en,es"`
	Address  string      `json:"address" maxLength:"300" doc:"Where the page is that invitations are opened at; the secret is put behind its #"`
	Email    string      `json:"email,omitempty" maxLength:"300" doc:"Where the link is sent, where e-mail is sent at all"`
}

// InviteLink is an invitation as it is made: it cannot be shown again, for only its hash is kept.
type InviteLink struct {
	Invite InviteLine `json:"invite"`
	Link   string     `json:"link"`
	QR     []string   `json:"qr" doc:"The link as a QR code: a row of 0 and 1 for each line of modules"`
}

// InviteLine is an invitation that can still be used.
type InviteLine struct {
	ID        string      `json:"id" format:"uuid"`
	PersonID  string      `json:"person_id,omitempty" format:"uuid" doc:"Who is to come back"`
	Role      joblog.Role `json:"role" enum:"owner,lead,installer"`
	Name      string      `json:"name,omitempty"`
	InvitedBy string      `json:"invited_by" format:"uuid"`
	ExpiresAt time.Time   `json:"expires_at"`
}

// InviteList is the invitations that can still be used.
type InviteList struct {
	Invites []InviteLine `json:"invites" doc:"The newest first"`
}

// InviteToken is an invitation's secret.
type InviteToken struct {
	Token string `json:"token" minLength:"1" maxLength:"100" writeOnly:"true"`
}

// InviteWelcome is what whoever opens an invitation is told.
type InviteWelcome struct {
	CompanyName string      `json:"company_name"`
	InvitedBy   string      `json:"invited_by" doc:"A name"`
	Role        joblog.Role `json:"role" enum:"owner,lead,installer"`
	Name        string      `json:"name,omitempty"`
	Back        bool        `json:"back,omitempty" doc:"It is for somebody of the crew: they keep name and sign-in name, and set a passphrase or a passkey"`
	Language    string      `json:"language" enum:"en,es"`
}

// JoinWith asks what a device is to answer for a passkey to join with.
type JoinWith struct {
	InviteToken
	Name   string `json:"name,omitempty" maxLength:"120"`
	SignIn string `json:"sign_in,omitempty" maxLength:"254"`
}

// Join uses an invitation.
type Join struct {
	InviteToken
	Name       string          `json:"name,omitempty" maxLength:"120" doc:"For somebody new"`
	SignIn     string          `json:"sign_in,omitempty" maxLength:"254" doc:"For somebody new"`
	Language   string          `json:"language,omitempty" enum:"en,es"`
	Unit       length.Unit     `json:"unit,omitempty" enum:"in,mm"`
	Passphrase string          `json:"passphrase,omitempty" maxLength:"1024" writeOnly:"true" doc:"One of passphrase and passkey"`
	Passkey    *CeremonyAnswer `json:"passkey,omitempty"`
	Device     *SignInDevice   `json:"device,omitempty"`
}

type (
	newInviteInput struct{ Body NewInvite }
	inviteOutput   struct{ Body InviteLink }
	invitesOutput  struct{ Body InviteList }
	invitePath     struct {
		Invite string `path:"invite" format:"uuid"`
	}
	inviteLookInput struct {
		atPlace
		Body InviteToken
	}
	welcomeOutput struct{ Body InviteWelcome }
	joinWithInput struct {
		atPlace
		Body JoinWith
	}
	joinInput struct {
		atPlace
		Body Join
	}
)

func (s *Server) registerInvites() {
	made := operation("invite", http.MethodPost, "/invites", "Invite somebody into the company")
	made.Description = "Leads only, and to no more than they are. Answers with the link, which is never shown again and works once."
	made.MaxBodyBytes = signInBody
	add(s, made, s.invite)
	add(s, operation("list-invites", http.MethodGet, "/invites", "Invitations that can still be used"),
		func(ctx context.Context, _ *struct{}) (*invitesOutput, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			open, err := s.cfg.Store.Invites(ctx, v)
			if err != nil {
				return nil, err
			}
			out := InviteList{Invites: make([]InviteLine, len(open))}
			for i, one := range open {
				out.Invites[i] = inviteLine(one)
			}
			return &invitesOutput{Body: out}, nil
		})
	add(s, operation("end-invite", http.MethodDelete, "/invites/{invite}", "Take an invitation back"),
		func(ctx context.Context, in *invitePath) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.EndInvite(ctx, v, in.Invite)
		})
	look := public(operation("look-at-invite", http.MethodPost, "/join/look", "What an invitation is for"))
	look.Description = "Throttled: 429 with Retry-After."
	look.MaxBodyBytes = signInBody
	add(s, look, func(ctx context.Context, in *inviteLookInput) (*welcomeOutput, error) {
		w, err := s.welcome(ctx, in.from, in.Body.Token)
		if err != nil {
			return nil, err
		}
		return &welcomeOutput{Body: InviteWelcome{CompanyName: w.CompanyName, InvitedBy: w.InvitedByName, Role: w.Role, Name: w.Name,
			Back: w.PersonID != "", Language: w.Language}}, nil
	})
	with := public(operation("join-with-passkey", http.MethodPost, "/join/passkey", "Ask what a device is to answer for a passkey to join with"))
	with.MaxBodyBytes = signInBody
	add(s, with, s.joinWith)
	join := public(operation("join", http.MethodPost, "/join", "Use an invitation, and be signed in"))
	join.MaxBodyBytes = passkeyBody
	add(s, join, s.join)
}

func inviteLine(i account.Invite) InviteLine {
	return InviteLine{ID: i.ID, PersonID: i.PersonID, Role: i.Role, Name: i.Name, InvitedBy: i.InvitedBy, ExpiresAt: i.ExpiresAt.UTC()}
}

func (s *Server) invite(ctx context.Context, in *newInviteInput) (*inviteOutput, error) {
	p, err := s.person(ctx)
	if err != nil {
		return nil, err
	}
	if err := checkAddress(in.Body.Address); err != nil {
		return nil, err
	}
	i := account.Invite{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: p.CompanyID, PersonID: in.Body.Person, Role: in.Body.Role,
		Name: in.Body.Name, Language: in.Body.Language, InvitedBy: p.ID, ExpiresAt: s.clock().UTC().Add(account.InviteTime)}
	if i.Role == "" {
		i.Role = joblog.Installer
	}
	if i.Language == "" {
		i.Language = p.Language
	}
	token := account.NewToken()
	link := in.Body.Address + "#" + token
	i.Link = link
	if i.Email, err = message.Email(in.Body.Email); err != nil {
		return nil, err
	}
	if i, err = s.cfg.Store.MakeInvite(ctx, p.Viewer(), i, account.HashToken(token)); err != nil {
		return nil, err
	}
	rows, err := qrRows(link)
	if err != nil {
		return nil, err
	}
	return &inviteOutput{Body: InviteLink{Invite: inviteLine(i), Link: link, QR: rows}}, nil
}

// welcome is an invitation that can be used now. Each way in which it cannot has its sentence:
// whoever has a secret of 256 bits was given it.
func (s *Server) welcome(ctx context.Context, from, token string) (account.Welcome, error) {
	hash := account.HashToken(token)
	if err := s.guess(from, "join "+hash); err != nil {
		return account.Welcome{}, err
	}
	w, err := s.cfg.Store.FindInvite(ctx, hash)
	switch {
	case fault.Is(err, fault.NotFound):
		return w, fault.New(fault.NotFound, "This is not one of our invitations. Look whether the whole link was copied.")
	case err != nil:
		return w, err
	}
	s.guesses.forgive(from, "join "+hash)
	switch {
	case w.Used:
		return w, fault.New(fault.Conflict, "This invitation was used already. If it was not you, tell who invited you. They can make a new one.")
	case w.Ended:
		return w, fault.New(fault.Conflict, "This invitation was taken back. Ask who invited you for a new one.")
	case !w.ExpiresAt.After(s.clock()):
		return w, fault.New(fault.Conflict, "This invitation has run out: they last seven days. Ask who invited you for a new one.")
	}
	return w, nil
}

// joining is who is about to join.
func (s *Server) joining(ctx context.Context, w account.Welcome, name, signIn string) (account.Person, error) {
	if w.PersonID != "" {
		return s.cfg.Store.Guest(ctx, account.Link{CompanyID: w.CompanyID, GuestID: w.PersonID})
	}
	p := account.Person{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: w.CompanyID, Role: w.Role}
	var err error
	if p.Name, err = account.Name(name); err != nil {
		return p, err
	}
	p.SignIn, err = account.SignInName(signIn)
	return p, err
}

func (s *Server) joinWith(ctx context.Context, in *joinWithInput) (*ceremonyOutput, error) {
	w, err := s.welcome(ctx, in.from, in.Body.Token)
	if err != nil {
		return nil, err
	}
	p, err := s.joining(ctx, w, in.Body.Name, in.Body.SignIn)
	if err != nil {
		return nil, err
	}
	options, asked, err := account.BeginPasskey(in.place, p, nil)
	if err != nil {
		return nil, err
	}
	return s.ask(ctx, options, asked)
}

func (s *Server) join(ctx context.Context, in *joinInput) (*meOutput, error) {
	w, err := s.welcome(ctx, in.from, in.Body.Token)
	if err != nil {
		return nil, err
	}
	p, err := s.joining(ctx, w, in.Body.Name, in.Body.SignIn)
	if err != nil {
		return nil, err
	}
	on := in.Body.Device.device()
	if w.PersonID == "" {
		p.Language, p.Unit = w.Language, length.Inches
		if in.Body.Language != "" {
			p.Language = in.Body.Language
		}
		if in.Body.Unit != "" {
			p.Unit = in.Body.Unit
		}
	}
	var (
		hash string
		key  *account.Passkey
	)
	if in.Body.Passkey != nil {
		asked, err := s.asked(ctx, in.Body.Passkey.Secret)
		if err != nil {
			return nil, err
		}
		if w.PersonID == "" {
			p.ID = asked.PersonID // made when the device was asked, for its user handle
		}
		made, err := account.FinishPasskey(in.place, p, asked, in.Body.Passkey.Answer.RawMessage)
		if err != nil {
			return nil, err
		}
		made.Name = on.Name
		key = &made
	} else {
		if err := account.CheckPassphrase(in.Body.Passphrase, p.SignIn); err != nil {
			return nil, err
		}
		if hash, err = s.cfg.Hasher.Hash(ctx, in.Body.Passphrase); err != nil {
			return nil, err
		}
	}
	if err := s.cfg.Store.UseInvite(ctx, w.Invite, p, hash, key); err != nil {
		return nil, err
	}
	return s.enter(ctx, p, on)
}
