#!/usr/bin/env bash
# A check over gRPC without any protobuf code: `buf curl` speaks JSON, the schema comes from proto/.
#   check.sh health                        does the service take calls?
#   check.sh libraries                     the libraries it holds
#   check.sh calibration LIBRARY [NAME]    a calibration of it as JSON, `released` when not said: the one to edit
#   check.sh check LIBRARY FILE.json       checks the candidate in FILE and prints the verdict
# A candidate is made from the released calibration, by hand or by a script:
#   check.sh calibration sorrel > candidate.json
#   python3 -c 'import json, sys; c = json.load(sys.stdin); c["name"] = "variant"; c.pop("eventBuild", None)
#   c["handControl"]["lowPassHz"] = 20; json.dump(c, sys.stdout, indent=1)' < candidate.json > variant.json
#   check.sh check sorrel variant.json
# BRAKEWARD_SERVER  host:port, or the path of a unix socket after unix:; default 127.0.0.1:8640
# BUF               the program buf; default `buf` on the PATH. Also needed: python3.
# Exit codes as those of `brakeward check`: 0 pass, 1 fail, 2 inconclusive, 3 error in a scenario, 64 usage, 65 bad data,
# 69 unavailable, 70 internal, 75 try again, 77 not allowed.
set -euo pipefail

server=${BRAKEWARD_SERVER:-127.0.0.1:8640}
buf=${BUF:-buf}
proto="$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)/proto"
scratch="$(mktemp -d)"
trap 'rm -rf "$scratch"' EXIT

say() { printf 'check.sh: %s\n' "$*" >&2; }

usage() {
  sed -n '3,6s/^#   /  /p' "${BASH_SOURCE[0]}" >&2
  exit 64
}

command -v "$buf" >/dev/null || { say "$buf is not here; install buf (npm: @bufbuild/buf) or name it by BUF" && exit 69; }
command -v python3 >/dev/null || { say "python3 is not here; apt-get install python3-minimal" && exit 69; }

# call METHOD < REQUEST: one call, request and answers as JSON. A failed one is told, and ends the script with its code.
call() {
  local address=() url="http://$server/$1"
  if [[ $server == unix:* ]]; then address=(--unix-socket "${server#unix:}") url="http://localhost/$1"; fi
  if "$buf" curl --schema "$proto" --protocol grpc --http2-prior-knowledge "${address[@]}" --data @- "$url" \
    2>"$scratch/error"; then return; fi
  # The addresses of faulty values travel as a google.rpc.BadRequest among the error's details; buf makes JSON of it.
  python3 - "$scratch/error" "$scratch/details.binpb" <<'PYTHON'
import base64, json, sys

text = open(sys.argv[1]).read()
details = json.loads(text[text.index("{"):]).get("details", []) if '"details"' in text else []
for detail in details:
    if detail["type"] == "google.rpc.BadRequest":
        open(sys.argv[2], "wb").write(base64.b64decode(detail["value"] + "=="))
PYTHON
  if [[ -s $scratch/details.binpb ]]; then
    "$buf" convert "$proto" --type google.rpc.BadRequest --from "$scratch/details.binpb" --to "$scratch/details.json"
  fi
  python3 - "$scratch/error" "$scratch/details.json" <<'PYTHON'
import json, os, sys

text = open(sys.argv[1]).read().strip()
# The error is JSON on standard error; anything else is buf's own trouble, as a request that does not fit the schema.
try:
    error = json.loads(text[text.index("{"):])
    code, lines = error["code"], error.get("message", "").splitlines()
except (ValueError, KeyError):
    code, lines = "invalid_argument", text.splitlines()
if os.path.exists(sys.argv[2]):
    violations = json.load(open(sys.argv[2])).get("fieldViolations", [])
    lines = lines[:1] + [f"  {v.get('field', 'request')}: {v['description']}" for v in violations]
for line in lines:
    print(f"check.sh: {code}: {line}", file=sys.stderr)
sys.exit({"invalid_argument": 65, "failed_precondition": 65, "not_found": 65, "out_of_range": 65, "unavailable": 69,
          "resource_exhausted": 75, "deadline_exceeded": 75, "canceled": 75, "unauthenticated": 77,
          "permission_denied": 77}.get(code, 70))
PYTHON
}

# json KEY VALUE...: an object of texts.
json() { python3 -c 'import json, sys; a = sys.argv[1:]; print(json.dumps(dict(zip(a[::2], a[1::2]))))' "$@"; }

health() {
  call grpc.health.v1.Health/Check <<<'{}' >"$scratch/answer"
  if grep -q '"SERVING"' "$scratch/answer"; then printf '%s takes calls\n' "$server" && return; fi
  say "$server answers, and takes no calls now" && exit 69
}

libraries() {
  call brakeward.v1.LibraryService/ListLibraries <<<'{"page_size": 1000}' >"$scratch/answer"
  python3 - "$scratch/answer" <<'PYTHON'
import json, sys

for library in json.load(open(sys.argv[1])).get("libraries", []):
    print(f"{library['name']}: car {library['vehicleName']}, {library.get('scenarioCount', 0)} scenarios, "
          f"baseline {library.get('baselineEventBuild', 'none')}")
PYTHON
}

calibration() {
  json name "libraries/$1/calibrations/${2:-released}" >"$scratch/request"
  call brakeward.v1.LibraryService/GetCalibration <"$scratch/request" >"$scratch/answer"
  python3 -c 'import json, sys; print(json.dumps(json.load(open(sys.argv[1]))["calibration"]["calibration"], indent=1))' \
    "$scratch/answer"
}

check() {
  [[ -r $2 ]] || { say "$2: cannot be read" && exit 65; }
  python3 - "$1" "$2" >"$scratch/request" <<'PYTHON' || exit 65
import json, sys

library, file = sys.argv[1:]
try:
    candidate = json.load(open(file))
except ValueError as error:
    sys.exit(f"check.sh: {file}: is no JSON: {error}")
json.dump({"library": f"libraries/{library}", "calibration": candidate}, sys.stdout)
PYTHON
  call brakeward.v1.CheckService/Check <"$scratch/request" >"$scratch/answer"
  # The stream as it came: JSON objects one after another, the last one with the whole run.
  python3 - "$scratch/answer" <<'PYTHON'
import json, sys

text, at, events = open(sys.argv[1]).read().strip(), 0, []
while at < len(text):
    event, end = json.JSONDecoder().raw_decode(text, at)
    events.append(event)
    at = end + len(text[end:]) - len(text[end:].lstrip())
if not events or "completed" not in events[-1]:
    sys.exit(70)
run = events[-1]["completed"]["run"]
word = lambda verdict: verdict.removeprefix("VERDICT_").lower()
scenarios = run.get("scenarios", [])
for s in scenarios:
    print(f"  {word(s['verdict']):<13} {s['scenario']}")
    if s["verdict"] != "VERDICT_PASS":
        reasons = [m["reason"] for m in s.get("measures", []) if m["verdict"] == s["verdict"] and m.get("reason")]
        print("\n".join(f"{'':16}{reason}" for reason in reasons or [s.get("reason", "no reason given")]))
passed = sum(s["verdict"] == "VERDICT_PASS" for s in scenarios)
print(f"{run['calibrationName']} against {run.get('baselineEventBuild', 'no baseline')}: {word(run['verdict'])}, "
      f"{passed} of {len(scenarios)} scenarios pass\n{run['caution']}")
sys.exit({"pass": 0, "fail": 1, "error": 3}.get(word(run["verdict"]), 2))
PYTHON
}

case "${1:-}:$#" in
  health:1 | libraries:1) "$1" ;;
  calibration:2 | calibration:3 | check:3) "$@" ;;
  *) usage ;;
esac
