package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"longpoint/internal/account"
	"longpoint/internal/fault"
	"longpoint/internal/joblog"
	"longpoint/internal/message"
	"longpoint/internal/walk"
)

const readPush = `
	select
		p.endpoint,
		coalesce(m.state, ''),
		coalesce(m.trouble, ''),
		coalesce(m.due_at, p.made_at)
	from sessions s
	join push_subscriptions p on (p.company_id, p.session_id) = (s.company_id, s.session_id)
	left join lateral (
		select
			state,
			trouble,
			due_at
		from messages
		where company_id = @company
			and session_id = s.session_id
			and made_at > @since
			and state <> 'overtaken'
			and (state <> 'waiting' or trouble <> '')
		order by made_at desc, message_id desc
		limit 1
	) m on true
	where s.company_id = @company
		and s.token_hash = @token
		and s.person_id = @person
		and s.ended_at is null`

// Push says where the viewer's session with this token hash is sent messages, empty for nowhere, and what became of the
// last.
//
// Errors: unavailable; internal.
func (s *Store) Push(ctx context.Context, v account.Viewer, tokenHash string) (endpoint string, last message.Message, err error) {
	defer fault.In(&err, "reading whether a phone is sent messages")
	err = s.inCompany(ctx, v.CompanyID, toRead, func(w *work) error {
		var found bool
		b := w.batch()
		b.maybe(&found, readPush, pgx.NamedArgs{"company": w.company, "token": tokenHash, "person": v.PersonID, "since": w.now.Add(-messagesShown)},
			&endpoint, &last.State, &last.Trouble, &last.DueAt)
		b.commit()
		return w.send(ctx, b)
	})
	return endpoint, last, err
}

// A browser has one address for all who sign in on it: the one who turns it on last has it.
const dropOthersPush = `
	delete from push_subscriptions
	where company_id = @company
		and endpoint = @endpoint
		and session_id not in (
			select session_id
			from sessions
			where company_id = @company
				and token_hash = @token
		)`

const keepPush = `
	insert into push_subscriptions (
		company_id,
		session_id,
		endpoint,
		p256dh,
		auth,
		made_at
	)
	select
		s.company_id,
		s.session_id,
		@endpoint,
		@p256dh,
		@auth,
		@now
	from sessions s
	where s.company_id = @company
		and s.token_hash = @token
		and s.person_id = @person
		and s.ended_at is null
	on conflict on constraint push_subscriptions_pkey do update
	set endpoint = excluded.endpoint,
		p256dh = excluded.p256dh,
		auth = excluded.auth,
		made_at = excluded.made_at
	returning session_id`

// SetPush has the viewer's session with this token hash sent messages at an address.
//
// Errors: not_found when the session has ended; unavailable; internal.
func (s *Store) SetPush(ctx context.Context, v account.Viewer, tokenHash string, to message.Subscription) (err error) {
	defer fault.In(&err, "having a phone sent messages")
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		args := pgx.NamedArgs{"company": w.company, "token": tokenHash, "person": v.PersonID, "endpoint": to.Endpoint, "p256dh": to.P256dh, "auth": to.Auth, "now": w.now}
		var session string
		b := w.batch()
		b.exec(dropOthersPush, args)
		b.one(errNotThere("session"), keepPush, args, &session)
		return w.send(ctx, b)
	})
}

// What waited for an address that is gone is not sent to the next.
const dropPush = `
	with gone as (
		delete from push_subscriptions p
		using sessions s
		where p.company_id = @company
			and (s.company_id, s.session_id) = (p.company_id, p.session_id)
			and s.person_id = @person
			and s.token_hash = @token
		returning p.session_id
	)
	update messages m
	set state = 'overtaken',
		says = '{}',
		settled_at = @now
	from gone
	where m.company_id = @company
		and m.session_id = gone.session_id
		and m.state = 'waiting'`

// DropPush has the viewer's session with this token hash sent nothing more.
//
// Errors: unavailable; internal.
func (s *Store) DropPush(ctx context.Context, v account.Viewer, tokenHash string) (err error) {
	defer fault.In(&err, "having a phone sent nothing more")
	return s.inCompany(ctx, v.CompanyID, toWrite, func(w *work) error {
		b := w.batch()
		b.exec(dropPush, pgx.NamedArgs{"company": w.company, "token": tokenHash, "person": v.PersonID, "now": w.now})
		return w.send(ctx, b)
	})
}

// Work that is given before the last was told joins it, phone by phone.
const tellPhones = `
	with joined as (
		update messages m
		set says = jsonb_set(jsonb_set(m.says, '{count}', to_jsonb(((m.says ->> 'count')::int + 1)::text)), '{path}', '"/bench"')
		from sessions s
		where m.company_id = @company
			and m.kind = @kind
			and m.kind = 'push_work'
			and m.state = 'waiting'
			and m.tries = 0
			and (s.company_id, s.session_id) = (m.company_id, m.session_id)
			and s.person_id = @person
		returning m.session_id
	)
	insert into messages (
		company_id,
		message_id,
		job_id,
		about_id,
		kind,
		email,
		session_id,
		language,
		says,
		made_at,
		begun_at,
		due_at
	)
	select
		p.company_id,
		gen_random_uuid(),
		@job,
		@about,
		@kind,
		'',
		p.session_id,
		who.language,
		@says,
		@now,
		@due,
		@due
	from push_subscriptions p
	join sessions s on (s.company_id, s.session_id) = (p.company_id, p.session_id)
	join people who on (who.company_id, who.person_id) = (s.company_id, s.person_id)
	where p.company_id = @company
		and s.person_id = @person
		and s.ended_at is null
		and s.expires_at > @now
		and who.left_at is null
		and p.session_id not in (
			select session_id
			from joined
		)`

// tellPhones queues a message to somebody's phones about the command's item or room. Nobody is told what they did
// themselves.
func (sub *submission) tellPhones(b *batch, person, about string, kind message.Kind, due time.Time) error {
	if !sub.store.push || person == "" || person == sub.viewer.PersonID {
		return nil
	}
	says := map[string]string{"count": "1"}
	job, room, item := sub.command.JobID, sub.scope.Room, sub.scope.Item
	switch {
	case item != nil:
		says["item"], says["path"] = item.Name, "/bench/jobs/"+job+"/items/"+item.ID
		if room != nil {
			says["room"] = room.Name
		}
	case room != nil:
		says["item"], says["path"] = room.Name, "/bench/jobs/"+job+"/rooms/"+room.ID
	default:
		return nil
	}
	said, err := encode("a message", says)
	if err != nil {
		return err
	}
	b.exec(tellPhones, pgx.NamedArgs{"company": sub.company, "person": person, "job": job, "about": about, "kind": string(kind), "says": said,
		"now": sub.now, "due": due})
	return nil
}

// tellCrew queues what the crew is told on their phones: work that was given, a remark that was agreed to, and one that
// was called fixed and is not.
func (sub *submission) tellCrew(b *batch) error {
	c := sub.command
	switch {
	case c.Assign != nil && c.Assign.PersonID != sub.held.assignedTo:
		about := c.ItemID
		if about == "" {
			about = c.RoomID
		}
		return sub.tellPhones(b, c.Assign.PersonID, about, message.PushWork, sub.now.Add(message.WorkWait))
	case c.MoveRemark != nil && c.MoveRemark.Act == walk.Agree:
		return sub.tellPhones(b, doerOf(sub.scope, c.MoveRemark.RemarkID), c.WalkID, message.PushRemark, sub.now)
	case c.MoveRemark != nil && c.MoveRemark.Act == walk.StillThere:
		return sub.tellPhones(b, doerOf(sub.scope, c.MoveRemark.RemarkID), c.WalkID, message.PushStill, sub.now)
	}
	return nil
}

// doerOf is whose a remark is: whom the lead gave it to, else who last called it fixed, else whose the item or its room is.
func doerOf(s joblog.Scope, remark string) string {
	if s.Walk == nil {
		return ""
	}
	for _, r := range s.Walk.Remarks {
		if r.CommandID != remark {
			continue
		}
		if r.PersonID != "" {
			return r.PersonID
		}
		for i := len(r.Moves) - 1; i >= 0; i-- {
			if r.Moves[i].Act == walk.Fix {
				return r.Moves[i].Stamp.PersonID
			}
		}
	}
	if s.Item != nil && s.Item.AssignedTo != "" {
		return s.Item.AssignedTo
	}
	if s.Room != nil {
		return s.Room.AssignedTo
	}
	return ""
}

const takePushes = `
	select
		company_id,
		message_id,
		kind,
		language,
		says,
		begun_at,
		tries,
		session_id,
		endpoint,
		p256dh,
		auth
	from pushes_take(@now, @most, @again)`

// TakePushes is TakeMessages for those to phones.
//
// Errors: unavailable; internal.
func (s *Store) TakePushes(ctx context.Context, most int, lease time.Duration) (out []message.Message, err error) {
	defer fault.In(&err, "taking messages to phones")
	now := s.now()
	rows, err := s.pool.Query(ctx, takePushes, pgx.NamedArgs{"now": now, "most": most, "again": now.Add(lease)})
	if err != nil {
		return nil, translate(err)
	}
	out, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (message.Message, error) {
		var m message.Message
		var says []byte
		if err := row.Scan(&m.CompanyID, &m.ID, &m.Kind, &m.Language, &says, &m.BegunAt, &m.Tries, &m.SessionID, &m.To.Endpoint, &m.To.P256dh, &m.To.Auth); err != nil {
			return m, err
		}
		return m, decode("a message", says, &m.Says)
	})
	return out, translate(err)
}

// An address that is gone is forgotten, unless the phone has meanwhile said another; what waited for it goes with it.
const forgetPush = `
	with gone as (
		delete from push_subscriptions
		where company_id = @company
			and session_id = @session
			and endpoint = @endpoint
		returning session_id
	)
	update messages m
	set state = 'overtaken',
		says = '{}',
		settled_at = @now
	from gone
	where m.company_id = @company
		and m.session_id = gone.session_id
		and m.message_id <> @message
		and m.state = 'waiting'`

// forgetPush queues that a phone which takes no more is sent none.
func (w *work) forgetPush(b *batch, m message.Message) {
	if m.Trouble != message.NotWanted || m.SessionID == "" {
		return
	}
	b.exec(forgetPush, pgx.NamedArgs{"company": w.company, "session": m.SessionID, "endpoint": m.To.Endpoint, "message": m.ID, "now": w.now})
}
