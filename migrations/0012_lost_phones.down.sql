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
revoke all on function session_find(text, timestamptz) from public;
grant execute on function session_find(text, timestamptz) to longpoint_app;
drop table held_commands, lost_phones;
