#!/usr/bin/env bash
# SPDX-License-Identifier: Apache-2.0
# Installs what is missing, builds the program and runs the demo study (examples/04_grade_table and
# the frames of examples/01_first_crush), and makes one page of them. Results go to out/demo, or to
# the folder given.
#
#   examples/run_demo.sh [OUTPUT_FOLDER]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source tests/support/packages.sh

out=${1:-out/demo}

cellgrade_install "${cellgrade_build_packages[@]}"
cellgrade_fetch_page

echo "== building the program (profile release)"
cmake --preset release -DCELLGRADE_TESTS=OFF -DCELLGRADE_BENCHMARKS=OFF \
    -DCELLGRADE_PRECOMPILED=ON >/dev/null
cmake --build --preset release --parallel "$(cellgrade_jobs)" --target cellgrade_program
cellgrade=build/release/cellgrade
"$cellgrade" --version
mkdir -p "$out"

# A case that breaks a limit is a marked row and exit code 3: the table is still there to be read.
status=0
echo "== the grade table of an invented helmet liner (examples/04_grade_table)"
"$cellgrade" table examples/04_grade_table/study.toml -o "$out/grades.h5" --csv "$out/grades.csv" \
    --curves-csv "$out/curves.csv" --svg "$out/curves.svg" || status=$?
if [ "$status" -ne 0 ] && [ "$status" -ne 3 ]; then
    exit "$status"
fi

echo "== the shapes of one crush (examples/01_first_crush)"
"$cellgrade" crush examples/01_first_crush/study.toml -o "$out/crush.h5" --csv "$out/crush.csv" \
    --frames "$out/crush.vtkhdf" --svg "$out/crush.svg"

echo "== one page of both, with the choice for the zones of a knee pad (examples/18_choice)"
"$cellgrade" report "$out/grades.h5" "$out/crush.h5" "$out/crush.vtkhdf" \
    --zones examples/18_choice/knee_pad.toml -o "$out/report.html"

echo "== results in $out"
ls -1 "$out"
exit "$status"
