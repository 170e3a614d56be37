# SPDX-License-Identifier: Apache-2.0
"""The command calibrate: its files, JSON, a card that the other commands take, hostile input."""
import json
import xml.etree.ElementTree

from program import SOURCE, ProgramCase, main

EXAMPLE = "examples/08_fit_polymer/study.toml"
HEAD = """schema = 1
name = "n"
source = "invented"
density_kg_per_m3 = 1100
[fixed]
void_fraction = 0.0
poissons_ratio = 0.49
[fit]
laws = ["neo_hookean", "yeoh"]
[[test]]
file = "pull.csv"
mode = "uniaxial_tension"
[sources]
density_kg_per_m3 = "invented"
void_fraction = "invented"
poissons_ratio = "invented"
"""


class Calibrate(ProgramCase):
    def test_example_gives_card_picture_and_json(self):
        result = self.run_program("calibrate", EXAMPLE, "-o", "card.toml", "--svg", "fit.svg",
                                  "--json")
        self.assert_exit(result, 0)
        document = json.loads(result.stdout)
        self.assertEqual(document["schema"], "cellgrade/calibration")
        self.assertIn("certifies nothing", document["caution"])
        self.assertTrue(any("no equibiaxial test" in line for line in document["not_known"]))
        xml.etree.ElementTree.parse(self.folder / "fit.svg")
        picture = (self.folder / "fit.svg").read_text(encoding="utf-8")
        for words in ("tension.csv", "master curve at 23 C", "40 C", "fitted series"):
            self.assertIn(f">{words}</text>", picture)
        self.assertIn("unloading", result.stderr)
        # Invented with shares .15, .15, .15 at .05, 1 and 30 s.
        for term in document["prony"]["terms"]:
            self.assertLess(term["share_low"], 0.15)
            self.assertGreater(term["share_high"], 0.15)

    def test_card_is_taken_by_mesh_and_table_commands(self):
        self.assert_exit(self.run_program("calibrate", EXAMPLE, "-o", "card.toml"), 0)
        study = (SOURCE / "examples/01_first_crush/study.toml").read_text(encoding="utf-8")
        lines = [('card = "card.toml"' if line.startswith("card") else line)
                 for line in study.split("\n")]
        self.write("study.toml", "\n".join(lines))
        self.assert_exit(self.run_program("mesh", "study.toml", "-o", "mesh.vtu"), 0)

    def test_card_serves_cold_and_warm(self):
        """Colder relaxes later: a crush of one beam cell at 5 C is stiffer than at 35 C."""
        self.assert_exit(self.run_program("calibrate", EXAMPLE, "-o", "card.toml"), 0)
        self.assertIn("[temperature]", (self.folder / "card.toml").read_text(encoding="utf-8"))
        gradient = {}
        for temperature in (5, 35):
            self.write("study.toml", f"""schema = 1
name = "cold and warm"
about = "invented data"
[polymer]
card = "card.toml"
[cell]
name = "kelvin"
size_mm = 10.0
[specimen]
tiles = [1, 1, 1]
relative_density = 0.1
sides = "periodic"
[loading]
strain_rate_per_s = 0.1
to_strain = 0.06
temperature_C = {temperature}
""")
            result = self.run_program("crush", "study.toml", "--json")
            self.assertIn(result.returncode, (0, 3), result.stderr)
            gradient[temperature] = json.loads(result.stdout)["traits"]["quasi_elastic_gradient_Pa"]
        # Between 5 and 35 C the invented shift moves times by some 1.7 decades; the shares lie at
        # .05, 1 and 30 s and a pull to 4 % takes 0.4 s: one share of .15 more has relaxed.
        self.assertGreater(gradient[5], 1.05 * gradient[35])

    def test_same_input_same_bytes(self):
        first = self.run_program("calibrate", EXAMPLE, "-o", "a.toml")
        second = self.run_program("calibrate", EXAMPLE, "-o", "b.toml")
        self.assertEqual(first.stdout, second.stdout)
        self.assertEqual((self.folder / "a.toml").read_bytes(),
                         (self.folder / "b.toml").read_bytes())

    def assert_refused(self, csv, words, mode="uniaxial_tension"):
        self.write("study.toml", HEAD.replace("uniaxial_tension", mode))
        self.write("pull.csv", csv)
        result = self.run_program("calibrate", "study.toml", "-o", "card.toml")
        self.assert_exit(result, 2)
        self.assertEqual(len(result.stderr.strip().split("\n")), 1, result.stderr)
        self.assertIn("pull.csv", result.stderr)
        self.assertIn(words, result.stderr)
        self.assertNotIn("card.toml", self.files())

    def test_hostile_files_end_in_one_line_and_leave_no_card(self):
        head = "nominal_strain,nominal_stress_MPa\n"
        rows = [(0.05 * i, 0.15 * i) for i in range(11)]
        text = lambda a, b: "".join(f"{a * e},{b * s}\n" for e, s in rows)
        self.assert_refused("", "is empty")
        self.assert_refused(text(1, 1), "no header row")
        self.assert_refused(head + text(1, 1e6), "Pa or kPa under a header")
        self.assert_refused(head + text(100, 1), "per cent")
        self.assert_refused(head + "0,0\n0.1,nan\n0.2,1\n", "pull.csv:3")
        self.assert_refused(head + "0,0\n0.1,0.3\n", "at least three")
        self.assert_refused(head + "0.5,1.5\n0.3,0.9\n0.1,0.3\n0,0\n", "falls from its first row")

    def test_hostile_histories_end_in_one_line_and_leave_no_card(self):
        def refuse(csv, words):
            self.assert_refused(csv, words, "uniaxial_cycle")
        head = "time_s,nominal_strain,nominal_stress_MPa\n"
        way = [0.02 * min(i, 40 - i) for i in range(41)]
        rows = lambda f: "".join("{},{},{}\n".format(*f(i, e)) for i, e in enumerate(way))
        refuse("", "is empty")
        refuse(rows(lambda i, e: (i, e, 3 * e)), "no header row")
        refuse(head + "".join(f"{i},{0.01 * i},{0.03 * i}\n" for i in range(6)), "at least 8")
        refuse(head + rows(lambda i, e: (40 - i, e, 3 * e)), "time falls")
        refuse(head + rows(lambda i, e: (i, e, -3 * e)), "opposite signs")
        refuse(head + rows(lambda i, e: (i, 0.1, 3 * e)), "never changes")
        refuse(head + rows(lambda i, e: (i, e, "nan" if i == 7 else 3 * e)), "pull.csv:9")
        refuse(head + rows(lambda i, e: (i, 100 * e, 3 * e)), "per cent")
        refuse(head + rows(lambda i, e: (i, e, 3e6 * e)), "Pa or kPa under a header")
        refuse("nominal_strain,nominal_stress_MPa\n" + "".join(f"{e},{3 * e}\n" for e in way),
               "time_s, or rate_per_s")

    def test_keys_of_histories_are_refused_without_one(self):
        for key in ("damage = true", 'relaxation = "power_law"'):
            self.write("study.toml", HEAD.replace("[[test]]", key + "\n[[test]]"))
            result = self.run_program("calibrate", "study.toml", "-o", "card.toml")
            self.assert_exit(result, 2)
            self.assertIn("study.toml:10", result.stderr)
            self.assertIn("no test is a uniaxial_cycle", result.stderr)

    def test_a_law_that_does_not_follow_the_test_exits_3_and_marks_the_card(self):
        self.write("study.toml", HEAD)
        # A yield: no law of rubber turns level at 2 % strain.
        self.write("pull.csv", "nominal_strain,nominal_stress_MPa\n" + "".join(
            f"{0.002 * i:.3f},{min(2.0 * i, 20.0) - 0.02 * i}\n" for i in range(100)))
        result = self.run_program("calibrate", "study.toml", "-o", "card.toml")
        self.assert_exit(result, 3)
        self.assertIn("not to be trusted: pull.csv", result.stdout)
        self.assertIn("NOT TO BE TRUSTED",
                      (self.folder / "card.toml").read_text(encoding="utf-8"))

    def test_a_million_rows(self):
        self.write("study.toml", HEAD)
        self.write("pull.csv", "nominal_strain,nominal_stress_MPa\n" +
                   "".join(f"{5e-7 * i:.7f},{1.5e-6 * i:.7f}\n" for i in range(1000000)))
        result = self.run_program("calibrate", "study.toml", "-o", "card.toml")
        self.assert_exit(result, 0)
        self.assertIn("averaged into", result.stderr)

    def test_a_missing_file_is_named(self):
        self.write("study.toml", HEAD)
        result = self.run_program("calibrate", "study.toml", "-o", "card.toml")
        self.assert_exit(result, 2)
        self.assertIn("pull.csv", result.stderr)


if __name__ == "__main__":
    main()
