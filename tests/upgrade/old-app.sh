#!/usr/bin/env bash
# Builds the last program whose schema has fewer steps than today's, from this repository's own history, and takes it
# through an upgrade (old_test.go). Arguments are commits to take instead. A clone without that history has no such
# program: then nothing is tried, in so many words.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."

steps() { git ls-tree "$1" migrations/ | awk '/\.up\.sql$/ {print $3, $4}' | sort; }

# A commit fits when its steps are the first of today's, unchanged. Between two commits that touch the steps the last
# program is the one before the later.
found() {
  local today old touched commit
  today=$(steps HEAD)
  for touched in $(git log --format=%H -- migrations); do
    commit=$(git rev-parse --quiet --verify "$touched^") || continue
    old=$(steps "$commit")
    if [ -n "$old" ] && [ "$old" != "$today" ] && [ -z "$(comm -23 <(echo "$old") <(echo "$today"))" ]; then
      echo "$commit"
      return
    fi
  done
}

commits=("$@")
[ $# -gt 0 ] || read -ra commits <<<"$(found)"
if [ ${#commits[@]} -eq 0 ]; then
  cat >&2 <<'WORDS'
**********************************************************************
  SKIPPED: yesterday's program on today's schema.
  This clone's history has no commit with fewer steps of the schema
  (a shallow clone: git fetch --unshallow). Its recorded statements
  are tried all the same, by go test ./tests/upgrade.
**********************************************************************
WORDS
  exit 0
fi
for commit in "${commits[@]}"; do
  dir=$(mktemp -d)
  trap 'rm -rf "$dir"' EXIT
  git archive "$commit" | tar -x -C "$dir"
  echo "upgrade: building $(git log -1 --format='%h, %s' "$commit")" >&2
  (cd "$dir" && go build -trimpath -o longpoint-old ./cmd/longpoint)
  LONGPOINT_OLD_PROGRAM=$dir/longpoint-old go test -count=1 -v -run TestYesterdaysProgramWorksThroughAnUpgrade ./tests/upgrade
  rm -rf "$dir"
done
