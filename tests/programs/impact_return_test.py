# SPDX-License-Identifier: Apache-2.0
"""How far a pad's way back is from the crush of a lattice that turns there: the energy given back."""
import csv

from program import ProgramCase, main

TURNS = [0.2, 0.35, 0.5]
DEEPEST = 0.65

STUDY = """schema = 1
[polymer]
card = "hard"
[cell]
name = "{cell}"
size_mm = 6.0
[specimen]
relative_density = 0.20
tiles = [1, 1, 2]
sides = "periodic"
ends = "bonded"
elements_per_strut = 4
[loading]
strain_rate_per_s = 20.0
to_strain = {strain}
unload = true
"""


def on_lines(points, x):
    """Value at x on straight lines through points of rising x; 0 before the first."""
    if x < points[0][0]:
        return 0.0
    for (x0, y0), (x1, y1) in zip(points, points[1:]):
        if x <= x1:
            return y0 if x1 == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


class WayBack(ProgramCase):
    def branches(self, cell, strain):
        """Loading and unloading, both of rising strain, the latter up to the turn."""
        study = self.write("study.toml", STUDY.format(cell=cell, strain=strain))
        self.assert_exit(self.run_program("crush", study, "--csv", "curve.csv", "-q"), 0)
        with open(self.folder / "curve.csv", encoding="utf-8") as file:
            rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
        points = [(float(r["nominal_strain"]), float(r["nominal_stress_MPa"])) for r in rows]
        there = [p for p, r in zip(points, rows) if r["unloading"] == "0"]
        back = [p for p, r in zip(points, rows) if r["unloading"] == "1"]
        return there, sorted(back) + there[-1:]

    def difference(self, cell):
        """Computed over true energy given back, less 1, for each turn: the way back of a column is
        its loading curve times the share that the deepest crush keeps (grade_response.hpp)."""
        there, back = self.branches(cell, DEEPEST)
        turn = there[-1][0]
        found = []
        for strain in TURNS:
            own_there, own_back = self.branches(cell, strain)
            end = own_there[-1][0]
            computed = true = 0.0
            n = 1000
            for k in range(n):
                x = (k + 0.5) / n
                loading = on_lines(there, x * turn)
                share = min(max(on_lines(back, x * turn) / loading, 0.0), 1.0) if loading > 0 else 0
                computed += on_lines(own_there, x * end) * share
                true += on_lines(own_back, x * end)
            found.append(computed / true - 1.0)
        return found

    # Found: -2 %, -2 %, -1 % for the body-centred cell; -16 %, -15 %, -13 % for the Kelvin cell, whose
    # layers buckle one after another, so that an early turn has softened less of it. The table's way
    # back merely scaled to the turn is off by -60 % (body-centred). Bounds: twice that, so that
    # another rule of the way back does not pass unseen.
    def test_body_centred(self):
        for share in self.difference("body_centred"):
            self.assertLess(abs(share), 0.04)

    def test_kelvin(self):
        for share in self.difference("kelvin"):
            self.assertLess(abs(share), 0.32)


if __name__ == "__main__":
    main()
