#!/usr/bin/env bash
# SPDX-License-Identifier: Apache-2.0
# Installs what is missing, builds the program and runs the main job on the demo: an invented
# workshop's polymer is fitted, three cells are crushed cold and warm, grades are chosen for the
# zones of a cycling-helmet liner and of a knee pad, and all of it becomes one page. Results go to
# out/demo, or to the folder given.
#
#   examples/run_demo.sh [OUTPUT_FOLDER]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source tests/support/packages.sh

out=${1:-out/demo}
demo=examples/19_demo

cellgrade_install "${cellgrade_build_packages[@]}"
cellgrade_fetch_page

echo "== building the program (profile release)"
cmake --preset release -DCELLGRADE_TESTS=OFF -DCELLGRADE_BENCHMARKS=OFF \
    -DCELLGRADE_PRECOMPILED=ON -DCELLGRADE_JOINED=ON >/dev/null
cmake --build --preset release --parallel "$(cellgrade_jobs)" --target cellgrade_program
cellgrade=build/release/cellgrade
"$cellgrade" --version
mkdir -p "$out"

# Exit code 3 tells that a case broke a limit or a zone got no grade: marked, and there to be read.
status=0
or_marked() {
    local code=0
    "$@" || code=$?
    if [ "$code" -ne 0 ] && [ "$code" -ne 3 ]; then
        exit "$code"
    fi
    [ "$code" -eq 0 ] || status=3
}

echo "== the polymer, from coupon tests (examples/08_fit_polymer)"
"$cellgrade" calibrate examples/08_fit_polymer/study.toml -o "$out/liner_polymer.toml" \
    --svg "$out/polymer.svg" >"$out/polymer.txt"

echo "== the grade table ($demo/grades.toml)"
cp "$demo/grades.toml" "$out/grades.toml" # its polymer lies beside it
or_marked "$cellgrade" table "$out/grades.toml" -o "$out/grades.h5" --csv "$out/grades.csv" \
    --curves-csv "$out/curves.csv" --svg "$out/curves.svg"

echo "== the choice for the liner and the knee pad"
or_marked "$cellgrade" choose "$demo/liner.toml" "$out/grades.h5" -o "$out/liner.json" \
    --csv "$out/liner.csv" --show 3
or_marked "$cellgrade" choose "$demo/knee_pad.toml" "$out/grades.h5" -o "$out/knee_pad.json" \
    --csv "$out/knee_pad.csv" --show 3

echo "== the shapes of one crush (examples/01_first_crush)"
"$cellgrade" crush examples/01_first_crush/study.toml -o "$out/crush.h5" --csv "$out/crush.csv" \
    --frames "$out/crush.vtkhdf" --svg "$out/crush.svg"

echo "== one page of all"
"$cellgrade" report "$out/grades.h5" "$out/crush.h5" "$out/crush.vtkhdf" \
    --zones "$demo/liner.toml" --zones "$demo/knee_pad.toml" -o "$out/report.html"

echo "== results in $out; the page is $out/report.html"
ls -1 "$out"
exit "$status"
