#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""One meshed cell pressed between bonded platens, against a general finite-element library.

The mesh that `cellgrade mesh` writes is read back and solved by GetFEM (Debian python3-getfem) with
quadratic isoparametric displacements, a pressure linear between corners (Taylor and Hood) and Newton's
method; our run is the explicit crush. Compared: the slope at the start with `cellgrade stiffness
--platens bonded`, and the stress up to 8 % strain, past the end of the linear part and before any
self-contact.

Tolerance: 4 %. Both elements are of order 2 on one mesh, so what is left is their error on it. Ours is
the soft one: bonded platens give 0.1326, 0.1371, 0.1436 and 0.1437 MPa at element lengths of 1.25, 0.9,
0.6 and 0.4 mm, so 2 to 4 % at 0.75 mm; theirs lies between, and displacements alone, which lock, lie
above (ours / theirs 0.94 at 1.25 mm). The guards of the crush leave below 0.1 % (kinetic share 2e-4).
Skipped (77) where the library is not installed.
"""
import csv
import json
import subprocess
import sys

try:
    import getfem as gf
    import numpy as np
except ImportError:
    print("skipped: the comparison needs the Debian package python3-getfem")
    sys.exit(77)

from program import PROGRAM, ProgramCase, main

SHEAR, BULK, HEIGHT = 1.0, 29.0 / 3.0, 10.0  # MPa, nu = 0.45; mm
YOUNGS, POISSON = 9.0 * BULK * SHEAR / (3.0 * BULK + SHEAR), 0.45
LAST, STEPS = 0.08, 4

CARD = f"""schema = 1
name = "test rubber"
source = "invented for the test"
density_kg_per_m3 = 1100
[law]
kind = "neo_hookean"
instantaneous_shear_modulus_MPa = {SHEAR}
bulk_modulus_MPa = {BULK!r}
void_fraction = 0.0
[valid]
stretch_min = 0.4
stretch_max = 2.0
rate_min_per_s = 1e-4
rate_max_per_s = 1e3
[sources]
density_kg_per_m3 = "invented for the test"
instantaneous_shear_modulus_MPa = "invented for the test"
bulk_modulus_MPa = "Poisson's ratio 0.45"
void_fraction = "none"
stretch_min = "invented for the test"
stretch_max = "invented for the test"
rate_min_per_s = "invented for the test"
rate_max_per_s = "invented for the test"
"""

STUDY = f"""schema = 1
name = "one cell between bonded platens"
about = "invented data"
[polymer]
card = "card.toml"
[cell]
name = "gyroid_skeletal"
[specimen]
tiles = [1, 1, 1]
relative_density = 0.25
sides = "free"
ends = "bonded"
element_length_mm = 0.75
[loading]
strain_rate_per_s = 0.01
to_strain = {LAST + 0.01}
[model]
kind = "solid"
"""

# ours (VTK): corners, then middles of 01 12 20 03 13 23; theirs: by x, then y, then z
THEIR_ORDER = [0, 4, 1, 6, 5, 2, 7, 8, 9, 3]


def weak_form(with_pressure):
    """Virtual work of the first Piola-Kirchhoff stress; p is the mean stress dU/dJ."""
    F = "(Id(3)+Grad_u)"
    J, inverse = f"Det{F}", f"Inv{F}'"
    work = (f"(shear*pow({J},-2/3)*({F}-Norm_sqr{F}/3*{inverse})+p*{J}*{inverse})"
            ":Grad_Test_u")
    return work + (f"+(({J}-1/{J})/2-p/bulk)*Test_p" if with_pressure else "")


def read_vtu(path):
    """Nodes [mm] and ten-node cells of an ASCII .vtu file."""
    text = path.read_text()

    def values(name):
        start = text.index(">", text.index(f'Name="{name}"')) + 1
        return text[start:text.index("</DataArray>", start)].split()

    nodes = np.array(values("Points"), float).reshape(-1, 3) * 1e3
    return nodes, np.array(values("connectivity"), int).reshape(-1, 10)


class Pressed:
    """The cell in GetFEM, mm and MPa."""

    def __init__(self, nodes, cells):
        self.mesh = gf.Mesh("empty", 3)
        shape = gf.GeoTrans("GT_PK(3,2)")
        for cell in cells:
            self.mesh.add_convex(shape, nodes[cell[THEIR_ORDER]].T)
        self.n_nodes = len(nodes)
        self.fem = gf.MeshFem(self.mesh, 3)
        self.fem.set_fem(gf.Fem("FEM_PK(3,2)"))
        points = self.mesh.pts()
        for region, height in ((1, 0.0), (2, HEIGHT)):
            face = np.nonzero(np.abs(points[2] - height) < 1e-6)[0]
            self.mesh.set_region(region, self.mesh.faces_from_pid(face))
        z = self.fem.basic_dof_nodes()[2]
        self.top = np.nonzero((np.abs(z - HEIGHT) < 1e-6) & (np.arange(len(z)) % 3 == 2))[0]
        self.method = gf.MeshIm(self.mesh, gf.Integ("IM_TETRAHEDRON(5)"))
        self.model = gf.Model("real")
        self.model.add_fem_variable("u", self.fem)
        pressure = gf.MeshFem(self.mesh, 1)
        pressure.set_fem(gf.Fem("FEM_PK(3,1)"))
        self.model.add_fem_variable("p", pressure)
        self.model.add_initialized_data("shear", [SHEAR])
        self.model.add_initialized_data("bulk", [BULK])
        self.model.add_nonlinear_term(self.method, weak_form(True))
        self.model.add_initialized_data("low", [0.0, 0.0, 0.0])
        self.model.add_initialized_data("high", [0.0, 0.0, 0.0])
        self.model.add_Dirichlet_condition_with_simplification("u", 1, "low")
        self.model.add_Dirichlet_condition_with_simplification("u", 2, "high")

    def stress(self, strain):
        """Nominal stress [MPa] at equilibrium; the strain grows from call to call."""
        self.model.set_variable("high", [0.0, 0.0, -strain * HEIGHT])
        self.model.solve("max_res", 1e-8, "max_iter", 60, "lsolver", "mumps")
        force = gf.asm_generic(self.method, 1, weak_form(False), -1, self.model)
        first, n = self.model.interval_of_variable("u")
        return -force[first:first + n][self.top].sum() / HEIGHT**2


class OutsideSolids(ProgramCase):
    def table(self, name):
        lines = (self.folder / name).read_text(encoding="utf-8").splitlines()
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))

    def run_long(self, *words):
        self.assert_exit(subprocess.run([PROGRAM, *words], cwd=self.folder, capture_output=True,
                                        text=True, timeout=1500, check=False), 0)

    def test_pressed_cell(self):
        self.write("card.toml", CARD)
        self.write("study.toml", STUDY)
        self.assert_exit(self.run_program("mesh", "study.toml", "-o", "cell.vtu"), 0)
        self.run_long("crush", "study.toml", "--csv", "curve.csv", "--history-csv", "history.csv")
        curve, history = self.table("curve.csv"), self.table("history.csv")
        ours = np.array([[float(x) for x in row.values()] for row in curve])
        self.assertEqual(max(float(row["contact_energy_J"]) for row in history), 0.0,
                         "self-contact has begun: the comparison ends before it")
        theirs = Pressed(*read_vtu(self.folder / "cell.vtu"))
        small = 1e-4
        slope = theirs.stress(small) / small
        told = self.run_program("stiffness", "gyroid_skeletal", "--density", "0.25",
                                "--element-length-mm", "0.75", "--platens", "bonded",
                                "--youngs-MPa", repr(YOUNGS), "--poisson", str(POISSON), "--json")
        self.assert_exit(told, 0)
        ratio = json.loads(told.stdout)["apparent_modulus_MPa"] / slope
        print(f"modulus: ours / theirs {ratio:.4f}")
        self.assertLess(abs(ratio - 1.0), 0.04)
        for strain in np.linspace(LAST / STEPS, LAST, STEPS):
            want = theirs.stress(strain)
            got = np.interp(strain, ours[:, 0], ours[:, 1])
            print(f"strain {strain:.3f}: ours {got:.5f} MPa, theirs {want:.5f}, ratio {got / want:.4f}")
            if strain > 0.035:  # the start-up of the explicit run rings
                self.assertLess(abs(got / want - 1.0), 0.04)


main()
