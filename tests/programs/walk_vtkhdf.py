#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Walks a VTKHDF file by the offset rules of the format, without any code of ours.

For step s of a temporal UnstructuredGrid (VTKHDF file format, 2.0):
  parts   p = PartOffsets[s] .. + NumberOfParts[s]
  points  Points[PointOffsets[s] + sum of counts of earlier parts ..], NumberOfPoints[p] of them
  cells   Offsets[CellOffsets[s] + p + cells before ..], NumberOfCells[p] + 1 of them (each part
          adds one entry), pointing into Connectivity from ConnectivityIdOffsets[s]
  arrays  PointData/NAME from PointDataOffsets/NAME[s], CellData/NAME from CellDataOffsets/NAME[s]

usage: walk_vtkhdf.py SAMPLE_FILES_PROGRAM
"""
from readers import check, h5py, numpy, run


def one(values):
    return int(numpy.ravel(values)[0])


def offset(steps, name, s):
    return int(numpy.ravel(steps[name][s])[0])


def step(root, s):
    """(time, points, list of cells, point arrays, cell arrays) of step s; one part a step."""
    steps = root["Steps"]
    part = offset(steps, "PartOffsets", s)
    check(offset(steps, "NumberOfParts", s) == 1, "one part a step")
    n_points, n_cells = (int(root[n][part]) for n in ("NumberOfPoints", "NumberOfCells"))
    start = offset(steps, "PointOffsets", s)
    points = root["Points"][start:start + n_points]
    check(len(points) == n_points, f"step {s}: points inside the file")
    at = offset(steps, "CellOffsets", s) + part
    ends = root["Offsets"][at:at + n_cells + 1]
    types = root["Types"][offset(steps, "CellOffsets", s):][:n_cells]
    ids = offset(steps, "ConnectivityIdOffsets", s)
    links = root["Connectivity"][ids:ids + int(root["NumberOfConnectivityIds"][part])]
    check(len(ends) == n_cells + 1 and ends[0] == 0 and ends[-1] == len(links), "cell ends")
    cells = [links[a:b] for a, b in zip(ends[:-1], ends[1:])]
    check(all(t == 3 and len(c) == 2 for t, c in zip(types, cells)), "lines of two points")
    check(links.min() >= 0 and links.max() < n_points, "cells name points of the step")
    arrays = []
    for kind, n in (("PointData", n_points), ("CellData", n_cells)):
        found = {}
        for name, data in root[kind].items():
            first = offset(steps[kind + "Offsets"], name, s)
            found[name] = data[first:first + n]
            check(len(found[name]) == n, f"step {s}: {name} inside the file")
        arrays.append(found)
    return steps["Values"][s], points, cells, *arrays


def frames(folder):
    with h5py.File(folder / "frames.vtkhdf") as file:
        root = file["VTKHDF"]
        check(root.attrs["Type"] == b"UnstructuredGrid", "Type is fixed ASCII without padding")
        check(list(root.attrs["Version"]) == [2, 0], "Version")
        check(root["Types"].dtype == numpy.uint8, "Types are uint8")
        check(root["Points"].dtype == numpy.float32, "points are float32")
        check(root["Steps"].attrs["NSteps"] == 4, "four steps")
        for s in range(4):
            time, points, cells, at_points, at_cells = step(root, s)
            check(time == 0.25 * s, "time")
            # sample_files: node i at z = i + 100 s, beam e with energy e + 10 s.
            check(list(points[:4, 2]) == [i + 100.0 * s for i in range(4)], "node heights")
            check(list(at_cells["stored_energy_J"]) == [e + 10.0 * s for e in range(3)], "energy")
            check(list(at_cells["axial_force_N"]) == [-e - 10.0 * s for e in range(3)], "force")
            check(abs(at_points["radius_m"][0] - 0.6e-3) < 1e-9, "node 0 joins 0.5 and 0.7 mm")
            check(points[4, 2] == points[0, 2] and abs(points[4, 0] - 1e-2) < 1e-8,
                  "the ghost of node 0 moves with it, one box along x")
            check([list(c) for c in cells] == [[0, 1], [1, 4], [3, 5]], "cells")


def mesh(folder):
    with h5py.File(folder / "mesh.vtkhdf") as file:
        root = file["VTKHDF"]
        check("Steps" not in root, "static")
        n, m = one(root["NumberOfPoints"]), one(root["NumberOfCells"])
        check(root["Points"].shape == (n, 3) and len(root["Offsets"]) == m + 1, "counts")
        check(list(root["CellData/strut"]) == [0, 1, 2], "struts")
        check(len(root["PointData/radius_m"]) == n, "a radius a point")


def test(folder):
    frames(folder)
    mesh(folder)


run(test)
