-- People come and go: invitations, passkeys, and sessions that can be told apart and ended.
--
-- Why so:
--   A person who leaves keeps their row, for the log names them; left_at ends their sign-in. fine is how close the marks
--   of their tape are. A session gets an id that may be shown (its token's hash may not) and says which device it is on.
--   invites hold hashes alone, like walk_links: the secret is in the link. One is for a new person, or for one who is
--   there and lost their way in; it is used once. A used, an ended and an expired one keep their row, so that whoever
--   opens it is told which.
--   passkeys are public keys: a copy of the database signs nobody in. The id the device gives one is looked up before
--   its company is known.
--   ceremonies are the questions a passkey has to answer, for five minutes. Nobody is known then, so the table belongs to
--   no company; the service reaches it through two functions alone, by a secret that only the asker has.
--
-- Roll-out: yesterday's program inserts sessions and people by named columns, which the defaults fill; it reads the
-- replaced functions by column name. Adding session_id writes the sessions' table anew; it is small.
-- Way back: invitations and passkeys are lost; people with a passkey alone need a passphrase set.

alter table people
    add column fine    boolean not null default false,
    add column left_at timestamptz;

alter table sessions
    add column session_id  uuid not null default gen_random_uuid(),
    add column device_id   uuid,
    add column device_name text not null default '',
    add constraint sessions_id_key unique (company_id, session_id),
    add constraint sessions_device_name_is_short check (char_length(device_name) <= 80);

create table invites (
    company_id uuid        not null,
    invite_id  uuid        not null,
    token_hash text        not null,
    person_id  uuid,
    role       text        not null,
    name       text        not null,
    language   text        not null,
    invited_by uuid        not null,
    created_at timestamptz not null,
    expires_at timestamptz not null,
    used_at    timestamptz,
    used_by    uuid,
    ended_at   timestamptz,
    constraint invites_pkey primary key (company_id, invite_id),
    constraint invites_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint invites_invited_by_fkey foreign key (company_id, invited_by) references people (company_id, person_id),
    constraint invites_used_by_fkey foreign key (company_id, used_by) references people (company_id, person_id),
    constraint invites_role_is_known check (role in ('owner', 'lead', 'installer')),
    constraint invites_language_is_known check (language in ('en', 'es')),
    constraint invites_name_is_short check (char_length(name) <= 120),
    constraint invites_token_is_hashed check (token_hash ~ '^[A-Za-z0-9_-]{43}$'),
    constraint invites_used_are_signed check ((used_at is null) = (used_by is null))
);
create index invites_by_token on invites (token_hash);
create index invites_by_person on invites (company_id, person_id);

create table passkeys (
    company_id    uuid        not null,
    passkey_id    uuid        not null,
    credential_id text        not null,
    person_id     uuid        not null,
    name          text        not null,
    credential    jsonb       not null,
    created_at    timestamptz not null,
    last_used_at  timestamptz,
    constraint passkeys_pkey primary key (company_id, passkey_id),
    constraint passkeys_credential_key unique (company_id, credential_id),
    constraint passkeys_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint passkeys_name_is_short check (char_length(name) <= 80)
);
create index passkeys_by_credential on passkeys (credential_id);
create index passkeys_by_person on passkeys (company_id, person_id);

create table ceremonies (
    secret_hash text        not null,
    asked       jsonb       not null,
    expires_at  timestamptz not null,
    constraint ceremonies_pkey primary key (secret_hash),
    constraint ceremonies_secret_is_hashed check (secret_hash ~ '^[A-Za-z0-9_-]{43}$')
);
create index ceremonies_by_expiry on ceremonies (expires_at);
alter table ceremonies enable row level security;
alter table ceremonies force row level security;
create policy ceremonies_by_functions on ceremonies to current_user using (true) with check (true);

do $$
declare
    t text;
begin
    foreach t in array array['invites', 'passkeys']
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

create policy invites_found_by_owner on invites for select to current_user using (true);
create policy passkeys_found_by_owner on passkeys for select to current_user using (true);

grant select, insert, update on table invites to longpoint_app;
grant select, insert, update, delete on table passkeys to longpoint_app;

-- Replaced, for they say more now: who left signs in no more, and a person may have a passkey and no passphrase.
drop function find_sign_in(text);
create function find_sign_in(name_sought text)
    returns table (
        company_id      uuid,
        person_id       uuid,
        name            text,
        sign_in         text,
        role            text,
        language        text,
        unit            text,
        fine            boolean,
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
        p.fine,
        coalesce(p.passphrase_hash, '')
    from public.people p
    where p.sign_in = name_sought
      and p.left_at is null
$$;

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
        p.fine,
        s.expires_at
    from public.sessions s
    join public.people p on (p.company_id, p.person_id) = (s.company_id, s.person_id)
    where s.token_hash = token_hash_sought
      and s.ended_at is null
      and s.expires_at > at_time
      and p.left_at is null;
end
$$;

create function invite_find(token_hash_sought text)
    returns table (
        company_id   uuid,
        invite_id    uuid,
        person_id    uuid,
        role         text,
        name         text,
        language     text,
        company_name text,
        invited_by   text,
        expires_at   timestamptz,
        used         boolean,
        ended        boolean
    )
    language sql stable security definer set search_path = pg_catalog, pg_temp
as $$
    select
        i.company_id,
        i.invite_id,
        i.person_id,
        i.role,
        i.name,
        i.language,
        c.name,
        p.name,
        i.expires_at,
        i.used_at is not null,
        i.ended_at is not null
    from public.invites i
    join public.companies c on c.company_id = i.company_id
    join public.people p on (p.company_id, p.person_id) = (i.company_id, i.invited_by)
    where i.token_hash = token_hash_sought
$$;

-- The first to have brought a credential has it: one brought again elsewhere signs nobody else in.
create function passkey_find(credential_id_sought text)
    returns table (
        company_id uuid,
        person_id  uuid,
        name       text,
        sign_in    text,
        role       text,
        language   text,
        unit       text,
        fine       boolean,
        passkey_id uuid,
        credential jsonb
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
        p.fine,
        k.passkey_id,
        k.credential
    from public.passkeys k
    join public.people p on (p.company_id, p.person_id) = (k.company_id, k.person_id)
    where k.credential_id = credential_id_sought
      and p.left_at is null
    order by k.created_at
    limit 1
$$;

create function ceremony_keep(secret_hash_kept text, asked_kept jsonb, until timestamptz) returns void
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    insert into public.ceremonies (
        secret_hash,
        asked,
        expires_at
    )
    values (
        secret_hash_kept,
        asked_kept,
        until
    )
$$;

-- A ceremony is answered once: taking it is deleting it.
create function ceremony_take(secret_hash_sought text, at_time timestamptz) returns jsonb
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    delete from public.ceremonies c
    where c.secret_hash = secret_hash_sought
      and c.expires_at > at_time
    returning c.asked
$$;

create or replace function sessions_sweep(at_time timestamptz) returns bigint
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    delete from public.ceremonies c
    where c.expires_at <= at_time;

    with gone as (
        delete from public.sessions s
        where s.expires_at <= at_time
        returning 1
    )
    select count(*) from gone
$$;

revoke all on function
    find_sign_in(text),
    session_find(text, timestamptz),
    invite_find(text),
    passkey_find(text),
    ceremony_keep(text, jsonb, timestamptz),
    ceremony_take(text, timestamptz)
from public;
grant execute on function
    find_sign_in(text),
    session_find(text, timestamptz),
    invite_find(text),
    passkey_find(text),
    ceremony_keep(text, jsonb, timestamptz),
    ceremony_take(text, timestamptz)
to longpoint_app;
