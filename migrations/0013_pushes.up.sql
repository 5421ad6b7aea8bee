-- Messages to the crew's own phones (web push): which phone wants them, and the messages among those by e-mail.
--
-- Why so:
--   A phone wants them for whoever is signed in on it: a subscription is a session's, one each, and goes with it. That is
--   a trigger, because a session ends in five ways and each further one would have to remember.
--   The address and the keys are what the browser made for this service. They are of no use without the service's own
--   private key, which is a setting and in no table; and the keys open nothing that is kept here.
--   A message to a phone is a row of messages, so that it is tried again, given up and seen like an e-mail. session_id
--   tells the two apart: messages_take passes over those with one, so that yesterday's program mails none of them.
--
-- Roll-out: a nullable column, wider checks, a new table; messages_take is replaced with the same columns. Yesterday's
-- program makes none of these messages, and lists them with an empty address.
-- Way back: phones are told nothing more; people turn it on again after the next step up.

alter table messages
    add column session_id uuid,
    drop constraint messages_kind_is_known,
    drop constraint messages_email_is_one,
    add constraint messages_kind_is_known check (kind in (
        'walk_ready', 'walk_fixed', 'walk_signed', 'walk_record', 'invite', 'push_work', 'push_remark', 'push_still')),
    add constraint messages_email_is_one check (
        case when session_id is null
            then email ~ '^[^@\s]+@[^@\s]+$' and char_length(email) <= 254
            else email = '' and kind like 'push\_%'
        end),
    add constraint messages_session_fkey foreign key (company_id, session_id) references sessions (company_id, session_id) on delete cascade;
create index messages_by_session on messages (company_id, session_id) where session_id is not null;

create table push_subscriptions (
    company_id uuid        not null,
    session_id uuid        not null,
    endpoint   text        not null,
    p256dh     text        not null,
    auth       text        not null,
    made_at    timestamptz not null,
    constraint push_subscriptions_pkey primary key (company_id, session_id),
    constraint push_subscriptions_endpoint_key unique (company_id, endpoint),
    constraint push_subscriptions_session_fkey foreign key (company_id, session_id) references sessions (company_id, session_id) on delete cascade,
    constraint push_subscriptions_endpoint_is_short check (char_length(endpoint) <= 1000),
    constraint push_subscriptions_p256dh_is_a_point check (p256dh ~ '^[A-Za-z0-9_-]{87}$'),
    constraint push_subscriptions_auth_is_a_secret check (auth ~ '^[A-Za-z0-9_-]{22}$')
);

alter table push_subscriptions enable row level security;
alter table push_subscriptions force row level security;
create policy push_subscriptions_of_the_company on push_subscriptions
    using (company_id = nullif(current_setting('app.company', true), '')::uuid)
    with check (company_id = nullif(current_setting('app.company', true), '')::uuid);
create policy push_subscriptions_seen_by_owner on push_subscriptions for select to current_user using (true);
create policy push_subscriptions_dropped_by_owner on push_subscriptions for delete to current_user using (true);

grant select, insert, update, delete on table push_subscriptions to longpoint_app;
-- Who is told about a walkthrough can be changed, and taken out, after it was opened.
grant delete on table walk_contacts to longpoint_app;

create function push_ends_with_session() returns trigger
    language plpgsql security definer set search_path = pg_catalog, pg_temp
as $$
begin
    delete from public.push_subscriptions p
    where p.company_id = new.company_id
      and p.session_id = new.session_id;

    update public.messages m
    set state = 'overtaken',
        says = '{}',
        settled_at = new.ended_at
    where m.company_id = new.company_id
      and m.session_id = new.session_id
      and m.state = 'waiting';

    return null;
end
$$;
create trigger sessions_end_pushes
    after update of ended_at on sessions
    for each row
    when (old.ended_at is null and new.ended_at is not null)
    execute function push_ends_with_session();

create or replace function messages_take(at_time timestamptz, most integer, again_at timestamptz)
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
          and m.session_id is null
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

create function pushes_take(at_time timestamptz, most integer, again_at timestamptz)
    returns table (
        company_id uuid,
        message_id uuid,
        kind       text,
        language   text,
        says       jsonb,
        begun_at   timestamptz,
        tries      integer,
        session_id uuid,
        endpoint   text,
        p256dh     text,
        auth       text
    )
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    with due as (
        select
            m.company_id,
            m.message_id,
            p.endpoint,
            p.p256dh,
            p.auth
        from public.messages m
        join public.push_subscriptions p on (p.company_id, p.session_id) = (m.company_id, m.session_id)
        join public.sessions s on (s.company_id, s.session_id) = (m.company_id, m.session_id)
        where m.state = 'waiting'
          and m.due_at <= at_time
          and s.expires_at > at_time
        order by m.due_at
        limit most
        for update of m skip locked
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
        m.language,
        m.says,
        m.begun_at,
        m.tries,
        m.session_id,
        due.endpoint,
        due.p256dh,
        due.auth
$$;

revoke all on function push_ends_with_session(), pushes_take(timestamptz, integer, timestamptz) from public;
grant execute on function pushes_take(timestamptz, integer, timestamptz) to longpoint_app;
