#!/usr/bin/env bash
# After a wanted change of the model or of the demo car: makes the logs anew, writes their hashes into the recording
# documents and makes the baseline again.
#   tests/generator/refresh.sh [BUILD_FOLDER]
# Exit codes: 0, else that of the step that failed.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
build=${1:-build}
library=scenarios/sorrel

ninja -C "$build" make_recordings brakeward
"$build/tests/generator/make_recordings" "$library"
for log in "$library"/recordings/*.csv; do
  hash=$(sha256sum "$log" | cut -d' ' -f1)
  sed -i "s/^file_sha256: .*/file_sha256: \"$hash\"/" "${log%.csv}.textproto"
done
"$build/brakeward" baseline --library "$library" --calibration "$library/calibrations/released.textproto" \
  --approved-by demo --approved-on 2024-05-04 \
  --reason "Invented. First release for Corrie Hill, accepted after the runs listed under recordings/." \
  --out "$library/baselines/corrie-r1.textproto"
