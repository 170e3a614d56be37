# SPDX-License-Identifier: Apache-2.0
"""A computed curve against measured ones: scores, differences, corridor, corrections, errors."""
import csv
import json
import math
import xml.etree.ElementTree

from program import ProgramCase, main, study

AREA, HEIGHT = 2500.0, 25.0  # of the invented pads [mm2, mm]


def force_csv(stress_of, scale=1.0, compliance=0.0, toe=0.0):
    """What a frame writes: up to 40 % and back to 20 %, an invented pad."""
    rows = ["displacement_mm,force_N"]
    ups = [0.002 * i for i in range(201)]
    points = [(e, scale * stress_of(e)) for e in ups]
    top = points[-1][1]
    points += [(0.4 - 0.002 * i, top * (1.0 - i / 100.0)) for i in range(1, 101)]
    for strain, stress in points:
        force = stress * AREA
        rows.append(f"{(strain + (toe if strain > 0 else 0)) * HEIGHT + compliance * force},{force}")
    return "\n".join(rows) + "\n"


def straight_then_flat(e):
    return min(10.0 * e, 0.5)  # MPa


class Validate(ProgramCase):
    size = ["--area-mm2", str(AREA), "--height-mm", str(HEIGHT)]

    def told(self, *words, code=0):
        result = self.run_program("validate", *words, *self.size, "--json")
        self.assert_exit(result, code)
        return json.loads(result.stdout)

    def quantity(self, told, name):
        return next(q for q in told["quantities"] if q["quantity"] == name)

    def test_a_scaled_curve_has_a_known_score(self):
        # Sprague & Geers (2004): a curve 1.1 times as high has M = 0.1, P = 0, C = 0.1.
        self.write("computed.csv", force_csv(straight_then_flat, 1.1))
        self.write("measured.csv", force_csv(straight_then_flat))
        told = self.told("computed.csv", "measured.csv")
        for part in ("loading", "unloading", "overall"):
            self.assertAlmostEqual(told[part]["magnitude"], 0.1, places=9)
            self.assertAlmostEqual(told[part]["phase"], 0.0, places=6)
            self.assertAlmostEqual(told[part]["combined"], 0.1, places=6)
        for name in ("peak_stress_Pa", "loading_energy_J_per_m3", "loop_area_J_per_m3",
                     "plateau_stress_Pa"):
            self.assertAlmostEqual(self.quantity(told, name)["difference"], 0.1, places=6)
        # 0.5 e^2 x 10 to 5 %, then 0.5: 0.0125 + 0.175 MJ/m3; back over 0.2 of strain: 0.05
        energy = self.quantity(told, "loading_energy_J_per_m3")
        self.assertAlmostEqual(energy["measured"], 0.1875e6, delta=200.0)
        loop = self.quantity(told, "loop_area_J_per_m3")
        self.assertAlmostEqual(loop["measured"], 0.1375e6, delta=200.0)
        self.assertIsNone(told["loading"]["share_inside_one_deviation"])
        self.assertIn("Sprague & Geers", told["score_definition"])
        self.assertIn("certifies nothing", told["caution"])

    def test_repeats_make_a_corridor(self):
        # 0.9, 1.0 and 1.1 times the curve: mean the curve, deviation a tenth of it.
        self.write("computed.csv", force_csv(straight_then_flat, 1.15))
        names = [self.write(f"m{i}.csv", force_csv(straight_then_flat, s))
                 for i, s in enumerate((0.9, 1.0, 1.1))]
        told = self.told("computed.csv", *names, "--svg", "o.svg", "--csv", "d.csv",
                         "--corridor-csv", "c.csv")
        self.assertAlmostEqual(told["overall"]["magnitude"], 0.15, places=9)
        self.assertAlmostEqual(told["loading"]["share_inside_one_deviation"], 0.0, places=9)
        self.assertAlmostEqual(told["loading"]["share_inside_two_deviations"], 1.0, places=9)
        peak = self.quantity(told, "peak_stress_Pa")
        self.assertAlmostEqual(peak["deviation"] / peak["measured"], 0.1, places=9)
        rows = [line for line in (self.folder / "d.csv").read_text().splitlines()
                if not line.startswith("#")]
        kept = {row["quantity"]: row for row in csv.DictReader(rows)}
        self.assertEqual(float(kept["peak_stress_Pa"]["difference"]), peak["difference"])
        self.assertEqual(float(kept["score_C_overall"]["computed"]), told["overall"]["combined"])
        rows = [line for line in (self.folder / "c.csv").read_text().splitlines()
                if not line.startswith("#")]
        points = list(csv.DictReader(rows))
        self.assertEqual({p["branch"] for p in points}, {"loading", "unloading"})
        middle = next(p for p in points if abs(float(p["nominal_strain"]) - 0.2) < 1e-9)
        self.assertAlmostEqual(float(middle["measured_mean_MPa"]), 0.5, places=9)
        self.assertAlmostEqual(float(middle["measured_deviation_MPa"]), 0.05, places=9)
        picture = xml.etree.ElementTree.parse(self.folder / "o.svg").getroot()
        texts = [t.text for t in picture.iter("{http://www.w3.org/2000/svg}text")]
        self.assertIn("computed", texts)
        self.assertIn("mean of 3 measurements +- one deviation", texts)

    def test_frame_and_toe_are_taken_out(self):
        self.write("computed.csv", force_csv(straight_then_flat))
        self.write("measured.csv", force_csv(straight_then_flat, compliance=2e-4, toe=0.01))
        raw = self.told("computed.csv", "measured.csv")
        self.assertGreater(raw["overall"]["combined"], 0.01)
        told = self.told("computed.csv", "measured.csv", "--frame-compliance-mm-per-N", "2e-4",
                         "--toe-correction")
        # The rise is sampled in steps of 0.2 % strain; its first row carries the whole toe.
        self.assertLess(told["loading"]["combined"], 1e-3)
        self.assertTrue(any("toe: origin of strain moved by 0.01," in n for n in told["notes"]))
        self.assertTrue(any("frame of 0.0002 mm/N" in n for n in told["notes"]))
        result = self.run_program("traits", "measured.csv", *self.size, "--toe-correction",
                                  "--frame-compliance-mm-per-N", "2e-4", "--json")
        self.assert_exit(result, 0)
        shifts = {c["name"]: c["strain_shift"]
                  for c in json.loads(result.stdout)["corrections"]}
        self.assertAlmostEqual(shifts["toe"], 0.01, places=6)
        # 2e-4 mm/N x 1250 N / 25 mm
        self.assertAlmostEqual(shifts["frame_compliance"], 0.01, places=9)
        self.assertAlmostEqual(
            json.loads(result.stdout)["traits"]["quasi_elastic_gradient_Pa"] / 10e6, 1.0, places=5)

    def test_a_crush_result_and_a_row_of_a_grade_table(self):
        self.write("study.toml", study(loading__unload="true"))
        self.assert_exit(self.run_program("crush", "study.toml", "-o", "c.h5", "--csv", "c.csv"), 0)
        for words in (["c.h5", "c.csv"], ["c.csv", "c.csv"]):
            result = self.run_program("validate", *words, "--json")
            self.assert_exit(result, 0)
            told = json.loads(result.stdout)
            self.assertLess(told["overall"]["combined"], 1e-6)
            self.assertTrue(told["computed"]["trusted"])
            self.assertAlmostEqual(self.quantity(told, "loop_area_J_per_m3")["difference"], 0.0)
        self.write("table.toml", study(sweep__relative_densities="[0.1, 0.12]",
                                       specimen__relative_density=None))
        self.assert_exit(self.run_program("table", "table.toml", "-o", "t.h5", "--csv", "t.csv"), 0)
        result = self.run_program("validate", "t.h5", "c.csv", "--row", "1", "--json")
        self.assert_exit(result, 0)
        self.assertLess(json.loads(result.stdout)["loading"]["combined"], 1e-6)
        second = json.loads(self.run_program("validate", "t.h5", "c.csv", "--row", "2",
                                             "--json").stdout)
        self.assertGreater(second["loading"]["magnitude"], 0.1)
        result = self.run_program("validate", "t.h5", "c.csv")
        self.assert_exit(result, 2)
        self.assertRegex(result.stderr, r"^cellgrade: t.h5: a row of the grade table is needed; "
                                        r"its rows are: 1 body_centred.*\n$")

    def test_an_untrusted_computation_stays_untrusted(self):
        self.write("study.toml", study(limits__energy_closure="1e-12"))
        self.assert_exit(self.run_program("crush", "study.toml", "--csv", "c.csv"), 3)
        result = self.run_program("validate", "c.csv", "c.csv")
        self.assert_exit(result, 3)
        self.assertIn("the computed curve is not trusted: untrusted: ", result.stdout)

    def test_wrong_input_is_one_line(self):
        self.write("computed.csv", "nominal_strain,nominal_stress_MPa\n0,0\n0.1,1\n")
        self.write("late.csv", "nominal_strain,nominal_stress_MPa\n0,0\n0.1,0\n")
        force = self.write("force.csv", force_csv(straight_then_flat))
        strain = self.write("strain.csv", "nominal_strain,nominal_stress_MPa\n0,0\n0.1,1\n")
        for words, what in [
                (["computed.csv"], "MEASURED.csv is required"),
                (["computed.csv", "missing.csv"], "missing.csv: cannot be read"),
                (["computed.csv", force], "force.csv: holds "),
                (["computed.csv", strain, "--row", "2"], "only a grade table has rows"),
                (["computed.csv", strain, "--frame-compliance-mm-per-N", "1e-5"],
                 "strain.csv: the compliance of the frame needs"),
                (["computed.csv", "late.csv", "--toe-correction"],
                 "late.csv: the first rise has no straight part"),
                (["computed.csv", strain, "--svg", "none/o.svg"], "none")]:
            result = self.run_program("validate", *words)
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertIn(what, result.stderr)

    def test_a_phase_shift_is_told_as_phase(self):
        # sin and shifted sin over one whole period of strain: P = shift / pi
        def wave(shift):
            rows = ["nominal_strain,nominal_stress_MPa"]
            for i in range(2001):
                e = 0.5 * i / 2000
                rows.append(f"{e},{2.0 + math.sin(4.0 * math.pi * e + shift)}")
            return "\n".join(rows) + "\n"
        self.write("m.csv", wave(0.0))
        self.write("c.csv", wave(0.5))
        told = json.loads(self.run_program("validate", "c.csv", "m.csv", "--json").stdout)
        # mean 2 and amplitude 1: int m c = 4 + cos(shift)/2, int m^2 = 4.5 (per period)
        want = math.acos((4.0 + 0.5 * math.cos(0.5)) / 4.5) / math.pi
        self.assertAlmostEqual(told["overall"]["phase"], want, places=6)
        self.assertAlmostEqual(told["overall"]["magnitude"], 0.0, places=6)


if __name__ == "__main__":
    main()
