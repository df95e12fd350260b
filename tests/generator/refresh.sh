#!/usr/bin/env bash
# After a wanted change of the model or of a demo car: makes the logs anew, writes their hashes into the recording
# documents, and proposes and approves the baseline again.
#   tests/generator/refresh.sh [BUILD_FOLDER] [CAR...]
# CAR: sorrel, bracken; both when not said. Exit codes: 0, 64 an unknown car, else that of the step that failed.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
build=${1:-build}
cars=("${@:2}")
((${#cars[@]})) || cars=(sorrel bracken)

# Event build, approval and its reason by car.
refresh() {
  local library=scenarios/$1 event_build=$2 approved_on=$3 reason=$4 log hash
  local proposal=$build/$event_build.textproto
  "$build/tests/generator/make_recordings" "$library"
  for log in "$library"/recordings/*.csv; do
    hash=$(sha256sum "$log" | cut -d' ' -f1)
    sed -i "s/^file_sha256: .*/file_sha256: \"$hash\"/" "${log%.csv}.textproto"
  done
  "$build/brakeward" baseline propose --library "$library" --calibration "$library/calibrations/released.textproto" \
    --out "$proposal"
  "$build/brakeward" baseline approve "$proposal" --library "$library" --by demo --on "$approved_on" --why "$reason" \
    --accept-moves "Invented. The demo was made anew." --out "$library/baselines/$event_build.textproto"
}

ninja -C "$build" make_recordings brakeward
for car in "${cars[@]}"; do
  case $car in
    sorrel)
      refresh sorrel corrie-r1 2024-05-04 \
        "Invented. First release for Corrie Hill, accepted after the runs listed under recordings/."
      ;;
    bracken)
      refresh bracken tarn-d1 2024-09-14 \
        "Invented. First release for the rounds out of Tarn Yard, accepted after the runs listed under recordings/."
      ;;
    *)
      printf 'refresh.sh: there is no demo car "%s"; the cars are sorrel and bracken.\n' "$car" >&2
      exit 64
      ;;
  esac
done
