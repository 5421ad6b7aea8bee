package postgres

import (
	"context"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/message"
	"longpoint/internal/walk"
)

const keepContact = `
	insert into walk_contacts (
		company_id,
		job_id,
		walk_id,
		person_id,
		email
	)
	select
		@company,
		w.job_id,
		w.walk_id,
		coalesce(@person, w.guest_id),
		@email
	from walks w
	where w.company_id = @company
		and w.job_id = @job
		and w.walk_id = @walk
	on conflict on constraint walk_contacts_pkey do update
	set email = excluded.email`

// What is said is read and written down now: a message says what was so when it was made. A
// second thing fixed before the first was told joins it.
const tellOfWalk = `
	with joined as (
		update messages
		set says = jsonb_set(says, '{what}', to_jsonb((says ->> 'what') || E'\n' || (@says::jsonb ->> 'what')))
		where company_id = @company
			and about_id = @walk
			and kind = @kind
			and kind = 'walk_fixed'
			and state = 'waiting'
			and tries = 0
		returning message_id
	)
	insert into messages (
		company_id,
		message_id,
		job_id,
		about_id,
		kind,
		email,
		language,
		says,
		made_at,
		begun_at,
		due_at
	)
	select
		c.company_id,
		gen_random_uuid(),
		c.job_id,
		c.walk_id,
		@kind,
		c.email,
		p.language,
		jsonb_build_object('name', p.name, 'company', co.name, 'job', j.name) || @says::jsonb,
		@now,
		@due,
		@due
	from walk_contacts c
	join people p on (p.company_id, p.person_id) = (c.company_id, c.person_id)
	join companies co on co.company_id = c.company_id
	join jobs j on (j.company_id, j.job_id) = (c.company_id, c.job_id)
	where c.company_id = @company
		and c.job_id = @job
		and c.walk_id = @walk
		and (p.role = 'guest') = @guest
		and p.left_at is null
		and not exists (
			select
			from joined
		)`

const overtakeMessages = `
	update messages
	set state = 'overtaken',
		says = '{}',
		settled_at = @now
	where company_id = @company
		and about_id = any (@about::uuid[])
		and kind = @kind
		and state in ('waiting', 'failed')`

// tellOfWalk queues a message to those of a walk's contacts who are guests, or who are not.
func (s *Store) tellOfWalk(w *work, b *batch, job, walk string, kind message.Kind, guest bool, due time.Time, says map[string]string) error {
	if !s.mail {
		return nil
	}
	said, err := encode("a message", says)
	if err != nil {
		return err
	}
	b.exec(tellOfWalk, pgx.NamedArgs{"company": w.company, "job": job, "walk": walk, "kind": string(kind), "guest": guest, "says": said,
		"now": w.now, "due": due})
	return nil
}

// overtake queues that messages about these are not sent any more: what they hold opens nothing now.
func (w *work) overtake(b *batch, kind message.Kind, about ...string) {
	b.exec(overtakeMessages, pgx.NamedArgs{"company": w.company, "about": about, "kind": string(kind), "now": w.now})
}

// tellOfLink queues what is told when a walkthrough has a link, and keeps who is to be told.
func (s *Store) tellOfLink(w *work, b *batch, v account.Viewer, l account.NewLink) error {
	w.overtake(b, message.WalkReady, l.WalkID)
	if !s.mail {
		return nil
	}
	args := pgx.NamedArgs{"company": w.company, "job": l.JobID, "walk": l.WalkID}
	for _, c := range []struct {
		person *string
		email  string
	}{{nil, l.GuestEmail}, {&v.PersonID, l.LeadEmail}} {
		if c.email == "" {
			continue
		}
		b.exec(keepContact, pgx.NamedArgs{"company": args["company"], "job": args["job"], "walk": args["walk"], "person": c.person, "email": c.email})
	}
	if l.Link == "" {
		return nil
	}
	return s.tellOfWalk(w, b, l.JobID, l.WalkID, message.WalkReady, true, w.now, map[string]string{"link": l.Link})
}

// tell queues the messages that follow from a command that was applied.
func (sub *submission) tell(b *batch) error {
	if err := sub.tellCrew(b); err != nil {
		return err
	}
	c := sub.command
	switch {
	case c.MoveRemark != nil && c.MoveRemark.Act == walk.Fix:
		return sub.store.tellOfWalk(sub.work, b, c.JobID, c.WalkID, message.WalkFixed, true, sub.now.Add(message.FixedWait),
			map[string]string{"what": fixedThing(sub.scope, c.MoveRemark.RemarkID)})
	case sealsWalk(c):
		says := map[string]string{"signer": c.SignOff.Name}
		if err := sub.store.tellOfWalk(sub.work, b, c.JobID, c.WalkID, message.WalkSigned, false, sub.now, says); err != nil {
			return err
		}
		return sub.store.tellOfWalk(sub.work, b, c.JobID, c.WalkID, message.WalkRecord, true, sub.now, says)
	}
	return nil
}

// fixedThing names what was fixed by its place and the homeowner's own words.
func fixedThing(s joblog.Scope, remark string) string {
	var parts []string
	if s.Room != nil {
		parts = append(parts, s.Room.Name)
	}
	if s.Item != nil {
		parts = append(parts, s.Item.Name)
	}
	out := strings.Join(parts, ", ")
	if s.Walk != nil {
		for _, r := range s.Walk.Remarks {
			if r.CommandID == remark && r.Text != "" {
				out += ": " + r.Text
			}
		}
	}
	return strings.Join(strings.Fields(out), " ")
}

const insertInviteMessage = `
	insert into messages (
		company_id,
		message_id,
		about_id,
		kind,
		email,
		language,
		says,
		made_at,
		begun_at,
		due_at
	)
	select
		@company,
		gen_random_uuid(),
		@invite,
		'invite',
		@email,
		@language,
		jsonb_build_object('name', @name::text, 'company', co.name, 'by', p.name, 'link', @link::text),
		@now,
		@now,
		@now
	from people p
	join companies co on co.company_id = p.company_id
	where p.company_id = @company
		and p.person_id = @by`

// tellOfInvite queues the invitation's own message.
func (s *Store) tellOfInvite(w *work, b *batch, i account.Invite) {
	if !s.mail || i.Email == "" {
		return
	}
	b.exec(insertInviteMessage, pgx.NamedArgs{"company": w.company, "invite": i.ID, "email": i.Email, "language": i.Language, "name": i.Name,
		"link": i.Link, "by": i.InvitedBy, "now": w.now})
}

const listMessages = `
	select
		m.message_id,
		coalesce(m.job_id::text, ''),
		m.about_id,
		m.kind,
		m.email,
		m.language,
		m.made_at,
		m.begun_at,
		m.due_at,
		m.tries,
		m.state,
		m.trouble,
		coalesce(s.person_id::text, ''),
		coalesce(s.device_name, '')
	from messages m
	left join sessions s on (s.company_id, s.session_id) = (m.company_id, m.session_id)
	where m.company_id = @company
		and m.made_at > @since
		and (@job::uuid is null or m.job_id = @job)
	order by m.made_at desc, m.message_id
	limit @most`

// Messages are shown for a month: whoever was to be told has been told otherwise by then.
const (
	messagesShown = 30 * 24 * time.Hour
	mostMessages  = 200
)

// Messages lists the last month's messages of a job, or of the company with an empty job, the newest first, without what
// they say. Leads only.
//
// Errors: forbidden; invalid for an id that is no UUID; unavailable; internal.
func (s *Store) Messages(ctx context.Context, v account.Viewer, job string) (out []message.Message, err error) {
	defer fault.In(&err, "listing messages")
	if !v.Role.Leads() {
		return nil, errLeadsOnly()
	}
	if job != "" {
		if err := checkID("job", job); err != nil {
			return nil, err
		}
	}
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		b := w.batch()
		list(b, &out, scanMessage, listMessages, pgx.NamedArgs{"company": w.company, "job": orNull(job), "since": w.now.Add(-messagesShown), "most": mostMessages})
		b.commit()
		return w.send(ctx, b)
	})
	return out, err
}

func scanMessage(rows pgx.CollectableRow) (message.Message, error) {
	var m message.Message
	err := rows.Scan(&m.ID, &m.JobID, &m.AboutID, &m.Kind, &m.Email, &m.Language, &m.MadeAt, &m.BegunAt, &m.DueAt, &m.Tries, &m.State, &m.Trouble, &m.PersonID, &m.Device)
	return m, err
}

const tryAgain = `
	update messages
	set state = 'waiting',
		settled_at = null,
		begun_at = @now,
		due_at = @now,
		tries = 0
	where company_id = @company
		and message_id = @message
		and (state = 'failed' or state = 'waiting' and trouble <> '')
		and (
			session_id is null
			or exists (
				select
				from push_subscriptions p
				where (p.company_id, p.session_id) = (messages.company_id, messages.session_id)
			)
		)
	returning message_id`

// TryAgain has a message that failed, or waits after a failure, tried from anew at once. Leads only.
//
// Errors: forbidden; not_found, also for one that has nothing to be tried again; unavailable; internal.
func (s *Store) TryAgain(ctx context.Context, v account.Viewer, id string) (err error) {
	defer fault.In(&err, "trying message again", id)
	if !v.Role.Leads() {
		return errLeadsOnly()
	}
	if err := checkID("message", id); err != nil {
		return err
	}
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		var again string
		b := w.batch()
		b.one(errNotThere("message"), tryAgain, pgx.NamedArgs{"company": w.company, "message": id, "now": w.now}, &again)
		return w.send(ctx, b)
	})
}

const takeMessages = `
	select
		company_id,
		message_id,
		kind,
		email,
		language,
		says,
		begun_at,
		tries
	from messages_take(@now, @most, @again)`

// TakeMessages takes what is due of any company, at most so many, and puts it off: what is not settled within lease comes
// again, to whoever asks then. Only the sender calls it.
//
// Errors: unavailable; internal.
func (s *Store) TakeMessages(ctx context.Context, most int, lease time.Duration) (out []message.Message, err error) {
	defer fault.In(&err, "taking messages")
	now := s.now()
	rows, err := s.pool.Query(ctx, takeMessages, pgx.NamedArgs{"now": now, "most": most, "again": now.Add(lease)})
	if err != nil {
		return nil, translate(err)
	}
	out, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (message.Message, error) {
		var m message.Message
		var says []byte
		if err := row.Scan(&m.CompanyID, &m.ID, &m.Kind, &m.Email, &m.Language, &says, &m.BegunAt, &m.Tries); err != nil {
			return m, err
		}
		return m, decode("a message", says, &m.Says)
	})
	return out, translate(err)
}

const settleMessage = `
	update messages
	set state = @state,
		trouble = @trouble,
		due_at = @due,
		says = case when @state = 'sent' then '{}' else says end,
		settled_at = case when @state = 'waiting' then null else @now::timestamptz end
	where company_id = @company
		and message_id = @message
		and state = 'waiting'`

// SettleMessage writes down what became of a message that was taken: sent, failed, or waiting until m.DueAt. One that was
// overtaken meanwhile stays so. Only the sender calls it.
//
// Errors: unavailable; internal.
func (s *Store) SettleMessage(ctx context.Context, m message.Message) (err error) {
	defer fault.In(&err, "settling message", m.ID)
	return s.inCompany(ctx, m.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(settleMessage, pgx.NamedArgs{"company": w.company, "message": m.ID, "state": string(m.State), "trouble": string(m.Trouble),
			"due": m.DueAt.UTC(), "now": w.now})
		w.forgetPush(b, m)
		b.commit()
		return w.send(ctx, b)
	})
}
