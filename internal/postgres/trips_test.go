package postgres_test

import (
	"context"
	"net"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgxpool"

	"longpoint/internal/account"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
	"longpoint/internal/testdb"
	"longpoint/internal/trim"
)

// trips counts round trips: a write to the server after something was read from it.
type trips struct {
	net.Conn
	n       *atomic.Int64
	writing atomic.Bool
}

func (c *trips) Write(b []byte) (int, error) {
	if !c.writing.Swap(true) {
		c.n.Add(1)
	}
	return c.Conn.Write(b)
}

func (c *trips) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if n > 0 {
		c.writing.Store(false)
	}
	return n, err
}

// counted opens a store whose round trips are counted. One connection, so that its
// statements are prepared once.
func counted(tb testing.TB, url string, conns int32) (*postgres.Store, *atomic.Int64) {
	tb.Helper()
	n := &atomic.Int64{}
	store, err := postgres.Open(tb.Context(), url, postgres.Options{MaxConns: conns, Tune: func(cfg *pgxpool.Config) {
		dial := cfg.ConnConfig.DialFunc
		cfg.ConnConfig.DialFunc = func(ctx context.Context, network, address string) (net.Conn, error) {
			c, err := dial(ctx, network, address)
			return &trips{Conn: c, n: n}, err
		}
		cfg.ShouldPing = func(context.Context, pgxpool.ShouldPingParams) bool { return false } // a ping is no part of a tick
	}})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(store.Close)
	return store, n
}

func id() string { return uuid.Must(uuid.NewV7()).String() }

// bench is a measured door, ready to be ticked and opened again and again.
type bench struct {
	tb        testing.TB
	store     *postgres.Store
	lead      account.Viewer
	installer account.Viewer
	job, item string
}

func newBench(tb testing.TB, store *postgres.Store) *bench {
	tb.Helper()
	company := account.Company{ID: id(), Name: "Bench"}
	if err := store.CreateCompany(tb.Context(), company); err != nil {
		tb.Fatal(err)
	}
	b := &bench{tb: tb, store: store}
	for role, to := range map[joblog.Role]*account.Viewer{joblog.Lead: &b.lead, joblog.Installer: &b.installer} {
		p := account.Person{ID: id(), CompanyID: company.ID, Name: string(role), SignIn: id(), Role: role, Language: "en", Unit: length.Inches}
		err := store.AddPerson(tb.Context(), p, "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc")
		if err != nil {
			tb.Fatal(err)
		}
		*to = p.Viewer()
	}
	b.openJob()
	return b
}

// openJob gives the bench another job with a door, measured and ticked.
func (b *bench) openJob() {
	b.tb.Helper()
	b.job, b.item = id(), id()
	room := id()
	in := length.In
	casing := trim.Casing{Style: trim.ButtHead, Profile: "square stock", Material: "wood", Width: in(2, 3, 4), Thickness: in(0, 3, 4), Overhang: in(1, 0, 0)}
	b.give(b.lead, joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Alder Street 12", Unit: length.Inches}})
	b.give(b.lead, joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Bedroom", Level: finish.Ground}})
	b.give(b.lead, joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: b.item, AddItem: &joblog.AddItem{Name: "Door", Spec: joblog.Spec{
		Unit: trim.Unit{Kind: trim.Door, SlabWidth: in(28, 0, 0), SlabHeight: in(80, 0, 0), SlabThickness: in(1, 3, 4),
			Core: trim.Solid, Grade: trim.Paint, JambThickness: in(0, 5, 8), JambWidth: in(4, 9, 16), HeadThickness: in(0, 5, 8),
			LegLength: in(81, 0, 0), HingeOn: "left", SwingsTo: trim.FaceA, StopThickness: in(0, 3, 8)},
		CasingA: &casing, CasingB: &casing}}})
	b.give(b.lead, joblog.Command{Kind: joblog.AssignKind, ItemID: b.item, Assign: &joblog.Assign{PersonID: b.installer.PersonID}})
	for _, r := range []struct {
		name  string
		value length.Length
	}{
		{"width_bottom", in(30, 0, 0)}, {"width_middle", in(30, 0, 0)}, {"width_top", in(30, 0, 0)},
		{"height_hinge", in(80, 3, 8)}, {"height_strike", in(80, 1, 2)}, {"floor_strike_up", -in(0, 1, 8)},
		{"lean_hinge", 0}, {"wall_build_up", in(4, 9, 16)},
	} {
		b.give(b.installer, joblog.Command{Kind: joblog.TakeReadingKind, ItemID: b.item, TakeReading: &joblog.TakeReading{Reading: r.name, Value: r.value}})
	}
	b.tick()
}

func (b *bench) give(by account.Viewer, c joblog.Command) {
	b.tb.Helper()
	now := time.Now()
	c.ID, c.Version, c.JobID, c.At = id(), joblog.CommandVersion, b.job, now
	out, err := b.store.Submit(b.tb.Context(), by, c, now)
	if err != nil {
		b.tb.Fatalf("%s: %v", c.Kind, err)
	}
	if !out.Applied {
		b.tb.Fatalf("%s was refused: %+v", c.Kind, out.Findings)
	}
}

func (b *bench) tick() {
	b.give(b.installer, joblog.Command{Kind: joblog.TickStageKind, ItemID: b.item, TickStage: &joblog.TickStage{Stage: stage.Measured}})
}

func (b *bench) reopen() {
	b.give(b.installer, joblog.Command{Kind: joblog.ReopenStageKind, ItemID: b.item, ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "Again."}})
}

// TestRoundTrips counts what a command costs between the program and its server, once the
// connection knows the statements: that is what a node far from its database feels.
func TestRoundTrips(t *testing.T) {
	t.Parallel()
	store, n := counted(t, testdb.New(t).AppURL, 1)
	b := newBench(t, store)
	rules := func(eighths int64) {
		b.give(b.lead, joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: houserules.Set{"reveal": eighths * int64(length.Eighth)}}})
	}
	read := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, tc := range []struct {
		name string
		want int64
		prepare,
		do func()
	}{
		{"tick", 2, b.reopen, b.tick},
		{"reading", 2, func() {}, func() {
			b.give(b.installer, joblog.Command{Kind: joblog.TakeReadingKind, ItemID: b.item, TakeReading: &joblog.TakeReading{Reading: "width_top", Value: length.In(30, 0, 0)}})
		}},
		{"house rules of a job", 3, func() { rules(2) }, func() { rules(1) }},
		{"a whole job", 1, func() {}, func() { _, err := store.Job(t.Context(), b.installer, b.job); read(err) }},
		{"an item", 1, func() {}, func() { _, err := store.Scope(t.Context(), b.installer, b.job, b.item); read(err) }},
		{"the log", 1, func() {}, func() { _, _, err := store.Entries(t.Context(), b.installer, b.job, 0, "", 0); read(err) }},
	} {
		for range 2 { // the first time prepares the statements
			tc.prepare()
			tc.do()
		}
		tc.prepare()
		n.Store(0)
		tc.do()
		if got := n.Load(); got != tc.want {
			t.Errorf("%s: want %d round trips, got %d", tc.name, tc.want, got)
		}
	}
}

// BenchmarkTick is one stage tick, from the command to the commit, by one hand. Half of the
// commands reopen the stage, which costs the same statements.
func BenchmarkTick(b *testing.B) {
	store, n := counted(b, testdb.New(b).AppURL, 1)
	x := newBench(b, store)
	n.Store(0)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if i%2 == 0 {
			x.reopen()
		} else {
			x.tick()
		}
	}
	b.ReportMetric(float64(n.Load())/float64(b.N), "trips/op")
}

// BenchmarkTickParallel is the same by eight hands, each on a job of its own.
func BenchmarkTickParallel(b *testing.B) {
	store, _ := counted(b, testdb.New(b).AppURL, 8)
	first := newBench(b, store)
	var mu sync.Mutex
	b.SetParallelism(4)
	b.RunParallel(func(pb *testing.PB) {
		x := *first
		mu.Lock()
		x.openJob()
		mu.Unlock()
		for i := 0; pb.Next(); i++ {
			if i%2 == 0 {
				x.reopen()
			} else {
				x.tick()
			}
		}
	})
}
