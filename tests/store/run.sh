#!/usr/bin/env bash
# Runs the tests in this folder with a container engine, which it starts when none answers and this
# is root, and leaves nothing behind: neither containers nor an engine of its own. Arguments go to
# `go test`.
#
# Where no engine can be had the tests are skipped, in so many words. In CI, as root, that is a
# failure unless dockerd itself cannot start there.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
cd "$here/../.."

"$here/engine.sh" ours && running=yes || running=no

# DOCKER_HOST is set only when the engine answers, so that it reaches docker-compose too.
code=0
address=$("$here/engine.sh" start) || code=$?
if [ "$code" = 75 ]; then
  cat >&2 <<'WORDS'
**********************************************************************
  SKIPPED: the container tests of tests/store.
  No container engine can be had on this machine (the reason is above).
  What they cover has NOT been tested: the store against PostgreSQL in
  a container, docker-compose.yml and deploy/compose.nodes.yml.
**********************************************************************
WORDS
  exit 0
fi
[ "$code" = 0 ] || exit "$code"

export DOCKER_HOST=$address
LONGPOINT_CONTAINER_RUN=$(date +%s)-$$
export LONGPOINT_CONTAINER_RUN
export LONGPOINT_CONTAINERS=required
# The cleaner of testcontainers is an image of its own, which may not be had; what it would do is
# done below, by label.
export TESTCONTAINERS_RYUK_DISABLED=true
# A published port is on this machine's loopback, whatever the tests themselves run in.
export TESTCONTAINERS_HOST_OVERRIDE=${TESTCONTAINERS_HOST_OVERRIDE:-127.0.0.1}

clean() {
  docker ps -aq --filter "label=longpoint.run=$LONGPOINT_CONTAINER_RUN" | xargs -r docker rm --force --volumes >/dev/null || true
  local project label
  for project in longpoint-test longpoint-nodes; do
    label=com.docker.compose.project=$project-$LONGPOINT_CONTAINER_RUN
    docker ps -aq --filter "label=$label" | xargs -r docker rm --force --volumes >/dev/null || true
    docker network ls -q --filter "label=$label" | xargs -r docker network rm >/dev/null || true
    docker volume ls -q --filter "label=$label" | xargs -r docker volume rm >/dev/null || true
  done
  docker image rm --force "longpoint:test-$LONGPOINT_CONTAINER_RUN" >/dev/null 2>&1 || true
  [ "$running" = yes ] || "$here/engine.sh" stop # only one that this script started
}
trap clean EXIT
trap 'exit 130' INT TERM

LONGPOINT_PG_IMAGE=$("$here/engine.sh" image)
export LONGPOINT_PG_IMAGE
LONGPOINT_PROXY_IMAGE=$("$here/engine.sh" proxy)
export LONGPOINT_PROXY_IMAGE
LONGPOINT_POOLER_IMAGE=$("$here/engine.sh" pooler)
export LONGPOINT_POOLER_IMAGE
echo "tests/store: engine $DOCKER_HOST, images $LONGPOINT_PG_IMAGE, $LONGPOINT_PROXY_IMAGE, $LONGPOINT_POOLER_IMAGE" >&2
go test -count=1 -timeout 15m "$@" ./tests/store
