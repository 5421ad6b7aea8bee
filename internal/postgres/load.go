package postgres

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/fault"
	"longpoint/internal/joblog"
)

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
		w.state,
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
	left join walks w
		on w.company_id = c.company_id
		and w.job_id = @job
		and w.walk_id = @walk
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
		"walk":    orNull(c.WalkID),
		"person":  sub.viewer.PersonID,
		"command": c.ID,
	}
	var (
		found                  bool
		onJob                  bool
		job, rules, item, room []byte
		walk                   []byte
		outcome                *string
		firstSeq, lastSeq      *int64
		findings, command      []byte
	)
	b := sub.batch()
	b.maybe(&found, lockJob, args, &sub.nextSeq, &job)
	b.one(fault.Because(fault.Unauthorized, "Sign in again.", errNoCompany), loadScope, args,
		&rules, &sub.held.rulesSetAt, &item, &sub.held.projectedAt, &room, &walk, &onJob, &outcome, &firstSeq, &lastSeq, &findings, &command)
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
	if err := decode("a walkthrough", walk, &sub.scope.Walk); err != nil {
		return nil, err
	}
	if onWalk := sub.scope.Walk != nil && sub.scope.Walk.GuestID == sub.viewer.PersonID; !sub.viewer.Role.Leads() && !onJob && !onWalk {
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
	if err := checkSame(c, command); err != nil {
		return nil, err
	}
	out := joblog.Outcome{CommandID: c.ID, Applied: outcome == "applied", Repeated: true}
	if firstSeq != nil && lastSeq != nil {
		out.FirstSeq, out.LastSeq = *firstSeq, *lastSeq
	}
	if err := decode("findings", findings, &out.Findings); err != nil {
		return nil, err
	}
	if len(out.Findings) == 0 {
		out.Findings = nil // as the first outcome had it
	}
	return &out, nil
}

// checkSame refuses a command whose id another one has, which is kept as command.
func checkSame(c joblog.Command, command []byte) error {
	var before joblog.Command
	if err := decode("a command", command, &before); err != nil {
		return err
	}
	same, err := sameCommand(before, c)
	if err == nil && !same {
		err = fault.New(fault.Conflict, "Another command has that id already.")
	}
	return err
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
