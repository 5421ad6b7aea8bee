#!/bin/sh
# Writes the one user there is into the file the pooler reads, and runs it.
#   POOLER_USER, POOLER_PASSWORD   the service's role
#   POOLER_DATABASE                where to, host=… port=… dbname=…
set -eu
dir=$(mktemp -d)
umask 077
printf '"%s" "%s"\n' "$POOLER_USER" "$POOLER_PASSWORD" >"$dir/users"
{
  printf '[databases]\nlongpoint = %s\n' "$POOLER_DATABASE"
  cat "$(dirname "$0")/pooler.ini"
  printf 'auth_file = %s\n' "$dir/users"
} >"$dir/ini"
exec pgbouncer "$dir/ini"
