package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/joblog"
)

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

// reprojectJob queues what a change around items makes of them: new house rules of the
// company, the job or a room, or what a room's walls measure. around is the company's rules
// and the job with, if the change is a room's, that room as it is now; then only its items
// are reached. The job's row is locked by the caller.
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
