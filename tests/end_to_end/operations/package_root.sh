#!/usr/bin/env bash
# The Debian package in a clean root: it installs with what it names, the demo gives the verdicts it promises, the service
# serves as its own user and stops cleanly, and a purge leaves nothing.
#   package_root.sh BUILD_FOLDER
# Exit codes: 0 all as wanted, 1 not, 77 skipped: no root rights, a tool or the Debian archive is missing, a port is taken.
set -euo pipefail

folder=$(realpath "$1")
name=package_root
# shellcheck source=tests/end_to_end/operations/base.sh
source "$(dirname "${BASH_SOURCE[0]}")/base.sh"
scratch=$(mktemp -d)
root=$scratch/root
service=
tidy_up() {
  if [[ -n $service ]]; then kill "$service" 2>/dev/null || true; fi
  rm -rf "$scratch"
}
trap tidy_up EXIT

need mmdebstrap cpack dpkg-shlibdeps
need_ports 8640 8641

(cd "$folder" && cpack -G DEB -B "$scratch/package" >"$scratch/cpack.log") || fail "cpack: $(cat "$scratch/cpack.log")"
deb=$(echo "$scratch"/package/brakeward_*.deb)

make_base "$root" "$scratch/root.log" --skip=cleanup/apt --format=directory
cp /etc/resolv.conf "$root/etc/resolv.conf"
cp "$deb" "$root/root/"

in_root() { chroot "$root" "$@"; }
as_nobody() { chroot --userspec=nobody:nogroup "$root" "$@"; }

in_root sh -c 'DEBIAN_FRONTEND=noninteractive apt-get -q -y install --no-install-recommends /root/brakeward_*.deb' \
  </dev/null >"$scratch/install.log" 2>&1 || fail "apt-get install: $(tail -n 20 "$scratch/install.log")"
say "installed $(basename "$deb")"

as_nobody brakeward selfcheck >/dev/null || fail "selfcheck"
share=/usr/share/brakeward
count=0
for candidate in "$root$share"/scenarios/*/calibrations/candidate_*.textproto; do
  candidate=${candidate#"$root"}
  expected=0
  [[ $candidate != */candidate_bad_* ]] || expected=1
  status=0
  as_nobody brakeward check --brief --library "$(dirname "$(dirname "$candidate")")" --calibration "$candidate" \
    >"$scratch/check.log" 2>&1 || status=$?
  ((status == expected)) || fail "$candidate: exit code $status, expected $expected: $(cat "$scratch/check.log")"
  count=$((count + 1))
done
((count > 5)) || fail "only $count demo candidates are installed"
say "$count demo candidates as expected."

chroot --userspec=brakeward:brakeward "$root" brakeward serve --config /etc/brakeward/service.textproto \
  >"$scratch/serve.log" 2>&1 &
service=$!
for _ in $(seq 300); do
  if grep -q '^ready:' "$scratch/serve.log" || ! kill -0 "$service" 2>/dev/null; then break; fi
  sleep 0.1
done
grep -q '^ready:' "$scratch/serve.log" || fail "the service: $(cat "$scratch/serve.log")"
[[ $(as_nobody /usr/libexec/brakeward/probe 127.0.0.1:8640) == SERVING ]] || fail "the probe"
as_nobody brakeward check --brief --server 127.0.0.1:8640 --library sorrel --event-build demo \
  --calibration $share/scenarios/sorrel/calibrations/candidate_better.textproto || fail "a check through the service"
kill "$service"
wait "$service" || fail "the service did not stop cleanly: $(cat "$scratch/serve.log")"
service=
in_root brakeward runs --store /var/lib/brakeward/history.db --event-build demo | grep -q demo || fail "the history"
if as_nobody /usr/libexec/brakeward/probe 127.0.0.1:8640 2>/dev/null; then fail "the probe of a stopped service"; fi
say "served as its own user, kept the run, stopped cleanly."

in_root dpkg --purge brakeward >/dev/null 2>&1 || fail "purge"
left=$(find "$root" -path "$root/proc" -prune -o -iname '*brakeward*' -print | grep -vE '/root/brakeward_|/var/(cache|log)/' || true)
[[ -z $left ]] || fail "a purge leaves $left"
say "a purge leaves nothing. All as wanted."
