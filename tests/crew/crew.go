// Package crew is people at work against a running service, for what is measured and broken in tests/: a company, and
// persons who sign in, build a job with a measured opening, and send commands as a phone does.
package crew

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/trim"
)

// Passphrase is everyone's.
const Passphrase = "seven dusty sawhorses"

// NewID makes an id as a phone does.
func NewID() string { return uuid.Must(uuid.NewV7()).String() }

// Company makes a company with one lead, who signs in under that name.
func Company(ctx context.Context, serviceURL, signIn string) (account.Person, error) {
	pg, err := postgres.Open(ctx, serviceURL, postgres.Options{MaxConns: 2})
	if err != nil {
		return account.Person{}, err
	}
	defer pg.Close()
	hasher, err := account.NewHasher(1)
	if err != nil {
		return account.Person{}, err
	}
	hash, err := hasher.Hash(ctx, Passphrase)
	if err != nil {
		return account.Person{}, err
	}
	company := account.Company{ID: NewID(), Name: "Company of " + signIn}
	if err := pg.CreateCompany(ctx, company); err != nil {
		return account.Person{}, err
	}
	lead := account.Person{ID: NewID(), CompanyID: company.ID, Name: "Lead", SignIn: signIn, Role: joblog.Lead, Language: "en", Unit: length.Inches}
	return lead, pg.AddPerson(ctx, lead, hash)
}

// Person is one phone, on a job.
type Person struct {
	HTTP            *http.Client
	Base            string // where the service answers
	Job, Room, Item string
	Seq             int64 // last number of the job's log that an answer told
	Took            []time.Duration
}

// SignIn signs a person in at base. transport nil is one of their own.
func SignIn(ctx context.Context, base, signIn string, transport http.RoundTripper) (*Person, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	if transport == nil {
		transport = &http.Transport{MaxIdleConnsPerHost: 1}
	}
	p := &Person{HTTP: &http.Client{Jar: jar, Transport: transport}, Base: base}
	return p, p.Post(ctx, "/api/v1/session", map[string]string{"sign_in": signIn, "passphrase": Passphrase}, nil)
}

// Readings are those of the worked chain, all that an opening needs to be ticked as measured.
var Readings = [][2]string{{"width_bottom", "30"}, {"width_middle", "30"}, {"width_top", "30"}, {"height_hinge", "80 3/8"},
	{"height_strike", "80 1/2"}, {"floor_strike_up", "-1/8"}, {"lean_hinge", "0"}, {"wall_build_up", "4 9/16"}}

// Take is a reading taped.
func Take(item, reading, text string) (joblog.Command, error) {
	v, err := length.ParseSigned(text, length.Inches)
	return joblog.Command{Kind: joblog.TakeReadingKind, ItemID: item, TakeReading: &joblog.TakeReading{Reading: reading, Value: v, Tool: "tape"}}, err
}

// Build makes a job with a room and a measured opening in it. room "" takes a new id.
func (p *Person) Build(ctx context.Context, room string) error {
	if room == "" {
		room = NewID()
	}
	p.Job, p.Room, p.Item = NewID(), room, NewID()
	commands := []joblog.Command{
		{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Bench", Unit: length.Inches}},
		{Kind: joblog.AddRoomKind, RoomID: p.Room, AddRoom: &joblog.AddRoom{Name: "Hall", Level: finish.Ground}},
		Door(p.Room, p.Item),
	}
	for _, r := range Readings {
		c, err := Take(p.Item, r[0], r[1])
		if err != nil {
			return err
		}
		commands = append(commands, c)
	}
	return p.Send(ctx, commands...)
}

// Door adds a door to a room.
func Door(room, item string) joblog.Command {
	casing := &trim.Casing{Style: trim.ButtHead, Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Overhang: length.Inch}
	return joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: item, AddItem: &joblog.AddItem{Name: "Hall door", Spec: joblog.Spec{
		Unit: trim.UnitForDoor(28*length.Inch, 80*length.Inch, length.In(1, 3, 4)), CasingA: casing, CasingB: casing}}}
}

// Sign fills in what a phone writes on every command.
func (p *Person) Sign(c *joblog.Command) {
	c.Version, c.JobID, c.At, c.Device = joblog.CommandVersion, p.Job, time.Now().UTC(), "bench"
	if c.ID == "" {
		c.ID = NewID()
	}
}

// Outcomes is the answer to commands.
type Outcomes struct {
	Outcomes []joblog.Outcome `json:"outcomes"`
	Seq      int64            `json:"seq"`
	Stopped  bool             `json:"stopped"`
}

// Try sends commands that are signed already and returns what came of them.
func (p *Person) Try(ctx context.Context, commands []joblog.Command) (Outcomes, error) {
	var out Outcomes
	err := p.Post(ctx, "/api/v1/jobs/"+p.Job+"/commands", map[string]any{"sent_at": time.Now().UTC(), "commands": commands}, &out)
	return out, err
}

// Send sends commands and wants every one of them applied.
func (p *Person) Send(ctx context.Context, commands ...joblog.Command) error {
	for i := range commands {
		p.Sign(&commands[i])
	}
	out, err := p.Try(ctx, commands)
	if err != nil {
		return err
	}
	for i, o := range out.Outcomes {
		if !o.Applied {
			return fmt.Errorf("%s was refused: %+v", commands[i].Kind, o.Findings)
		}
	}
	p.Seq = out.Seq
	return nil
}

// StatusError is an answer other than 200.
type StatusError struct {
	Status int
	Body   string
}

func (e *StatusError) Error() string { return fmt.Sprintf("%d %s", e.Status, e.Body) }

// StatusOf is the status of an answer that was refused, 0 where none came.
func StatusOf(err error) int {
	var s *StatusError
	if errors.As(err, &s) {
		return s.Status
	}
	return 0
}

// Post sends JSON and reads the answer into dst.
func (p *Person) Post(ctx context.Context, path string, body, dst any) error {
	b, err := json.Marshal(body)
	if err != nil {
		return err
	}
	return p.Do(ctx, http.MethodPost, path, bytes.NewReader(b), http.Header{"Content-Type": {"application/json"}}, dst)
}

// Get reads an answer into dst, or past it where dst is nil.
func (p *Person) Get(ctx context.Context, path string, dst any) error {
	return p.Do(ctx, http.MethodGet, path, nil, nil, dst)
}

// Do asks and reads the answer to its end: as JSON into dst, as it is where dst is a *[]byte.
func (p *Person) Do(ctx context.Context, method, path string, body io.Reader, header http.Header, dst any) error {
	r, err := http.NewRequestWithContext(ctx, method, p.Base+path, body)
	if err != nil {
		return err
	}
	for k, v := range header {
		r.Header[k] = v
	}
	answer, err := p.HTTP.Do(r)
	if err != nil {
		return err
	}
	defer func() { _ = answer.Body.Close() }()
	var read bytes.Buffer
	if _, err := read.ReadFrom(answer.Body); err != nil {
		return err
	}
	if answer.StatusCode >= http.StatusMultipleChoices {
		return fmt.Errorf("%s %s: %w", method, path, &StatusError{answer.StatusCode, read.String()})
	}
	switch dst := dst.(type) {
	case nil:
		return nil
	case *[]byte:
		*dst = read.Bytes()
		return nil
	}
	return json.Unmarshal(read.Bytes(), dst)
}
