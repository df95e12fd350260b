#!/usr/bin/env bash
# Feeds six invented event builds of the car Sorrel to a service: each passes its check against the build before it, and
# the last one has drifted beyond the tolerance.
#   deploy/prometheus/demo_history.sh [ADDRESS]
# ADDRESS, default 127.0.0.1:8640, is that of a service set up as in deploy/prometheus/demo_service.textproto.
# BRAKEWARD names the program, default build/brakeward. Baselines go to out/history/.
# Exit codes: 0 every build passes, else that of the first that does not; 64 usage.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
program=${BRAKEWARD:-build/brakeward}
library=scenarios/sorrel/history
out=out/history

say() { printf 'demo: %s\n' "$*"; }

if (($# > 1)) || [[ ${1:-} == -* ]]; then
  printf 'usage: deploy/prometheus/demo_history.sh [ADDRESS]\n' >&2
  exit 64
fi
address=${1:-127.0.0.1:8640}
mkdir -p "$out"
days=(2025-03-08 2025-04-05 2025-05-10 2025-06-14 2025-07-19 2025-09-06)  # as in scenarios/sorrel/history/season.textproto

# approve CALIBRATION BUILD DAY WHY ARGUMENTS...: the calibration as the baseline out/history/BUILD.textproto.
approve() {
  local calibration=$1 build=$2 day=$3 why=$4
  shift 4
  "$program" baseline propose --library "$library" --calibration "$calibration" "$@" \
    --out "$out/proposal.textproto" >"$out/$build.proposal.txt"
  "$program" baseline approve "$out/proposal.textproto" --library "$library" "$@" --by demo --on "$day" \
    --why "Invented. $why" --out "$out/$build.textproto" >"$out/$build.txt"
}

# The season has the scenarios of the car's own library without its campaigns, and so a first baseline of its own.
approve scenarios/sorrel/calibrations/released.textproto corrie-r1 2024-05-04 "The release before the season."
baseline=$out/corrie-r1.textproto
for calibration in "$library"/calibrations/northmoor_*.textproto; do
  build=$(basename "$calibration" .textproto)
  build=${build/_/-}
  "$program" check --server "$address" --library "$library" --event-build "$build" --calibration "$calibration" \
    --baseline "$baseline" --brief
  approve "$calibration" "$build" "${days[${build#northmoor-} - 1]}" "The build after it is checked against it." \
    --baseline "$baseline"
  baseline=$out/$build.textproto
done
say "six event builds fed; $build has drifted from the first. Every number belongs to an invented car."
