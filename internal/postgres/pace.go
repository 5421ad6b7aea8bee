package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/forecast"
	"longpoint/internal/stage"
	"longpoint/internal/trim"
)

// How far back a crew's pace is read: a crew gets faster, and the query stays short however
// much they have logged. The primary key is walked backwards, job by job.
const (
	paceJobs    = 5
	paceEntries = 4000
)

const readMarks = `
	select
		e.person_id,
		e.job_id,
		coalesce(e.item_id::text, ''),
		coalesce(i.kind, ''),
		coalesce(e.command -> 'tick_stage' ->> 'stage', ''),
		e.did_at
	from (
		select
			j.job_id
		from jobs j
		where j.company_id = @company
		order by j.changed_at desc
		limit @jobs
	) lately
	cross join lateral (
		select
			l.person_id,
			l.job_id,
			l.item_id,
			l.command,
			l.did_at
		from entries l
		where l.company_id = @company
			and l.job_id = lately.job_id
			and l.role <> 'guest'
		order by l.seq desc
		limit @entries
	) e
	left join items i on i.company_id = @company
		and i.job_id = e.job_id
		and i.item_id = e.item_id`

func scanMark(rows pgx.CollectableRow) (forecast.Mark, error) {
	var m forecast.Mark
	var kind, tick string
	err := rows.Scan(&m.PersonID, &m.JobID, &m.ItemID, &kind, &tick, &m.At)
	m.Group, m.Tick = forecast.GroupOf(trim.Kind(kind)), stage.Stage(tick)
	return m, err
}

// Marks returns the last entries of the company's jobs that changed last, for the crew's
// pace. What they say of one person leaves the service only as the crew's sums, so any of the
// crew may ask.
//
// Errors: unavailable; internal.
func (s *Store) Marks(ctx context.Context, v account.Viewer) (out []forecast.Mark, err error) {
	defer fault.In(&err, "reading the pace of company", v.CompanyID)
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanMark, readMarks, pgx.NamedArgs{"company": w.company, "jobs": paceJobs, "entries": paceEntries})
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}
