#!/bin/sh
# Makes a cluster in PGDATA at the first start and serves it on every address, with a password.
set -eu
: "${POSTGRES_USER:=postgres}"
: "${POSTGRES_DB:=$POSTGRES_USER}"

if [ "$(id -u)" = 0 ]; then
  mkdir -p "$PGDATA" /var/run/postgresql
  chown -R postgres:postgres "$PGDATA" /var/run/postgresql # the socket's directory too: postgres writes its lock there
  chmod 700 "$PGDATA"
  exec setpriv --reuid=postgres --regid=postgres --init-groups "$0" "$@"
fi

if [ ! -s "$PGDATA/PG_VERSION" ]; then
  [ -n "${POSTGRES_PASSWORD:-}" ] || { echo "POSTGRES_PASSWORD is not set: a server without a password is not started." >&2; exit 1; }
  words=$(mktemp)
  printf '%s\n' "$POSTGRES_PASSWORD" >"$words"
  initdb --pgdata="$PGDATA" --username="$POSTGRES_USER" --pwfile="$words" --auth=scram-sha-256 --encoding=UTF8 --locale=C.UTF-8
  rm -f "$words"
  echo 'host all all all scram-sha-256' >>"$PGDATA/pg_hba.conf"
  if [ "$POSTGRES_DB" != postgres ]; then
    echo "create database \"$POSTGRES_DB\"" | postgres --single -D "$PGDATA" postgres
  fi
  # As the official image does: scripts put here are run once, with a server that only this container reaches.
  export PGPASSWORD="$POSTGRES_PASSWORD"
  pg_ctl --pgdata="$PGDATA" --silent --wait -o "-c listen_addresses='' -c unix_socket_directories=/var/run/postgresql" start
  for script in /docker-entrypoint-initdb.d/*.sh; do
    [ -e "$script" ] || continue
    if [ -x "$script" ]; then "$script"; else . "$script"; fi
  done
  pg_ctl --pgdata="$PGDATA" --silent --wait --mode=fast stop
  unset PGPASSWORD
fi

[ "${1:-}" = postgres ] && shift
exec postgres -D "$PGDATA" -c listen_addresses='*' -c unix_socket_directories=/var/run/postgresql "$@"
