-- The role stays: other databases of the cluster may use it, and its password is not ours to lose.
revoke select on table schema_migrations from longpoint_app;
revoke usage on schema public from longpoint_app;
