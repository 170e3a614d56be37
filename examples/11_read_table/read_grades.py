#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Reads a grade table and interpolates between its grades as cellgrade does (solver/grades/grade_curves.hpp).

usage: read_grades.py TABLE.h5 CELL DENSITY [PLATEAU_MPa]

One polymer, direction, strain rate and temperature; numpy and h5py only. This is a simulation: it
certifies nothing, whether protective equipment protects is decided by physical tests.
"""
import sys

import h5py
import numpy as np


def read_grades(path, cell):
    """Trusted loading curves of a cell, rising in density: [(density, strain, stress, plateau)]."""
    grades = []
    with h5py.File(path) as file:
        for number, row in enumerate(file["traits"][:], 1):
            if row["cell"].decode() == cell and row["status"] == b"trusted":
                curve = file[f"curves/{number:04d}"]
                turn = curve.attrs["turn"]
                strain, stress = curve["nominal_strain"][:turn], curve["nominal_stress_Pa"][:turn]
                if strain[0] > 0.0:
                    strain, stress = np.append(0.0, strain), np.append(0.0, stress)
                rises = np.diff(np.maximum.accumulate(strain), prepend=-1.0) > 0.0
                grades.append((row["relative_density"], strain[rises], stress[rises],
                               row["plateau_stress_Pa"]))
    return sorted(grades, key=lambda grade: grade[0])


def boxed(slope, chord):
    """A slope no steeper than three chords, and 0 against the chord."""
    return np.where(slope * chord <= 0.0, 0.0,
                    np.copysign(np.minimum(np.abs(slope), 3.0 * np.abs(chord)), chord))


def monotone_cubic(x, y, at):
    """Fritsch & Carlson (1980); x rises, y has one row a point, `at` lies inside."""
    if len(x) == 1:
        return y[0]
    h, d = np.diff(x), np.array([(y[i + 1] - y[i]) / (x[i + 1] - x[i]) for i in range(len(x) - 1)])

    def slope(i):
        if len(x) == 2:
            return d[0]
        if 0 < i < len(x) - 1:
            return boxed(boxed((h[i] * d[i - 1] + h[i - 1] * d[i]) / (h[i - 1] + h[i]), d[i - 1]), d[i])
        near, far = (0, 1) if i == 0 else (-1, -2)
        return boxed(((2 * h[near] + h[far]) * d[near] - h[near] * d[far]) / (h[near] + h[far]), d[near])

    i = min(max(np.searchsorted(x, at) - 1, 0), len(x) - 2)
    s = (at - x[i]) / h[i]
    r = 1.0 - s
    return (y[i] * (1 + 2 * s) * r * r + y[i + 1] * s * s * (1 + 2 * r)
            + h[i] * s * r * (slope(i) * r - slope(i + 1) * s))


def last_rise_through(strain, stress, level):
    i = np.flatnonzero((stress[1:] >= level) & (stress[:-1] < level))[-1]
    return strain[i] + (level - stress[i]) / (stress[i + 1] - stress[i]) * (strain[i + 1] - strain[i])


def curve_at(grades, density):
    """Strain and stress [Pa] of a density between the grades."""
    if not grades[0][0] <= density <= grades[-1][0]:
        raise ValueError(f"relative density {density} is outside {grades[0][0]} to {grades[-1][0]}")
    soft = 1e-3 * min(plateau for *_, plateau in grades)  # below it stress counts straight
    multiple = min(5.0, min(0.98 * stress.max() / plateau for *_, stress, plateau in grades))
    if not multiple >= 2.0:
        raise ValueError("the curves do not reach twice their plateau stress: not aligned here")
    locking = [last_rise_through(e, s, multiple * plateau) for _, e, s, plateau in grades]
    x = np.log([grade[0] for grade in grades])
    near = np.flatnonzero(np.abs(x - np.log(density)) <= 1e-9)
    if len(near):
        use = near
    else:  # the points before and after, and one more to either side
        i = np.searchsorted(x, np.log(density)) - 1
        use = np.arange(max(i - 1, 0), min(i + 2, len(x) - 1) + 1)
    to_u = lambda e, k: np.where(e < k, e / k, 1.0 + (e - k) / (1.0 - k))
    to_strain = lambda u, k: np.where(u < 1.0, u * k, k + (u - 1.0) * (1.0 - k))
    places = [to_u(grades[i][1], locking[i]) for i in use]
    last = min(own[-1] for own in places)
    u = np.unique(np.concatenate([own[own < last] for own in places] + [[last]]))
    y = np.array([np.arcsinh(np.interp(to_strain(u, locking[i]), grades[i][1], grades[i][2])
                             / (2.0 * soft)) for i in use])
    k = monotone_cubic(x[use], np.array([locking[i] for i in use]), np.log(density))
    return to_strain(u, k), 2.0 * soft * np.sinh(monotone_cubic(x[use], y, np.log(density)))


def energy_to(strain, stress, end):
    """Integral of the stress over strain [J/m^3]."""
    e = np.append(strain[strain < end], end)
    s = np.interp(e, strain, stress)
    return float(np.sum(0.5 * (s[1:] + s[:-1]) * np.diff(e)))


def plateau(grades, density):
    """Mean stress over 20 to 40 % strain [Pa]."""
    strain, stress = curve_at(grades, density)
    return (energy_to(strain, stress, 0.4) - energy_to(strain, stress, 0.2)) / 0.2


def density_for_plateau(grades, wanted):
    """By bisection; the plateau stress must rise with density."""
    low, high = grades[0][0], grades[-1][0]
    if not plateau(grades, low) <= wanted <= plateau(grades, high):
        raise ValueError("no grade of the table has this plateau stress")
    while high - low > 1e-13:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if plateau(grades, middle) < wanted else (low, middle)
    return 0.5 * (low + high)


if __name__ == "__main__":
    table = read_grades(sys.argv[1], sys.argv[2])
    curve = curve_at(table, float(sys.argv[3]))
    print("nominal_strain,nominal_stress_MPa")
    for e, s in zip(*curve):
        print(f"{float(e)!r},{float(s) / 1e6!r}")
    if len(sys.argv) > 4:
        print(f"# relative density {density_for_plateau(table, 1e6 * float(sys.argv[4]))!r}", file=sys.stderr)
