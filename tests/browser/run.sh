#!/usr/bin/env bash
# Builds the site the browser tests play on and runs them. Arguments go to vitest.
set -euo pipefail
cd "$(dirname "$0")"
[ -x "${CHROMIUM:-/usr/bin/chromium}" ] || { echo "Chromium is missing: install Debian's chromium, or set CHROMIUM to one." >&2; exit 1; }
[ -e node_modules/.package-lock.json ] || npm ci --no-audit --no-fund
mkdir -p .out
(cd ../.. && go build -o tests/browser/.out/site ./tests/browser/site)
# The same app once more as the version after it, for the test of an update.
if [ ! -e .out/next/sw.js ] || [ ../../web/dist/index.html -nt .out/next/sw.js ]; then
  (cd ../../web && LONGPOINT_VERSION=next npx vite build --logLevel warn --emptyOutDir --outDir ../tests/browser/.out/next &&
    node scripts/service-worker.mjs ../tests/browser/.out/next)
fi
npm run --silent check
exec npx vitest run "$@"
