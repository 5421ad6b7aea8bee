#!/bin/sh
# Run once by the primary's image when its data is made: lets the standby in.
set -eu
psql --username "$POSTGRES_USER" --dbname "$POSTGRES_DB" --set=ON_ERROR_STOP=1 --set=word="$STANDBY_PASSWORD" <<'SQL'
create role longpoint_standby login replication password :'word';
SQL
echo 'host replication longpoint_standby all scram-sha-256' >>"$PGDATA/pg_hba.conf"
