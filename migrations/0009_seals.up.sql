-- Seals: what a homeowner's signature under a whole walkthrough covers, so that a change of the log behind it is found.
--
-- Why so:
--   A seal holds one SHA-256 an entry, each over the one before it and the entry's canonical bytes (internal/seal), so that
--   a check can name the entry that was changed. The seals of a job are one chain: each goes on from the last.
--   Seals can be added and read, nothing else, and sealed entries cannot be changed: also not by the owner, short of taking
--   the triggers off. Who does that and rewrites the chain too is found by the seal's value on the signed paper.
--
-- Roll-out: yesterday's program adds entries as before; a walkthrough that it lets be signed has no seal, and longpoint
-- verify says so. Way back: drops the seals; the log stays.

create table seals (
    company_id  uuid        not null,
    job_id      uuid        not null,
    walk_id     uuid        not null,
    from_seq    bigint      not null,
    through_seq bigint      not null,
    links       bytea       not null,
    sealed_at   timestamptz not null,
    constraint seals_pkey primary key (company_id, job_id, walk_id),
    constraint seals_through_key unique (company_id, job_id, through_seq),
    constraint seals_walk_fkey foreign key (company_id, job_id, walk_id) references walks (company_id, job_id, walk_id),
    constraint seals_entry_fkey foreign key (company_id, job_id, through_seq) references entries (company_id, job_id, seq),
    constraint seals_cover_entries check (from_seq >= 1 and through_seq >= from_seq),
    constraint seals_have_a_link_an_entry check (octet_length(links) = 32 * (through_seq - from_seq + 1))
);

alter table seals enable row level security;
alter table seals force row level security;
create policy seals_of_the_company on seals
    using (company_id = nullif(current_setting('app.company', true), '')::uuid)
    with check (company_id = nullif(current_setting('app.company', true), '')::uuid);
-- The trigger below runs as the owner and looks for any company's seal.
create policy seals_found_by_owner on seals for select to current_user using (true);
grant select, insert on table seals to longpoint_app;

create function stay_sealed() returns trigger
    language plpgsql security definer set search_path = pg_catalog, pg_temp
as $$
begin
    if tg_table_name = 'seals' then
        raise exception 'a seal is never changed' using errcode = 'restrict_violation';
    end if;
    if exists (
        select
        from public.seals s
        where s.company_id = old.company_id
          and s.job_id = old.job_id
          and s.through_seq >= old.seq
    ) then
        raise exception 'entry % of the job is sealed', old.seq using errcode = 'restrict_violation';
    end if;
    return case tg_op when 'DELETE' then old else new end;
end
$$;
revoke all on function stay_sealed() from public;

create trigger seals_stay before update or delete on seals for each row execute function stay_sealed();
create trigger sealed_entries_stay before update or delete on entries for each row execute function stay_sealed();
