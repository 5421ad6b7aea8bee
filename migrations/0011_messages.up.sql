-- Messages by e-mail: kept in the transaction of what they are about, sent by whichever node comes first, tried again where
-- that fails, and shown to the leads until they are through.
--
-- Why so:
--   A message holds what it says only while that is needed: it may carry a homeowner's link, which is kept as a hash
--   anywhere else. Sent or overtaken, it is emptied; one that failed keeps it, so that it can be tried again by hand.
--   Who sends is of no company: what is due is taken by a function that runs as the owner and puts it off in the same
--   statement. Two nodes never take one at once, and one that dies while it sends has only delayed it. If it dies between
--   the mail server's yes and writing that down, the message goes out twice: at least once is what can be had.
--   walk_contacts says who is written to about a walkthrough. It is not in the log, which keeps what it is told for good.
--
-- Roll-out: new tables and a function; yesterday's program makes no messages. Way back: drops what was not sent.

create table walk_contacts (
    company_id uuid not null,
    job_id     uuid not null,
    walk_id    uuid not null,
    person_id  uuid not null,
    email      text not null,
    constraint walk_contacts_pkey primary key (company_id, job_id, walk_id, person_id),
    constraint walk_contacts_walk_fkey foreign key (company_id, job_id, walk_id) references walks (company_id, job_id, walk_id) on delete cascade,
    constraint walk_contacts_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint walk_contacts_email_is_one check (email ~ '^[^@\s]+@[^@\s]+$' and char_length(email) <= 254)
);

create table messages (
    company_id uuid        not null,
    message_id uuid        not null,
    job_id     uuid,
    about_id   uuid        not null,
    kind       text        not null,
    email      text        not null,
    language   text        not null,
    says       jsonb       not null,
    made_at    timestamptz not null,
    begun_at   timestamptz not null,
    due_at     timestamptz not null,
    tries      integer     not null default 0,
    state      text        not null default 'waiting',
    trouble    text        not null default '',
    settled_at timestamptz,
    constraint messages_pkey primary key (company_id, message_id),
    constraint messages_company_fkey foreign key (company_id) references companies (company_id),
    constraint messages_kind_is_known check (kind in ('walk_ready', 'walk_fixed', 'walk_signed', 'walk_record', 'invite')),
    constraint messages_state_is_known check (state in ('waiting', 'sent', 'failed', 'overtaken')),
    constraint messages_settled_at_is_set check ((state = 'waiting') = (settled_at is null)),
    constraint messages_done_say_nothing check (state in ('waiting', 'failed') or says = '{}'),
    constraint messages_email_is_one check (email ~ '^[^@\s]+@[^@\s]+$' and char_length(email) <= 254)
);
create index messages_due on messages (due_at) where state = 'waiting';
create index messages_about on messages (company_id, about_id);
create index messages_newest on messages (company_id, made_at);

alter table walk_contacts enable row level security;
alter table walk_contacts force row level security;
create policy walk_contacts_of_the_company on walk_contacts
    using (company_id = nullif(current_setting('app.company', true), '')::uuid)
    with check (company_id = nullif(current_setting('app.company', true), '')::uuid);

alter table messages enable row level security;
alter table messages force row level security;
create policy messages_of_the_company on messages
    using (company_id = nullif(current_setting('app.company', true), '')::uuid)
    with check (company_id = nullif(current_setting('app.company', true), '')::uuid);
create policy messages_seen_by_owner on messages for select to current_user using (true);
create policy messages_put_off_by_owner on messages for update to current_user using (true);

grant select, insert, update on table walk_contacts, messages to longpoint_app;

create function messages_take(at_time timestamptz, most integer, again_at timestamptz)
    returns table (
        company_id uuid,
        message_id uuid,
        kind       text,
        email      text,
        language   text,
        says       jsonb,
        begun_at   timestamptz,
        tries      integer
    )
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    with due as (
        select
            m.company_id,
            m.message_id
        from public.messages m
        where m.state = 'waiting'
          and m.due_at <= at_time
        order by m.due_at
        limit most
        for update skip locked
    )
    update public.messages m
    set due_at = again_at,
        tries = m.tries + 1
    from due
    where m.company_id = due.company_id
      and m.message_id = due.message_id
    returning
        m.company_id,
        m.message_id,
        m.kind,
        m.email,
        m.language,
        m.says,
        m.begun_at,
        m.tries
$$;
revoke all on function messages_take(timestamptz, integer, timestamptz) from public;
grant execute on function messages_take(timestamptz, integer, timestamptz) to longpoint_app;
