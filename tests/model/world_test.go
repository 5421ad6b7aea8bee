package model

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"

	"longpoint/internal/account"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/trim"
)

const passphrase = "seven dusty sawhorses"

var passphraseHash = sync.OnceValues(func() (string, error) {
	h, err := account.NewHasher(1)
	if err != nil {
		return "", err
	}
	return h.Hash(context.Background(), passphrase)
})

func freshSeed() uint64 { return rand.Uint64() >> 1 }

// world is one company with one job, its crew's phones and the service they talk to.
type world struct {
	t       *testing.T
	seed    uint64
	service service
	clock   *clock
	company account.Company
	rules   houserules.Set
	job     string
	guest   string // the homeowner, who has no phone of the crew's
	phones  []*phone

	mu   sync.Mutex
	cond *sync.Cond
	base string
	up   bool // the service listens
	fine bool // and its database answers

	ledger   sync.Mutex
	made     map[string]*made
	order    []string
	requests atomic.Int64
	restarts int
}

// made is a command that somebody made, known to the test from the moment of making.
type made struct {
	id   string
	by   *phone
	kind joblog.Kind
	true time.Time // when it was really done
	// homeless is a command that the service cannot keep: it has no usable id, or is sent to
	// another job than it names. It stays on the phone.
	homeless bool
}

// Who is in the crew: leads plan, installers have rooms, and one was never on the job.
var crew = []struct {
	name string
	role joblog.Role
	skew time.Duration // how far the phone's clock is off
}{
	{"Ines", joblog.Lead, 0},
	{"Olga", joblog.Owner, -90 * time.Second},
	{"Bo", joblog.Installer, 3 * time.Hour},
	{"Tess", joblog.Installer, -26 * time.Hour},
	{"Marco", joblog.Installer, 2 * time.Second},
	{"Ruth", joblog.Installer, 40 * 24 * time.Hour},
	{"Sam", joblog.Installer, -8 * time.Minute},
	{"Vi", joblog.Installer, 0},
}

// stranger is of the company and was never on the job.
const stranger = 7

func newWorld(t *testing.T, seed uint64, k kind) *world {
	t.Helper()
	w := &world{t: t, seed: seed, service: newService(t, k), made: map[string]*made{}}
	w.cond = sync.NewCond(&w.mu)
	w.clock = w.service.clock()
	t.Cleanup(w.service.close)
	w.addCrew()
	w.start()
	t.Cleanup(func() {
		for _, p := range w.phones {
			p.net.close()
		}
		w.service.kill()
	})
	for _, p := range w.phones {
		p.net.kind = true
		p.signIn()
	}
	w.openJob()
	for _, p := range w.phones {
		p.net.kind = false
	}
	return w
}

func (w *world) addCrew() {
	ctx := context.Background()
	pg, err := postgres.Open(ctx, w.service.appURL(), postgres.Options{MaxConns: 2, Clock: w.clock.now})
	if err != nil {
		w.t.Fatal(err)
	}
	defer pg.Close()
	hash, err := passphraseHash()
	if err != nil {
		w.t.Fatal(err)
	}
	ids := rand.New(rand.NewPCG(w.seed, 0))
	w.company = account.Company{ID: w.newID(ids), Name: "Plumb & Level"}
	w.job = w.newID(ids)
	if err := pg.CreateCompany(ctx, w.company); err != nil {
		w.t.Fatal(err)
	}
	for i, c := range crew {
		who := account.Person{ID: w.newID(ids), CompanyID: w.company.ID, Name: c.name, SignIn: c.name, Role: c.role, Language: "en", Unit: length.Inches}
		if err := pg.AddPerson(ctx, who, hash); err != nil {
			w.t.Fatal(err)
		}
		w.phones = append(w.phones, newPhone(w, i, who, c.skew))
	}
	w.guest = w.newID(ids)
	owner := w.phones[0].who.Viewer()
	if err := pg.AddGuest(ctx, owner, account.Person{ID: w.guest, CompanyID: w.company.ID, Name: "Ada", Role: joblog.Guest, Language: "en", Unit: length.Inches}); err != nil {
		w.t.Fatal(err)
	}
}

// newID makes an id as a phone does (UUIDv7), from the story's own clock and chance.
func (w *world) newID(rng *rand.Rand) string {
	var u uuid.UUID
	ms := uint64(w.clock.now().UnixMilli())
	for i := range 6 {
		u[i] = byte(ms >> (40 - 8*i))
	}
	for i := 6; i < 16; i++ {
		u[i] = byte(rng.Uint32())
	}
	u[6], u[8] = u[6]&0x0f|0x70, u[8]&0x3f|0x80
	return u.String()
}

// openJob lays out a small house through the first lead's phone and gives everybody but the
// stranger a room.
func (w *world) openJob() {
	lead := w.phones[0]
	lead.do(joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: "Sill Street", Unit: length.Inches, HouseYear: 1931}})
	for i := range 4 {
		room := w.newID(lead.rng)
		lead.do(joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: fmt.Sprintf("Room %d", i+1),
			Level: []finish.Level{finish.Basement, finish.Ground, finish.Upper}[i%3]}})
		lead.do(joblog.Command{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: w.phones[2+i].who.ID}})
		for n := range 2 {
			lead.do(joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: w.newID(lead.rng),
				AddItem: &joblog.AddItem{Name: fmt.Sprintf("Door %d-%d", i+1, n+1), Spec: doorSpec(lead.rng)}})
		}
		if i == 0 {
			lead.do(joblog.Command{Kind: joblog.SetWallsKind, RoomID: room, SetWalls: layout()})
			item := w.newID(lead.rng)
			lead.do(joblog.Command{Kind: joblog.AddItemKind, RoomID: room, ItemID: item, AddItem: &joblog.AddItem{Name: "Base", Spec: runSpec()}})
		}
	}
	// One opening of somebody else's room, so that whose it is is not a matter of rooms alone.
	lead.do(joblog.Command{Kind: joblog.AssignKind, ItemID: sortedKeys(lead.local.Items)[0], Assign: &joblog.Assign{PersonID: w.phones[6].who.ID}})
	lead.drain()
}

func doorSpec(rng *rand.Rand) joblog.Spec {
	casing := &trim.Casing{Style: trim.ButtHead, Profile: "square stock", Material: "wood", Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Overhang: length.Inch}
	u := trim.UnitForDoor(28*length.Inch, 80*length.Inch, length.In(1, 3, 4))
	u.Core, u.LegLength = trim.Solid, 81*length.Inch
	switch rng.IntN(4) {
	case 0:
		casing = &trim.Casing{Style: trim.Mitered, Profile: "colonial", Material: "mdf", Width: length.In(2, 1, 4), Thickness: length.In(0, 9, 16)}
	case 1:
		u = trim.Unit{Kind: trim.CasedOpening, Grade: trim.Paint, JambThickness: length.In(0, 3, 4), JambWidth: length.In(4, 9, 16),
			HeadThickness: length.In(0, 3, 4), HingeOn: "left"}
	}
	return joblog.Spec{Unit: u, CasingA: casing, CasingB: casing}
}

func runSpec() joblog.Spec {
	return joblog.Spec{Unit: trim.Unit{Kind: trim.WallRun, Grade: trim.Paint}, Run: &joblog.RunSpec{WallLayers: length.In(0, 1, 2),
		Profile: trim.Profile{Kind: trim.Base, Height: length.In(5, 1, 4), Thickness: length.In(0, 9, 16), StockLength: 96 * length.Inch}}}
}

func layout() *joblog.SetWalls {
	return &joblog.SetWalls{Walls: trim.Room{Walls: []trim.Wall{{}, {}, {Turn: trim.Outside}, {}, {}, {}}}}
}

// The service's comings and goings.

func (w *world) start() {
	base, err := w.service.start()
	if err != nil {
		w.t.Errorf("starting the service: %v", err)
	}
	w.mu.Lock()
	w.base, w.up, w.fine = base, true, true
	w.cond.Broadcast()
	w.mu.Unlock()
}

func (w *world) restart() {
	w.mu.Lock()
	w.up = false
	w.mu.Unlock()
	w.service.kill()
	w.restarts++
	w.start()
}

func (w *world) cutDatabase() {
	w.mu.Lock()
	w.fine = false
	w.mu.Unlock()
	if err := w.service.killDatabase(); err != nil {
		w.t.Errorf("killing PostgreSQL: %v", err)
	}
	w.mu.Lock()
	w.fine = true
	w.cond.Broadcast()
	w.mu.Unlock()
}

func (w *world) where() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.base
}

// waitUntilUp is for a phone that found nobody there: a person would wait too.
func (w *world) waitUntilUp() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for !w.up {
		w.cond.Wait()
	}
}

// troubled is told of an answer that says the service could not.
func (w *world) troubled(status int, body []byte) {
	if status != http.StatusServiceUnavailable {
		w.t.Errorf("the service answered %d %s", status, body)
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for !w.fine {
		w.cond.Wait()
	}
}

// plan is how a story goes.
type plan struct {
	commands      int
	atOnce        bool
	kills         int
	databaseKills int
}

// play lets the phones work until that many commands were made, kills the service at even
// distances and the database between, then drains every outbox over a network that loses
// nothing, and checks what came of it.
func (w *world) play(p plan) {
	began := time.Now()
	disasters := make(chan func(), p.kills+p.databaseKills)
	due := map[int]func(){}
	for k := range p.kills {
		due[(k+1)*p.commands/(p.kills+1)] = w.restart
	}
	for k := range p.databaseKills {
		due[(2*k+1)*p.commands/(2*p.databaseKills)+7] = w.cutDatabase
	}
	var chaos sync.WaitGroup
	chaos.Go(func() {
		for d := range disasters {
			d()
		}
	})
	enough := func() bool {
		w.ledger.Lock()
		defer w.ledger.Unlock()
		n := len(w.order)
		for at, d := range due {
			if n >= at {
				delete(due, at)
				disasters <- d
			}
		}
		return n >= p.commands
	}
	if p.atOnce {
		var all sync.WaitGroup
		for _, ph := range w.phones {
			all.Go(func() {
				for !enough() {
					ph.step()
				}
			})
		}
		all.Wait()
	} else {
		turn := rand.New(rand.NewPCG(w.seed, 99))
		for !enough() {
			w.phones[turn.IntN(len(w.phones))].step()
		}
	}
	close(disasters)
	chaos.Wait()
	worked := time.Since(began)
	w.settle()
	w.check()
	w.t.Logf("%d commands in %v, %d requests, %d restarts; checked after %v", len(w.order), worked.Round(time.Millisecond),
		w.requests.Load(), w.restarts, time.Since(began).Round(time.Millisecond))
}

// settle ends the story: what was held up arrives, outboxes empty, everybody is given
// something so that they may see the job, and pulls to its end.
func (w *world) settle() {
	for _, p := range w.phones {
		p.net.kind = true
		for _, old := range p.net.late {
			_, _ = p.net.send(old, false)
		}
		p.drain()
	}
	lead := w.phones[0]
	for i, p := range w.phones {
		if i != stranger && p.who.Role == joblog.Installer {
			room := w.newID(lead.rng)
			lead.do(joblog.Command{Kind: joblog.AddRoomKind, RoomID: room, AddRoom: &joblog.AddRoom{Name: "Last of " + p.who.Name, Level: finish.Ground}})
			lead.do(joblog.Command{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: p.who.ID}})
		}
	}
	for _, id := range sortedKeys(lead.local.Walks) {
		if w := lead.local.Walks[id]; w.Closed == nil {
			lead.do(joblog.Command{Kind: joblog.ExtendWalkKind, WalkID: id, ExtendWalk: &joblog.ExtendWalk{ExpiresAt: w.ExpiresAt.Add(7 * 24 * time.Hour)}})
			lead.do(joblog.Command{Kind: joblog.CloseWalkKind, WalkID: id, CloseWalk: &joblog.CloseWalk{Reason: "The house is handed over."}})
		}
	}
	lead.drain()
	for _, p := range w.phones {
		p.drain()
	}
}
