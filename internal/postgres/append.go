package postgres

import (
	"context"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
)

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
	b, err := sub.append(ctx, d, out)
	if err != nil {
		return err
	}
	b.commit()
	return sub.send(ctx, b)
}

// append queues what log writes, so that something else may go with it.
func (sub *submission) append(ctx context.Context, d joblog.Decision, out joblog.Outcome) (*batch, error) {
	creates := sub.scope.Job == nil
	for i := range d.Entries {
		d.Entries[i].Seq = sub.nextSeq + int64(i)
		d.Entries[i].LoggedAt = sub.now
		sub.scope.Apply(d.Entries[i])
	}
	b := sub.batch()
	if err := sub.writeJob(b, creates, creates || sub.command.ChangesJob(), out.LastSeq+1); err != nil {
		return nil, err
	}
	for _, e := range d.Entries {
		if err := sub.writeEntry(b, e); err != nil {
			return nil, err
		}
	}
	if err := sub.writeScope(ctx, b); err != nil {
		return nil, err
	}
	if err := sub.record(b, "applied", &out.FirstSeq, &out.LastSeq, d.Findings, nil); err != nil {
		return nil, err
	}
	if sealsWalk(sub.command) {
		if err := sub.send(ctx, b); err != nil {
			return nil, err
		}
		if err := sub.seal(ctx, out.LastSeq); err != nil {
			return nil, err
		}
		b = sub.batch()
	}
	if err := sub.tell(b); err != nil {
		return nil, err
	}
	b.exec(notifyChanged, pgx.NamedArgs{"company": sub.company, "job": sub.command.JobID, "seq": fmt.Sprint(out.LastSeq)})
	return b, nil
}

func (sub *submission) writeJob(b *batch, creates, changes bool, nextSeq int64) error {
	args := pgx.NamedArgs{
		"company":  sub.company,
		"job":      sub.command.JobID,
		"next_seq": nextSeq,
		"now":      sub.now,
		"name":     nil,
		"state":    nil,
	}
	if changes {
		state, err := encode("a job", sub.scope.Job)
		if err != nil {
			return err
		}
		args["name"], args["state"] = sub.scope.Job.Name, state
	}
	if creates {
		b.exec(shareCompany, args)
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

// writeScope queues the room and item the command was about, and the rows that follow from
// them.
func (sub *submission) writeScope(ctx context.Context, b *batch) error {
	c := sub.command
	if sub.scope.Item == nil && sub.scope.Room != nil {
		row, err := newRoomRow(sub.scope.Room)
		if err != nil {
			return err
		}
		if err := queue(b, upsertRooms, deleteRooms, sub.company, c.JobID, put(row)); err != nil {
			return err
		}
	}
	if sub.scope.Item != nil {
		if err := sub.writeItem(b); err != nil {
			return err
		}
	}
	if sub.scope.Walk != nil {
		row, err := newWalkRow(sub.scope.Walk)
		if err != nil {
			return err
		}
		if err := queue(b, upsertWalks, deleteWalks, sub.company, c.JobID, put(row)); err != nil {
			return err
		}
	}
	if err := sub.writePhotos(b); err != nil {
		return err
	}
	if c.Assign != nil {
		var people []string
		for _, p := range []string{sub.held.assignedTo, c.Assign.PersonID} {
			if p != "" && !slices.Contains(people, p) {
				people = append(people, p)
			}
		}
		b.exec(keepJobPeople, pgx.NamedArgs{"company": sub.company, "job": c.JobID, "people": people})
	}
	if c.ReachesOthers() {
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
