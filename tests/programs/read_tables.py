#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Reads our HDF5 files with h5py alone, as a user would; also JSON, XML and the checksum line.

usage: read_tables.py SAMPLE_FILES_PROGRAM
"""
import csv
import hashlib
import json
import math
import xml.etree.ElementTree

from readers import check, h5py, numpy, run


def five_lines(folder):
    """The recipe of the documentation: a table and a curve in five lines."""
    with h5py.File(folder / "table.h5") as file:
        traits = file["traits"][:]
        best = traits[numpy.argmax(traits["sea_J_per_kg"] * (traits["status"] == b"trusted"))]
        curve = file["curves/0001"]
        strain, stress = curve["nominal_strain"][:], curve["nominal_stress_Pa"][:]
    check(best["cell"] == b"octet", "the first trusted row has the largest SEA")
    check(len(strain) == 64 and stress.dtype == numpy.float64, "curve of 64 f8 points")
    check(traits.dtype["cell"].kind == "S", "text columns are of fixed width")


def attributes(folder):
    with h5py.File(folder / "table.h5") as file:
        check(file.attrs["schema"] == "cellgrade/grade-table", "schema is a str")
        check(list(file.attrs["schema_version"]) == [2, 1], "schema version")
        check("certifies nothing" in file.attrs["caution"], "caution")
        names, units = file["traits"].dtype.names, file["traits"].attrs["units"]
        check(len(names) == len(units), "one unit a column")
        check(units[names.index("sea_J_per_kg")] == "J/kg", "units in field order")
        check("run" not in file["provenance"], "no clock or host in a table")
        check(set(file["definitions"].attrs) <= set(names), "definitions are of columns")
        undefined = set(names) - set(file["definitions"].attrs)
        check(undefined == {"cell", "polymer", "direction_x", "direction_y", "direction_z",
                            "reason", "key"}, f"columns that speak for themselves: {undefined}")
        check("reversed" in file.attrs["axis_order"], "axis order")
    with h5py.File(folder / "crush.h5") as file:
        check(file.attrs["verdict"] == "trusted", "verdict")
        check(file["provenance"].attrs["commit"] != "", "commit")
        text = file["provenance/inputs/0001"].attrs["text"]
        check(hashlib.sha256(text.encode()).hexdigest()
              == file["provenance/inputs/0001"].attrs["sha256"], "hash of the input text")
        check(file["provenance/run"].attrs["start_utc"] == "2031-05-07T12:00:00Z", "start")
        time = file["history/time_s"]
        check(file["history/force_top_N"].dims[0][0] == time, "time is the scale of the force")
        check(file["history/force_top_N"].attrs["units"] == "N", "units of the force")


def storage(folder):
    """Every dataset is chunked and carries a checksum; no object carries a time stamp."""
    for name in ("table.h5", "grid.h5", "crush.h5", "frames.vtkhdf"):
        with h5py.File(folder / name) as file:
            def visit(path, item):
                if isinstance(item, h5py.Dataset):
                    check(item.chunks is not None and item.fletcher32, f"{name}/{path} storage")
                    check("units" in item.attrs or name.endswith("vtkhdf"), f"{name}/{path} units")
                    check(not item.id.get_create_plist().get_obj_track_times(), f"{path} time")
            file.visititems(visit)


def checksum_line(folder):
    content = (folder / "crush.h5").read_bytes()
    word, kind, digest, length = content[-128:].decode().split()
    check((word, kind) == ("cellgrade-checksum", "sha256"), "trailer words")
    check(int(length) == len(content) - 128, "trailer length")
    check(hashlib.sha256(content[:-128]).hexdigest() == digest, "trailer hash")


def text_files(folder):
    table = json.loads((folder / "table.json").read_text())
    check(table["cases"][0]["traits"]["dissipated_fraction"] is None, "NaN is null")
    piece = xml.etree.ElementTree.parse(folder / "mesh.vtu").getroot().find("*/Piece")
    n_points = int(piece.get("NumberOfPoints"))
    points = piece.find("Points/DataArray").text.split()
    ends = [int(v) for v in piece.find("Cells/DataArray[@Name='connectivity']").text.split()]
    check(len(points) == 3 * n_points, "three coordinates a point")
    check(max(ends) < n_points and len(ends) == 2 * int(piece.get("NumberOfCells")), "ends")


def same(one, other):
    """Equal to the bit; no number (NaN, null, an empty cell) equals itself."""
    missing = [value is None or value == "" or (isinstance(value, float) and math.isnan(value))
               for value in (one, other)]
    return all(missing) if any(missing) else float(one) == float(other)


def rows_of(path):
    lines = path.read_text(encoding="utf-8").split("\n", 1)[1]  # the first line is the caution
    return list(csv.DictReader(lines.splitlines(keepends=True)))


def same_numbers(folder):
    """HDF5, JSON and CSV hold the same bits, every number of every case."""
    with h5py.File(folder / "table.h5") as file:
        traits, names = file["traits"][:], file["traits"].dtype.names
        curves = {name: {key: item[:] for key, item in group.items() if key != "guards"}
                  for name, group in file["curves"].items()}
        turns = [group.attrs["turn"] for group in file["curves"].values()]
    cases = json.loads((folder / "table.json").read_text(encoding="utf-8"))["cases"]
    wide = rows_of(folder / "table.csv")
    check(len(traits) == len(cases) == len(wide) == 4, "four cases in each file")
    for row, case, line in zip(traits, cases, wide):
        flat = {**case, **case["traits"], **case["shear_traits"],
                **{f"direction_{axis}": n for axis, n in zip("xyz", case["direction"])},
                "direction": case["direction_text"]}
        for name in names:
            if row.dtype[name].kind == "S":
                check(row[name].decode() == flat[name], f"{name}: HDF5 and JSON")
                check(name == "key" or row[name].decode() == line[name], f"{name}: HDF5 and CSV")
            else:
                check(same(row[name], flat[name]), f"{name}: HDF5 and JSON")
                check(name[:-1] == "direction_" or same(row[name], line[name]),
                      f"{name}: HDF5 and CSV")
    points = rows_of(folder / "curves.csv")
    for number, (case, turn) in enumerate(zip(cases, turns), 1):
        curve, mine = curves[f"{number:04d}"], [p for p in points if p["case"] == str(number)]
        check(set(case["curve"]) == set(curve) | {"turn"}, "the same columns of a curve")
        check(case["curve"]["turn"] == turn, "turn")
        for name, values in curve.items():
            text = name.replace("_Pa", "_MPa")
            scale = 1e6 if text != name else 1.0
            check(len(values) == len(mine) == len(case["curve"][name]), f"{name}: rows")
            for i, value in enumerate(values):
                check(same(value, case["curve"][name][i]), f"{name}: HDF5 and JSON")
                check(same(value / scale, mine[i][text]), f"{name}: HDF5 and CSV")
        check([int(p["unloading"]) for p in mine] == [int(i >= turn) for i in range(len(mine))],
              "unloading")


def same_uncertainty(folder):
    parts = ["mesh", "specimen", "rate", "friction", "polymer", "print"]
    with h5py.File(folder / "table.h5") as file:
        doubts = file["uncertainty"][:]
    cases = json.loads((folder / "table.json").read_text(encoding="utf-8"))["cases"]
    lines = {(row["case"], row["trait"]): row for row in rows_of(folder / "long.csv")}
    check(len(doubts) == 14 and set(doubts["case"]) == {2}, "one case has uncertainty")
    for doubt in doubts:
        trait = doubt["trait"].decode()
        twin, line = cases[1]["uncertainty"][trait], lines["2", trait]
        check(doubt["units"].decode() == twin["units"] == line["unit"], "unit of the row")
        check(same(doubt["value"], line["value"]), "value")
        check(doubt["missing"].decode() == twin["missing"] == line["not_estimated"], "missing")
        for name in ["combined", *parts, "extrapolated", "mesh_order", "settled_cells"]:
            text = f"{name}_uncertainty" if name in ["combined", *parts] else name
            check(same(doubt[name], twin[name]) and same(doubt[name], line[text]), name)
        known = [doubt[name] for name in parts if not math.isnan(doubt[name])]
        check(not known or abs(doubt["combined"] / math.hypot(*known) - 1.0) < 1e-15,
              "combined is the root of the sum of squares")


def stiffness_and_scaling(folder):
    whole = json.loads((folder / "table.json").read_text(encoding="utf-8"))
    with h5py.File(folder / "table.h5") as file:
        tensor = file["stiffness/tensor_Pa"]
        check(tensor.shape == (2, 6, 6) and tensor.attrs["units"] == "Pa", "tensors")
        check("xx yy zz yz xz xy" in file["stiffness"].attrs["voigt_order"], "order of components")
        # netCDF readers refuse a file in which one axis of a dataset has a scale and another none.
        check([len(axis[0]) for axis in tensor.dims] == [2, 6, 6], "every axis has its scale")
        check([axis.label for axis in tensor.dims] == ["case", "stress_component",
                                                       "strain_component"], "axes")
        for row, numbers, twin in zip(file["stiffness/cases"][:], tensor[:], whole["stiffness"]):
            check(numbers.tolist() == twin["tensor_Pa"], "tensor")
            check(row["polymer_modulus_Pa"] == twin["polymer_modulus_Pa"], "polymer modulus")
            check([row[f"direction_{axis}"] for axis in "xyz"] == twin["direction"], "direction")
        for row, twin in zip(file["scaling"][:], whole["scaling"]):
            for name in set(row.dtype.names) & set(twin) - {"direction"}:
                check(row[name].decode() == twin[name] if row.dtype[name].kind == "S"
                      else same(row[name], twin[name]), f"scaling {name}")


def grid(folder):
    """One array over all axes, and the curve of one case in it by its coordinates alone."""
    with h5py.File(folder / "table.h5") as file:
        check("more than one cell" in file["grid"].attrs["absent_because"], "no grid, and why")
    with h5py.File(folder / "grid.h5") as file:
        stress, names = file["grid/nominal_stress_Pa"], ["relative_density", "direction",
            "strain_rate_per_s", "temperature_C", "nominal_strain"]
        check([axis.label for axis in stress.dims] == names, "names of the axes")
        scales = [axis[0] for axis in stress.dims]
        check([len(scale) for scale in scales] == list(stress.shape) == [2, 2, 1, 2, 141], "scales")
        check(scales[3].attrs["units"] == "degC", "units of a scale")
        check(list(scales[1].attrs["directions"]) == ["[001]", "[110]"], "names of directions")
        rows = file["traits"][:]
        for case, row in enumerate(rows, 1):
            curve = file[f"curves/{case:04d}"]
            got = stress[list(scales[0]).index(row["relative_density"]),
                         list(scales[1].attrs["directions"]).index(row["direction"].decode()), 0,
                         list(scales[3]).index(row["temperature_C"])]
            if row["status"] != b"trusted":
                check(numpy.isnan(got).all(), "no numbers that are not trusted")
                continue
            turn = curve.attrs["turn"]
            want = numpy.interp(scales[4][:], curve["nominal_strain"][:turn],
                                curve["nominal_stress_Pa"][:turn])
            check(numpy.allclose(got, want, rtol=1e-13, atol=0.0), "the case at its coordinates")


def test(folder):
    for part in (five_lines, attributes, storage, checksum_line, text_files, same_numbers,
                 same_uncertainty, stiffness_and_scaling, grid):
        part(folder)


run(test)
