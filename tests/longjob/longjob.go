// Package longjob puts a large invented job beside the program, as a restored backup would come:
// entries first, and the projections folded from them. For tests and benchmarks of a job's size.
package longjob

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
	"longpoint/internal/joblog/bigjob"
	"longpoint/internal/postgres"
)

// Log is a log of so many entries: a job with so many openings and three runs in each of so
// many rooms, and notes about its items for the rest.
func Log(openings, rooms, entries int) ([]joblog.Entry, error) {
	log, err := bigjob.Log(openings, rooms)
	if err != nil {
		return nil, err
	}
	var items []joblog.Entry
	for _, e := range log {
		if e.Command.Kind == joblog.AddItemKind {
			items = append(items, e)
		}
	}
	for n := len(log); n < entries; n++ {
		last, about := log[n-1], items[n%len(items)]
		e := last
		e.Seq++
		e.Command = joblog.Command{ID: uuid.Must(uuid.NewV7()).String(), Version: joblog.CommandVersion, Kind: joblog.NoteKind,
			JobID: about.Command.JobID, ItemID: about.Command.ItemID, At: last.Command.At, Note: &joblog.Note{Text: fmt.Sprintf("Looked at, %d", n)}}
		log = append(log, e)
	}
	return log[:entries], nil
}

var columns = []string{"company_id", "job_id", "seq", "command_id", "kind", "room_id", "item_id", "person_id", "role", "did_at", "logged_at", "device", "rule_book", "command"}

// Restore puts the log into a company, as written by its lead, and returns the job's id.
func Restore(ctx context.Context, ownerURL, company, lead string, log []joblog.Entry) (job string, err error) {
	owner, err := pgx.Connect(ctx, ownerURL)
	if err != nil {
		return "", err
	}
	defer func() { _ = owner.Close(ctx) }()
	job = log[0].Command.JobID
	_, err = owner.Exec(ctx, `insert into jobs (company_id, job_id, name, next_seq, state, created_at, changed_at) values ($1, $2, 'Sixty rooms', 1, '{}', $3, $3)`,
		company, job, log[0].LoggedAt)
	if err != nil {
		return "", err
	}
	_, err = owner.CopyFrom(ctx, pgx.Identifier{"entries"}, columns, pgx.CopyFromSlice(len(log), func(i int) ([]any, error) {
		e := log[i]
		body, err := json.Marshal(e.Command)
		return []any{company, job, e.Seq, e.Command.ID, string(e.Command.Kind), orNull(e.Command.RoomID), orNull(e.Command.ItemID),
			lead, string(e.Role), e.DidAt, e.LoggedAt, "", e.RuleBook, body}, err
	}))
	if err != nil {
		return "", err
	}
	pg, err := postgres.Open(ctx, ownerURL, postgres.Options{MaxConns: 2})
	if err != nil {
		return "", err
	}
	defer pg.Close()
	if _, err := pg.Rebuild(ctx, postgres.Rebuilding{CompanyID: company}); err != nil {
		return "", err
	}
	_, err = owner.Exec(ctx, `vacuum analyze`)
	return job, err
}

func orNull(id string) any {
	if id == "" {
		return nil
	}
	return id
}
