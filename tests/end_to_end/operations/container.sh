#!/usr/bin/env bash
# The container image as it is meant to run: built on a fresh Debian base, not root, root folder read-only, asked for its
# health by the probe in it, fed the demo season, stopped cleanly.
#   container.sh BUILD_FOLDER
# The base comes from the Debian archive, so that no image registry is needed. Exit codes: 0 all as wanted, 1 not, 77
# skipped: no root rights, a tool or the archive is missing, a port is taken.
set -euo pipefail

folder=$(realpath "$1")
cd "$(dirname "${BASH_SOURCE[0]}")/../../.."
name=container
# shellcheck source=tests/end_to_end/operations/base.sh
source tests/end_to_end/operations/base.sh
scratch=$(mktemp -d)
# Storage of its own; runc and cgroupfs also work where no systemd runs.
engine=(podman --root "$scratch/root" --runroot "$scratch/run" --tmpdir "$scratch/tmp" --runtime "$(command -v runc || true)"
  --cgroup-manager=cgroupfs)
tidy_up() {
  "${engine[@]}" rm --force --all >/dev/null 2>&1 || true
  umount "$scratch/root/overlay" 2>/dev/null || true
  rm -rf "$scratch"
}
trap tidy_up EXIT

need podman runc mmdebstrap cpack curl
need_ports 8640 8641
make_base "$scratch/base.tar" "$scratch/base.log"
"${engine[@]}" import "$scratch/base.tar" localhost/base:12 >/dev/null 2>"$scratch/import.log" ||
  skip "podman cannot keep an image here: $(tail -n 3 "$scratch/import.log")"
ENGINE="${engine[*]}" BASE=localhost/base:12 BUILD_WORDS="--isolation=chroot --network=host" \
  deploy/container/build.sh "$folder" >"$scratch/build.log" 2>&1 || fail "build: $(tail -n 20 "$scratch/build.log")"
say "built the image."

image=$("${engine[@]}" images --format '{{.Repository}}:{{.Tag}}' | grep /brakeward:)
run() { "${engine[@]}" exec demo "$@" 2>&1; }
"${engine[@]}" run --detach --name demo --read-only --cap-drop ALL --security-opt no-new-privileges --network=host \
  --ulimit nofile=1024:1024 --ulimit nproc=1024:1024 --volume history:/var/lib/brakeward "$image" \
  >"$scratch/run.log" 2>&1 || skip "podman cannot run a container here: $(tail -n 3 "$scratch/run.log")"
for _ in $(seq 300); do
  if run /usr/libexec/brakeward/probe 127.0.0.1:8640 | grep -q '^SERVING$'; then break; fi
  sleep 0.1
done
run /usr/libexec/brakeward/probe 127.0.0.1:8640 | grep -q '^SERVING$' ||
  fail "not serving: $("${engine[@]}" logs demo 2>&1)"
"${engine[@]}" healthcheck run demo >/dev/null 2>&1 || fail "the image's own health check"
[[ $(run id -u) == 10001 ]] || fail "it runs as $(run id)"
if run touch /file >/dev/null; then fail "the root folder can be written to"; fi
run touch /var/lib/brakeward/file || fail "the volume cannot be written to"
say "serves as user 10001 on a read-only root."

BRAKEWARD=$folder/brakeward deploy/prometheus/demo_history.sh >"$scratch/feed.log" 2>&1 ||
  fail "feeding: $(tail -n 5 "$scratch/feed.log")"
page=$(curl --silent --noproxy '*' http://127.0.0.1:8641/metrics)
grep -qE '^brakeward_drift_ratio\{.*build="northmoor-6",measure="front_share"\} 1\.' <<<"$page" || fail "no drift on the page"
if grep -E '^brakeward_store_errors_total\{.*\} [1-9]' <<<"$page"; then fail "the store failed"; fi
"${engine[@]}" stop --time 60 demo >/dev/null 2>&1 || fail "stop"
[[ $("${engine[@]}" inspect demo --format '{{.State.ExitCode}}') == 0 ]] || fail "$("${engine[@]}" logs demo 2>&1)"
say "took the season, showed the drift, stopped cleanly. All as wanted."
