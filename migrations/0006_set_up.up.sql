-- What was taken together to set a job up, and what a company has put by to set up the next.
--
-- Why so:
--   a schedule or a copied room makes many commands in one transaction. bundles keeps the id the device made for the
--   whole, so that a request sent twice does nothing twice, and a digest, so that another request under that id is told.
--   a template is a setting of the company, nothing a person did to a house: it is in no job's log. body holds the rule
--   book's own JSON.
--
-- Roll-out: only new tables, so yesterday's program runs on. Way back: drops them; templates are lost, logs are not.

create table bundles (
    company_id uuid        not null,
    bundle_id  uuid        not null,
    job_id     uuid        not null,
    person_id  uuid        not null,
    digest     text        not null,
    first_seq  bigint      not null,
    last_seq   bigint      not null,
    taken_at   timestamptz not null,
    constraint bundles_pkey primary key (company_id, bundle_id),
    constraint bundles_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint bundles_person_fkey foreign key (company_id, person_id) references people (company_id, person_id),
    constraint bundles_entry_fkey foreign key (company_id, job_id, first_seq) references entries (company_id, job_id, seq),
    constraint bundles_made_entries check (last_seq >= first_seq),
    constraint bundles_digest_is_sha256 check (digest ~ '^[0-9a-f]{64}$')
);

create table templates (
    company_id  uuid        not null,
    template_id uuid        not null,
    kind        text        not null,
    name        text        not null,
    body        jsonb       not null,
    made_by     uuid        not null,
    made_at     timestamptz not null,
    constraint templates_pkey primary key (company_id, template_id),
    constraint templates_company_fkey foreign key (company_id) references companies (company_id),
    constraint templates_person_fkey foreign key (company_id, made_by) references people (company_id, person_id),
    constraint templates_kind_is_known check (kind in ('rooms', 'trim')),
    constraint templates_name_is_written check (btrim(name) <> '' and char_length(name) <= 80)
);

do $$
declare
    t text;
begin
    foreach t in array array['bundles', 'templates']
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

grant select, insert on table bundles to longpoint_app;
grant select, insert, delete on table templates to longpoint_app;
