package httpapi_test

import (
	"net/http"
	"testing"
	"time"

	"longpoint/internal/finish"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/trim"
)

// house is a job with one room and one door, made through the API.
type house struct {
	lead            *client
	job, room, item string
}

func (h house) path(rest string) string { return "/api/v1/jobs/" + h.job + rest }

func buildHouse(b *bundle, of crew, name string) house {
	b.t.Helper()
	h := house{lead: b.as(of.lead), job: newID(), room: newID(), item: newID()}
	casing := &trim.Casing{Style: trim.ButtHead, Width: length.In(2, 3, 4), Thickness: length.In(0, 3, 4), Overhang: length.Inch}
	out := h.lead.send(h,
		joblog.Command{Kind: joblog.CreateJobKind, CreateJob: &joblog.CreateJob{Name: name, Address: "12 Sill Street", Unit: length.Inches}},
		joblog.Command{Kind: joblog.AddRoomKind, RoomID: h.room, AddRoom: &joblog.AddRoom{Name: "Hall", Level: finish.Ground}},
		joblog.Command{Kind: joblog.AddItemKind, RoomID: h.room, ItemID: h.item, AddItem: &joblog.AddItem{Name: "Hall door",
			Spec: joblog.Spec{Unit: trim.UnitForDoor(28*length.Inch, 80*length.Inch, length.In(1, 3, 4)), CasingA: casing, CasingB: casing}}},
		joblog.Command{Kind: joblog.AssignKind, RoomID: h.room, Assign: &joblog.Assign{PersonID: of.installer.ID}},
	)
	for i, o := range out.Outcomes {
		if !o.Applied {
			b.t.Fatalf("building the house: command %d refused: %+v", i, o.Findings)
		}
	}
	return h
}

func (h house) take(reading, text string) joblog.Command {
	v, err := length.ParseSigned(text, length.Inches)
	if err != nil {
		panic(err)
	}
	return joblog.Command{Kind: joblog.TakeReadingKind, ItemID: h.item, TakeReading: &joblog.TakeReading{Reading: reading, Value: v, Tool: "tape"}}
}

// chain is the readings of the worked chain that any crew can redo on paper (common practice).
func (h house) chain() []joblog.Command {
	var out []joblog.Command
	for _, r := range [][2]string{{"width_bottom", "30"}, {"width_middle", "30"}, {"width_top", "30"}, {"height_hinge", "80 3/8"},
		{"height_strike", "80 1/2"}, {"floor_strike_up", "-1/8"}, {"lean_hinge", "0"}, {"wall_build_up", "4 9/16"}} {
		out = append(out, h.take(r[0], r[1]))
	}
	return out
}

func (h house) batch(cmds ...joblog.Command) map[string]any {
	for i := range cmds {
		c := &cmds[i]
		c.Version, c.JobID = joblog.CommandVersion, h.job
		if c.ID == "" {
			c.ID = newID()
		}
		if c.At.IsZero() {
			c.At = time.Now().UTC().Truncate(time.Millisecond)
		}
	}
	return map[string]any{"sent_at": time.Now().UTC(), "commands": cmds}
}

func (c *client) send(h house, cmds ...joblog.Command) httpapi.CommandOutcomes {
	c.t.Helper()
	var out httpapi.CommandOutcomes
	c.post(h.path("/commands"), h.batch(cmds...)).want(http.StatusOK).into(&out)
	if len(out.Outcomes) != len(cmds) {
		c.t.Fatalf("outcomes: got %d, want one for each of %d", len(out.Outcomes), len(cmds))
	}
	return out
}

func (c *client) item(h house) joblog.ItemView {
	c.t.Helper()
	var v joblog.ItemView
	c.get(h.path("/items/" + h.item)).want(http.StatusOK).into(&v)
	return v
}

func TestFromSignInToCuts(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")

	bo := b.as(b.ours.installer)
	var me httpapi.Me
	bo.get("/api/v1/session").want(http.StatusOK).into(&me)
	if me.Name != "Bo" || me.Role != joblog.Installer || me.CompanyID != b.ours.company.ID || me.Unit != length.Inches {
		t.Errorf("session: got %+v, want Bo, installer of %s, inches", me, b.ours.company.ID)
	}
	var jobs httpapi.JobList
	bo.get("/api/v1/jobs").want(http.StatusOK).into(&jobs)
	if len(jobs.Jobs) != 1 || jobs.Jobs[0].Name != "Sill Street" || jobs.Jobs[0].Items != 1 {
		t.Errorf("jobs of the installer: got %+v, want Sill Street with one opening", jobs.Jobs)
	}

	for _, c := range h.lead.item(h).Cuts {
		if c.Piece == "slab" || c.Piece == "leg_hinge" {
			t.Errorf("before the first reading: got %s %s, want it left out", c.Piece, c.Tape.Text)
		}
	}
	out := bo.send(h, h.chain()...)
	if out.Seq != 12 {
		t.Errorf("log number after 4 + 8 commands: got %d, want 12", out.Seq)
	}
	view := bo.item(h)
	want := map[string]string{"leg_hinge": "80 1/8", "leg_strike": "80 1/4", "slab": "79 1/8", "casing_a_head": "36", "casing_a_leg_hinge": "79 5/8"}
	for _, c := range view.Cuts {
		if w, ok := want[c.Piece]; ok && c.Tape.Text != w {
			t.Errorf("%s: got %s, want %s", c.Piece, c.Tape.Text, w)
		}
		delete(want, c.Piece)
	}
	if len(want) > 0 {
		t.Errorf("pieces missing from the cuts: %v", want)
	}

	var mm joblog.ItemView
	bo.get(h.path("/items/" + h.item + "?unit=mm&step=0.5")).want(http.StatusOK).into(&mm)
	for _, c := range mm.Cuts {
		if c.Piece == "slab" && (c.Tape.Unit != length.Millimeters || c.Tape.Text != "2009.5 mm heavy") {
			t.Errorf("slab in half millimeters: got %+v, want 2009.5 mm heavy", c.Tape) // 79 1/8 in is 2009.775 mm, and a slab rounds down
		}
	}

	var log httpapi.EntryList
	bo.get(h.path("/items/" + h.item + "/entries?limit=3")).want(http.StatusOK).into(&log)
	if len(log.Entries) != 3 || !log.More || log.Entries[1].Seq != 5 || log.Entries[1].Sentence != "Width at the bottom: 30, by tape." {
		t.Errorf("log of the opening: got %+v, want 3 with more, the second the first width", log)
	}
	var rest httpapi.EntryList
	bo.get(h.path("/entries?after=10")).want(http.StatusOK).into(&rest)
	if len(rest.Entries) != 2 || rest.More || rest.Seq != 12 {
		t.Errorf("log after 10: got %d entries, more %v, seq %d, want 2, false, 12", len(rest.Entries), rest.More, rest.Seq)
	}

	// A device that folds the raw log has what the server has.
	var raw httpapi.Log
	bo.get(h.path("/log")).want(http.StatusOK).into(&raw)
	state := joblog.NewState()
	for _, e := range raw.Entries {
		state.Apply(e)
	}
	if state.Seq != 12 || len(state.Items[h.item].Takes) != 8 {
		t.Errorf("folded log: got seq %d, %d takes, want 12 and 8", state.Seq, len(state.Items[h.item].Takes))
	}

	var board joblog.JobView
	h.lead.get(h.path("")).want(http.StatusOK).into(&board)
	if board.Seq != 12 || len(board.Rooms) != 1 || board.Rooms[0].Items[0].Next != "measured" {
		t.Errorf("board: got seq %d, %+v, want 12 and the door at measured", board.Seq, board.Rooms)
	}
}

func TestTheSameCommandTwiceDoesNothingTwice(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	batch := h.batch(h.chain()...)
	var first, again httpapi.CommandOutcomes
	h.lead.post(h.path("/commands"), batch).want(http.StatusOK).into(&first)
	h.lead.post(h.path("/commands"), batch).want(http.StatusOK).into(&again)
	for i, o := range again.Outcomes {
		if !o.Repeated || !o.Applied || o.FirstSeq != first.Outcomes[i].FirstSeq {
			t.Errorf("command %d again: got %+v, want a repeat of number %d", i, o, first.Outcomes[i].FirstSeq)
		}
	}
	if again.Seq != 12 {
		t.Errorf("log number after sending twice: got %d, want 12", again.Seq)
	}
	if n := len(h.lead.item(h).Readings[0].Takes); n != 1 {
		t.Errorf("takes of the first reading: got %d, want 1", n)
	}
}

func TestARefusedCommandIsKeptAndStopsNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	bad := h.take("width_bottom", "3")
	out := bo.send(h, h.take("width_top", "30"), bad, h.take("width_middle", "30"))
	if !out.Outcomes[0].Applied || out.Outcomes[1].Applied || !out.Outcomes[2].Applied {
		t.Fatalf("outcomes: got %+v, want taken, refused, taken", out.Outcomes)
	}
	fs := out.Outcomes[1].Findings
	if len(fs) == 0 || fs[0].Sentence == "" || fs[0].Remedy == "" {
		t.Errorf("findings of a 3 in doorway: got %+v, want a sentence and a remedy", fs)
	}
	var kept httpapi.RefusedList
	bo.get(h.path("/refused")).want(http.StatusOK).into(&kept)
	if len(kept.Refused) != 1 || kept.Refused[0].Command.TakeReading == nil || kept.Refused[0].Command.TakeReading.Value != 3*length.Inch {
		t.Errorf("kept: got %+v, want the 3 in reading", kept.Refused)
	}
}

// A phone that was away must not have its outbox turned back for one entry.
func TestAnUnreadableCommandTurnsBackOnlyItself(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	good := h.take("width_top", "30")
	good.ID, good.Version, good.JobID, good.At = newID(), 1, h.job, time.Now()
	elsewhere := good
	elsewhere.ID, elsewhere.JobID = newID(), newID()
	reused := good
	reused.TakeReading = &joblog.TakeReading{Reading: "width_top", Value: 31 * length.Inch}
	tooNew := map[string]any{"id": newID(), "v": 99, "kind": "hang_in_orbit", "job_id": h.job, "at": time.Now(), "hang_in_orbit": map[string]any{"g": 0}}
	wrongType := map[string]any{"id": newID(), "v": 1, "kind": "take_reading", "job_id": h.job, "item_id": h.item, "at": time.Now(),
		"take_reading": map[string]any{"reading": "width_top", "value": map[string]any{}}}
	var out httpapi.CommandOutcomes
	h.lead.post(h.path("/commands"), map[string]any{"sent_at": time.Now(), "commands": []any{
		good, tooNew, wrongType, map[string]any{"id": "x", "kind": "note"}, elsewhere, reused, "not a command",
	}}).want(http.StatusOK).into(&out)
	want := []string{"", "command_too_new", "command_incomplete", "command_id_bad", "not_taken", "not_taken", "command_id_bad"}
	if len(out.Outcomes) != len(want) {
		t.Fatalf("outcomes: got %d, want %d", len(out.Outcomes), len(want))
	}
	for i, o := range out.Outcomes {
		got := ""
		if !o.Applied {
			got = o.Findings[0].Code
			if o.Findings[0].Sentence == "" {
				t.Errorf("command %d: %s has no sentence", i, got)
			}
		}
		if got != want[i] {
			t.Errorf("command %d: got %q, want %q", i, got, want[i])
		}
	}
}

func TestACommandsAnswerCanBringTheOpening(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	var out httpapi.CommandOutcomes
	h.lead.post(h.path("/commands?view="+h.item), h.batch(h.take("width_top", "30"))).want(http.StatusOK).into(&out)
	if out.View == nil || out.View.ThroughSeq != out.Seq || out.Seq != 5 {
		t.Errorf("view along with the outcome: got %+v at seq %d, want the opening through 5", out.View, out.Seq)
	}
}

func TestHouseRules(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ines, bo := b.as(b.ours.lead), b.as(b.ours.installer)
	put := func(c *client, set map[string]int64) answer {
		return c.do(http.MethodPut, "/api/v1/rules", encode(t, map[string]any{"set": set}), nil)
	}
	put(bo, map[string]int64{"reveal": int64(length.Quarter)}).refused(http.StatusForbidden, "forbidden")
	put(ines, map[string]int64{"reveal": -1}).refused(http.StatusUnprocessableEntity, "invalid")
	var rules httpapi.HouseRules
	put(ines, map[string]int64{"reveal": int64(length.Quarter)}).want(http.StatusOK).into(&rules)
	bo.get("/api/v1/rules").want(http.StatusOK).into(&rules)
	for _, r := range rules.Rules {
		want, origin := r.Default, "built_in"
		if r.Key == "reveal" {
			want, origin = int64(length.Quarter), "company"
		}
		if r.Value != want || string(r.Origin) != origin {
			t.Errorf("%s: got %d from %s, want %d from %s", r.Key, r.Value, r.Origin, want, origin)
		}
	}
	var people httpapi.PeopleList
	bo.get("/api/v1/people").want(http.StatusOK).into(&people)
	if len(people.People) != 2 || people.People[0].Name != "Bo" || people.People[1].Name != "Ines" {
		t.Errorf("people: got %+v, want Bo and Ines", people.People)
	}
}

// A phone's clock may be wrong by hours. Order comes from the log, drying from corrected
// times, and what the phone read is kept beside them and said.
func TestAWrongClockIsKeptAndSaid(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo := b.as(b.ours.installer)
	const ahead = 3 * time.Hour
	did := time.Now().Add(-10 * time.Minute).Truncate(time.Millisecond)
	c := h.take("width_top", "30")
	c.At = did.Add(ahead)
	batch := h.batch(c)
	batch["sent_at"] = time.Now().Add(ahead)
	var out httpapi.CommandOutcomes
	bo.post(h.path("/commands"), batch).want(http.StatusOK).into(&out)
	if off := time.Since(out.ServerTime); off < 0 || off > patience {
		t.Errorf("server time in the answer: got %v, want now", out.ServerTime)
	}
	var log httpapi.EntryList
	bo.get(h.path("/entries?after=4")).want(http.StatusOK).into(&log)
	if len(log.Entries) != 1 {
		t.Fatalf("entries: got %d, want the reading", len(log.Entries))
	}
	e := log.Entries[0]
	if off := e.DidAt.Sub(did); off.Abs() > 30*time.Second {
		t.Errorf("done at: got %v, want %v", e.DidAt, did)
	}
	if off := e.Skew - int64(ahead/time.Second); off < -30 || off > 30 {
		t.Errorf("clock skew: got %d s, want about %d", e.Skew, int64(ahead/time.Second))
	}
	var raw httpapi.Log
	bo.get(h.path("/log?after=4")).want(http.StatusOK).into(&raw)
	if got := raw.Entries[0].Command.At; !got.Equal(c.At) {
		t.Errorf("the device's own time: got %v, want %v kept", got, c.At)
	}
	// A clock that is right goes without saying.
	bo.send(h, h.take("width_middle", "30"))
	var next httpapi.EntryList
	bo.get(h.path("/entries?after=5")).want(http.StatusOK).into(&next)
	if next.Entries[0].Skew != 0 {
		t.Errorf("skew of a right clock: got %d s, want none", next.Entries[0].Skew)
	}
}
