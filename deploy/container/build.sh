#!/usr/bin/env bash
# Makes the Debian package of a build and the container image brakeward:<version> of it.
#   deploy/container/build.sh [BUILD_FOLDER]     default build
# BASE         base image, default that of the Containerfile
# ENGINE       words of the engine, default podman; further words are its options
# BUILD_WORDS  further options of its `build`, as `--network=host`
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
folder=${1:-build}
read -ra engine <<<"${ENGINE:-podman}"
read -ra words <<<"${BUILD_WORDS:-}"
cmake --build "$folder" --target brakeward brakeward_probe
context=$(mktemp -d)
trap 'rm -rf "$context"' EXIT
(cd "$folder" && cpack -G DEB -B "$context")
rm -rf "$context/_CPack_Packages"
version=$(sed -n 's/^CMAKE_PROJECT_VERSION:STATIC=//p' "$folder/CMakeCache.txt")
if [[ -n ${BASE:-} ]]; then words+=(--build-arg "BASE=$BASE"); fi
"${engine[@]}" build --format docker "${words[@]}" --tag "brakeward:$version" --file deploy/container/Containerfile "$context"
