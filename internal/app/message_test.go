package app

import (
	"bytes"
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/demo"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/mail"
	"longpoint/internal/message"
	"longpoint/internal/postgres"
	"longpoint/internal/testdb"
)

// office is a company that writes, a mail server that keeps, and a clock that the test moves.
type office struct {
	t     *testing.T
	pg    *postgres.Store
	lead  account.Person
	clock *demo.Clock
	now   time.Time
	sink  *mail.Sink
	dir   string
	log   bytes.Buffer
	post  *post
}

func openOffice(t *testing.T) *office {
	t.Helper()
	o := &office{t: t, clock: &demo.Clock{}, now: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), dir: t.TempDir()}
	o.clock.Set(o.now)
	var err error
	if o.pg, err = postgres.Open(t.Context(), testdb.New(t).AppURL, postgres.Options{Clock: o.clock.Now, MaxConns: 4, Mail: true, Push: true}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(o.pg.Close)
	company := account.Company{ID: uuid.Must(uuid.NewV7()).String(), Name: "Vesperlark & Co"}
	o.lead = account.Person{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: company.ID, Name: "Ines Quennell", SignIn: "ines", Role: joblog.Lead, Language: "en", Unit: length.Inches}
	if err := o.pg.CreateCompany(t.Context(), company); err != nil {
		t.Fatal(err)
	}
	if err := o.pg.AddPerson(t.Context(), o.lead, "$argon2id$none"); err != nil {
		t.Fatal(err)
	}
	if o.sink, err = mail.OpenSink(o.dir); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = o.sink.Close() })
	cfg := mail.Config{URL: o.sink.URL(), From: "Longpoint <jobs@trim.example>"}
	if o.post, err = openPost(cfg, o.pg, o.clock.Now, slog.New(slog.NewTextHandler(&o.log, nil))); err != nil {
		t.Fatal(err)
	}
	o.post.chance = func() float64 { return 0.5 } // the wait as it is written down
	return o
}

// write invites somebody, which makes a message.
func (o *office) write(email string) {
	o.t.Helper()
	i := account.Invite{ID: uuid.Must(uuid.NewV7()).String(), CompanyID: o.lead.CompanyID, Role: joblog.Installer, Language: "es", InvitedBy: o.lead.ID,
		ExpiresAt: o.now.Add(account.InviteTime), Email: email, Link: "https://trim.example/join#secret"}
	if _, err := o.pg.MakeInvite(o.t.Context(), o.lead.Viewer(), i, account.HashToken(i.ID)); err != nil {
		o.t.Fatal(err)
	}
}

// round sends what is due, and returns the messages and how many have arrived in all.
func (o *office) round() ([]message.Message, int) {
	o.t.Helper()
	if err := o.post.round(o.t.Context()); err != nil {
		o.t.Fatal(err)
	}
	return o.kept()
}

func (o *office) kept() ([]message.Message, int) {
	o.t.Helper()
	out, err := o.pg.Messages(o.t.Context(), o.lead.Viewer(), "")
	if err != nil {
		o.t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(o.dir, "*.eml"))
	if err != nil {
		o.t.Fatal(err)
	}
	return out, len(files)
}

func (o *office) move(d time.Duration) {
	o.now = o.now.Add(d)
	o.clock.Set(o.now)
}

func TestAMessageIsDeliveredOnce(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	for range 25 { // more than one taking
		o.write("sol@example.com")
	}
	for range 2 {
		if m, n := o.round(); n != 25 || m[0].State != message.Sent || m[24].State != message.Sent {
			t.Fatalf("%d arrived, the first is %s: want 25, each once", n, m[0].State)
		}
		o.move(time.Hour)
	}
	text, err := os.ReadFile(filepath.Join(o.dir, "000001.eml"))
	if err != nil || !strings.Contains(string(text), "Vesperlark & Co") {
		t.Errorf("got %s, %v", text, err)
	}
	if o.log.Len() != 0 {
		t.Errorf("the log has %s, want nothing", &o.log)
	}
}

func TestARefusedMessageIsTriedAgainUntilItIsDelivered(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	o.sink.Refuse("451 try later")
	o.write("sol@example.com")
	for try, wait := range []time.Duration{time.Minute, 2 * time.Minute, 4 * time.Minute} {
		m, n := o.round()
		if n != 0 || m[0].State != message.Waiting || m[0].Tries != try+1 || m[0].Trouble != message.AddressRefused || !m[0].DueAt.Equal(o.now.Add(wait)) {
			t.Fatalf("try %d: %d arrived, %+v, want it to wait %s", try+1, n, m[0], wait)
		}
		o.move(wait - time.Second)
		if m, _ := o.round(); m[0].Tries != try+1 {
			t.Fatalf("try %d came too early", try+2)
		}
		o.move(time.Second)
	}
	o.sink.Refuse("")
	if m, n := o.round(); n != 1 || m[0].State != message.Sent || m[0].Tries != 4 || m[0].Trouble != "" {
		t.Errorf("once it is taken: %d arrived, %+v", n, m[0])
	}
	if log := o.log.String(); !strings.Contains(log, "trouble=address_refused") || strings.Contains(log, "sol@") || strings.Contains(log, "secret") {
		t.Errorf("the log: got %s, want the trouble and neither who nor what", log)
	}
}

func TestAServerThatIsDownForGoodIsSeen(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	if err := o.sink.Close(); err != nil {
		t.Fatal(err)
	}
	o.write("sol@example.com")
	begun := o.now
	m, _ := o.round()
	for m[0].State == message.Waiting {
		if m[0].Trouble != message.NoAnswer || m[0].Tries > 30 {
			t.Fatalf("got %+v, want it given up by now", m[0])
		}
		o.move(m[0].DueAt.Sub(o.now))
		m, _ = o.round()
	}
	if after := o.now.Sub(begun); m[0].State != message.Failed || m[0].Trouble != message.NoAnswer || after > message.PatienceTime || after < message.PatienceTime-8*time.Hour {
		t.Errorf("given up after %s: %+v, want it within two days", after, m[0])
	}
	if err := o.pg.TryAgain(t.Context(), o.lead.Viewer(), m[0].ID); err != nil {
		t.Fatal(err)
	}
	if m, _ := o.round(); m[0].State != message.Waiting || m[0].Tries != 1 {
		t.Errorf("tried again by hand: got %+v", m[0])
	}
}

func TestAnAddressThatIsNotThereIsGivenUpAtOnce(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	o.sink.Refuse("550 nobody of that name")
	o.write("sol@example.com")
	if m, _ := o.round(); m[0].State != message.Failed || m[0].Tries != 1 {
		t.Errorf("got %+v, want it given up", m[0])
	}
}

// settleless dies between the mail server's yes and writing it down.
type settleless struct{ messageStore }

func (settleless) SettleMessage(context.Context, message.Message) error {
	return context.DeadlineExceeded
}

// What cannot be had is exactly once: a crash in that moment sends a second copy, with the same Message-ID.
func TestACrashAfterSendingSendsAgain(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	o.write("sol@example.com")
	whole := o.post.store
	o.post.store = settleless{whole}
	if err := o.post.round(t.Context()); err == nil {
		t.Fatal("want the crash")
	}
	o.post.store = whole
	if _, n := o.round(); n != 1 {
		t.Fatalf("before the lease has ended: %d arrived, want 1", n)
	}
	o.move(postLease)
	if m, n := o.round(); n != 2 || m[0].State != message.Sent {
		t.Fatalf("%d arrived, %s: want the second copy and an end", n, m[0].State)
	}
	var ids []string
	for _, file := range []string{"000001.eml", "000002.eml"} {
		text, err := os.ReadFile(filepath.Join(o.dir, file))
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(text)) {
			if strings.HasPrefix(line, "Message-ID:") {
				ids = append(ids, line)
			}
		}
	}
	if len(ids) != 2 || ids[0] != ids[1] {
		t.Errorf("got %q, want the same Message-ID twice", ids)
	}
}

// Stopping breaks off what is being sent without counting it as a failure.
func TestStoppingIsNoFailure(t *testing.T) {
	t.Parallel()
	o := openOffice(t)
	o.write("sol@example.com")
	ctx, stop := context.WithCancel(t.Context())
	o.post.send = func(ctx context.Context, _ message.Message) error {
		stop()
		return ctx.Err()
	}
	if err := o.post.round(ctx); err == nil {
		t.Error("want the stop told")
	}
	if m, _ := o.kept(); m[0].State != message.Waiting || m[0].Trouble != "" {
		t.Errorf("got %+v, want it waiting as it was", m[0])
	}
}
