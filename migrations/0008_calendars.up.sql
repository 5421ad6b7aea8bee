-- A person's days as a calendar: the links their calendar program asks with.
--
-- Why so:
--   A calendar program cannot sign in, so the link itself is the secret; only its hash is kept, and it opens nothing but
--   the person's own days. A person has one at a time: making another ends the one before.
--   The time zone is the one the person was in when they asked: a program that fetches does not say its own.
--
-- Roll-out: a new table and a new function; yesterday's program knows neither.
-- Way back: links cannot be made again from their hashes; people ask for new ones.

create table calendar_links (
    company_id uuid        not null,
    token_hash text        not null,
    person_id  uuid        not null,
    zone       text        not null,
    created_at timestamptz not null,
    ended_at   timestamptz,
    constraint calendar_links_pkey primary key (company_id, token_hash),
    constraint calendar_links_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint calendar_links_token_is_hashed check (token_hash ~ '^[A-Za-z0-9_-]{43}$'),
    constraint calendar_links_zone_is_short check (length(zone) between 1 and 64)
);
create index calendar_links_by_token on calendar_links (token_hash);
create unique index calendar_links_one_a_person on calendar_links (company_id, person_id) where ended_at is null;

alter table calendar_links enable row level security;
alter table calendar_links force row level security;
create policy calendar_links_of_the_company on calendar_links
    using (company_id = nullif(current_setting('app.company', true), '')::uuid)
    with check (company_id = nullif(current_setting('app.company', true), '')::uuid);
create policy calendar_links_found_by_owner on calendar_links for select to current_user using (true);

grant select, insert, update on table calendar_links to longpoint_app;

create function calendar_link_find(token_hash_sought text)
    returns table (
        company_id uuid,
        person_id  uuid,
        zone       text
    )
    language sql stable security definer set search_path = pg_catalog, pg_temp
as $$
    select
        l.company_id,
        l.person_id,
        l.zone
    from public.calendar_links l
    join public.people p on (p.company_id, p.person_id) = (l.company_id, l.person_id)
    where l.token_hash = token_hash_sought
      and l.ended_at is null
      and p.left_at is null
$$;

revoke all on function calendar_link_find(text) from public;
grant execute on function calendar_link_find(text) to longpoint_app;
