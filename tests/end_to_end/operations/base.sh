# shellcheck shell=bash
# What the tests in a root of their own share. Sourced by a script that then speaks under its `name`.

say() { printf '%s: %s\n' "${name:?}" "$*"; }
skip() { say "skipped: $*" && exit 77; }
fail() { say "FAILED: $*" && exit 1; }

# Ends as skipped without root rights or one of these programs.
need() {
  ((EUID == 0)) || skip "it takes root rights"
  local tool
  for tool in "$@"; do
    command -v "$tool" >/dev/null || skip "$tool not found; deploy/packages.txt names the packages"
  done
}

# Ends as skipped where something listens on one of these ports of the machine itself.
need_ports() {
  local port
  for port in "$@"; do
    if (exec 3<>"/dev/tcp/127.0.0.1/$port") 2>/dev/null; then skip "port $port is taken"; fi
  done
}

# The smallest Debian 12 from the archive this machine itself installs from.
#   make_base TARGET LOG OPTION...
make_base() {
  local target=$1 log=$2 file sources=()
  shift 2
  for file in /etc/apt/sources.list.d/debian.sources /etc/apt/sources.list; do
    if [[ -f $file ]]; then sources=("$file") && break; fi
  done
  say "making a root of the smallest Debian 12."
  mmdebstrap --variant=minbase "$@" bookworm "$target" "${sources[@]}" >"$log" 2>&1 ||
    skip "the root could not be made: $(tail -n 3 "$log")"
}
