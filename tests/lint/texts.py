#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Checks of the text of the tree.

usage: texts.py ROOT spdx|words|types|version

spdx     the first line (second after #!) of every source, script and list file is its licence tag
words    no unfinished marks, machine paths, download hosts or loose comparisons
types    no type of a namespace is defined in two headers (the linker would take one for both)
version  CMakeLists.txt, CITATION.cff and CHANGELOG.md tell the same version and date
"""
import pathlib
import re
import sys

SOURCES = {".hpp", ".cpp", ".py", ".sh", ".cmake", ".in", ".mjs", ".css"}
SKIP = {"build", "out", ".git", "__pycache__", ".cache", "node_modules"}
TAG = "SPDX-License-Identifier: Apache-2.0"
# Written in two halves so that this file does not find itself.
WORDS = [
    (r"\bTO" r"DO\b|\bFIX" r"ME\b|\bXX" r"X\b", "an unfinished mark"),
    (r"doctest::App" r"rox", "a comparison with a built-in absolute tolerance; use rel_err"),
    (r"skip\(tr" r"ue\)|may_f" r"ail|should_f" r"ail", "a case that cannot fail"),
    (r"(^|[^A-Za-z0-9_.])/(wo" r"rk|ro" r"ot|ho" r"me)/", "a path of one machine"),
    (r"https?://[^ ]*(regis" r"try|mir" r"ror|/pool/ma" r"in)", "a download host"),
]


def files(root):
    for path in sorted(pathlib.Path(root).rglob("*")):
        parts = path.relative_to(root).parts
        if path.is_file() and not SKIP & set(parts) and not parts[-1].startswith(".partial"):
            yield path


def tagged(path):
    return path.suffix in SOURCES or path.name == "CMakeLists.txt" or path.parts[-2:] == (".ci", "run")


def spdx(root):
    for path in files(root):
        if tagged(path):
            head = path.read_text(encoding="utf-8").split("\n")[:2]
            if TAG not in head[head[0].startswith("#!")]:
                yield f"{path.relative_to(root)}: the licence tag is not the first line"


def words(root):
    for path in files(root):
        if path.name == "LICENSE":
            continue
        try:
            lines = path.read_text(encoding="utf-8").split("\n")
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(lines, 1):
            for pattern, what in WORDS:
                if re.search(pattern, line):
                    yield f"{path.relative_to(root)}:{number}: {what}: {line.strip()[:80]}"


def types(root):
    where = {}
    for path in files(root):
        if path.suffix != ".hpp":
            continue
        spaces = []
        for line in path.read_text(encoding="utf-8").split("\n"):
            if opened := re.match(r"(?:inline )?namespace ([\w:]+) \{", line):
                spaces.append(opened.group(1))
            elif line.startswith("} // namespace"):
                spaces.pop()
            elif kind := re.match(r"(?:struct|class|enum class) (?:alignas\(.*?\) )?(\w+)[^;]*\{", line):
                name = "::".join([*spaces, kind.group(1)])
                if name in where:
                    yield f"{path.relative_to(root)}: {name} is defined in {where[name]} too"
                where[name] = path.relative_to(root)


def first(pattern, path):
    found = re.search(pattern, path.read_text(encoding="utf-8"), re.MULTILINE)
    return found.groups() if found else (f"nothing in {path.name}",)


def version(root):
    root = pathlib.Path(root)
    (cmake,) = first(r"^project\(cellgrade VERSION (\S+)", root / "CMakeLists.txt")
    (cited,) = first(r'^version: "?([^"\s]+)', root / "CITATION.cff")
    (cited_day,) = first(r'^date-released: "?([^"\s]+)', root / "CITATION.cff")
    logged = first(r"^## (\S+) - (\S+)$", root / "CHANGELOG.md")
    if not cmake == cited == logged[0]:
        yield f"versions differ: CMakeLists.txt {cmake}, CITATION.cff {cited}, CHANGELOG.md {logged[0]}"
    if cited_day != logged[-1]:
        yield f"dates differ: CITATION.cff {cited_day}, CHANGELOG.md {logged[-1]}"


if __name__ == "__main__":
    checks = {"spdx": spdx, "words": words, "types": types, "version": version}
    if len(sys.argv) != 3 or sys.argv[2] not in checks:
        sys.exit(__doc__)
    lines = list(checks[sys.argv[2]](sys.argv[1]))
    print("\n".join(lines) if lines else f"{sys.argv[2]}: nothing found")
    sys.exit(1 if lines else 0)
