# SPDX-License-Identifier: Apache-2.0
"""Impacts by the command line: a blow from options and from a file, files, presets, refusals."""
import csv
import json
import math
import xml.etree.ElementTree

from program import ProgramCase, main, study

GRAVITY = 9.80665
PAD = ["--cell", "body_centred", "--relative-density", "0.1", "--thickness-mm", "30",
       "--area-mm2", "10000"]
BLOW = ["--mass-kg", "0.4", "--speed-m-per-s", "1.0", "--shape", "flat"]


class Impact(ProgramCase):
    def table(self):
        text = study(loading__to_strain="0.6", loading__unload="true", loading__strain_rate_per_s=None,
                     cell__name=None, specimen__relative_density=None)
        text += ('[sweep]\ncells = ["body_centred"]\nrelative_densities = [0.1]\n'
                 "strain_rates_per_s = [1.0, 100.0]\n")
        name = self.write("table.toml", text)
        self.assert_exit(self.run_program("table", name, "-o", "g.h5", "-q"), 0)

    def answer(self, *words, code=0):
        result = self.run_program("impact", "g.h5", *PAD, *words, "--json", "-q")
        self.assert_exit(result, code)
        return json.loads(result.stdout)

    def test_a_blow_keeps_energy_and_impulse(self):
        self.table()
        report = self.answer(*BLOW, "--csv", "blow.csv", "--svg", "blow.svg", "--limit",
                             "peak_acceleration_g=100", "--limit", "peak_force_kN=0.01")
        self.assertEqual(report["schema"], "cellgrade/impact")
        self.assertIn("certifies nothing", report["caution"])
        hit = report["impacts"][0]["answers"][0]["hits"][0]
        traits = hit["traits"]
        self.assertFalse(hit["bottomed"])
        # 1/2 m v^2 = 0.2 J goes in; what comes back is the kinetic energy of the rebound
        self.assertAlmostEqual(traits["absorbed_energy_J"] / 0.2, 1.0, delta=1e-3)
        self.assertAlmostEqual(traits["returned_energy_J"],
                               0.5 * 0.4 * traits["rebound_speed_m_per_s"] ** 2, delta=2e-4)
        self.assertLess(traits["restitution"], 1.0)
        limits = {row["quantity"]: row["verdict"] for row in
                  report["impacts"][0]["answers"][0]["limits"]}
        self.assertEqual(limits["peak_force_N"], "not met")
        # the impulse of the force is the change of momentum, straight from the CSV
        with open(self.folder / "blow.csv", encoding="utf-8") as file:
            lines = [line for line in file if not line.startswith("#")]
        rows = list(csv.DictReader(lines))
        t = [float(r["time_s"]) for r in rows]
        force = [float(r["force_N"]) for r in rows]
        impulse = sum(0.5 * (force[i] + force[i - 1]) * (t[i] - t[i - 1])
                      for i in range(1, len(t)))
        self.assertAlmostEqual(impulse / (0.4 * (1.0 + traits["rebound_speed_m_per_s"])), 1.0,
                               delta=2e-3)
        self.assertAlmostEqual(max(float(r["acceleration_g"]) for r in rows) /
                               traits["peak_acceleration_g"], 1.0, delta=1e-3)
        self.assertAlmostEqual(max(force) / 0.4 / GRAVITY / traits["peak_acceleration_g"], 1.0,
                               delta=1e-3)
        xml.etree.ElementTree.parse(self.folder / "blow.svg")

        # A pad so small that it bottoms is not trusted, and no limit counts as met.
        small = self.run_program("impact", "g.h5", *PAD[:-1], "100", *BLOW, "--limit",
                                 "peak_acceleration_g=1e6", "--json", "-q")
        self.assert_exit(small, 3)
        answer = json.loads(small.stdout)["impacts"][0]["answers"][0]
        self.assertTrue(answer["bottomed"])
        self.assertEqual(answer["limits"][0]["verdict"], "unknown: bottomed")

        # The same blow from a file.
        name = self.write("blows.toml", 'schema = 1\n[[impact]]\nname = "impact"\nmass_kg = 0.4\n'
                          'drop_height_m = %r\nshape = "flat"\n' % (0.5 / GRAVITY))
        again = self.answer("--impacts", name)["impacts"][0]["answers"][0]["hits"][0]["traits"]
        for key, value in traits.items():
            if value is not None:
                self.assertAlmostEqual(again[key] / value, 1.0, delta=1e-6, msg=key)

        for words, complaint in [
                (["--impacts", name, *BLOW], "by options or by --impacts, not by both"),
                ([*BLOW, "--limit", "hic=5"], "did you mean bric or hic15"),
                ([*BLOW, "--limit", "hic15=none"], "a number above 0 is needed"),
                ([*BLOW, "--temperature-C", "40"], "temperature 40 C"),
                (["--mass-kg", "0.4", "--shape", "flat"], "a speed is needed"),
                (["--rule", "none", "--shape", "flat"], "unknown rule 'none'")]:
            result = self.run_program("impact", "g.h5", *PAD, *words, "-q")
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertIn(complaint, result.stderr)
        result = self.run_program("impact", "g.h5", *PAD[:-2], *BLOW, "-q")
        self.assert_exit(result, 2)
        self.assertIn("--area-mm2 is needed", result.stderr)

    def test_presets_name_their_sources(self):
        presets = json.loads(self.run_program("impact", "--presets", "--json").stdout)
        self.assertIn("certifies nothing", presets["caution"])
        rules = {rule["name"]: rule for rule in presets["rules"]}
        # 16 CFR 1203.12(d)(2) and EN 1078: 300 and 250 g
        self.assertEqual(rules["us-bicycle-flat"]["limits"], {"peak_acceleration_g": 300.0})
        self.assertEqual(rules["eu-bicycle-flat"]["limits"], {"peak_acceleration_g": 250.0})
        for row in presets["rules"] + presets["headforms"]:
            self.assertTrue(row["source"])
        speed = math.sqrt(2 * GRAVITY * rules["eu-mountain-crown"]["drop_height_m"])
        self.assertAlmostEqual(0.5 * 5.0 * speed ** 2, 98.07, delta=0.01)  # EN 12492: 5 kg, 2 m
        text = self.run_program("impact", "--presets").stdout
        self.assertIn("from memory", text)


if __name__ == "__main__":
    main()
