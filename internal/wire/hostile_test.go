package wire

import (
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"longpoint/internal/joblog"
	"longpoint/internal/length"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// TestNoStateBreaksTheBook opens states that no log has made and asks everything of them: a
// phone's store may be damaged, and a rule book that panics is gone from the page.
func TestNoStateBreaksTheBook(t *testing.T) {
	t.Parallel()
	kinds := []trim.Kind{trim.Door, trim.CasedOpening, trim.Pair, trim.Pocket, trim.Bifold, trim.Bypass, trim.Window, trim.WallRun, "?"}
	rapid.Check(t, func(t *rapid.T) {
		room, item := joblog.Room{}, joblog.Item{}
		fill(t, reflect.ValueOf(&room).Elem())
		fill(t, reflect.ValueOf(&item).Elem())
		room.ID, item.ID, item.RoomID = "r", "i", "r"
		item.Unit.Kind = rapid.SampledFrom(kinds).Draw(t, "kind")
		item.Unit.Grade = rapid.SampledFrom([]trim.Grade{trim.Paint, trim.Stain, ""}).Draw(t, "grade")
		plausible(t, &item, &room)
		st := joblog.State{Rooms: map[string]*joblog.Room{"r": &room}, Items: map[string]*joblog.Item{"i": &item, "lost": {RoomID: "gone"}}, Seq: 7}
		if rapid.Bool().Draw(t, "job") {
			st.Job = &joblog.Job{ID: "j"}
		}
		var c joblog.Command
		fill(t, reflect.ValueOf(&c).Elem())
		c.ID, c.JobID, c.Version = "018f0000-0000-7000-8000-000000000001", "018f0000-0000-7000-8000-000000000002", 1
		c.Kind = rapid.SampledFrom([]joblog.Kind{joblog.TakeReadingKind, joblog.TickStageKind, joblog.SetWallsKind, joblog.AddItemKind, joblog.NoteKind, joblog.CutPiecesKind}).Draw(t, "command")
		c.ItemID, c.RoomID = rapid.SampledFrom([]string{"i", "lost", "none", ""}).Draw(t, "item"), rapid.SampledFrom([]string{"r", "none", ""}).Draw(t, "room")
		b := NewBook()
		open := newWriter(1024)
		joblogState(open, &st)
		ask := func(name, in string) {
			if got := b.Call(name, in); !json.Valid([]byte(got)) {
				t.Fatalf("%s answered %q", name, got)
			}
		}
		ask("open", `{"as":"a","state":`+string(open.w.buf)+`}`)
		command := newWriter(1024)
		joblogCommand(command, &c)
		for range 2 { // as it was, and with what the command has made of it
			ask("view_item", `{"as":"a","item":"i","reader":{"now":"2026-03-12T09:00:00Z"}}`)
			ask("view_item", `{"as":"a","item":"lost","reader":{"unit":"mm"}}`)
			ask("view_job", `{"as":"a"}`)
			ask("view_entries", `{"entries":[{"seq":8,"command":`+string(command.w.buf)+`}]}`)
			ask("decide", `{"as":"a","actor":{"role":"lead"},"keep":true,"command":`+string(command.w.buf)+`}`)
			ask("apply", `{"as":"a","entries":[{"seq":8,"command":`+string(command.w.buf)+`}]}`)
		}
	})
}

// plausible gives some of the numbers sizes that reach further into the rules.
func plausible(t *rapid.T, item *joblog.Item, room *joblog.Room) {
	size := rapid.Custom(func(t *rapid.T) length.Length {
		return length.Length(rapid.Int64Range(-2, 1700).Draw(t, "sixteenths")) * length.Sixteenth
	})
	if rapid.Bool().Draw(t, "unit of a shop") {
		u := &item.Unit
		for _, l := range []*length.Length{&u.SlabWidth, &u.SlabHeight, &u.SlabThickness, &u.JambThickness, &u.HeadThickness, &u.LegLength, &u.JambWidth} {
			*l = size.Draw(t, "size")
		}
	}
	for _, sp := range trim.ReadingSpecs(item.Unit) {
		item.Takes = append(item.Takes, joblog.Take{Stamp: joblog.Stamp{CommandID: sp.Name}, Reading: sp.Name, Value: size.Draw(t, sp.Name)})
	}
	if item.Unit.Kind == trim.WallRun && item.Run == nil {
		item.Run = &joblog.RunSpec{}
	}
	if room.Layout != nil && item.Run != nil {
		for _, r := range trim.RunReadings(trim.RunInput{Room: room.Layout.Walls, Profile: item.Run.Profile}) {
			room.Layout.Takes = append(room.Layout.Takes, joblog.Take{Reading: r.Name, Value: length.Length(rapid.Int64Range(r.Least-1, r.Most+1).Draw(t, r.Name))})
		}
	}
	for _, s := range stage.All() {
		if rapid.Bool().Draw(t, "done") {
			if item.Stages == nil {
				item.Stages = map[stage.Stage]joblog.StageMark{}
			}
			item.Stages[s] = joblog.StageMark{}
		}
	}
}
