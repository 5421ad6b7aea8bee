-- Back to passphrases alone. Whoever left, and whoever has a passkey alone, keeps their row with the hash of a passphrase
-- that nobody knows: nobody signs in as them until one is set.
drop function find_sign_in(text), session_find(text, timestamptz), invite_find(text), passkey_find(text),
    ceremony_keep(text, jsonb, timestamptz), ceremony_take(text, timestamptz);
drop table ceremonies, passkeys, invites;

create or replace function sessions_sweep(at_time timestamptz) returns bigint
    language sql security definer set search_path = pg_catalog, pg_temp
as $$
    with gone as (
        delete from public.sessions s
        where s.expires_at <= at_time
        returning 1
    )
    select count(*) from gone
$$;

-- As the owner, past the forced policies: there is none for its changing people.
alter table people no force row level security;
update people
set passphrase_hash = '$argon2id$v=19$m=19456,t=2,p=1$'
    || rtrim(encode(uuid_send(gen_random_uuid()), 'base64'), '=')
    || '$'
    || rtrim(encode(sha256(uuid_send(gen_random_uuid())), 'base64'), '=')
where role <> 'guest'
    and (left_at is not null or passphrase_hash is null);
alter table people force row level security;

alter table sessions
    drop constraint sessions_id_key,
    drop constraint sessions_device_name_is_short,
    drop column session_id,
    drop column device_id,
    drop column device_name;

alter table people
    drop column fine,
    drop column left_at;

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
        coalesce(p.passphrase_hash, '')
    from public.people p
    where p.sign_in = name_sought
$$;

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

revoke all on function find_sign_in(text), session_find(text, timestamptz) from public;
grant execute on function find_sign_in(text), session_find(text, timestamptz) to longpoint_app;
