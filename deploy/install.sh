#!/usr/bin/env bash
# Installs the packages listed in packages.txt under the given tags, only those that are missing.
#   deploy/install.sh build [test] [optional]
# Exit codes: 0 all there, 64 usage, 69 something needed is missing and could not be installed.
set -euo pipefail

list="$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)/packages.txt"

say() { printf 'install: %s\n' "$*"; }

# Prints "package program mark" (program and mark may be absent) for every package under the tag $1.
packages_of() {
  awk -v tag="[$1]" '/^#/ || NF == 0 { next } /^\[/ { inside = ($1 == tag); next } inside { print $1, $2, $3 }' "$list"
}

# The packages under the tag $1, one a line, without those marked `or-elsewhere` whose program is there already.
wanted_of() {
  local package program mark
  while read -r package program mark; do
    if [[ $mark == or-elsewhere ]] && command -v "$program" >/dev/null; then continue; fi
    printf '%s\n' "$package"
  done < <(packages_of "$1")
}

is_installed() { [[ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null)" == installed ]]; }

# The packages among the arguments that are not installed, one a line.
missing_of() {
  local package
  for package in "$@"; do is_installed "$package" || printf '%s\n' "$package"; done
}

as_root() { if [[ "$(id -u)" -eq 0 ]]; then "$@"; else sudo "$@"; fi; }

apt() {
  as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -y -o DPkg::Lock::Timeout=180 "$@" </dev/null
}

# Package lists are fetched at most once a call, and only when something is to be installed.
lists_are_fresh=no
apt_install() {
  if [[ $lists_are_fresh == no ]]; then
    apt update >/dev/null || say "the package lists could not be refreshed; trying with the present ones."
    lists_are_fresh=yes
  fi
  apt install --no-install-recommends "$@" >/dev/null && return
  say "apt-get failed; refreshing the package lists and trying once more."
  apt update >/dev/null || true
  apt install --no-install-recommends "$@" >/dev/null
}

# Without apt only programs can be looked for.
check_without_apt() {
  local package program _ packages=() absent=()
  while read -r package program _; do
    packages+=("$package")
    if [[ -n $program ]] && ! command -v "$program" >/dev/null; then absent+=("$program"); fi
  done
  say "this is not a Debian system with apt, so nothing is installed. Needed, by their Debian names: ${packages[*]}."
  if ((${#absent[@]})); then
    say "these programs were not found: ${absent[*]}. Install them and run this again."
    exit 69
  fi
  say "every program was found; CMake says whether a library is missing."
}

if (($# == 0)); then
  say "say which packages: one or more of $(awk '/^\[/ { gsub(/[][]/, ""); printf "%s ", $1 }' "$list")" >&2
  exit 64
fi
needed=() nice_to_have=()
for tag in "$@"; do
  mapfile -t names < <(wanted_of "$tag")
  if ((${#names[@]} == 0)); then
    say "there is no tag '$tag' in $list." >&2
    exit 64
  fi
  if [[ $tag == optional ]]; then nice_to_have+=("${names[@]}"); else needed+=("${names[@]}"); fi
done

if ! command -v apt-get >/dev/null || ! command -v dpkg-query >/dev/null; then
  for tag in "$@"; do [[ $tag == optional ]] || packages_of "$tag"; done | check_without_apt
  exit
fi

mapfile -t missing < <(missing_of "${needed[@]}")
mapfile -t missing_optional < <(missing_of "${nice_to_have[@]}")
if ((${#missing[@]} + ${#missing_optional[@]} == 0)); then
  say "every package for '$*' is installed already."
  exit 0
fi
if [[ "$(id -u)" -ne 0 ]] && ! command -v sudo >/dev/null; then
  say "not root and no sudo here. As root, run:"
  say "apt-get install --no-install-recommends ${missing[*]} ${missing_optional[*]}"
  ((${#missing[@]} == 0)) || exit 69
  exit 0
fi

if ((${#missing[@]})); then
  say "installing ${missing[*]}."
  if ! apt_install "${missing[@]}"; then
    mapfile -t missing < <(missing_of "${missing[@]}")
    say "could not install ${missing[*]}. apt-get's own words are above." >&2
    exit 69
  fi
fi
for package in "${missing_optional[@]}"; do
  say "installing $package (optional)."
  apt_install "$package" || say "could not install $package; going on without it."
done
say "done."
