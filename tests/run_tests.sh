#!/usr/bin/env bash
# SPDX-License-Identifier: Apache-2.0
# Installs what is missing, builds the release profile with warnings as errors, and runs every test
# that is not slow: lint, unit, verification, regression, programs, install.
#
#   tests/run_tests.sh              the whole quick suite
#   tests/run_tests.sh --slow       the slow cases too
#   tests/run_tests.sh --sanitize   unit tests under the address and undefined-behaviour sanitizers
#
# Open measured data are used when the folder ../shared/data exists, or where CELLGRADE_DATA says.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source tests/support/packages.sh

profile=release
select=(-LE slow)
for option in "$@"; do
    case "$option" in
    --slow) select=() ;;
    --sanitize)
        profile=sanitize
        select=(-L unit)
        ;;
    --help | -h)
        sed -n '3,10s/^# \{0,1\}//p' tests/run_tests.sh
        exit 0
        ;;
    *)
        echo "error: unknown option '$option' (known: --slow, --sanitize, --help)" >&2
        exit 2
        ;;
    esac
done

cellgrade_install "${cellgrade_build_packages[@]}" "${cellgrade_test_packages[@]}"
cellgrade_install_browser
cellgrade_fetch_page

if [ -z "${CELLGRADE_DATA:-}" ] && [ -d ../shared/data ]; then
    CELLGRADE_DATA=$(cd ../shared/data && pwd)
    export CELLGRADE_DATA
fi
echo "== open data: ${CELLGRADE_DATA:-none (cases that need them say 'skipped: no data folder')}"

echo "== building profile $profile"
configure=(-DCELLGRADE_TESTS=ON -DCELLGRADE_WERROR=ON -DCELLGRADE_PRECOMPILED=ON
           -DCELLGRADE_JOINED=ON)
if [ "$profile" = release ]; then
    configure+=(-DCELLGRADE_BENCHMARKS=ON)
fi
cmake --preset "$profile" "${configure[@]}"
cmake --build --preset "$profile" --parallel "$(cellgrade_jobs)"

echo "== running the tests"
ctest --test-dir "build/$profile" --output-on-failure --no-tests=error \
    --parallel "$(cellgrade_jobs)" "${select[@]}"
