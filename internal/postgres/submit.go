package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/joblog"
)

// Submit takes a command: the rules decide on it, and in one transaction what they let
// through is appended to the job's log under the next numbers, the projections are brought
// up to it, and every node that listens is told. What they refuse is kept with its
// findings. Two round trips, three when what changes reaches items it does not name: house
// rules of a room or job, readings of a room's walls.
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
	return s.submitTried(ctx, v, c, func(now time.Time) time.Time { return didAt(c.At, sentAt, now) })
}

// submitTried takes a command that was done at doneAt of the transaction's moment.
func (s *Store) submitTried(ctx context.Context, v account.Viewer, c joblog.Command, doneAt func(now time.Time) time.Time) (out joblog.Outcome, err error) {
	for range submitTries {
		out, err = s.submit(ctx, v, c, doneAt)
		// Where there was no job's row to lock, the same command may have been taken at the
		// same moment: then there is a first outcome to answer with. One that the server
		// gave up for another's sake changed nothing, and goes through once that is done.
		if !violates(err, "commands_pkey", "jobs_pkey") && !gaveWay(err) {
			break
		}
	}
	return out, err
}

// submitTries is how often a command is tried that others stood in the way of. Commands of
// one job wait for its row and cannot stand in each other's way twice; a phone sends again
// what still was not taken.
const submitTries = 3

// submission is a command on its way through one transaction.
type submission struct {
	*work
	store   *Store
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

func (s *Store) submit(ctx context.Context, v account.Viewer, c joblog.Command, doneAt func(now time.Time) time.Time) (joblog.Outcome, error) {
	var out joblog.Outcome
	err := s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		sub := &submission{work: w, store: s, viewer: v, command: c, didAt: doneAt(w.now)}
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
	ids := map[string]string{"command": c.ID, "job": c.JobID, "room": c.RoomID, "item": c.ItemID, "walkthrough": c.WalkID}
	if c.Assign != nil {
		ids["person"] = c.Assign.PersonID
	}
	if c.OpenWalk != nil {
		ids["guest"] = c.OpenWalk.GuestID
	}
	if c.AddPhoto != nil {
		ids["photo"] = c.AddPhoto.PhotoID
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
