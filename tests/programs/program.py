# SPDX-License-Identifier: Apache-2.0
"""What the program tests share: the program, a scratch folder with the examples, small studies."""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

PROGRAM = pathlib.Path(os.environ["CELLGRADE_PROGRAM"])
SOURCE = pathlib.Path(os.environ["CELLGRADE_SOURCE"])

# A study so small that it runs in a moment.
STUDY = {
    "": {"schema": "1"},
    "polymer": {"card": '"medium"'},
    "cell": {"name": '"body_centred"', "size_mm": "5.0"},
    "specimen": {"tiles": "[1, 1, 1]", "relative_density": "0.10", "sides": '"periodic"',
                 "ends": '"bonded"', "elements_per_strut": "2"},
    "loading": {"strain_rate_per_s": "0.01", "to_strain": "0.1"},
}

CELL = """schema = 1
size_mm = [5.0, 5.0, 5.0]
nodes = [[0, 0, 0], [0.5, 0.5, 0.5]]
struts = [[1, 0], [1, 0], [1, 0], [1, 0], [1, 0], [1, 0], [1, 0], [1, 0]]
images = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0], [0, 0, 1], [1, 0, 1], [0, 1, 1], [1, 1, 1]]
"""


def study(**changes):
    """Text of the small study; specimen__tiles="[2, 2, 2]" changes a key, None removes it."""
    tables = {name: dict(keys) for name, keys in STUDY.items()}
    for name, value in changes.items():
        table, _, key = name.rpartition("__")
        if value is None:
            tables[table].pop(key, None)
        else:
            tables.setdefault(table, {})[key] = value
    lines = []
    for table, keys in tables.items():
        if table:
            lines.append(f"[{table}]")
        lines += [f"{key} = {value}" for key, value in keys.items()]
    return "\n".join(lines) + "\n"


class ProgramCase(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)
        (self.folder / "examples").symlink_to(SOURCE / "examples")

    def write(self, name, text):
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return name

    def run_program(self, *words, timeout=300, **options):
        return subprocess.run([PROGRAM, *words], cwd=self.folder, capture_output=True, text=True,
                              timeout=timeout, check=False, **options)

    def files(self):
        """Everything in the scratch folder but the examples."""
        return {p.relative_to(self.folder).as_posix() for p in self.folder.rglob("*")
                if p.name != "examples"}

    def assert_exit(self, result, code):
        self.assertEqual(result.returncode, code,
                         f"\nstdout: {result.stdout[-800:]}\nstderr: {result.stderr[-800:]}")


def main():
    sys.exit(not unittest.main(exit=False, verbosity=1).result.wasSuccessful())
