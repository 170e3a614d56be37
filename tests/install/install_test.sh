#!/usr/bin/env bash
# SPDX-License-Identifier: Apache-2.0
# install_test.sh BUILD_FOLDER   installs the finished build into a scratch folder, builds a consumer
# against it and runs the consumer and the installed program.
set -euo pipefail
build=$1
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

cmake --install "$build" --prefix "$scratch/prefix" >/dev/null
cmake -S "$here/consumer" -B "$scratch/build" -G Ninja -DCMAKE_BUILD_TYPE=Release \
    -DCMAKE_PREFIX_PATH="$scratch/prefix" >/dev/null
cmake --build "$scratch/build" >/dev/null
# The installed program must not need the source or build tree.
cd "$scratch"
prefix/bin/cellgrade --version
prefix/bin/cellgrade cells --json >/dev/null
prefix/bin/cellgrade table prefix/share/cellgrade/examples/11_read_table/study.toml -o grades.h5 -q
test "$(build/consumer grades.h5)" = 0.090000
if grep -rl "$build" prefix/lib/*/cmake prefix/lib/cmake 2>/dev/null; then
    echo "the package files name the build folder" >&2
    exit 1
fi
echo "install: consumer and program run"
