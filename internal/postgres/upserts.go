package postgres

import (
	"github.com/jackc/pgx/v5"

	"longpoint/internal/finding"
)

// The statements that keep the projections. Each takes all its rows as one JSON parameter,
// so that an item's rows cost one statement a table however many changed.

const upsertRooms = `
	insert into rooms (
		company_id,
		job_id,
		room_id,
		name,
		level,
		assigned_to,
		added_seq,
		state
	)
	select
		@company,
		@job,
		r.room_id,
		r.name,
		r.level,
		r.assigned_to,
		r.added_seq,
		r.state
	from jsonb_to_recordset(@rows::jsonb) as r (
		room_id uuid,
		name text,
		level text,
		assigned_to uuid,
		added_seq bigint,
		state jsonb
	)
	on conflict on constraint rooms_pkey do update
	set name = excluded.name,
		level = excluded.level,
		assigned_to = excluded.assigned_to,
		added_seq = excluded.added_seq,
		state = excluded.state`

const deleteRooms = `
	delete from rooms t
	using jsonb_to_recordset(@rows::jsonb) as r (room_id uuid)
	where t.company_id = @company
		and t.job_id = @job
		and t.room_id = r.room_id`

const upsertItems = `
	insert into items (
		company_id,
		job_id,
		item_id,
		room_id,
		name,
		kind,
		assigned_to,
		added_seq,
		through_seq,
		projected_at,
		state
	)
	select
		@company,
		@job,
		r.item_id,
		r.room_id,
		r.name,
		r.kind,
		r.assigned_to,
		r.added_seq,
		r.through_seq,
		r.projected_at,
		r.state
	from jsonb_to_recordset(@rows::jsonb) as r (
		item_id uuid,
		room_id uuid,
		name text,
		kind text,
		assigned_to uuid,
		added_seq bigint,
		through_seq bigint,
		projected_at timestamptz,
		state jsonb
	)
	on conflict on constraint items_pkey do update
	set room_id = excluded.room_id,
		name = excluded.name,
		kind = excluded.kind,
		assigned_to = excluded.assigned_to,
		added_seq = excluded.added_seq,
		through_seq = excluded.through_seq,
		projected_at = excluded.projected_at,
		state = excluded.state`

const deleteItems = `
	delete from items t
	using jsonb_to_recordset(@rows::jsonb) as r (item_id uuid)
	where t.company_id = @company
		and t.job_id = @job
		and t.item_id = r.item_id`

const upsertTakes = `
	insert into takes (
		company_id,
		job_id,
		item_id,
		take_id,
		seq,
		reading,
		value_nm,
		tool,
		person_id,
		taken_at
	)
	select
		@company,
		@job,
		r.item_id,
		r.take_id,
		r.seq,
		r.reading,
		r.value_nm,
		r.tool,
		r.person_id,
		r.taken_at
	from jsonb_to_recordset(@rows::jsonb) as r (
		item_id uuid,
		take_id uuid,
		seq bigint,
		reading text,
		value_nm bigint,
		tool text,
		person_id uuid,
		taken_at timestamptz
	)
	on conflict on constraint takes_pkey do update
	set seq = excluded.seq,
		reading = excluded.reading,
		value_nm = excluded.value_nm,
		tool = excluded.tool,
		person_id = excluded.person_id,
		taken_at = excluded.taken_at`

const deleteTakes = `
	delete from takes t
	using jsonb_to_recordset(@rows::jsonb) as r (item_id uuid, take_id uuid)
	where t.company_id = @company
		and t.job_id = @job
		and t.item_id = r.item_id
		and t.take_id = r.take_id`

const upsertCuts = `
	insert into cuts (
		company_id,
		job_id,
		item_id,
		piece,
		value_nm,
		take_ids,
		rule_book,
		cut_for_nm,
		as_cut_nm,
		stale
	)
	select
		@company,
		@job,
		r.item_id,
		r.piece,
		r.value_nm,
		r.take_ids,
		r.rule_book,
		r.cut_for_nm,
		r.as_cut_nm,
		r.stale
	from jsonb_to_recordset(@rows::jsonb) as r (
		item_id uuid,
		piece text,
		value_nm bigint,
		take_ids uuid[],
		rule_book text,
		cut_for_nm bigint,
		as_cut_nm bigint,
		stale boolean
	)
	on conflict on constraint cuts_pkey do update
	set value_nm = excluded.value_nm,
		take_ids = excluded.take_ids,
		rule_book = excluded.rule_book,
		cut_for_nm = excluded.cut_for_nm,
		as_cut_nm = excluded.as_cut_nm,
		stale = excluded.stale`

const deleteCuts = `
	delete from cuts t
	using jsonb_to_recordset(@rows::jsonb) as r (item_id uuid, piece text)
	where t.company_id = @company
		and t.job_id = @job
		and t.item_id = r.item_id
		and t.piece = r.piece`

const upsertStages = `
	insert into stages (
		company_id,
		job_id,
		item_id,
		stage,
		status,
		done_at,
		done_by,
		held
	)
	select
		@company,
		@job,
		r.item_id,
		r.stage,
		r.status,
		r.done_at,
		r.done_by,
		r.held
	from jsonb_to_recordset(@rows::jsonb) as r (
		item_id uuid,
		stage text,
		status text,
		done_at timestamptz,
		done_by uuid,
		held jsonb
	)
	on conflict on constraint stages_pkey do update
	set status = excluded.status,
		done_at = excluded.done_at,
		done_by = excluded.done_by,
		held = excluded.held`

const deleteStages = `
	delete from stages t
	using jsonb_to_recordset(@rows::jsonb) as r (item_id uuid, stage text)
	where t.company_id = @company
		and t.job_id = @job
		and t.item_id = r.item_id
		and t.stage = r.stage`

const upsertJobPeople = `
	insert into job_people (
		company_id,
		job_id,
		person_id,
		present
	)
	select
		@company,
		@job,
		r.person_id,
		r.present
	from jsonb_to_recordset(@rows::jsonb) as r (
		person_id uuid,
		present boolean
	)
	on conflict on constraint job_people_pkey do update
	set present = excluded.present`

const deleteJobPeople = `
	delete from job_people t
	using jsonb_to_recordset(@rows::jsonb) as r (person_id uuid)
	where t.company_id = @company
		and t.job_id = @job
		and t.person_id = r.person_id`

const cutColumns = `
	select
		item_id,
		piece,
		value_nm,
		take_ids,
		rule_book,
		cut_for_nm,
		as_cut_nm,
		stale
	from cuts
	where company_id = @company
		and job_id = @job`

const stageColumns = `
	select
		item_id,
		stage,
		status,
		done_at,
		done_by,
		held
	from stages
	where company_id = @company
		and job_id = @job`

const (
	cutsOfItem   = cutColumns + ` and item_id = @item`
	cutsOfJob    = cutColumns
	stagesOfItem = stageColumns + ` and item_id = @item`
	stagesOfJob  = stageColumns
)

func scanCut(rows pgx.CollectableRow) (cutRow, error) {
	var r cutRow
	err := rows.Scan(
		&r.ItemID,
		&r.Piece,
		&r.ValueNM,
		&r.TakeIDs,
		&r.RuleBook,
		&r.CutForNM,
		&r.AsCutNM,
		&r.Stale,
	)
	return r, err
}

func scanStage(rows pgx.CollectableRow) (stageRow, error) {
	var (
		r    stageRow
		held []byte
	)
	err := rows.Scan(
		&r.ItemID,
		&r.Stage,
		&r.Status,
		&r.DoneAt,
		&r.DoneBy,
		&held,
	)
	if err != nil {
		return r, err
	}
	if r.DoneAt != nil {
		at := r.DoneAt.UTC()
		r.DoneAt = &at
	}
	r.Held = []finding.Finding{}
	return r, decode("what holds a stage", held, &r.Held)
}
