#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Shear, oblique paths and directions by the command line: files, words and errors."""
import csv
import json

import h5py
import numpy

from program import ProgramCase, main, study

SHEARED = {"loading__to_strain": None, "loading__precompression": "0.05",
           "loading__shear_to_strain": "0.1"}


class Sideways(ProgramCase):
    def test_a_sheared_crush_tells_of_shear_in_every_file(self):
        self.write("study.toml", study(**SHEARED))
        result = self.run_program("crush", "study.toml", "-o", "s.h5", "--csv", "s.csv")
        self.assert_exit(result, 0)
        self.assertIn("shear_modulus_MPa", result.stdout)
        self.assertNotIn("plateau_stress_MPa", result.stdout)
        with h5py.File(self.folder / "s.h5") as file:
            strain = file["curve/shear_strain"][:]
            stress = file["curve/shear_stress_Pa"][:]
            slide = file["history/slide_m"][:]
            row = int(file.attrs["shear_row"])
        self.assertTrue(numpy.all(strain[:row] == 0.0))
        self.assertAlmostEqual(strain[-1], 0.1, delta=0.002)
        self.assertAlmostEqual(slide[-1] / strain[-1] / 5e-3, 1.0, delta=1e-12)  # height 5 mm
        self.assertGreater(stress[-1], 0.0)
        lines = [line for line in (self.folder / "s.csv").read_text().splitlines()
                 if not line.startswith("#")]
        last = list(csv.DictReader(lines))[-1]
        self.assertAlmostEqual(float(last["shear_stress_MPa"]) * 1e6 / stress[-1], 1.0, delta=1e-14)

    def test_a_table_holds_straight_sheared_and_slanting_rows(self):
        self.write("study.toml", study(
            loading__strain_rate_per_s=None, sweep__strain_rates_per_s="[0.01]",
            sweep__relative_densities="[0.1]", specimen__relative_density=None,
            sweep__shear_precompressions="[0.0]", sweep__path_angles_deg="[20]",
            loading__shear_to_strain="0.1", loading__to_strain="0.2",
            sweep__directions="[[0, 0, 1], [1, 1, 0]]"))
        result = self.run_program("table", "study.toml", "-o", "t.h5", "--svg", "t.svg", "--json")
        self.assert_exit(result, 0)
        rows = json.loads(result.stdout)["cases"]
        self.assertEqual([row["load"] for row in rows],
                         ["compression", "shear", "oblique"] * 2)
        self.assertEqual(rows[3]["direction"], [1, 1, 0])
        for row in rows:
            self.assertEqual(row["status"], "trusted", row["reason"])
            self.assertEqual(row["shear_traits"]["shear_modulus_Pa"] is None,
                             row["load"] == "compression")
        picture = (self.folder / "t.svg").read_text()
        self.assertIn("sheared at 0", picture)
        self.assertIn("body_centred, [110]", picture)

    def test_what_cannot_be_sheared_is_one_line(self):
        for changes, words in [
                ({"specimen__ends": '"platen"', "loading__platen_friction": "0.0", **SHEARED},
                 "platen_friction above 0"),
                ({"specimen__ends": '"periodic"', **SHEARED}, "not periodic"),
                ({"loading__precompression": "0.1"}, "needs shear_to_strain"),
                ({"cell__direction": "[0, 0, 0]"}, "[000] is no direction")]:
            self.write("study.toml", study(**changes))
            result = self.run_program("crush", "study.toml")
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertIn(words, result.stderr)


if __name__ == "__main__":
    main()
