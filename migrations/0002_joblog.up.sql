-- The job log and what stands around it: companies, their people and sessions; each job's entries, numbered and never
-- changed; the commands with what came of each; and the projections kept beside the log.
--
-- Why so:
--   company_id leads every primary, unique and foreign key. Row-level security is forced and reads the company from
--   app.company, so a forgotten WHERE shows nothing, and a sharding engine may spread companies by the same column.
--   Ids are made by the clients (UUIDv7), so that a phone without signal can name what it makes.
--   entries can be added and read, nothing else: the log is the truth. jobs, rooms, items, takes, cuts, stages and
--   job_people are folded from it and may be rebuilt at any time.
--   state columns hold the rule book's own JSON; the columns beside them are what is asked for by SQL. SQL holds no
--   rule of the trade.
--   Times are the program's (one clock a transaction), never now(): a device's clock and the server's meet in Go.
--
-- Roll-out: only new tables, so yesterday's program runs on. Way back: drops them with all that was logged.

create table companies (
    company_id   uuid        not null,
    name         text        not null,
    rules        jsonb       not null default '{}',
    rules_set_at timestamptz,
    created_at   timestamptz not null,
    constraint companies_pkey primary key (company_id),
    constraint companies_name_is_written check (btrim(name) <> '' and char_length(name) <= 120),
    constraint companies_rules_are_a_set check (jsonb_typeof(rules) = 'object')
);

create table people (
    company_id      uuid        not null,
    person_id       uuid        not null,
    name            text        not null,
    sign_in         text        not null,
    passphrase_hash text        not null,
    role            text        not null,
    language        text        not null,
    unit            text        not null,
    created_at      timestamptz not null,
    constraint people_pkey primary key (company_id, person_id),
    constraint people_company_fkey foreign key (company_id) references companies (company_id),
    constraint people_sign_in_key unique (company_id, sign_in),
    constraint people_name_is_written check (btrim(name) <> '' and char_length(name) <= 120),
    constraint people_sign_in_is_plain check (sign_in <> '' and sign_in !~ '\s' and char_length(sign_in) <= 254),
    constraint people_passphrase_is_hashed check (passphrase_hash like '$argon2id$%'),
    constraint people_role_is_known check (role in ('owner', 'lead', 'installer')),
    constraint people_language_is_known check (language in ('en', 'es')),
    constraint people_unit_is_known check (unit in ('in', 'mm'))
);

-- A sign-in name is looked up before its company is known. Not a key: company_id leads those.
create index people_by_sign_in on people (sign_in);

create table sessions (
    company_id   uuid        not null,
    token_hash   text        not null,
    person_id    uuid        not null,
    created_at   timestamptz not null,
    last_seen_at timestamptz not null,
    expires_at   timestamptz not null,
    ended_at     timestamptz,
    constraint sessions_pkey primary key (company_id, token_hash),
    constraint sessions_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint sessions_token_is_hashed check (token_hash ~ '^[A-Za-z0-9_-]{43}$')
);
create index sessions_by_token on sessions (token_hash);
create index sessions_by_person on sessions (company_id, person_id);
create index sessions_by_expiry on sessions (expires_at);

create table jobs (
    company_id uuid        not null,
    job_id     uuid        not null,
    name       text        not null,
    next_seq   bigint      not null,
    state      jsonb       not null,
    created_at timestamptz not null,
    changed_at timestamptz not null,
    constraint jobs_pkey primary key (company_id, job_id),
    constraint jobs_company_fkey foreign key (company_id) references companies (company_id),
    constraint jobs_next_seq_counts_from_one check (next_seq >= 1)
);

create table entries (
    company_id uuid        not null,
    job_id     uuid        not null,
    seq        bigint      not null,
    command_id uuid        not null,
    kind       text        not null,
    room_id    uuid,
    item_id    uuid,
    person_id  uuid        not null,
    role       text        not null,
    did_at     timestamptz not null,
    logged_at  timestamptz not null,
    device     text        not null,
    rule_book  text        not null,
    command    jsonb       not null,
    constraint entries_pkey primary key (company_id, job_id, seq),
    constraint entries_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint entries_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint entries_seq_counts_from_one check (seq >= 1),
    constraint entries_did_before_logged check (did_at <= logged_at)
);
create index entries_by_item on entries (company_id, job_id, item_id, seq) where item_id is not null;

-- A command that was applied is in entries; one that was refused is kept here whole. job_id has no foreign key: a
-- command about a job that is not there is refused and kept too.
create table commands (
    company_id  uuid        not null,
    command_id  uuid        not null,
    job_id      uuid        not null,
    item_id     uuid,
    person_id   uuid        not null,
    kind        text        not null,
    outcome     text        not null,
    first_seq   bigint,
    last_seq    bigint,
    findings    jsonb       not null,
    did_at      timestamptz not null,
    received_at timestamptz not null,
    command     jsonb,
    constraint commands_pkey primary key (company_id, command_id),
    constraint commands_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint commands_entry_fkey foreign key (company_id, job_id, first_seq) references entries (company_id, job_id, seq),
    constraint commands_outcome_is_known check (outcome in ('applied', 'refused')),
    constraint commands_applied_are_logged check (
        (outcome = 'applied') = (first_seq is not null and last_seq is not null and last_seq >= first_seq)
    ),
    constraint commands_refused_are_kept check ((outcome = 'refused') = (command is not null))
);
create index commands_refused on commands (company_id, job_id, person_id, received_at) where outcome = 'refused';

create table rooms (
    company_id  uuid   not null,
    job_id      uuid   not null,
    room_id     uuid   not null,
    name        text   not null,
    level       text   not null,
    assigned_to uuid,
    added_seq   bigint not null,
    state       jsonb  not null,
    constraint rooms_pkey primary key (company_id, job_id, room_id),
    constraint rooms_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint rooms_assigned_to_fkey foreign key (company_id, assigned_to) references people (company_id, person_id)
);

-- projected_at is the moment that takes, cuts and stages of the item stand for: some stops clear by waiting alone.
create table items (
    company_id   uuid        not null,
    job_id       uuid        not null,
    item_id      uuid        not null,
    room_id      uuid        not null,
    name         text        not null,
    kind         text        not null,
    assigned_to  uuid,
    added_seq    bigint      not null,
    through_seq  bigint      not null,
    projected_at timestamptz not null,
    state        jsonb       not null,
    constraint items_pkey primary key (company_id, job_id, item_id),
    constraint items_room_fkey foreign key (company_id, job_id, room_id) references rooms (company_id, job_id, room_id),
    constraint items_assigned_to_fkey foreign key (company_id, assigned_to) references people (company_id, person_id)
);
create index items_by_room on items (company_id, job_id, room_id);

-- Who has, or once had, something of the job assigned: an installer sees the jobs where present is true. One who is no
-- longer present still delivers what was done before their phone heard of it.
create table job_people (
    company_id uuid    not null,
    job_id     uuid    not null,
    person_id  uuid    not null,
    present    boolean not null,
    constraint job_people_pkey primary key (company_id, job_id, person_id),
    constraint job_people_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint job_people_person_fkey foreign key (company_id, person_id) references people (company_id, person_id)
);
create index job_people_by_person on job_people (company_id, person_id, job_id) where present;

create table takes (
    company_id uuid        not null,
    job_id     uuid        not null,
    item_id    uuid        not null,
    take_id    uuid        not null,
    seq        bigint      not null,
    reading    text        not null,
    value_nm   bigint      not null,
    tool       text        not null,
    person_id  uuid        not null,
    taken_at   timestamptz not null,
    constraint takes_pkey primary key (company_id, job_id, item_id, take_id),
    constraint takes_item_fkey foreign key (company_id, job_id, item_id) references items (company_id, job_id, item_id)
);

create table cuts (
    company_id uuid    not null,
    job_id     uuid    not null,
    item_id    uuid    not null,
    piece      text    not null,
    value_nm   bigint  not null,
    take_ids   uuid[]  not null,
    rule_book  text    not null,
    cut_for_nm bigint,
    as_cut_nm  bigint,
    stale      boolean not null,
    constraint cuts_pkey primary key (company_id, job_id, item_id, piece),
    constraint cuts_item_fkey foreign key (company_id, job_id, item_id) references items (company_id, job_id, item_id),
    constraint cuts_as_cut_has_its_value check ((cut_for_nm is null) = (as_cut_nm is null)),
    constraint cuts_only_a_cut_piece_is_stale check (not stale or cut_for_nm is not null)
);

create table stages (
    company_id uuid  not null,
    job_id     uuid  not null,
    item_id    uuid  not null,
    stage      text  not null,
    status     text  not null,
    done_at    timestamptz,
    done_by    uuid,
    held       jsonb not null,
    constraint stages_pkey primary key (company_id, job_id, item_id, stage),
    constraint stages_item_fkey foreign key (company_id, job_id, item_id) references items (company_id, job_id, item_id),
    constraint stages_status_is_known check (status in ('open', 'ready', 'held', 'done', 'redone')),
    constraint stages_done_is_signed check ((done_at is null) = (done_by is null)),
    constraint stages_held_is_a_list check (jsonb_typeof(held) = 'array')
);

-- After a commit app.company is '' on that connection, not null, and ''::uuid is an error: hence nullif.
do $$
declare
    t text;
begin
    foreach t in array array[
        'companies', 'people', 'sessions', 'jobs', 'entries', 'commands',
        'rooms', 'items', 'job_people', 'takes', 'cuts', 'stages'
    ]
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

-- Forced security binds the owner too. The owner needs these few before a company is known: the functions below run as
-- the owner, and a rebuild of everything lists the companies.
create policy companies_listed_by_owner on companies for select to current_user using (true);
create policy people_found_by_owner on people for select to current_user using (true);
create policy sessions_kept_by_owner on sessions to current_user using (true) with check (true);

grant select, insert, update on table companies, people, sessions, jobs to longpoint_app;
grant select, insert on table entries, commands to longpoint_app;
grant select, insert, update, delete on table rooms, items, job_people, takes, cuts, stages to longpoint_app;

-- The functions run as the owner with a path nobody can put a table into; every name is written in full.

-- One sign-in name is one person, whatever the company. company_id leads every key, so no key can say this: writers of
-- one name take turns, and each then sees what the other committed.
create function people_sign_in_is_free() returns trigger
    language plpgsql security definer set search_path = pg_catalog, pg_temp
as $$
begin
    perform pg_advisory_xact_lock(hashtextextended('longpoint sign-in ' || new.sign_in, 0));
    if exists (
        select
        from public.people p
        where p.sign_in = new.sign_in
          and (p.company_id, p.person_id) <> (new.company_id, new.person_id)
    ) then
        raise unique_violation using
            message = 'this sign-in name is taken',
            schema = 'public',
            table = 'people',
            constraint = 'people_sign_in_is_free';
    end if;
    return new;
end
$$;
create trigger people_sign_in_is_free
    before insert or update of sign_in on people
    for each row execute function people_sign_in_is_free();

create function find_sign_in(name_sought text)
    returns table (
        company_id      uuid,
        person_id       uuid,
        name            text,
        sign_in         text,
        role            text,
        language        text,
        unit            text,
        passphrase_hash text
    )
    language sql stable security definer set search_path = pg_catalog, pg_temp
as $$
    select
        p.company_id,
        p.person_id,
        p.name,
        p.sign_in,
        p.role,
        p.language,
        p.unit,
        p.passphrase_hash
    from public.people p
    where p.sign_in = name_sought
$$;

-- When a session was last seen is for its owner's list of them; ten minutes is near enough and spares a write a request.
create function session_find(token_hash_sought text, at_time timestamptz)
    returns table (
        company_id uuid,
        person_id  uuid,
        name       text,
        sign_in    text,
        role       text,
        language   text,
        unit       text,
        expires_at timestamptz
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
        s.expires_at
    from public.sessions s
    join public.people p on (p.company_id, p.person_id) = (s.company_id, s.person_id)
    where s.token_hash = token_hash_sought
      and s.ended_at is null
      and s.expires_at > at_time;
end
$$;

-- An ended session keeps its row until it would have expired, so that a request under way cannot bring it back.
create function session_end(token_hash_sought text, at_time timestamptz) returns void
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    update public.sessions s
    set ended_at = at_time
    where s.token_hash = token_hash_sought
      and s.ended_at is null
$$;

create function sessions_sweep(at_time timestamptz) returns bigint
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    with gone as (
        delete from public.sessions s
        where s.expires_at <= at_time
        returning 1
    )
    select count(*) from gone
$$;

revoke all on function
    people_sign_in_is_free(),
    find_sign_in(text),
    session_find(text, timestamptz),
    session_end(text, timestamptz),
    sessions_sweep(timestamptz)
from public;
grant execute on function
    find_sign_in(text),
    session_find(text, timestamptz),
    session_end(text, timestamptz),
    sessions_sweep(timestamptz)
to longpoint_app;
