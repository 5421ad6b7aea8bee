package app

import (
	"context"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/message"
	"longpoint/internal/push"
)

// The keys of RFC 8291's example: a sender's private one, and a phone's point and secret.
const (
	aPushKey     = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
	phonesKey    = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
	phonesSecret = "BTBZMqHH6r4Tts7J_aSIgg"
)

// pushService answers with a code that the test sets, and counts what it took by its topic.
type pushService struct {
	*httptest.Server
	mu     sync.Mutex
	code   int
	topics []string
}

func startPushService(t *testing.T) *pushService {
	p := &pushService{code: http.StatusCreated}
	p.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.topics = append(p.topics, r.Header.Get("Topic"))
		w.WriteHeader(p.code)
	}))
	t.Cleanup(p.Close)
	return p
}

func (p *pushService) answer(code int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.code = code
}

func (p *pushService) took() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.topics)
}

// carried is the office with an installer's phone, and a message on its way to it.
func carried(t *testing.T) (*office, *pushService, account.Person) {
	t.Helper()
	o, service := openOffice(t), startPushService(t)
	phone, _, err := openPush(push.Config{Key: aPushKey, Contact: "jobs@trim.example", Near: true}, o.pg, o.clock.Now, o.post.log)
	if err != nil {
		t.Fatal(err)
	}
	phone.chance = o.post.chance
	o.post = phone
	rosa := account.Person{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: o.lead.CompanyID, Name: "Rosa", SignIn: "rosa", Role: joblog.Installer, Language: "en", Unit: length.Inches}
	if err := o.pg.AddPerson(t.Context(), rosa, "$argon2id$none"); err != nil {
		t.Fatal(err)
	}
	until := o.now.AddDate(0, 1, 0)
	data, err := account.EncodeSession(until, rosa, "")
	if err != nil {
		t.Fatal(err)
	}
	session := strings.Repeat("a", 43)
	if err := o.pg.Sessions().CommitCtx(t.Context(), session, data, until); err != nil {
		t.Fatal(err)
	}
	to := message.Subscription{Endpoint: service.URL + "/rosa", P256dh: phonesKey, Auth: phonesSecret}
	if err := o.pg.SetPush(t.Context(), rosa.Viewer(), session, to); err != nil {
		t.Fatal(err)
	}
	job, room := uuid.Must(uuid.NewV7()).String(), uuid.Must(uuid.NewV7()).String()
	for _, c := range []joblog.Command{
		{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Sill Street", Unit: length.Inches}},
		{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Hall", Level: joblog.Level("ground")}},
		{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: rosa.ID}},
	} {
		c.ID, c.Version, c.JobID, c.At = uuid.Must(uuid.NewV7()).String(), joblog.CommandVersion, job, o.now
		if out, err := o.pg.Submit(t.Context(), o.lead.Viewer(), c, o.now); err != nil || !out.Applied {
			t.Fatalf("%s: %+v, %v", c.Kind, out, err)
		}
	}
	o.move(message.WorkWait)
	return o, service, rosa
}

func (o *office) ring() message.Message {
	o.t.Helper()
	if err := o.post.round(o.t.Context()); err != nil {
		o.t.Fatal(err)
	}
	m, _ := o.kept()
	if len(m) != 1 {
		o.t.Fatalf("got %d messages, want one", len(m))
	}
	return m[0]
}

func TestAPhoneIsToldOnce(t *testing.T) {
	t.Parallel()
	o, service, rosa := carried(t)
	for range 2 {
		if m := o.ring(); m.State != message.Sent || m.PersonID != rosa.ID || m.Email != "" || len(service.took()) != 1 {
			t.Fatalf("got %+v and %d calls, want it sent once", m, len(service.took()))
		}
		o.move(time.Hour)
	}
}

func TestAPushServiceThatIsDownIsAskedAgain(t *testing.T) {
	t.Parallel()
	o, service, _ := carried(t)
	service.answer(http.StatusServiceUnavailable)
	begun := o.now
	m := o.ring()
	for m.State == message.Waiting {
		if m.Trouble != message.TurnedAway || m.Tries > 30 {
			t.Fatalf("got %+v, want it given up by now", m)
		}
		o.move(m.DueAt.Sub(o.now))
		m = o.ring()
	}
	if after := o.now.Sub(begun); m.State != message.Failed || after > message.PatienceTime || after < message.PatienceTime-8*time.Hour {
		t.Errorf("given up after %s: %+v, want it within two days", after, m)
	}
	service.answer(http.StatusCreated)
	if err := o.pg.TryAgain(t.Context(), o.lead.Viewer(), m.ID); err != nil {
		t.Fatal(err)
	}
	topics := service.took()
	if m := o.ring(); m.State != message.Sent || slices.Contains(topics, "") || len(slices.Compact(topics)) != 1 {
		t.Errorf("got %+v and topics %q, want it sent, and each time as the same", m, topics)
	}
	if log := o.log.String(); !strings.Contains(log, "trouble=turned_away") || strings.Contains(log, "/rosa") || strings.Contains(log, phonesSecret) {
		t.Errorf("the log: got %s, want the trouble and neither address nor key", log)
	}
}

func TestAPhoneThatTakesNoMoreIsForgotten(t *testing.T) {
	t.Parallel()
	for _, code := range []int{http.StatusNotFound, http.StatusGone} {
		o, service, rosa := carried(t)
		service.answer(code)
		if m := o.ring(); m.State != message.Failed || m.Trouble != message.NotWanted || m.Tries != 1 {
			t.Errorf("%d: got %+v, want it given up", code, m)
		}
		if to, _, err := o.pg.Push(context.Background(), rosa.Viewer(), strings.Repeat("a", 43)); err != nil || to != "" {
			t.Errorf("%d: got %q, %v, want the address forgotten", code, to, err)
		}
	}
}
