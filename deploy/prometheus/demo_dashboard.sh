#!/usr/bin/env bash
# A drift dashboard with live data on this machine: the service, a Prometheus that scrapes it, the season of six invented
# event builds that demo_history.sh feeds. Says which page to open and runs until Ctrl-C; then all of it is stopped and
# what Prometheus kept is removed.
#   deploy/prometheus/demo_dashboard.sh
# BRAKEWARD names the program, default build/brakeward. Runs stay in out/season.db.
# Exit codes: 0 stopped by Ctrl-C or SIGTERM, 69 something is missing or did not start, else that of demo_history.sh.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
program=${BRAKEWARD:-build/brakeward}
web=127.0.0.1:8642  # not Prometheus's usual port: Debian's package starts one there by itself
scratch="$(mktemp -d)"
started=()

say() { printf 'demo: %s\n' "$*"; }

trap 'kill "${started[@]}" 2>/dev/null || true; wait; rm -rf "$scratch"' EXIT
trap 'exit 0' INT TERM

# start NAME PROGRAM ARGUMENTS...: in the background, its words in a file of that name.
start() {
  "${@:2}" >"$scratch/$1" 2>&1 &
  started+=($!)
}

# until_true WHAT COMMAND...: tries until the command ends with 0; gives up when a started program has ended.
until_true() {
  local id
  until "${@:2}" >/dev/null 2>&1; do
    for id in "${started[@]}"; do
      if ! kill -0 "$id" 2>/dev/null; then
        tail -n 20 "$scratch"/service "$scratch"/prometheus >&2 || true
        say "no $1: a program ended; its last words are above." >&2
        exit 69
      fi
    done
    sleep 0.2
  done
}

command -v "$program" >/dev/null || { say "$program is not here; deploy/build.sh makes it." >&2 && exit 69; }
command -v prometheus >/dev/null || { say "prometheus is not here; deploy/install.sh test brings it." >&2 && exit 69; }
mkdir -p out
start service "$program" serve --config deploy/prometheus/demo_service.textproto
until_true "service" grep ready: "$scratch/service"
start prometheus prometheus --config.file=deploy/prometheus/prometheus.yml \
  --web.console.templates=deploy/prometheus/consoles --storage.tsdb.path="$scratch/data" --web.listen-address="$web"
deploy/prometheus/demo_history.sh
last='count(brakeward_drift_ratio{build="northmoor-6"}) > 0'
# shellcheck disable=SC2016 # $0 and $1 belong to the inner shell
until_true "first scrape" bash -c 'promtool query instant "$0" "$1" | grep -q .' "http://$web" "$last"
say "the dashboard is http://$web/consoles/brakeward.html; Ctrl-C ends it."
wait "${started[@]}"
say "a program ended by itself." >&2
exit 69
