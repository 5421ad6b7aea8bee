-- Photos of items and rooms, and what has arrived of those still on their way.
--
-- Why so:
--   The left half of a row (to withdrawn) is folded from the log like every projection and is rebuilt with them. The
--   right half is what became of the bytes, which the log does not know: they travel apart from it, and a photo whose
--   bytes never arrive stays in sight as waiting.
--   Parts are kept here and not in the photo storage: a part and the count of what has arrived change in one
--   transaction, on whichever node the next part comes to, and nothing is left over in a bucket. They go when the photo
--   is whole.
--   Stored bytes are known by their SHA-256; two photos may be the same bytes.
--
-- Roll-out: only new tables; yesterday's program neither sees nor needs them. Way back: drops what was counted and the
-- parts on their way; the storage keeps its photos, and the log still says which there were.

create table photos (
    company_id    uuid        not null,
    job_id        uuid        not null,
    photo_id      uuid        not null,
    command_id    uuid        not null,
    room_id       uuid,
    item_id       uuid,
    person_id     uuid        not null,
    sha256        text        not null,
    bytes         bigint      not null,
    width         bigint      not null,
    height        bigint      not null,
    withdrawn     boolean     not null default false,
    state         text        not null default 'waiting',
    reason        text,
    received      bigint      not null default 0,
    full_sha256   text,
    thumb_sha256  text,
    stored_width  bigint,
    stored_height bigint,
    settled_at    timestamptz,
    constraint photos_pkey primary key (company_id, job_id, photo_id),
    constraint photos_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint photos_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint photos_are_of_something check (room_id is not null or item_id is not null),
    constraint photos_sha256_is_one check (sha256 ~ '^[0-9a-f]{64}$'),
    constraint photos_state_is_known check (state in ('waiting', 'stored', 'refused')),
    constraint photos_refused_have_a_reason check ((state = 'refused') = (reason is not null)),
    constraint photos_received_is_of_bytes check (received between 0 and bytes),
    constraint photos_stored_are_whole check (
        (state = 'stored') = (
            full_sha256 is not null and thumb_sha256 is not null and stored_width is not null and stored_height is not null
        )
    ),
    constraint photos_settled_have_a_time check ((state = 'waiting') = (settled_at is null))
);
create index photos_by_command on photos (company_id, job_id, command_id);

create table photo_parts (
    company_id uuid   not null,
    job_id     uuid   not null,
    photo_id   uuid   not null,
    starts_at  bigint not null,
    content    bytea  not null,
    constraint photo_parts_pkey primary key (company_id, job_id, photo_id, starts_at),
    constraint photo_parts_photo_fkey foreign key (company_id, job_id, photo_id) references photos (company_id, job_id, photo_id)
);

-- A JPEG does not get smaller; trying costs time.
alter table photo_parts alter column content set storage external;

do $$
declare
    t text;
begin
    foreach t in array array['photos', 'photo_parts']
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

grant select, insert, update on table photos to longpoint_app;
grant select, insert, delete on table photo_parts to longpoint_app;
