package httpapi_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	"longpoint/internal/app"
	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
	"longpoint/internal/length"
	"longpoint/internal/postgres"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
	"longpoint/tests/longjob"
)

// TestABoardIsWhatTheDatabaseHolds asks for a board again and again while entries come, house
// rules change and the clock goes on, and compares each answer byte for byte with the view of
// what another program, which has kept nothing, reads from the database.
func TestABoardIsWhatTheDatabaseHolds(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	var now atomic.Pointer[time.Time]
	at := time.Now().UTC()
	now.Store(&at)
	b := setup(t, func(c *app.Config) { c.Clock = func() time.Time { return *now.Load() } })
	log, err := bigjob.Log(6, 3)
	if err != nil {
		t.Fatal(err)
	}
	job, err := longjob.Restore(ctx, b.db.OwnerURL, b.ours.company.ID, b.ours.lead.ID, log)
	if err != nil {
		t.Fatal(err)
	}
	h := house{job: job, lead: b.as(b.ours.lead)}
	var doors, rooms []string
	for _, e := range log {
		switch c := e.Command; {
		case c.AddRoom != nil:
			rooms = append(rooms, c.RoomID)
		case c.AddItem != nil && c.AddItem.Unit.Kind == trim.Door:
			doors = append(doors, c.ItemID)
		}
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	chance := rand.New(rand.NewPCG(seed, 1))
	happens := func() {
		door, room := doors[chance.IntN(len(doors))], rooms[chance.IntN(len(rooms))]
		reveal := houserules.Set{"reveal": int64(2+chance.IntN(3)) * int64(length.Sixteenth)}
		c := joblog.Command{ItemID: door}
		switch chance.IntN(9) {
		case 0:
			later := now.Load().Add(time.Duration(chance.IntN(3600)) * time.Second)
			now.Store(&later)
			return
		case 1:
			h.lead.put("/api/v1/rules", map[string]any{"set": reveal}).want(http.StatusOK)
			return
		case 2:
			c.Kind, c.TickStage = joblog.TickStageKind, &joblog.TickStage{Stage: stage.All()[chance.IntN(4)]}
		case 3:
			c.Kind, c.ReopenStage = joblog.ReopenStageKind, &joblog.ReopenStage{Stage: stage.Measured, Reason: "Taped again"}
		case 4:
			c.Kind, c.TakeReading = joblog.TakeReadingKind, &joblog.TakeReading{Reading: "width_top", Value: length.In(32, 0, 0) + length.Length(chance.IntN(3))*length.Eighth, Tool: "tape"}
		case 5:
			c = joblog.Command{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: b.ours.installer.ID}}
		case 6:
			c = joblog.Command{Kind: joblog.SetRulesKind, RoomID: room, SetRules: &joblog.SetRules{Set: reveal}}
		case 7:
			c = joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: reveal}}
		default:
			c = joblog.Command{Kind: joblog.AddRoomKind, RoomID: newID(), AddRoom: &joblog.AddRoom{Name: "Hall <2>", Level: finish.Ground}}
		}
		c.At = *now.Load()
		h.lead.send(h, c)
	}
	for range 20 {
		happens()
		pg, err := postgres.Open(ctx, b.db.AppURL, postgres.Options{MaxConns: 1})
		if err != nil {
			t.Fatal(err)
		}
		st, err := pg.Job(ctx, b.ours.lead.Viewer(), job)
		pg.Close()
		if err != nil {
			t.Fatal(err)
		}
		var want bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		r := joblog.Reader{Language: "en", Now: *now.Load(), Style: length.Style{Unit: length.Inches, Step: length.Sixteenth, Language: "en"}}
		if err := enc.Encode(joblog.ViewJob(st.State, st.Company, r)); err != nil {
			t.Fatal(err)
		}
		if _, _, got := h.lead.fetch(h.path("")); !bytes.Equal(got, want.Bytes()) {
			t.Fatalf("at entry %d the board is\n%s\nwant\n%s", st.State.Seq, got, &want)
		}
		plain := h.lead.do(http.MethodGet, h.path(""), nil, http.Header{"Accept-Encoding": {"identity"}}).want(http.StatusOK)
		if !bytes.Equal(plain.body, want.Bytes()) || plain.header.Get("Content-Encoding") != "" {
			t.Fatalf("at entry %d, not compressed, the board is another", st.State.Seq)
		}
	}
}
