#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Drops by the command line: files, words, errors."""
import csv
import json

import h5py
import numpy

from program import ProgramCase, main, study

# A few cells under a mass that they hold; a moment of computing.
DROP = {"loading__strain_rate_per_s": None, "loading__to_strain": None,
        "striker__shape": '"flat"', "striker__mass_kg": "0.0005",
        "striker__speed_m_per_s": "1.0", "specimen__tiles": "[1, 1, 2]"}
BALL = {**DROP, "specimen__sides": '"free"', "specimen__ends": '"platen"',
        "specimen__tiles": "[2, 2, 1]", "striker__shape": '"sphere"',
        "striker__radius_mm": "10.0"}


class Drop(ProgramCase):
    def test_one_drop_in_every_file_alike(self):
        self.write("study.toml", study(**DROP))
        result = self.run_program("drop", "study.toml", "-o", "d.h5", "--csv", "d.csv", "--svg",
                                  "d.svg", "--frames", "d.vtkhdf")
        self.assert_exit(result, 0)
        self.assertIn("peak_acceleration_g", result.stdout)
        self.assertIn("certif", result.stdout)  # the caution
        with h5py.File(self.folder / "d.h5") as file:
            self.assertEqual(file.attrs["schema"], "cellgrade/drop")
            self.assertEqual(file.attrs["verdict"], "trusted")
            self.assertIn("certif", file.attrs["caution"])
            history = {name: file[f"history/{name}"][:] for name in file["history"]}
            units = {name: file[f"history/{name}"].attrs["units"] for name in file["history"]}
            traits = file["traits"][0]
            mass = file.attrs["striker_mass_kg"]
        self.assertEqual(units["contact_force_N"], "N")
        time, force = history["time_s"], history["contact_force_N"]
        # Newton: the impulse of the pad is the change of momentum of the striker, weight left out.
        impulse = float(numpy.sum(force[1:] * numpy.diff(time)))
        change = mass * (history["speed_m_per_s"][0] - history["speed_m_per_s"][-1])
        self.assertAlmostEqual(impulse / change, 1.0, delta=0.01)  # rows end half a step late
        self.assertAlmostEqual(traits["rebound_speed_m_per_s"], -history["speed_m_per_s"][-1])
        self.assertAlmostEqual(
            traits["peak_acceleration_g"],
            max(history["filtered_acceleration_m_per_s2"]) / 9.80665, delta=1e-9)
        self.assertAlmostEqual(traits["impact_energy_J"], 0.5 * mass * 1.0, delta=1e-12)
        lines = [line for line in (self.folder / "d.csv").read_text().splitlines()
                 if not line.startswith("#")]
        rows = list(csv.DictReader(lines))
        self.assertEqual(len(rows), len(time))
        self.assertEqual(float(rows[-1]["contact_force_N"]), force[-1])
        self.assertIn("acceleration over time", (self.folder / "d.svg").read_text())
        with h5py.File(self.folder / "d.vtkhdf") as file:
            self.assertGreater(file["VTKHDF/Steps"].attrs["NSteps"], 10)

    def test_json_and_dry_run_and_drop_height(self):
        self.write("study.toml", study(**{**BALL, "striker__speed_m_per_s": None,
                                          "striker__drop_height_m": "0.05"}))
        result = self.run_program("drop", "study.toml", "--json")
        self.assert_exit(result, 0)
        document = json.loads(result.stdout)
        self.assertEqual(document["schema"], "cellgrade/drop")
        speed = document["history"]["speed_m_per_s"][0]
        self.assertAlmostEqual(speed, (2.0 * 9.80665 * 0.05) ** 0.5, delta=1e-12)
        self.assertIsNotNone(document["injury"]["hic15"])
        dry = self.run_program("drop", "study.toml", "--dry-run")
        self.assert_exit(dry, 0)
        self.write("again.toml", dry.stdout)
        again = self.run_program("drop", "again.toml", "--dry-run")
        self.assert_exit(again, 0)
        self.assertEqual(again.stdout, dry.stdout)

    def test_a_share_of_the_mass_on_an_endless_pad(self):
        self.write("study.toml", study(**{**DROP, "striker__mass_kg": "0.05",
                                          "striker__loaded_area_mm2": "2500.0"}))
        result = self.run_program("drop", "study.toml", "--json")
        self.assert_exit(result, 0)
        # one cell of 25 mm2 of 2500 mm2
        self.assertAlmostEqual(json.loads(result.stdout)["striker_mass_kg"], 0.0005, delta=1e-15)

    def test_a_pad_that_bottoms_out_is_no_result(self):
        self.write("study.toml", study(**{**DROP, "striker__mass_kg": "0.5"}))
        result = self.run_program("drop", "study.toml", "-o", "d.h5")
        self.assert_exit(result, 3)
        self.assertIn("bottoms out", result.stderr)
        with h5py.File(self.folder / "d.h5") as file:
            self.assertEqual(file.attrs["verdict"], "untrusted")

    def test_what_cannot_be_dropped_is_one_line(self):
        for changes, words in [
                ({"striker__mass_kg": None}, "striker.mass_kg"),
                ({"striker__mass_kg": "-1.0"}, "striker.mass_kg"),
                ({"striker__shape": '"cone"'}, "striker.shape"),
                ({"striker__radius_mm": "10.0"}, "of spheres"),
                ({"striker__drop_height_m": "1.0"}, "exactly one of"),
                ({"striker__path_angle_deg": "20"}, "needs guided = false"),
                ({"striker__row_interval_us": "500.0"}, "too few for channel class"),
                ({"striker__colour": "1"}, "striker.colour"),
                ({"loading__speed_m_per_s": "2.0"}, "loading.speed_m_per_s"),
                ({"specimen__ends": '"periodic"'}, "not periodic"),
                ({"striker__shape": '"sphere"', "striker__radius_mm": "10.0"},
                 "cannot strike a periodic"),
                ({"specimen__sides": '"free"', "striker__loaded_area_mm2": "100.0"},
                 "striker.loaded_area_mm2")]:
            self.write("study.toml", study(**{**DROP, **changes}))
            before = self.files()
            result = self.run_program("drop", "study.toml", "-o", "d.h5", "--quiet")
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertIn(words, result.stderr)
            self.assertEqual(self.files(), before)

    def test_other_commands_say_whose_table_it_is(self):
        self.write("study.toml", study(**{**DROP, "loading__strain_rate_per_s": "0.01"}))
        result = self.run_program("crush", "study.toml")
        self.assert_exit(result, 2)
        self.assertIn("of `cellgrade drop`", result.stderr)


if __name__ == "__main__":
    main()
