-- Search by words that are kept, so that a question costs what it finds and not what the company has written.
--
-- Why so:
--   Row-level security lets only leakproof operators run ahead of the policy. @@ is not one, so an index of text search would
--   never be read; comparing a text is one. A word is therefore a row, found by a range of a B-tree under the same policy as
--   everything else: no function goes round it.
--   Keys lead with the company and then the job, because who may read is decided by the job, and because a word that a
--   million things hold is then looked for in the jobs last worked on until there are enough. Jobs are few: theirs lead with the word.
--   A thing's words are those of the text that the search matches, and it is matched again by that text: what is kept here
--   only leads there. Hence no foreign keys, which would cost a check a word.
--   An item carries its room's words too, so that "hall closet" finds the closet door in the hall.
--   Triggers keep them, as the writer, bound by the writer's policy: yesterday's program writes no words of its own. An entry
--   is never changed, so that only its coming is watched, and only where it holds words.
--
-- Roll-out: three tables, filled from what is there in the order of their keys. Writing waits meanwhile, since the triggers lock
-- the tables until the step is through: 73 s for a million items on a busy machine. Yesterday's program runs on and keeps them.
-- Way back: drops them; search reads texts again.

-- What an item is found by.
create function item_said(name text, room text, kind text, state jsonb) returns text
    language sql immutable parallel safe
as $$ select concat_ws(', ', name, room, replace(kind, '_', ' '), state #>> '{unit,fire_label}') $$;

-- The words of a text, as the search compares them.
create function words_of(said text) returns setof text
    language sql immutable parallel safe
as $$ select w.lexeme from unnest(to_tsvector('simple'::regconfig, public.plain_words(said))) w $$;

create table job_words (
    company_id uuid             not null,
    word       text collate "C" not null,
    job_id     uuid             not null,
    constraint job_words_pkey primary key (company_id, word, job_id)
);

-- thing_id is a room's or an item's.
create table name_words (
    company_id uuid             not null,
    job_id     uuid             not null,
    word       text collate "C" not null,
    thing_id   uuid             not null,
    constraint name_words_pkey primary key (company_id, job_id, word, thing_id)
);

create table entry_words (
    company_id uuid             not null,
    job_id     uuid             not null,
    word       text collate "C" not null,
    seq        bigint           not null,
    constraint entry_words_pkey primary key (company_id, job_id, word, seq)
);

do $$
declare
    t text;
begin
    foreach t in array array['job_words', 'name_words', 'entry_words']
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

grant select, insert, delete on table job_words, name_words to longpoint_app;
grant select, insert on table entry_words to longpoint_app;

create function job_words_keep() returns trigger
    language plpgsql set search_path = pg_catalog, pg_temp
as $$
begin
    if tg_op <> 'INSERT' then
        delete from public.job_words w
        where w.company_id = old.company_id
          and w.job_id = old.job_id
          and w.word in (select public.words_of(concat_ws(', ', old.name, old.state ->> 'address')));
    end if;
    if tg_op <> 'DELETE' then
        insert into public.job_words (company_id, word, job_id)
        select new.company_id, w, new.job_id
        from public.words_of(concat_ws(', ', new.name, new.state ->> 'address')) w
        on conflict do nothing;
    end if;
    return null;
end
$$;

-- A room or an item that was found by one text is found by another.
create function name_words_change(company uuid, job uuid, thing uuid, was text, said text) returns void
    language plpgsql set search_path = pg_catalog, pg_temp
as $$
begin
    if was <> '' then
        delete from public.name_words w
        where w.company_id = company
          and w.job_id = job
          and w.thing_id = thing
          and w.word in (select public.words_of(was));
    end if;
    insert into public.name_words (company_id, job_id, word, thing_id)
    select company, job, w, thing
    from public.words_of(said) w
    on conflict do nothing;
end
$$;

create function room_words_keep() returns trigger
    language plpgsql set search_path = pg_catalog, pg_temp
as $$
begin
    if tg_op = 'DELETE' then
        perform public.name_words_change(old.company_id, old.job_id, old.room_id, old.name, '');
        return null;
    end if;
    if tg_op = 'INSERT' then
        perform public.name_words_change(new.company_id, new.job_id, new.room_id, '', new.name);
        return null;
    end if;
    perform public.name_words_change(new.company_id, new.job_id, new.room_id, old.name, new.name);
    perform public.name_words_change(i.company_id, i.job_id, i.item_id, old.name, public.item_said(i.name, new.name, i.kind, i.state))
    from public.items i
    where i.company_id = new.company_id
      and i.job_id = new.job_id
      and i.room_id = new.room_id
      and i.state -> 'removed' is null;
    return null;
end
$$;

create function item_words_keep() returns trigger
    language plpgsql set search_path = pg_catalog, pg_temp
as $$
declare
    room text;
    was  text := '';
    said text := '';
begin
    if tg_op <> 'INSERT' then
        select r.name into room
        from public.rooms r
        where r.company_id = old.company_id
          and r.job_id = old.job_id
          and r.room_id = old.room_id;
        was := public.item_said(old.name, room, old.kind, old.state);
    end if;
    if tg_op = 'DELETE' then
        perform public.name_words_change(old.company_id, old.job_id, old.item_id, was, '');
        return null;
    end if;
    if new.state -> 'removed' is null then
        select r.name into room
        from public.rooms r
        where r.company_id = new.company_id
          and r.job_id = new.job_id
          and r.room_id = new.room_id;
        said := public.item_said(new.name, room, new.kind, new.state);
    end if;
    perform public.name_words_change(new.company_id, new.job_id, new.item_id, was, said);
    return null;
end
$$;

create function entry_words_keep() returns trigger
    language plpgsql set search_path = pg_catalog, pg_temp
as $$
begin
    insert into public.entry_words (company_id, job_id, word, seq)
    select new.company_id, new.job_id, w, new.seq
    from public.words_of(public.written_words(new.command)) w
    on conflict do nothing;
    return null;
end
$$;

create trigger jobs_have_words
    after insert or delete on jobs
    for each row execute function job_words_keep();
create trigger jobs_change_words
    after update of name, state on jobs
    for each row
    when (old.name is distinct from new.name or old.state ->> 'address' is distinct from new.state ->> 'address')
    execute function job_words_keep();
create trigger rooms_have_words
    after insert or delete on rooms
    for each row execute function room_words_keep();
create trigger rooms_change_words
    after update of name on rooms
    for each row when (old.name is distinct from new.name)
    execute function room_words_keep();
create trigger items_have_words
    after insert or delete on items
    for each row execute function item_words_keep();
create trigger items_change_words
    after update of room_id, name, kind, state on items
    for each row
    when (
        old.name is distinct from new.name
        or old.room_id is distinct from new.room_id
        or old.kind is distinct from new.kind
        or old.state #>> '{unit,fire_label}' is distinct from new.state #>> '{unit,fire_label}'
        or (old.state -> 'removed' is null) <> (new.state -> 'removed' is null)
    )
    execute function item_words_keep();
create trigger entries_have_words
    after insert on entries
    for each row
    when (new.kind in ('note', 'withdraw', 'reopen_stage', 'pass_stop', 'remove_item', 'miscut', 'say_remark', 'move_remark', 'close_walk',
        'add_photo', 'log_coat', 'set_product', 'return_offcut', 'sign_off'))
    execute function entry_words_keep();

-- The owner sees one company's rows at a time, as everyone does.
do $$
declare
    c uuid;
begin
    for c in select company_id from public.companies order by company_id
    loop
        perform set_config('app.company', c::text, true);
        insert into public.job_words (company_id, word, job_id)
        select j.company_id, w, j.job_id
        from public.jobs j, public.words_of(concat_ws(', ', j.name, j.state ->> 'address')) w
        where j.company_id = c
        order by 1, 2, 3;
        insert into public.name_words (company_id, job_id, word, thing_id)
        select r.company_id, r.job_id, w, r.room_id
        from public.rooms r, public.words_of(r.name) w
        where r.company_id = c
        order by 1, 2, 3, 4;
        insert into public.name_words (company_id, job_id, word, thing_id)
        select i.company_id, i.job_id, w, i.item_id
        from public.items i
        join public.rooms r on (r.company_id, r.job_id, r.room_id) = (i.company_id, i.job_id, i.room_id),
            public.words_of(public.item_said(i.name, r.name, i.kind, i.state)) w
        where i.company_id = c
          and i.state -> 'removed' is null
        order by 1, 2, 3, 4;
        insert into public.entry_words (company_id, job_id, word, seq)
        select e.company_id, e.job_id, w, e.seq
        from public.entries e, public.words_of(public.written_words(e.command)) w
        where e.company_id = c
          and e.kind in ('note', 'withdraw', 'reopen_stage', 'pass_stop', 'remove_item', 'miscut', 'say_remark', 'move_remark', 'close_walk',
            'add_photo', 'log_coat', 'set_product', 'return_offcut', 'sign_off')
        order by 1, 2, 3, 4;
    end loop;
    perform set_config('app.company', '', true);
end
$$;

grant execute on function
    item_said(text, text, text, jsonb),
    words_of(text),
    name_words_change(uuid, uuid, uuid, text, text)
to longpoint_app;
