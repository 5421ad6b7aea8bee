-- What the yard sells, as a company or a job has listed it, and the cutting plan a job works from.
--
-- Why so:
--   a list is a setting and a plan is worked out: neither is anything a person did to the house, so neither is in the
--   log. What is done by a plan (sticks taken, pieces cut, offcuts put by) is. Only the latest plan of a job is kept.
--   list_of is the company's own id for its list, a job's id for that job's.
--
-- Roll-out: only new tables, so yesterday's program runs on. Way back: drops them; lists and plans are lost, the log
-- and the rack are not.

create table stock_lists (
    company_id uuid        not null,
    list_of    uuid        not null,
    list       jsonb       not null,
    set_at     timestamptz not null,
    set_by     uuid        not null,
    constraint stock_lists_pkey primary key (company_id, list_of),
    constraint stock_lists_company_fkey foreign key (company_id) references companies (company_id),
    constraint stock_lists_person_fkey foreign key (company_id, set_by) references people (company_id, person_id)
);

create table stock_plans (
    company_id uuid        not null,
    job_id     uuid        not null,
    plan       jsonb       not null,
    made_at    timestamptz not null,
    made_by    uuid        not null,
    constraint stock_plans_pkey primary key (company_id, job_id),
    constraint stock_plans_job_fkey foreign key (company_id, job_id) references jobs (company_id, job_id),
    constraint stock_plans_person_fkey foreign key (company_id, made_by) references people (company_id, person_id)
);

do $$
declare
    t text;
begin
    foreach t in array array['stock_lists', 'stock_plans']
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

grant select, insert, update on table stock_lists, stock_plans to longpoint_app;
