package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/yard"
)

const readStockList = `
	select
		list
	from stock_lists
	where company_id = @company
		and list_of = @list_of`

const readStockPlan = `
	select
		s.plan
	from stock_plans s
	where s.company_id = @company
		and s.job_id = @job`

// StockLists returns what the yard sells: the company's list and the job's own. With an
// empty job only the company's. A list nobody has set is empty. Who may read a job may read its list.
//
// Errors: invalid for an id that is no UUID; not_found for a job that is not the viewer's to
// see; unavailable; internal.
func (s *Store) StockLists(ctx context.Context, v account.Viewer, job string) (company, own yard.List, err error) {
	defer fault.In(&err, "reading the stock lists of job", job)
	if job != "" {
		if err := checkID("job", job); err != nil {
			return company, own, err
		}
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var ours, jobs []byte
		var last int64
		var found bool
		b := w.batch()
		b.maybe(&found, readStockList, pgx.NamedArgs{"company": w.company, "list_of": w.company}, &ours)
		if job != "" {
			b.one(errNotThere("job"), jobIsThere, readArgs(v, pgx.NamedArgs{"job": job}), &last)
			b.maybe(&found, readStockList, pgx.NamedArgs{"company": w.company, "list_of": job}, &jobs)
		}
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if err := decode("the company's stock list", ours, &company); err != nil {
			return err
		}
		return decode("a job's stock list", jobs, &own)
	})
	return company, own, err
}

const putStockList = `
	insert into stock_lists (
		company_id,
		list_of,
		list,
		set_at,
		set_by
	)
	values (
		@company,
		@list_of,
		@list,
		@now,
		@person
	)
	on conflict on constraint stock_lists_pkey do update
	set list = excluded.list,
		set_at = excluded.set_at,
		set_by = excluded.set_by`

// SetStockList replaces the list of a job, or the company's with an empty job. Leads only.
//
// Errors: forbidden; invalid for a list that cannot be; not_found; unavailable; internal.
func (s *Store) SetStockList(ctx context.Context, v account.Viewer, job string, list yard.List) (err error) {
	defer fault.In(&err, "setting the stock list of job", job)
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if job != "" {
		if err := checkID("job", job); err != nil {
			return err
		}
	}
	if said := list.Check(); said != "" {
		return fault.New(fault.Invalid, said)
	}
	body, err := encode("a stock list", list)
	if err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		of, last := job, int64(0)
		read := w.batch()
		if job != "" {
			read.one(errNotThere("job"), jobIsThere, readArgs(v, pgx.NamedArgs{"job": job}), &last)
		} else {
			of = w.company
		}
		if err := w.send(ctx, read); err != nil {
			return err
		}
		b := w.batch()
		b.exec(putStockList, pgx.NamedArgs{"company": w.company, "list_of": of, "list": body, "now": w.now, "person": v.PersonID})
		return w.send(ctx, b)
	})
}

// StockPlan returns the plan the job works from, and nil when none has been made. Who may read
// a job may read its plan.
//
// Errors: as StockLists.
func (s *Store) StockPlan(ctx context.Context, v account.Viewer, job string) (plan *yard.Plan, err error) {
	defer fault.In(&err, "reading the stock plan of job", job)
	if err := checkID("job", job); err != nil {
		return nil, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var body []byte
		var last int64
		var found bool
		b := w.batch()
		b.one(errNotThere("job"), jobIsThere, readArgs(v, pgx.NamedArgs{"job": job}), &last)
		b.maybe(&found, readStockPlan, pgx.NamedArgs{"company": w.company, "job": job}, &body)
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		return decode("a stock plan", body, &plan)
	})
	return plan, err
}

const putStockPlan = `
	insert into stock_plans (
		company_id,
		job_id,
		plan,
		made_at,
		made_by
	)
	values (
		@company,
		@job,
		@plan,
		@now,
		@person
	)
	on conflict on constraint stock_plans_pkey do update
	set plan = excluded.plan,
		made_at = excluded.made_at,
		made_by = excluded.made_by`

const readStockMark = `
	select
		made_at
	from stock_plans
	where company_id = @company
		and job_id = @job`

// StockMark tells plans of a job apart: it is another for another plan, and 0 before the first.
// Who may read a job may ask.
//
// Errors: as StockLists.
func (s *Store) StockMark(ctx context.Context, v account.Viewer, job string) (mark int64, err error) {
	defer fault.In(&err, "reading which stock plan job", job, "has")
	if err := checkID("job", job); err != nil {
		return 0, err
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var (
			made  time.Time
			last  int64
			found bool
		)
		b := w.batch()
		b.one(errNotThere("job"), jobIsThere, readArgs(v, pgx.NamedArgs{"job": job}), &last)
		b.maybe(&found, readStockMark, pgx.NamedArgs{"company": w.company, "job": job}, &made)
		b.commit()
		if err := w.send(ctx, b); err != nil || !found {
			return err
		}
		mark = made.UnixMicro()
		return nil
	})
	return mark, err
}

const notifyStock = `select pg_notify('` + stockChannel + `', @company || ' ' || @job || ' ' || @mark)`

// KeepStockPlan makes the plan the one the job works from and tells every node that listens. Anyone who may read the job may: an installer at the saw plans
// again after a mistake.
//
// Errors: as StockLists.
func (s *Store) KeepStockPlan(ctx context.Context, v account.Viewer, job string, plan yard.Plan) (err error) {
	defer fault.In(&err, "keeping the stock plan of job", job)
	if err := checkID("job", job); err != nil {
		return err
	}
	body, err := encode("a stock plan", plan)
	if err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		var last int64
		read := w.batch()
		read.one(errNotThere("job"), jobIsThere, readArgs(v, pgx.NamedArgs{"job": job}), &last)
		if err := w.send(ctx, read); err != nil {
			return err
		}
		b := w.batch()
		b.exec(putStockPlan, pgx.NamedArgs{"company": w.company, "job": job, "plan": body, "now": w.now, "person": v.PersonID})
		b.exec(notifyStock, pgx.NamedArgs{"company": w.company, "job": job, "mark": fmt.Sprint(w.now.UnixMicro())})
		b.commit()
		return w.send(ctx, b)
	})
}
