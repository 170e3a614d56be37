# SPDX-License-Identifier: Apache-2.0
"""Command line as promised: help with examples that run, exit codes, suggestions, JSON, files."""
import json
import re
import shlex
import signal
import subprocess
import time
import xml.etree.ElementTree

import h5py

from program import CELL, PROGRAM, ProgramCase, main, study

COMMANDS = ["cells", "mesh", "stiffness", "crush", "table", "ask", "traits", "validate", "calibrate",
            "law", "drop", "impact", "cushion", "choose", "handover", "report", "verify"]


class Help(ProgramCase):
    def test_alone_prints_the_short_form_and_exits_2(self):
        result = self.run_program()
        self.assert_exit(result, 2)
        self.assertEqual(result.stdout, "")
        for command in COMMANDS:
            self.assertIn(f"  {command} ", result.stderr)

    def test_every_help_has_its_parts(self):
        for words in [[]] + [[c] for c in COMMANDS]:
            result = self.run_program(*words, "--help")
            self.assert_exit(result, 0)
            self.assertEqual(result.stderr, "")
            for part in ["Usage: cellgrade", "Examples:", "--json", "--threads", "Exit codes:"]:
                self.assertIn(part, result.stdout, words)

    def test_version_tells_how_it_was_built(self):
        result = self.run_program("--version")
        self.assert_exit(result, 0)
        self.assertRegex(result.stdout,
                         r"^cellgrade \d+\.\d+\.\d+ \(commit \w+(-dirty)?, .* HDF5 1\.\d+\.\d+\)$")


class HelpExamples(ProgramCase):
    def run_examples(self, command):
        text = self.run_program(command, "--help").stdout
        examples = re.search(r"Examples:\n((?:  .*\n)+)", text).group(1).strip().split("\n")
        self.assertGreaterEqual(len(examples), 2)
        for line in examples:
            words = shlex.split(line)
            self.assertEqual(words[0], "cellgrade")
            self.assert_exit(self.run_program(*words[1:]), 0)

    def test_cells(self):
        self.run_examples("cells")

    def test_mesh(self):
        self.run_examples("mesh")

    def test_stiffness(self):
        self.run_examples("stiffness")

    def test_traits(self):
        self.run_examples("traits")

    def test_validate(self):
        self.run_examples("validate")

    def test_crush(self):
        self.run_examples("crush")

    def test_ask(self):
        self.run_examples("ask")

    def test_calibrate(self):
        self.run_examples("calibrate")

    def test_law(self):
        self.run_examples("law")

    def test_report(self):
        self.run_examples("report")

    def test_impact(self):
        self.run_examples("impact")

    def test_cushion(self):
        self.run_examples("cushion")


class Law(ProgramCase):
    def test_a_grade_becomes_a_card_and_a_block_of_it_crushes_as_the_grade_did(self):
        self.assert_exit(self.run_program("table", "examples/04_grade_table/short.toml", "-o",
                                          "short.h5", "-q"), 0)
        words = ["law", "short.h5", "--cell", "body_centred", "-o", "law.toml"]
        result = self.run_program(*words, "--relative-density", "0.12", "--prove", "--json", "-q")
        self.assert_exit(result, 0)
        report = json.loads(result.stdout)
        self.assertEqual(report["law"], "tabulated_foam")
        self.assertIn("certifies nothing", report["caution"])
        fitted, block = report["branches"][0], report["block"]["branches"][0]
        self.assertLess(fitted["area_share"], 0.05)
        self.assertLess(block["area_share"], 0.05)
        self.assertTrue(report["block"]["trusted"])
        card = (self.folder / "law.toml").read_text(encoding="utf-8")
        self.assertIn('kind = "tabulated_foam"', card)
        self.assertIn("fitted to body_centred", card)

        for extra, complaint in [
                (["--relative-density", "0.3"], "body_centred has no row of relative density 0.3"),
                (["--relative-density", "0.12", "--strain-rate", "7"], "no compression at 7 1/s"),
                (["--relative-density", "0.12", "--polymer", "none.toml"], "none.toml")]:
            result = self.run_program(*words, *extra)
            self.assert_exit(result, 2)
            self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
            self.assertIn(complaint, result.stderr)


class Usage(ProgramCase):
    def test_unknown_command_names_the_nearest(self):
        result = self.run_program("cruhs")
        self.assert_exit(result, 2)
        self.assertRegex(result.stderr, r"^cellgrade: unknown command 'cruhs'; did you mean crush")

    def test_unknown_option_names_the_nearest(self):
        result = self.run_program("cells", "--jsno")
        self.assert_exit(result, 2)
        self.assertRegex(result.stderr, r"^cellgrade: unknown option '--jsno'; did you mean --json")

    def test_unknown_cell_names_the_nearest(self):
        result = self.run_program("cells", "octett")
        self.assert_exit(result, 2)
        self.assertIn("did you mean octet", result.stderr)

    def test_errors_are_one_line_and_json_when_asked(self):
        result = self.run_program("cells", "octett", "--json")
        self.assert_exit(result, 2)
        self.assertEqual(result.stderr.count("\n"), 1)
        error = json.loads(result.stdout)["error"]
        self.assertEqual(error["code"], 2)
        self.assertIn("octet", error["message"])

    def test_full_device_is_told(self):
        with open("/dev/full", "w", encoding="ascii") as full:
            result = subprocess.run([PROGRAM, "cells"], stdout=full, stderr=subprocess.PIPE,
                                    text=True, check=False)
        self.assertEqual(result.returncode, 2)
        self.assertIn("standard output: cannot be written", result.stderr)


class Answers(ProgramCase):
    def test_cells_as_json(self):
        cells = json.loads(self.run_program("cells", "--json").stdout)["cells"]
        octet = next(c for c in cells if c["name"] == "octet")
        self.assertEqual((octet["nodes"], octet["struts"]), (4, 24))
        whole = json.loads(self.run_program("cells", "octet", "--json").stdout)["cells"][0]
        self.assertEqual(len(whole["strut_nodes"]), 24)

    def test_modes_of_a_specimen(self):
        # Without bending before it buckles, a strut between joints that turn buckles between the
        # hinged and the clamped Euler strains pi^2/4 (r/L)^2 and pi^2 (r/L)^2; the octet's struts
        # under load reach that at 2 to 4 times the strut strain (60 degrees to the load).
        result = self.run_program("mesh", "octet", "--tiles", "1", "1", "1", "--diameter-mm", "0.2",
                                  "--modes", "2", "--polymer", "medium", "--json")
        self.assert_exit(result, 0)
        report = json.loads(result.stdout)
        modes = report["modes"]
        self.assertEqual(len(modes["natural_frequency_Hz"]), 2)
        self.assertGreater(modes["natural_frequency_Hz"][0], 0.0)
        slender = (0.1 / (report["size_mm"][0] / 2 ** 0.5)) ** 2 * 3.14159 ** 2
        self.assertGreater(modes["buckling_nominal_strain"][0], slender / 4)
        self.assertLess(modes["buckling_nominal_strain"][0], 8 * slender)
        self.assertLessEqual(modes["buckling_nominal_strain"][0],
                             modes["buckling_nominal_strain"][1])

    def test_solid_of_a_level_set_cell(self):
        # references: gyroid wall |f| < 0.5 fills 0.32356, so density 0.3236 is met by that offset
        result = self.run_program("mesh", "gyroid_wall", "--density", "0.3236", "--sides",
                                  "periodic", "--across", "1", "--json")
        self.assert_exit(result, 0)
        mesh = json.loads(result.stdout)
        self.assertLess(abs(mesh["volume_error_share"]), 5e-3)
        self.assertGreater(mesh["smallest_dihedral_degrees"], 5.0)
        self.assertEqual(mesh["open_edges"], 0)

    def test_a_level_set_cell_is_not_made_of_beams(self):
        for words in [["mesh", "gyroid_wall", "--density", "0.3"],
                      ["stiffness", "gyroid_wall", "--density", "0.3", "--youngs-MPa", "18",
                       "--poisson", "0.45"]]:
            result = self.run_program(*words, "--model", "beams")
            self.assert_exit(result, 2)
            self.assertIn("no struts", result.stderr)

    def test_crush_takes_the_model_from_the_command_line(self):
        result = self.run_program("crush", self.write("study.toml", study(
            specimen__elements_per_strut=None)), "--model", "solid", "--dry-run")
        self.assert_exit(result, 0)
        self.assertIn("tetrahedra", result.stdout)
        self.assertIn('kind = "solid"', result.stdout)

    def test_modes_need_a_polymer(self):
        result = self.run_program("mesh", "octet", "--diameter-mm", "0.2", "--modes", "2")
        self.assert_exit(result, 2)
        self.assertIn("--polymer", result.stderr)

    def test_stiffness_of_a_simple_cubic_cell(self):
        # E along an edge of a simple cubic frame is E_s pi d^2 / (4 a^2) (one straight strut):
        # 7.853982e-3 E_s at r/a = 0.05.
        result = self.run_program("stiffness", "simple_cubic", "--diameter-mm", "0.5",
                                  "--youngs-MPa", "1000", "--poisson", "0.45", "--json")
        self.assert_exit(result, 0)
        answer = json.loads(result.stdout)
        self.assertEqual(len(answer["stiffness_MPa"]), 6)
        self.assertTrue(all(len(row) == 6 for row in answer["stiffness_MPa"]))
        self.assertAlmostEqual(answer["youngs_100_MPa"] / 7.853982, 1.0, delta=1e-6)
        # Union of three crossing cylinders: 3 pi x^2 - 8 sqrt(2) x^3 at x = r/a (inclusion and
        # exclusion with the bicylinder and tricylinder of Archimedes).
        self.assertAlmostEqual(answer["relative_density"] / 0.0221477, 1.0, delta=2e-3)
        self.assertAlmostEqual(answer["centre_line_density"] / 0.02356194, 1.0, delta=1e-6)

    def test_own_diameters_need_no_option(self):
        cell = self.write("cell.toml", CELL + "diameters_mm = [" + ", ".join(["0.6"] * 8) + "]\n")
        words = ["--youngs-MPa", "10", "--poisson", "0.4", "--json"]
        own = self.run_program("stiffness", cell, *words)
        self.assert_exit(own, 0)
        bare = self.write("bare.toml", CELL)
        told = self.run_program("stiffness", bare, "--diameter-mm", "0.6", *words)
        self.assertEqual(json.loads(own.stdout)["stiffness_MPa"],
                         json.loads(told.stdout)["stiffness_MPa"])
        self.assert_exit(self.run_program("stiffness", bare, *words), 2)

    def test_traits_of_a_curve_with_known_ones(self):
        # stress = 10 e to .05; .5 to .6; .5 + 20 (e - .6)^2, integrated by hand: plateau 0.5,
        # energy to 50 % 0.2375, 1.3 x plateau at .6 + sqrt(.15 / 20); sampled every 0.002.
        result = self.run_program("traits", "examples/05_measured_curve/curve.csv", "--json")
        self.assert_exit(result, 0)
        traits = json.loads(result.stdout)["traits"]
        self.assertAlmostEqual(traits["plateau_stress_Pa"] / 0.5e6, 1.0, delta=1e-4)
        self.assertAlmostEqual(traits["energy_to_50_J_per_m3"] / 0.2375e6, 1.0, delta=1e-4)
        self.assertAlmostEqual(traits["plateau_end_strain"] / 0.6866025, 1.0, delta=1e-3)
        forces = self.run_program("traits", "examples/05_measured_curve/frame.csv", "--json",
                                  "--area-mm2", "2500", "--height-mm", "25")
        self.assert_exit(forces, 0)
        self.assertAlmostEqual(
            json.loads(forces.stdout)["traits"]["plateau_stress_Pa"] / 0.5e6, 1.0, delta=1e-4)

    def test_crush_leaves_its_files(self):
        name = self.write("study.toml", study())
        result = self.run_program("crush", name, "-o", "r.h5", "--csv", "c.csv", "--history-csv",
                                  "h.csv", "--frames", "f.vtkhdf", "--svg", "p.svg", "--json")
        self.assert_exit(result, 0)
        self.assertEqual(json.loads(result.stdout)["schema"], "cellgrade/crush")
        with h5py.File(self.folder / "r.h5") as file:
            self.assertEqual(file.attrs["schema"], "cellgrade/crush")
            stress = file["curve/nominal_stress_Pa"][:]
        rows = [line for line in (self.folder / "c.csv").read_text().split("\n")
                if line and not line.startswith("#")]
        header = rows[0].split(",")
        self.assertEqual(header[:2], ["nominal_strain", "nominal_stress_MPa"])
        self.assertAlmostEqual(float(rows[-1].split(",")[1]) * 1e6 / stress[-1], 1.0, delta=1e-14)
        xml.etree.ElementTree.parse(self.folder / "p.svg")
        with h5py.File(self.folder / "f.vtkhdf") as file:
            self.assertGreater(file["VTKHDF/Steps"].attrs["NSteps"], 10)

    def test_dry_run_prints_a_study_that_reads_back_equal(self):
        name = self.write("study.toml", study())
        first = self.run_program("crush", name, "--dry-run")
        self.assert_exit(first, 0)
        again = self.run_program("crush", self.write("again.toml", first.stdout), "--dry-run")
        self.assert_exit(again, 0)
        self.assertEqual(first.stdout, again.stdout)

    def test_broken_limit_exits_3_and_keeps_the_marked_result(self):
        name = self.write("study.toml", study(limits__energy_closure="1e-12",
                                              loading__to_strain="0.3"))
        result = self.run_program("crush", name, "-o", "r.h5", "--csv", "c.csv")
        self.assert_exit(result, 3)
        with h5py.File(self.folder / "r.h5") as file:
            self.assertIn("untrusted", file.attrs["verdict_text"])
        self.assertIn("untrusted", (self.folder / "c.csv").read_text().split("\n")[0])

    def test_same_bytes_for_any_number_of_threads(self):
        name = self.write("study.toml", study(specimen__tiles="[2, 2, 2]"))
        for threads in ["1", "2", "3"]:
            self.assert_exit(self.run_program("crush", name, "--csv", threads + ".csv",
                                              "--threads", threads), 0)
        self.assertEqual(len({(self.folder / f"{t}.csv").read_bytes() for t in "123"}), 1)

    def test_stopped_run_says_so(self):
        name = self.write("study.toml", study(specimen__tiles="[4, 4, 4]",
                                              specimen__elements_per_strut="8",
                                              loading__to_strain="0.7"))
        with subprocess.Popen([PROGRAM, "crush", name, "-o", "r.h5"], cwd=self.folder,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
            time.sleep(2.0)
            process.send_signal(signal.SIGTERM)
            process.communicate(timeout=60)
            self.assertEqual(process.returncode, 143)
        with h5py.File(self.folder / "r.h5") as file:
            self.assertEqual(file.attrs["end"], "interrupted")


class Verify(ProgramCase):
    def test_every_row_passes_and_is_written_in_three_forms(self):
        result = self.run_program("verify", "--json", "v.json", "--junit", "v.xml")
        self.assert_exit(result, 0)
        rows = json.loads((self.folder / "v.json").read_text())["rows"]
        self.assertGreater(len(rows), 10)
        for row in rows:
            self.assertTrue(row["pass"], row)
            self.assertLessEqual(row["relative_error"], row["tolerance"])
            self.assertTrue(row["source"])
        suite = xml.etree.ElementTree.parse(self.folder / "v.xml").getroot()
        self.assertEqual(int(suite.attrib["tests"]), len(rows))
        self.assertIn(f"{len(rows)} checks, 0 failed", result.stdout)


if __name__ == "__main__":
    main()
