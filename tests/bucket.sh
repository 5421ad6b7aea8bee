#!/usr/bin/env bash
# Photo storage against a server of the S3 protocol that is not ours: versitygw, which keeps a bucket as a folder, built from
# the module proxy in that module's own requirements. Where it cannot be had nothing was tried, and it says so.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
server=github.com/versity/versitygw/cmd/versitygw@v1.8.0
kept=${XDG_CACHE_HOME:-$HOME/.cache}/longpoint/${server##*/}
if [ ! -x "$kept/versitygw" ]; then
  mkdir -p "$kept"
  (cd "$(mktemp -d)" && GOFLAGS=-trimpath GOBIN=$kept go install "$server") || {
    cat >&2 <<WORDS
**********************************************************************
  SKIPPED: photos in a bucket of a real server.
  $server cannot be had
  from this machine: only the fake was tried.
**********************************************************************
WORDS
    exit 0
  }
fi
port=$(node -e "const s = require('net').createServer().listen(0, '127.0.0.1', () => { console.log(s.address().port); s.close(); })")
folder=$(mktemp -d)
mkdir "$folder/photos"
"$kept/versitygw" --access tried --secret tried-and-true --quiet --port "127.0.0.1:$port" posix "$folder" >"$folder.log" 2>&1 &
pid=$!
trap 'kill "$pid" 2>/dev/null; wait "$pid" 2>/dev/null; rm -rf "$folder" "$folder.log"' EXIT
for _ in $(seq 300); do
  (: <"/dev/tcp/127.0.0.1/$port") 2>/dev/null && break
  kill -0 "$pid" 2>/dev/null || { cat "$folder.log" >&2; exit 1; }
  sleep 0.1
done
LONGPOINT_TEST_S3="http://127.0.0.1:$port photos tried tried-and-true" go test -count=1 -v -run '^TestBucketAgainstARealServer$' ./internal/photo
