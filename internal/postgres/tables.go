package postgres

import (
	"encoding/json"

	"github.com/jackc/pgx/v5"
)

// What a rebuild reads of one job, whole tables at a time.

const lockJobRow = `
	select
		name,
		next_seq,
		changed_at,
		state
	from jobs
	where company_id = @company
		and job_id = @job
	for no key update`

const upsertJobRow = `
	update jobs
	set name = r.name,
		next_seq = r.next_seq,
		changed_at = r.changed_at,
		state = r.state
	from jsonb_to_recordset(@rows::jsonb) as r (
		name text,
		next_seq bigint,
		changed_at timestamptz,
		state jsonb
	)
	where company_id = @company
		and job_id = @job`

const rulesAndMoment = `
	select
		rules,
		rules_set_at
	from companies
	where company_id = @company`

const entriesOfJob = entryColumns + `
	where e.company_id = @company
		and e.job_id = @job
	order by e.seq`

const roomsOfJob = `
	select
		room_id,
		name,
		level,
		assigned_to,
		added_seq,
		state
	from rooms
	where company_id = @company
		and job_id = @job`

const itemsOfJob = `
	select
		item_id,
		room_id,
		name,
		kind,
		assigned_to,
		added_seq,
		through_seq,
		projected_at,
		state
	from items
	where company_id = @company
		and job_id = @job`

const takesOfJob = `
	select
		item_id,
		take_id,
		seq,
		reading,
		value_nm,
		tool,
		person_id,
		taken_at
	from takes
	where company_id = @company
		and job_id = @job`

const peopleOfJob = `
	select
		person_id,
		present
	from job_people
	where company_id = @company
		and job_id = @job`

func scanJobRow(rows pgx.CollectableRow) (jobRow, error) {
	var r jobRow
	err := rows.Scan(
		&r.Name,
		&r.NextSeq,
		&r.ChangedAt,
		(*[]byte)(&r.State),
	)
	r.ChangedAt = r.ChangedAt.UTC()
	return r, err
}

func scanRoomRow(rows pgx.CollectableRow) (roomRow, error) {
	var r roomRow
	err := rows.Scan(
		&r.RoomID,
		&r.Name,
		&r.Level,
		&r.AssignedTo,
		&r.AddedSeq,
		(*[]byte)(&r.State),
	)
	return r, err
}

func scanItemRow(rows pgx.CollectableRow) (itemRow, error) {
	var r itemRow
	err := rows.Scan(
		&r.ItemID,
		&r.RoomID,
		&r.Name,
		&r.Kind,
		&r.AssignedTo,
		&r.AddedSeq,
		&r.ThroughSeq,
		&r.ProjectedAt,
		(*[]byte)(&r.State),
	)
	r.ProjectedAt = r.ProjectedAt.UTC()
	return r, err
}

func scanTake(rows pgx.CollectableRow) (takeRow, error) {
	var r takeRow
	err := rows.Scan(
		&r.ItemID,
		&r.TakeID,
		&r.Seq,
		&r.Reading,
		&r.ValueNM,
		&r.Tool,
		&r.PersonID,
		&r.TakenAt,
	)
	r.TakenAt = r.TakenAt.UTC()
	return r, err
}

func scanJobPerson(rows pgx.CollectableRow) (jobPersonRow, error) {
	var r jobPersonRow
	err := rows.Scan(&r.PersonID, &r.Present)
	return r, err
}

// columnsOf takes a row apart by column, each as canonical JSON.
func columnsOf(r row) (map[string]json.RawMessage, error) {
	text, err := encode("a row", r)
	if err != nil {
		return nil, err
	}
	if text, err = canonical(text); err != nil {
		return nil, err
	}
	var columns map[string]json.RawMessage
	return columns, json.Unmarshal(text, &columns)
}
