# SPDX-License-Identifier: Apache-2.0
"""What the reader tests share: sample files in a folder of their own, and a check that says what."""
import pathlib
import subprocess
import sys
import tempfile

try:
    import h5py
    import numpy
except ImportError as missing:
    print(f"skipped: {missing} (Debian package python3-h5py)")
    sys.exit(77)


def check(condition, what):
    if not condition:
        sys.exit(f"failed: {what}")


def run(test):
    """Calls test(folder) with the files that the program named on the command line writes."""
    with tempfile.TemporaryDirectory() as name:
        subprocess.run([sys.argv[1], name], check=True)
        test(pathlib.Path(name))
