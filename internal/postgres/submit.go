package postgres

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
)

// Submit takes a command: the rules decide on it, and in one transaction what they let
// through is appended to the job's log under the next numbers, the projections are brought
// up to it, and every node that listens is told. What they refuse is kept with its
// findings. Two round trips, three when house rules of a room or job change.
//
// Anyone signed in may call it; what a role may do is the rules' to say. A job that is not
// there, and one the viewer was never on, are the rules' "job_gone": refused and kept. A
// person who is no longer on a job still delivers what they did before they knew.
//
// The same command again changes nothing and returns the first outcome, marked Repeated,
// also when both arrive at once.
//
// sentAt is the device's clock when it sent the command; the difference to ours is taken
// off the command's own time. A zero sentAt trusts the device. Nothing is dated after now.
//
// Errors: invalid for an id that is no lower-case UUID and for a person who is not in the
// company; conflict for an id that was used for another command; unauthorized when the
// viewer is gone from the company; unavailable, upon which the same command may be sent
// again; internal.
func (s *Store) Submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (out joblog.Outcome, err error) {
	defer fault.In(&err, "submitting command", c.ID, "job", c.JobID)
	if err := checkIDs(c); err != nil {
		return joblog.Outcome{}, err
	}
	for range 2 {
		out, err = s.submit(ctx, v, c, sentAt)
		// Where there was no job's row to lock, the same command may have been taken at the
		// same moment: then there is a first outcome to answer with.
		if !violates(err, "commands_pkey", "jobs_pkey") {
			break
		}
	}
	return out, err
}

// submission is a command on its way through one transaction.
type submission struct {
	*work
	viewer  account.Viewer
	command joblog.Command
	didAt   time.Time
	nextSeq int64
	held    held
	scope   joblog.Scope
}

// held is what the database has about a command's item and, if it was decided before,
// about the command.
type held struct {
	rulesSetAt  *time.Time
	projectedAt *time.Time
	assignedTo  string // before the command, to the item or else to the room it is about
	takes       []takeRow
	cuts        []cutRow
	stages      []stageRow
}

func (s *Store) submit(ctx context.Context, v account.Viewer, c joblog.Command, sentAt time.Time) (joblog.Outcome, error) {
	var out joblog.Outcome
	err := s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		sub := &submission{work: w, viewer: v, command: c, didAt: didAt(c.At, sentAt, w.now)}
		first, err := sub.load(ctx)
		if err != nil {
			return err
		}
		if first != nil {
			out = *first
			return nil
		}
		decision := joblog.Decide(sub.scope, c, v.Actor(), sub.didAt, w.now)
		if decision.Refused {
			out = joblog.Outcome{CommandID: c.ID, Findings: decision.Findings}
			return sub.keep(ctx, decision)
		}
		out = joblog.Outcome{CommandID: c.ID, Applied: true, Findings: decision.Findings,
			FirstSeq: sub.nextSeq, LastSeq: sub.nextSeq + int64(len(decision.Entries)) - 1}
		return sub.log(ctx, decision, out)
	})
	if err != nil {
		return joblog.Outcome{}, err
	}
	return out, nil
}

// didAt is when a thing was done by our clock: the device's time, corrected by how far its
// clock was off when it sent the command, and never after now.
func didAt(at, sentAt, now time.Time) time.Time {
	if !sentAt.IsZero() {
		at = at.Add(now.Sub(sentAt))
	}
	if at.After(now) {
		at = now
	}
	return at.UTC().Truncate(time.Microsecond)
}

// checkIDs refuses an id that a column could not hold as it was sent: state names things
// by the text of their ids, so there is one way to write one.
func checkIDs(c joblog.Command) error {
	ids := map[string]string{"command": c.ID, "job": c.JobID, "room": c.RoomID, "item": c.ItemID}
	if c.Assign != nil {
		ids["person"] = c.Assign.PersonID
	}
	for what, id := range ids {
		if id == "" && what != "command" && what != "job" {
			continue
		}
		if err := checkID(what, id); err != nil {
			return err
		}
	}
	return nil
}

func checkID(what, id string) error {
	u, err := uuid.Parse(id)
	if err != nil || u.String() != id {
		return fault.Because(fault.Invalid, "The id of the "+what+" is not a UUID in lower case.", err)
	}
	return nil
}

// The job's row is locked before anything else is read: one statement, so that the next
// sees what the last holder of the lock committed.
const lockJob = `
	select
		next_seq,
		state
	from jobs
	where company_id = @company
		and job_id = @job
	for no key update`

const loadScope = `
	select
		c.rules,
		c.rules_set_at,
		i.state,
		i.projected_at,
		r.state,
		p.person_id is not null,
		k.outcome,
		k.first_seq,
		k.last_seq,
		k.findings,
		coalesce(k.command, e.command)
	from companies c
	left join items i
		on i.company_id = c.company_id
		and i.job_id = @job
		and i.item_id = @item
	left join rooms r
		on r.company_id = c.company_id
		and r.job_id = @job
		and r.room_id = coalesce(i.room_id, @room)
	left join job_people p
		on p.company_id = c.company_id
		and p.job_id = @job
		and p.person_id = @person
	left join commands k
		on k.company_id = c.company_id
		and k.command_id = @command
	left join entries e
		on e.company_id = k.company_id
		and e.job_id = k.job_id
		and e.seq = k.first_seq
	where c.company_id = @company`

// load locks the job and reads what the decision needs, in one round trip. When the
// command was decided before it returns that outcome.
func (sub *submission) load(ctx context.Context) (*joblog.Outcome, error) {
	c := sub.command
	args := pgx.NamedArgs{
		"company": sub.company,
		"job":     c.JobID,
		"room":    orNull(c.RoomID),
		"item":    orNull(c.ItemID),
		"person":  sub.viewer.PersonID,
		"command": c.ID,
	}
	var (
		found                  bool
		onJob                  bool
		job, rules, item, room []byte
		outcome                *string
		firstSeq, lastSeq      *int64
		findings, command      []byte
	)
	b := sub.batch()
	b.maybe(&found, lockJob, args, &sub.nextSeq, &job)
	b.one(fault.Because(fault.Unauthorized, "Sign in again.", errNoCompany), loadScope, args,
		&rules, &sub.held.rulesSetAt, &item, &sub.held.projectedAt, &room, &onJob, &outcome, &firstSeq, &lastSeq, &findings, &command)
	if c.ItemID != "" {
		list(b, &sub.held.cuts, scanCut, cutsOfItem, args)
		list(b, &sub.held.stages, scanStage, stagesOfItem, args)
	}
	if err := sub.send(ctx, b); err != nil {
		return nil, err
	}
	if outcome != nil {
		return repeated(c, *outcome, firstSeq, lastSeq, findings, command)
	}
	if !found {
		sub.nextSeq = 1
	}
	if err := decode("the company's house rules", rules, &sub.scope.Company); err != nil {
		return nil, err
	}
	if !sub.viewer.Role.Leads() && !onJob {
		return nil, nil // the rules see no job
	}
	for _, part := range []struct {
		what string
		from []byte
		into any
	}{{"a job", job, &sub.scope.Job}, {"a room", room, &sub.scope.Room}, {"an item", item, &sub.scope.Item}} {
		if err := decode(part.what, part.from, part.into); err != nil {
			return nil, err
		}
	}
	switch {
	case sub.scope.Item != nil:
		sub.held.assignedTo = sub.scope.Item.AssignedTo
		sub.held.takes = takeRows(sub.scope.Item.ID, sub.scope.Item.Takes)
	case sub.scope.Room != nil:
		sub.held.assignedTo = sub.scope.Room.AssignedTo
	}
	return nil, nil
}

// repeated answers a command that was decided before, if it is the same command.
func repeated(c joblog.Command, outcome string, firstSeq, lastSeq *int64, findings, command []byte) (*joblog.Outcome, error) {
	var before joblog.Command
	if err := decode("a command", command, &before); err != nil {
		return nil, err
	}
	same, err := sameCommand(before, c)
	if err != nil {
		return nil, err
	}
	if !same {
		return nil, fault.New(fault.Conflict, "Another command has that id already.")
	}
	out := joblog.Outcome{CommandID: c.ID, Applied: outcome == "applied", Repeated: true}
	if firstSeq != nil && lastSeq != nil {
		out.FirstSeq, out.LastSeq = *firstSeq, *lastSeq
	}
	return &out, decode("findings", findings, &out.Findings)
}

// sameCommand compares what two commands say, as this program writes it, so that a field a
// newer version added does not make an old phone's command another one.
func sameCommand(a, b joblog.Command) (bool, error) {
	left, err := json.Marshal(a)
	if err != nil {
		return false, fmt.Errorf("writing the command kept: %w", err)
	}
	right, err := json.Marshal(b)
	if err != nil {
		return false, fmt.Errorf("writing the command sent: %w", err)
	}
	return bytes.Equal(left, right), nil
}

const insertCommand = `
	insert into commands (
		company_id,
		command_id,
		job_id,
		item_id,
		person_id,
		kind,
		outcome,
		first_seq,
		last_seq,
		findings,
		did_at,
		received_at,
		command
	)
	values (
		@company,
		@command,
		@job,
		@item,
		@person,
		@kind,
		@outcome,
		@first_seq,
		@last_seq,
		@findings,
		@did_at,
		@now,
		@body
	)`

// record queues the command with what came of it. body is nil for a command whose entry
// holds it.
func (sub *submission) record(b *batch, outcome string, first, last *int64, fs []finding.Finding, body []byte) error {
	findings, err := encode("findings", append([]finding.Finding{}, fs...))
	if err != nil {
		return err
	}
	b.exec(insertCommand, pgx.NamedArgs{
		"company":   sub.company,
		"command":   sub.command.ID,
		"job":       sub.command.JobID,
		"item":      orNull(sub.command.ItemID),
		"person":    sub.viewer.PersonID,
		"kind":      string(sub.command.Kind),
		"outcome":   outcome,
		"first_seq": first,
		"last_seq":  last,
		"findings":  findings,
		"did_at":    sub.didAt,
		"now":       sub.now,
		"body":      body,
	})
	return nil
}

// keep stores a refused command for its author.
func (sub *submission) keep(ctx context.Context, d joblog.Decision) error {
	body, err := encode("a command", sub.command)
	if err != nil {
		return err
	}
	b := sub.batch()
	if err := sub.record(b, "refused", nil, nil, d.Findings, body); err != nil {
		return err
	}
	b.commit()
	return sub.send(ctx, b)
}

const insertJob = `
	insert into jobs (
		company_id,
		job_id,
		name,
		next_seq,
		state,
		created_at,
		changed_at
	)
	values (
		@company,
		@job,
		@name,
		@next_seq,
		@state,
		@now,
		@now
	)`

const updateJob = `
	update jobs
	set next_seq = @next_seq,
		changed_at = @now,
		name = coalesce(@name, name),
		state = coalesce(@state, state)
	where company_id = @company
		and job_id = @job`

const insertEntry = `
	insert into entries (
		company_id,
		job_id,
		seq,
		command_id,
		kind,
		room_id,
		item_id,
		person_id,
		role,
		did_at,
		logged_at,
		device,
		rule_book,
		command
	)
	values (
		@company,
		@job,
		@seq,
		@command,
		@kind,
		@room,
		@item,
		@person,
		@role,
		@did_at,
		@logged_at,
		@device,
		@rule_book,
		@body
	)`

// Whether somebody is still on a job is asked after the assignment is written.
const keepJobPeople = `
	insert into job_people (
		company_id,
		job_id,
		person_id,
		present
	)
	select
		@company,
		@job,
		p.person_id,
		exists (
			select
			from rooms r
			where r.company_id = @company
				and r.job_id = @job
				and r.assigned_to = p.person_id
		) or exists (
			select
			from items i
			where i.company_id = @company
				and i.job_id = @job
				and i.assigned_to = p.person_id
		)
	from unnest(@people::uuid[]) as p (person_id)
	on conflict on constraint job_people_pkey do update
	set present = excluded.present`

// Ids only: whoever listens pulls what it may see by number.
const notifyChanged = `select pg_notify('` + changedChannel + `', @company || ' ' || @job || ' ' || @seq)`

// log appends the decision's entries and brings the projections up to them; the commit
// travels with the last batch.
func (sub *submission) log(ctx context.Context, d joblog.Decision, out joblog.Outcome) error {
	creates := sub.scope.Job == nil
	for i := range d.Entries {
		d.Entries[i].Seq = sub.nextSeq + int64(i)
		d.Entries[i].LoggedAt = sub.now
		sub.scope.Apply(d.Entries[i])
	}
	b := sub.batch()
	if err := sub.writeJob(b, creates, out.LastSeq+1); err != nil {
		return err
	}
	for _, e := range d.Entries {
		if err := sub.writeEntry(b, e); err != nil {
			return err
		}
	}
	if err := sub.writeScope(ctx, b); err != nil {
		return err
	}
	if err := sub.record(b, "applied", &out.FirstSeq, &out.LastSeq, d.Findings, nil); err != nil {
		return err
	}
	b.exec(notifyChanged, pgx.NamedArgs{"company": sub.company, "job": sub.command.JobID, "seq": fmt.Sprint(out.LastSeq)})
	b.commit()
	return sub.send(ctx, b)
}

func (sub *submission) writeJob(b *batch, creates bool, nextSeq int64) error {
	args := pgx.NamedArgs{
		"company":  sub.company,
		"job":      sub.command.JobID,
		"next_seq": nextSeq,
		"now":      sub.now,
		"name":     nil,
		"state":    nil,
	}
	if creates || sub.setsRulesOf() == houserules.Job {
		state, err := encode("a job", sub.scope.Job)
		if err != nil {
			return err
		}
		args["name"], args["state"] = sub.scope.Job.Name, state
	}
	if creates {
		b.exec(insertJob, args)
	} else {
		b.exec(updateJob, args)
	}
	return nil
}

func (sub *submission) writeEntry(b *batch, e joblog.Entry) error {
	body, err := encode("a command", e.Command)
	if err != nil {
		return err
	}
	b.exec(insertEntry, pgx.NamedArgs{
		"company":   sub.company,
		"job":       e.Command.JobID,
		"seq":       e.Seq,
		"command":   e.Command.ID,
		"kind":      string(e.Command.Kind),
		"room":      orNull(e.Command.RoomID),
		"item":      orNull(e.Command.ItemID),
		"person":    e.PersonID,
		"role":      string(e.Role),
		"did_at":    e.DidAt,
		"logged_at": e.LoggedAt,
		"device":    e.Command.Device,
		"rule_book": e.RuleBook,
		"body":      body,
	})
	return nil
}

// setsRulesOf says whose house rules the command sets, "" for none.
func (sub *submission) setsRulesOf() houserules.Origin {
	switch c := sub.command; {
	case c.SetRules == nil:
		return ""
	case c.ItemID != "":
		return houserules.Item
	case c.RoomID != "":
		return houserules.Room
	}
	return houserules.Job
}

// writeScope queues the room and item the command was about, and the rows that follow from
// them.
func (sub *submission) writeScope(ctx context.Context, b *batch) error {
	c := sub.command
	switch c.Kind {
	case joblog.AddRoomKind, joblog.AssignKind, joblog.SetRulesKind:
		if sub.scope.Item == nil && sub.scope.Room != nil {
			row, err := newRoomRow(sub.scope.Room)
			if err != nil {
				return err
			}
			if err := queue(b, upsertRooms, deleteRooms, sub.company, c.JobID, put(row)); err != nil {
				return err
			}
		}
	}
	if sub.scope.Item != nil {
		if err := sub.writeItem(b); err != nil {
			return err
		}
	}
	if c.Assign != nil {
		var people []string
		for _, p := range []string{sub.held.assignedTo, c.Assign.PersonID} {
			if p != "" {
				people = append(people, p)
			}
		}
		b.exec(keepJobPeople, pgx.NamedArgs{"company": sub.company, "job": c.JobID, "people": people})
	}
	if o := sub.setsRulesOf(); o == houserules.Job || o == houserules.Room {
		return sub.reprojectJob(ctx, b, c.JobID, sub.scope)
	}
	return nil
}

func (sub *submission) writeItem(b *batch) error {
	job, item := sub.command.JobID, sub.scope.Item
	at := later(sub.now, sub.held.projectedAt, sub.held.rulesSetAt)
	row, err := newItemRow(item, at)
	if err != nil {
		return err
	}
	if err := queue(b, upsertItems, deleteItems, sub.company, job, put(row)); err != nil {
		return err
	}
	takes, err := differ(takeRows(item.ID, item.Takes), sub.held.takes)
	if err != nil {
		return err
	}
	if err := queue(b, upsertTakes, deleteTakes, sub.company, job, takes); err != nil {
		return err
	}
	return reproject(b, sub.company, job, sub.scope, at, sub.held.cuts, sub.held.stages)
}
