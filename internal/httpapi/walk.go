package httpapi

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/google/uuid"
	"github.com/skip2/go-qrcode"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/message"
)

const (
	walkBody = 64 << 10
	// longestLink is how long a homeowner's link may last: a punch list is done by then, or
	// another walkthrough is opened.
	longestLink = 90 * 24 * time.Hour
	usualLink   = 14 * 24 * time.Hour
)

// WalkPath names a walkthrough of a job.
type WalkPath struct {
	JobPath
	Walk string `path:"walk" format:"uuid" doc:"The walkthrough's id"`
}

// NewWalk is a walkthrough to be opened.
type NewWalk struct {
	ID         string   `json:"walk_id,omitempty" format:"uuid" doc:"The walkthrough's id, a UUIDv7 made by the device; the same request again opens nothing twice"`
	Rooms      []string `json:"rooms,omitempty" maxItems:"200" doc:"Rooms it goes through; all when empty"`
	GuestName  string   `json:"guest_name" minLength:"1" maxLength:"120"`
	Language   string   `json:"language" enum:"en,es" doc:"The homeowner's language"`
	Days       int      `json:"days,omitempty" minimum:"1" maximum:"90" doc:"How long the link lasts; 14 when left out"`
	Passphrase string   `json:"passphrase,omitempty" maxLength:"256" writeOnly:"true" doc:"Asked of whoever opens the link, if set"`
	Address    string   `json:"address" maxLength:"300" doc:"Where the homeowner's page is; the link's secret is put behind its #"`
	Email      string   `json:"email,omitempty" maxLength:"300" doc:"The homeowner's: the link goes there, and word of what is fixed and signed"`
	LeadEmail  string   `json:"lead_email,omitempty" maxLength:"300" doc:"One's own, to be told when it is signed"`
}

// NewLinkBody asks for another link to a walkthrough.
type NewLinkBody struct {
	Days       int    `json:"days,omitempty" minimum:"1" maximum:"90"`
	Passphrase string `json:"passphrase,omitempty" maxLength:"256" writeOnly:"true"`
	Address    string `json:"address" maxLength:"300"`
}

// WalkLink is a link as it is made: it cannot be shown again, for only its hash is kept.
type WalkLink struct {
	WalkID    string    `json:"walk_id" format:"uuid"`
	Link      string    `json:"link"`
	QR        []string  `json:"qr" doc:"The link as a QR code: a row of 0 and 1 for each line of modules"`
	ExpiresAt time.Time `json:"expires_at"`
}

// Enter exchanges a link's secret for a key.
type Enter struct {
	Token      string `json:"token" minLength:"1" maxLength:"100" writeOnly:"true"`
	Passphrase string `json:"passphrase,omitempty" maxLength:"256" writeOnly:"true"`
}

// Entered is the key to a walkthrough, or what is still needed for one.
type Entered struct {
	Key             string `json:"key,omitempty" doc:"Sent as a bearer token with everything the homeowner asks"`
	NeedsPassphrase bool   `json:"needs_passphrase,omitempty"`
}

// WalkPage is everything the homeowner's page shows.
type WalkPage struct {
	CompanyName string          `json:"company_name"`
	GuestName   string          `json:"guest_name"`
	GuestID     string          `json:"guest_id" format:"uuid"`
	Language    string          `json:"language" enum:"en,es"`
	Seq         int64           `json:"seq" doc:"Last log number the view includes"`
	View        joblog.WalkView `json:"view"`
}

// WalkLine is a walkthrough in a list.
type WalkLine struct {
	joblog.WalkView
	GuestName string `json:"guest_name"`
}

type (
	newWalkInput struct {
		JobPath
		Body NewWalk
	}
	newLinkInput struct {
		WalkPath
		Body NewLinkBody
	}
	walkLinkOutput struct{ Body WalkLink }
	walkInput      struct {
		WalkPath
		ReaderParams
	}
	walksOutput struct {
		Body struct {
			Walks []WalkLine `json:"walks" doc:"The newest first"`
		}
	}
	walkOutput struct{ Body joblog.WalkView }
	preWalkIn  struct {
		JobPath
		ReaderParams
		Rooms []string `query:"room" doc:"Rooms to look through; all when none is named"`
	}
	preWalkOutput struct {
		Body struct {
			LookAt []joblog.LookAt `json:"look_at"`
		}
	}
	enterInput struct {
		Body Enter
		from string
	}
	enterOutput struct{ Body Entered }
	// GuestKey carries the homeowner's key.
	GuestKey struct {
		Authorization string `header:"Authorization" doc:"Bearer and the key"`
	}
	guestInput struct {
		GuestKey
		ReaderParams
	}
	guestPageOutput    struct{ Body WalkPage }
	guestCommandsInput struct {
		GuestKey
		ReaderParams
		Body CommandBatch
	}
)

// Resolve takes down where the request came from.
func (in *enterInput) Resolve(ctx huma.Context) []error {
	in.from = addressOf(ctx)
	return nil
}

func (s *Server) registerWalks() {
	op := operation("open-walk", http.MethodPost, "/jobs/{job}/walks", "Open a walkthrough for a homeowner")
	op.Description = "Leads only. Answers with the link, which is never shown again. The same request again, known by its walk_id, answers with one more " +
		"link to the walkthrough it opened, beside the first, and nobody is told twice; another request by that id is 409."
	op.MaxBodyBytes = walkBody
	add(s, op, s.openWalk)
	add(s, operation("list-walks", http.MethodGet, "/jobs/{job}/walks", "A job's walkthroughs, as the crew sees them"), s.walks)
	add(s, operation("get-walk", http.MethodGet, "/jobs/{job}/walks/{walk}", "One walkthrough, as the crew sees it"), s.walk)
	link := operation("make-walk-link", http.MethodPost, "/jobs/{job}/walks/{walk}/link", "Make another link and end the last")
	link.Description = "Leads only. Where it outlives the walkthrough's day, the day moves on with it, in the log: a walkthrough that was over goes on."
	link.MaxBodyBytes = walkBody
	add(s, link, s.makeLink)
	add(s, operation("end-walk-link", http.MethodDelete, "/jobs/{job}/walks/{walk}/link", "End the link"),
		func(ctx context.Context, in *WalkPath) (*struct{}, error) {
			v, err := s.viewer(ctx)
			if err != nil {
				return nil, err
			}
			return nil, s.cfg.Store.EndLinks(ctx, v, in.Job, in.Walk)
		})
	s.registerContacts()
	add(s, operation("pre-walk", http.MethodGet, "/jobs/{job}/pre-walk", "What the rules would look at before the homeowner does"), s.preWalk)

	enter := public(operation("enter-walk", http.MethodPost, "/walk/enter", "Exchange a link's secret for a key"))
	enter.Description = "Wrong guesses are throttled: 429 with Retry-After."
	enter.MaxBodyBytes = signInBody
	add(s, enter, s.enterWalk)
	add(s, public(operation("get-walk-page", http.MethodGet, "/walk", "The walkthrough a key opens, as the homeowner sees it")), s.guestPage)
	said := public(operation("send-walk-commands", http.MethodPost, "/walk/commands", "Send what the homeowner said, answered or signed"))
	said.MaxBodyBytes = commandsBody
	said.SkipValidateBody = true
	add(s, said, s.guestCommands)
	s.registerWalkPhotos()
}

func (s *Server) openWalk(ctx context.Context, in *newWalkInput) (*walkLinkOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	if !v.Role.Leads() {
		return nil, fault.New(fault.Forbidden, "Only a lead opens a walkthrough.")
	}
	if err := checkAddress(in.Body.Address); err != nil {
		return nil, err
	}
	to := account.NewLink{JobID: in.Job}
	if to.GuestEmail, err = message.Email(in.Body.Email); err != nil {
		return nil, err
	}
	if to.LeadEmail, err = message.Email(in.Body.LeadEmail); err != nil {
		return nil, err
	}
	now := s.clock().UTC()
	to.WalkID, to.ExpiresAt = in.Body.ID, now.Add(linkTime(in.Body.Days))
	if to.WalkID == "" { // an app from before
		to.WalkID = newID()
	}
	made, err := s.prepareLink(ctx, &to, in.Body.Address, in.Body.Passphrase)
	if err != nil {
		return nil, err
	}
	guest := account.Person{ID: newID(), CompanyID: v.CompanyID, Name: in.Body.GuestName, Role: joblog.Guest, Language: in.Body.Language, Unit: length.Inches}
	o, ends, err := s.cfg.Store.OpenWalk(ctx, v, guest, joblog.Command{ID: newID(), Version: joblog.CommandVersion, Kind: joblog.OpenWalkKind,
		JobID: in.Job, WalkID: to.WalkID, At: now, OpenWalk: &joblog.OpenWalk{Rooms: in.Body.Rooms, GuestID: guest.ID, ExpiresAt: to.ExpiresAt}}, to)
	if err != nil {
		return nil, err
	}
	if !o.Applied {
		o = joblog.RenderOutcome(o, s.reader(ctx, ReaderParams{}))
		return nil, fault.New(fault.Invalid, o.Findings[0].Sentence)
	}
	made.ExpiresAt = ends.UTC()
	return &walkLinkOutput{Body: made}, nil
}

func newID() string { return uuid.Must(uuid.NewV7()).String() }

func (s *Server) makeLink(ctx context.Context, in *newLinkInput) (*walkLinkOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	if err := checkAddress(in.Body.Address); err != nil {
		return nil, err
	}
	l := account.NewLink{JobID: in.Job, WalkID: in.Walk, ExpiresAt: s.clock().UTC().Add(linkTime(in.Body.Days)), ExtendID: newID()}
	made, err := s.prepareLink(ctx, &l, in.Body.Address, in.Body.Passphrase)
	if err != nil {
		return nil, err
	}
	if err := s.cfg.Store.MakeLink(ctx, v, l); err != nil {
		return nil, err
	}
	return &walkLinkOutput{Body: made}, nil
}

func linkTime(days int) time.Duration {
	if days <= 0 {
		return usualLink
	}
	return min(time.Duration(days)*24*time.Hour, longestLink)
}

// checkAddress accepts the address of a page of ours, without a secret of its own.
func checkAddress(address string) error {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.Fragment != "" || u.RawQuery != "" || u.User != nil {
		return fault.New(fault.Invalid, "The homeowner's page needs a plain web address.")
	}
	return nil
}

// prepareLink gives a link its secret, and says what is shown of it once it is kept.
func (s *Server) prepareLink(ctx context.Context, l *account.NewLink, address, passphrase string) (WalkLink, error) {
	if passphrase != "" {
		var err error
		if l.PassphraseHash, err = s.cfg.Hasher.Hash(ctx, passphrase); err != nil {
			return WalkLink{}, err
		}
	}
	token := account.NewToken()
	l.TokenHash, l.Link = account.HashToken(token), address+"#"+token
	rows, err := qrRows(l.Link)
	return WalkLink{WalkID: l.WalkID, Link: l.Link, QR: rows, ExpiresAt: l.ExpiresAt}, err
}

// qrRows is a text as a QR code, quiet zone included, at the level that a quarter of dirt
// does not hurt.
func qrRows(text string) ([]string, error) {
	code, err := qrcode.New(text, qrcode.High)
	if err != nil {
		return nil, fault.Because(fault.Internal, "drawing a QR code", err)
	}
	bits := code.Bitmap()
	rows := make([]string, len(bits))
	for i, line := range bits {
		var b strings.Builder
		for _, dark := range line {
			if dark {
				b.WriteByte('1')
			} else {
				b.WriteByte('0')
			}
		}
		rows[i] = b.String()
	}
	return rows, nil
}

func (s *Server) walks(ctx context.Context, in *jobInput) (*walksOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	state, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	out := &walksOutput{}
	out.Body.Walks = []WalkLine{}
	r := s.reader(ctx, in.ReaderParams)
	for _, id := range joblog.WalkIDs(state) {
		line := WalkLine{WalkView: *joblog.ViewWalk(state, id, v.Role, company, r)}
		guest, err := s.cfg.Store.Guest(ctx, account.Link{CompanyID: v.CompanyID, GuestID: state.Walks[id].GuestID})
		if err != nil && !fault.Is(err, fault.NotFound) {
			return nil, err
		}
		line.GuestName = guest.Name
		out.Body.Walks = append(out.Body.Walks, line)
	}
	return out, nil
}

func (s *Server) walk(ctx context.Context, in *walkInput) (*walkOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	state, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	view := joblog.ViewWalk(state, in.Walk, v.Role, company, s.reader(ctx, in.ReaderParams))
	if view == nil {
		return nil, fault.New(fault.NotFound, "There is no such walkthrough.")
	}
	return &walkOutput{Body: *view}, nil
}

func (s *Server) preWalk(ctx context.Context, in *preWalkIn) (*preWalkOutput, error) {
	v, err := s.viewer(ctx)
	if err != nil {
		return nil, err
	}
	state, company, err := s.cfg.Store.Job(ctx, v, in.Job)
	if err != nil {
		return nil, err
	}
	out := &preWalkOutput{}
	out.Body.LookAt = joblog.PreWalk(state, in.Rooms, company, s.reader(ctx, in.ReaderParams))
	return out, nil
}

// enterWalk exchanges a link's secret, and its passphrase where it has one, for a key.
func (s *Server) enterWalk(ctx context.Context, in *enterInput) (*enterOutput, error) {
	hash := account.HashToken(in.Body.Token)
	if wait, ok := s.guesses.begin(in.from, "walk "+hash); !ok {
		p := newProblem(http.StatusTooManyRequests, fault.RateLimited, "Too many tries. Wait a minute and try again.")
		return nil, huma.ErrorWithHeaders(p, http.Header{"Retry-After": {strconv.Itoa(int(wait.Seconds()))}})
	}
	l, passphrase, err := s.cfg.Store.FindLink(ctx, hash)
	if err != nil {
		if fault.Is(err, fault.NotFound) {
			return nil, fault.New(fault.NotFound, "This link has ended, or was never one of ours. Ask the crew for a new one.")
		}
		return nil, err
	}
	if passphrase != "" {
		if in.Body.Passphrase == "" {
			s.guesses.forgive(in.from, "walk "+hash)
			return &enterOutput{Body: Entered{NeedsPassphrase: true}}, nil
		}
		right, err := s.cfg.Hasher.Verify(ctx, in.Body.Passphrase, passphrase)
		if err != nil {
			return nil, err
		}
		if !right {
			return nil, fault.New(fault.Unauthorized, "That is not the passphrase for this link.")
		}
	}
	s.guesses.forgive(in.from, "walk "+hash)
	key := account.NewToken()
	if err := s.cfg.Store.AddKey(ctx, l, hash, account.HashToken(key)); err != nil {
		return nil, err
	}
	return &enterOutput{Body: Entered{Key: key}}, nil
}

// guest is whose key the request carries.
func (s *Server) guest(ctx context.Context, k GuestKey) (account.Link, error) {
	ended := fault.New(fault.Unauthorized, "This link has ended. Ask the crew for a new one.")
	key, ok := strings.CutPrefix(k.Authorization, "Bearer ")
	if !ok || key == "" {
		return account.Link{}, ended
	}
	l, err := s.cfg.Store.FindKey(ctx, account.HashToken(key))
	if fault.Is(err, fault.NotFound) {
		return account.Link{}, ended
	}
	return l, err
}

func (s *Server) guestReader(g account.Person, q ReaderParams) joblog.Reader {
	r := joblog.Reader{Language: g.Language, Now: s.clock().UTC()}
	r.Style.Unit = g.Unit
	if q.Unit != "" {
		r.Style.Unit = length.Unit(q.Unit)
	}
	if q.Language != "" {
		r.Language = q.Language
	}
	r.Style.Step = step(r.Style.Unit, q.Step)
	r.Style.Language = r.Language
	return r
}

func (s *Server) guestPage(ctx context.Context, in *guestInput) (*guestPageOutput, error) {
	l, err := s.guest(ctx, in.GuestKey)
	if err != nil {
		return nil, err
	}
	g, err := s.cfg.Store.Guest(ctx, l)
	if err != nil {
		return nil, err
	}
	c, err := s.cfg.Store.Company(ctx, l.Viewer())
	if err != nil {
		return nil, err
	}
	state, company, err := s.cfg.Store.WalkJob(ctx, l)
	if err != nil {
		return nil, err
	}
	r := s.guestReader(g, in.ReaderParams)
	view := joblog.ViewWalk(state, l.WalkID, joblog.Guest, company, r)
	if view == nil {
		return nil, fault.New(fault.NotFound, "There is no such walkthrough.")
	}
	return &guestPageOutput{Body: WalkPage{CompanyName: c.Name, GuestName: g.Name, GuestID: g.ID, Language: g.Language, Seq: state.Seq, View: *view}}, nil
}

// guestCommands takes what the homeowner did, of their own walkthrough only: the rules see no
// job in anything else.
func (s *Server) guestCommands(ctx context.Context, in *guestCommandsInput) (*commandsOutput, error) {
	l, err := s.guest(ctx, in.GuestKey)
	if err != nil {
		return nil, err
	}
	if err := checkBatch(in.Body); err != nil {
		return nil, err
	}
	g, err := s.cfg.Store.Guest(ctx, l)
	if err != nil {
		return nil, err
	}
	out, _, err := s.takeBatch(ctx, l.Viewer(), l.JobID, "", in.Body, s.guestReader(g, in.ReaderParams))
	if err != nil {
		return nil, err
	}
	return &commandsOutput{Body: out}, nil
}
