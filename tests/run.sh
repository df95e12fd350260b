#!/usr/bin/env bash
# Installs what is missing, builds, and runs every test.
#   tests/run.sh          all but the tests labelled `full`
#   tests/run.sh --full   those too, with BRAKEWARD_FULL=1 in their environment
# First everything in the release build, then the tests labelled unit, corpus and robustness once more under
# AddressSanitizer and UndefinedBehaviorSanitizer. The last line sums both: `N passed, N failed`.
# Exit codes: 0 all passed, 1 something failed, 64 usage, 69 a needed package is missing.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
choice=(-LE '^full$')
case "${1:-}" in
  '') ;;
  --full)
    choice=()
    export BRAKEWARD_FULL=1
    ;;
  *)
    printf 'usage: tests/run.sh [--full]\n' >&2
    exit 64
    ;;
esac

scratch="$(mktemp -d)"
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0 skipped=0

say() { printf '\ntests: %s\n' "$*"; }

# run_ctest NAME FOLDER ARGUMENTS...: runs ctest and adds its counts. A run that leaves no counts is one failure.
run_ctest() {
  local name=$1 folder=$2 output="$scratch/$1.txt" status=0 bad=0 total=0 not_run
  shift 2
  ctest --test-dir "$folder" --parallel 2 --timeout 600 --no-tests=error --output-on-failure "$@" 2>&1 |
    tee "$output" || status=$?
  # "97% tests passed, 1 tests failed out of 40": skipped tests are in the 40, disabled ones are not.
  read -r bad total < <(sed -nE 's/^[0-9]+% tests passed, ([0-9]+) tests? failed out of ([0-9]+).*/\1 \2/p' \
    "$output" | tail -n 1) || say "the $name tests did not run."
  not_run=$(grep -cE '^[[:space:]]+[0-9]+ - .* \(Skipped\)$' "$output" || true)
  if ((status != 0 && bad == 0)); then bad=1 total=$((total + 1)); fi
  passed=$((passed + total - bad - not_run))
  failed=$((failed + bad))
  skipped=$((skipped + not_run + $(grep -cE '^[[:space:]]+[0-9]+ - .* \(Disabled\)$' "$output" || true)))
}

# build PRESET [TARGET]: builds everything, or the target; a build that fails counts as one failure.
build() {
  deploy/build.sh "$@" && return
  say "the $1 build failed."
  failed=$((failed + 1))
  return 1
}

say "installing what is missing."
deploy/install.sh build test optional

say "building the release preset."
if build release; then
  say "running the tests of the release build."
  run_ctest release build "${choice[@]}"
fi

say "building with the sanitizers."
if build asan sanitized_tests; then
  say "running the unit, corpus and robustness tests under the sanitizers."
  UBSAN_OPTIONS=print_stacktrace=1 run_ctest asan build-asan -L '^(unit|corpus|robustness)$'
fi

if ((skipped)); then
  say "the skipped tests are named above."
  printf '%d passed, %d failed, %d skipped\n' "$passed" "$failed" "$skipped"
else
  printf '%d passed, %d failed\n' "$passed" "$failed"
fi
((failed == 0))
