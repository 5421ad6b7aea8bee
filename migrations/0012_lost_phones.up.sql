-- Phones that were signed out as lost, and what they hold when they come back.
--
-- Why so:
--   A phone is known by its person and by the id it made for itself, said at every sign-in. Its record outlives its
--   sessions, which are swept: what it did not send may come back months later. back_at ends it.
--   held_commands keeps what such a phone sends until a lead says yes or no, by the command's own id, so that sent again it
--   is there once. It is no command yet: no job, room or item has to exist for it. What was decided stays, for the question
--   who let this in.
--   session_find says whether a session is on such a phone: it is asked at every request, before the company is set.
--
-- Roll-out: yesterday's program reads session_find by column name, and signs lost phones in as any other. Way back: drops
-- what waited.

create table lost_phones (
    company_id  uuid        not null,
    phone_id    uuid        not null,
    person_id   uuid        not null,
    device_id   uuid        not null,
    device_name text        not null,
    lost_at     timestamptz not null,
    lost_by     uuid        not null,
    back_at     timestamptz,
    back_by     uuid,
    constraint lost_phones_pkey primary key (company_id, phone_id),
    constraint lost_phones_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint lost_phones_lost_by_fkey foreign key (company_id, lost_by) references people (company_id, person_id),
    constraint lost_phones_back_by_fkey foreign key (company_id, back_by) references people (company_id, person_id),
    constraint lost_phones_back_are_signed check ((back_at is null) = (back_by is null))
);
create unique index lost_phones_once on lost_phones (company_id, person_id, device_id) where back_at is null;

create table held_commands (
    company_id uuid        not null,
    command_id uuid        not null,
    phone_id   uuid        not null,
    job_id     uuid        not null,
    did_at     timestamptz not null,
    held_at    timestamptz not null,
    command    jsonb       not null,
    state      text        not null default 'waiting',
    settled_at timestamptz,
    settled_by uuid,
    constraint held_commands_pkey primary key (company_id, command_id),
    constraint held_commands_phone_fkey foreign key (company_id, phone_id) references lost_phones (company_id, phone_id),
    constraint held_commands_settled_by_fkey foreign key (company_id, settled_by) references people (company_id, person_id),
    constraint held_commands_state_is_known check (state in ('waiting', 'taken', 'turned_down')),
    constraint held_commands_settled_are_signed check ((state = 'waiting') = (settled_at is null) and (settled_at is null) = (settled_by is null))
);
create index held_commands_waiting on held_commands (company_id, phone_id, held_at) where state = 'waiting';

do $$
declare
    t text;
begin
    foreach t in array array['lost_phones', 'held_commands']
    loop
        execute format('alter table public.%I enable row level security', t);
        execute format('alter table public.%I force row level security', t);
        execute format(
            'create policy %I on public.%I'
            ' using (company_id = nullif(current_setting(''app.company'', true), '''')::uuid)'
            ' with check (company_id = nullif(current_setting(''app.company'', true), '''')::uuid)',
            t || '_of_the_company', t);
    end loop;
end
$$;
create policy lost_phones_found_by_owner on lost_phones for select to current_user using (true);

grant select, insert, update on table lost_phones, held_commands to longpoint_app;

drop function session_find(text, timestamptz);
create function session_find(token_hash_sought text, at_time timestamptz)
    returns table (
        company_id uuid,
        person_id  uuid,
        name       text,
        sign_in    text,
        role       text,
        language   text,
        unit       text,
        fine       boolean,
        expires_at timestamptz,
        lost_phone uuid
    )
    language plpgsql security definer set search_path = pg_catalog, pg_temp
as $$
#variable_conflict use_column
begin
    update public.sessions s
    set last_seen_at = at_time
    where s.token_hash = token_hash_sought
      and s.ended_at is null
      and s.expires_at > at_time
      and s.last_seen_at < at_time - interval '10 minutes';

    return query
    select
        p.company_id,
        p.person_id,
        p.name,
        p.sign_in,
        p.role,
        p.language,
        p.unit,
        p.fine,
        s.expires_at,
        l.phone_id
    from public.sessions s
    join public.people p on (p.company_id, p.person_id) = (s.company_id, s.person_id)
    left join public.lost_phones l
        on l.company_id = s.company_id
        and l.person_id = s.person_id
        and l.device_id = s.device_id
        and l.back_at is null
    where s.token_hash = token_hash_sought
      and s.ended_at is null
      and s.expires_at > at_time
      and p.left_at is null;
end
$$;
revoke all on function session_find(text, timestamptz) from public;
grant execute on function session_find(text, timestamptz) to longpoint_app;
