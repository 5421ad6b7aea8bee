#!/usr/bin/env bash
# Installs what building and testing need and this machine lacks.
#   need.sh base   enough for `make demo`: a PostgreSQL server, unless DATABASE_URL names one
#   need.sh all    also what the tests use: three browser engines, a container engine, pgbench
set -euo pipefail
what=${1:-base}

fail() { echo "$1" >&2; exit 1; }
has() { command -v "$1" >/dev/null 2>&1; }
has_postgres() {
  [ -n "${DATABASE_URL:-}" ] || [ -x "${LONGPOINT_PG_BIN:-/nonexistent}/initdb" ] || has initdb ||
    ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || { has pg_config && [ -x "$(pg_config --bindir)/initdb" ]; }
}

has go || fail "Go is missing: install Go 1.26 or later, then run this again."
has node && has npm || fail "Node.js or npm is missing: install Node.js 20 or later with npm, then run this again."

packages=()
has_postgres || packages+=(postgresql)
if [ "$what" = all ]; then
  has chromium || packages+=(chromium)
  has firefox-esr || packages+=(firefox-esr)
  has WebKitWebDriver || packages+=(webkit2gtk-driver)
  has Xvfb || packages+=(xvfb)
  has dockerd || packages+=(docker.io)
  has mmdebstrap || packages+=(mmdebstrap)
  has caddy || packages+=(caddy)
  has pdftotext || packages+=(poppler-utils)
  has pgbouncer || packages+=(pgbouncer)
  has docker-compose || packages+=(docker-compose)
  has cbc || packages+=(coinor-cbc)
  has pgbench || [ -x /usr/lib/postgresql/15/bin/pgbench ] || packages+=(postgresql-contrib)
fi
[ ${#packages[@]} -eq 0 ] && exit 0

run=()
if [ "$(id -u)" != 0 ]; then
  has sudo || fail "Missing: ${packages[*]}. Ask whoever runs this machine to install them, or set DATABASE_URL to a PostgreSQL you may use."
  run=(sudo)
fi
has apt-get || fail "Missing: ${packages[*]}. Install them with this system's package tool, or set DATABASE_URL to a PostgreSQL you may use."
echo "Installing ${packages[*]} …" >&2
"${run[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update -qq
# A server of its own that Debian would start on install is not wanted.
"${run[@]}" mkdir -p /etc/postgresql-common
[ -e /etc/postgresql-common/createcluster.conf ] || echo 'create_main_cluster = false' | "${run[@]}" tee /etc/postgresql-common/createcluster.conf >/dev/null
"${run[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${packages[@]}" >/dev/null
