# SPDX-License-Identifier: Apache-2.0
"""Beams against solids: the same grade both ways, kept, told in text, JSON and CSV."""
import csv
import json

from program import ProgramCase, main, study


def pair(**changes):
    """One stubby grade, driven too fast to be trusted, so that it takes seconds."""
    settings = {"specimen__relative_density": None, "specimen__elements_across": "1.5",
                "loading__to_strain": "0.04", "loading__platen_friction": "0.0",
                "model__solver_speed_m_per_s": "1.0", "limits__kinetic_share": "0.5",
                "limits__platen_balance": "0.5", "sweep__relative_densities": "[0.2]"}
    settings.update(changes)
    return study(**settings)


class Compare(ProgramCase):
    def test_both_ways_and_again_from_the_kept_cases(self):
        self.write("study.toml", pair())
        first = self.run_program("compare", "study.toml", "-o", "a.csv", "--json")
        self.assertIn(first.returncode, (0, 3), first.stderr)
        told = json.loads(first.stdout)
        self.assertEqual(told["schema"], "cellgrade/model-agreement")
        row = told["rows"][0]
        self.assertEqual(row["cell"], "body_centred")
        # strut length 4.33 mm over a diameter of 1.066 mm (references F18: 0.2 by union volume)
        self.assertAlmostEqual(row["slenderness"], 4.06, delta=0.01)
        self.assertIsNotNone(row["stiffness_difference"])
        lines = [line for line in (self.folder / "a.csv").read_text().splitlines()
                 if not line.startswith("#")]
        kept = list(csv.DictReader(lines))[0]
        self.assertEqual(float(kept["stiffness_difference"]), row["stiffness_difference"])
        again = self.run_program("compare", "study.toml", "-o", "a.csv", "--json")
        self.assertEqual(again.stdout, first.stdout)

    def test_a_cell_without_struts_has_nothing_to_compare(self):
        self.write("study.toml", pair(cell__name='"gyroid_wall"'))
        result = self.run_program("compare", "study.toml", "-o", "a.csv")
        self.assert_exit(result, 2)
        self.assertIn("no struts", result.stderr)

    def test_a_crush_of_beams_tells_how_far_beams_are_from_solids(self):
        self.write("study.toml", study(specimen__relative_density="0.06"))
        result = self.run_program("crush", "study.toml")
        self.assert_exit(result, 0)
        self.assertIn("beams against tetrahedra of this cell at this density: stiffness",
                      result.stdout + result.stderr)


if __name__ == "__main__":
    main()
