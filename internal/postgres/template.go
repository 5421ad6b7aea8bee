package postgres

import (
	"context"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/setup"
)

const listTemplates = `
	select
		template_id,
		name,
		kind,
		body,
		made_by,
		made_at
	from templates
	where company_id = @company
	order by kind, lower(name), template_id`

const readTemplate = `
	select
		template_id,
		name,
		kind,
		body,
		made_by,
		made_at
	from templates
	where company_id = @company
		and template_id = @template`

const insertTemplate = `
	insert into templates (
		company_id,
		template_id,
		kind,
		name,
		body,
		made_by,
		made_at
	)
	values (
		@company,
		@template,
		@kind,
		@name,
		@body,
		@person,
		@now
	)
	on conflict on constraint templates_pkey do nothing`

const deleteTemplate = `
	delete from templates
	where company_id = @company
		and template_id = @template`

func scanTemplate(rows pgx.CollectableRow) (setup.Template, error) {
	var (
		t    setup.Template
		kind string
		body []byte
		at   time.Time
	)
	if err := rows.Scan(&t.ID, &t.Name, &kind, &body, &t.MadeBy, &at); err != nil {
		return t, err
	}
	t.MadeAt = at.UTC()
	if kind == "trim" {
		return t, decode("a trim package", body, &t.Trim)
	}
	return t, decode("saved rooms", body, &t.Rooms)
}

// Templates lists what the company has put by. Leads only.
//
// Errors: forbidden; unavailable; internal.
func (s *Store) Templates(ctx context.Context, v account.Viewer) (out []setup.Template, err error) {
	defer fault.In(&err, "listing templates")
	if !v.Role.Leads() {
		return nil, errLeadsOnly()
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanTemplate, listTemplates, pgx.NamedArgs{"company": w.company})
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

// Template returns one of them. Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID; not_found; unavailable; internal.
func (s *Store) Template(ctx context.Context, v account.Viewer, id string) (out setup.Template, err error) {
	defer fault.In(&err, "reading template", id)
	if !v.Role.Leads() {
		return out, errLeadsOnly()
	}
	if err := checkID("template", id); err != nil {
		return out, err
	}
	var found []setup.Template
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &found, scanTemplate, readTemplate, pgx.NamedArgs{"company": w.company, "template": id})
		b.commit()
		return w.send(ctx, b)
	})
	if err != nil {
		return out, err
	}
	if len(found) == 0 {
		return out, errNotThere("template")
	}
	return found[0], nil
}

// PutTemplate puts rooms or a trim package by. The same id again changes nothing. Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID, a name that is blank or too long, and
// a template of nothing; unavailable; internal.
func (s *Store) PutTemplate(ctx context.Context, v account.Viewer, t setup.Template) (err error) {
	defer fault.In(&err, "keeping template", t.ID)
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("template", t.ID); err != nil {
		return err
	}
	if strings.TrimSpace(t.Name) == "" || utf8.RuneCountInString(t.Name) > 80 {
		return fault.New(fault.Invalid, "A template needs a name of at most 80 characters.")
	}
	kind, body := "rooms", any(t.Rooms)
	switch {
	case t.Trim != nil:
		kind, body = "trim", t.Trim
	case len(t.Rooms) == 0:
		return fault.New(fault.Invalid, "There is nothing in this to be added.")
	}
	text, err := encode("a template", body)
	if err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(insertTemplate, pgx.NamedArgs{"company": w.company, "template": t.ID, "kind": kind, "name": strings.TrimSpace(t.Name), "body": text,
			"person": v.PersonID, "now": w.now})
		b.commit()
		return w.send(ctx, b)
	})
}

// DropTemplate takes one away. What was made from it stays. Leads only.
//
// Errors: as Template, but one that is not there is no error.
func (s *Store) DropTemplate(ctx context.Context, v account.Viewer, id string) (err error) {
	defer fault.In(&err, "dropping template", id)
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("template", id); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(deleteTemplate, pgx.NamedArgs{"company": w.company, "template": id})
		b.commit()
		return w.send(ctx, b)
	})
}
