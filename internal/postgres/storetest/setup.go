// Package storetest is what a store of the job log must do, whatever server it stands on:
// the tests of internal/postgres run it against installed PostgreSQL programs, those under
// tests/store against PostgreSQL in a container.
package storetest

import (
	"context"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/finding"
	"longpoint/internal/finish"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
	"longpoint/internal/testdb"
	"longpoint/internal/trim"
)

// Run runs every test of the suite, in parallel, each on a database of its own made by
// internal/testdb.
func Run(t *testing.T) {
	t.Cleanup(func() { recorded.write(t) })
	for _, test := range []struct {
		name string
		run  func(*testing.T)
	}{
		{"submit", testSubmit},
		{"numbering", testNumbering},
		{"reading", testReading},
		{"projections", testProjections},
		{"rebuild", testRebuild},
		{"tenancy", testTenancy},
		{"schema", testSchema},
		{"accounts", testAccounts},
		{"listening", testListening},
		{"faults", testFaults},
		{"people", testPeople},
		{"walks", testWalks},
		{"seals", testSeals},
		{"photos", testPhotos},
		{"bundles", testBundles},
		{"messages", testMessages},
		{"lost phones", testLostPhones},
		{"pushes", testPushes},
		{"search", testSearch},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			test.run(t)
		})
	}
}

// day is the morning every test begins on.
var day = time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)

func in(whole, num, den int64) length.Length { return length.In(whole, num, den) }

// newID makes an id as a phone does.
func newID() string { return uuid.Must(uuid.NewV7()).String() }

// clock is the server's clock in a test: it moves when the test moves it.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *clock) Move(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

// site is a database with one company and its crew.
type site struct {
	t     *testing.T
	db    *testdb.DB
	store *postgres.Store // as the service's role
	clock *clock

	company account.Company
	lead    account.Person
	rosa    account.Person // an installer
	ivan    account.Person // another
}

// hash stands for a passphrase's; nothing in the suite but the accounts test verifies one.
const hash = "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"

func setup(t *testing.T) *site {
	t.Helper()
	s := &site{t: t, db: testdb.New(t), clock: &clock{now: day}}
	s.store = s.open(s.db.AppURL, postgres.Options{Clock: s.clock.Now})
	s.company, s.lead, s.rosa, s.ivan = s.crew("harbor")
	return s
}

func (s *site) open(url string, opts postgres.Options) *postgres.Store {
	s.t.Helper()
	if opts.MaxConns == 0 {
		opts.MaxConns = 8
	}
	if opts.Tune == nil && url == s.db.AppURL && os.Getenv(recordEnv) != "" {
		opts.Tune = recorded.tune
	}
	store, err := postgres.Open(ctx(s.t), url, opts)
	if err != nil {
		s.t.Fatalf("opening the store: %v", err)
	}
	s.t.Cleanup(store.Close)
	return store
}

// crew makes a company with a lead and two installers, who sign in as name-lead,
// name-rosa and name-ivan.
func (s *site) crew(name string) (account.Company, account.Person, account.Person, account.Person) {
	s.t.Helper()
	c := account.Company{ID: newID(), Name: "Crew " + name}
	s.must(s.store.CreateCompany(ctx(s.t), c))
	add := func(who string, role joblog.Role) account.Person {
		p := account.Person{ID: newID(), CompanyID: c.ID, Name: who, SignIn: name + "-" + who, Role: role, Language: "en", Unit: length.Inches}
		s.must(s.store.AddPerson(ctx(s.t), p, hash))
		return p
	}
	return c, add("lead", joblog.Lead), add("rosa", joblog.Installer), add("ivan", joblog.Installer)
}

func ctx(t *testing.T) context.Context { return t.Context() }

func (s *site) must(err error) {
	s.t.Helper()
	if err != nil {
		s.t.Fatal(err)
	}
}

// command completes a command with what every command has.
func (s *site) command(job string, c joblog.Command) joblog.Command {
	if c.ID == "" {
		c.ID = newID()
	}
	c.Version, c.JobID, c.Device = joblog.CommandVersion, job, "test phone"
	if c.At.IsZero() {
		c.At = s.clock.Now()
	}
	return c
}

// give submits a command from a device whose clock is right.
func (s *site) give(by account.Person, job string, c joblog.Command) joblog.Outcome {
	s.t.Helper()
	c = s.command(job, c)
	out, err := s.store.Submit(ctx(s.t), by.Viewer(), c, s.clock.Now())
	if err != nil {
		s.t.Fatalf("%s: %v", c.Kind, err)
	}
	return out
}

// do submits a command that must be let through.
func (s *site) do(by account.Person, job string, c joblog.Command) joblog.Outcome {
	s.t.Helper()
	out := s.give(by, job, c)
	if !out.Applied {
		s.t.Fatalf("%s was refused: %s", c.Kind, words(out.Findings))
	}
	return out
}

func words(fs []finding.Finding) string {
	out := ""
	style := length.Style{Unit: length.Inches, Step: length.ThirtySecond, Rounding: length.Nearest}
	for _, f := range joblog.Words("en").RenderAll(fs, style) {
		out += "\n  " + f.Code + ": " + f.Sentence
	}
	return out
}

// house is a job with one room and the door of the worked chain in it, assigned to rosa.
type house struct{ job, room, door string }

func (s *site) house() house {
	s.t.Helper()
	h := house{job: newID(), room: newID(), door: newID()}
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Alder Street 12", Unit: length.Inches, HouseYear: 1931}})
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.AddRoomKind, RoomID: h.room, AddRoom: &joblog.AddRoom{Name: "Bedroom", Level: finish.Upper}})
	s.addDoor(h.job, h.room, h.door, "Closet door")
	s.do(s.lead, h.job, joblog.Command{Kind: joblog.AssignKind, ItemID: h.door, Assign: &joblog.Assign{PersonID: s.rosa.ID}})
	return h
}

func (s *site) addDoor(job, room, item, name string) {
	s.t.Helper()
	s.do(s.lead, job, joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: item, AddItem: &joblog.AddItem{Name: name, Spec: doorSpec()}})
}

// doorSpec is the door of the worked chain: slab 28 × 80 × 1 3/4, jamb and head 5/8,
// square-stock casing 2 3/4 with an overhang of 1.
func doorSpec() joblog.Spec {
	a := trim.Casing{Style: trim.ButtHead, Profile: "square stock", Material: "wood", Width: in(2, 3, 4), Thickness: in(0, 3, 4), Overhang: in(1, 0, 0)}
	b := a
	return joblog.Spec{Unit: trim.Unit{Kind: trim.Door, SlabWidth: in(28, 0, 0), SlabHeight: in(80, 0, 0), SlabThickness: in(1, 3, 4),
		Core: trim.Solid, Grade: trim.Paint, JambThickness: in(0, 5, 8), JambWidth: in(4, 9, 16), HeadThickness: in(0, 5, 8),
		LegLength: in(81, 0, 0), HingeOn: "left", SwingsTo: trim.FaceA, StopThickness: in(0, 3, 8)},
		CasingA: &a, CasingB: &b}
}

// chain is the worked chain's readings, in an order.
var chain = []struct {
	name  string
	value length.Length
}{
	{"width_bottom", in(30, 0, 0)},
	{"width_middle", in(30, 0, 0)},
	{"width_top", in(30, 0, 0)},
	{"height_hinge", in(80, 3, 8)},
	{"height_strike", in(80, 1, 2)},
	{"floor_strike_up", -in(0, 1, 8)},
	{"lean_hinge", 0},
	{"wall_build_up", in(4, 9, 16)},
}

func take(item, reading string, v length.Length) joblog.Command {
	return joblog.Command{Kind: joblog.TakeReadingKind, ItemID: item, TakeReading: &joblog.TakeReading{Reading: reading, Value: v, Tool: "tape"}}
}

func tick(item string, st stage.Stage) joblog.Command {
	return joblog.Command{Kind: joblog.TickStageKind, ItemID: item, TickStage: &joblog.TickStage{Stage: st}}
}

func note(item, text string) joblog.Command {
	return joblog.Command{Kind: joblog.NoteKind, ItemID: item, Note: &joblog.Note{Text: text}}
}

// measure takes all readings of the worked chain and ticks measured.
func (s *site) measure(h house) {
	s.t.Helper()
	for _, r := range chain {
		s.do(s.rosa, h.job, take(h.door, r.name, r.value))
	}
	s.do(s.rosa, h.job, tick(h.door, stage.Measured))
}

// cut records every piece that the stage trimmed wants, as computed.
func (s *site) cut(h house) {
	s.t.Helper()
	sc, err := s.store.Scope(ctx(s.t), s.rosa.Viewer(), h.job, h.door)
	s.must(err)
	var pieces []joblog.CutPiece
	for _, c := range joblog.ViewItem(sc, joblog.Reader{Now: s.clock.Now()}).Cuts {
		if c.Stage == stage.Trimmed {
			pieces = append(pieces, joblog.CutPiece{Piece: c.Piece, Computed: c.Value.Length, AsCut: c.Value.Length})
		}
	}
	s.do(s.rosa, h.job, joblog.Command{Kind: joblog.CutPiecesKind, ItemID: h.door, CutPieces: &joblog.CutPieces{Pieces: pieces}})
}

// rows reads one column as the database's owner, for what the store has no method for.
func rows[T any](s *site, sql string, args ...any) []T {
	s.t.Helper()
	r, err := s.db.Owner.Query(ctx(s.t), sql, args...)
	s.must(err)
	out, err := pgx.CollectRows(r, pgx.RowTo[T])
	s.must(err)
	return out
}

func value[T any](s *site, sql string, args ...any) T {
	s.t.Helper()
	out := rows[T](s, sql, args...)
	if len(out) != 1 {
		s.t.Fatalf("want one row, got %d: %s", len(out), sql)
	}
	return out[0]
}

// exec runs a statement as the database's owner.
func (s *site) exec(sql string, args ...any) {
	s.t.Helper()
	if _, err := s.db.Owner.Exec(ctx(s.t), sql, args...); err != nil {
		s.t.Fatalf("%v: %s", err, sql)
	}
}

// hasCode reports whether a finding of that code is among fs.
func hasCode(fs []finding.Finding, code string) bool {
	for _, f := range fs {
		if f.Code == code {
			return true
		}
	}
	return false
}
