package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/logbook"
)

// An entry about an item names no room of its own; the item's is meant.
const filteredEntries = entryColumns + `
	join jobs j
		on j.company_id = e.company_id
		and j.job_id = e.job_id
	where e.company_id = @company
		and e.job_id = @job
		and e.seq > @after
		and (@before::bigint is null or e.seq < @before)
		and (@who::uuid is null or e.person_id = @who)
		and (@item::uuid is null or e.item_id = @item)
		and (
			@room::uuid is null
			or e.room_id = @room
			or e.item_id in (
				select i.item_id
				from items i
				where i.company_id = @company
					and i.job_id = @job
					and i.room_id = @room
			)
		)
		and (@kind::text is null or e.kind = @kind)
		and (
			@stage::text is null
			or e.kind = any(@kinds::text[])
			or e.kind = 'read_gap' and e.command #>> '{read_gap,line}' = any(@lines::text[])
			or e.kind = 'tick_stage' and e.command #>> '{tick_stage,stage}' = @stage
			or e.kind = 'reopen_stage' and e.command #>> '{reopen_stage,stage}' = @stage
			or e.kind = 'pass_stop' and split_part(e.command #>> '{pass_stop,key}', '|', 2) = @stage
		)` + mayRead

const (
	filteredOldest = filteredEntries + `
	order by e.seq
	limit @limit`

	filteredNewest = filteredEntries + `
	order by e.seq desc
	limit @limit`
)

// Log returns the entries a filter asks for, at most its limit and never more than
// MostEntries, and the job's last number. Who may read a job may read its log.
//
// Errors: as Job.
func (s *Store) Log(ctx context.Context, v account.Viewer, jobID string, f logbook.Filter) (out []joblog.Entry, last int64, err error) {
	defer fault.In(&err, "looking through the log of job", jobID)
	for what, id := range map[string]string{"job": jobID, "person": f.Person, "room": f.Room, "item": f.Item} {
		if id == "" && what != "job" {
			continue
		}
		if err := checkID(what, id); err != nil {
			return nil, 0, err
		}
	}
	if f.Limit <= 0 || f.Limit > MostEntries {
		f.Limit = MostEntries
	}
	kinds, lines := logbook.Work(f.Stage)
	args := readArgs(v, pgx.NamedArgs{"job": jobID, "after": f.After, "before": nil, "who": orNull(f.Person), "item": orNull(f.Item), "room": orNull(f.Room),
		"kind": orNull(string(f.Kind)), "stage": orNull(string(f.Stage)), "kinds": append([]joblog.Kind{}, kinds...), "lines": append([]string{}, lines...), "limit": f.Limit})
	if f.Before > 0 {
		args["before"] = f.Before
	}
	sql := filteredOldest
	if f.Newest {
		sql = filteredNewest
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		b.one(errNotThere("job"), jobIsThere, args, &last)
		list(b, &out, scanEntry, sql, args)
		b.commit()
		return w.send(ctx, b)
	})
	if err != nil {
		return nil, 0, err
	}
	return out, last, nil
}
