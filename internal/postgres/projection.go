package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/finding"
	"longpoint/internal/joblog"
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

// queue puts a table's changes into the batch: nothing when there are none.
func queue[R row](b *batch, upsert, remove string, company, job string, c change[R]) error {
	for _, part := range []struct {
		sql  string
		rows []R
	}{{upsert, c.put}, {remove, c.gone}} {
		if len(part.rows) == 0 {
			continue
		}
		rows, err := encode("rows", part.rows)
		if err != nil {
			return err
		}
		b.exec(part.sql, pgx.NamedArgs{"company": company, "job": job, "rows": rows})
	}
	return nil
}

// put is a change that writes rows whatever is there.
func put[R row](rows ...R) change[R] { return change[R]{put: rows} }

// reproject makes an item's rows as they stand at the moment at, and queues what differs
// from the cuts and stages it has.
func reproject(b *batch, company, job string, sc joblog.Scope, at time.Time, cuts []cutRow, stages []stageRow) error {
	p := sc.Project(at)
	cutChange, err := differ(cutRows(sc.Item.ID, p.Cuts), cuts)
	if err != nil {
		return err
	}
	stageChange, err := differ(stageRows(sc.Item.ID, p.Stages), stages)
	if err != nil {
		return err
	}
	if err := queue(b, upsertCuts, deleteCuts, company, job, cutChange); err != nil {
		return err
	}
	return queue(b, upsertStages, deleteStages, company, job, stageChange)
}

const itemsToReproject = `
	select
		item_id,
		room_id,
		projected_at,
		state
	from items
	where company_id = @company
		and job_id = @job
		and (@room::uuid is null or room_id = @room)`

const roomStates = `
	select
		room_id,
		state
	from rooms
	where company_id = @company
		and job_id = @job`

const setProjectedAt = `
	update items
	set projected_at = @at
	where company_id = @company
		and job_id = @job
		and item_id = @item`

type heldItem struct {
	id, room string
	at       time.Time
	state    *joblog.Item
}

func scanHeldItem(rows pgx.CollectableRow) (heldItem, error) {
	var (
		x     heldItem
		state []byte
	)
	if err := rows.Scan(&x.id, &x.room, &x.at, &state); err != nil {
		return x, err
	}
	return x, decode("an item", state, &x.state)
}

func scanRoom(rows pgx.CollectableRow) (*joblog.Room, error) {
	var (
		id    string
		state []byte
		room  *joblog.Room
	)
	if err := rows.Scan(&id, &state); err != nil {
		return nil, err
	}
	return room, decode("a room", state, &room)
}

// reprojectJob queues what new house rules of the company, the job or one room change in
// the items they reach. around is the company's rules and the job with, if the new rules
// are a room's, that room as it is now. The job's row is locked by the caller.
func (w *work) reprojectJob(ctx context.Context, b *batch, job string, around joblog.Scope) error {
	var room string
	if around.Room != nil {
		room = around.Room.ID
	}
	var (
		items  []heldItem
		rooms  []*joblog.Room
		cuts   []cutRow
		stages []stageRow
	)
	args := pgx.NamedArgs{"company": w.company, "job": job, "room": orNull(room)}
	read := w.batch()
	list(read, &items, scanHeldItem, itemsToReproject, args)
	list(read, &rooms, scanRoom, roomStates, args)
	list(read, &cuts, scanCut, cutsOfJob, args)
	list(read, &stages, scanStage, stagesOfJob, args)
	if err := w.send(ctx, read); err != nil {
		return err
	}
	byRoom := map[string]*joblog.Room{}
	for _, r := range rooms {
		byRoom[r.ID] = r
	}
	if around.Room != nil {
		byRoom[room] = around.Room
	}
	cutsOf, stagesOf := map[string][]cutRow{}, map[string][]stageRow{}
	for _, c := range cuts {
		cutsOf[c.ItemID] = append(cutsOf[c.ItemID], c)
	}
	for _, s := range stages {
		stagesOf[s.ItemID] = append(stagesOf[s.ItemID], s)
	}
	for _, x := range items {
		at := later(w.now, &x.at)
		b.exec(setProjectedAt, pgx.NamedArgs{"company": w.company, "job": job, "item": x.id, "at": at})
		sc := joblog.Scope{Company: around.Company, Job: around.Job, Room: byRoom[x.room], Item: x.state}
		if err := reproject(b, w.company, job, sc, at, cutsOf[x.id], stagesOf[x.id]); err != nil {
			return err
		}
	}
	return nil
}
