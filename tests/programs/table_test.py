# SPDX-License-Identifier: Apache-2.0
"""Grade tables: a killed study resumes and ends in the same bytes; failed cases are rows."""
import csv
import json
import signal
import subprocess
import time

import h5py
import numpy

from program import PROGRAM, ProgramCase, main, study


def sweep(**changes):
    settings = {"specimen__relative_density": None, "specimen__tiles": "[1, 1, 1]",
                "loading__strain_rate_per_s": None, "loading__to_strain": "0.2",
                "specimen__elements_per_strut": "4",
                "sweep__relative_densities": "[0.06, 0.08, 0.10, 0.12, 0.14, 0.16]",
                "sweep__strain_rates_per_s": "[0.01, 1.0]"}
    settings.update(changes)
    return study(**settings)


class Table(ProgramCase):
    def bytes_of(self, *names):
        return [(self.folder / name).read_bytes() for name in names]

    def test_killed_study_resumes_to_the_same_bytes(self):
        self.write("study.toml", sweep())
        words = ["table", "study.toml", "-o", "t.h5", "--csv", "t.csv", "--long-csv", "l.csv",
                 "--curves-csv", "c.csv"]
        (self.folder / "whole").mkdir()
        self.write("whole/study.toml", sweep())
        whole = subprocess.run([PROGRAM, *words], cwd=self.folder / "whole", capture_output=True,
                               text=True, check=False)
        self.assert_exit(whole, 0)
        self.assertIn("12 computed, 0 reused, 0 failed", whole.stderr)

        cache = self.folder / "t.h5.cases"
        with subprocess.Popen([PROGRAM, *words], cwd=self.folder, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL) as process:
            while process.poll() is None and len(list(cache.glob("*.case"))) < 3:
                time.sleep(0.002)
            process.send_signal(signal.SIGKILL)
        self.assertEqual(process.returncode, -signal.SIGKILL, "finished before the kill")
        self.assertFalse((self.folder / "t.h5").exists())
        kept = len(list(cache.glob("*.case")))
        resumed = self.run_program(*words)
        self.assert_exit(resumed, 0)
        self.assertIn(f"{12 - kept} computed, {kept} reused", resumed.stderr)
        self.assertEqual(resumed.stdout, whole.stdout)
        files = ["t.h5", "t.csv", "l.csv", "c.csv"]
        self.assertEqual(self.bytes_of(*files), self.bytes_of(*[f"whole/{name}" for name in files]))

    def test_only_what_changed_is_computed(self):
        words = ["table", "study.toml", "-o", "t.h5"]
        self.write("study.toml", sweep(sweep__relative_densities="[0.08]"))
        self.assertIn("2 computed, 0 reused", self.run_program(*words).stderr)
        self.write("study.toml", sweep(sweep__relative_densities="[0.08, 0.10]"))
        self.assertIn("2 computed, 2 reused", self.run_program(*words).stderr)
        self.write("study.toml", sweep(sweep__relative_densities="[0.08, 0.10]",
                                       loading__to_strain="0.15"))
        self.assertIn("4 computed, 0 reused", self.run_program(*words).stderr)

    def test_damaged_case_is_computed_again_and_said(self):
        words = ["table", "study.toml", "-o", "t.h5"]
        self.write("study.toml", sweep(sweep__relative_densities="[0.08]"))
        self.assert_exit(self.run_program(*words), 0)
        first = self.bytes_of("t.h5")
        case = next((self.folder / "t.h5.cases").glob("*.case"))
        content = bytearray(case.read_bytes())
        content[len(content) // 2] ^= 1
        case.write_bytes(content)
        result = self.run_program(*words)
        self.assert_exit(result, 0)
        self.assertIn("1 computed, 1 reused", result.stderr)
        self.assertIn("computed again", result.stderr)
        self.assertEqual(self.bytes_of("t.h5"), first)

    def test_same_bytes_for_any_number_of_threads(self):
        for n in ["1", "2", "3"]:
            (self.folder / n).mkdir()
            self.write(f"{n}/study.toml", sweep())
            result = subprocess.run([PROGRAM, "table", "study.toml", "-o", "t.h5", "--csv", "t.csv",
                                     "--threads", n], cwd=self.folder / n, capture_output=True,
                                    text=True, check=False)
            self.assert_exit(result, 0)
        self.assertEqual(len({(self.folder / n / "t.csv").read_bytes() for n in "123"}), 1)

    def test_untrusted_case_is_a_marked_row_and_exit_3(self):
        self.write("study.toml", sweep(sweep__relative_densities="[0.08]",
                                       limits__energy_closure="1e-12"))
        result = self.run_program("table", "study.toml", "-o", "t.h5", "--csv", "t.csv", "--json")
        self.assert_exit(result, 3)
        self.assertEqual(json.loads(result.stdout)["schema"], "cellgrade/grade-table")
        lines = [line for line in (self.folder / "t.csv").read_text().splitlines()
                 if not line.startswith("#")]
        for row in csv.DictReader(lines):
            self.assertEqual(row["status"], "untrusted")
            self.assertIn("energy", row["reason"])

    def test_table_reads_in_one_line(self):
        self.write("study.toml", sweep())
        self.assert_exit(self.run_program("table", "study.toml", "-o", "t.h5"), 0)
        with h5py.File(self.folder / "t.h5") as file:
            traits = file["traits"][:]
        self.assertEqual(len(traits), 12)
        gradient = traits["quasi_elastic_gradient_Pa"]
        # denser is stiffer, at either rate
        self.assertTrue(numpy.all(numpy.diff(gradient[0::2]) > 0.0))


if __name__ == "__main__":
    main()
