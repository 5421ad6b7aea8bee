package httpapi_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"longpoint/internal/account"
	"longpoint/internal/httpapi"
	"longpoint/internal/joblog"
	"longpoint/internal/photo"
)

// onDevice signs somebody in on a device that says what it is called.
func (b *bundle) onDevice(p account.Person) *client {
	b.t.Helper()
	c := b.client()
	c.post("/api/v1/session", map[string]any{"sign_in": p.SignIn, "passphrase": passphrase, "device": phoneDevice}).want(http.StatusOK)
	return c
}

func (c *client) lostPhones() []httpapi.LostPhone {
	c.t.Helper()
	var out httpapi.LostPhoneList
	c.get("/api/v1/lost-phones").want(http.StatusOK).into(&out)
	return out.Phones
}

// lose signs a person out as lost, on the device they are on last.
func (c *client) lose(person string) {
	c.t.Helper()
	var access httpapi.Access
	c.get("/api/v1/people/" + person + "/access").want(http.StatusOK).into(&access)
	c.post("/api/v1/people/"+person+"/sessions/"+access.Sessions[0].ID+"/lost", nil).want(http.StatusNoContent)
}

func TestALostPhonesWorkWaitsForALead(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	bo, ines := b.onDevice(b.ours.installer), b.as(b.ours.lead)
	delivered := h.take("width_top", "30")
	delivered.ID, delivered.At = newID(), time.Now().UTC().Truncate(time.Millisecond)
	bo.send(h, delivered)
	ines.lose(b.ours.installer.ID)
	bo.post(h.path("/commands"), h.batch(h.take("width_top", "30"))).refused(http.StatusUnauthorized, "unauthorized")

	// The phone is back in its pocket: it signs in, and sends what it had.
	bo = b.onDevice(b.ours.installer)
	note := joblog.Command{ID: newID(), Kind: joblog.NoteKind, ItemID: h.item, Note: &joblog.Note{Text: "Stop is bowed."}}
	reading := h.take("width_middle", "30 1/8")
	reading.ID = newID()
	before := b.as(b.ours.installer) // another device of his, where nothing waits
	var out httpapi.CommandOutcomes
	data := camera(64, 48)
	picture := shot{data: data, id: newID(), h: h}
	snap := joblog.Command{ID: newID(), Kind: joblog.AddPhotoKind, ItemID: h.item, AddPhoto: &joblog.AddPhoto{PhotoID: picture.id,
		SHA256: photo.Hash(data), Bytes: int64(len(data)), Width: 48, Height: 64}}
	sent := h.batch(delivered, note, reading, snap)
	bo.post(h.path("/commands"), sent).want(http.StatusOK).into(&out)
	if len(out.Outcomes) != 1 || !out.Outcomes[0].Repeated || len(out.Held) != 3 || out.Stopped == "" || out.Seq == 0 {
		t.Fatalf("from the lost phone: got %+v, want what was delivered before answered and three held", out)
	}
	if again := before.send(h, h.take("height_hinge", "80 3/8")); !again.Outcomes[0].Applied {
		t.Errorf("from another phone: got %+v, want it taken", again)
	}
	// Nothing else is done from there, and a lead's word is not given from a lost phone.
	for _, path := range []string{"/api/v1/session/passkeys/begin", h.path("/stock/plan")} {
		bo.post(path, map[string]any{}).refused(http.StatusForbidden, "forbidden")
	}
	bo.get(h.path("")).want(http.StatusOK)
	bo.get("/api/v1/lost-phones").refused(http.StatusForbidden, "forbidden")
	// A photo that the log has not got yet is not there: its phone asks again, and keeps it.
	bo.do(http.MethodHead, picture.upload(), nil, nil).want(http.StatusNotFound)

	phone := ines.lostPhones()[0]
	if len(phone.Held) != 3 || phone.Held[0].Sentence != "Note: Stop is bowed." || phone.Held[0].Item != "Hall door" || phone.Device != "Android phone" || phone.PersonID != b.ours.installer.ID {
		t.Fatalf("what the lead sees: got %+v", phone)
	}
	var settled httpapi.Settled
	ines.post("/api/v1/lost-phones/"+phone.ID+"/settle", map[string]any{"take": true, "commands": []string{note.ID, snap.ID}}).want(http.StatusOK).into(&settled)
	if len(settled.Outcomes) != 2 || !settled.Outcomes[0].Applied || !settled.Outcomes[1].Applied || len(settled.Phones[0].Held) != 1 {
		t.Fatalf("taken: got %+v, want it in the log and one left", settled)
	}
	ines.do(http.MethodDelete, "/api/v1/lost-phones/"+phone.ID, nil, nil).refused(http.StatusConflict, "conflict")
	ines.post("/api/v1/lost-phones/"+phone.ID+"/settle", map[string]any{"take": false, "commands": []string{reading.ID}}).want(http.StatusOK)

	// The photo that was taken up comes from the phone that has it, lost as it still is.
	if at := bo.offset(picture); at != 0 {
		t.Fatalf("asked how far the photo is: got %d, want 0", at)
	}
	bo.part(picture, 0, len(data)).want(http.StatusNoContent)
	if l := ines.photoLine(picture); l.State != "stored" {
		t.Errorf("the photo of the lost phone: got %+v, want it stored", l)
	}

	// Asked again, the phone hears all of it.
	out = httpapi.CommandOutcomes{}
	bo.post(h.path("/commands"), sent).want(http.StatusOK).into(&out)
	if len(out.Outcomes) != 4 || !out.Outcomes[1].Applied || out.Outcomes[2].Applied || out.Outcomes[2].Findings[0].Code != "lead_turned_down" || !out.Outcomes[3].Applied || out.Held != nil {
		t.Errorf("asked again: got %+v", out)
	}
	var entries httpapi.LogPage
	ines.get(h.path("/history?kind=note")).want(http.StatusOK).into(&entries)
	if len(entries.Entries) != 1 || entries.Entries[0].PersonID != b.ours.installer.ID || !entries.Entries[0].DidAt.Equal(note.At) && entries.Entries[0].DidAt.After(entries.Entries[0].LoggedAt) {
		t.Errorf("the log: got %+v, want Bo's note at its time", entries.Entries)
	}
	ines.do(http.MethodDelete, "/api/v1/lost-phones/"+phone.ID, nil, nil).want(http.StatusNoContent)
	if out := bo.send(h, h.take("height_strike", "80 1/2")); !out.Outcomes[0].Applied {
		t.Errorf("once it is back: got %+v, want it taken", out)
	}
}

// Something of ours goes wrong between two entries: what went before is told, and that it stopped.
func TestWhatStopsSettlingIsSaidAndLogged(t *testing.T) {
	t.Parallel()
	b := setup(t)
	h := buildHouse(b, b.ours, "Sill Street")
	ines := b.as(b.ours.lead)
	b.onDevice(b.ours.installer)
	ines.lose(b.ours.installer.ID)
	bo := b.onDevice(b.ours.installer)
	var notes []joblog.Command
	var ids []string
	for range 3 {
		c := joblog.Command{ID: newID(), Kind: joblog.NoteKind, ItemID: h.item, Note: &joblog.Note{Text: "Stop is bowed."}}
		notes, ids = append(notes, c), append(ids, c.ID)
	}
	bo.post(h.path("/commands"), h.batch(notes...)).want(http.StatusOK)
	if _, err := b.db.Owner.Exec(t.Context(), `
		create function give_way() returns trigger language plpgsql as $$ begin raise exception 'no room at 10.0.0.7'; end $$;
		create trigger give_way before insert on commands for each row when (new.command_id = '`+ids[1]+`') execute function give_way()`); err != nil {
		t.Fatal(err)
	}
	phone := ines.lostPhones()[0]
	var settled httpapi.Settled
	ines.post("/api/v1/lost-phones/"+phone.ID+"/settle", map[string]any{"take": true, "commands": ids}).want(http.StatusOK).into(&settled)
	if len(settled.Outcomes) != 1 || !settled.Outcomes[0].Applied || len(settled.Phones[0].Held) != 2 {
		t.Errorf("taken up: got %+v, want the first in the log and two left", settled)
	}
	if settled.Stopped == "" || strings.Contains(settled.Stopped, "10.0.0.7") {
		t.Errorf("why it stopped: got %q, want a sentence without the cause", settled.Stopped)
	}
	if log := b.log.String(); !strings.Contains(log, "internal error") || !strings.Contains(log, "no room at 10.0.0.7") {
		t.Error("the log has nothing of a mistake of ours")
	}
}
