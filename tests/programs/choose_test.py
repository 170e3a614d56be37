# SPDX-License-Identifier: Apache-2.0
"""Choice, hand-over and cushion curves by the command line: files alike, physics' direction,
refusals. Table and plans are invented."""
import csv
import json
import zipfile

import h5py
import numpy as np

from program import ProgramCase, main, study

PLAN = """schema = 1
name = "knee pad of a workshop"
about = "invented"
rank_by = ["mass", "peak_acceleration"]

[[wearer]]
name = "light"
mass_kg = {light}
radius_mm = 60

[[impact]]
name = "fall"
speed_m_per_s = 1.5
shape = "flat"
limits = {{ peak_acceleration_g = {limit} }}

[[zone]]
name = "kneecap"
thicknesses_mm = [{thickness}]
area_mm2 = 8000
impacts = ["fall"]
wearers = ["light"]

[print]
price_per_kg = 80
currency = "EUR"
"""


def plan(light=0.6, limit=60, thickness=25):
    return PLAN.format(light=light, limit=limit, thickness=thickness)


class Choose(ProgramCase):
    def table(self):
        text = study(loading__to_strain="0.7", loading__unload="true",
                     loading__strain_rate_per_s=None, cell__name=None,
                     specimen__relative_density=None)
        text += ('[sweep]\ncells = ["body_centred"]\nrelative_densities = [0.08, 0.12, 0.18]\n'
                 "strain_rates_per_s = [1.0, 100.0]\n")
        name = self.write("table.toml", text)
        self.assert_exit(self.run_program("table", name, "-o", "g.h5", "-q"), 0)

    def choose(self, code, *words, **values):
        self.write("plan.toml", plan(**values))
        result = self.run_program("choose", "plan.toml", "g.h5", "--json", "-q", *words)
        self.assert_exit(result, code)
        return json.loads(result.stdout)

    def test_choice_and_what_is_handed_on(self):
        self.table()
        document = self.choose(0, "-o", "c.json", "--csv", "c.csv")
        self.assertIn("certifies nothing", document["caution"])
        self.assertEqual(document, json.loads((self.folder / "c.json").read_text()))
        zone = document["zones"][0]
        best = zone["ranked"][0]
        self.assertTrue(zone["chosen"])
        self.assertTrue(best["passes"])
        # a screening table knows no doubt: it passes, and says so
        self.assertEqual(best["verdict"], "met, doubt not known")
        passing = [c for c in zone["ranked"] if c["passes"]]
        self.assertEqual(best["mass_kg"], min(c["mass_kg"] for c in passing))
        for c in passing:
            self.assertLess(c["peak_acceleration_g"], 60.0)
            # mass = density x area x thickness, cost = price x mass
            self.assertAlmostEqual(c["cost"], 80.0 * c["mass_kg"], delta=1e-12)
        for c in zone["ranked"][len(passing):]:
            self.assertTrue(c["reason"])
        # no pad is better than the ideal one, v^2 / 2 s
        ideal = 1.5 ** 2 / (2.0 * 0.025 * 9.80665)
        self.assertAlmostEqual(zone["bounds"][0]["ideal_peak_acceleration_g"], ideal, delta=1e-9)
        for c in zone["ranked"]:
            if c["verdict"] != "unknown: bottomed":
                self.assertGreater(c["peak_acceleration_g"], ideal)

        with open(self.folder / "c.csv", encoding="utf-8") as file:
            lines = [line for line in file if not line.startswith("#")]
        rows = list(csv.DictReader(lines))
        self.assertEqual(len(rows), len(zone["ranked"]))
        for row, c in zip(rows, zone["ranked"]):
            self.assertEqual(float(row["relative_density"]), c["relative_density"])
            self.assertEqual(float(row["mass_kg"]), c["mass_kg"])
            self.assertEqual(float(row["peak_acceleration_g"]),
                             c["blows"][0]["peak_acceleration_g"])
            self.assertEqual(row["verdict"], c["verdict"])

        text = self.run_program("choose", "plan.toml", "g.h5", "-q").stdout
        self.assertIn("certifies nothing", text)
        self.assertIn("cost_EUR", text)
        self.assertIn("choice: " + best["cell"], text)

        # A heavier knee needs a denser or thicker pad: here only denser ones are on offer.
        heavy = self.choose(0, light=1.5)["zones"][0]["ranked"][0]
        self.assertGreater(heavy["relative_density"], best["relative_density"])
        # 1.5 m/s in 2 mm is 57 g at the very least: 50 g is past any pad.
        thin = self.choose(3, thickness=2, limit=50)["zones"][0]
        self.assertFalse(thin["chosen"])
        self.assertIn("v^2", thin["impossible"])

        self.hand_over(best)

    def hand_over(self, best):
        self.write("plan.toml", plan())
        # cells of 15 mm: 6 x 6 x 2 of them make the pad
        result = self.run_program("handover", "plan.toml", "g.h5", "--cell-mm", "15", "-o", "out",
                                  "-q", timeout=900)
        self.assert_exit(result, 0)
        self.assertIn("certifies nothing", result.stdout)
        out = self.folder / "out"
        self.assertEqual({p.name for p in out.iterdir()},
                         {"coupon.stl", "coupon.3mf", "coupon-beams.3mf", "pad.stl", "pad.3mf",
                          "pad-beams.3mf", "grade.h5", "grade.csv", "law.toml", "test_plan.md"})
        for part in ["coupon", "pad"]:
            self.closed_solid(out / f"{part}.stl", out / f"{part}.3mf")
        for part in ["coupon.3mf", "pad.3mf", "coupon-beams.3mf", "pad-beams.3mf"]:
            with zipfile.ZipFile(out / part) as archive:
                self.assertIsNone(archive.testzip())
                self.assertIn("3D/3dmodel.model", archive.namelist())
        with h5py.File(out / "grade.h5") as file:
            densities = set(file["traits"]["relative_density"])
        self.assertLessEqual(min(densities), best["relative_density"] + 1e-12)
        self.assertGreaterEqual(max(densities), best["relative_density"] - 1e-12)
        steps = (out / "test_plan.md").read_text()
        for part in ["ISO 13314", "Crush", "certifies nothing", "fall", "`coupon.stl`",
                     "millimetres"]:
            self.assertIn(part, steps)

    def closed_solid(self, stl, model):
        """STL, common practice, no source; 3MF Core Specification, mesh: two triangles an edge,
        in opposite directions, outward."""
        data = stl.read_bytes()
        count = int.from_bytes(data[80:84], "little")
        self.assertEqual(len(data), 84 + 50 * count)
        self.assertIn(b"units: mm", data[:80])
        corners = np.frombuffer(data, offset=84, dtype=np.dtype(
            [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")]))["corners"]
        _, number = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
        triangles = number.reshape(-1, 3)
        edges = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        self.assertEqual(len(np.unique(edges, axis=0)), len(edges))
        self.assertEqual(len(np.unique(np.sort(edges, axis=1), axis=0)), len(edges) // 2)
        a, b, c = corners.astype(float).transpose(1, 0, 2)
        volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
        self.assertGreater(volume, 0.0)
        with zipfile.ZipFile(model) as archive:
            text = archive.read("3D/3dmodel.model").decode()
        self.assertIn('unit="millimeter"', text)
        self.assertEqual(text.count("<triangle "), count)

    def test_cushion_curves(self):
        self.table()
        words = ["cushion", "g.h5", "--cell", "body_centred", "--relative-density", "0.12",
                 "--thickness-mm", "20", "40", "--drop-height-m", "0.1", "-q"]
        result = self.run_program(*words, "--csv", "c.csv", "--svg", "c.svg", "--json")
        self.assert_exit(result, 0)
        curves = json.loads(result.stdout)["curves"]
        self.assertEqual([c["thickness_m"] for c in curves], [0.02, 0.04])
        for curve in curves:
            points = curve["points"]
            peaks = [p["peak_acceleration_g"] for p in points]
            # U-shaped: one lowest point inside, the last point bottoms
            lowest = peaks.index(min(peaks))
            self.assertTrue(0 < lowest < len(points) - 1)
            self.assertFalse(points[lowest]["bottomed"])
            self.assertTrue(points[-1]["bottomed"])
            # never below the ideal pad: H / thickness
            for p in points:
                if not p["bottomed"]:
                    self.assertGreater(p["peak_acceleration_g"], 0.1 / curve["thickness_m"])
        with open(self.folder / "c.csv", encoding="utf-8") as file:
            rows = list(csv.DictReader([line for line in file if not line.startswith("#")]))
        self.assertEqual([float(r["peak_acceleration_g"]) for r in rows],
                         [p["peak_acceleration_g"] for c in curves for p in c["points"]])
        text = self.run_program(*words).stdout
        self.assertIn("certifies nothing", text)
        self.assertIn("kPa static stress", text)
        # the impact of the same body on the same pad
        point = curves[0]["points"][10]
        mass = point["static_stress_Pa"] * 1e-2 / 9.80665
        hit = json.loads(self.run_program(
            "impact", "g.h5", "--cell", "body_centred", "--relative-density", "0.12",
            "--thickness-mm", "20", "--area-mm2", "10000", "--mass-kg", repr(mass),
            "--drop-height-m", "0.1", "--shape", "flat", "--json", "-q").stdout)
        traits = hit["impacts"][0]["answers"][0]["hits"][0]["traits"]
        self.assertAlmostEqual(traits["peak_acceleration_g"] / point["peak_acceleration_g"], 1.0,
                               delta=1e-3)

    def test_refusals_are_one_line(self):
        self.table()
        good = self.write("plan.toml", plan())
        typo = self.write("typo.toml", plan().replace("area_mm2", "area_mm"))
        nobody = self.write("nobody.toml", plan().replace('["light"]', '["heavy"]'))
        for words, complaint in [
                (["choose", typo, "g.h5"], "area_mm2"),
                (["choose", nobody, "g.h5"], "heavy"),
                (["choose", good, "none.h5"], "none.h5"),
                (["choose", good, "plan.toml"], "plan.toml"),
                (["handover", good, "g.h5", "--zone", "elbow", "-o", "out"], "kneecap"),
                (["cushion", "g.h5", "--cell", "octet", "--relative-density", "0.1",
                  "--thickness-mm", "20", "--drop-height-m", "1"], "octet"),
                (["cushion", "g.h5", "--cell", "body_centred", "--relative-density", "0.3",
                  "--thickness-mm", "20", "--drop-height-m", "1"], "0.3"),
                (["cushion", "g.h5", "--cell", "body_centred", "--relative-density", "0.1",
                  "--thickness-mm", "0", "--drop-height-m", "1"], "thickness_mm")]:
            result = self.run_program(*words, "-q")
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertIn(complaint, result.stderr)
        self.assertNotIn("out", self.files())


if __name__ == "__main__":
    main()
