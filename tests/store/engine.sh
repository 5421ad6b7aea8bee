#!/usr/bin/env bash
# A container engine and a PostgreSQL image for the tests in this folder.
#   engine.sh start   prints the engine's address; starts dockerd when none answers and this is root.
#                     Exit 75: no engine can be had here (the reason is on standard error).
#   engine.sh image   prints the name of a PostgreSQL image the engine has: LONGPOINT_PG_IMAGE pulled,
#                     else a stand-in built from Debian's packages.
#   engine.sh proxy   prints the name of the proxy's image, likewise.
#   engine.sh pooler  prints the name of the pooler's image: built from deploy/pooler, else that on the stand-in's root.
#   engine.sh ours    succeeds when a dockerd that `start` started is running.
#   engine.sh stop    stops that dockerd, and none other.
# State is in .engine/ beside this script: dockerd's data, so that images are kept, its log and its pid.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
state=$here/.engine
standin=longpoint-postgres-standin:15
packages=postgresql,pgbouncer # in the stand-ins' root file system
root=longpoint-standin-root:${packages//,/-}
export LONGPOINT_PG_IMAGE=${LONGPOINT_PG_IMAGE:-docker.io/library/postgres:15-bookworm}
pull_limit=${LONGPOINT_PULL_LIMIT:-300} # seconds; a machine without a way out fails far sooner
none=75                                 # EX_TEMPFAIL of sysexits.h

say() { echo "engine.sh: $*" >&2; }
has() { command -v "$1" >/dev/null 2>&1; }
answers() { DOCKER_HOST=$1 timeout 10 docker version >/dev/null 2>&1; }

# A unix socket's path has fewer than 104 bytes, which a clone's own path may use up.
socket_dir() { echo "/run/longpoint-engine-$(printf %s "$here" | cksum | cut -d' ' -f1)"; }
own_address() { echo "unix://$(socket_dir)/docker.sock"; }

install() {
  has apt-get || return 1
  say "installing $* from Debian"
  DEBIAN_FRONTEND=noninteractive apt-get update -qq >&2 &&
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >&2
}

# ours tells whether the recorded pid is still the dockerd that was started here: pids are used again.
ours() {
  local pid
  pid=$(cat "$state/dockerd.pid" 2>/dev/null) && [ -n "$pid" ] && tr '\0' ' ' <"/proc/$pid/cmdline" 2>/dev/null | grep -qF -- "--data-root $state/data "
}

start() {
  local address
  for address in "${DOCKER_HOST:-}" "$(own_address)" unix:///var/run/docker.sock; do
    if [ -n "$address" ] && has docker && answers "$address"; then echo "$address"; return; fi
  done
  if [ "$(id -u)" != 0 ]; then
    say "no container engine answers, and only root can start one."
    return $none
  fi
  if ! has dockerd || ! has docker; then
    install docker.io || {
      say "dockerd is missing and could not be installed."
      [ "${CI:-}" != true ] || return 1
      return $none
    }
  fi
  launch || launch --iptables=false --ip6tables=false --ip-masq=false --storage-driver=vfs || {
    say "dockerd cannot start on this machine. The end of its log:"
    tail -n 40 "$state/dockerd.log" >&2
    return $none
  }
  own_address
}

# launch starts dockerd with these options and waits until it answers. The second try in start does
# without the kernel's packet filter and overlay file system, which some machines lack.
launch() {
  mkdir -p "$state" "$(socket_dir)"
  rm -f "$state/dockerd.pid"
  local pid
  setsid dockerd --data-root "$state/data" --exec-root "$(socket_dir)/exec" --pidfile "$(socket_dir)/dockerd.pid" \
    --host "$(own_address)" --group "$(id -gn)" "$@" </dev/null >"$state/dockerd.log" 2>&1 &
  pid=$!
  echo "$pid" >"$state/dockerd.pid"
  disown
  for _ in $(seq 120); do
    answers "$(own_address)" && { say "started dockerd, pid $pid, log $state/dockerd.log"; return; }
    kill -0 "$pid" 2>/dev/null || break
    sleep 0.5
  done
  kill "$pid" 2>/dev/null || true
  rm -f "$state/dockerd.pid"
  return 1
}

stop() {
  if ours; then
    local pid
    pid=$(cat "$state/dockerd.pid")
    kill "$pid"
    for _ in $(seq 60); do kill -0 "$pid" 2>/dev/null || break; sleep 0.5; done
    if kill -0 "$pid" 2>/dev/null; then
      say "dockerd $pid does not end when asked; it is killed"
      kill -KILL "$pid"
    fi
  fi
  rm -f "$state/dockerd.pid"
}

image() {
  if docker image inspect "$LONGPOINT_PG_IMAGE" >/dev/null 2>&1; then echo "$LONGPOINT_PG_IMAGE"; return; fi
  say "pulling $LONGPOINT_PG_IMAGE"
  if timeout "$pull_limit" docker pull --quiet "$LONGPOINT_PG_IMAGE" >&2; then echo "$LONGPOINT_PG_IMAGE"; return; fi
  say "it cannot be pulled: using a stand-in built from Debian's packages"
  # Named after what it is built from, so that a changed entrypoint makes another.
  local name
  name=$standin-$({ cat "$here"/standin/*; echo "$root"; } | sha256sum | cut -c1-12)
  docker image inspect "$name" >/dev/null 2>&1 || build "$name" >&2
  echo "$name"
}

# proxy prints the proxy's image: the one that is there, or pulled, or a stand-in around Debian's package.
proxy() {
  local wanted=${LONGPOINT_PROXY_IMAGE:-docker.io/library/caddy:2} name=longpoint-proxy-standin:2
  if docker image inspect "$wanted" >/dev/null 2>&1; then echo "$wanted"; return; fi
  if timeout "$pull_limit" docker pull --quiet "$wanted" >&2; then echo "$wanted"; return; fi
  say "$wanted cannot be pulled: using a stand-in around Debian's caddy"
  has caddy || install caddy || { say "caddy is missing and could not be installed."; return 1; }
  if ! docker image inspect "$name" >/dev/null 2>&1; then
    standin_root >&2
    local dir
    dir=$(mktemp -d)
    cp "$(command -v caddy)" "$dir/caddy"
    cp "$here/standin/proxy.Dockerfile" "$dir/Dockerfile"
    DOCKER_BUILDKIT=0 docker build --quiet --tag "$name" "$dir" >&2
    rm -r "$dir"
  fi
  echo "$name"
}

# pooler prints the pooler's image: deploy/pooler's, or the same without its base image where that cannot be pulled.
pooler() {
  local name base=docker.io/library/debian:bookworm-slim
  name=longpoint-pooler:test-$({ cat "$here"/../../deploy/pooler/*; echo "$root"; } | sha256sum | cut -c1-12)
  if docker image inspect "$name" >/dev/null 2>&1; then echo "$name"; return; fi
  if docker image inspect "$base" >/dev/null 2>&1 || timeout "$pull_limit" docker pull --quiet "$base" >&2; then
    DOCKER_BUILDKIT=0 docker build --quiet --tag "$name" "$here/../../deploy/pooler" >&2
  else
    say "$base cannot be pulled: building the pooler on the stand-in's root"
    standin_root >&2
    local dir
    dir=$(mktemp -d)
    cp "$here"/../../deploy/pooler/* "$dir"
    # The rest of its Dockerfile is tried out as it is.
    sed -i -e 's|^FROM .*|FROM longpoint-standin-root|' -e '/^RUN apt-get /d' "$dir/Dockerfile"
    DOCKER_BUILDKIT=0 docker build --quiet --tag "$name" "$dir" >&2
    rm -r "$dir"
  fi
  echo "$name"
}

# root makes the file system that the stand-ins begin with.
standin_root() {
  docker image inspect "$root" >/dev/null 2>&1 && return
  has mmdebstrap || install mmdebstrap || { say "mmdebstrap is missing and could not be installed."; return 1; }
  mkdir -p "$state"
  say "building the stand-ins' root file system, a minute or two"
  rm -f "$state/root.tar"
  mmdebstrap --quiet --variant=minbase --include="$packages" \
    --essential-hook='mkdir -p "$1/etc/postgresql-common" && echo "create_main_cluster = false" >"$1/etc/postgresql-common/createcluster.conf"' \
    bookworm "$state/root.tar"
  docker import "$state/root.tar" "$root"
  docker tag "$root" longpoint-standin-root:latest
  rm -f "$state/root.tar"
}

build() {
  standin_root
  DOCKER_BUILDKIT=0 docker build --quiet --tag "$1" "$here/standin"
}

case ${1:-} in
start | image | proxy | pooler | ours | stop) "$1" ;;
*) say "usage: engine.sh start|image|proxy|pooler|ours|stop"; exit 2 ;;
esac
