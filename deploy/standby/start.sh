#!/bin/sh
# Makes this server a standby of the primary at its first start, and runs it. It follows by streaming; if the primary is
# lost, `pg_ctl promote` here makes it the primary (deploy/README.md, "When the primary is lost").
#   PRIMARY            its host
#   STANDBY_PASSWORD   of role longpoint_standby there
set -eu
: "${PGDATA:=/var/lib/postgresql/data}"
if [ "$(id -u)" = 0 ]; then
  mkdir -p "$PGDATA"
  chown postgres:postgres "$PGDATA"
  chmod 700 "$PGDATA"
  exec setpriv --reuid=postgres --regid=postgres --init-groups "$0" "$@"
fi
if [ ! -s "$PGDATA/PG_VERSION" ]; then
  # A try that broke off, and a standby made anew, find the slot there already.
  copy() {
    PGPASSWORD=$STANDBY_PASSWORD pg_basebackup --host="$PRIMARY" --username=longpoint_standby --pgdata="$PGDATA" \
      --wal-method=stream --checkpoint=fast --write-recovery-conf --slot=longpoint_standby "$@"
  }
  until copy --create-slot || { rm -rf "${PGDATA:?}"/* && copy; }; do
    rm -rf "${PGDATA:?}"/*
    sleep 2
  done
fi
exec postgres -D "$PGDATA" -c listen_addresses='*' -c hot_standby=on "$@"
