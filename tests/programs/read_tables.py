#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Reads our HDF5 files with h5py alone, as a user would; also JSON, XML and the checksum line.

usage: read_tables.py SAMPLE_FILES_PROGRAM
"""
import hashlib
import json
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
        check(list(file.attrs["schema_version"]) == [1, 1], "schema version")
        check("certifies nothing" in file.attrs["caution"], "caution")
        names, units = file["traits"].dtype.names, file["traits"].attrs["units"]
        check(len(names) == len(units), "one unit a column")
        check(units[names.index("sea_J_per_kg")] == "J/kg", "units in field order")
        check("run" not in file["provenance"], "no clock or host in a table")
        check(set(file["definitions"].attrs) <= set(names), "a definition a trait")
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
    for name in ("table.h5", "crush.h5", "frames.vtkhdf"):
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


def test(folder):
    for part in (five_lines, attributes, storage, checksum_line, text_files):
        part(folder)


run(test)
