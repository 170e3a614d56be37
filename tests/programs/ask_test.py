# SPDX-License-Identifier: Apache-2.0
"""Grade tables asked from outside: by `cellgrade ask`, and by the plain Python of the example."""
import csv
import json
import sys

import h5py
import numpy

from program import SOURCE, ProgramCase, main

sys.path.insert(0, str(SOURCE / "examples" / "11_read_table"))
import read_grades  # noqa: E402

STUDY = (SOURCE / "examples" / "11_read_table" / "study.toml").read_text(encoding="utf-8")
LIST = "relative_densities = [0.06, 0.08, 0.10, 0.12, 0.14]"


def rows_of(path):
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line[0] != "#"]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


class Ask(ProgramCase):
    """One table for all; its crushes take most of the time."""
    kept = None

    def setUp(self):
        super().setUp()
        if Ask.kept is None:
            self.crush("grades.h5", STUDY)
            Ask.kept = (self.folder / "grades.h5").read_bytes()
        (self.folder / "grades.h5").write_bytes(Ask.kept)

    def crush(self, name, text):
        self.write("study.toml", text)
        self.assert_exit(self.run_program("table", "study.toml", "-o", name), 0)

    def ask(self, *words, code=0):
        result = self.run_program("ask", "grades.h5", "--cell", "body_centred", *words)
        self.assert_exit(result, code)
        return result

    def answer(self, *words):
        document = json.loads(self.ask(*words, "--json").stdout)
        self.assertIn("certifies nothing", document["caution"])
        return document["answer"]

    def test_plain_python_gives_the_same_numbers(self):
        # The same formulas in another order of rounding: 1e-9 asked for, about 1e-13 found.
        grades = read_grades.read_grades(self.folder / "grades.h5", "body_centred")
        for density in [0.06, 0.067, 0.09, 0.10, 0.131]:
            self.ask("--at-density", str(density), "--csv", "curve.csv")
            rows = rows_of(self.folder / "curve.csv")
            strain, stress = read_grades.curve_at(grades, density)
            own = numpy.interp([row["nominal_strain"] for row in rows], strain, stress) / 1e6
            top = max(own)
            for mine, row in zip(own, rows):
                self.assertLess(abs(mine - row["nominal_stress_MPa"]), 1e-9 * top)
            self.assertLess(abs(strain[-1] - rows[-1]["nominal_strain"]), 1e-9)
        found = self.answer("--plateau-MPa", "0.009")["relative_densities"]
        self.assertEqual(len(found), 1)
        mine = read_grades.density_for_plateau(grades, 0.009e6)
        self.assertLess(abs(found[0] / mine - 1.0), 1e-9)
        self.assertLess(abs(read_grades.plateau(grades, found[0]) / 0.009e6 - 1.0), 1e-9)

    def test_energy_below_a_limit_is_what_the_curve_gives(self):
        answer = self.answer("--energy-kJ-per-m3", "5", "--stress-limit-MPa", "0.02")
        self.assertEqual(len(answer["ranges"]), 1)
        grades = read_grades.read_grades(self.folder / "grades.h5", "body_centred")
        for which in ["lightest", "most_energy"]:
            grade = answer["ranges"][0][which]
            strain, stress = read_grades.curve_at(grades, grade["relative_density"])
            end = grade["nominal_strain"]
            energy = read_grades.energy_to(strain, stress, end)
            self.assertLess(abs(energy / grade["energy_J_per_m3"] - 1.0), 1e-9)
            self.assertGreaterEqual(energy, 5e3 * (1.0 - 1e-9))
            self.assertLessEqual(max(stress[strain < end]), 0.02e6)
        none = self.answer("--energy-kJ-per-m3", "50", "--stress-limit-MPa", "0.02")
        self.assertEqual(none["ranges"], [])
        self.assertIn("absorbs at most", none["why_none"])

    def test_left_out_grade_is_met_within_3_percent(self):
        # Problem    five grades of body-centred cubes; the middle one is taken out of the table and
        #            asked for.
        # Tolerance  3 % of the crushed stress from 2 % strain to densification: the aim of the
        #            interpolation; 1.5 % is found. The study runs slowly: at the usual first speed
        #            the start rings, by rounding more or less, and single points miss by 5 %.
        self.crush("grades.h5", STUDY.replace(LIST, LIST.replace(" 0.10,", "")))
        self.crush("left_out.h5", STUDY.replace(LIST, "relative_densities = [0.10]"))
        with h5py.File(self.folder / "left_out.h5") as file:
            row, curve = file["traits"][0], file["curves/0001"]
            strain, stress = curve["nominal_strain"][:], curve["nominal_stress_Pa"][:] / 1e6
        self.ask("--at-density", "0.1", "--csv", "curve.csv")
        rows = rows_of(self.folder / "curve.csv")
        inside = (strain > 0.02) & (strain < row["densification_strain"])
        self.assertGreater(row["densification_strain"], 0.6)
        got = numpy.interp(strain[inside], [r["nominal_strain"] for r in rows],
                           [r["nominal_stress_MPa"] for r in rows])
        self.assertLess(numpy.max(numpy.abs(got / stress[inside] - 1.0)), 0.03)
        # The density of the plateau stress of the crushed grade is the density that was crushed:
        # plateau stresses go with about the square of density, so 3 % becomes 1.5 %.
        plateau = row["plateau_stress_Pa"] / 1e6
        found = self.answer("--plateau-MPa", repr(float(plateau)))["relative_densities"]
        self.assertLess(abs(found[0] / 0.1 - 1.0), 0.015)

    def test_outside_the_table_is_refused_or_marked(self):
        result = self.ask("--at-density", "0.2", code=2)
        self.assertRegex(result.stderr, r"^cellgrade: relative density 0.2 is outside 0.06 to 0.14 "
                                        r"of the table \(body_centred, 0.01 1/s\)")
        self.assertEqual(result.stderr.count("\n"), 1)
        marked = self.ask("--at-density", "0.2", "--extrapolate", "--csv", "curve.csv")
        self.assertIn("extrapolated in relative density", marked.stdout)
        self.assertIn("# extrapolated in relative density",
                      (self.folder / "curve.csv").read_text(encoding="utf-8"))

    def test_wrong_questions_are_told(self):
        for words, what in [([], "one question is needed"),
                            (["--at-density", "0.1", "--plateau-MPa", "1"], "one question"),
                            (["--energy-kJ-per-m3", "5"], "--stress-limit-MPa"),
                            (["--plateau-MPa", "1", "--csv", "c.csv"], "belong to --at-density"),
                            (["--at-density", "0.1", "--stress-limit-MPa", "1"], "belongs to"),
                            (["--at-density", "0.1", "--temperature-C", "5"], "tells none"),
                            (["--at-density", "0.1", "--strain-rate-per-s", "5"], "strain rate 5"),
                            (["--at-density", "0.1", "--direction", "1", "1", "0"],
                             "along [110]; the table has: body_centred")]:
            result = self.ask(*words, code=2)
            self.assertIn(what, result.stderr)
            self.assertEqual(result.stdout, "")
        result = self.run_program("ask", "grades.h5", "--cell", "kelvin", "--at-density", "0.1")
        self.assert_exit(result, 2)
        self.assertIn("no trusted curve of cell 'kelvin'", result.stderr)


if __name__ == "__main__":
    main()
