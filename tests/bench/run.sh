#!/usr/bin/env bash
# Measures a stage tick through HTTP and PostgreSQL against pgbench running the same SQL on
# the same server. Arguments go to the program: -clients, -ticks, -rounds.
set -euo pipefail
cd "$(dirname "$0")/../.."
exec go run ./tests/bench "$@"
