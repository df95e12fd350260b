#!/usr/bin/env bash
# Configures and builds.
#   deploy/build.sh [--without-tests] [preset] [targets...]
# Presets are the files in deploy/presets; `release`, the default, builds into build/, any other into build-<preset>/.
# They are initial-cache files (cmake -C) and not CMakePresets.json: CMake reads that only from the top folder, and
# what stands there is fixed.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
tests=ON
if [[ ${1:-} == --without-tests ]]; then
  tests=OFF
  shift
fi
preset=${1:-release}
shift $(($# > 0))
if [[ ! -f deploy/presets/$preset.cmake ]]; then
  printf 'build: there is no preset %s; there are:' "'$preset'" >&2
  for file in deploy/presets/*.cmake; do printf ' %s' "$(basename "$file" .cmake)" >&2; done
  printf '\n' >&2
  exit 64
fi
folder=build
[[ $preset == release ]] || folder=build-$preset

log="$(mktemp)"
trap 'rm -f "$log"' EXIT
# Configuring is only worth reading when it fails.
if ! cmake -S . -B "$folder" -G Ninja -C "deploy/presets/$preset.cmake" -DBRAKEWARD_TESTS=$tests >"$log" 2>&1; then
  cat "$log" >&2
  exit 1
fi
if grep -q 'CMake Warning' "$log"; then cat "$log"; fi
cmake --build "$folder" --parallel "${BRAKEWARD_JOBS:-$(nproc)}" ${1:+--target "$@"}
