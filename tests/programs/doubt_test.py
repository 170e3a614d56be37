# SPDX-License-Identifier: Apache-2.0
"""Uncertainty by parts: what a study asks for is run, counted, cached, and told."""
import math
import re

from program import ProgramCase, main, study

PARTS = ["mesh", "specimen", "rate", "friction", "polymer", "print"]


def doubted(uncertainty, **changes):
    """The small study with one case and a table [uncertainty] of these keys."""
    settings = {"specimen__relative_density": None, "loading__strain_rate_per_s": None,
                "loading__to_strain": "0.25", "sweep__relative_densities": "[0.1]",
                "sweep__strain_rates_per_s": "[0.01]"}
    settings.update(changes)
    settings.update({f"uncertainty__{key}": value for key, value in uncertainty.items()})
    return study(**settings)


FULL = {"effort": '"full"', "polymer_stiffness_share": "0.05", "node_offset_share": "0.02",
        "diameter_scatter_share": "0.05", "seeds": "3"}


class Doubt(ProgramCase):
    def table(self, text, code=0):
        self.write("study.toml", text)
        result = self.run_program("table", "study.toml", "-o", "t.h5", "--csv", "t.csv")
        self.assert_exit(result, code)
        return result

    def parts(self, result):
        """Shares in per cent by part, from the text; None where not estimated."""
        lines = result.stdout.splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("case ") and "mesh" in line)
        columns = re.split(r"\s{2,}", lines[at + 1].strip())
        values = [None if v == "-" else float(v) for v in columns[2:9]]
        return dict(zip([*PARTS, "together"], values)), columns[-1]

    def test_without_a_table_nothing_is_estimated_and_that_is_said(self):
        result = self.table(doubted({}))
        self.assertIn("uncertainty: nothing was estimated", result.stdout)
        self.assertNotIn("±", result.stdout)

    def test_screening_says_so_in_every_row_and_shows_the_guards(self):
        result = self.table(doubted({"effort": '"screening"'},
                                    sweep__relative_densities="[0.1, 0.12]"))
        self.assertIn("nothing was estimated (effort screening)", result.stdout)
        self.assertIn("guard nearest its limit", result.stdout)
        self.assertNotIn("±", result.stdout)
        rows = [line for line in (self.folder / "t.csv").read_text(encoding="utf-8").splitlines()
                if not line.startswith("#")]
        self.assertEqual(len(rows), 3)
        for row in rows[1:]:
            self.assertIn("uncertainty: nothing was estimated", row)

    def test_full_gives_all_parts_and_nominal_cases_stay_in_the_cache(self):
        plain = self.table(doubted({}))
        self.assertIn("1 computed, 0 reused", plain.stderr)
        full = self.table(doubted(FULL))
        # 2 meshes, 1 larger specimen, 1 slower run, 2 frictions, 1 polymer, 3 prints
        self.assertIn("10 computed, 1 reused", full.stderr)
        parts, missing = self.parts(full)
        self.assertEqual(missing, "-")
        for name in PARTS:
            self.assertIsNotNone(parts[name], name)
            if name != "friction":
                self.assertGreater(parts[name], 0.0, name)
        together = math.sqrt(sum(parts[name] ** 2 for name in PARTS))
        self.assertLess(abs(parts["together"] - together), 0.05 * together + 0.1)  # two digits
        # bonded ends and struts that do not touch yet: friction acts nowhere
        self.assertEqual(parts["friction"], 0.0)
        # a slow elastic crush is stiffer as its polymer is
        self.assertLess(abs(parts["polymer"] - 5.0), 0.5)
        self.assertIn(" ± ", full.stdout)
        again = self.table(doubted(FULL))
        self.assertIn("0 computed, 11 reused", again.stderr)
        self.assertEqual(again.stdout, full.stdout)
        # a changed part is all that is computed anew
        self.assertIn("1 computed, 10 reused", self.table(
            doubted({**FULL, "polymer_stiffness_share": "0.1"})).stderr)

    def test_coarse_meshes_leave_a_larger_part(self):
        share = {}
        for n in ["2", "8"]:
            result = self.table(doubted({"parts": '["mesh"]', "mesh_refinements": "[1.5, 2.5]"},
                                        specimen__elements_per_strut=n))
            share[n], missing = self.parts(result)
            self.assertEqual(missing, "specimen, rate, friction, polymer, print")
        self.assertGreater(share["2"]["mesh"], 2.0 * share["8"]["mesh"])

    def test_prints_that_scatter_more_leave_a_larger_part(self):
        share = {}
        for scatter in ["0.01", "0.1"]:
            result = self.table(doubted({"parts": '["print"]', "seeds": "4",
                                         "diameter_scatter_share": scatter}))
            share[scatter], _ = self.parts(result)
        self.assertGreater(share["0.1"]["print"], 3.0 * share["0.01"]["print"])

    def test_friction_of_platens_counts_where_they_may_slide(self):
        result = self.table(doubted({"parts": '["friction"]'}, specimen__ends='"platen"',
                                    specimen__sides='"free"'))
        parts, _ = self.parts(result)
        self.assertGreater(parts["friction"], 0.0)

    def test_impact_without_scatter_or_intervals_says_why_not(self):
        result = self.table(doubted({"effort": '"full"', "mesh_refinements": "[1.5]"},
                                    sweep__strain_rates_per_s=None, sweep__speeds_m_per_s="[5.0]"))
        _, missing = self.parts(result)
        self.assertEqual(missing, "rate, polymer, print")
        for words in ["rate not estimated: does not apply to an impact",
                      "polymer not estimated: the card 'medium' has no intervals",
                      "print not estimated: neither card nor study says"]:
            self.assertIn(words, result.stdout)

    def test_middle_density_is_carried_and_flagged(self):
        result = self.table(doubted({"effort": '"working"', "parts": '["rate"]'},
                                    sweep__relative_densities="[0.08, 0.1, 0.12]"))
        self.assertIn("4 computed", result.stderr)
        self.assertIn("uncertainty of 2 cases", result.stdout)
        self.assertEqual(result.stdout.count("carried from relative density 0.1, in proportion"), 1)

    def test_a_damaged_variant_alone_is_computed_again(self):
        self.write("study.toml", doubted({"parts": '["friction"]'}))
        result = self.run_program("table", "study.toml", "-o", "t.h5")
        self.assert_exit(result, 0)
        cases = sorted((self.folder / "t.h5.cases").glob("*.case"))
        self.assertEqual(len(cases), 3)
        cases[0].write_bytes(b"damaged")
        again = self.run_program("table", "study.toml", "-o", "t.h5")
        self.assert_exit(again, 0)
        self.assertIn("1 computed, 2 reused", again.stderr)
        self.assertEqual(again.stdout, result.stdout)

    def test_the_example_tells_all_parts(self):
        result = self.run_program("table", "examples/12_doubt/study.toml", "-o", "t.h5")
        self.assert_exit(result, 0)
        parts, missing = self.parts(result)
        self.assertEqual(missing, "-")
        self.assertGreater(parts["friction"], 1.0)  # platens that grip

    def test_wrong_keys_are_one_line(self):
        self.write("study.toml", doubted({"effort": '"ful"'}))
        result = self.run_program("table", "study.toml", "-o", "t.h5")
        self.assert_exit(result, 2)
        self.assertRegex(result.stderr, r"study.toml:\d+:\d+: uncertainty.effort: ")
        self.assertEqual(len(result.stderr.strip().splitlines()), 1)


if __name__ == "__main__":
    main()
