#!/usr/bin/env bash
# Checks that read the sources and run nothing of them; each prints one line, and what it found above it.
#   .ci/static.sh
# BRAKEWARD_BASE      commit the change is measured from for clang-tidy; default: where it left origin/main, else the
#                     commit before. Without either every file is looked at.
# BRAKEWARD_TIDY_S    seconds after which clang-tidy starts no further file; default 300. It takes those with the most
#                     changed lines first and names the ones it did not reach.
# A tool that is not there is a skipped check, and says so. The last line is `N passed, N failed[, N skipped]`.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
scratch="$(mktemp -d)"
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0 skipped=0

pass() { printf 'static: %s\n' "$*" && passed=$((passed + 1)); }
fail() { printf 'static: FAILED: %s\n' "$*" && failed=$((failed + 1)); }
skip() { printf 'static: skipped: %s\n' "$*" && skipped=$((skipped + 1)); }

# Files of the project that match the patterns: tracked, and new ones not yet tracked.
files() {
  local path
  git ls-files --cached --others --exclude-standard -- "$@" | sort -u | while read -r path; do
    if [[ -f $path ]]; then printf '%s\n' "$path"; fi
  done
}

# The first of the arguments that is a program of major version $1.
of_version() {
  local version=$1 program
  shift
  for program in "$@"; do
    if command -v "$program" >/dev/null && "$program" --version | grep -q "version $version\."; then
      printf '%s\n' "$program" && return
    fi
  done
  return 1
}

check_format() {
  local tool list=()
  tool=$(of_version 14 clang-format-14 clang-format) || { skip "clang-format: version 14 is not here" && return; }
  mapfile -t list < <(files '*.cc' '*.h')
  if "$tool" --dry-run --Werror "${list[@]}" 2>"$scratch/format"; then
    pass "clang-format: ${#list[@]} files stand as it would write them"
  else
    sed -n 's/:[0-9]*:[0-9]*: error: .*//p' "$scratch/format" | sort -u
    fail "clang-format: $tool -i puts the files above right"
  fi
}

# The commit that the change starts from, or nothing.
base_commit() {
  local base
  if [[ -n ${BRAKEWARD_BASE:-} ]]; then git rev-parse --verify "$BRAKEWARD_BASE^{commit}" && return; fi
  base=$(git merge-base HEAD origin/main 2>/dev/null || true)
  if [[ -z $base || $base == "$(git rev-parse HEAD)" ]]; then base=$(git rev-parse -q --verify HEAD~ || true); fi
  printf '%s\n' "$base"
}

# Sources that the change touches: changed .cc files, most changed lines first, then those that only include a changed
# header themselves.
changed_sources() {
  local base header
  base=$(base_commit)
  if [[ -z $base ]]; then files '*.cc' && return; fi
  {
    {
      git diff --numstat --no-renames --diff-filter=d "$base" -- '*.cc' | awk '{ print $1 + $2, $3 }'
      git ls-files --others --exclude-standard -- '*.cc' | xargs -r wc -l | awk '$2 != "total" { print $1, $2 }'
    } | sort -k1,1nr -k2 | cut -d' ' -f2
    git diff --name-only --diff-filter=d "$base" -- '*.h' | while read -r header; do
      git grep -lF "#include \"${header#*/}\"" -- '*.cc' || true
    done | sort
  } | awk '!seen[$0]++'
}

# Runs in a shell of its own for each source (see check_tidy).
tidy_one() {
  if (($(date +%s) >= TIDY_UNTIL)); then
    printf '%s\n' "$1" >>"$TIDY_SCRATCH/unreached"
  elif ! clang-tidy-16 --quiet -p "$TIDY_SCRATCH" --extra-arg=-Wno-unknown-warning-option "$1" >"$TIDY_SCRATCH/$$.txt" 2>&1; then
    grep -vE '^([0-9]+ warnings|Error while processing)' "$TIDY_SCRATCH/$$.txt"
    printf '%s\n' "$1" >>"$TIDY_SCRATCH/bad"
  fi
}
export -f tidy_one

check_tidy() {
  local all=() list=() path reached
  command -v clang-tidy-16 >/dev/null || { skip "clang-tidy: version 16 is not here" && return; }
  [[ -f build/compile_commands.json ]] || { skip "clang-tidy: needs a build; run deploy/build.sh first" && return; }
  mapfile -t all < <(changed_sources)
  for path in "${all[@]}"; do # what this build does not compile has no flags to read it with
    if grep -qF "$PWD/$path\"" build/compile_commands.json; then list+=("$path"); fi
  done
  if ((${#list[@]} == 0)); then pass "clang-tidy: no source was changed" && return; fi
  touch "$scratch/unreached" "$scratch/bad"
  # clang cannot read the headers that g++ precompiled.
  sed -E 's/ -Winvalid-pch -include [^ ]*cmake_pch\.hxx//; s/ -fpch-preprocess//' build/compile_commands.json \
    >"$scratch/compile_commands.json"
  # shellcheck disable=SC2016 # $1 belongs to the inner shell
  TIDY_UNTIL=$(($(date +%s) + ${BRAKEWARD_TIDY_S:-300})) TIDY_SCRATCH=$scratch \
    xargs -P 2 -I '{}' bash -c 'tidy_one "$1"' tidy '{}' < <(printf '%s\n' "${list[@]}") || true
  reached=$((${#list[@]} - $(wc -l <"$scratch/unreached")))
  if [[ -s $scratch/bad ]]; then
    fail "clang-tidy: $(wc -l <"$scratch/bad") of $reached changed sources"
  else
    pass "clang-tidy: $reached of ${#list[@]} changed sources"
  fi
  if [[ -s $scratch/unreached ]]; then
    skip "clang-tidy: out of time; not reached: $(tr '\n' ' ' <"$scratch/unreached")"
  fi
}

check_buf() {
  local buf=$scratch/buf/node_modules/.bin/buf
  command -v npm >/dev/null || { skip "buf lint and buf format: npm is not here" && return; }
  if ! npm install --prefix "$scratch/buf" --no-audit --no-fund --silent @bufbuild/buf@1.75.0 >/dev/null 2>&1; then
    skip "buf lint and buf format: npm could not install @bufbuild/buf 1.75.0" && return
  fi
  if "$buf" lint proto; then
    pass "buf lint: the schema follows the rules in proto/buf.yaml"
  else
    fail "buf lint: see above"
  fi
  if "$buf" format --diff --exit-code proto; then
    pass "buf format: the schema stands as it would write it"
  else
    fail "buf format: 'buf format -w proto' puts the files above right"
  fi
}

check_shell() {
  local list=()
  command -v shellcheck >/dev/null || { skip "shellcheck: it is not here" && return; }
  mapfile -t list < <(files '*.sh' '.ci/run')
  if shellcheck "${list[@]}"; then
    pass "shellcheck: ${#list[@]} scripts"
  else
    fail "shellcheck: see above"
  fi
}

check_format
check_tidy
check_buf
check_shell

printf '%d passed, %d failed' "$passed" "$failed"
if ((skipped)); then printf ', %d skipped' "$skipped"; fi
printf '\n'
((failed == 0))
