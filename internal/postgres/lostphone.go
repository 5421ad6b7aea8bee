package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/finding"
	"longpoint/internal/joblog"
)

const endPhone = `
	update sessions
	set ended_at = @now
	where company_id = @company
		and person_id = @person
		and (session_id = @session or device_id = @device)
		and ended_at is null`

const readSession = `
	select
		coalesce(device_id::text, ''),
		device_name
	from sessions
	where company_id = @company
		and person_id = @person
		and session_id = @session
		and ended_at is null`

const insertLostPhone = `
	insert into lost_phones (
		company_id,
		phone_id,
		person_id,
		device_id,
		device_name,
		lost_at,
		lost_by
	)
	values (
		@company,
		@phone,
		@person,
		@device,
		@device_name,
		@now,
		@by
	)
	on conflict (company_id, person_id, device_id) where back_at is null do nothing`

// LosePhone signs a person out on the device of a session, in all its sessions, as lost: what
// it sends when it comes back waits for a lead's word. A session whose device never said what
// it is called can only be ended. Their own, or for who manages them.
//
// Errors: forbidden; not_found, also for one that has ended; unavailable; internal.
func (s *Store) LosePhone(ctx context.Context, v account.Viewer, person, session string) (err error) {
	defer fault.In(&err, "losing the phone of session", session, "of", person)
	if err := checkIDsOf("person", person, "session", session); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		if err := w.mayManage(ctx, v, person, true); err != nil {
			return err
		}
		var device, name string
		args := pgx.NamedArgs{"company": v.CompanyID, "person": person, "session": session, "by": v.PersonID, "now": w.now,
			"phone": uuid.Must(uuid.NewV7()).String()}
		b := w.batch()
		b.one(errNotThere("session"), readSession, args, &device, &name)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		args["device"], args["device_name"] = orNull(device), name
		b = w.batch()
		b.exec(endPhone, args)
		if device != "" {
			b.exec(insertLostPhone, args)
		}
		return w.send(ctx, b)
	})
}

const firstOutcome = `
	select
		k.outcome,
		k.first_seq,
		k.last_seq,
		k.findings,
		coalesce(k.command, e.command)
	from commands k
	left join entries e
		on e.company_id = k.company_id
		and e.job_id = k.job_id
		and e.seq = k.first_seq
	where k.company_id = @company
		and k.command_id = @command`

const insertHeld = `
	insert into held_commands (
		company_id,
		command_id,
		phone_id,
		job_id,
		did_at,
		held_at,
		command
	)
	values (
		@company,
		@command,
		@phone,
		@job,
		@did_at,
		@now,
		@body
	)
	on conflict on constraint held_commands_pkey do nothing`

const readHeldCommand = `
	select command
	from held_commands
	where company_id = @company
		and command_id = @command`

// Hold keeps a command that came from a lost phone for a lead's word. One that was decided
// before, also by a lead's word since, is not held: its first outcome comes back. The same
// command again is kept once.
//
// Errors: invalid for an id that is no lower-case UUID; conflict for an id that was used for
// another command; unavailable; internal.
func (s *Store) Hold(ctx context.Context, v account.Viewer, phone string, c joblog.Command, sentAt time.Time) (out joblog.Outcome, held bool, err error) {
	defer fault.In(&err, "holding command", c.ID, "job", c.JobID)
	if err := checkIDs(c); err != nil {
		return joblog.Outcome{}, false, err
	}
	body, err := encode("a command", c)
	if err != nil {
		return joblog.Outcome{}, false, err
	}
	err = s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": v.CompanyID, "command": c.ID, "phone": phone, "job": c.JobID, "did_at": didAt(c.At, sentAt, w.now), "now": w.now, "body": body}
		var (
			known             bool
			outcome           string
			first, last       *int64
			findings, command []byte
		)
		b := w.batch()
		b.maybe(&known, firstOutcome, args, &outcome, &first, &last, &findings, &command)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		if known {
			before, err := repeated(c, outcome, first, last, findings, command)
			if err == nil {
				out = *before
			}
			return err
		}
		b = w.batch()
		b.exec(insertHeld, args)
		b.one(errNotThere("command"), readHeldCommand, args, &command)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		held = true
		return checkSame(c, command)
	})
	return out, held && err == nil, err
}

const listLostPhones = `
	select
		l.phone_id,
		l.person_id,
		l.device_name,
		l.lost_at,
		l.lost_by,
		l.back_at is not null
	from lost_phones l
	where l.company_id = @company
		and (
			l.back_at is null
			or exists (
				select
				from held_commands h
				where h.company_id = l.company_id
					and h.phone_id = l.phone_id
					and h.state = 'waiting'
			)
		)
	order by l.lost_at desc, l.phone_id`

const listHeld = `
	select
		h.phone_id,
		h.command,
		h.did_at,
		h.held_at,
		coalesce(j.name, ''),
		coalesce(r.name, ''),
		coalesce(i.name, '')
	from held_commands h
	left join jobs j
		on j.company_id = h.company_id
		and j.job_id = h.job_id
	left join items i
		on i.company_id = h.company_id
		and i.job_id = h.job_id
		and i.item_id::text = h.command ->> 'item_id'
	left join rooms r
		on r.company_id = h.company_id
		and r.job_id = h.job_id
		and r.room_id::text = coalesce(i.room_id::text, h.command ->> 'room_id')
	where h.company_id = @company
		and h.state = 'waiting'
	order by h.held_at, h.command_id
	limit @most`

// mostHeld is how many commands of lost phones are shown at once; the rest follows when those are settled.
const mostHeld = 500

type heldRow struct {
	phone string
	account.HeldCommand
}

func scanHeld(rows pgx.CollectableRow) (heldRow, error) {
	var (
		h    heldRow
		body []byte
	)
	if err := rows.Scan(&h.phone, &body, &h.DidAt, &h.HeldAt, &h.Job, &h.Room, &h.Item); err != nil {
		return h, err
	}
	return h, decode("a held command", body, &h.Command)
}

func scanLostPhone(rows pgx.CollectableRow) (account.LostPhone, error) {
	var p account.LostPhone
	err := rows.Scan(&p.ID, &p.PersonID, &p.DeviceName, &p.LostAt, &p.LostBy, &p.Back)
	return p, err
}

// LostPhones lists the phones that are not back, or of which something still waits, the last
// lost first. Leads only.
//
// Errors: forbidden; unavailable; internal.
func (s *Store) LostPhones(ctx context.Context, v account.Viewer) (out []account.LostPhone, err error) {
	defer fault.In(&err, "listing lost phones")
	if !v.Role.Leads() {
		return nil, errLeadsOnly()
	}
	var held []heldRow
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		args := pgx.NamedArgs{"company": v.CompanyID, "most": mostHeld}
		b := w.batch()
		list(b, &out, scanLostPhone, listLostPhones, args)
		list(b, &held, scanHeld, listHeld, args)
		b.commit()
		return w.send(ctx, b)
	})
	at := map[string]int{}
	for i, p := range out {
		at[p.ID] = i
	}
	for _, h := range held {
		if i, ok := at[h.phone]; ok {
			out[i].Held = append(out[i].Held, h.HeldCommand)
		}
	}
	return out, err
}

const readHeld = `
	select
		p.person_id,
		p.role,
		h.command,
		h.did_at
	from held_commands h
	join lost_phones l
		on l.company_id = h.company_id
		and l.phone_id = h.phone_id
	join people p
		on p.company_id = l.company_id
		and p.person_id = l.person_id
	where h.company_id = @company
		and h.phone_id = @phone
		and h.command_id = @command
		and h.state = 'waiting'`

const settleHeld = `
	update held_commands
	set
		state = @state,
		settled_at = @now,
		settled_by = @by
	where company_id = @company
		and command_id = @command
		and state = 'waiting'`

// waiting is a held command with its author, for who may settle it.
func (w *work) waiting(ctx context.Context, v account.Viewer, args pgx.NamedArgs) (author account.Viewer, c joblog.Command, didAt time.Time, err error) {
	if !v.Role.Leads() {
		return author, c, didAt, errLeadsOnly()
	}
	author.CompanyID = v.CompanyID
	var body []byte
	b := w.batch()
	b.one(errNotThere("entry that waits"), readHeld, args, &author.PersonID, &author.Role, &body, &didAt)
	if err := w.send(ctx, b); err != nil {
		return author, c, didAt, err
	}
	if !account.Manages(v.Role, author.Role) {
		return author, c, didAt, fault.New(fault.Forbidden, "Only an owner may do that to an owner.")
	}
	return author, c, didAt, decode("a held command", body, &c)
}

func settleArgs(v account.Viewer, phone, command, state string) (pgx.NamedArgs, error) {
	return pgx.NamedArgs{"company": v.CompanyID, "phone": phone, "command": command, "state": state, "by": v.PersonID},
		checkIDsOf("phone", phone, "command", command)
}

// TakeHeld takes up a command that waits, as its author's, done when its author did it: the
// rules decide on it now. Were it cut off half-way, taking it again comes to the same. Leads
// only, for whom they manage.
//
// Errors: as Submit; forbidden; not_found for what does not wait.
func (s *Store) TakeHeld(ctx context.Context, v account.Viewer, phone, command string) (out joblog.Outcome, err error) {
	defer fault.In(&err, "taking held command", command)
	args, err := settleArgs(v, phone, command, "taken")
	if err != nil {
		return out, err
	}
	var (
		author account.Viewer
		c      joblog.Command
		doneAt time.Time
	)
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) (err error) {
		author, c, doneAt, err = w.waiting(ctx, v, args)
		return err
	})
	if err != nil {
		return out, err
	}
	out, err = s.submitTried(ctx, author, c, func(time.Time) time.Time { return doneAt.UTC() })
	if err != nil {
		return out, err
	}
	return out, s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args["now"] = w.now
		b := w.batch()
		b.exec(settleHeld, args)
		b.commit()
		return w.send(ctx, b)
	})
}

// TurnDownHeld refuses a command that waits: it is kept for its author as any refused one.
// Leads only, for whom they manage.
//
// Errors: forbidden; not_found for what does not wait; conflict; unavailable; internal.
func (s *Store) TurnDownHeld(ctx context.Context, v account.Viewer, phone, command string) (err error) {
	defer fault.In(&err, "turning down held command", command)
	args, err := settleArgs(v, phone, command, "turned_down")
	if err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		author, c, doneAt, err := w.waiting(ctx, v, args)
		if err != nil {
			return err
		}
		body, err := encode("a command", c)
		if err != nil {
			return err
		}
		args["now"] = w.now
		sub := &submission{work: w, store: s, viewer: author, command: c, didAt: doneAt.UTC()}
		b := w.batch()
		if err := sub.record(b, "refused", nil, nil, []finding.Finding{finding.New("lead_turned_down", finding.Stop)}, body); err != nil {
			return err
		}
		b.exec(settleHeld, args)
		return w.send(ctx, b)
	})
}

const phoneIsBack = `
	update lost_phones l
	set
		back_at = @now,
		back_by = @by
	from people p
	where l.company_id = @company
		and l.phone_id = @phone
		and l.back_at is null
		and p.company_id = l.company_id
		and p.person_id = l.person_id
	returning
		p.role,
		(
			select count(*)
			from held_commands h
			where h.company_id = l.company_id
				and h.phone_id = l.phone_id
				and h.state = 'waiting'
		)`

// PhoneBack says that a lost phone is in its person's hands again: what it sends from now on
// is taken as anyone's. Leads only, for whom they manage.
//
// Errors: forbidden; conflict while something of it waits; not_found, also for one that is
// back; unavailable; internal.
func (s *Store) PhoneBack(ctx context.Context, v account.Viewer, phone string) (err error) {
	defer fault.In(&err, "having phone", phone, "back")
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("phone", phone); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		var (
			role  joblog.Role
			waits int64
		)
		b := w.batch()
		b.one(errNotThere("lost phone"), phoneIsBack, pgx.NamedArgs{"company": v.CompanyID, "phone": phone, "by": v.PersonID, "now": w.now}, &role, &waits)
		if err := w.send(ctx, b); err != nil {
			return err
		}
		switch {
		case !account.Manages(v.Role, role):
			return fault.New(fault.Forbidden, "Only an owner may do that to an owner.")
		case waits > 0:
			return fault.New(fault.Conflict, "Say first what becomes of the entries that wait.")
		}
		return nil
	})
}
