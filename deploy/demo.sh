#!/usr/bin/env bash
# Shows what the harness does: builds it, then checks every candidate calibration of every demo car against the car's
# released baseline. The candidates named candidate_bad_* hold a planted mistake and must fail; the others must pass.
#   deploy/demo.sh
# Reports go to out/demo/. Exit codes: 0 every verdict as expected, 1 not, 69 a needed package is missing.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
out=out/demo

say() { printf 'demo: %s\n' "$*"; }

# Verdict words by exit code.
word_of() {
  case $1 in
    0) printf 'pass' ;;
    1) printf 'fail' ;;
    2) printf 'inconclusive' ;;
    3) printf 'error' ;;
    *) printf 'stopped with exit code %d' "$1" ;;
  esac
}

# "measure in scenario" of the first failure in a JUnit file, which is the gravest; "-" without one.
caught_by() {
  awk -F'"' '
    /<testcase / { measure = $2; scenario = $4; sub(/^[^.]*\./, "", scenario) }
    /<(failure|error) / { print measure " in " scenario; found = 1; exit }
    END { if (!found) print "-" }' "$1"
}

deploy/install.sh build
say "building; the first time takes some minutes."
deploy/build.sh --without-tests release brakeward

candidates=(scenarios/*/calibrations/candidate_*.textproto scenarios/*/calibrations/endurance_*.textproto)
if [[ ! -f ${candidates[0]} ]]; then
  say "there are no candidates under scenarios/*/calibrations." >&2
  exit 1
fi
mkdir -p "$out"
rm -f "$out"/*.json "$out"/*.xml "$out"/*.html

summary=() unexpected=0 failing=
for file in "${candidates[@]}"; do
  library=$(dirname "$(dirname "$file")")
  car=$(basename "$library")
  name=$(basename "$file" .textproto)
  report=$out/$car.$name
  expected=pass
  [[ $name != *_bad_* ]] || expected=fail
  tier=gate
  [[ $name != endurance_* ]] || tier=endurance
  printf '\n'
  say "checking $name of $car, expecting $expected."
  status=0
  build/brakeward check --brief --calibration "$file" --library "$library" --tier "$tier" \
    --json "$report.json" --junit "$report.xml" --html "$report.html" || status=$?
  verdict=$(word_of "$status")
  if [[ $verdict == fail && -z $failing ]]; then failing=$report.html; fi
  catch=-
  [[ ! -f $report.xml ]] || catch=$(caught_by "$report.xml")
  note=
  if [[ $verdict != "$expected" ]]; then
    note="  NOT AS EXPECTED: $expected"
    unexpected=$((unexpected + 1))
  fi
  summary+=("$(printf '%-8s %-30s %-13s %s%s' "$car" "$name" "$verdict" "$catch" "$note")")
done

printf '\n%-8s %-30s %-13s %s\n' 'car' 'candidate' 'verdict' 'caught by'
printf '%s\n' "${summary[@]}"
printf '\n'
say "the whole of each run is in $PWD/$out: <car>.<candidate>.html for a browser, .json, and .xml for a CI server."
[[ -z $failing ]] || say "see why a candidate fails: open $PWD/$failing"
if ((unexpected)); then
  say "$unexpected of ${#candidates[@]} verdicts are not as expected." >&2
  exit 1
fi
say "all ${#candidates[@]} verdicts are as expected."
say "every number belongs to invented cars. A pass is evidence for an engineer, not a release for road or track."
