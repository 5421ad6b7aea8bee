-- The service signs in as longpoint_app, which owns nothing and is bound by row-level security; the owner migrates.
-- Roles belong to the whole cluster: the role may exist, made for another database or by an administrator who gave
-- it its password, and another database's migration may be making it at this moment.
-- Roll-out: nothing reads it yet.
do $$
begin
    if current_user = 'longpoint_app' then
        raise exception 'migrations run as the database''s owner, not as longpoint_app'
            using hint = 'Give the owner''s address to the migrate command.';
    end if;

    if not exists (select from pg_catalog.pg_roles where rolname = 'longpoint_app') then
        begin
            create role longpoint_app
                login
                nosuperuser
                nocreatedb
                nocreaterole
                nobypassrls;
        exception
            when duplicate_object or unique_violation then
                null; -- another database's migration was quicker
        end;
    end if;

    -- A role that owners trust, or that the policies do not bind, would show one company another's houses.
    if exists (
        select from pg_catalog.pg_roles
        where rolname = 'longpoint_app'
          and (rolsuper or rolbypassrls)
    ) then
        raise exception 'role longpoint_app must not be a superuser or bypass row-level security'
            using hint = 'ALTER ROLE longpoint_app NOSUPERUSER NOBYPASSRLS;';
    end if;
    if pg_catalog.pg_has_role('longpoint_app', current_user, 'member') then
        raise exception 'role longpoint_app must not be a member of the owner''s role %', current_user
            using hint = format('REVOKE %I FROM longpoint_app;', current_user);
    end if;

    -- Days are cut in UTC whatever the server's zone is, and a transaction that a dead phone left open lets go of its
    -- locks. Set once; an administrator's own setting is kept.
    if not exists (
        select from pg_catalog.pg_roles
        where rolname = 'longpoint_app'
          and rolconfig is not null
    ) then
        begin
            alter role longpoint_app set timezone = 'UTC';
            alter role longpoint_app set idle_in_transaction_session_timeout = '60s';
        exception
            when unique_violation or internal_error then
                null; -- "tuple concurrently updated": another database's migration is setting the same
            when insufficient_privilege then
                raise warning 'the owner may not change role longpoint_app: set its timezone to UTC yourself';
        end;
    end if;
end
$$;

-- From PostgreSQL 15 on this is so in new databases; those carried over from older servers still let anyone create.
revoke create on schema public from public;
grant usage on schema public to longpoint_app;

-- Readiness asks, as the service, which step the schema is at.
grant select on table schema_migrations to longpoint_app;
