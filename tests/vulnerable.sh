#!/usr/bin/env bash
# Asks govulncheck whether the program reaches code with a known vulnerability. It takes the published database; where
# that cannot be reached, the same reports as the Go module golang.org/x/vulndb has them, from whichever module proxy
# this machine uses. Where neither can be had nothing was looked at, and it says so.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
tool=golang.org/x/vuln/cmd/govulncheck@v1.9.0

where=
if ! curl --silent --fail --max-time 10 --output /dev/null https://vuln.go.dev/index/db.json 2>/dev/null; then
  # Outside this module: its own requirements are no concern of the reports.
  if found=$(cd "$(mktemp -d)" && timeout 300 go mod download -json golang.org/x/vulndb@latest 2>/dev/null); then
    dir=$(sed -n 's/.*"Dir": "\(.*\)".*/\1/p' <<<"$found")
    echo "vulnerable: vuln.go.dev does not answer; the reports are those of the module $(basename "$dir"), $(find "$dir/data/osv" -name '*.json' | wc -l) of them" >&2
    where=-db=file://$dir/data/osv
  else
    cat >&2 <<'WORDS'
**********************************************************************
  SKIPPED: known vulnerabilities.
  Neither vuln.go.dev nor golang.org/x/vulndb by the module proxy can
  be had from this machine: nothing was looked at.
**********************************************************************
WORDS
    exit 0
  fi
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
