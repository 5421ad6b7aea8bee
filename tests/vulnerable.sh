#!/usr/bin/env bash
# Asks govulncheck whether the program reaches code with a known vulnerability.
#   tests/vulnerable.sh          by the reports as they stood at `pinned`: the same commit gets the same answer (CI)
#   tests/vulnerable.sh newest   by today's, from vuln.go.dev or else the module proxy
# The module golang.org/x/vulndb holds the reports that vuln.go.dev gives out. Where neither can be had nothing was looked
# at, and it says so.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
tool=golang.org/x/vuln/cmd/govulncheck@v1.9.0
pinned=v0.0.0-20261105234957-e22db6528018
stale=60 # days after which it says that the pin is old

# reports fetches one version of the module and prints its folder. Outside this module: its own requirements are no
# concern of the reports.
reports() {
  local found
  found=$(cd "$(mktemp -d)" && timeout 300 go mod download -json "golang.org/x/vulndb@$1" 2>/dev/null) || return
  sed -n 's/.*"Dir": "\(.*\)".*/\1/p' <<<"$found"
}

skipped() {
  cat >&2 <<'WORDS'
**********************************************************************
  SKIPPED: known vulnerabilities.
  Their reports cannot be had from this machine (golang.org/x/vulndb
  by the module proxy, or vuln.go.dev): nothing was looked at.
**********************************************************************
WORDS
  exit 0
}

version_of() { sed 's/.*@//' <<<"$1"; }
day_of() { sed -E 's/^v0\.0\.0-([0-9]{4})([0-9]{2})([0-9]{2}).*/\1-\2-\3/' <<<"$1"; }

where=
if [ "${1:-}" = newest ]; then
  if curl --silent --fail --max-time 10 --output /dev/null https://vuln.go.dev/index/db.json 2>/dev/null; then
    echo "vulnerable: by today's reports of vuln.go.dev" >&2
  else
    dir=$(reports latest) || skipped
    echo "vulnerable: by the reports of $(day_of "$(version_of "$dir")"), the module proxy's newest: pinned=$(version_of "$dir")" >&2
    where=-db=file://$dir/data/osv
  fi
else
  dir=$(reports "$pinned") || skipped
  where=-db=file://$dir/data/osv
  day=$(day_of "$pinned")
  age=$((($(date +%s) - $(date --date "$day" +%s)) / 86400))
  echo "vulnerable: by the reports of $day, $(find "$dir/data/osv" -name '*.json' | wc -l) of them" >&2
  [ "$age" -le "$stale" ] || echo "vulnerable: they are $age days old: make vulnerable-newest, then bring the pin in $0 forward" >&2
fi
code=0
out=$(go run "$tool" $where ./cmd/longpoint) || code=$?
[ "$code" = 0 ] && { echo "vulnerable: nothing known is reached"; exit 0; }
[ "$code" = 3 ] || grep -q '^Vulnerability #' <<<"$out" || { echo "$out"; exit "$code"; } # 3: something was found
awk '/^Vulnerability #/ {id = $3; getline title} /^  *Module: / {module = $2} /^  Standard library/ {module = "the standard library"}
  /Found in: / {found = $3} /Fixed in: / {print id ": " module ", " found ", mended in " $3}' <<<"$out"
# A module is ours to bring up to date; the standard library comes with the Go that builds.
if awk '/^  *Module: /' <<<"$out" | grep -q .; then
  echo "vulnerable: bring the modules up to date (go get MODULE@VERSION)" >&2
  exit 1
fi
echo "vulnerable: only in this machine's $(go env GOVERSION): build what you run with a newer one" >&2
