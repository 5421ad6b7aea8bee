-- The walkthrough: guests, walks as their log has made them, and the links homeowners hold.
--
-- Why so:
--   A guest is a person of the company, so that what they say stands in the log like anything else. They have neither a
--   name to sign in with nor a passphrase, and no session: a link is all they have.
--   walks is a projection like rooms and items, rebuilt from the log.
--   walk_links holds hashes alone. A link opens nothing by itself: it is exchanged for a key, once the passphrase is
--   right where there is one; walk_keys are those keys. Ending a link ends its keys.
--
-- Roll-out: yesterday's program reads people's sign_in and passphrase_hash by name only, so never meets a guest's.
-- Way back: guests stay people who cannot sign in, for the log names them; walks can be folded again, links cannot.

alter table people
    alter column sign_in drop not null,
    alter column passphrase_hash drop not null,
    drop constraint people_role_is_known,
    add constraint people_role_is_known check (role in ('owner', 'lead', 'installer', 'guest')),
    add constraint people_guests_do_not_sign_in check ((role = 'guest') = (sign_in is null) and (role <> 'guest' or passphrase_hash is null));

create table walks (
    company_id uuid  not null,
    job_id     uuid  not null,
    walk_id    uuid  not null,
    guest_id   uuid  not null,
    state      jsonb not null,
    constraint walks_pkey primary key (company_id, job_id, walk_id),
    constraint walks_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint walks_guest_fkey foreign key (company_id, guest_id) references people (company_id, person_id)
);
create index walks_by_guest on walks (company_id, guest_id);

create table walk_links (
    company_id      uuid        not null,
    token_hash      text        not null,
    job_id          uuid        not null,
    walk_id         uuid        not null,
    guest_id        uuid        not null,
    passphrase_hash text,
    created_at      timestamptz not null,
    expires_at      timestamptz not null,
    ended_at        timestamptz,
    constraint walk_links_pkey primary key (company_id, token_hash),
    constraint walk_links_walk_fkey foreign key (company_id, job_id, walk_id) references walks (company_id, job_id, walk_id),
    constraint walk_links_token_is_hashed check (token_hash ~ '^[A-Za-z0-9_-]{43}$'),
    constraint walk_links_passphrase_is_hashed check (passphrase_hash like '$argon2id$%')
);
create index walk_links_by_token on walk_links (token_hash);
create index walk_links_by_walk on walk_links (company_id, job_id, walk_id);

create table walk_keys (
    company_id uuid        not null,
    key_hash   text        not null,
    token_hash text        not null,
    created_at timestamptz not null,
    constraint walk_keys_pkey primary key (company_id, key_hash),
    constraint walk_keys_link_fkey foreign key (company_id, token_hash) references walk_links (company_id, token_hash),
    constraint walk_keys_key_is_hashed check (key_hash ~ '^[A-Za-z0-9_-]{43}$')
);
create index walk_keys_by_key on walk_keys (key_hash);

do $$
declare
    t text;
begin
    foreach t in array array['walks', 'walk_links', 'walk_keys']
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

-- A link and a key are looked up before their company is known: by the functions below, which run as the owner.
create policy walk_links_found_by_owner on walk_links for select to current_user using (true);
create policy walk_keys_found_by_owner on walk_keys for select to current_user using (true);

grant select, insert, update, delete on table walks to longpoint_app;
grant select, insert, update on table walk_links to longpoint_app;
grant select, insert on table walk_keys to longpoint_app;

create function walk_link_find(token_hash_sought text, at_time timestamptz)
    returns table (
        company_id      uuid,
        job_id          uuid,
        walk_id         uuid,
        guest_id        uuid,
        passphrase_hash text
    )
    language sql stable security definer set search_path = pg_catalog, pg_temp
as $$
    select
        l.company_id,
        l.job_id,
        l.walk_id,
        l.guest_id,
        l.passphrase_hash
    from public.walk_links l
    where l.token_hash = token_hash_sought
      and l.ended_at is null
      and l.expires_at > at_time
$$;

create function walk_key_find(key_hash_sought text, at_time timestamptz)
    returns table (
        company_id uuid,
        job_id     uuid,
        walk_id    uuid,
        guest_id   uuid
    )
    language sql stable security definer set search_path = pg_catalog, pg_temp
as $$
    select
        l.company_id,
        l.job_id,
        l.walk_id,
        l.guest_id
    from public.walk_keys k
    join public.walk_links l on (l.company_id, l.token_hash) = (k.company_id, k.token_hash)
    where k.key_hash = key_hash_sought
      and l.ended_at is null
      and l.expires_at > at_time
$$;

revoke all on function walk_link_find(text, timestamptz), walk_key_find(text, timestamptz) from public;
grant execute on function walk_link_find(text, timestamptz), walk_key_find(text, timestamptz) to longpoint_app;
