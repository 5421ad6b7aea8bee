package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
	"longpoint/internal/setup"
)

// Bundle is commands that are taken together or not at all.
type Bundle struct {
	ID     string // made by the device
	JobID  string
	Digest string // of the request, SHA-256 in hexadecimal
	At     time.Time
	SentAt time.Time
	// Make puts the commands together from the job as it stands. It must not keep or change st.
	// An error of its own ends the whole.
	Make func(st *joblog.State, company houserules.Set) ([]joblog.Command, error)
}

// BundleOutcome is what came of it.
type BundleOutcome struct {
	FirstSeq, LastSeq int64
	Repeated          bool
	// Refused is what the rules refuse. Then nothing was taken.
	Refused []setup.Refusal
}

const readBundle = `
	select
		job_id,
		digest,
		first_seq,
		last_seq
	from bundles
	where company_id = @company
		and bundle_id = @bundle`

const insertBundle = `
	insert into bundles (
		company_id,
		bundle_id,
		job_id,
		person_id,
		digest,
		first_seq,
		last_seq,
		taken_at
	)
	values (
		@company,
		@bundle,
		@job,
		@person,
		@digest,
		@first_seq,
		@last_seq,
		@now
	)`

// SubmitTogether takes many commands in one transaction: all of them, or none. Leads only.
// The same bundle again changes nothing and returns where it is in the log, marked Repeated,
// also when both arrive at once.
//
// Errors: forbidden; invalid for an id that is no lower-case UUID, and for more commands than
// setup.Most or none; not_found for a job that is not there; conflict for an id that was used
// for another request; what Make returns; unavailable; internal.
func (s *Store) SubmitTogether(ctx context.Context, v account.Viewer, bn Bundle) (out BundleOutcome, err error) {
	defer fault.In(&err, "taking together", bn.ID, "job", bn.JobID)
	if !v.Role.Leads() {
		return out, errLeadsOnly()
	}
	if err := checkID("request", bn.ID); err != nil {
		return out, err
	}
	if err := checkID("job", bn.JobID); err != nil {
		return out, err
	}
	for range submitTries {
		out = BundleOutcome{}
		err = s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error { return w.together(ctx, v, bn, &out) })
		if !violates(err, "bundles_pkey") && !gaveWay(err) {
			break
		}
	}
	return out, err
}

// standing is a job as it stands with the rows that follow from it.
type standing struct {
	state      *joblog.State
	company    houserules.Set
	rulesSetAt *time.Time
	moments    map[string]time.Time // when each item's rows stand for
	cuts       map[string][]cutRow
	stages     map[string][]stageRow
}

func (w *work) together(ctx context.Context, v account.Viewer, bn Bundle, out *BundleOutcome) error {
	st, before, err := w.standing(ctx, bn)
	if err != nil {
		return err
	}
	if before != nil {
		*out = *before
		return nil
	}
	cs, err := bn.Make(st.state, st.company)
	if err != nil {
		return err
	}
	if len(cs) == 0 {
		return fault.New(fault.Invalid, "There is nothing in this to be added.")
	}
	if len(cs) > setup.Most {
		return fault.New(fault.Invalid, fmt.Sprintf("That makes more than %d entries. Part it.", setup.Most))
	}
	did := didAt(bn.At, bn.SentAt, w.now)
	for i := range cs {
		cs[i].At = bn.At
		if err := checkIDs(cs[i]); err != nil {
			return err
		}
	}
	first := st.state.Seq + 1
	entries, refused := setup.Together(st.state, st.company, cs, v.Actor(), did, w.now)
	if len(refused) > 0 {
		out.Refused = refused
		return nil // nothing has been written
	}
	out.FirstSeq, out.LastSeq = first, st.state.Seq
	return w.writeTogether(ctx, v, bn, st, entries)
}

// standing locks the job and reads the whole of it. When the bundle was taken before it
// returns that instead.
func (w *work) standing(ctx context.Context, bn Bundle) (*standing, *BundleOutcome, error) {
	var (
		next          int64
		job, rules    []byte
		found         bool
		ofJob, digest string
		was           BundleOutcome
		rooms         []*joblog.Room
		items         []heldItem
		cuts          []cutRow
		stages        []stageRow
		st            = &standing{state: joblog.NewState(), moments: map[string]time.Time{}, cuts: map[string][]cutRow{}, stages: map[string][]stageRow{}}
	)
	args := pgx.NamedArgs{"company": w.company, "job": bn.JobID, "bundle": bn.ID, "room": nil}
	b := w.batch()
	b.one(errNotThere("job"), lockJob, args, &next, &job)
	b.maybe(&found, readBundle, args, &ofJob, &digest, &was.FirstSeq, &was.LastSeq)
	b.one(fault.Because(fault.Unauthorized, "Sign in again.", errNoCompany), rulesAndMoment, args, &rules, &st.rulesSetAt)
	list(b, &rooms, scanRoom, roomStates, args)
	list(b, &items, scanHeldItem, itemsToReproject, args)
	list(b, &cuts, scanCut, cutsOfJob, args)
	list(b, &stages, scanStage, stagesOfJob, args)
	if err := w.send(ctx, b); err != nil {
		return nil, nil, err
	}
	if found {
		if ofJob != bn.JobID || digest != bn.Digest {
			return nil, nil, fault.New(fault.Conflict, "Another request has that id already.")
		}
		was.Repeated = true
		return nil, &was, nil
	}
	if err := decode("the company's house rules", rules, &st.company); err != nil {
		return nil, nil, err
	}
	if err := decode("a job", job, &st.state.Job); err != nil {
		return nil, nil, err
	}
	st.state.Seq = next - 1
	for _, r := range rooms {
		st.state.Rooms[r.ID] = r
	}
	for _, it := range items {
		st.state.Items[it.id], st.moments[it.id] = it.state, it.at
	}
	for _, c := range cuts {
		st.cuts[c.ItemID] = append(st.cuts[c.ItemID], c)
	}
	for _, x := range stages {
		st.stages[x.ItemID] = append(st.stages[x.ItemID], x)
	}
	return st, nil, nil
}

// writeTogether writes the entries and what follows from them; the commit travels with them.
func (w *work) writeTogether(ctx context.Context, v account.Viewer, bn Bundle, st *standing, entries []joblog.Entry) error {
	b := w.batch()
	sub := &submission{work: w, viewer: v, scope: joblog.Scope{Job: st.state.Job}, didAt: entries[0].DidAt}
	changesJob := false
	rooms, items := map[string]bool{}, map[string]*joblog.Item{}
	for _, e := range entries {
		changesJob = changesJob || e.Command.ChangesJob()
		if e.Command.ItemID == "" && e.Command.RoomID != "" {
			rooms[e.Command.RoomID] = true
		}
		for _, it := range st.state.Touched(e) {
			items[it.ID] = it
		}
	}
	sub.command = joblog.Command{JobID: bn.JobID}
	if err := sub.writeJob(b, false, changesJob, st.state.Seq+1); err != nil {
		return err
	}
	var roomRows []roomRow
	for id := range rooms {
		row, err := newRoomRow(st.state.Rooms[id])
		if err != nil {
			return err
		}
		roomRows = append(roomRows, row)
	}
	if err := queue(b, upsertRooms, deleteRooms, w.company, bn.JobID, put(roomRows...)); err != nil {
		return err
	}
	for _, e := range entries {
		e.LoggedAt = w.now
		if err := sub.writeEntry(b, e); err != nil {
			return err
		}
		sub.command = e.Command
		if err := sub.record(b, "applied", &e.Seq, &e.Seq, nil, nil); err != nil {
			return err
		}
	}
	var itemRows []itemRow
	at := map[string]time.Time{}
	for id, it := range items {
		was := st.moments[id]
		at[id] = later(w.now, &was, st.rulesSetAt)
		row, err := newItemRow(it, at[id])
		if err != nil {
			return err
		}
		itemRows = append(itemRows, row)
	}
	if err := queue(b, upsertItems, deleteItems, w.company, bn.JobID, put(itemRows...)); err != nil {
		return err
	}
	for id, it := range items {
		sc := joblog.Scope{Company: st.company, Job: st.state.Job, Room: st.state.Rooms[it.RoomID], Item: it}
		if err := reproject(b, w.company, bn.JobID, sc, at[id], st.cuts[id], st.stages[id]); err != nil {
			return err
		}
	}
	last := entries[len(entries)-1].Seq
	b.exec(insertBundle, pgx.NamedArgs{"company": w.company, "bundle": bn.ID, "job": bn.JobID, "person": v.PersonID, "digest": bn.Digest,
		"first_seq": entries[0].Seq, "last_seq": last, "now": w.now})
	b.exec(notifyChanged, pgx.NamedArgs{"company": w.company, "job": bn.JobID, "seq": fmt.Sprint(last)})
	b.commit()
	return w.send(ctx, b)
}
