#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Fails on an include that points upward, on a cycle, and on a breach of a third-party wall.

usage: include_rule.py ROOT [--self-test]

The order is that of DEVELOPERS.md: a folder of solver/ includes itself and the folders to its left;
meshes and materials know solver/core alone. --self-test proves on a made-up tree that each kind of
breach is found.
"""
import pathlib
import re
import sys
import tempfile

LEVELS = {name: level for level, names in enumerate(
    ["core", "elements", "contact", "dynamics", "modes crush", "homogenize", "grades", "choice",
     "results", "report", "cli"]) for name in names.split()}

# header pattern -> (folders or files that may include it, may headers do so)
WALLS = [
    (re.compile(r"^hdf5(_hl)?\.h$"), ("solver/results/",), True),
    (re.compile(r"^Spectra/"), ("solver/modes/",), True),
    (re.compile(r"^toml"), ("solver/core/keyed_file.cpp",), False),
    (re.compile(r"^muParser"), ("meshes/catalogue/expression.cpp",), False),
    (re.compile(r"^minizip/"), ("meshes/print/zip_writer.cpp",), False),
    (re.compile(r"^zlib"), ("solver/report/base64.cpp",), False),
    (re.compile(r"^CLI/"), ("solver/cli/",), True),
    (re.compile(r"^nlohmann/"), ("solver/results/", "solver/report/", "solver/cli/"), False),
    (re.compile(r"^omp\.h$"),
     ("solver/elements/", "solver/contact/", "solver/dynamics/", "solver/crush/"), True),
]
INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.MULTILINE)
FOLDERS = ("solver", "meshes", "materials", "tests", "benchmarks", "examples")


def part_of(path):
    """'solver/crush/x.hpp' -> ('solver', 'crush'); other trees -> (tree, None)."""
    parts = path.split("/")
    return (parts[0], parts[1]) if parts[0] == "solver" and len(parts) > 2 else (parts[0], None)


def upward(user, used):
    """True when `user` has no right to include `used` (both paths from the root)."""
    tree, folder = part_of(user)
    other_tree, other = part_of(used)
    if tree in ("tests", "benchmarks", "examples"):
        return False
    if other_tree in ("tests", "benchmarks", "examples"):
        return True
    if tree in ("meshes", "materials"):
        return other_tree != tree and (other_tree, other) != ("solver", "core")
    if folder == "core":
        return (other_tree, other) != ("solver", "core")
    if other_tree in ("meshes", "materials"):
        return False
    return other != folder and LEVELS[other] >= LEVELS[folder]


def cycles(graph):
    state, found = {}, []

    def visit(node, trail):
        state[node] = "open"
        for other in sorted(graph.get(node, ())):
            if state.get(other) == "open":
                found.append(" -> ".join(trail[trail.index(other):] + [other]))
            elif other not in state:
                visit(other, trail + [other])
        state[node] = "done"

    for node in sorted(graph):
        if node not in state:
            visit(node, [node])
    return found


def problems(root):
    root, found, graph = pathlib.Path(root), [], {}
    files = sorted(p for f in FOLDERS for p in (root / f).rglob("*") if p.suffix in (".hpp", ".cpp"))
    for file in files:
        user = file.relative_to(root).as_posix()
        tree, folder = part_of(user)
        if tree == "solver" and folder not in LEVELS:
            found.append(f"{user}: folder '{folder}' has no place in the order")
            continue
        for mark, name in INCLUDE.findall(file.read_text(encoding="utf-8")):
            if mark == "<":
                found += wall_breaches(user, name)
            elif not (root / name).is_file():
                found.append(f'{user}: "{name}" is not a path from the repository root')
            else:
                graph.setdefault(user, set()).add(name)
                if upward(user, name):
                    found.append(f'{user}: may not include "{name}" (upward)')
    found += [f"cycle: {c}" for c in cycles(graph)]
    return found, len(files)


def wall_breaches(user, header):
    if user.startswith(("tests/", "benchmarks/")):
        return []
    return [f"{user}: <{header}> stays behind the wall of {', '.join(places)}"
            + ("" if in_headers else " (sources only)")
            for pattern, places, in_headers in WALLS
            if pattern.search(header) and not
            (user.startswith(places) and (in_headers or user.endswith(".cpp")))]


def self_test():
    breaches = {
        "solver/crush/a.hpp": '#include "solver/results/b.hpp"\n',      # upward
        "solver/modes/a.hpp": '#include "solver/crush/a.hpp"\n',        # neighbour
        "meshes/beams/a.hpp": '#include "materials/laws/a.hpp"\n',      # sideways
        "solver/elements/a.hpp": '#include "solver/elements/b.hpp"\n',  # cycle with b
        "solver/homogenize/a.cpp": "#include <hdf5.h>\n",               # wall
        "solver/results/j.hpp": "#include <nlohmann/json.hpp>\n",       # wall of headers
        "solver/results/c.cpp": '#include "c.hpp"\n',                   # not from the root
    }
    sound = {
        "solver/results/b.hpp": '#include "solver/crush/a.hpp"\n#include <hdf5.h>\n',
        "solver/elements/b.hpp": '#include "solver/elements/a.hpp"\n',
        "materials/laws/a.hpp": '#include "solver/core/t.hpp"\n',
        "solver/core/t.hpp": "#include <vector>\n",
    }
    with tempfile.TemporaryDirectory() as folder:
        for name, text in {**breaches, **sound}.items():
            path = pathlib.Path(folder, name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        found, _ = problems(folder)
    want = ["crush/a.hpp: may not", "modes/a.hpp: may not", "beams/a.hpp: may not", "cycle: ",
            "homogenize/a.cpp: <hdf5.h>", "results/j.hpp: <nlohmann", '"c.hpp" is not a path']
    missed = [w for w in want if not any(w in line for line in found)]
    # crush -> results -> crush is a second cycle, so one line more than the list
    if missed or len(found) != len(want) + 1:
        sys.exit("self-test failed; missed: %s; found:\n%s" % (missed, "\n".join(found)))


if __name__ == "__main__":
    if "--self-test" in sys.argv:
        self_test()
        sys.exit(0)
    lines, n_files = problems(sys.argv[1])
    print("\n".join(lines) if lines else f"include rule holds in {n_files} files")
    sys.exit(1 if lines or n_files == 0 else 0)
