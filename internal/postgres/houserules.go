package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/houserules"
	"longpoint/internal/joblog"
)

const readHouseRules = `
	select
		rules
	from companies
	where company_id = @company`

// HouseRules returns the company's own house rules. Anyone signed in may read them.
//
// Errors: unauthorized when the company is gone; unavailable; internal.
func (s *Store) HouseRules(ctx context.Context, v account.Viewer) (set houserules.Set, err error) {
	defer fault.In(&err, "reading the company's house rules")
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var rules []byte
		b := w.batch()
		b.one(fault.Because(fault.Unauthorized, "Sign in again.", errNoCompany), readHouseRules, readArgs(v, nil), &rules)
		b.commit()
		if err := w.send(ctx, b); err != nil {
			return err
		}
		return decode("house rules", rules, &set)
	})
	return set, err
}

// Whoever changes the company takes turns by this lock. It is not the strongest: rows that only
// refer to the company, as messages do, go in beside it, and a command that has its job and
// queues one need not wait for who waits for that job.
const lockCompany = `
	select
	from companies
	where company_id = @company
	for no key update`

// A new job waits for house rules being set, and they for it: the jobs that are listed under
// lockCompany are all there are until the commit.
const shareCompany = `
	select
	from companies
	where company_id = @company
	for share`

const updateHouseRules = `
	update companies
	set rules = @rules,
		rules_set_at = greatest(@now, rules_set_at)
	where company_id = @company`

const jobIDs = `
	select
		job_id
	from jobs
	where company_id = @company
	order by job_id`

// SetHouseRules replaces the company's house rules and brings every item of every job up
// to them, in one transaction: no tick is decided on new rules beside cuts made by the old.
// Leads only. Given up by the server for another's sake, it is tried again.
//
// Errors: forbidden; invalid for a rule that is unknown or out of range; unauthorized;
// unavailable; internal.
func (s *Store) SetHouseRules(ctx context.Context, v account.Viewer, set houserules.Set) (err error) {
	defer fault.In(&err, "setting the company's house rules")
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if _, bad := houserules.Resolve(houserules.Layer{Origin: houserules.Company, Set: set}); len(bad) > 0 {
		return refuseRule(bad[0])
	}
	if set == nil {
		set = houserules.Set{}
	}
	rules, err := encode("house rules", set)
	if err != nil {
		return err
	}
	for range submitTries {
		if err = s.setHouseRules(ctx, v.CompanyID, set, rules); !gaveWay(err) {
			break
		}
	}
	return err
}

func (s *Store) setHouseRules(ctx context.Context, company string, set houserules.Set, rules []byte) error {
	return s.inCompany(ctx, company, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": w.company, "rules": rules, "now": w.now}
		var jobs []string
		b := w.batch()
		b.one(fault.Because(fault.Unauthorized, "Sign in again.", errNoCompany), lockCompany, args)
		b.exec(updateHouseRules, args)
		list(b, &jobs, pgx.RowTo[string], jobIDs, args)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		for _, id := range jobs {
			if err := w.bringUp(ctx, id, set); err != nil {
				return fmt.Errorf("job %s: %w", id, err)
			}
		}
		return nil
	})
}

// bringUp locks one job and brings it up to the company's rules.
func (w *work) bringUp(ctx context.Context, job string, company houserules.Set) error {
	var (
		next  int64
		state []byte
		sc    = joblog.Scope{Company: company}
	)
	b := w.batch()
	b.one(errNotThere("job"), lockJob, pgx.NamedArgs{"company": w.company, "job": job}, &next, &state)
	if err := w.send(ctx, b); err != nil {
		return err
	}
	if err := decode("a job", state, &sc.Job); err != nil {
		return err
	}
	out := w.batch()
	if err := w.reprojectJob(ctx, out, job, sc); err != nil {
		return err
	}
	if out.Len() == 0 {
		return nil
	}
	return w.send(ctx, out)
}

func refuseRule(r houserules.Rejection) error {
	if !r.Known {
		return fault.New(fault.Invalid, fmt.Sprintf("There is no house rule named %q.", r.Key))
	}
	return fault.New(fault.Invalid, fmt.Sprintf("The house rule %q may be from %d to %d.", r.Key, r.Min, r.Max))
}
