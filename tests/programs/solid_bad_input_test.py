# SPDX-License-Identifier: Apache-2.0
"""Wrong solids end in one clear line: what, where, what would be right; exit code 2, no file."""
from program import ProgramCase, main, study


class BadSolid(ProgramCase):
    def refused(self, words, *parts):
        """The mesh is refused; the one line on stderr has all parts."""
        before = self.files()
        result = self.run_program("mesh", *words, "-o", "part.stl", "--quiet")
        self.assert_exit(result, 2)
        self.assertEqual(result.stdout, "")
        self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
        for part in ("cellgrade: ",) + parts:
            self.assertIn(part, result.stderr)
        self.assertEqual(self.files(), before)

    def cell(self, function, side="below", more=""):
        return self.write("cell.toml", f'kind = "level_set"\nsize_mm = [10, 10, 10]\n'
                                       f'side = "{side}"\n{function}\n{more}')


class Geometry(BadSolid):
    def test_solid_in_two_parts(self):
        # both sides of a gyroid wall: two endless nets that never meet
        gyroid = "sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)"
        self.refused([self.cell(f'expression = "-({gyroid})^2"'), "--density", "0.4"],
                     "cell.toml: ", "the solid has 2 pieces, 2 endless in all directions",
                     "is needed")

    def test_plates_that_do_not_hang_together(self):
        self.refused([self.cell('expression = "cos(2*z)"', more="offset = -0.2\n")],
                     "cell.toml: ", "the solid has 2 pieces, 0 endless in all directions")

    def test_density_below_the_pinch_off(self):
        # Schwarz primitive, skeletal: the necks close at |level| = 1, solid fraction 0.2134
        self.refused(["schwarz_primitive_skeletal", "--density", "0.1"],
                     "schwarz_primitive_skeletal: relative density 0.1 ", "above 0.2134",
                     "the solid falls apart")

    def test_density_above_the_reach_in_a_study(self):
        text = study(cell__name='"schwarz_primitive_wall"', cell__size_mm=None,
                     specimen__elements_per_strut=None, specimen__relative_density="0.7")
        line = text.split("\n").index("[specimen]") + 1
        self.refused([self.write("study.toml", text)], f"study.toml:{line}:1: specimen: ",
                     "relative density 0.7 ", "pores are closed in")

    def test_elements_larger_than_the_wall(self):
        self.refused(["gyroid_wall", "--density", "0.2", "--element-length-mm", "2"],
                     "elements of 2 mm are larger than the narrowest wall or strut",
                     "at most that is needed")

    def test_elements_too_many(self):
        self.refused(["gyroid_wall", "--density", "0.2", "--element-length-mm", "0.001"],
                     "1e+12 grid cubes", "larger elements or a smaller specimen are needed")

    def test_no_density_at_all(self):
        self.refused(["gyroid_wall"], "gyroid_wall: ", "give one, or a relative density")


class Formula(BadSolid):
    def refused_formula(self, formula, *parts):
        self.refused([self.cell(f'expression = "{formula}"'), "--density", "0.3"],
                     "cell.toml:4:14: expression: ", *parts)

    def test_syntax(self):
        self.refused_formula("sin(x)*cos(y", "the bracket at character 11", "')' is needed")
        self.refused_formula("sin(x)+", "ends too early, after character 7", "value is missing")
        self.refused_formula("sin(x)*)", "wrong at character 8, near ')'", "is needed")
        self.refused_formula("sin(x)*/cos(y)", "at character 8")
        self.refused_formula("sin(x), cos(y)", "2 values are given; one is needed")
        self.refused_formula("y = sin(x)", "'=' is not allowed")
        self.refused_formula("", "1 to 4000 characters is needed")

    def test_unknown_name(self):
        self.refused_formula("sin(x)*cosh2(y)", "'cosh2' at character 8", "x, y, z run from 0 to")
        self.refused_formula("sin(x)*w", "'w' at character 8", "sin, cos")

    def test_wrong_count_of_arguments(self):
        self.refused_formula("sin(x,y)", "sin has too many arguments, at character 8")
        self.refused_formula("atan2(x)", "atan2 has too few arguments, at character 8")

    def test_not_finite(self):
        self.refused_formula("1/sin(x)", "is infinite at 0.000, 0.000, 0.000 of the cell",
                             "must be finite")
        self.refused_formula("ln(sin(x))", "is not a number at", "must be finite")

    def test_not_periodic(self):
        self.refused_formula("x", "not periodic along x")

    def test_does_not_vary(self):
        self.refused_formula("3", "does not vary")


class Samples(BadSolid):
    def refused_samples(self, text, *parts):
        if text is not None:
            self.write("field.csv", text)
        name = self.cell('samples_file = "field.csv"', more="counts = [4, 4, 4]\n")
        self.refused([name, "--density", "0.3"], *parts)

    def test_missing_file(self):
        self.refused_samples(None, "cell.toml:4:16: samples_file: field.csv: cannot be read",
                             "such file")

    def test_too_short(self):
        self.refused_samples("\n".join(map(str, range(20))), "field.csv:",
                             "20 values are given, 64 are needed: counts is 4 x 4 x 4")

    def test_too_long(self):
        self.refused_samples("\n".join(map(str, range(70))), "field.csv:65:1: more than the 64")

    def test_not_a_number(self):
        self.refused_samples("1\n" * 63 + "nan\n", "field.csv:64:1: 'nan' is not a finite number")

    def test_counts_missing(self):
        self.write("field.csv", "1\n")
        self.refused([self.cell('samples_file = "field.csv"'), "--density", "0.3"],
                     "cell.toml: counts: missing")


if __name__ == "__main__":
    main()
