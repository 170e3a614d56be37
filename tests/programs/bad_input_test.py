# SPDX-License-Identifier: Apache-2.0
"""Every wrong input ends in one clear line, exit code 2 and no file."""
import json
import os
import resource
import unittest

from program import CELL, ProgramCase, main, study


class BadStudy(ProgramCase):
    def refused(self, text, *parts):
        """The crush is refused; the one line on stderr has all parts."""
        name = self.write("study.toml", text)
        before = self.files()
        result = self.run_program("crush", name, "-o", "r.h5", "--csv", "c.csv", "--quiet")
        self.assert_exit(result, 2)
        self.assertEqual(result.stdout, "")
        self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
        for part in ("cellgrade: ",) + parts:
            self.assertIn(part, result.stderr)
        self.assertEqual(self.files(), before)

    def test_the_study_itself_is_sound(self):
        self.assert_exit(self.run_program("crush", self.write("study.toml", study()), "--dry-run"),
                         0)

    def test_missing_key(self):
        self.refused(study(polymer__card=None), "study.toml", "polymer.card", "missing")

    def test_missing_rate(self):
        self.refused(study(loading__strain_rate_per_s=None), "speed_m_per_s", "strain_rate_per_s")

    def test_both_rates(self):
        self.refused(study(loading__speed_m_per_s="2.0"), "study.toml:", "not together")

    def test_wrong_unit_in_a_key(self):
        self.refused(study(loading__strain_rate_per_s=None, loading__speed_mm_per_s="500.0"),
                     "study.toml:", "speed_mm_per_s", "speed_m_per_s")

    def test_negative_density(self):
        self.refused(study(specimen__relative_density="-0.1"), "study.toml:",
                     "specimen.relative_density", "-0.1")

    def test_density_of_one(self):
        self.refused(study(specimen__relative_density="1.0"), "specimen.relative_density")

    def test_density_beyond_the_closed_limit(self):
        self.refused(study(specimen__relative_density="0.99999"), "0.99999")

    def test_not_a_finite_number(self):
        for value in ["nan", "inf", "-inf"]:
            self.refused(study(loading__to_strain=value), "study.toml:", "loading.to_strain",
                         "finite")

    def test_text_for_a_number(self):
        self.refused(study(loading__to_strain='"half"'), "study.toml:", "loading.to_strain",
                     "number")

    def test_unknown_cell(self):
        self.refused(study(cell__name='"body_centered"'), "body_centered", "body_centred")

    def test_unknown_card(self):
        self.refused(study(polymer__card='"mediun"'), "mediun", "medium")

    def test_other_schema(self):
        self.refused(study(schema="2"), "study.toml:", "schema", "1")

    def test_broken_toml(self):
        self.refused("schema = \n", "study.toml:1:")

    def test_layers_that_do_not_match_the_tiles(self):
        self.refused(study(specimen__relative_density=None,
                           specimen__layer_relative_densities="[0.1, 0.2]"),
                     "layer_relative_densities", "2 densities for 1 layers")

    def test_unreadable_study(self):
        result = self.run_program("crush", "nothing.toml", "-o", "r.h5")
        self.assert_exit(result, 2)
        self.assertRegex(result.stderr, r"^cellgrade: nothing.toml: .*\n$")
        self.assertEqual(self.files(), set())

    def test_folder_for_a_study(self):
        self.assert_exit(self.run_program("crush", ".", "-o", "r.h5"), 2)

    def test_error_as_json_has_its_place(self):
        name = self.write("study.toml", study(loading__to_strain="nan"))
        result = self.run_program("crush", name, "--json")
        self.assert_exit(result, 2)
        error = json.loads(result.stdout)["error"]
        self.assertEqual((error["file"], error["key"], error["code"]),
                         ("study.toml", "loading.to_strain", 2))
        self.assertGreater(error["line"], 1)


class BadCell(ProgramCase):
    def refused(self, text, *parts):
        self.write("cell.toml", text)
        name = self.write("study.toml", study(cell__name=None, cell__file='"cell.toml"'))
        before = self.files()
        result = self.run_program("crush", name, "-o", "r.h5", "--quiet")
        self.assert_exit(result, 2)
        self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
        for part in ("cell.toml:",) + parts:
            self.assertIn(part, result.stderr)
        self.assertEqual(self.files(), before)

    def test_the_cell_itself_is_sound(self):
        self.write("cell.toml", CELL)
        name = self.write("study.toml", study(cell__name=None, cell__file='"cell.toml"'))
        self.assert_exit(self.run_program("crush", name, "--dry-run"), 0)

    def test_strut_that_hangs_on_nothing(self):
        text = CELL.replace("[0.5, 0.5, 0.5]]", "[0.5, 0.5, 0.5], [0.5, 0, 0], [0.5, 0.2, 0]]")
        text = text.replace("[1, 0]]", "[1, 0], [2, 3]]")
        self.refused(text.replace("[1, 1, 1]]", "[1, 1, 1], [0, 0, 0]]"), "nodes[2]", "parts")

    def test_node_given_twice(self):
        text = CELL.replace("[0.5, 0.5, 0.5]]", "[0.5, 0.5, 0.5], [0.5, 0.5, 0.5]]")
        self.refused(text, "nodes")

    def test_strut_without_length(self):
        self.refused(CELL.replace("struts = [[1, 0]", "struts = [[1, 1]"), "struts")

    def test_node_number_out_of_range(self):
        self.refused(CELL.replace("struts = [[1, 0]", "struts = [[1, 7]"), "struts")

    def test_negative_diameter(self):
        self.refused(CELL + "diameters_mm = [-0.5, 1, 1, 1, 1, 1, 1, 1]\n", "diameters_mm")

    def test_unknown_key(self):
        self.refused(CELL + "diameter_mm = [1, 1, 1, 1, 1, 1, 1, 1]\n", "diameter_mm",
                     "diameters_mm")


class BadPlace(ProgramCase):
    def test_folder_that_is_not_there(self):
        name = self.write("study.toml", study())
        result = self.run_program("crush", name, "-o", "no/such/r.h5")
        self.assert_exit(result, 2)
        self.assertIn("no/such", result.stderr)

    def test_no_space_left(self):
        # A limit on the size of files stands in for a full disk: the write fails in the same place.
        name = self.write("study.toml", study())

        def small_files():
            resource.setrlimit(resource.RLIMIT_FSIZE, (2048, 2048))

        for words in (["-o", "r.h5"], ["--csv", "c.csv"]):
            before = self.files()
            result = self.run_program("crush", name, *words, "--quiet", preexec_fn=small_files)
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertEqual(self.files(), before)

    @unittest.skipIf(os.geteuid() == 0, "root may read everything")
    def test_file_without_permission(self):
        name = self.write("study.toml", study())
        (self.folder / name).chmod(0)
        result = self.run_program("crush", name)
        self.assert_exit(result, 2)
        self.assertIn("permission denied", result.stderr.lower())


if __name__ == "__main__":
    main()
