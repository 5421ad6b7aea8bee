package httpapi

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/internal/finish"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
	"longpoint/internal/length"
	"longpoint/internal/stage"
)

// smallHouse is a job of three rooms with walls, six doors and nine runs, one of the doors
// wet with its last coat.
var smallHouse = sync.OnceValues(func() (*keptJob, error) {
	log, err := bigjob.Log(6, 3)
	j := &keptJob{state: joblog.NewState(), rules: houserules.Set{}, now: bigjob.Now}
	for _, e := range log {
		j.state.Apply(e)
		switch c := e.Command; {
		case c.AddRoom != nil:
			j.rooms = append(j.rooms, c.RoomID)
		case c.AddItem != nil && c.AddItem.Run == nil:
			j.doors = append(j.doors, c.ItemID)
		}
	}
	if err == nil {
		err = j.paint(j.doors[2])
	}
	return j, err
})

// bigjobsLead wrote it.
var bigjobsLead = joblog.Actor{PersonID: "018f0000-0000-7000-9000-ffffffffffff", Role: joblog.Lead}

// keptJob is a job as the Store gives it again and again: what an entry touched is another
// thing afterward, and all else is the very same.
type keptJob struct {
	t     *rapid.T
	state *joblog.State
	rules houserules.Set
	doors []string
	rooms []string
	now   time.Time
	ids   int
}

func newKeptJob(t *rapid.T) *keptJob {
	house, err := smallHouse()
	if err != nil {
		t.Fatal(err)
	}
	j := *house
	j.t, j.state = t, readAgain(house.state)
	return &j
}

// paint takes a door that hangs through all that is left to do but for the last tick.
func (j *keptJob) paint(door string) error {
	do := func(c joblog.Command) { c.ItemID = door; j.give(c) }
	tick := func(s stage.Stage) {
		do(joblog.Command{Kind: joblog.TickStageKind, TickStage: &joblog.TickStage{Stage: s}})
	}
	for _, line := range []string{"casing_a", "casing_b"} {
		do(joblog.Command{Kind: joblog.ReadGapKind, ReadGap: &joblog.ReadGap{Line: line, Narrow: length.Eighth, Wide: length.Eighth}})
	}
	tick(stage.Cased)
	for _, f := range []finish.Fastener{
		{Kind: finish.Brad18, Length: length.In(1, 1, 4), Count: 24, Where: finish.JambEdge},
		{Kind: finish.Finish16, Length: length.In(2, 1, 2), Count: 24, Where: finish.Stud},
	} {
		do(joblog.Command{Kind: joblog.LogFastenersKind, LogFasteners: &joblog.LogFasteners{Fastener: f}})
	}
	tick(stage.Nailed)
	do(joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: finish.Finish16, With: finish.Filler}})
	do(joblog.Command{Kind: joblog.TreatHolesKind, TreatHoles: &joblog.TreatHoles{Kind: finish.Brad18, With: finish.Caulk}})
	j.now = j.now.Add(2 * time.Hour)
	do(joblog.Command{Kind: joblog.SandKind, Sand: &joblog.Sand{Kind: finish.Finish16}})
	tick(stage.Filled)
	do(joblog.Command{Kind: joblog.LogGapKind, LogGap: &joblog.LogGap{Gap: finish.Gap{Edge: finish.SideEdge, Width: length.Sixteenth,
		Closing: finish.Caulked, Passes: 1, Sealant: &finish.Sealant{Class: finish.Class25}}}})
	tick(stage.Caulked)
	for range 2 {
		j.now = j.now.Add(4 * time.Hour)
		do(joblog.Command{Kind: joblog.LogCoatKind, LogCoat: &joblog.LogCoat{}})
	}
	if it := j.state.Items[door]; len(it.Stages) != 7 || len(it.Coats) != 2 {
		return fmt.Errorf("the door has passed %d stages and has %d coats", len(it.Stages), len(it.Coats))
	}
	return nil
}

// readAgain is a thing as it comes from the database.
func readAgain[T any](x *T) *T {
	if x == nil {
		return nil
	}
	b, err := json.Marshal(x)
	if err == nil {
		x = new(T)
		err = json.Unmarshal(b, x)
	}
	if err != nil {
		panic(err) // these go through JSON all day
	}
	return x
}

// give takes a command, where the rules let it through.
func (j *keptJob) give(c joblog.Command) {
	j.ids++
	c.ID, c.Version, c.JobID, c.At = newUUID(j.ids), joblog.CommandVersion, j.state.Job.ID, j.now
	sc := j.state.Scope(j.rules, c)
	sc.Job, sc.Room, sc.Item = readAgain(sc.Job), readAgain(sc.Room), readAgain(sc.Item)
	d := joblog.Decide(sc, c, bigjobsLead, j.now, j.now)
	for _, e := range d.Entries {
		e.Seq = j.state.Seq + 1
		switch {
		case c.ItemID != "":
			j.state.Items[c.ItemID] = sc.Item
		case c.RoomID != "":
			j.state.Rooms[c.RoomID] = sc.Room
		default:
			j.state.Job = sc.Job
		}
		j.state.Apply(e)
	}
}

func newUUID(n int) string {
	const digits = "0123456789abcdef"
	id := []byte("01900000-0000-7000-8000-000000000000")
	for at := len(id) - 1; n > 0; at, n = at-1, n/16 {
		id[at] = digits[n%16]
	}
	return string(id)
}

// happens is something that may change a board: the clock, an entry, the company's rules.
func (j *keptJob) happens() {
	t := j.t
	door, room := rapid.SampledFrom(j.doors).Draw(t, "door"), rapid.SampledFrom(j.rooms).Draw(t, "room")
	reveal := houserules.Set{"reveal": int64(rapid.Int64Range(2, 4).Draw(t, "reveal")) * int64(length.Sixteenth)}
	switch rapid.IntRange(0, 15).Draw(t, "what") {
	case 0, 1, 2:
		j.now = j.now.Add(time.Duration(rapid.SampledFrom([]int{-90, 20, 50, 100, 3600, 4 * 3600}).Draw(t, "seconds")) * time.Second)
	case 3:
		j.give(joblog.Command{Kind: joblog.TickStageKind, ItemID: door, TickStage: &joblog.TickStage{Stage: rapid.SampledFrom(stage.All()).Draw(t, "stage")}})
	case 4:
		j.give(joblog.Command{Kind: joblog.ReopenStageKind, ItemID: door, ReopenStage: &joblog.ReopenStage{Stage: stage.Measured, Reason: "<again> & again"}})
	case 5:
		j.give(joblog.Command{Kind: joblog.TakeReadingKind, ItemID: door, TakeReading: &joblog.TakeReading{Reading: "width_top",
			Value: length.In(32, 0, 0) + length.Length(rapid.Int64Range(-4, 4).Draw(t, "off"))*length.Sixteenth, Tool: "tape"}})
	case 6:
		j.give(joblog.Command{Kind: joblog.TakeReadingKind, RoomID: room, TakeReading: &joblog.TakeReading{Reading: "wall_2_length",
			Value: length.In(84, 0, 0) + length.Length(rapid.Int64Range(-4, 4).Draw(t, "off"))*length.Inch, Tool: "laser"}})
	case 7:
		j.give(joblog.Command{Kind: joblog.LogCoatKind, ItemID: j.doors[2], LogCoat: &joblog.LogCoat{}})
	case 8:
		j.give(joblog.Command{Kind: joblog.LogFastenersKind, ItemID: door, LogFasteners: &joblog.LogFasteners{Fastener: finish.Fastener{
			Kind: finish.Brad18, Length: length.In(2, 0, 0), Count: 12, Where: finish.JambEdge}}})
		j.give(joblog.Command{Kind: joblog.TreatHolesKind, ItemID: door, TreatHoles: &joblog.TreatHoles{Kind: finish.Brad18, With: finish.Filler}})
	case 9:
		j.give(joblog.Command{Kind: joblog.TickStageKind, ItemID: j.doors[2], TickStage: &joblog.TickStage{Stage: stage.Painted}})
	case 10:
		j.give(joblog.Command{Kind: joblog.AssignKind, RoomID: room, Assign: &joblog.Assign{PersonID: bigjobsLead.PersonID}})
	case 11:
		j.give(joblog.Command{Kind: joblog.SetRulesKind, RoomID: room, SetRules: &joblog.SetRules{Set: reveal}})
	case 12:
		j.give(joblog.Command{Kind: joblog.SetRulesKind, SetRules: &joblog.SetRules{Set: reveal}})
	case 13:
		j.rules = reveal
	case 14:
		j.give(joblog.Command{Kind: joblog.RemoveItemKind, ItemID: door, RemoveItem: &joblog.RemoveItem{Reason: `says "rooms":[]`}})
	default:
		id := newUUID(1_000_000 + j.ids)
		j.give(joblog.Command{Kind: joblog.AddRoomKind, RoomID: id, AddRoom: &joblog.AddRoom{Name: `"rooms":[ ]`, Level: finish.Ground}})
		j.rooms = append(j.rooms, id)
	}
}

// fresh is the board as it is written without anything kept.
func (j *keptJob) fresh(r joblog.Reader) []byte {
	v := joblog.ViewJob(j.state, j.rules, r)
	v.Rooms = orEmpty(v.Rooms)
	var text bytes.Buffer
	if err := asJSON(&text, v); err != nil {
		j.t.Fatal(err)
	}
	return text.Bytes()
}

// TestABoardOfKeptPartsIsTheBoard asks for boards of which parts were sent before, at random
// moments, in both languages and units, and compares them byte for byte with ones made anew;
// compressed too, as another library reads it.
func TestABoardOfKeptPartsIsTheBoard(t *testing.T) {
	t.Parallel()
	var again, waits int
	rapid.Check(t, func(rt *rapid.T) {
		j, kept := newKeptJob(rt), newBoards(mostOfBoards)
		for range rapid.IntRange(2, 12).Draw(rt, "times") {
			j.happens()
			r := joblog.Reader{Language: rapid.SampledFrom([]string{"en", "en", "es"}).Draw(rt, "language"), Now: j.now}
			r.Style = length.Style{Unit: rapid.SampledFrom([]length.Unit{length.Inches, length.Inches, length.Millimeters}).Draw(rt, "unit"), Language: r.Language}
			before := kept.get(boardKey{"c", j.state.Job.ID, r.Language, r.Style})
			pieces, err := kept.view("c", j.state, j.rules, r)
			if err != nil {
				rt.Fatal(err)
			}
			var got, packed bytes.Buffer
			for _, p := range pieces {
				got.Write(p.plain)
			}
			if want := j.fresh(r); !bytes.Equal(got.Bytes(), want) {
				rt.Fatalf("%s\n got %s\nwant %s", firstDifference(got.Bytes(), want), &got, want)
			}
			writePacked(&packed, pieces)
			unpack, err := gzip.NewReader(&packed)
			if err != nil {
				rt.Fatal(err)
			}
			if plain, err := io.ReadAll(unpack); err != nil || !bytes.Equal(plain, got.Bytes()) {
				rt.Fatalf("unpacked it is another: %v", err)
			}
			for id, room := range kept.get(boardKey{"c", j.state.Job.ID, r.Language, r.Style}).rooms {
				if before != nil && before.rooms[id] == room {
					again++
				}
				if !room.until.IsZero() {
					waits++
				}
			}
		}
	})
	if again == 0 || waits == 0 {
		t.Errorf("%d parts were sent again and %d waited for something to dry: nothing was tried", again, waits)
	}
}

func firstDifference(a, b []byte) string {
	at := 0
	for at < len(a) && at < len(b) && a[at] == b[at] {
		at++
	}
	return string(a[max(at-60, 0):min(at+60, len(a))]) + "\n" + string(b[max(at-60, 0):min(at+60, len(b))])
}

// TestBoardsAreLetGo keeps no more than it may, the board that was looked at last the longest.
func TestBoardsAreLetGo(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		j := newKeptJob(rt)
		r := joblog.Reader{Language: "en", Style: length.Style{Unit: length.Inches}, Now: j.now}
		one := newBoards(mostOfBoards)
		if _, err := one.view("c", j.state, nil, r); err != nil {
			rt.Fatal(err)
		}
		kept := newBoards(one.size*5/2 + rapid.IntRange(0, 100).Draw(rt, "more"))
		companies := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "d"}), 1, 8).Draw(rt, "companies")
		for _, company := range companies {
			if _, err := kept.view(company, j.state, nil, r); err != nil {
				rt.Fatal(err)
			}
			size := 0
			for _, b := range kept.kept.Values() {
				size += b.size
			}
			if size != kept.size || size > kept.most {
				rt.Fatalf("%d bytes are kept, counted as %d, of at most %d", size, kept.size, kept.most)
			}
			if kept.get(boardKey{company, j.state.Job.ID, "en", r.Style}) == nil {
				rt.Fatal("what was looked at last was let go")
			}
		}
	})
	tiny := newBoards(10)
	rapid.Check(t, func(rt *rapid.T) {
		j := newKeptJob(rt)
		if pieces, err := tiny.view("c", j.state, nil, joblog.Reader{Now: j.now}); err != nil || len(pieces) != len(j.rooms)+2 || tiny.size != 0 {
			rt.Fatalf("where nothing fits: %v, %d pieces, %d bytes kept", err, len(pieces), tiny.size)
		}
	})
}
