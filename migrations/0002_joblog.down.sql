-- Drops the whole job log: for development and tests. Policies, grants and triggers go with their tables.
drop function sessions_sweep(timestamptz);
drop function session_end(text, timestamptz);
drop function session_find(text, timestamptz);
drop function find_sign_in(text);
drop table
    stages,
    cuts,
    takes,
    job_people,
    items,
    rooms,
    commands,
    entries,
    jobs,
    sessions,
    people,
    companies;
drop function people_sign_in_is_free();
