# SPDX-License-Identifier: Apache-2.0
"""Files for the printer as other readers see them: zipfile, xml, struct, and lib3mf where built."""
import collections
import json
import os
import struct
import subprocess
import unittest
import xml.etree.ElementTree as ElementTree
import zipfile

from program import ProgramCase, main, study

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
LATTICE = "{http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02}"
READER = os.environ.get("CELLGRADE_READ_3MF", "")
# references: gyroid wall |f| < 0.5 fills 0.32356; the cell has edges of 10 mm
GYROID = ["mesh", "gyroid_wall", "--density", "0.32356", "--across", "1.5"]


def volume(points, triangles):
    """Of a closed surface, by the divergence theorem."""
    six = 0.0
    for i, j, k in triangles:
        (a, b, c), (d, e, f), (g, h, m) = points[i], points[j], points[k]
        six += a * (e * m - f * h) + b * (f * g - d * m) + c * (d * h - e * g)
    return six / 6.0


def read_model(path):
    with zipfile.ZipFile(path) as package:
        return ElementTree.fromstring(package.read("3D/3dmodel.model"))


def read_mesh(path):
    mesh = read_model(path).find(f"{CORE}resources/{CORE}object/{CORE}mesh")
    points = [tuple(float(v.get(axis)) for axis in "xyz") for v in mesh.find(f"{CORE}vertices")]
    triangles = [tuple(int(t.get(key)) for key in ("v1", "v2", "v3"))
                 for t in mesh.find(f"{CORE}triangles")]
    return points, triangles


class SurfaceCase(ProgramCase):
    def assert_closed(self, triangles):
        """3MF Core Specification, mesh: every edge has two triangles, in opposite directions."""
        edges = collections.Counter(e for a, b, c in triangles for e in ((a, b), (b, c), (c, a)))
        self.assertEqual(set(edges.values()), {1})
        self.assertTrue(all((b, a) in edges for a, b in edges))

    def assert_stl_is_equal(self, points, triangles):
        """STL, common practice, no source: 80 bytes, a count, 50 bytes a triangle."""
        data = (self.folder / "a.stl").read_bytes()
        self.assertNotEqual(data[:5], b"solid")
        self.assertIn(b"mm", data[:80])
        self.assertEqual(struct.unpack_from("<I", data, 80)[0], len(triangles))
        self.assertEqual(len(data), 84 + 50 * len(triangles))
        for number, triangle in enumerate(triangles):
            corners = struct.unpack_from("<9f", data, 84 + 50 * number + 12)
            wanted = [x for corner in triangle for x in points[corner]]
            for got, want in zip(corners, wanted):
                self.assertEqual(got, struct.unpack("<f", struct.pack("<f", want))[0])


class Surface(SurfaceCase):
    def test_3mf_and_stl_of_a_gyroid_wall(self):
        result = self.run_program(*GYROID, "-o", "a.3mf", "-o", "a.stl", "-o", "b.3mf", "--json")
        self.assert_exit(result, 0)
        density = 1.0 + json.loads(result.stdout)["volume_error_share"]
        points, triangles = read_mesh(self.folder / "a.3mf")
        self.assert_closed(triangles)
        self.assertTrue(all(len(set(t)) == 3 for t in triangles))
        for axis in range(3):  # the box, in the positive octant
            self.assertEqual(min(p[axis] for p in points), 0.0)
            self.assertEqual(max(p[axis] for p in points), 10.0)
        # four flat parts a face lose a quarter of the bow, of order (half edge / radius)^2 / 8
        self.assertAlmostEqual(volume(points, triangles) / (323.56 * density), 1.0, delta=2e-3)
        self.assertEqual((self.folder / "a.3mf").read_bytes(),
                         (self.folder / "b.3mf").read_bytes())
        self.assert_stl_is_equal(points, triangles)
        if READER:
            seen = json.loads(subprocess.run([READER, self.folder / "a.3mf"], check=True,
                                             capture_output=True, text=True).stdout)
            self.assertEqual((seen["warnings"], seen["is_mm"], seen["manifold"]), (0, True, True))
            self.assertEqual((seen["vertices"], seen["triangles"]), (len(points), len(triangles)))
            self.assertAlmostEqual(seen["volume"] / volume(points, triangles), 1.0, delta=1e-5)

    def test_sides_of_a_periodic_specimen_are_closed(self):
        result = self.run_program(*GYROID, "--sides", "periodic", "-o", "p.3mf")
        self.assert_exit(result, 0)
        points, triangles = read_mesh(self.folder / "p.3mf")
        self.assert_closed(triangles)
        self.assertAlmostEqual(volume(points, triangles) / 323.56, 1.0, delta=1e-2)

    def test_package_parts_and_what_they_say(self):
        self.assert_exit(self.run_program(*GYROID, "-o", "a.3mf"), 0)
        with zipfile.ZipFile(self.folder / "a.3mf") as package:
            self.assertIsNone(package.testzip())
            parts = package.infolist()
            self.assertEqual([p.filename for p in parts],
                             ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"])
            for part in parts:
                self.assertEqual(part.date_time, (1980, 1, 1, 0, 0, 0))
                self.assertLessEqual(part.extract_version, 20)
            (target,) = ElementTree.fromstring(package.read("_rels/.rels"))
            kinds = ElementTree.fromstring(package.read("[Content_Types].xml"))
        # 3MF Core Specification, appendix of content types and relationships
        self.assertEqual(target.get("Target"), "/3D/3dmodel.model")
        self.assertEqual(target.get("Type"),
                         "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel")
        self.assertIn("application/vnd.ms-package.3dmanufacturing-3dmodel+xml",
                      [kind.get("ContentType") for kind in kinds])
        model = read_model(self.folder / "a.3mf")
        self.assertEqual(model.get("unit"), "millimeter")
        self.assertIsNone(model.get("requiredextensions"))
        told = {m.get("name"): m.text for m in model.findall(f"{CORE}metadata")}
        self.assertEqual(told["cellgrade:cell"], "gyroid_wall")
        self.assertEqual(told["cellgrade:cell_size_mm"], "10 10 10")
        self.assertAlmostEqual(float(told["cellgrade:relative_density"]), 0.32356, delta=1e-4)
        self.assertIn("certifies nothing", told["Description"])
        self.assertTrue(told["Application"].startswith("cellgrade "))
        self.assertEqual(len(model.findall(f"{CORE}build/{CORE}item")), 1)


class Beams(ProgramCase):
    def test_beam_lattice(self):
        """3MF Beam Lattice Extension 1.2.0: minlength and radius, required of readers."""
        result = self.run_program("mesh", "octet", "--diameter-mm", "0.4", "-o", "o-beams.3mf",
                                  "--json")
        self.assert_exit(result, 0)
        elements = json.loads(result.stdout)["elements"]
        self.assertIn("must refuse", result.stderr)
        model = read_model(self.folder / "o-beams.3mf")
        self.assertEqual(model.get("requiredextensions"), "b")
        mesh = model.find(f"{CORE}resources/{CORE}object/{CORE}mesh")
        points = [tuple(float(v.get(axis)) for axis in "xyz")
                  for v in mesh.find(f"{CORE}vertices")]
        lattice = mesh.find(f"{LATTICE}beamlattice")
        beams = list(lattice.find(f"{LATTICE}beams"))
        self.assertEqual(len(beams), elements)
        self.assertGreaterEqual(min(min(p) for p in points), 0.2 - 1e-6)
        length = sum(sum((a - b) ** 2 for a, b in zip(points[int(beam.get("v1"))],
                                                      points[int(beam.get("v2"))])) ** 0.5
                     for beam in beams)
        # octet: 24 struts of 5 / sqrt 2 mm a cell; a block of one cell keeps 12 inside and the
        # 24 in its faces whole
        self.assertAlmostEqual(length / (36 * 5.0 / 2 ** 0.5), 1.0, delta=1e-6)
        self.assertEqual({float(beam.get("r1")) for beam in beams}, {0.2})
        self.assertEqual(float(lattice.get("radius")), 0.2)
        self.assertGreater(float(lattice.get("minlength")), 0.0)
        if READER:
            seen = json.loads(subprocess.run([READER, self.folder / "o-beams.3mf"], check=True,
                                             capture_output=True, text=True).stdout)
            self.assertEqual((seen["warnings"], seen["beams"]), (0, elements))
            self.assertAlmostEqual(seen["beam_volume"] / (3.14159265 * 0.04 * length), 1.0,
                                   delta=1e-5)

    def test_an_unknown_ending_is_refused_with_what_would_be_right(self):
        result = self.run_program("mesh", "octet", "--diameter-mm", "0.4", "-o", "o.obj", "--quiet")
        self.assert_exit(result, 2)
        self.assertEqual(result.stderr.count("\n"), 1)
        self.assertTrue(result.stderr.startswith("cellgrade: o.obj: "), result.stderr)
        self.assertIn(".stl or .3mf", result.stderr)
        self.assertEqual(self.files(), set())


class RoundStruts(SurfaceCase):
    def test_stl_and_3mf_of_struts_are_one_closed_surface(self):
        result = self.run_program("mesh", "body_centred", "--density", "0.15", "-o", "a.stl", "-o",
                                  "a.3mf", "-o", "a-beams.3mf", "--json")
        self.assert_exit(result, 0)
        told = json.loads(result.stdout)
        points, triangles = read_mesh(self.folder / "a.3mf")
        self.assert_closed(triangles)
        self.assertEqual(read_model(self.folder / "a.3mf").get("unit"), "millimeter")
        self.assert_stl_is_equal(points, triangles)
        # the union of the round struts by another method; facets under the arcs lose 0.5 %
        gross = told["size_mm"][0] * told["size_mm"][1] * told["size_mm"][2]
        self.assertAlmostEqual(volume(points, triangles) / (told["relative_density"] * gross), 1.0,
                               delta=0.01)
        self.assertGreater(volume(points, triangles), 0.0)  # outward
        for axis in range(3):  # in the positive octant
            self.assertEqual(min(p[axis] for p in points), 0.0)
        if READER:
            seen = json.loads(subprocess.run([READER, self.folder / "a.3mf"], check=True,
                                             capture_output=True, text=True).stdout)
            self.assertEqual((seen["warnings"], seen["is_mm"], seen["manifold"]), (0, True, True))


class PrintCheck(ProgramCase):
    def test_limits_of_the_study_are_warned_of(self):
        changes = {"cell__name": '"honeycomb_z"', "cell__size_mm": None,
                   "specimen__elements_per_strut": None, "specimen__relative_density": "0.2",
                   "print__narrowest_wall_mm": "1.5", "print__narrowest_opening_mm": "9.0"}
        result = self.run_program("mesh", self.write("s.toml", study(**changes)), "--json")
        self.assert_exit(result, 0)
        found = json.loads(result.stdout)["print"]
        # A wall of thickness t in a regular honeycomb of inner width w: 1 - (w / (w + t))^2 solid.
        # The box of two hexagons is w + t wide.
        pitch = json.loads(result.stdout)["size_mm"][0]
        inner = pitch * (1.0 - 0.2) ** 0.5
        self.assertAlmostEqual(found["narrowest_wall_mm"] / (pitch - inner), 1.0, delta=0.05)
        self.assertAlmostEqual(found["narrowest_opening_mm"] / inner, 1.0, delta=0.05)
        self.assertRegex(result.stderr, r"warning: print, in one cell: the solid is .* mm thin at")
        self.assertRegex(result.stderr, r"warning: print, in one cell: the void is .* mm narrow")
        kept = self.run_program("mesh", self.write("s.toml", study(**{
            **changes, "print__narrowest_wall_mm": "0.1", "print__narrowest_opening_mm": "1.0"})))
        self.assert_exit(kept, 0)
        self.assertNotIn("warning", kept.stderr)
        self.assertRegex(kept.stdout, r"one cell, narrowest_wall_mm +0\.\d+")

    def test_closed_voids_are_counted(self):
        # Struts of a simple cubic frame of edge a close their windows from D = a on and fill the
        # middle from D = sqrt(2) a on: one closed void a cell between.
        result = self.run_program("mesh", "simple_cubic", "--model", "solid", "--diameter-mm",
                                  "5.5", "--across", "12", "--json", "-o", "c.stl")
        self.assert_exit(result, 0)
        found = json.loads(result.stdout)["print"]
        self.assertEqual((found["closed_voids"], found["closed_share_of_void"]), (1, 1.0))
        self.assertIn("1 closed pores trap powder or resin, 100.00 % of the void", result.stderr)
        self.assertIn("c.stl: 1 voids are closed in", result.stderr)

    def test_wrong_limit_is_told_with_its_place(self):
        result = self.run_program("mesh", self.write("s.toml", study(
            print__narrowest_wall_mm="-1.0")))
        self.assert_exit(result, 2)
        self.assertRegex(result.stderr, r"^cellgrade: s.toml:\d+:\d+: print.narrowest_wall_mm: -1")


if __name__ == "__main__":
    main()
