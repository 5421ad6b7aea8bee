#!/usr/bin/env bash
# Builds the site the browser tests play on and runs them. Arguments go to vitest.
set -euo pipefail
cd "$(dirname "$0")"
[ -x "${CHROMIUM:-/usr/bin/chromium}" ] || { echo "Chromium is missing: install Debian's chromium, or set CHROMIUM to one." >&2; exit 1; }
[ -e node_modules/.package-lock.json ] || npm ci --no-audit --no-fund
mkdir -p .out
(cd ../.. && go build -o tests/browser/.out/site ./tests/browser/site)
npm run --silent check
exec npx vitest run "$@"
