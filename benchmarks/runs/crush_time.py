#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Time of a whole crush against the error of its plateau stress.

    crush_time.py build/release/cellgrade [--across 1 1.5 2 3] [--cells gyroid_skeletal:0.15 ...]

Crushes one periodic cell with ever finer meshes to 0.7 nominal strain on one thread, takes the
finest for the truth and tells the cheapest mesh whose plateau stress is within 3 % of it.
"""
import argparse
import json
import pathlib
import subprocess
import sys
import tempfile
import time

STUDY = """schema = 1
name = "time of a crush"
about = "invented data: no real product, polymer or measurement"
[polymer]
card = "medium"
[cell]
name = "{cell}"
size_mm = 10.0
[specimen]
tiles = [1, 1, 1]
relative_density = {density}
sides = "periodic"
ends = "platen"
elements_across = {across}
[loading]
strain_rate_per_s = 0.01
to_strain = 0.7
"""


def run(program, command, study, *options):
    done = subprocess.run([program, command, study, "--model", "solid", "--threads", "1", "--json",
                           "--quiet", *options], capture_output=True, text=True, check=False)
    if done.returncode not in (0, 3):
        sys.exit(f"crush_time: {done.stderr.strip()}")
    return json.loads(done.stdout)


def crush(program, cell, density, across):
    """(tetrahedra, seconds of the crush, plateau stress in MPa or None, verdict)."""
    with tempfile.TemporaryDirectory() as folder:
        study = pathlib.Path(folder) / "study.toml"
        study.write_text(STUDY.format(cell=cell, density=density, across=across))
        tets = run(program, "mesh", study)["tetrahedra"]
        start = time.perf_counter()
        result = run(program, "crush", study)
        seconds = time.perf_counter() - start
    plateau = result["traits"]["plateau_stress_Pa"]
    return tets, seconds, plateau and plateau * 1e-6, result["verdict"]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("program")
    parser.add_argument("--across", type=float, nargs="+", default=[1.0, 1.5, 2.0, 3.0])
    parser.add_argument("--cells", nargs="+", default=["gyroid_skeletal:0.15", "body_centred:0.2"])
    options = parser.parse_args()
    for choice in options.cells:
        cell, density = choice.split(":")
        print(f"{cell}, relative density {density}")
        print(f"{'across':>8}{'tetrahedra':>12}{'seconds':>10}{'plateau_MPa':>13}  verdict")
        runs = []
        for across in sorted(options.across):
            tets, seconds, plateau, verdict = crush(options.program, cell, density, across)
            shown = "-" if plateau is None else f"{plateau:.5f}"
            print(f"{across:>8}{tets:>12}{seconds:>10.1f}{shown:>13}  {verdict}", flush=True)
            if plateau is not None:
                runs.append((seconds, across, plateau))
        if len(runs) < 2:
            sys.exit("crush_time: fewer than two runs gave a plateau")
        truth = runs[-1][2]
        close = [run for run in runs[:-1] if abs(run[2] / truth - 1.0) < 0.03]
        if close:
            seconds, across, plateau = min(close)
            print(f"within 3 % of the finest: {across} across, {seconds:.0f} s, "
                  f"{100 * (plateau / truth - 1):+.1f} %\n")
        else:
            print("none but the finest is within 3 %\n")


if __name__ == "__main__":
    main()
