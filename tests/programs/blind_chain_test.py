# SPDX-License-Identifier: Apache-2.0
"""From coupons to a measured crush, blind: the card from coupons alone, the lattice from its node and
strut tables, the curve held against the measured one.

Open data: inelastic-lattices (masked-SLA coupons, geometry, one lattice crushed to 15 % and back at
0.375 mm/min). Nothing is tuned to the measured curve; what was decided before it was looked at:
coupons up to 3.1 % strain (as in calibration_cycles_test), Poisson's ratio 0.4 and density assumed,
struts as drawn (0.9 mm), joints stiffened by the program's own factor, both ends glued (SOURCE.md:
the plates hold the end nodes sideways). The other choices are run too and reported beside it.

Aim: peak force and loading energy within 20 %, loop within 30 %.
"""
import json
import os
import pathlib
import sys

from program import ProgramCase, main

DATA = pathlib.Path(os.environ.get("CELLGRADE_DATA", "")) / "inelastic-lattices"

CALIBRATION = """schema = 1
name = "masked-SLA resin"
source = "coupons of inelastic-lattices"
density_kg_per_m3 = 1100
[fixed]
void_fraction = 0.0
poissons_ratio = 0.4
[fit]
laws = ["neo_hookean", "yeoh"]
starts = 4
largest_strain = 0.031
[sources]
density_kg_per_m3 = "assumed"
void_fraction = "assumed"
poissons_ratio = "assumed"
"""

COUPONS = [f"msla_cyclic_{rate}mm_min_to_{strain}pct.csv" for rate in ("0.5", "5")
           for strain in (3, 6, 9)]
COUPONS += [f"msla_relaxation_{rate}mm_min_to_2pct.csv" for rate in ("0.1", "0.5", "5")]

CRUSH = """schema = 1
name = "printed lattice, blind"
[polymer]
card = "card.toml"
[cell]
nodes_file = "{geometry}/bcc_3x3x3_cell10mm_nodes.csv"
struts_file = "{geometry}/bcc_3x3x3_cell10mm_struts.csv"
[specimen]
diameter_mm = 0.9
ends = "{ends}"
joints = "{joints}"
[loading]
strain_rate_per_s = 2.0833333e-4  # 0.375 mm/min on 30 mm
to_strain = 0.15
unload = true
platen_friction = 0.3             # of platens; nothing slides between glued ends
"""


class BlindChain(ProgramCase):
    def calibrated(self):
        text = CALIBRATION
        for name in COUPONS:
            text += (f'[[test]]\nfile = "{DATA}/coupons/{name}"\nmode = "uniaxial_cycle"\n'
                     'measure = "nominal"\ntoe = "keep"\n')
        self.write("coupons.toml", text)
        self.assert_exit(self.run_program("calibrate", "coupons.toml", "-o", "card.toml"), 0)

    def against(self, name, **choices):
        settings = {"geometry": DATA / "geometry", "ends": "bonded", "joints": "stiffened"}
        settings.update(choices)
        self.write(f"{name}.toml", CRUSH.format(**settings))
        self.assert_exit(self.run_program("crush", f"{name}.toml", "-o", f"{name}.h5",
                                          timeout=1500), 0)
        result = self.run_program(
            "validate", f"{name}.h5", DATA / "lattices" / "msla_bcc_d09_0.375mm_min_15pct.csv",
            "--area-mm2", "900", "--height-mm", "30", "--svg", f"{name}.svg", "--json")
        self.assert_exit(result, 0)
        told = json.loads(result.stdout)
        found = {q["quantity"]: q["difference"] for q in told["quantities"]}
        return (found["peak_stress_Pa"], found["loading_energy_J_per_m3"],
                found["loop_area_J_per_m3"], told["overall"]["combined"])

    def assert_as_found(self, found, wanted):
        # Rounding, amplified by buckling, moves points of a curve by 1 to 2 % from one instruction
        # set to another (README); calibration by less. 5 % of the measured value covers both.
        for name, got, want in zip(("peak", "energy", "loop", "score C"), found, wanted):
            self.assertLess(abs(got - want), 0.05, f"{name}: {got:+.3f}, was {want:+.3f}")

    def test_the_choice_made_before_the_curve_was_looked_at(self):
        self.calibrated()
        # The aim is missed: the crush is too strong by half.
        self.assert_as_found(self.against("decided"), (0.573, 0.457, 0.305, 0.498))

    def test_the_other_choices(self):
        self.calibrated()
        self.assert_as_found(self.against("no_joints", joints="none"),
                             (0.413, 0.308, 0.184, 0.343))
        # Platens with friction 0.3 let the end nodes slide: far too soft, as SOURCE.md says.
        self.assert_as_found(self.against("platens", ends="platen"),
                             (-0.433, -0.616, -0.658, 0.581))


if __name__ == "__main__":
    if not DATA.is_dir():
        print("skipped: no data folder")
        sys.exit(77)
    main()
